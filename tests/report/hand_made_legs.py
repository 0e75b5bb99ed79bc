"""A plan by hand that holds every kind of leg there is to tell of, in the Tarn Islands. Not for navigation."""

from __future__ import annotations

import dataclasses
import datetime as dt
import itertools
from typing import Any

import numpy as np

from legwise.geodesy import direct, line_between
from legwise.model.lesson import Aircraft, Altimetry, Lesson, LessonHead, Route
from legwise.model.plan import (
    AltitudeWindow,
    Fix,
    Hold,
    Leg,
    LegEnd,
    LegPart,
    Plan,
    PlannedApproach,
    PlannedRunway,
    Reversal,
)

WEST_DEG = 8.0
"""Magnetic variation: magnetic is true plus this, all over the islands."""
XTBN = Fix(ident="XTBN", lat_deg=46.2, lon_deg=-27.6, kind="airport")
SKH = Fix(ident="SKH", lat_deg=46.9, lon_deg=-27.1, kind="vor")


def away(start: Fix, ident: str, course_deg_true: float, distance_nm: float) -> Fix:
    lat, lon, _course = direct(
        np.array([start.lat_deg]), np.array([start.lon_deg]), np.array([course_deg_true]), np.array([distance_nm])
    )
    return Fix(ident=ident, lat_deg=float(lat[0]), lon_deg=float(lon[0]))


def magnetic(true: float) -> float:
    return (true + WEST_DEG) % 360.0


def line_leg(leg_id: str, start: Fix, end: Fix, part: LegPart = LegPart.ROUTE, **more: Any) -> Leg:
    path = line_between(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    assert path is not None
    known: dict[str, Any] = {
        "id": leg_id,
        "kind": "TF",
        "part": part,
        "approach": None if part is LegPart.ROUTE else 0,
        "from_fix": start,
        "to_fix": end,
        "path": path,
        "course_deg_true": path.start_course_deg_true,
        "course_deg_mag": magnetic(path.start_course_deg_true),
        "distance_nm": path.length_nm,
    }
    return Leg(**(known | more))


def other_leg(leg_id: str, kind: str, part: LegPart = LegPart.ROUTE, **more: Any) -> Leg:
    """A leg without a path before the flight."""
    known: dict[str, Any] = {
        "id": leg_id,
        "kind": kind,
        "part": part,
        "approach": None if part is LegPart.ROUTE else 0,
        "from_fix": None,
        "to_fix": None,
        "path": None,
        "course_deg_true": None,
        "course_deg_mag": None,
        "distance_nm": None,
    }
    return Leg(**(known | more))


def heading_leg(leg_id: str, kind: str, heading_deg_mag: float, **more: Any) -> Leg:
    true = (heading_deg_mag - WEST_DEG) % 360.0
    return other_leg(leg_id, kind, heading_deg_mag=heading_deg_mag, heading_deg_true=true, **more)


def course_leg(leg_id: str, kind: str, course_deg_mag: float, **more: Any) -> Leg:
    true = (course_deg_mag - WEST_DEG) % 360.0
    return other_leg(leg_id, kind, course_deg_mag=course_deg_mag, course_deg_true=true, **more)


def hold_at(fix: Fix, inbound_deg_mag: float, turn: Any = "right", **more: Any) -> Hold:
    true = (inbound_deg_mag - WEST_DEG) % 360.0
    return Hold(fix=fix, inbound_course_deg_true=true, inbound_course_deg_mag=inbound_deg_mag, turn=turn, **more)


def hold_leg(leg_id: str, kind: str, hold: Hold, part: LegPart = LegPart.MISSED, **more: Any) -> Leg:
    return other_leg(
        leg_id,
        kind,
        part,
        from_fix=hold.fix,
        to_fix=hold.fix,
        hold=hold,
        course_deg_true=hold.inbound_course_deg_true,
        course_deg_mag=hold.inbound_course_deg_mag,
        **more,
    )


def approach_of(legs: tuple[Leg, ...], missed: tuple[Leg, ...], **more: Any) -> PlannedApproach:
    runway = PlannedRunway(
        ident="RW27", lat_deg=46.9, lon_deg=-27.1, elevation_ft=88.0, course_deg_true=262.0, length_ft=5200.0,
        length_assumed=False,
    )  # fmt: skip
    known: dict[str, Any] = {
        "index": 0, "airport": "XSKH", "procedure": "R27", "title": "RNAV (GPS) RWY 27", "guidance": "LPV",
        "selected_final_only": False, "stepped": False, "navaid": None, "runway": runway, "glidepath_deg": 3.0,
        "threshold_crossing_height_ft": 50.0, "half_width_at_threshold_ft": 350.0, "da_ft": 612.0, "mda_ft": None,
        "flown_da_ft": None, "flown_mda_ft": None, "legs": legs, "missed": missed, "final_path": None,
        "faf_to_go_nm": 6.0,
    }  # fmt: skip
    return PlannedApproach(**(known | more))


def plan_with(
    route: tuple[Leg, ...], approaches: tuple[PlannedApproach, ...] = (), notes: tuple[str, ...] = ()
) -> Plan:
    return Plan(
        source="lesson", departure=XTBN, destination=None, route=route, route_altitude_ft=5000.0,
        approaches=approaches, fixes=(), notes=notes,
    )  # fmt: skip


def lesson_with(**tables: Any) -> Lesson:
    return Lesson(
        lesson=LessonHead(
            title="Lesson 9: from a hold to an LPV", date=dt.date(2026, 4, 18), student="S-014", instructor="I-03"
        ),
        altimetry=Altimetry(qnh_hpa=1009.0),
        **({"aircraft": Aircraft(approach_ias_kt=90.0, holding_ias_kt=95.0, category="A")} | tables),
    )


def square_route(leg_nm: float = 9.0, turn_deg: float = 90.0) -> tuple[Leg, ...]:
    """Two legs of a length, with a turn to the right of ``turn_deg`` between them at BRAKO."""
    brako = away(XTBN, "BRAKO", 40.0, leg_nm)
    first = line_leg("R1", XTBN, brako)
    assert first.path is not None
    caldu = away(brako, "CALDU", first.path.end_course_deg_true + turn_deg, leg_nm)
    return first, line_leg("R2", brako, caldu)


def every_kind() -> tuple[Leg, ...]:
    """A leg of every kind that is not a plain line between two fixes."""
    arc_end = away(SKH, "ARVIK", 200.0, 12.0)
    return (
        heading_leg("R1", "VA", 50.0, end=LegEnd(kind="altitude"), altitude=AltitudeWindow(low_ft=900.0)),
        heading_leg("R2", "VI", 90.0, end=LegEnd(kind="intercept"), turn="right"),
        course_leg("R3", "CD", 70.0, end=LegEnd(kind="dme", station=SKH, distance_nm=12.0)),
        course_leg(
            "R4", "CR", 70.0, end=LegEnd(kind="radial", station=SKH, radial_deg_true=134.0, radial_deg_mag=142.0)
        ),
        heading_leg("R5", "VM", 110.0, end=LegEnd(kind="manual")),
        course_leg("R6", "FC", 110.0, from_fix=SKH, end=LegEnd(kind="distance", distance_nm=3.0), distance_nm=3.0),
        other_leg(
            "R7", "AF", from_fix=SKH, to_fix=arc_end, centre=SKH, radius_nm=12.0, turn="right", distance_nm=9.0,
            altitude=AltitudeWindow(low_ft=2000.0, high_ft=4000.0, glidepath_ft=2478.0), speed_max_kt=210.0,
        ),
        other_leg(
            "R8", "PI", from_fix=arc_end, to_fix=arc_end, course_deg_true=237.0, course_deg_mag=245.0,
            reversal=Reversal(
                fix=arc_end, kind="procedure-turn", outbound_course_deg_true=237.0, outbound_course_deg_mag=245.0,
                inbound_course_deg_true=57.0, turn="left", limit_nm=10.0,
            ),
        ),
        hold_leg("R9", "HF", hold_at(arc_end, 180.0, "left", leg_nm=4.0), LegPart.ROUTE),
        other_leg("R10", "DF", to_fix=away(arc_end, "CALDU", 10.0, 9.0), altitude=AltitudeWindow(high_ft=5000.0)),
    )  # fmt: skip


def usual_approach(hold: bool = True) -> PlannedApproach:
    """Six miles to the FAF, six more to the runway; a climb straight ahead, back to OSTRA, and a hold."""
    rw27 = Fix(ident="RW27", lat_deg=46.9, lon_deg=-27.1, kind="runway")
    fernu, holma = away(rw27, "FERNU", 82.0, 6.0), away(rw27, "HOLMA", 82.0, 12.0)
    ostra = away(rw27, "OSTRA", 222.0, 12.0)
    at = LegPart.APPROACH
    legs = (
        other_leg("A1.1", "IF", at, to_fix=holma, altitude=AltitudeWindow(low_ft=3000.0), role="IAF"),
        line_leg("A1.2", holma, fernu, at, altitude=AltitudeWindow(low_ft=2000.0), role="FAF"),
        line_leg(
            "A1.3", fernu, rw27, at, altitude=AltitudeWindow(low_ft=138.0, high_ft=138.0), role="MAP", fly_over=True
        ),
    )
    missed = (
        dataclasses.replace(
            course_leg("A1.M1", "CA", 275.0, end=LegEnd(kind="altitude"), altitude=AltitudeWindow(low_ft=900.0)),
            part=LegPart.MISSED, approach=0,
        ),
        other_leg("A1.M2", "DF", LegPart.MISSED, to_fix=ostra, altitude=AltitudeWindow(low_ft=3000.0), turn="left"),
        hold_leg("A1.M3", "HM", hold_at(ostra, 180.0, leg_minutes=1.0)),
    )  # fmt: skip
    return approach_of(legs, missed if hold else missed[:2])


def usual_route(legs: int = 5) -> tuple[Leg, ...]:
    """A zigzag of ``legs`` legs that ends where the usual approach begins."""
    points = [usual_approach().legs[0].to_fix]
    for number in range(legs):
        before = points[0]
        assert before is not None
        points.insert(0, away(before, f"FIX{chr(65 + legs - number)}", 160.0 + 60.0 * (number % 2), 9.0))
    fixes = [point for point in points if point is not None]
    return tuple(line_leg(f"R{number}", *pair) for number, pair in enumerate(itertools.pairwise(fixes), 1))


def usual(legs: int = 5, speed_kt: float | None = 120.0, **tables: Any) -> tuple[Plan, Lesson]:
    route = Route(altitude_ft=5000.0, speed_kt=speed_kt)
    return plan_with(usual_route(legs), (usual_approach(),)), lesson_with(route=route, **tables)
