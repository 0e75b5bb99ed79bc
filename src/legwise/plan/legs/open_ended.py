"""Legs that end elsewhere than at a fix: from a fix (F), on a course (C) or on a heading (V)."""

from __future__ import annotations

from legwise.errors import PlanError
from legwise.geodesy.lines import line_from
from legwise.geodesy.meeting import REACH_NM, meets_circle
from legwise.geodesy.rays import GeodesicRay, ray_from
from legwise.model.plan import Fix, LegEnd, Path
from legwise.plan.legs.ground import Ground, Surroundings
from legwise.plan.legs.spec import HEADINGS, LegSpec, needed


def from_fix_leg(spec: LegSpec, _around: Surroundings) -> Ground:
    """An FA, FC, FD or FM: the geodesic from its fix on a course.

    It runs on without an end where nothing on the ground ends it (FA, FM); an FC is as long as it is coded, an FD ends
    where it meets the circle of its distance about the DME station.

    Raises
    ------
    PlanError
        No fix, no course, nothing to end it; a circle that the course does not meet.
    """
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    course = needed(spec.course, spec, "has no course", "Add course_deg_mag or course_deg_true.")
    end = end_of(spec)
    ray = ray_from(fix.lat_deg, fix.lon_deg, course.true_deg)
    path: Path | None = ray
    distance = None
    if end.kind in ("distance", "dme"):
        distance = end.distance_nm if end.station is None else _to_circle_nm(spec, ray, end.station, end.distance_nm)
        path = line_from(fix.lat_deg, fix.lon_deg, course.true_deg, distance or 0.0)
    if path is None:
        raise PlanError(
            f"the {spec.kind} leg from {fix.ident} has no length",
            where=spec.where,
            remedy="Check its distance; an FD must begin off the circle that ends it.",
        )
    return Ground(
        path=path,
        from_fix=fix,
        course_deg_true=course.true_deg,
        course_deg_mag=course.mag_deg,
        distance_nm=distance,
        end=end,
    )


def from_anywhere_leg(spec: LegSpec, around: Surroundings) -> Ground:
    """A C leg, whose path begins wherever the aircraft is, or a V leg, on which a heading is owed and no track.

    Raises
    ------
    PlanError
        No course or heading, nothing to end it.
    """
    is_heading = spec.kind in HEADINGS
    what, key = ("heading", "heading_deg_mag") if is_heading else ("course", "course_deg_mag")
    course = needed(spec.course, spec, f"has no {what}", f"Add {key}, or the same in true.")
    return Ground(
        from_fix=around.before,
        course_deg_true=None if is_heading else course.true_deg,
        course_deg_mag=None if is_heading else course.mag_deg,
        heading_deg_true=course.true_deg if is_heading else None,
        heading_deg_mag=course.mag_deg if is_heading else None,
        end=end_of(spec),
    )


def _to_circle_nm(spec: LegSpec, ray: GeodesicRay, station: Fix, distance_nm: float | None) -> float | None:
    """How far along the course of an FD its DME distance is first met. [NM]"""
    if distance_nm is None:
        return None
    met = meets_circle(ray, station.lat_deg, station.lon_deg, distance_nm)
    if met is None:
        raise PlanError(
            f"the course never comes to {distance_nm:g} NM from {station.ident} within {REACH_NM:g} NM",
            where=spec.where,
            remedy="Check the course, the station and the distance.",
        )
    return met.along_track_nm


def end_of(spec: LegSpec) -> LegEnd:
    """How a leg ends whose second letter says so: A, C, D, I, M, R. Raises PlanError where what it needs is missing."""
    how = spec.kind[1]
    if how == "A":
        altitude = spec.altitude
        if altitude is None or (altitude.low_ft is None and altitude.high_ft is None):
            needed(None, spec, "has no altitude, where it ends", "Add altitude = { at_or_above_ft = ... }.")
        return LegEnd(kind="altitude")
    if how == "I":
        return LegEnd(kind="intercept")
    if how == "M":
        return LegEnd(kind="manual")
    if how == "C":
        distance = needed(spec.distance_nm, spec, "has no distance, where it ends", "Add distance_nm.")
        return LegEnd(kind="distance", distance_nm=distance)
    if how == "D":
        station = needed(spec.station, spec, "names no DME station", "Add dme, the ident of a station.")
        distance = needed(spec.distance_nm, spec, "has no distance, where it ends", "Add distance_nm.")
        return LegEnd(kind="dme", station=station, distance_nm=distance)
    station = needed(spec.station, spec, "names no station", "Add navaid, the ident of a station.")
    radial = needed(spec.radial, spec, "has no radial, where it ends", "Add radial_deg_mag or radial_deg_true.")
    return LegEnd(kind="radial", station=station, radial_deg_true=radial.true_deg, radial_deg_mag=radial.mag_deg)
