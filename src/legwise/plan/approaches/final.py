"""The final approach course line, and where the final approach fix lies on it."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

from legwise.errors import PlanError
from legwise.geodesy.angles import turn_deg
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.lines import GeodesicLine, line_between, line_to
from legwise.model.arrays import readonly_floats
from legwise.model.lesson import Runway
from legwise.model.plan import Fix, Leg
from legwise.plan.variation import Variation

STRAIGHT_IN_DEG = 30.0
"""Straight-in minima want a final course within 30 degrees of the runway (FAA AIM 5-4-20 c)."""
# A final approach fix that lies farther than this from the final course line is worth telling.
_FAF_OFF_LINE_NM = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class FinalCourse:
    """The line, the distance to go on it at the final approach fix [NM], and the course at its end [deg true]."""

    path: GeodesicLine | None
    faf_to_go_nm: float | None
    course_deg_true: float | None
    notes: tuple[str, ...]


def with_roles(legs: Sequence[Leg], name: str, *, where: str) -> tuple[tuple[Leg, ...], tuple[str, ...]]:
    """The approach's legs with a missed approach point and a final approach fix, and notes on what was assumed.

    Where no leg has the role, the last leg that leads to a fix ends at the missed approach point, and the final
    approach fix is the last fix before it that is no step-down fix; an approach that has no other fix has none.

    Raises
    ------
    PlanError
        No leg leads to a fix.
    """
    roles = {leg.role: number for number, leg in enumerate(legs)}
    notes: list[str] = []
    changed = list(legs)
    map_at = roles.get("MAP")
    if map_at is None:
        to_fixes = [number for number, leg in enumerate(legs) if leg.ends_at_fix]
        to_fixes = to_fixes or [number for number, leg in enumerate(legs) if leg.to_fix is not None]
        if not to_fixes:
            raise PlanError(
                "no leg of the approach leads to a fix, so it has no missed approach point",
                where=where,
                remedy="Write its legs out to the runway or to the missed approach point.",
            )
        map_at = to_fixes[-1]
        changed[map_at] = dataclasses.replace(changed[map_at], role="MAP", fly_over=True)
        notes.append(f"{name}: {changed[map_at].end_ident} was taken as the missed approach point.")
    if "FAF" not in roles:
        end = changed[map_at].end_ident
        before = [
            number
            for number in range(map_at)
            if changed[number].role != "STEPDOWN" and changed[number].end_ident not in ("", end)
        ]
        if before:
            changed[before[-1]] = dataclasses.replace(changed[before[-1]], role="FAF")
            notes.append(f"{name}: {changed[before[-1]].end_ident} was taken as the final approach fix.")
    return tuple(changed), tuple(notes)


def final_course(
    legs: Sequence[Leg], runway: Runway | None, *, variation: Variation, station: Fix | None, name: str, where: str
) -> FinalCourse:
    """The final course line of an approach whose legs have their roles.

    Through the threshold on the runway's course where that is given; else the leg to the missed approach point, ended
    abeam the threshold where there is one.

    Raises
    ------
    PlanError
        The final approach fix lies behind the threshold on the course given, as with the course of the other end.
    """
    faf = next((leg.to_fix for leg in legs if leg.role == "FAF"), None)
    last = next((leg for leg in legs if leg.role == "MAP"), legs[-1])
    notes: list[str] = []
    if runway is None:
        line = last.path if isinstance(last.path, GeodesicLine) else None
    else:
        line = _line_to_runway(runway, last, faf, variation=variation, station=station, where=where)
    if line is None:
        notes.append(f"{name}: no final course is given and the last leg has none, so no final course line is known.")
        return FinalCourse(path=None, faf_to_go_nm=None, course_deg_true=None, notes=tuple(notes))
    course = line.end_course_deg_true
    if faf is None:
        return FinalCourse(path=line, faf_to_go_nm=None, course_deg_true=course, notes=tuple(notes))
    on_line = line.measure(readonly_floats([faf.lat_deg]), readonly_floats([faf.lon_deg]))
    to_go, off = float(on_line.to_go_nm[0]), float(on_line.cross_track_nm[0])
    if not to_go > 0:
        raise PlanError(
            f"on the final course {course:.1f}° true the final approach fix {faf.ident} lies behind the "
            + ("threshold" if runway is not None else "missed approach point"),
            where=where,
            remedy='Check the course: it may be that of the other end. Or give the right leg role = "FAF".',
        )
    if abs(off) > _FAF_OFF_LINE_NM:
        side = "right" if off > 0 else "left"
        notes.append(f"{name}: {faf.ident} lies {abs(off):.2f} NM {side} of the final course line.")
    if runway is not None and last.path is not None:
        apart = abs(float(turn_deg(last.path.end_course_deg_true, course)))
        if apart > STRAIGHT_IN_DEG:
            notes.append(f"{name}: the last leg arrives {apart:.0f}° off the final course of the runway.")
    return FinalCourse(path=_begun_at(line, to_go), faf_to_go_nm=to_go, course_deg_true=course, notes=tuple(notes))


def _line_to_runway(
    runway: Runway, last: Leg, faf: Fix | None, *, variation: Variation, station: Fix | None, where: str
) -> GeodesicLine | None:
    threshold = Fix(ident=runway.ident, lat_deg=runway.lat_deg, lon_deg=runway.lon_deg, kind="runway")
    if runway.course_deg_true is not None:
        return line_to(runway.lat_deg, runway.lon_deg, runway.course_deg_true)
    if runway.course_deg_mag is not None:
        try:
            course = variation.true_course(runway.course_deg_mag, threshold, station)
        except PlanError as error:
            raise PlanError(error.message, where=f"{where} runway", remedy=error.remedy) from error
        return line_to(runway.lat_deg, runway.lon_deg, course)
    if isinstance(last.path, GeodesicLine):
        return _ended_abeam(last.path, threshold)
    if faf is not None:
        return line_between(faf.lat_deg, faf.lon_deg, threshold.lat_deg, threshold.lon_deg)
    return None


def _ended_abeam(line: GeodesicLine, threshold: Fix) -> GeodesicLine:
    """The line of the last leg, extended or cut to where it passes the threshold."""
    abeam = line.measure(readonly_floats([threshold.lat_deg]), readonly_floats([threshold.lon_deg]))
    lat, lon, course = direct(line.end_lat_deg, line.end_lon_deg, line.end_course_deg_true, -float(abeam.to_go_nm[0]))
    return line_to(float(lat), float(lon), float(course))


def _begun_at(line: GeodesicLine, to_go_nm: float) -> GeodesicLine:
    """``line`` with its start ``to_go_nm`` before its end."""
    lat, lon, _back = direct(line.end_lat_deg, line.end_lon_deg, line.end_course_deg_true, -to_go_nm)
    _length, course, _arrival = inverse(lat, lon, line.end_lat_deg, line.end_lon_deg)
    return dataclasses.replace(line, length_nm=to_go_nm, start_course_deg_true=float(course))
