"""Lines that leave a position on a course and have no end of their own: FA, FM and CA legs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.geodesy.geodesics import direct
from legwise.geodesy.lines import foot_on_geodesic
from legwise.model.arrays import FloatArray
from legwise.model.plan import PathPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class GeodesicRay:
    """The geodesic that leaves (``start_lat_deg``, ``start_lon_deg``) on ``start_course_deg_true`` and has no end.

    It runs on before its start too. There is nothing to count a distance to go from: ``to_go_nm`` is NaN and
    ``point_at`` gives NaN. Make one with :func:`ray_from`.
    """

    start_lat_deg: float
    start_lon_deg: float
    start_course_deg_true: float

    @property
    def length_nm(self) -> float:
        """Infinite. [NM]"""
        return float("inf")

    @property
    def end_course_deg_true(self) -> float:
        """The course at its start: it has no end. [deg true]"""
        return self.start_course_deg_true

    def measure(self, lat_deg: FloatArray, lon_deg: FloatArray) -> PathPosition:
        """Signed cross-track, distance from the start and course at the foot, as exact as those of a line.

        See :class:`legwise.model.plan.Path` and :meth:`legwise.geodesy.GeodesicLine.measure`.
        """
        along_nm, cross_nm, course_deg = foot_on_geodesic(
            self.start_lat_deg, self.start_lon_deg, self.start_course_deg_true, lat_deg, lon_deg
        )
        return PathPosition(
            cross_track_nm=cross_nm,
            along_track_nm=along_nm,
            to_go_nm=np.full_like(along_nm, np.nan),
            course_deg_true=course_deg,
        )

    def point_at(self, to_go_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """NaN for every distance: a ray has no end. [deg]"""
        nowhere = np.full_like(np.asarray(to_go_nm, dtype=np.float64), np.nan)
        return nowhere, nowhere.copy()

    def point_along(self, along_track_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the points at distances from the start. [deg]"""
        lat, lon, _course = direct(
            self.start_lat_deg, self.start_lon_deg, self.start_course_deg_true, np.asarray(along_track_nm)
        )
        return lat, lon


def ray_from(lat_deg: float, lon_deg: float, course_deg_true: float) -> GeodesicRay:
    """The geodesic without an end that leaves a position on a course."""
    return GeodesicRay(start_lat_deg=lat_deg, start_lon_deg=lon_deg, start_course_deg_true=course_deg_true % 360.0)
