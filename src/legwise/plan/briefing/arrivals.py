"""On which course a leg arrives at a hold, as far as it is known beforehand, and the entry that this asks for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from legwise.geodesy.angles import wrap_180, wrap_360
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.hold_entries import hold_entry
from legwise.model.briefing import Entry
from legwise.model.plan import Fix, Hold, Leg
from legwise.plan.briefing.open_legs import Climb, Spot, spots_after
from legwise.plan.briefing.turns import course_out

MISSED_BEGINS_FT: Final = 1000.0
"""Without minima a missed approach begins no higher than this above the runway. Our choice, no published source."""
_MOST_OPEN: Final = 4
"""Open legs one after another before a direct: after more of them nothing can be told."""
_RATE_ONE_KT_PER_NM: Final = 60.0 * math.pi
"""Radius of a turn at 3 deg/s: groundspeed / (60 pi) (standards sheet, section 5)."""
_UNKNOWN_SPEEDS_KT: Final = (70.0, 150.0)
_FARTHEST_APART_DEG: Final = 90.0
"""Courses that lie farther than this to either side of the middle tell nothing."""
_ENTRIES: Final[tuple[Entry, ...]] = ("direct", "teardrop", "parallel")


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """The course of arrival: in the middle of what it may be, and how far it may lie to either side. [deg]

    ``courses_deg_true`` are those that were found possible.
    """

    course_deg_true: float
    within_deg: float
    courses_deg_true: tuple[float, ...]
    is_estimated: bool


def arrival_at(
    hold: Hold,
    leg: Leg | None,
    before: Mapping[str, Leg],
    *,
    climb_from: Climb,
    groundspeed_kt: Callable[[Leg], float | None],
) -> Arrival | None:
    """The course on which ``leg`` arrives at the fix of a hold, None where it does not lead there or is not known.

    ``before`` gives the leg before each by its id. A direct begins where the aircraft is: at the fix before it, or
    where the open leg before it may end, and from there after its turn.
    """
    if leg is None or leg.to_fix is None or leg.to_fix.ident != hold.fix.ident:
        return None
    if leg.kind != "DF" or leg.path is not None:
        course = course_out(leg)
        if course is None:
            return None
        return Arrival(course_deg_true=course, within_deg=0.0, courses_deg_true=(course,), is_estimated=False)
    speed = groundspeed_kt(leg)
    speeds = (speed,) if speed is not None else _UNKNOWN_SPEEDS_KT
    radii = (0.0, *(kt / _RATE_ONE_KT_PER_NM for kt in speeds))
    courses = []
    for spot in _begins(leg, before, climb_from):
        for radius_nm in radii:
            course = _after_turn(spot, leg.to_fix, leg, radius_nm)
            if course is None:
                return None
            courses.append(course)
    return _spread(courses)


def entries_for(hold: Hold, arrival: Arrival) -> tuple[tuple[Entry, ...], bool]:
    """The entries that are good for every course of an arrival; or, where there is none, those that any asks for, and
    True.
    """
    asked = [hold_entry(hold.inbound_course_deg_true, hold.turn, course) for course in arrival.courses_deg_true]
    if len(asked) == 1:
        return asked[0].acceptable, False
    always = tuple(name for name in _ENTRIES if all(name in entry.acceptable for entry in asked))
    if always:
        return always, False
    return tuple(name for name in _ENTRIES if any(name == entry.name for entry in asked)), True


def _begins(leg: Leg, before: Mapping[str, Leg], climb: Climb) -> tuple[Spot, ...]:
    """Where a direct may begin; nothing where that is not known."""
    opened: list[Leg] = []
    at = before.get(leg.id)
    start = leg.from_fix
    course = course_out(at) if at is not None else None
    if start is None:
        while at is not None and at.to_fix is None and len(opened) < _MOST_OPEN:
            opened.insert(0, at)
            if at.from_fix is not None:
                break
            at = before.get(at.id)
        if not opened:
            return ()
        start, course = opened[0].from_fix, None
        if start is None and at is not None:
            start = at.to_fix
    if start is None:
        return ()
    if opened and climb.low_ft is None:
        climb = _climb_at(start, before.get(opened[0].id))
    spot = Spot(lat_deg=start.lat_deg, lon_deg=start.lon_deg, course_deg_true=course, climb=climb)
    return spots_after(opened, spot) if opened else (spot,)


def _climb_at(start: Fix, leg: Leg | None) -> Climb:
    """Where the climb of open legs begins that is no missed approach: on the runway, or above what the leg before
    them asks for.
    """
    if start.kind == "runway":
        return Climb(low_ft=start.elevation_ft, high_ft=start.elevation_ft)
    window = leg.altitude if leg is not None else None
    low = window.low_ft if window is not None else start.elevation_ft
    return Climb(low_ft=low, high_ft=window.high_ft if window is not None else None)


def _after_turn(spot: Spot, fix: Fix, leg: Leg, radius_nm: float) -> float | None:
    """The course at a fix of a direct that begins with a turn of a radius; None where the fix lies inside the turn.

    The turn goes to the published side, else to the shorter one. Its end is where its circle's tangent leads to the
    fix, taken as flat, which the size of a turn allows.
    """
    distance, bearing, arrival = (float(v) for v in inverse(spot.lat_deg, spot.lon_deg, fix.lat_deg, fix.lon_deg))
    if distance <= 0.0:
        return None
    if radius_nm <= 0.0 or spot.course_deg_true is None:
        return arrival
    off = float(wrap_180(bearing - spot.course_deg_true))
    side = {"left": -1.0, "right": 1.0}[leg.turn] if leg.turn is not None else (1.0 if off >= 0.0 else -1.0)
    lat, lon, _ = direct(spot.lat_deg, spot.lon_deg, spot.course_deg_true + side * 90.0, radius_nm)
    from_centre, _, at_fix = (float(v) for v in inverse(float(lat), float(lon), fix.lat_deg, fix.lon_deg))
    if from_centre <= radius_nm:
        return None
    return float(wrap_360(at_fix + side * math.degrees(math.asin(radius_nm / from_centre))))


def _spread(courses: list[float]) -> Arrival | None:
    if not courses:
        return None
    off = np.asarray(wrap_180(np.array(courses) - courses[0]))
    low, high = float(off.min()), float(off.max())
    within = (high - low) / 2.0
    if within > _FARTHEST_APART_DEG:
        return None
    return Arrival(
        course_deg_true=float(wrap_360(courses[0] + (low + high) / 2.0)),
        within_deg=within,
        courses_deg_true=tuple(_filled(courses[0] + low, courses[0] + high)),
        is_estimated=True,
    )


def _filled(low_deg: float, high_deg: float) -> Iterator[float]:
    """Courses from one to another, no farther than a degree apart: what lies between two estimates may be flown too."""
    count = max(1, math.ceil(high_deg - low_deg) + 1) if high_deg > low_deg else 1
    yield from (float(wrap_360(course)) for course in np.linspace(low_deg, high_deg, count))
