"""Less usual flights: circling, resuming, a missed approach broken off by vectors, a heading given before take-off."""

from __future__ import annotations

import pytest

from align.align_flyer import (
    APPROACH,
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
    told,
)
from legwise.model.alignment import Alignment
from legwise.model.lesson import Lesson

FINAL = course_between(FIXES["FERNU"], FIXES["RW27"])
FIRST = course_between(FIXES["XTBN"], FIXES["BRAKO"])


def whole(*clearances: dict[str, object]) -> Lesson:
    return lesson_of(route=ROUTE, approach=[APPROACH], clearance=list(clearances))


def near_home(wind_kt: float = 15.0) -> Flyer:
    """On the leg to DOLPA, 4 NM before it: short flights to the approach."""
    back = course_between(FIXES["DOLPA"], FIXES["CALDU"])
    flyer = Flyer(
        position=onward(FIXES["DOLPA"], back, 4.0), heading=back + 180.0, altitude_ft=4000.0, target_ft=4000.0,
        wind_from=280.0, wind_kt=wind_kt,
    )  # fmt: skip
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    flyer.target_ft = 2500.0
    return flyer


def assert_told(flown: Flown, alignment: Alignment) -> None:
    wrong = [(i, true, told(alignment, i)) for i, true in enumerate(flown.labels) if told(alignment, i) != true]
    assert len(wrong) <= 0.03 * len(flown.labels), wrong[:: max(1, len(wrong) // 15)]


def roll_out(flyer: Flyer, course: float) -> None:
    flyer.altitude_ft = flyer.target_ft = 88.0
    flyer.wind_kt = 0.0
    while flyer.tas_kt > 3.0:
        flyer.tas_kt -= 1.5
        flyer.step(course)
    for _ in range(60):
        flyer.step()


@pytest.mark.parametrize("said", [True, False])
def test_circling_owes_no_path_and_ends_in_a_landing(said: bool) -> None:
    flyer = near_home()
    down = flyer.glide_to("RW27", 88.0)

    def to_the_minimum() -> None:
        down()
        flyer.target_ft = max(flyer.target_ft, 700.0)

    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=1.2, each=to_the_minimum)
    flyer.label = ("none", "")
    for heading, seconds in ((FINAL - 45, 30), (FINAL, 85), (FINAL - 90, 30), (FINAL + 180, 10)):
        for _ in range(seconds * 2):
            flyer.step(heading)
    flyer.target_ft = 38.0
    while flyer.altitude_ft > 88.0:
        flyer.step(FINAL + 180)
    roll_out(flyer, FINAL + 180)
    flown = log(flyer)
    circle: dict[str, object] = {"circle": "RW09"} if said else {}
    alignment = flown.aligned(whole({"time": at(60), "cleared": "XSKH/RW27", **circle}))
    assert_told(flown, alignment)
    (approach,) = alignment.approaches
    assert (approach.outcome, approach.circled) == ("landed", said)


def test_resume_owes_the_route_again_from_there_on() -> None:
    flyer = Flyer(position=onward(FIXES["XTBN"], FIRST, 3.0), heading=FIRST, altitude_ft=4000.0, target_ft=4000.0)
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=18.0)
    flyer.mark("heading")
    flyer.fly_heading(110.0, 150.0)
    flyer.mark("resume")
    flyer.label = ("leg", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", "DOLPA")
    flyer.fly_leg("CALDU", "DOLPA", to_go_nm=15.0)
    flown = log(flyer)
    alignment = flown.aligned(
        whole(
            {"time": at(flyer.events["heading"] - START_S), "heading_deg_true": 110.0},
            {"time": at(flyer.events["resume"] - START_S + 9), "resume": True},
        )
    )
    assert_told(flown, alignment)


@pytest.mark.parametrize("said", [True, False])
def test_missed_approach_broken_off_by_vectors_then_a_second_approach(said: bool) -> None:
    flyer = near_home()
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.8, each=down)
    flyer.mark("missed")
    flyer.climb_fpm, flyer.target_ft = 600.0, 3000.0
    flyer.fly_leg("RW27", "VELLA", kind="missed", to_go_nm=11.0)
    flyer.mark("first heading")
    flyer.fly_heading(180.0, 120.0)
    flyer.mark("second heading")
    flyer.fly_heading(90.0, 500.0)
    flyer.fly_direct("HOLMA", following="FERNU")
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.land(FINAL, 88.0)
    flown = log(flyer)
    seconds = {name: time - START_S for name, time in flyer.events.items()}
    clearances: list[dict[str, object]] = [
        {"time": at(60), "cleared": "XSKH/RW27"},
        {"time": at(seconds["first heading"] - 5), "heading_deg_true": 180.0, "altitude_ft": 3000.0},
        {"time": at(seconds["second heading"] - 5), "heading_deg_true": 90.0},
        {"time": at(seconds["direct HOLMA"] - 5), "direct": "HOLMA", "cleared": "XSKH/RW27"},
    ]
    alignment = flown.aligned(whole(*(clearances if said else [])))
    assert_told(flown, alignment)
    assert [approach.outcome for approach in alignment.approaches] == ["missed", "landed"]
    inferred = [i.kind for i in alignment.instructions if i.origin == "inferred" and i.kind != "altitude"]
    assert inferred == ([] if said else ["heading", "heading", "direct"])


def test_heading_given_before_take_off_takes_effect_at_the_first_turn() -> None:
    flyer = Flyer(position=FIXES["XTBN"], heading=FIRST)
    flyer.take_off(FIRST, 40.0, 3000.0)
    # On the runway's course, which is that of the first leg, until the turn.
    climb = [i for i, row in enumerate(flyer.rows) if START_S + row[0] >= flyer.events["take-off"]]
    for i in climb:
        flyer.labels[i] = ("leg", "BRAKO")
    flyer.mark("turn")
    flyer.fly_heading(FIRST + 60.0, 240.0)
    flyer.fly_direct("BRAKO", following="CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=20.0)
    flown = log(flyer)
    alignment = flown.aligned(
        whole(
            {"time": at(10), "heading_deg_true": FIRST + 60.0, "altitude_ft": 3000.0},
            {"time": at(flyer.events["direct BRAKO"] - START_S), "direct": "BRAKO"},
        )
    )
    assert_told(flown, alignment)
    heading = next(i for i in alignment.instructions if i.kind == "heading")
    assert abs(heading.effect_s - flown.events["turn"]) <= 5.0


def test_heading_that_was_never_turned_to_is_obeyed_and_asked_about() -> None:
    flyer = Flyer(position=onward(FIXES["XTBN"], FIRST, 3.0), heading=FIRST, altitude_ft=4000.0, target_ft=4000.0)
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=1.0)
    flown = log(flyer)
    alignment = flown.aligned(whole({"time": at(60), "heading_deg_true": (FIRST + 90.0) % 360.0}))
    (heading,) = (i for i in alignment.instructions if i.kind == "heading")
    assert heading.doubt
    assert any(heading.text in question for question in alignment.questions)
    assert told(alignment, 120) == ("vectors", "")


def test_low_approach_is_told_from_a_missed_one() -> None:
    flyer = near_home()
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=-0.15, each=down)
    flyer.climb_fpm, flyer.target_ft = 700.0, 3000.0
    flyer.fly_leg("RW27", "VELLA", kind="missed", to_go_nm=8.0)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    assert [approach.outcome for approach in alignment.approaches] == ["low-approach"]
