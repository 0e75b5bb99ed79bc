"""Arcs of constant horizontal geodesic radius as paths: DME arcs, RF legs, the ground path of a fly-by turn.

The circle of constant geodesic distance about a centre is everywhere square to the geodesics from that centre
(Gauss's lemma), so radius and course are exact. The length of its arc is taken as the angle at the centre times R
sin(r/R), the reduced length on the sphere that fits the ellipsoid at the centre; it stays within 0.01 m a radian
for radii to 50 NM (tests/geodesy/test_arcs.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.geodesy.angles import wrap_180, wrap_360
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.lines import MIN_LEG_NM, gaussian_radius_nm
from legwise.model.arrays import FloatArray
from legwise.model.lesson import Turn
from legwise.model.plan import PathPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcPath:
    """The arc of radius ``radius_nm`` about a centre from one bearing [deg true, at the centre] round to another.

    ``turn`` is the way round: "right" is clockwise, with the centre on the right. The arc sweeps less than 360 deg,
    and is extended past both its ends to the point opposite its middle. Make one from fixes with
    :func:`arc_between`.
    """

    centre_lat_deg: float
    centre_lon_deg: float
    radius_nm: float
    start_bearing_deg: float
    end_bearing_deg: float
    turn: Turn

    @property
    def sweep_deg(self) -> float:
        """Angle at the centre from start to end, never negative. [deg]"""
        return float(wrap_360(self._sign * (self.end_bearing_deg - self.start_bearing_deg)))

    @property
    def length_nm(self) -> float:
        """Length along the arc. [NM]"""
        return float(np.radians(self.sweep_deg)) * self._reduced_radius_nm

    @property
    def start_course_deg_true(self) -> float:
        """Course where the arc begins. [deg true]"""
        return float(self._course_deg(np.array([self.start_bearing_deg]))[0])

    @property
    def end_course_deg_true(self) -> float:
        """Course where the arc ends. [deg true]"""
        return float(self._course_deg(np.array([self.end_bearing_deg]))[0])

    def measure(self, lat_deg: FloatArray, lon_deg: FloatArray) -> PathPosition:
        """Signed cross-track, distance to go along the arc and course abeam. See :class:`legwise.model.plan.Path`.

        Cross-track is the difference between the radius and the geodesic distance from the centre; at the centre
        itself neither to-go nor course means anything.
        """
        distance_nm, bearing_deg, _arrival = inverse(
            self.centre_lat_deg,
            self.centre_lon_deg,
            np.asarray(lat_deg, dtype=np.float64),
            np.asarray(lon_deg, dtype=np.float64),
        )
        half_deg = self.sweep_deg / 2.0
        middle_deg = self.end_bearing_deg - self._sign * half_deg
        past_middle_rad = np.radians(wrap_180(self._sign * (bearing_deg - middle_deg)))
        half_rad = np.radians(half_deg)
        return PathPosition(
            cross_track_nm=self._sign * (self.radius_nm - distance_nm),
            along_track_nm=(half_rad + past_middle_rad) * self._reduced_radius_nm,
            to_go_nm=(half_rad - past_middle_rad) * self._reduced_radius_nm,
            course_deg_true=self._course_deg(bearing_deg),
        )

    def point_at(self, to_go_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the points at distances to go along the arc. [deg]"""
        angle_deg = np.degrees(np.asarray(to_go_nm, dtype=np.float64) / self._reduced_radius_nm)
        lat, lon, _course = direct(
            self.centre_lat_deg, self.centre_lon_deg, self.end_bearing_deg - self._sign * angle_deg, self.radius_nm
        )
        return lat, lon

    def point_along(self, along_track_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the points at distances along the arc from its start. [deg]"""
        return self.point_at(self.length_nm - np.asarray(along_track_nm, dtype=np.float64))

    @property
    def _sign(self) -> float:
        return 1.0 if self.turn == "right" else -1.0

    @property
    def _reduced_radius_nm(self) -> float:
        """Arc length for one radian at the centre: the reduced length of the radius. [NM]"""
        earth_nm = float(gaussian_radius_nm(np.array([self.centre_lat_deg]))[0])
        return earth_nm * float(np.sin(self.radius_nm / earth_nm))

    def _course_deg(self, bearing_deg: FloatArray) -> FloatArray:
        """Course of the arc where the geodesic from the centre on a bearing meets it."""
        _lat, _lon, outward_deg = direct(self.centre_lat_deg, self.centre_lon_deg, bearing_deg, self.radius_nm)
        return wrap_360(outward_deg + self._sign * 90.0)


def arc_between(
    centre_lat_deg: float,
    centre_lon_deg: float,
    start_lat_deg: float,
    start_lon_deg: float,
    end_lat_deg: float,
    end_lon_deg: float,
    turn: Turn,
    *,
    radius_nm: float | None = None,
) -> ArcPath | None:
    """The arc about a centre from abeam one position round to abeam another.

    Without ``radius_nm`` the radius is the mean of the two distances from the centre (published fixes are rounded,
    so the two differ by a metre or so; comparing them is for the caller). None where the radius, either distance or
    the arc itself is too short to give a direction.
    """
    distance_nm, bearing_deg, _arrival = inverse(
        centre_lat_deg,
        centre_lon_deg,
        np.array([start_lat_deg, end_lat_deg]),
        np.array([start_lon_deg, end_lon_deg]),
    )
    radius = float(distance_nm.mean()) if radius_nm is None else radius_nm
    if min(radius, float(distance_nm.min())) < MIN_LEG_NM:
        return None
    arc = ArcPath(
        centre_lat_deg=centre_lat_deg,
        centre_lon_deg=centre_lon_deg,
        radius_nm=radius,
        start_bearing_deg=float(bearing_deg[0]),
        end_bearing_deg=float(bearing_deg[1]),
        turn=turn,
    )
    return arc if arc.length_nm >= MIN_LEG_NM else None
