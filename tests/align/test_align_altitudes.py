"""The altitude assigned: what was filed, what was said, and from when it is owed."""

from __future__ import annotations

import numpy as np
import pytest

from align.align_flyer import (
    FIXES,
    ROUTE,
    START_S,
    Flown,
    Flyer,
    at,
    course_between,
    lesson_of,
    log,
    onward,
)
from legwise.model.alignment import Alignment

FIRST = course_between(FIXES["XTBN"], FIXES["BRAKO"])


def levels(*plan: tuple[float, float], start_ft: float = 4000.0) -> Flown:
    """Along BRAKO to CALDU; each of ``plan`` is a new target altitude, held for so many seconds from its beginning."""
    course = course_between(FIXES["BRAKO"], FIXES["CALDU"])
    flyer = Flyer(
        position=onward(FIXES["BRAKO"], course, 1.0), heading=course, altitude_ft=start_ft, target_ft=start_ft
    )
    flyer.label = ("leg", "CALDU")
    for number, (target, seconds) in enumerate(plan):
        flyer.target_ft = target
        flyer.mark(f"level {number}")
        for _ in range(int(seconds * 2)):
            flyer.steer_line(FIXES["BRAKO"], FIXES["CALDU"])
    return log(flyer)


def owed_at(alignment: Alignment, flown: Flown, second: float) -> float | None:
    """The altitude owed so many seconds in; None where none is."""
    sample = int(np.searchsorted(flown.track.samples.time_s, START_S + second))
    if not alignment.altitude_owed[sample]:
        return None
    return float(alignment.assigned_altitude_ft[sample])


def test_filed_altitude_counts_from_reaching_it_to_leaving_it_for_good() -> None:
    flown = levels((4000.0, 300.0), (2500.0, 300.0), start_ft=3000.0)
    alignment = flown.aligned(lesson_of(route=ROUTE))
    # 3,000 to 3,900 ft at 500 ft/min takes 108 s; from 300 s on it is left at 500 ft/min.
    assert owed_at(alignment, flown, 90) is None
    assert owed_at(alignment, flown, 130) == 4000.0
    assert owed_at(alignment, flown, 290) == 4000.0
    assert owed_at(alignment, flown, 330) is None
    (asked,) = (i for i in alignment.instructions if i.kind == "altitude")
    assert asked.origin == "inferred"
    assert abs(asked.effect_s - START_S - 300.0) <= 20.0
    assert "4,000 ft" in asked.doubt


def test_wandering_about_the_filed_altitude_is_still_owed() -> None:
    flown = levels((4000.0, 120.0), (4250.0, 60.0), (4000.0, 120.0))
    alignment = flown.aligned(lesson_of(route=ROUTE))
    assert owed_at(alignment, flown, 165) == 4000.0
    assert not [i for i in alignment.instructions if i.kind == "altitude"]


@pytest.mark.parametrize("said_s", [95.0, 120.0, 140.0])
def test_said_altitude_takes_effect_where_the_descent_begins(said_s: float) -> None:
    flown = levels((4000.0, 120.0), (2500.0, 400.0))
    alignment = flown.aligned(lesson_of(route=ROUTE, clearance=[{"time": at(said_s), "altitude_ft": 2500.0}]))
    (said,) = alignment.instructions
    assert (said.kind, said.text) == ("altitude", "2,500 ft")
    # Before the time that was said nothing is read as obeying it, but for its accuracy of 30 s.
    assert abs(said.effect_s - START_S - 120.0) <= 6.0
    assert owed_at(alignment, flown, 110) == 4000.0
    assert owed_at(alignment, flown, 200) is None
    # 4,000 to 2,600 ft at 500 ft/min: 168 s.
    assert owed_at(alignment, flown, 120 + 185) == 2500.0


def test_levelling_off_at_another_altitude_is_charged() -> None:
    flown = levels((4000.0, 120.0), (2900.0, 400.0))
    alignment = flown.aligned(lesson_of(route=ROUTE, clearance=[{"time": at(115), "altitude_ft": 2500.0}]))
    assert owed_at(alignment, flown, 200) is None
    assert owed_at(alignment, flown, 330) == 2500.0


def test_altitude_never_flown_to_is_owed_after_a_while() -> None:
    flown = levels((4000.0, 600.0))
    alignment = flown.aligned(lesson_of(route=ROUTE, clearance=[{"time": at(120), "altitude_ft": 2500.0}]))
    assert owed_at(alignment, flown, 180) is None
    assert owed_at(alignment, flown, 300) == 2500.0


def test_flight_level_is_hundreds_of_feet() -> None:
    flown = levels((4000.0, 60.0), (6000.0, 500.0))
    alignment = flown.aligned(lesson_of(route=ROUTE, clearance=[{"time": at(60), "flight_level": 60.0}]))
    assert owed_at(alignment, flown, 450) == 6000.0


def test_nothing_filed_and_nothing_said_owes_nothing() -> None:
    flown = levels((4000.0, 200.0))
    alignment = flown.aligned(lesson_of(route={"points": ROUTE["points"]}))
    assert np.isnan(alignment.assigned_altitude_ft).all()
    assert not alignment.altitude_owed.any()
