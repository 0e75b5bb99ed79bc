"""Where a judgement begins and ends: the level-off, the join, the go-around; and instructions in question."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from legwise.assess.judging import Rule, Series, judge
from legwise.model.alignment import GUIDANCE_CODE, Guidance
from legwise.model.lesson import Crossing, Event
from legwise.model.plan import AltitudeWindow
from legwise.model.results import Verdict

Build = Callable[..., Any]
START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
VECTORS = GUIDANCE_CODE[Guidance.VECTORS]
SECONDS = np.arange(200)


def second(when: dt.datetime | None) -> float:
    assert when is not None
    return (when - START).total_seconds()


def series(value: Any, doubt: Any) -> Series:
    size = len(value)
    return Series(
        index=np.arange(size),
        time_s=np.arange(size, dtype=np.float64),
        value=np.asarray(value, dtype=np.float64),
        doubt=np.asarray(doubt, dtype=np.float64),
        low=np.full(size, -0.75),
        high=np.full(size, 0.75),
        part=np.zeros(size, dtype=np.int64),
    )


def test_an_undecided_worst_is_the_largest_with_the_doubt_that_keeps_it_open() -> None:
    # 0.17 of full scale known to 0.42 is surely within; 0.05 known to 0.75 is not, and so the whole is not.
    judged = judge(series([0.17] * 50 + [-0.05] * 10, [0.42] * 50 + [0.75] * 10), Rule(), 1.0)
    assert (judged.verdict, judged.worst, judged.uncertainty, judged.at) == (Verdict.UNDECIDED, 0.17, 0.75, 0)
    within = judge(series([0.17] * 50 + [-0.05] * 10, [0.42] * 60), Rule(), 1.0)
    assert (within.verdict, within.worst) == (Verdict.WITHIN, 0.17)


@settings(deadline=None, derandomize=True, max_examples=200)
@given(st.lists(st.tuples(st.floats(-2, 2), st.floats(0, 1)), min_size=1, max_size=60))
def test_the_numbers_of_an_undecided_series_do_not_decide_it(samples: list[tuple[float, float]]) -> None:
    judged = judge(series(*zip(*samples, strict=True)), Rule(), 1.0)
    assert judged.worst is not None
    if judged.verdict is Verdict.UNDECIDED:
        assert abs(judged.worst) + judged.uncertainty > judged.limit
    if judged.verdict is Verdict.WITHIN:
        assert abs(judged.worst) + judged.uncertainty <= judged.limit + 1e-6


def test_the_needles_end_at_the_lowest_point_of_a_go_around_above_the_da(on_final: Build) -> None:
    # Lowest at 120, 50 ft above the DA; the climb shows four samples later, with the needle well up by then.
    altitude = np.interp(SECONDS, [0, 120, 199], [2000.0, 350.0, 1500.0])
    needle = np.where(SECONDS <= 120, 0.1, 0.9)
    parts = on_final(
        approach={"da_ft": 300.0},
        altitude_ft=altitude,
        vertical_speed_fpm=np.where(SECONDS < 120, -825.0, 870.0),
        lateral_needle=needle,
        vertical_needle=needle,
        outcome="missed",
        missed_start=124,
        lowest=120,
        doubt_ft=1.0,
    )
    (result,) = parts.assess().approaches
    assert (result.lateral_needle.max_abs, result.vertical_needle.max_abs) == (0.1, 0.1)
    for what in ("lateral needle", "vertical needle"):
        final = parts.findings(what)[-1]
        assert (final.worst, second(final.to)) == (0.1, 120)


def test_the_mda_is_held_from_the_end_of_the_level_off(on_final: Build) -> None:
    # To 530 ft over an MDA of 500 ft, e-folding in 10 s from 900 ft/min: 33 ft to go at 200 ft/min, 17 ft at 100.
    settling = 530.0 + 150.0 * np.exp(-np.clip(SECONDS - 80, 0, None) / 10.0)
    altitude = np.where(SECONDS < 80, 680.0 + 15.0 * (80 - SECONDS), settling)
    parts = on_final(
        approach={"guidance": "LNAV", "mda_ft": 500.0},
        standard="easa-instrument",
        altitude_ft=altitude,
        vertical_speed_fpm=np.gradient(altitude) * 60,
        outcome="missed",
        missed_start=199,
        missed_leg_from=199,
        doubt_ft=0.0,
    )
    (found,) = parts.findings("MDA")
    assert found.verdict is Verdict.WITHIN
    assert 40.0 < found.worst < 50.0
    assert found.leg == "A1.3"


def test_a_stepped_descent_through_reach_of_the_mda_is_no_deviation(on_final: Build) -> None:
    altitude = np.interp(SECONDS, [0, 100, 199], [1900.0, 530.0, 530.0])
    parts = on_final(
        approach={"guidance": "LNAV", "mda_ft": 500.0, "stepped": True},
        standard="easa-instrument",
        altitude_ft=altitude,
        vertical_speed_fpm=np.where(SECONDS < 100, -822.0, 0.0),
        outcome="missed",
        missed_start=199,
    )
    (found,) = parts.findings("MDA")
    assert (found.verdict, found.worst) == (Verdict.WITHIN, pytest.approx(30.0))


def test_the_climb_away_from_the_mda_is_no_deviation(on_final: Build) -> None:
    altitude = np.interp(SECONDS, [0, 100, 150, 199], [1900.0, 530.0, 530.0, 1400.0])
    parts = on_final(
        approach={"guidance": "LNAV", "mda_ft": 500.0},
        standard="easa-instrument",
        altitude_ft=altitude,
        vertical_speed_fpm=np.gradient(altitude) * 60,
        outcome="missed",
        missed_start=158,
    )
    (found,) = parts.findings("MDA")
    assert found.verdict is Verdict.WITHIN


def test_a_fix_crossed_far_above_its_minimum_is_told_with_the_altitude_flown(on_final: Build) -> None:
    parts = on_final(
        approach={"da_ft": 300.0, "faf_altitude": AltitudeWindow(low_ft=1050.0)},
        altitude_ft=2699.0,
        along_track_to_go_nm=0.0,
    )
    (found,) = parts.findings("crossing altitude")
    assert found.worst == 0.0
    assert found.reason == ("Crossed at 2,699 ft at 13:00:49Z; limit 100 ft. Published at FERNU: at or above 1,050 ft.")


def test_a_fix_crossed_below_its_minimum_is_told_with_both(on_final: Build) -> None:
    parts = on_final(
        approach={"da_ft": 300.0, "faf_altitude": AltitudeWindow(low_ft=2800.0)},
        altitude_ft=2699.0,
        along_track_to_go_nm=0.0,
    )
    (found,) = parts.findings("crossing altitude")
    assert found.reason.startswith("Crossed 101 ft below 2,800 ft at 13:00:49Z")
    assert found.reason.endswith("crossed at 2,699 ft.")


@pytest.mark.parametrize(
    ("approach", "name"),
    [({"da_ft": 300.0}, "decision altitude"), ({"guidance": "LNAV", "mda_ft": 300.0}, "minimum descent altitude")],
)
def test_sight_reported_below_the_minimum_is_told_with_its_delay(
    on_final: Build, approach: dict[str, Any], name: str
) -> None:
    seen = Event(time=START + dt.timedelta(seconds=192), what="visual")
    altitude = np.linspace(2000.0, 100.0, 200)
    parts = on_final(approach=approach, altitude_ft=altitude, vertical_speed_fpm=-570.0, events=(seen,))
    found = parts.findings("DA" if "da_ft" in approach else "MDA")[-1]
    assert found.verdict is Verdict.NOT_RECORDED
    assert second(found.seen_at) == 192
    delay = 192 - int(np.flatnonzero(altitude < 300.0)[0])
    assert f"reported in sight at 13:03:12Z, {delay} s after the {name} was passed" in found.reason


def test_an_altitude_or_heading_owed_for_seconds_is_not_judged(flight: Build) -> None:
    for lasts, made in ((5, 0), (20, 1)):
        owed = np.arange(200) < lasts
        altitude = flight(altitude_ft=4990.0, assigned_ft=5000.0, altitude_owed=owed)
        assert len(altitude.findings("altitude")) == made
        heading = np.where(owed, 250.0, np.nan)
        turned = flight(guidance=VECTORS, heading_owed_deg_mag=heading, heading_error_deg=np.where(owed, 1.0, np.nan))
        assert len(turned.findings("heading")) == made


def test_the_rest_of_the_roll_out_is_no_deviation_from_the_heading(flight: Build) -> None:
    # At 3 deg/s, inside the limit less its doubt from 8 degrees left on, then on the heading.
    error = np.interp(SECONDS, [0, 30, 199], [-90.0, 0.0, 0.0])
    found = flight(guidance=VECTORS, heading_owed_deg_mag=250.0, heading_error_deg=error).finding("heading")
    assert abs(found.worst) <= 1.0


@pytest.mark.parametrize("effect", [-40.0, 0.0, 60.0, 260.0])
@pytest.mark.parametrize("given", [0.0, 90.0, 250.0])
def test_no_charge_of_altitude_or_heading_stands_on_a_doubted_instruction(
    flight: Build, said: Build, given: float, effect: float
) -> None:
    # The stretch is owed from 20 to 180 s, wherever the instruction's time and effect are said to lie.
    inside = (SECONDS >= 20) & (SECONDS < 180)
    both = said(given, heading_deg_mag=250, altitude_ft=4000, doubt="Was heading 205 said?")
    both = dataclasses.replace(both, effect_s=START.timestamp() + effect)
    parts = flight(
        guidance=VECTORS,
        altitude_ft=5000.0,
        assigned_ft=np.where(inside, 4000.0, np.nan),
        heading_owed_deg_mag=np.where(inside, 250.0, np.nan),
        heading_error_deg=np.where(inside, -45.0, np.nan),
        instructions=(said(-60, heading_deg_mag=180), both, said(260, altitude_ft=3000)),
    )
    for what in ("altitude", "heading"):
        found = parts.finding(what)
        assert (found.verdict, found.open) == (Verdict.UNDECIDED, "instruction")
        assert "Was heading 205 said?" in found.reason


def test_a_doubted_instruction_leaves_what_another_assigned_alone(flight: Build, said: Build) -> None:
    parts = flight(
        altitude_ft=np.where(SECONDS < 100, 5200.0, 4000.0),
        assigned_ft=np.where(SECONDS < 100, 5000.0, 4000.0),
        instructions=(said(-5, altitude_ft=5000), said(100, altitude_ft=4000, doubt="Was 3,000 ft said?")),
    )
    first, second_ = parts.findings("altitude")
    assert (first.verdict, first.open) == (Verdict.OUTSIDE, None)
    assert (second_.verdict, second_.open) == (Verdict.WITHIN, None)


def test_a_descent_before_its_doubted_instruction_was_written_down_charges_nobody(flight: Build, said: Build) -> None:
    # Held to 90 s, then down at 600 ft/min; the descent is written down at 150 s, a minute late.
    altitude = np.interp(SECONDS, [0, 90, 190, 199], [5000.0, 5000.0, 4000.0, 4000.0])
    late = said(150, altitude_ft=4000, doubt="Was it given a minute before?")
    parts = flight(
        altitude_ft=altitude,
        vertical_speed_fpm=np.gradient(altitude) * 60,
        assigned_ft=np.where(SECONDS < 150, 5000.0, 4000.0),
        altitude_owed=(SECONDS < 150) | (SECONDS > 180),
        instructions=(said(-300, altitude_ft=5000), late),
    )
    found = parts.findings("altitude")[0]
    assert (found.owed, found.verdict, found.open) == (5000.0, Verdict.UNDECIDED, "instruction")
    sure = dataclasses.replace(parts, instructions=(said(-300, altitude_ft=5000), said(150, altitude_ft=4000)))
    assert sure.findings("altitude")[0].verdict is Verdict.OUTSIDE


def test_the_same_altitude_given_again_without_doubt_stands(flight: Build, said: Build) -> None:
    inside = SECONDS >= 100
    parts = flight(
        altitude_ft=5200.0,
        assigned_ft=np.where(inside, 5000.0, np.nan),
        instructions=(said(0, altitude_ft=5000, doubt="Was 6,000 ft said?"), said(100, altitude_ft=5000)),
    )
    assert parts.finding("altitude").verdict is Verdict.OUTSIDE


def test_a_doubted_crossing_and_a_doubted_direct_charge_nobody(flight: Build, said: Build, flown: Build) -> None:
    crossing = said(0, crossing=Crossing(fix="CALDU", at_ft=3000.0), doubt="Was 4,000 ft said?")
    parts = flight(altitude_ft=4000.0, along_track_to_go_nm=0.1, instructions=(crossing,), legs=(flown(0, 150),))
    assert parts.finding("crossing altitude").open == "instruction"
    direct = said(0, direct="CALDU", doubt="Was direct BRAKO said?")
    off = flight(lateral_needle=0.9, instructions=(direct,), legs=(flown(0, 200, planned=None, kind="DF"),))
    assert off.finding("lateral needle").open == "instruction"
    planned = flight(lateral_needle=0.9, instructions=(direct,))
    assert planned.finding("lateral needle").verdict is Verdict.OUTSIDE


def test_what_the_log_leaves_open_is_said_to_be_the_log(flight: Build) -> None:
    open_ = flight(altitude_ft=5090.0, assigned_ft=5000.0, doubt_ft=20.0).finding("altitude")
    assert (open_.verdict, open_.open) == (Verdict.UNDECIDED, "log")
    assert flight(altitude_ft=5010.0, assigned_ft=5000.0, doubt_ft=20.0).finding("altitude").open is None


@pytest.fixture
def flown(flight: Build) -> Build:
    """The route leg of the default flight, cut and changed: ``flown(0, 150, judged_from=30)``."""

    def build(start: int, stop: int, **changed: Any) -> Any:
        (leg,) = flight().alignment.legs
        return dataclasses.replace(leg, start=start, stop=stop, **changed)

    return build


def test_a_leg_is_judged_from_where_it_was_joined(flight: Build, flown: Build) -> None:
    needle = np.where(SECONDS < 30, 0.9, 0.1)
    found = flight(lateral_needle=needle, legs=(flown(0, 200, judged_from=30),)).finding("lateral needle")
    assert (found.worst, second(found.from_)) == (0.1, 30)


def test_an_approach_is_judged_from_where_it_was_established(on_final: Build) -> None:
    needle = np.where(SECONDS < 80, 0.9, 0.1)
    parts = on_final(
        approach={"da_ft": 300.0},
        altitude_ft=np.linspace(2000.0, 100.0, 200),
        vertical_speed_fpm=-570.0,
        lateral_needle=needle,
        established=SECONDS >= 80,
    )
    (found,) = parts.findings("lateral needle")
    assert (found.worst, second(found.from_)) == (0.1, 80)
    assert parts.assess().approaches[0].lateral_needle.max_abs == 0.1


def test_a_leg_flown_for_a_moment_is_not_judged(flight: Build, flown: Build) -> None:
    legs = (flown(0, 4, id="R1"), flown(4, 200, id="R2"))
    parts = flight(lateral_needle=0.1, legs=legs)
    assert [item.leg for item in parts.findings("lateral needle")] == ["R2"]
