"""The paths of legs that begin wherever the aircraft is: made when it is known where that was."""

from __future__ import annotations

from legwise.geodesy.lines import line_between, line_from, line_to
from legwise.geodesy.meeting import Meeting, meets_circle, meets_path, meets_radial
from legwise.geodesy.rays import GeodesicRay, ray_from
from legwise.model.plan import Leg, Path

HEADING_LEGS = frozenset(("VA", "VD", "VI", "VM", "VR"))
"""Path terminators that owe a heading and no track over the ground."""


def begun_at(leg: Leg, lat_deg: float, lon_deg: float, *, following: Path | None = None) -> Path | None:
    """The path of a leg that is begun at a position [deg].

    DF: the geodesic to its fix. CA: the course from the position, without an end. CI, CD, CR: the same course to
    where it meets ``following`` (the next leg's path), the DME distance or the radial of ``leg.end``. CF: the course
    line to its fix. A leg whose path was fixed before the flight keeps it.

    None where no track is owed (a heading leg), where the leg says too little, and where the course never meets what
    should end it within 300 NM.
    """
    if leg.path is not None and leg.kind not in HEADING_LEGS:
        return leg.path
    fix, course = leg.to_fix, leg.course_deg_true
    if leg.kind == "DF" and fix is not None:
        return line_between(lat_deg, lon_deg, fix.lat_deg, fix.lon_deg)
    if leg.kind == "CF" and fix is not None and course is not None:
        return line_to(fix.lat_deg, fix.lon_deg, course)
    if leg.kind in ("CA", "CI", "CD", "CR") and course is not None:
        ray = ray_from(lat_deg, lon_deg, course)
        met = _met(leg, ray, following)
        return ray if leg.kind == "CA" else _until(ray, met)
    return None


def _until(ray: GeodesicRay, met: Meeting | None) -> Path | None:
    if met is None:
        return None
    return line_from(ray.start_lat_deg, ray.start_lon_deg, ray.start_course_deg_true, met.along_track_nm)


def _met(leg: Leg, ray: GeodesicRay, following: Path | None) -> Meeting | None:
    """Where the course of a CI, CD or CR leg ends."""
    if leg.kind == "CI":
        return meets_path(ray, following) if following is not None else None
    end = leg.end
    if end is None or end.station is None:
        return None
    if leg.kind == "CD" and end.distance_nm is not None:
        return meets_circle(ray, end.station.lat_deg, end.station.lon_deg, end.distance_nm)
    if leg.kind == "CR" and end.radial_deg_true is not None:
        return meets_radial(ray, end.station.lat_deg, end.station.lon_deg, end.radial_deg_true)
    return None
