"""Parts that can be held against an independent answer: times said, and the exactness of the cheapest story."""

from __future__ import annotations

import datetime as dt
import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from align.align_flyer import DATE, FIXES, START, START_S, flown_from, lesson_of
from legwise.align.decode import Problem, cheapest
from legwise.align.moments import resolve, said_in_order
from legwise.model.track import Track


def still(start_s: float, seconds: int) -> Track:
    rows = np.array([(start_s - START_S + i, *FIXES["XTBN"], 40.0) for i in range(seconds)])
    return flown_from(rows, [("none", "")] * seconds, {}).track


def test_times_of_day_fall_on_the_lessons_date() -> None:
    track = still(START_S, 120)
    assert resolve(dt.time(13, 1, 30), DATE, track) == START_S + 90.0
    assert resolve("13:01", DATE, track) == START_S + 60.0
    assert resolve(START + dt.timedelta(seconds=5), DATE, track) == START_S + 5.0
    assert resolve("13:01", None, track) == START_S + 60.0
    aware = dt.datetime(2026, 4, 18, 15, 0, 30, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    assert resolve(aware, DATE, track) == START_S + 30.0


def test_over_midnight_the_nearer_day_is_meant() -> None:
    late = dt.datetime(2026, 4, 18, 23, 58, tzinfo=dt.UTC).timestamp()
    track = still(late, 300)
    assert resolve(dt.time(23, 59), DATE, track) == late + 60.0
    assert resolve(dt.time(0, 1), DATE, track) == late + 180.0


def test_accuracy_is_a_minute_for_minutes_and_half_for_seconds() -> None:
    lesson = lesson_of(
        clearance=[
            {"time": "13:01", "altitude_ft": 3000.0},
            {"time": dt.time(13, 1), "altitude_ft": 3000.0},
            {"time": dt.time(13, 1), "time_accuracy_s": 5.0, "altitude_ft": 3000.0},
            {"altitude_ft": 3000.0},
        ]
    )
    said = said_in_order(lesson, still(START_S, 60))
    assert [item.accuracy_s for item in said[:3]] == [60.0, 30.0, 5.0]
    assert said[3].time_s is None


@settings(max_examples=50)
@given(st.integers(0, 10_000), st.integers(1, 3))
def test_cheapest_story_is_the_cheapest_of_all(seed: int, epochs: int) -> None:
    """Against every story there is, priced one by one."""
    problem = some_problem(np.random.default_rng(seed), moments=4, epochs=epochs, states=3)
    nodes = list(itertools.product(range(epochs), range(3)))
    best = min(price(problem, story) for story in itertools.product(nodes, repeat=4))
    found = cheapest(problem)
    assert found.cost == pytest.approx(best, abs=1e-9)
    told = tuple(zip(found.epoch.tolist(), found.state.tolist(), strict=True))
    assert price(problem, told) == pytest.approx(best, abs=1e-9)


def some_problem(random: np.random.Generator, *, moments: int, epochs: int, states: int) -> Problem:
    def prices(*shape: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        return np.round(random.exponential(3.0, size=shape), 2)

    return Problem(
        surprise=prices(moments, states),
        gate=prices(moments, states),
        arrival=prices(moments, states),
        epoch_extra=prices(moments, epochs),
        extra_state=random.integers(0, states, size=epochs),
        advance=prices(moments, epochs),
        alive=np.ones((moments, epochs), dtype=np.bool_),
        out=prices(epochs, states),
        into=prices(epochs, states),
        edge_from=random.integers(0, states, size=(2, states)),
        edge_price=prices(epochs, 2, states),
        approach_into=prices(epochs, states),
        approach_price=1.0,
        carry=prices(epochs, states),
        entry=prices(epochs, states),
        start=prices(epochs, states),
    )


def price(problem: Problem, story: tuple[tuple[int, int], ...]) -> float:
    """What a story costs by the words of the grammar: it stays, or changes by the cheapest way that leads there."""
    total = float(problem.start[story[0]])
    for moment, (epoch, state) in enumerate(story):
        total += float(problem.surprise[moment, state])
        if problem.extra_state[epoch] == state:
            total += float(problem.epoch_extra[moment, epoch])
        if moment == 0:
            continue
        before, was = story[moment - 1]
        ways: list[float] = []
        if before == epoch:
            ways += [0.0] if was == state else []
            ways.append(float(problem.out[epoch, was] + problem.into[epoch, state]))
            ways.append(problem.approach_price + float(problem.approach_into[epoch, state]))
            for slot in range(problem.edge_from.shape[0]):
                if problem.edge_from[slot, state] == was:
                    on_the_way = problem.gate[moment, was] + problem.arrival[moment, state]
                    ways.append(float(problem.edge_price[epoch, slot, state] + on_the_way))
        elif epoch == before + 1:
            entered = float(problem.advance[moment, epoch])
            ways += [entered + float(problem.carry[epoch, state])] if was == state else []
            ways.append(entered + float(problem.entry[epoch, state]))
        total += min(ways, default=np.inf)
    return total
