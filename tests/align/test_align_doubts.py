"""What was said against what was flown: a question where the track contradicts it, and never a leg that nobody flew."""

from __future__ import annotations

import dataclasses
from functools import cache
from types import MappingProxyType

import numpy as np
import pytest

from align.align_flyer import (
    APPROACH,
    FIXES,
    ROUTE,
    START_S,
    Flown,
    Flyer,
    at,
    bearing_and_distance,
    course_between,
    lesson_of,
    log,
    onward,
    told,
    wrapped,
)
from legwise.model.alignment import Alignment, Instruction
from legwise.model.arrays import readonly_floats
from legwise.model.lesson import Lesson
from legwise.model.track import Channel

FINAL = course_between(FIXES["FERNU"], FIXES["RW27"])
FIRST = course_between(FIXES["XTBN"], FIXES["BRAKO"])
SECOND = course_between(FIXES["BRAKO"], FIXES["CALDU"])
VARIATION = -8.3
"""Near 46.5N 028W in 2026, by the World Magnetic Model; good to a degree there."""


def whole(*clearances: dict[str, object]) -> Lesson:
    return lesson_of(route=ROUTE, approach=[APPROACH], clearance=list(clearances))


def en_route(wind_kt: float = 0.0) -> Flyer:
    return Flyer(
        position=onward(FIXES["XTBN"], FIRST, 3.0), heading=FIRST, altitude_ft=4000.0, target_ft=4000.0,
        wind_from=250.0, wind_kt=wind_kt,
    )  # fmt: skip


def seconds(flown: Flown, name: str) -> float:
    return flown.events[name] - START_S


def only(alignment: Alignment, kind: str) -> Instruction:
    (found,) = (item for item in alignment.instructions if item.kind == kind)
    return found


def missed_flight() -> Flown:
    """From 4 NM before DOLPA to a missed approach by VELLA, then a turn of more than 100 degrees direct to PIKES."""
    back = course_between(FIXES["DOLPA"], FIXES["CALDU"])
    flyer = Flyer(
        position=onward(FIXES["DOLPA"], back, 4.0), heading=back + 180.0, altitude_ft=4000.0, target_ft=4000.0
    )
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    flyer.target_ft = 2500.0
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.9, each=down)
    flyer.mark("missed")
    flyer.climb_fpm, flyer.target_ft = 600.0, 3000.0
    flyer.fly_leg("RW27", "VELLA", kind="missed", to_go_nm=0.05)
    flyer.mark("turn to PIKES")
    flyer.fly_direct("PIKES", until_nm=0.2)
    return log(flyer)


@pytest.fixture(scope="module")
def missed() -> Flown:
    return missed_flight()


def ends(alignment: Alignment) -> list[str]:
    return [leg.to_ident for leg in alignment.legs]


def test_a_direct_after_a_big_turn_is_drawn_from_the_roll_out(missed: Flown) -> None:
    alignment = missed.aligned(whole())
    leg = alignment.legs[-1]
    assert leg.to_ident == "PIKES"
    assert leg.judged_from is not None
    assert leg.path is not None
    here = (
        float(missed.track.samples.lat_deg[leg.judged_from]),
        float(missed.track.samples.lon_deg[leg.judged_from]),
    )
    bearing, distance_nm = bearing_and_distance(here, FIXES["PIKES"])
    assert leg.path.length_nm == pytest.approx(distance_nm, abs=1e-3)
    assert leg.course_deg_true == pytest.approx(bearing, abs=1e-3)
    # The flyer turns at 3 deg/s: what is left of the turn at 5 deg to go takes under 2 s, its begin and bank none.
    turn_deg = abs(
        wrapped(course_between(FIXES["VELLA"], FIXES["PIKES"]) - course_between(FIXES["RW27"], FIXES["VELLA"]))
    )
    begun_s = missed.events["turn to PIKES"]
    assert turn_deg > 45.0
    assert missed.track.samples.time_s[leg.judged_from] - begun_s == pytest.approx(turn_deg / 3.0, abs=8.0)
    assert all(told(alignment, i)[1] == "PIKES" for i in range(leg.start, leg.stop))


def test_a_direct_after_a_small_turn_is_drawn_from_where_the_turn_begins() -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=15.0)
    flyer.fly_direct("DOLPA", following="HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", to_go_nm=10.0)
    flown = log(flyer)
    alignment = flown.aligned(whole({"time": at(flyer.events["direct DOLPA"] - START_S), "direct": "DOLPA"}))
    (direct,) = (leg for leg in alignment.legs if leg.kind == "DF")
    assert direct.judged_from is None


@pytest.mark.parametrize(
    "said",
    [
        {"hold": {"fix": "CALDU"}},
        {"direct": "HOLMA"},
        {"direct": "DOLPA"},
        {"join": True},
        {"cleared": "XSKH/RW27"},
    ],
    ids=str,
)
def test_what_was_said_and_not_flown_is_asked_and_makes_no_legs(missed: Flown, said: dict[str, object]) -> None:
    before = missed.aligned(whole({"time": at(60), "cleared": "XSKH/RW27"}))
    late = seconds(missed, "turn to PIKES") + 60.0
    alignment = missed.aligned(whole({"time": at(60), "cleared": "XSKH/RW27"}, {"time": at(late), **said}))
    assert ends(alignment) == ends(before)
    assert [a.outcome for a in alignment.approaches] == ["missed"]
    asked = [item for item in alignment.instructions if item.doubt and item.origin == "said"]
    assert [item.time_s for item in asked] == [at(late).timestamp()]
    assert any(asked[0].text in question for question in alignment.questions)


@pytest.mark.parametrize("said", [{"missed": True}, {"visual": True}, {"discontinue": True}], ids=str)
@pytest.mark.parametrize("after_s", [-100.0, 20.0])
def test_words_about_the_approach_do_not_cut_it_in_two(missed: Flown, said: dict[str, object], after_s: float) -> None:
    before = missed.aligned(whole({"time": at(60), "cleared": "XSKH/RW27"}))
    when = seconds(missed, "missed") + after_s
    alignment = missed.aligned(whole({"time": at(60), "cleared": "XSKH/RW27"}, {"time": at(when), **said}))
    assert ends(alignment) == ends(before)
    (approach,) = alignment.approaches
    assert approach.outcome == ("discontinued" if "discontinue" in said else "missed")
    assert approach.missed_start == before.approaches[0].missed_start


@cache
def heading_flight(recorded: bool) -> tuple[Flown, float]:
    """3 NM on the first leg, then four minutes on 094 magnetic in still air, then direct CALDU; and when it turned."""
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=3.0)
    flyer.mark("heading")
    flyer.fly_heading(94.0 + VARIATION, 240.0)
    flyer.fly_direct("CALDU", following="DOLPA")
    flown = log(flyer)
    if recorded:
        track = flown.track
        heading = readonly_floats((track.motion.track_deg_true - VARIATION) % 360.0)
        samples = dataclasses.replace(track.samples, channels=MappingProxyType({Channel.HEADING_DEG_MAG: heading}))
        flown = dataclasses.replace(flown, track=dataclasses.replace(track, samples=samples))
    return flown, seconds(flown, "heading")


@pytest.mark.parametrize(
    ("said", "recorded", "asked"),
    [(74.0, True, "094"), (194.0, True, "094"), (194.0, False, ""), (94.0, True, None), (92.0, True, None)],
)
def test_heading_one_digit_off_is_asked_about(said: float, recorded: bool, asked: str | None) -> None:
    flown, turned = heading_flight(recorded)
    alignment = flown.aligned(
        whole(
            {"time": at(turned - 5), "heading_deg_mag": said},
            {"time": at(seconds(flown, "direct CALDU")), "direct": "CALDU"},
        )
    )
    heading = only(alignment, "heading")
    assert bool(heading.doubt) == (asked is not None)
    assert (asked or "") in heading.doubt


def test_a_turn_the_other_way_round_is_a_fact_and_a_question() -> None:
    flown, turned = heading_flight(recorded=True)
    way = "left" if wrapped(94.0 + VARIATION - FIRST) > 0.0 else "right"
    alignment = flown.aligned(
        whole(
            {"time": at(turned - 5), "heading_deg_mag": 94.0, "turn": way},
            {"time": at(seconds(flown, "direct CALDU")), "direct": "CALDU"},
        )
    )
    (fact,) = alignment.facts
    assert f"turn {way}" in fact.text
    assert abs(fact.time_s - START_S - turned) <= 5.0
    assert any(f"turn {way}" in question for question in alignment.questions)


def test_direct_to_one_fix_flown_to_another_is_asked_once() -> None:
    flyer = en_route(wind_kt=15.0)
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=4.0)
    flyer.fly_direct("DOLPA", following="HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    flyer.fly_leg("HOLMA", "FERNU", to_go_nm=4.0)
    flown = log(flyer)
    alignment = flown.aligned(
        whole({"time": at(seconds(flown, "direct DOLPA") - 6), "direct": "CALDU"}, {"cleared": "XSKH/RW27"})
    )
    assert flown.agreement(alignment) >= 0.97
    assert ends(alignment) == ["BRAKO", "DOLPA", "HOLMA", "FERNU"]
    direct = only(alignment, "direct")
    assert direct.origin == "said"
    assert "DOLPA" in direct.doubt
    assert sum("DOLPA" in question for question in alignment.questions) == 1
    (fact,) = alignment.facts
    assert "CALDU" in fact.text


def test_a_heading_that_passes_beside_a_fix_is_no_direct() -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=18.0)
    # Three degrees beside DOLPA all the way: 2 NM off it in the end.
    bearing, distance_nm = bearing_and_distance(flyer.position, FIXES["DOLPA"])
    beside = onward(FIXES["DOLPA"], bearing + 90.0, 2.0)
    flyer.fly_heading(course_between(flyer.position, beside), (distance_nm - 4.0) / 110.0 * 3600.0)
    flyer.fly_heading(bearing - 60.0, 200.0)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert not [item for item in alignment.instructions if item.kind == "direct"]
    assert flown.agreement(alignment) >= 0.95


def touch_and_go_then_missed() -> Flown:
    back = course_between(FIXES["DOLPA"], FIXES["CALDU"])
    flyer = Flyer(
        position=onward(FIXES["DOLPA"], back, 4.0), heading=back + 180.0, altitude_ft=4000.0, target_ft=4000.0
    )
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    flyer.target_ft = 2500.0
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.target_ft, flyer.climb_fpm = 38.0, 300.0
    while flyer.altitude_ft > 88.0:
        flyer.step(FINAL)
    flyer.altitude_ft = flyer.target_ft = 88.0
    flyer.label = ("none", "")
    for _ in range(20):
        flyer.step(FINAL)
    flyer.target_ft, flyer.climb_fpm = 3000.0, 600.0
    flyer.fly_leg("RW27", "VELLA", kind="missed", to_go_nm=0.05)
    return log(flyer)


def test_the_missed_legs_after_a_touch_and_go_are_no_approach() -> None:
    alignment = touch_and_go_then_missed().aligned(whole())
    assert [approach.outcome for approach in alignment.approaches] == ["touch-and-go"]
    assert ends(alignment)[-1] == "VELLA"
    assert told(alignment, len(alignment.leg) - 1) == ("missed", "VELLA")


@pytest.mark.parametrize("cut", [20.0, 30.0])
def test_final_is_joined_within_half_of_its_own_scale(cut: float) -> None:
    meet = onward(FIXES["RW27"], FINAL + 180.0, 4.0)
    flyer = Flyer(
        position=onward(meet, FINAL + cut + 180.0, 5.0), heading=FINAL + cut, altitude_ft=2000.0, target_ft=2000.0
    )
    flyer.fly_heading(FINAL + cut, 135.0 if cut == 20.0 else 140.0)
    # A gentle closing: the needle comes in slowly.
    start = FIXES["FERNU"]
    while True:
        _across, to_go = flyer.steer_line(start, FIXES["RW27"], cut=8.0)
        if to_go < 1.0:
            break
    flown = log(flyer)
    alignment = flown.aligned(
        whole({"time": at(5), "heading_deg_true": (FINAL + cut) % 360.0}, {"time": at(60), "cleared": "XSKH"})
    )
    (leg,) = (leg for leg in alignment.legs if leg.to_ident == "RW27")
    assert leg.path is not None
    samples = flown.track.samples
    first = slice(leg.start, leg.start + 1)
    off = abs(float(leg.path.measure(samples.lat_deg[first], samples.lon_deg[first]).cross_track_nm[0]))
    to_go = float(leg.path.measure(samples.lat_deg[first], samples.lon_deg[first]).to_go_nm[0])
    # FAA AIM 1-1-18 d4: 350 ft at the threshold, splaying from an origin 1,000 ft beyond the runway, at most 0.3 NM.
    apex_ft = flown.plan(whole()).approaches[0].runway.length_ft + 1000.0  # type: ignore[union-attr]
    full = min(0.3, 350.0 / 6076.12 * (apex_ft + to_go * 6076.12) / apex_ft)
    assert off <= 0.5 * full + 0.01


def test_a_hold_without_a_time_that_nothing_shows_is_asked_about(missed: Flown) -> None:
    alignment = missed.aligned(whole({"time": at(60), "cleared": "XSKH/RW27"}, {"hold": {"fix": "CALDU"}}))
    assert only(alignment, "hold").doubt
    assert ends(alignment)[-1] == "PIKES"


def test_instructions_without_a_time_keep_their_place_in_the_file(missed: Flown) -> None:
    alignment = missed.aligned(
        whole({"time": at(100), "altitude_ft": 2500.0}, {"cleared": "XSKH/RW27"}, {"missed": True})
    )
    said = [item for item in alignment.instructions if item.origin == "said"]
    assert [item.kind for item in said] == ["altitude", "cleared", "missed"]
    assert said[1].effect_s >= max(said[0].effect_s, said[0].time_s)
    assert said[1].effect_s <= float(missed.track.samples.time_s[alignment.approaches[0].start]) + 30.0
    assert abs(said[2].effect_s - missed.events["missed"]) <= 10.0


@pytest.mark.parametrize("late_s", [0.0, 55.0])
def test_times_all_off_alike_are_one_question(late_s: float) -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=4.0)
    flyer.mark("heading")
    flyer.fly_heading(FIRST + 40.0, 150.0)
    flyer.mark("second")
    flyer.fly_heading(FIRST - 20.0, 150.0)
    flyer.fly_direct("CALDU", following="DOLPA")
    flown = log(flyer)
    alignment = flown.aligned(
        whole(
            {"time": at(seconds(flown, "heading") + late_s), "heading_deg_true": (FIRST + 40.0) % 360.0},
            {"time": at(seconds(flown, "second") + late_s), "heading_deg_true": (FIRST - 20.0) % 360.0},
            {"time": at(seconds(flown, "direct CALDU") + late_s), "direct": "CALDU"},
        )
    )
    assert len([question for question in alignment.questions if "clock" in question]) == (1 if late_s else 0)
    assert not [item for item in alignment.instructions if item.doubt]


@cache
def levels(*plan: tuple[float, float]) -> Flown:
    flyer = Flyer(position=onward(FIXES["BRAKO"], SECOND, 1.0), heading=SECOND, altitude_ft=4000.0, target_ft=4000.0)
    flyer.label = ("leg", "CALDU")
    for target, lasts_s in plan:
        flyer.target_ft = target
        for _ in range(int(lasts_s * 2)):
            flyer.steer_line(FIXES["BRAKO"], FIXES["CALDU"])
    return log(flyer)


@pytest.mark.parametrize(
    ("said_ft", "asked"), [(2500.0, "3,500"), (3600.0, None), (3500.0, None), (2800.0, None), (3800.0, "3,500")]
)
def test_another_altitude_flown_and_held_is_asked_about(said_ft: float, asked: str | None) -> None:
    flown = levels((4000.0, 120.0), (3500.0, 400.0))
    alignment = flown.aligned(lesson_of(route=ROUTE, clearance=[{"time": at(118), "altitude_ft": said_ft}]))
    doubt = only(alignment, "altitude").doubt
    assert bool(doubt) == (asked is not None)
    assert (asked or "") in doubt


def test_the_next_altitude_flown_at_once_is_asked_about() -> None:
    flown = levels((4000.0, 120.0), (2100.0, 500.0))
    alignment = flown.aligned(
        lesson_of(
            route=ROUTE,
            clearance=[{"time": at(118), "altitude_ft": 3400.0}, {"time": at(500), "altitude_ft": 2100.0}],
        )
    )
    assert "2,100" in next(i for i in alignment.instructions if i.assigned_altitude_ft == 3400.0).doubt


def test_an_altitude_noted_a_minute_late_takes_effect_at_the_level_change() -> None:
    flown = levels((4000.0, 120.0), (2500.0, 400.0))
    alignment = flown.aligned(lesson_of(route=ROUTE, clearance=[{"time": at(190), "altitude_ft": 2500.0}]))
    said = only(alignment, "altitude")
    assert abs(said.effect_s - START_S - 120.0) <= 6.0
    assert not said.doubt
    sample = int(np.searchsorted(flown.track.samples.time_s, START_S + 180.0))
    assert not alignment.altitude_owed[sample]


def test_the_filed_altitude_is_assigned_on_the_way_up_to_it() -> None:
    flyer = Flyer(position=FIXES["XTBN"], heading=FIRST)
    flyer.take_off(FIRST, 40.0, 4000.0)
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=15.0)
    flown = log(flyer)
    alignment = flown.aligned(lesson_of(route=ROUTE))
    climbing = int(np.searchsorted(flown.track.samples.time_s, flown.events["take-off"] + 60.0))
    assert alignment.assigned_altitude_ft[climbing] == 4000.0
    assert not alignment.altitude_owed[climbing]
    assert np.isnan(alignment.assigned_altitude_ft[5])
