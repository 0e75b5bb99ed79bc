"""Positions and lines on the WGS 84 ellipsoid, by GeographicLib (C. F. F. Karney)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geographiclib.geodesic import Geodesic

M_PER_NM = 1852.0
M_PER_FT = 0.3048
FT_PER_NM = M_PER_NM / M_PER_FT
_WGS84 = Geodesic.WGS84


def wrap_180(angle_deg: float) -> float:
    """An angle in [-180, 180). [deg]"""
    return (angle_deg + 180.0) % 360.0 - 180.0


@dataclass(frozen=True, slots=True)
class Point:
    """A position, WGS 84. [deg]"""

    lat_deg: float
    lon_deg: float


def inverse(start: Point, end: Point) -> tuple[float, float, float]:
    """Distance, and the courses at the start and at the end. [nm, deg true, deg true]"""
    found = _WGS84.Inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    return found["s12"] / M_PER_NM, found["azi1"] % 360.0, found["azi2"] % 360.0


def direct(start: Point, course_deg_true: float, distance_nm: float) -> Point:
    """The point at a distance along a course; the distance may be negative."""
    found = _WGS84.Direct(start.lat_deg, start.lon_deg, course_deg_true, distance_nm * M_PER_NM)
    return Point(found["lat2"], found["lon2"])


def moved(start: Point, north_m: float, east_m: float) -> Point:
    """A point shifted by metres; for the short steps of a flight and for noise."""
    found = _WGS84.Direct(
        start.lat_deg, start.lon_deg, math.degrees(math.atan2(east_m, north_m)), math.hypot(north_m, east_m)
    )
    return Point(found["lat2"], found["lon2"])


class Line:
    """A geodesic from ``start`` to ``end``, extended past both; distances in NM, cross-track right positive."""

    def __init__(self, start: Point, end: Point) -> None:
        self.start = start
        self.end = end
        self.length_nm, self.start_course_deg, self.end_course_deg = inverse(start, end)
        self._line = _WGS84.Line(start.lat_deg, start.lon_deg, self.start_course_deg)
        self._along_nm = 0.0

    def measure(self, point: Point) -> tuple[float, float, float]:
        """Cross-track, distance to go to the end, and the course at the foot of the perpendicular.

        The foot is found by iteration, begun at the last one asked for; it stops at a tenth of a millimetre.
        """
        along_nm = self._along_nm
        for _ in range(30):
            foot = self._line.Position(along_nm * M_PER_NM)
            found = _WGS84.Inverse(foot["lat2"], foot["lon2"], point.lat_deg, point.lon_deg)
            off_nm = found["s12"] / M_PER_NM
            angle_rad = math.radians(found["azi1"] - foot["azi2"])
            step_nm = off_nm * math.cos(angle_rad)
            along_nm += step_nm
            if abs(step_nm) < 5e-8:
                break
        self._along_nm = along_nm
        return off_nm * math.sin(angle_rad), self.length_nm - along_nm, foot["azi2"] % 360.0


def line_to(end: Point, course_deg_true: float, length_nm: float) -> Line:
    """The line that arrives at ``end`` on a course, begun ``length_nm`` before it."""
    return Line(direct(end, course_deg_true + 180.0, length_nm), end)
