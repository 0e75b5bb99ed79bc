"""Legs of every kind as flown: arcs, holds in lieu, procedure turns, courses and headings from anywhere."""

from __future__ import annotations

import math

import numpy as np
import pytest

from align.align_flyer import (
    APPROACH,
    FIXES,
    STEP_S,
    Flown,
    Flyer,
    at,
    course_between,
    lesson_of,
    log,
    near_bearing_and_distance,
    onward,
    told,
    wrapped,
)
from legwise.model.alignment import GUIDANCE_WORDS, Alignment, FlownLeg

FINAL = course_between(FIXES["FERNU"], FIXES["RW27"])
RIGHT_SHARE = 0.97
INTERCEPT_DEG = 30.0


def assert_told(flown: Flown, alignment: Alignment, share: float = RIGHT_SHARE) -> None:
    wrong = [(i, label, told(alignment, i)) for i, label in enumerate(flown.labels) if told(alignment, i) != label]
    assert len(wrong) <= (1.0 - share) * len(flown.labels), (
        len(wrong) / len(flown.labels),
        wrong[:: max(1, len(wrong) // 15)],
    )


def leg_of(alignment: Alignment, kind: str) -> FlownLeg:
    return next(leg for leg in alignment.legs if leg.kind == kind)


def turn_to(flyer: Flyer, track: float, way: str) -> None:
    """A turn at 3 deg/s the given way round until the track is good."""
    sign = 1.0 if way == "right" else -1.0
    for _ in range(400):
        if abs(wrapped(flyer.track - track)) < 3.0:
            break
        flyer.step(flyer.heading + sign * 20.0)
    for _ in range(10):
        flyer.step(flyer.heading_for(track))


def straight(flyer: Flyer, track: float, seconds: float) -> None:
    for _ in range(int(seconds / STEP_S)):
        flyer.step(flyer.heading_for(track))


def land(flyer: Flyer) -> None:
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.land(FINAL, 88.0)


def inbound(course: float, from_nm: float = 6.0) -> Flyer:
    """On the way to HOLMA, clear of everything."""
    here = onward(FIXES["HOLMA"], course + 180.0, from_nm)
    return Flyer(position=here, heading=course, wind_from=250.0, wind_kt=15.0)


@pytest.mark.parametrize("wind_kt", [0.0, 20.0])
def test_a_hold_in_lieu_is_a_hold_and_then_the_approach_goes_on(wind_kt: float) -> None:
    to_fernu = course_between(FIXES["HOLMA"], FIXES["FERNU"])
    flyer = inbound(to_fernu + 180.0 - 20.0)  # from the far side: a teardrop entry
    flyer.wind_kt = wind_kt
    flyer.fly_direct("HOLMA", until_nm=0.05)
    flyer.label = ("hold", "HOLMA")
    straight(flyer, to_fernu + 180.0 - 30.0, 60.0)
    turn_to(flyer, to_fernu, "right")
    flyer.target_ft = 2500.0
    for _ in range(2000):
        _across, to_go = flyer.steer_line(onward(FIXES["HOLMA"], to_fernu + 180.0, 8.0), FIXES["HOLMA"])
        if to_go < 0.0:
            break
    flyer.label = ("leg", "FERNU")
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=flyer.glide_to("RW27", 88.0))
    land(flyer)
    flown = log(flyer)
    approach = {
        **APPROACH,
        "leg": [
            {"path": "IF", "fix": "HOLMA", "altitude": {"at_or_above_ft": 3000.0}},
            {
                "path": "HF",
                "fix": "HOLMA",
                "inbound_course_deg_true": to_fernu,
                "turn": "right",
                "leg_minutes": 1.0,
            },
            {"path": "TF", "fix": "FERNU", "altitude": {"at_or_above_ft": 2000.0}, "role": "FAF"},
            {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
        ],
    }
    lesson = lesson_of(route={"points": ["DOLPA", "HOLMA"]}, approach=[approach])

    alignment = flown.aligned(lesson)

    assert_told(flown, alignment, 0.95)
    assert alignment.approaches[0].outcome == "landed"


def test_straight_in_a_hold_in_lieu_is_left_out_without_ado() -> None:
    to_fernu = course_between(FIXES["HOLMA"], FIXES["FERNU"])
    flyer = inbound(to_fernu)
    flyer.fly_direct("HOLMA", following="FERNU")
    flyer.label = ("leg", "FERNU")
    flyer.target_ft = 2500.0
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=flyer.glide_to("RW27", 88.0))
    land(flyer)
    flown = log(flyer)
    approach = {
        **APPROACH,
        "leg": [
            {"path": "IF", "fix": "HOLMA"},
            {"path": "HF", "fix": "HOLMA", "inbound_course_deg_true": to_fernu, "turn": "right", "leg_nm": 4.0},
            {"path": "TF", "fix": "FERNU", "role": "FAF"},
            {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
        ],
    }

    alignment = flown.aligned(lesson_of(approach=[approach]))

    assert_told(flown, alignment)
    assert all(leg.kind != "HF" for leg in alignment.legs)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_procedure_turn_is_told_from_its_fix_until_the_course_back(side: str) -> None:
    back = course_between(FIXES["HOLMA"], FIXES["FERNU"])
    sign = 1.0 if side == "right" else -1.0
    flyer = inbound(back + 180.0 + 10.0)
    flyer.fly_direct("HOLMA", until_nm=0.05)
    flyer.label = ("procedure-turn", "HOLMA")
    straight(flyer, back + 180.0, 60.0)
    turn_to(flyer, back + 180.0 + sign * 45.0, side)
    straight(flyer, back + 180.0 + sign * 45.0, 60.0)
    turn_to(flyer, back + sign * 45.0, "left" if side == "right" else "right")
    out = onward(FIXES["HOLMA"], back + 180.0, 12.0)
    for _ in range(2000):
        across, _to_go = flyer.steer_line(out, FIXES["HOLMA"], cut=45.0)
        if abs(across) < 0.25:
            break
    flyer.label = ("leg", "HOLMA")
    flyer.target_ft = 2500.0
    for _ in range(2000):
        _across, to_go = flyer.steer_line(out, FIXES["HOLMA"])
        if to_go < 0.0:
            break
    flyer.label = ("leg", "FERNU")
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=flyer.glide_to("RW27", 88.0))
    land(flyer)
    flown = log(flyer)
    approach = {
        **APPROACH,
        "leg": [
            {"path": "IF", "fix": "HOLMA", "role": "IAF"},
            {
                "path": "PI",
                "fix": "HOLMA",
                "outbound_course_deg_true": (back + 180.0) % 360.0,
                "turn": side,
                "limit_nm": 10.0,
            },
            {"path": "CF", "fix": "HOLMA", "course_deg_true": back % 360.0},
            {"path": "TF", "fix": "FERNU", "role": "FAF"},
            {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
        ],
    }

    alignment = flown.aligned(lesson_of(approach=[approach]))

    assert_told(flown, alignment, 0.95)


def test_an_arc_is_told_as_one_and_measured_by_its_radius() -> None:
    radius = near_bearing_and_distance(FIXES["XSKH"], FIXES["HOLMA"])[1]
    onto, to_holma = (course_between(FIXES["XSKH"], FIXES[fix]) for fix in ("DOLPA", "HOLMA"))
    begin = onward(FIXES["XSKH"], onto, radius)
    FIXES["ARCIN"] = begin
    try:
        # Outbound on the radial, a quarter turn onto the arc, anticlockwise round to HOLMA.
        flyer = Flyer(position=onward(begin, onto + 180.0, 6.0), heading=onto, wind_from=300.0, wind_kt=12.0)
        flyer.fly_direct("ARCIN", until_nm=flyer.radius_nm)
        flyer.label = ("arc", "HOLMA")
        lead = flyer.radius_nm
        for _ in range(6000):
            bearing, away = near_bearing_and_distance(FIXES["XSKH"], flyer.position)
            left = wrapped(bearing - to_holma) * math.pi / 180.0 * radius
            if left < lead:
                break
            aim = max(-40.0, min(40.0, 60.0 * (away - radius)))
            flyer.step(flyer.heading_for(bearing - 90.0 - aim))
        flyer.label = ("leg", "FERNU")
        flyer.target_ft = 2500.0
        flyer.fly_leg("HOLMA", "FERNU", "RW27", each=flyer.glide_to("RW27", 88.0))
        land(flyer)
        flown = log(flyer)
        approach = {
            **APPROACH,
            "guidance": "VOR",
            "leg": [
                {"path": "IF", "fix": "ARCIN", "role": "IAF"},
                {"path": "AF", "fix": "HOLMA", "centre": "XSKH", "radius_nm": radius, "turn": "left"},
                {"path": "TF", "fix": "FERNU", "role": "FAF"},
                {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
            ],
            "minima": {"mda_ft": 600.0},
        }

        alignment = flown.aligned(lesson_of(approach=[approach]))

        assert_told(flown, alignment)
        leg = leg_of(alignment, "AF")
        samples = flown.track.samples
        here = slice(leg.start + 60, leg.stop - 40)
        assert leg.path is not None
        across = leg.path.measure(samples.lat_deg[here], samples.lon_deg[here]).cross_track_nm
        assert float(np.abs(across).max()) < 0.2
    finally:
        del FIXES["ARCIN"]


def test_a_missed_approach_is_climbed_straight_ahead_then_direct_then_held() -> None:
    flyer = inbound(course_between(FIXES["HOLMA"], FIXES["FERNU"]))
    flyer.fly_direct("HOLMA", following="FERNU")
    flyer.label = ("leg", "FERNU")
    flyer.target_ft = 2500.0
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)

    def until_minima() -> None:
        down()
        flyer.target_ft = max(flyer.target_ft, 400.0)

    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.7, each=until_minima)
    flyer.label = ("missed", "")
    flyer.climb_fpm, flyer.target_ft = 600.0, 3000.0
    while flyer.altitude_ft < 1200.0:
        flyer.step(flyer.heading_for(FINAL))
    flyer.label = ("missed", "VELLA")
    flyer.fly_direct("VELLA", until_nm=0.05)
    flyer.labels = [("missed", to) if kind == "direct" and to == "VELLA" else (kind, to) for kind, to in flyer.labels]
    flyer.label = ("hold", "VELLA")
    toward = flyer.track
    for _ in range(2):
        turn_to(flyer, toward + 180.0, "right")
        straight(flyer, toward + 180.0, 55.0)
        turn_to(flyer, toward, "right")
        straight(flyer, toward, 50.0)
    flown = log(flyer)
    approach = {
        **APPROACH,
        "missed": [
            {"path": "CA", "course_deg_true": FINAL, "altitude": {"at_or_above_ft": 1200.0}},
            {"path": "DF", "fix": "VELLA", "altitude": {"at_or_above_ft": 3000.0}},
            {
                "path": "HM",
                "fix": "VELLA",
                "inbound_course_deg_true": toward,
                "turn": "right",
                "leg_minutes": 1.0,
            },
        ],
    }

    alignment = flown.aligned(lesson_of(approach=[approach]))

    assert_told(flown, alignment, 0.95)
    climb = leg_of(alignment, "CA")
    assert climb.path is not None
    assert abs(wrapped(climb.path.start_course_deg_true - FINAL)) < 0.01
    assert alignment.approaches[0].outcome == "missed"


def test_a_turn_back_to_a_hold_on_the_final_course_is_no_second_approach() -> None:
    flyer = inbound(course_between(FIXES["HOLMA"], FIXES["FERNU"]))
    flyer.fly_direct("HOLMA", following="FERNU")
    flyer.label = ("leg", "FERNU")
    flyer.target_ft = 2500.0
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)

    def until_minima() -> None:
        down()
        flyer.target_ft = max(flyer.target_ft, 600.0)

    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.0, each=until_minima)
    flyer.label = ("missed", "")
    flyer.climb_fpm, flyer.target_ft = 700.0, 3000.0
    while flyer.altitude_ft < 1200.0:
        flyer.step(flyer.heading_for(FINAL))
    flyer.fly_direct("FERNU", until_nm=0.05)
    flyer.labels = [("missed", to) if (kind, to) == ("direct", "FERNU") else (kind, to) for kind, to in flyer.labels]
    flyer.label = ("hold", "FERNU")
    straight(flyer, FINAL + 180.0, 60.0)
    turn_to(flyer, FINAL, "left")
    for _ in range(2):
        for _ in range(1500):
            _across, to_go = flyer.steer_line(onward(FIXES["FERNU"], FINAL + 180.0, 8.0), FIXES["FERNU"], cut=45.0)
            if to_go < 0.0:
                break
        turn_to(flyer, FINAL + 180.0, "right")
        straight(flyer, FINAL + 180.0, 60.0)
        turn_to(flyer, FINAL, "right")
    flown = log(flyer)
    approach = {
        **APPROACH,
        "guidance": "LNAV",
        "minima": {"mda_ft": 600.0},
        "missed": [
            {"path": "CA", "course_deg_true": FINAL, "altitude": {"at_or_above_ft": 1200.0}},
            {"path": "DF", "fix": "FERNU", "altitude": {"at_or_above_ft": 3000.0}},
            {"path": "HM", "fix": "FERNU", "inbound_course_deg_true": FINAL, "turn": "right", "leg_minutes": 1.0},
        ],
    }

    alignment = flown.aligned(lesson_of(approach=[approach]))

    assert_told(flown, alignment, 0.96)
    assert [item.outcome for item in alignment.approaches] == ["missed"]


def test_a_heading_leg_owes_a_heading_and_no_path() -> None:
    flyer = inbound(course_between(FIXES["HOLMA"], FIXES["FERNU"]))
    flyer.fly_direct("HOLMA", following="FERNU")
    flyer.label = ("leg", "FERNU")
    flyer.target_ft = 2500.0
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=1.0, each=down)
    flyer.label = ("missed", "")
    flyer.climb_fpm, flyer.target_ft = 700.0, 3000.0
    for _ in range(int(400 / STEP_S)):
        flyer.step(180.0 if flyer.altitude_ft > 1500.0 else FINAL)
    flown = log(flyer)
    approach = {
        **APPROACH,
        "missed": [
            {"path": "VA", "heading_deg_true": FINAL, "altitude": {"at_or_above_ft": 1500.0}},
            {"path": "VM", "heading_deg_true": 180.0},
        ],
    }

    alignment = flown.aligned(lesson_of(approach=[approach]))

    assert_told(flown, alignment)
    manual = leg_of(alignment, "VM")
    assert manual.path is None
    assert GUIDANCE_WORDS[int(alignment.guidance[manual.stop - 1])] == "missed"


def test_a_hold_that_nobody_wrote_down_is_found_by_its_circuits_and_asked_about() -> None:
    course = course_between(FIXES["BRAKO"], FIXES["CALDU"])
    flyer = Flyer(position=onward(FIXES["CALDU"], course + 180.0, 8.0), heading=course, wind_from=200.0, wind_kt=12.0)
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=0.0)
    flyer.label = ("hold", "")
    for _ in range(2):
        turn_to(flyer, course + 180.0, "right")
        straight(flyer, course + 180.0, 60.0)
        turn_to(flyer, course, "right")
        for _ in range(1000):
            _across, to_go = flyer.steer_line(FIXES["BRAKO"], FIXES["CALDU"], cut=45.0)
            if to_go < 0.0:
                break
    flyer.label = ("leg", "DOLPA")
    flyer.fly_leg("CALDU", "DOLPA", to_go_nm=8.0)
    flown = log(flyer)

    alignment = flown.aligned(lesson_of(route={"points": ["BRAKO", "CALDU", "DOLPA"]}))

    assert_told(flown, alignment, 0.95)
    (hold,) = [item for item in alignment.instructions if item.kind == "hold"]
    assert (hold.origin, hold.clearance.hold and hold.clearance.hold.fix) == ("inferred", "CALDU")
    assert any("circled CALDU" in question for question in alignment.questions)


def test_where_the_route_leads_to_the_aerodrome_along_final_the_approach_is_flown() -> None:
    to_fernu = course_between(FIXES["HOLMA"], FIXES["FERNU"])
    flyer = inbound(to_fernu)
    flyer.fly_direct("HOLMA", following="FERNU")
    flyer.target_ft = 2500.0
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=flyer.glide_to("RW27", 88.0))
    land(flyer)
    final_only = [
        {"path": "IF", "fix": "FERNU", "role": "FAF"},
        {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
    ]
    lesson = lesson_of(route={"points": ["DOLPA", "HOLMA", "XSKH"]}, approach=[{**APPROACH, "leg": final_only}])

    alignment = log(flyer).aligned(lesson)

    assert [item.outcome for item in alignment.approaches] == ["landed"]


def test_what_a_draft_wrote_down_and_nobody_confirmed_stays_a_question() -> None:
    flyer = inbound(course_between(FIXES["HOLMA"], FIXES["FERNU"]))
    flyer.fly_direct("HOLMA", until_nm=0.3)
    flown = log(flyer)
    route = {"points": ["DOLPA", "HOLMA"]}

    def told_by(**confirmed: bool) -> Alignment:
        said = {"time": at(0.0), "direct": "HOLMA", **confirmed}
        return flown.aligned(lesson_of(route=route, clearance=[said]))

    unconfirmed, confirmed, plain = told_by(confirmed=False), told_by(confirmed=True), told_by()

    assert [item.origin for item in unconfirmed.instructions] == ["inferred"]
    assert any("direct HOLMA" in question and "not confirmed" in question for question in unconfirmed.questions)
    assert [item.origin for item in (*confirmed.instructions, *plain.instructions)] == ["said", "said"]
    assert not confirmed.questions
