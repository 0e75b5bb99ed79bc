"""Several paths joined end to end as one path: a turn, a holding pattern, a procedure turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.geodesics import inverse
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.plan import Path, PathPosition
from legwise.units import M_PER_NM

_SEMI_MAJOR_NM = 6_378_137.0 / M_PER_NM
_E2 = 0.006_694_379_990_141_316
_NEARER_NM = 1e-7
"""A later segment must be nearer than an earlier one by more than this to be the one: rounding decides nothing."""


@dataclass(frozen=True, slots=True)
class ChainPath:
    """Paths joined end to end: each begins where the one before it ended. At least one.

    A position belongs to the segment that it is nearest to, ends included; where two are as near, to the earlier.
    Only the first may have no start and only the last no end; the chain runs on before the one and past the other as
    they do. Outside a corner the foot is the corner and cross-track the distance from it; inside, the foot jumps
    where the other segment comes to be nearer.
    """

    segments: tuple[Path, ...]

    def __post_init__(self) -> None:
        if not self.segments:
            raise ValueError("A chain of paths needs at least one.")

    @property
    def length_nm(self) -> float:
        """Sum of the segments' lengths. [NM]"""
        return float(sum(segment.length_nm for segment in self.segments))

    @property
    def start_course_deg_true(self) -> float:
        """Course of the first segment at its start. [deg true]"""
        return self.segments[0].start_course_deg_true

    @property
    def end_course_deg_true(self) -> float:
        """Course of the last segment at its end. [deg true]"""
        return self.segments[-1].end_course_deg_true

    def measure(self, lat_deg: FloatArray, lon_deg: FloatArray) -> PathPosition:
        """Where positions stand on the nearest segment, counted over the whole chain.

        See :class:`legwise.model.plan.Path`. A loop over segments only; a segment is asked about the positions that
        it may be nearest to.
        """
        lat = np.asarray(lat_deg, dtype=np.float64)
        lon = np.asarray(lon_deg, dtype=np.float64)
        nearest_nm = np.full(lat.shape, np.inf)
        cross, along, to_go, course = (np.full(lat.shape, np.nan) for _ in range(4))
        for number, asked in enumerate(self._candidates(lat, lon)):
            at = np.flatnonzero(asked)
            if at.size == 0:
                continue
            away_nm, position = self._on_segment(number, lat[at], lon[at])
            better = away_nm < nearest_nm[at] - _NEARER_NM
            here = at[better]
            nearest_nm[here] = away_nm[better]
            cross[here], along[here] = position.cross_track_nm[better], position.along_track_nm[better]
            to_go[here], course[here] = position.to_go_nm[better], position.course_deg_true[better]
        return PathPosition(cross_track_nm=cross, along_track_nm=along, to_go_nm=to_go, course_deg_true=course)

    def point_at(self, to_go_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the points at distances to go to the end of the chain. [deg]"""
        to_go = np.asarray(to_go_nm, dtype=np.float64)
        left_nm = self._left_after()
        lat, lon = np.full(to_go.shape, np.nan), np.full(to_go.shape, np.nan)
        last = len(self.segments) - 1
        for number, segment in enumerate(self.segments):
            until = left_nm[number]
            here = (to_go >= until if number < last else np.full(to_go.shape, True)) & np.isfinite(to_go)
            if number > 0:
                here &= to_go < left_nm[number - 1]
            lat[here], lon[here] = segment.point_at(to_go[here] - until)
        return lat, lon

    def point_along(self, along_track_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the points at distances from the start of the chain. [deg]"""
        along = np.asarray(along_track_nm, dtype=np.float64)
        before_nm = self._before()
        lat, lon = np.full(along.shape, np.nan), np.full(along.shape, np.nan)
        last = len(self.segments) - 1
        for number, segment in enumerate(self.segments):
            begins = before_nm[number]
            here = (along >= begins if number > 0 else np.full(along.shape, True)) & np.isfinite(along)
            if number < last:
                here &= along < before_nm[number + 1]
            lat[here], lon[here] = segment.point_along(along[here] - begins)
        return lat, lon

    def _before(self) -> list[float]:
        """Length of the chain before each segment. [NM]"""
        lengths = [segment.length_nm for segment in self.segments]
        return [float(sum(lengths[:number])) for number in range(len(lengths))]

    def _left_after(self) -> list[float]:
        """Length of the chain after each segment. [NM]"""
        lengths = [segment.length_nm for segment in self.segments]
        return [float(sum(lengths[number + 1 :])) for number in range(len(lengths))]

    def _on_segment(self, number: int, lat: FloatArray, lon: FloatArray) -> tuple[FloatArray, PathPosition]:
        """Distance of positions from a segment, and where they stand by it, counted over the chain."""
        segment, first, last = self.segments[number], number == 0, number == len(self.segments) - 1
        found = segment.measure(lat, lon)
        away, cross = np.abs(found.cross_track_nm), found.cross_track_nm.copy()
        along, to_go, course = found.along_track_nm.copy(), found.to_go_nm.copy(), found.course_deg_true.copy()
        start, end = _only(segment.point_along(np.zeros(1))), _only(segment.point_at(np.zeros(1)))
        for spot, out, runs_on, own in (
            (start, found.along_track_nm < 0.0, first, segment.start_course_deg_true),
            (end, found.to_go_nm < 0.0, last, segment.end_course_deg_true),
        ):
            outside = np.flatnonzero(out)
            if outside.size == 0:
                continue
            distance, bearing, _arrival = inverse(spot[0], spot[1], lat[outside], lon[outside])
            away[outside] = distance
            if not runs_on:
                # The foot is the corner itself: how far from it, on the side where the position lies.
                side = np.where(turn_deg(own, bearing) < 0.0, -1.0, 1.0)
                cross[outside], course[outside] = side * distance, own
                at_start = spot is start
                along[outside] = 0.0 if at_start else segment.length_nm
                to_go[outside] = segment.length_nm if at_start else 0.0
        counted = PathPosition(
            cross_track_nm=cross,
            along_track_nm=along + _finite(self._before()[number]),
            to_go_nm=to_go + _finite(self._left_after()[number]),
            course_deg_true=course,
        )
        return away, counted

    def _candidates(self, lat: FloatArray, lon: FloatArray) -> list[BoolArray]:
        """For each segment the positions that it may be nearest to; none is left out that could be.

        No point of a segment is further from its middle than half its length, and a straight line through the earth
        is never longer than the way over it.
        """
        known = np.isfinite(lat) & np.isfinite(lon)
        if len(self.segments) == 1:
            return [known]
        place = _in_space_nm(lat, lon)
        reach = np.full(lat.shape, np.inf)
        least = []
        for segment in self.segments:
            if np.isfinite(segment.length_nm):
                middle = _in_space_nm(*segment.point_along(np.array([segment.length_nm / 2.0])))
                straight = np.sqrt(((place - middle) ** 2).sum(axis=0))
                least.append(straight - segment.length_nm / 2.0)
                # The way over the earth against the line through it: at most pi / 2 times as long, and near 1 close by.
                over = straight * (1.0 + 0.15 * (straight / _SEMI_MAJOR_NM) ** 2)
                reach = np.minimum(reach, over)
            else:
                least.append(np.full(lat.shape, -np.inf))
        return [known & (nearest <= reach + _NEARER_NM) for nearest in least]


def _in_space_nm(lat_deg: FloatArray, lon_deg: FloatArray) -> FloatArray:
    """Positions on the ellipsoid as x, y, z, shape (3, n). [NM]"""
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    normal = _SEMI_MAJOR_NM / np.sqrt(1.0 - _E2 * np.sin(lat) ** 2)
    x, y = normal * np.cos(lat) * np.cos(lon), normal * np.cos(lat) * np.sin(lon)
    return np.stack([x, y, normal * (1.0 - _E2) * np.sin(lat)])


def _only(points: tuple[FloatArray, FloatArray]) -> tuple[float, float]:
    return float(points[0][0]), float(points[1][0])


def _finite(length_nm: float) -> float:
    """A length as an addend: without bound, nothing can be counted from there."""
    return length_nm if np.isfinite(length_nm) else float("nan")
