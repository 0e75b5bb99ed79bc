"""Whole flights, flown by the constructed flyer of align_flyer.py: what is told must be what was flown."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from align.align_flyer import (
    APPROACH,
    FIXES,
    ROUTE,
    START_S,
    Flown,
    Flyer,
    Position,
    at,
    course_between,
    lesson_of,
    log,
    near_bearing_and_distance,
    onward,
    told,
    wrapped,
)
from legwise.model.alignment import PHASE_WORDS, Alignment, FlownLeg
from legwise.model.lesson import Lesson

FINAL = course_between(FIXES["FERNU"], FIXES["RW27"])
VARIATION = -8.3
"""Roughly, near 46.5N 028W in 2026, by the World Magnetic Model; good to a degree there."""
RIGHT_SHARE = 0.97


def en_route(wind_from: float = 250.0, wind_kt: float = 20.0) -> Flyer:
    course = course_between(FIXES["XTBN"], FIXES["BRAKO"])
    return Flyer(
        position=onward(FIXES["XTBN"], course, 3.0),
        heading=course,
        altitude_ft=4000.0,
        target_ft=4000.0,
        wind_from=wind_from,
        wind_kt=wind_kt,
    )


def finish(flyer: Flyer, *, join: bool = False) -> None:
    """From HOLMA, or from where the final was joined, down to a landing."""
    down = flyer.glide_to("RW27", 88.0)
    if not join:
        flyer.target_ft = 2500.0
        flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.land(FINAL, 88.0)


def magnetic(true: float) -> float:
    return float(round(true - VARIATION) % 360) or 360.0


def leg_to(alignment: Alignment, ident: str) -> FlownLeg:
    return next(leg for leg in alignment.legs if leg.to_ident == ident)


def whole(**clearances: object) -> Lesson:
    return lesson_of(route=ROUTE, approach=[APPROACH], **clearances)


def assert_told(flown: Flown, alignment: Alignment, share: float = RIGHT_SHARE) -> None:
    wrong = [(i, label, told(alignment, i)) for i, label in enumerate(flown.labels) if told(alignment, i) != label]
    assert flown.agreement(alignment) >= share, (len(wrong) / len(flown.labels), wrong[:: max(1, len(wrong) // 15)])


@pytest.mark.parametrize(("wind_from", "wind_kt"), [(250.0, 20.0), (20.0, 25.0), (140.0, 15.0), (0.0, 0.0)])
def test_clean_flight_is_told_leg_by_leg(wind_from: float, wind_kt: float) -> None:
    course = course_between(FIXES["XTBN"], FIXES["BRAKO"])
    flyer = Flyer(position=FIXES["XTBN"], heading=course, wind_from=wind_from, wind_kt=wind_kt)
    flyer.take_off(course, 40.0, 4000.0)
    fly_route(flyer)
    finish(flyer)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    assert [leg.to_ident for leg in alignment.legs] == ["BRAKO", "CALDU", "DOLPA", "HOLMA", "FERNU", "RW27"]
    (approach,) = alignment.approaches
    assert approach.outcome == "landed"
    assert approach.landing is not None
    assert abs(flown.track.samples.time_s[approach.landing] - flown.events["landing"]) <= 5.0
    for leg in alignment.legs[:-1]:
        assert abs(flown.track.samples.time_s[leg.stop] - flown.events[f"passed {leg.to_ident}"]) <= 5.0
    assert [i.kind for i in alignment.instructions] in ([], ["altitude"])
    words = [PHASE_WORDS[code] for code in alignment.phase]
    seen = [words[0]] + [b for a, b in itertools.pairwise(words) if a != b]
    assert [word for word in seen if word != "en-route"] == ["ground", "departure", "terminal", "approach", "ground"]


def fly_route(flyer: Flyer, to: str = "HOLMA") -> None:
    points = ["XTBN", "BRAKO", "CALDU", "DOLPA", "HOLMA", "FERNU"]
    for start, end, following in zip(points[:-2], points[1:-1], points[2:], strict=True):
        flyer.fly_leg(start, end, following)
        if end == to:
            return


@pytest.mark.parametrize("error_s", [-5.0, 20.0, 60.0, -60.0])
def test_heading_then_direct_is_obeyed_where_the_turns_are(error_s: float) -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=3.0)
    flyer.mark("heading")
    flyer.fly_heading(90.0, 200.0)
    flyer.fly_direct("CALDU", following="DOLPA")
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    finish(flyer)
    flown = log(flyer)
    lesson = whole(
        clearance=[
            {"time": at(flyer.events["heading"] - START_S + error_s), "heading_deg_mag": magnetic(90.0)},
            {"time": at(flyer.events["direct CALDU"] - START_S + error_s), "direct": "CALDU"},
            {"cleared": "XSKH/RW27"},
        ]
    )
    alignment = flown.aligned(lesson)
    assert_told(flown, alignment)
    said = {i.kind: i for i in alignment.instructions if i.origin == "said"}
    assert abs(said["heading"].effect_s - flown.events["heading"]) <= 5.0
    assert abs(said["direct"].effect_s - flown.events["direct CALDU"]) <= 5.0
    assert not [i for i in alignment.instructions if i.origin == "inferred" and i.kind != "altitude"]
    direct = leg_to(alignment, "CALDU")
    assert (direct.kind, direct.from_ident) == ("DF", "")


def test_a_direct_goes_on_as_one_leg_over_what_leaves_it_as_it_was() -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=3.0)
    flyer.fly_heading(90.0, 200.0)
    flyer.fly_direct("CALDU", following="DOLPA")
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    finish(flyer)
    flown = log(flyer)
    said_s = flyer.events["direct CALDU"] - START_S
    lesson = whole(
        clearance=[
            {"time": at(said_s - 200.0), "heading_deg_mag": magnetic(90.0)},
            {"time": at(said_s), "direct": "CALDU"},
            {"time": at(said_s + 90.0), "resume": True},
            {"cleared": "XSKH/RW27"},
        ]
    )
    alignment = flown.aligned(lesson)
    assert_told(flown, alignment)
    assert len([leg for leg in alignment.legs if leg.to_ident == "CALDU"]) == 1


def test_instructions_without_times_are_placed_by_their_order() -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=3.0)
    flyer.mark("heading")
    flyer.fly_heading(100.0, 200.0)
    flyer.fly_direct("CALDU", following="DOLPA")
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flown = log(flyer)
    alignment = flown.aligned(whole(clearance=[{"heading_deg_mag": magnetic(100.0)}, {"direct": "CALDU"}]))
    assert_told(flown, alignment)
    heading, direct = (i for i in alignment.instructions if i.kind in ("heading", "direct"))
    assert abs(heading.effect_s - flown.events["heading"]) <= 6.0
    assert abs(direct.effect_s - flown.events["direct CALDU"]) <= 6.0


@pytest.mark.parametrize("offset_nm", [0.4, -0.4])
def test_leg_flown_beside_its_course_stays_that_leg(offset_nm: float) -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", "DOLPA", offset_nm=offset_nm)
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    assert not [i for i in alignment.instructions if i.kind in ("heading", "direct")]


def test_late_turn_stays_on_the_legs_and_its_lead_is_negative() -> None:
    flyer = en_route(wind_kt=0.0)
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", "DOLPA", late_nm=0.5)
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    assert not [i for i in alignment.instructions if i.kind in ("heading", "direct")]
    turn = next(t for t in alignment.turns if t.fix == "CALDU")
    change = abs(
        wrapped(course_between(FIXES["CALDU"], FIXES["DOLPA"]) - course_between(FIXES["CALDU"], FIXES["BRAKO"]) - 180.0)
    )
    # R tan(turn/2) at 110 kt and 3 deg/s: R = 110 / (60 pi) NM (standards: R = V / (60 pi)).
    expected = 110.0 / (60.0 * np.pi) * np.tan(np.radians(change) / 2.0)
    assert turn.expected_lead_nm == pytest.approx(expected, abs=0.02)
    assert turn.lead_nm == pytest.approx(expected - 0.5, abs=0.08)
    assert abs(turn.start_s - flown.events["turn at CALDU"]) <= 4.0


@pytest.mark.parametrize(("cut", "to_go_nm"), [(30.0, 9.0), (45.0, 8.0), (20.0, 4.5), (85.0, 9.0)])
def test_vectors_end_where_the_approach_is_joined_part_way(cut: float, to_go_nm: float) -> None:
    flyer = en_route()
    first = fly_to_vectors(flyer, cut, to_go_nm)
    second = magnetic(flyer.heading)
    finish(flyer, join=to_go_nm < 6.0)
    flown = log(flyer)
    lesson = whole(
        clearance=[
            {"time": at(flyer.events["heading"] - START_S + 4), "heading_deg_mag": magnetic(first)},
            {"time": at(flyer.events["base"] - START_S - 6), "heading_deg_mag": second, "until": "final"},
            {"time": at(flyer.events["base"] - START_S + 20), "cleared": "XSKH/RW27", "altitude_ft": 2500.0},
        ]
    )
    alignment = flown.aligned(lesson)
    assert_told(flown, alignment)
    joined = leg_to(alignment, "FERNU" if to_go_nm > 6.0 else "RW27")
    assert joined.joined_part_way
    # The turn onto the course begins at the mark and takes cut / 3 s.
    assert abs(flown.track.samples.time_s[joined.start] - flown.events["joined"]) <= max(20.0, cut / 3.0)
    there = alignment.approaches[0].joined
    assert there is not None
    assert np.isnan(alignment.assigned_altitude_ft[there + 1])
    assert alignment.assigned_altitude_ft[there - 1] == 2500.0


def fly_to_vectors(flyer: Flyer, cut: float, to_go_nm: float) -> float:
    """The route past DOLPA, a heading away to the left, then one that cuts the final ``to_go_nm`` from the runway.

    Returns the first of the two headings, true.
    """
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", "DOLPA")
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    meet = onward(FIXES["RW27"], course_between(FIXES["RW27"], FIXES["FERNU"]), to_go_nm)
    gate = onward(meet, FINAL + cut + 180.0, 3.0)
    leg = course_between(FIXES["DOLPA"], FIXES["HOLMA"])
    to_go = 30.0
    while wrapped(leg - course_between(onward(FIXES["HOLMA"], leg + 180.0, to_go), gate)) < 35.0:
        to_go -= 0.5
    flyer.fly_leg("DOLPA", "HOLMA", to_go_nm=to_go)
    flyer.mark("heading")
    flyer.target_ft = 2500.0
    first = flyer.heading_for(course_between(flyer.position, gate))
    fly_to(flyer, gate, flyer.radius_nm * 0.8)
    flyer.mark("base")
    fly_to(flyer, meet, max(0.06, flyer.radius_nm * np.tan(np.radians(cut) / 2.0)))
    flyer.mark("joined")
    return first


def fly_to(flyer: Flyer, place: Position, until_nm: float) -> None:
    flyer.label = ("vectors", "")
    for _ in range(9000):
        bearing, distance = near_bearing_and_distance(flyer.position, place)
        if distance < until_nm:
            return
        flyer.step(flyer.heading_for(bearing))


def test_fix_skipped_with_nothing_said_is_an_inferred_direct() -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", to_go_nm=4.0)
    flyer.fly_direct("DOLPA", following="HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    finish(flyer)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    (direct,) = (i for i in alignment.instructions if i.kind == "direct")
    assert (direct.origin, direct.clearance.direct) == ("inferred", "DOLPA")
    assert abs(direct.effect_s - flown.events["direct DOLPA"]) <= 6.0
    assert direct.confidence is not None
    assert direct.confidence > 0.9
    assert any("DOLPA" in question for question in alignment.questions)


def test_vectors_with_nothing_said_are_inferred_with_their_headings() -> None:
    flyer = en_route(wind_kt=0.0)
    first = fly_to_vectors(flyer, 30.0, 8.5)
    second = flyer.heading
    finish(flyer)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    headings = [i for i in alignment.instructions if i.kind == "heading"]
    assert len(headings) == 2
    assert all(i.origin == "inferred" and i.doubt for i in headings)
    # Still air: the track is the heading, but for a bend while the flyer homes on a point.
    for heading, true in zip(headings, (first, second), strict=True):
        told_deg = heading.clearance.heading_deg_mag
        assert told_deg is not None
        assert abs(wrapped(told_deg - magnetic(true))) <= 3.0


def missed_flight(flyer: Flyer) -> None:
    down = flyer.glide_to("RW27", 88.0)
    flyer.target_ft = 2500.0
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.9, each=down)
    flyer.mark("missed")
    flyer.climb_fpm, flyer.target_ft = 600.0, 3000.0
    flyer.fly_leg("RW27", "VELLA", kind="missed", to_go_nm=0.05)
    flyer.mark("turn to PIKES")
    flyer.label = ("missed", "PIKES")
    flyer.fly_direct("PIKES", until_nm=0.2)
    flyer.labels = [
        ("missed", "PIKES") if START_S + row[0] >= flyer.events["turn to PIKES"] else label
        for row, label in zip(flyer.rows, flyer.labels, strict=True)
    ]


def test_missed_approach_is_told_from_the_climb_on() -> None:
    flyer = en_route()
    fly_route(flyer)
    missed_flight(flyer)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert_told(flown, alignment)
    (approach,) = alignment.approaches
    assert approach.outcome == "missed"
    assert approach.missed_start is not None
    assert approach.faf is not None
    assert abs(flown.track.samples.time_s[approach.missed_start] - flown.events["missed"]) <= 8.0
    assert PHASE_WORDS[alignment.phase[approach.missed_start + 30]] == "missed"


def test_same_approach_twice_stands_twice() -> None:
    flyer = en_route()
    fly_route(flyer)
    missed_flight(flyer)
    flyer.mark("direct HOLMA again")
    flyer.events.pop("direct HOLMA", None)
    flyer.fly_direct("HOLMA", following="FERNU")
    finish(flyer)
    flown = log(flyer)
    lesson = whole(
        clearance=[
            {"cleared": "XSKH/RW27", "time": at(flyer.events["passed DOLPA"] - START_S + 60)},
            {"direct": "HOLMA", "time": at(flyer.events["direct HOLMA"] - START_S)},
            {"cleared": "XSKH", "time": at(flyer.events["direct HOLMA"] - START_S + 200)},
        ]
    )
    alignment = flown.aligned(lesson)
    assert_told(flown, alignment)
    assert [a.outcome for a in alignment.approaches] == ["missed", "landed"]
    finals = [leg for leg in alignment.legs if leg.to_ident == "RW27"]
    assert len(finals) == 2
    assert finals[0].id != finals[1].id


def test_fly_over_fix_changes_the_leg_on_passing_and_has_no_turn() -> None:
    flyer = en_route()
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", "DOLPA", fly_over=True)
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flown = log(flyer)
    lesson = whole()
    fixes = tuple(f.model_copy(update={"fly_over": f.ident == "CALDU"}) for f in lesson.fix)
    alignment = flown.aligned(lesson.model_copy(update={"fix": fixes}))
    assert_told(flown, alignment)
    assert "CALDU" not in [turn.fix for turn in alignment.turns]
    assert abs(flown.track.samples.time_s[leg_to(alignment, "CALDU").stop] - flown.events["passed CALDU"]) <= 3.0


def test_hold_runs_from_the_fix_to_the_next_instruction() -> None:
    flyer = en_route(wind_kt=0.0)
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=0.05)
    flyer.mark("hold")
    flyer.label = ("hold", "")
    inbound = flyer.track
    for _ in range(3):
        for heading in (inbound + 90, inbound + 180, inbound + 270, inbound):
            for _ in range(60 if heading in (inbound + 90, inbound + 270) else 180):
                flyer.step(heading)
    flyer.fly_direct("DOLPA", following="HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    flown = log(flyer)
    lesson = whole(
        clearance=[
            {"time": at(flyer.events["hold"] - START_S - 240), "hold": {"fix": "CALDU", "altitude_ft": 4000.0}},
            {"time": at(flyer.events["direct DOLPA"] - START_S + 10), "direct": "DOLPA"},
        ]
    )
    alignment = flown.aligned(lesson)
    assert_told(flown, alignment)


def test_touch_and_go_then_a_full_stop() -> None:
    flyer = en_route()
    fly_route(flyer)
    down = flyer.glide_to("RW27", 88.0)
    flyer.target_ft = 2500.0
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.target_ft, flyer.climb_fpm = 38.0, 300.0
    while flyer.altitude_ft > 88.0:
        flyer.step(flyer.heading_for(FINAL))
    flyer.mark("touch")
    flyer.altitude_ft = flyer.target_ft = 88.0
    flyer.label = ("none", "")
    for _ in range(20):
        flyer.step(flyer.heading_for(FINAL))
    flyer.target_ft, flyer.climb_fpm = 3000.0, 600.0
    for _ in range(80):
        flyer.step(flyer.heading_for(FINAL))
    flyer.fly_direct("DOLPA", following="HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    finish(flyer)
    flown = log(flyer)
    alignment = flown.aligned(whole())
    assert [a.outcome for a in alignment.approaches] == ["touch-and-go", "landed"]
    first = alignment.approaches[0].landing
    assert first is not None
    assert abs(flown.track.samples.time_s[first] - flown.events["touch"]) <= 6.0
    assert_told(flown, alignment, 0.96)
