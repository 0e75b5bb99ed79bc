"""Each path terminator written out: path, ends, courses and what it owes, against GeographicLib constructions.

The 23 of ARINC 424 (standards sheet 11.2) with the keys of the contract's table of legs written out.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import Any, get_args

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from legwise.model.lesson import Lesson, PathTerminator
from legwise.model.plan import AltitudeWindow, Leg, LegEnd, Plan
from legwise.plan import make_plan

DATE = dt.date(2026, 4, 18)
WEST = -8.0
"""The variation of the station that every course here goes by: true = magnetic - 8."""
START = (46.5, -28.0)
NM = 1e-6
DEG = 1e-6
METRE = 1 / 1852.0


def away(course_deg: float, distance_nm: float, place: tuple[float, float] = START) -> tuple[float, float]:
    """The position at a distance on a course, by GeographicLib."""
    point = Geodesic.WGS84.Direct(*place, course_deg, distance_nm * 1852.0)
    return point["lat2"], point["lon2"]


def between(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float, float]:
    """Distance [NM], course at the first and on arrival at the other [deg], by GeographicLib."""
    line = Geodesic.WGS84.Inverse(*one, *other)
    return line["s12"] / 1852.0, line["azi1"] % 360.0, line["azi2"] % 360.0


PLACES = {
    "START": START,
    "NORTH": away(10.0, 12.0),
    "ONARC": away(90.0, 10.0),
    "TOARC": away(180.0, 10.0),
    "TURNS": away(0.0, 3.0, away(90.0, 10.0)),
}


def fixes() -> list[dict[str, Any]]:
    named = [{"ident": name, "lat_deg": lat, "lon_deg": lon} for name, (lat, lon) in PLACES.items()]
    return [*named, {"ident": "STN", "lat_deg": START[0], "lon_deg": START[1], "kind": "vor", "variation_deg": WEST}]


def plan_with(legs: list[dict[str, Any]], missed: list[dict[str, Any]] | None = None, **more: Any) -> Plan:
    approach = {"airport": "XSKH", "navaid": "STN", "title": "Test", "leg": legs, "missed": missed or [], **more}
    return make_plan(Lesson.model_validate({"fix": fixes(), "approach": [approach]}), date=DATE)


def leg_after(first: dict[str, Any], *legs: dict[str, Any]) -> Leg:
    """The second of two legs, with more after it if given."""
    return plan_with([first, *legs]).approaches[0].legs[1]


def missed_leg(leg: dict[str, Any]) -> Leg:
    return plan_with([{"path": "IF", "fix": "START"}], [leg]).approaches[0].missed[0]


def at(leg: Leg, place: tuple[float, float]) -> tuple[float, float, float]:
    """Cross-track, distance to go [NM] and course [deg] of the leg's path at a position."""
    assert leg.path is not None
    found = leg.path.measure(np.array([place[0]]), np.array([place[1]]))
    return float(found.cross_track_nm[0]), float(found.to_go_nm[0]), float(found.course_deg_true[0])


IF = {"path": "IF", "fix": "START"}


def test_every_terminator_of_the_trade_is_made() -> None:
    """One chain of each, so that none is refused for its kind."""
    there = {"turn": "right", "radius_nm": 10.0, "course_deg_mag": 100.0, "heading_deg_mag": 100.0}
    more: dict[str, dict[str, Any]] = {
        "RF": {"centre": "START", "turn": "right"},
        "AF": {"centre": "STN", **{key: there[key] for key in ("turn", "radius_nm")}},
        "PI": {"outbound_course_deg_mag": 100.0, "turn": "left", "limit_nm": 10.0},
    }
    for hold in ("HA", "HF", "HM"):
        more[hold] = {"inbound_course_deg_mag": 100.0, "turn": "left", "altitude": {"at_ft": 3000}}
    ends: dict[str, dict[str, Any]] = {
        "A": {"altitude": {"at_or_above_ft": 900}},
        "C": {"distance_nm": 4.0},
        "D": {"dme": "STN", "distance_nm": 20.0},
        "R": {"navaid": "STN", "radial_deg_mag": 20.0},
    }
    for kind in get_args(PathTerminator):
        leg: dict[str, Any] = {"path": kind}
        if kind not in ("CA", "CD", "CI", "CR", "VA", "VD", "VI", "VM", "VR"):
            leg["fix"] = "TOARC"
        if kind[0] in "CF" and kind != "IF":
            leg["course_deg_mag"] = 100.0
        if kind[0] == "V":
            leg["heading_deg_mag"] = 100.0
        leg |= more.get(kind, ends.get(kind[1], {}) if kind[0] in "CFV" else {})
        made = leg_after({"path": "IF", "fix": "ONARC"}, leg, {"path": "CF", "fix": "NORTH", "course_deg_mag": 20.0})
        assert made.kind == kind


def test_a_radius_to_fix_is_the_arc_about_its_centre() -> None:
    leg = leg_after({"path": "IF", "fix": "ONARC"}, {"path": "RF", "fix": "TOARC", "centre": "START", "turn": "right"})
    out, _bearing, outward = between(START, PLACES["ONARC"])
    _out, _bearing, last_outward = between(START, PLACES["TOARC"])

    assert leg.path is not None
    assert leg.radius_nm == pytest.approx(out, abs=1e-9)
    assert leg.centre is not None
    assert leg.centre.ident == "START"
    # The arc is square to the lines from its centre: clockwise, a right angle on from them.
    assert leg.course_deg_true == pytest.approx(outward + 90.0, abs=DEG)
    assert leg.course_deg_mag == pytest.approx(outward + 90.0 - WEST, abs=DEG)
    assert leg.path.end_course_deg_true == pytest.approx((last_outward + 90.0) % 360.0, abs=DEG)
    # A quarter of a circle of 10 NM on the sphere of the earth's mean radius there: r sin(r / R) less than pi/2 r.
    assert leg.distance_nm == pytest.approx(math.pi / 2 * 10.0, abs=1e-4)
    assert at(leg, away(135.0, 10.5))[0] == pytest.approx(-0.5, abs=METRE)
    assert at(leg, away(135.0, 10.5))[1] == pytest.approx(math.pi / 4 * 10.0, abs=1e-4)


def test_the_centre_may_be_a_position() -> None:
    centre = {"lat_deg": START[0], "lon_deg": START[1]}
    leg = leg_after({"path": "IF", "fix": "ONARC"}, {"path": "RF", "fix": "TOARC", "centre": centre, "turn": "left"})

    assert leg.distance_nm == pytest.approx(3 * math.pi / 2 * 10.0, abs=1e-3)


def test_a_dme_arc_starts_abeam_the_fix_before_it_and_keeps_its_published_radius() -> None:
    leg = leg_after(
        {"path": "IF", "fix": "ONARC"},
        {"path": "AF", "fix": "TOARC", "centre": "STN", "radius_nm": 10.1, "turn": "right"},
    )

    assert leg.path is not None
    assert leg.radius_nm == 10.1
    assert leg.from_fix is not None
    assert leg.from_fix.ident == "ONARC"
    # 10 NM from the station on an arc of 10.1: inside it, and with the station on the right that is right of it.
    assert at(leg, PLACES["ONARC"])[0] == pytest.approx(0.1, abs=METRE)
    assert at(leg, PLACES["TOARC"])[1] == pytest.approx(0.0, abs=METRE)
    assert leg.path.length_nm == pytest.approx(at(leg, PLACES["ONARC"])[1], abs=METRE)


@pytest.mark.parametrize(
    ("leg", "end"),
    [
        ({"path": "FA", "altitude": {"at_or_above_ft": 900}}, LegEnd(kind="altitude")),
        ({"path": "FM"}, LegEnd(kind="manual")),
    ],
)
def test_a_track_from_a_fix_without_an_end_on_the_ground_runs_on(leg: dict[str, Any], end: LegEnd) -> None:
    made = missed_leg({**leg, "fix": "NORTH", "course_deg_mag": 98.0})

    assert made.end == end
    assert made.path is not None
    assert math.isinf(made.path.length_nm)
    assert made.distance_nm is None
    assert made.to_fix is None
    assert made.from_fix is not None
    assert made.from_fix.ident == "NORTH"
    assert made.course_deg_true == pytest.approx(90.0)
    off, to_go, _course = at(made, away(90.0, 30.0, PLACES["NORTH"]))
    assert off == pytest.approx(0.0, abs=METRE)
    assert math.isnan(to_go)


def test_a_track_from_a_fix_for_a_distance_is_that_long() -> None:
    leg = missed_leg({"path": "FC", "fix": "NORTH", "course_deg_true": 75.0, "distance_nm": 7.5})
    end = away(75.0, 7.5, PLACES["NORTH"])

    assert leg.end == LegEnd(kind="distance", distance_nm=7.5)
    assert leg.distance_nm == 7.5
    assert at(leg, end)[:2] == pytest.approx((0.0, 0.0), abs=METRE)


def test_a_track_from_a_fix_to_a_dme_distance_ends_on_its_circle() -> None:
    leg = missed_leg({"path": "FD", "fix": "NORTH", "course_deg_true": 75.0, "dme": "STN", "distance_nm": 25.0})

    assert leg.path is not None
    assert leg.end is not None
    assert (leg.end.kind, leg.end.distance_nm) == ("dme", 25.0)
    assert leg.distance_nm is not None
    lat, lon = leg.path.point_at(np.zeros(1))
    assert between(START, (float(lat[0]), float(lon[0])))[0] == pytest.approx(25.0, abs=METRE)
    assert at(leg, away(75.0, leg.distance_nm, PLACES["NORTH"]))[1] == pytest.approx(0.0, abs=METRE)


@pytest.mark.parametrize(
    ("leg", "end"),
    [
        ({"path": "CA", "altitude": {"at_or_above_ft": 900}}, "altitude"),
        ({"path": "CI"}, "intercept"),
        ({"path": "CD", "dme": "STN", "distance_nm": 20.0}, "dme"),
        ({"path": "CR", "navaid": "STN", "radial_deg_mag": 20.0}, "radial"),
    ],
)
def test_a_course_from_anywhere_has_no_path_before_the_flight(leg: dict[str, Any], end: str) -> None:
    made = missed_leg({**leg, "course_deg_mag": 275.0})

    assert made.path is None
    assert made.to_fix is None
    assert made.course_deg_true == pytest.approx(275.0 + WEST)
    assert made.course_deg_mag == 275.0
    assert made.heading_deg_true is None
    assert made.end is not None
    assert made.end.kind == end


@pytest.mark.parametrize(
    ("leg", "end"),
    [
        ({"path": "VA", "altitude": {"at_or_above_ft": 900}}, "altitude"),
        ({"path": "VD", "dme": "STN", "distance_nm": 20.0}, "dme"),
        ({"path": "VI"}, "intercept"),
        ({"path": "VM"}, "manual"),
        ({"path": "VR", "navaid": "STN", "radial_deg_mag": 20.0}, "radial"),
    ],
)
def test_on_a_heading_leg_a_heading_is_owed_and_no_track(leg: dict[str, Any], end: str) -> None:
    made = missed_leg({**leg, "heading_deg_mag": 5.0})

    assert made.path is None
    assert made.course_deg_true is None
    assert made.course_deg_mag is None
    assert made.heading_deg_true == pytest.approx(357.0)
    assert made.heading_deg_mag == 5.0
    assert made.end is not None
    assert made.end.kind == end


def test_a_radial_is_by_its_stations_variation() -> None:
    made = missed_leg({"path": "VR", "heading_deg_mag": 5.0, "navaid": "STN", "radial_deg_mag": 20.0})

    assert made.end is not None
    assert made.end.radial_deg_true == pytest.approx(20.0 + WEST)
    assert made.end.radial_deg_mag == 20.0


@pytest.mark.parametrize(("kind", "end"), [("HA", "altitude"), ("HF", None), ("HM", "manual")])
def test_a_hold_begins_and_ends_at_its_fix_and_owes_its_inbound_course(kind: str, end: str | None) -> None:
    leg = missed_leg(
        {"path": kind, "fix": "NORTH", "inbound_course_deg_mag": 180.0, "turn": "left", "leg_nm": 4.0,
         "altitude": {"at_or_above_ft": 3000}}
    )  # fmt: skip

    assert leg.hold is not None
    assert leg.from_fix is leg.to_fix is leg.hold.fix
    assert leg.hold.inbound_course_deg_true == pytest.approx(172.0)
    assert leg.course_deg_true == pytest.approx(172.0)
    assert (leg.hold.turn, leg.hold.leg_nm, leg.hold.leg_minutes) == ("left", 4.0, None)
    assert leg.path is None
    assert (leg.end.kind if leg.end is not None else None) == end
    assert leg.fly_over


def test_a_hold_that_names_no_side_turns_right_and_says_so() -> None:
    # Right turns are the standard: FAA AIM 5-3-8 j1.
    plan = plan_with([IF], [{"path": "HM", "fix": "NORTH", "inbound_course_deg_mag": 180.0}])
    hold = plan.approaches[0].missed[-1].hold

    assert hold is not None
    assert hold.turn == "right"
    assert any("the hold at north names no side" in note.lower() for note in plan.notes)


def test_a_procedure_turn_leads_back_on_the_course_after_it_which_is_no_leg_of_no_length() -> None:
    legs = plan_with(
        [
            {"path": "IF", "fix": "NORTH"},
            {"path": "PI", "fix": "NORTH", "outbound_course_deg_mag": 18.0, "turn": "left", "limit_nm": 10.0},
            {"path": "CF", "fix": "NORTH", "course_deg_mag": 200.0, "role": "FAF"},
            {"path": "TF", "fix": "START", "role": "MAP"},
        ]
    ).approaches[0].legs  # fmt: skip
    turn, back = legs[1], legs[2]

    assert turn.reversal is not None
    assert turn.reversal.kind == "procedure-turn"
    assert turn.reversal.outbound_course_deg_true == pytest.approx(10.0)
    assert turn.reversal.inbound_course_deg_true == pytest.approx(192.0)
    assert (turn.reversal.turn, turn.reversal.limit_nm) == ("left", 10.0)
    assert turn.course_deg_mag == 18.0
    assert turn.end == LegEnd(kind="intercept")
    assert turn.path is None
    assert back.path is not None
    assert math.isinf(back.path.length_nm)
    assert back.distance_nm is None


def test_a_course_after_a_procedure_turn_that_does_not_lead_back_is_told() -> None:
    turn = {"path": "PI", "fix": "NORTH", "outbound_course_deg_mag": 18.0, "turn": "left", "limit_nm": 10.0}
    plan = plan_with([IF], [turn, {"path": "CF", "fix": "START", "course_deg_mag": 100.0}])
    reversal = plan.approaches[0].missed[0].reversal

    assert reversal is not None
    assert reversal.inbound_course_deg_true == pytest.approx(190.0)
    assert any("98° off its course back" in note for note in plan.notes)


def test_after_a_hold_in_lieu_the_course_back_to_its_fix_has_no_length_and_one_to_the_next_has() -> None:
    hold = {"path": "HF", "fix": "NORTH", "inbound_course_deg_mag": 198.0, "turn": "left"}
    onward = {"path": "CF", "fix": "START", "course_deg_mag": 198.0, "role": "MAP"}
    back = {"path": "CF", "fix": "NORTH", "course_deg_mag": 198.0, "role": "FAF"}

    legs = plan_with([hold, back, onward]).approaches[0].legs

    assert legs[1].distance_nm is None
    assert legs[2].distance_nm == pytest.approx(12.0, abs=0.01)


@pytest.mark.parametrize(
    ("leg", "onward", "over"),
    [
        ({"path": "TF", "fix": "NORTH"}, None, False),
        ({"path": "TF", "fix": "NORTH", "role": "MAP"}, None, True),
        ({"path": "TF", "fix": "NORTH", "role": "MAP", "fly_over": False}, None, True),
        ({"path": "TF", "fix": "NORTH"}, {"path": "HM", "fix": "NORTH"}, True),
        ({"path": "TF", "fix": "NORTH", "fly_over": False}, {"path": "HM", "fix": "NORTH"}, False),
        ({"path": "TF", "fix": "NORTH"}, {"path": "HM", "fix": "TURNS"}, False),
    ],
)
def test_missed_approach_points_and_holding_fixes_are_passed_over(
    leg: dict[str, Any], onward: dict[str, Any] | None, over: bool
) -> None:
    """FAA AIM 1-1-17 b5(h)(3): always the one; the other unless it is charted fly-by."""
    more = [{**onward, "inbound_course_deg_mag": 10.0, "turn": "right"}] if onward else []
    last = {"path": "TF", "fix": "ONARC"} if leg.get("role") != "MAP" else {"path": "TF", "fix": "TURNS"}
    assert leg_after(IF, leg, *more, last).fly_over is over


@pytest.mark.parametrize(
    ("limit", "window"),
    [
        ({"at_ft": 3000}, AltitudeWindow(low_ft=3000, high_ft=3000)),
        ({"at_or_above_ft": 3000}, AltitudeWindow(low_ft=3000)),
        ({"at_or_below_ft": 5000}, AltitudeWindow(high_ft=5000)),
        ({"at_or_above_ft": 3000, "at_or_below_ft": 5000}, AltitudeWindow(low_ft=3000, high_ft=5000)),
    ],
)
def test_altitudes_are_a_window(limit: dict[str, Any], window: AltitudeWindow) -> None:
    assert leg_after(IF, {"path": "TF", "fix": "NORTH", "altitude": limit, "speed_max_kt": 200}).altitude == window


def test_an_arc_that_does_not_run_into_the_leg_beside_it_is_told() -> None:
    arc = {"path": "RF", "fix": "TOARC", "centre": "START", "turn": "right"}
    tangent = plan_with([{"path": "IF", "fix": "TURNS"}, {"path": "TF", "fix": "ONARC"}, arc])
    bent = plan_with([{"path": "IF", "fix": "START"}, {"path": "TF", "fix": "ONARC"}, arc])

    assert not any("tangent" in note for note in tangent.notes)
    assert any("At ONARC the arc (RF) is not tangent to the leg beside it: 90°" in note for note in bent.notes)


def test_an_arc_a_little_off_its_fixes_is_told() -> None:
    off = {"path": "AF", "fix": "TOARC", "centre": "STN", "radius_nm": 10.5, "turn": "right"}

    notes = plan_with([{"path": "IF", "fix": "ONARC"}, off]).notes

    assert any("ONARC lies 10.00 NM from STN, not on the arc of 10.5 NM" in note for note in notes)


def test_whose_variation_was_used_is_said_once() -> None:
    course = {"path": "CF", "fix": "NORTH", "course_deg_mag": 18.0}
    notes = plan_with([IF, course], [course]).notes

    assert [note for note in notes if "variation written" in note] == [
        "Test: magnetic courses go by the variation written for STN 8.0° west, others by the model."
    ]
    true = {"path": "CF", "fix": "NORTH", "course_deg_true": 10.0}
    assert not any("variation written" in note for note in plan_with([IF, true]).notes)
