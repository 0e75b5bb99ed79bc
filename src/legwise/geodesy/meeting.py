"""Where a path first meets a circle about a station, a radial from one, or another path.

Each is the first zero of a signed distance along the path. It is bracketed by samples ``_STEP_NM`` apart and closed
in on by finer and finer samples; near misses between samples are looked into in the same way, so that a path that
only cuts the edge of a circle meets it too. Closed to a millimetre (tests/geodesy/test_meeting.py).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from legwise.geodesy.geodesics import inverse
from legwise.geodesy.rays import ray_from
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.plan import Path

REACH_NM = 300.0
"""How far along a path a meeting is looked for. No leg is longer; our choice, no published source."""

_STEP_NM = 0.25
_CLOSER = 33
_ROUNDS = 6
_ON_IT_NM = 1e-5

_Gap = Callable[[FloatArray, FloatArray], FloatArray]
_Counts = Callable[[FloatArray, FloatArray], BoolArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Where a path meets something: how far from its start [NM], and the position [deg]."""

    along_track_nm: float
    lat_deg: float
    lon_deg: float


def meets_circle(
    path: Path, centre_lat_deg: float, centre_lon_deg: float, radius_nm: float, *, within_nm: float = REACH_NM
) -> Meeting | None:
    """Where a path is first ``radius_nm`` from a position (horizontal geodesic), inward or outward.

    Counted from the start of the path, past its end too; None where that is not within ``within_nm`` or the path has
    no start.
    """

    def gap_nm(lat: FloatArray, lon: FloatArray) -> FloatArray:
        distance_nm, _bearing, _arrival = inverse(centre_lat_deg, centre_lon_deg, lat, lon)
        return distance_nm - radius_nm

    return _first(path, gap_nm, _anywhere, within_nm)


def meets_radial(
    path: Path, station_lat_deg: float, station_lon_deg: float, radial_deg_true: float, *, within_nm: float = REACH_NM
) -> Meeting | None:
    """Where a path first crosses a radial of a station; its reciprocal does not count.

    The radial is the geodesic that leaves the station on ``radial_deg_true``. Otherwise as :func:`meets_circle`.
    """
    return meets_path(path, ray_from(station_lat_deg, station_lon_deg, radial_deg_true), within_nm=within_nm)


def meets_path(path: Path, other: Path, *, within_nm: float = REACH_NM) -> Meeting | None:
    """Where a path first meets another one between that one's ends. Otherwise as :func:`meets_circle`."""

    def gap_nm(lat: FloatArray, lon: FloatArray) -> FloatArray:
        return other.measure(lat, lon).cross_track_nm

    def between_its_ends(lat: FloatArray, lon: FloatArray) -> BoolArray:
        there = other.measure(lat, lon)
        # A path without a start or an end is bounded there by nothing: NaN is not below.
        past = (there.along_track_nm < -_ON_IT_NM) | (there.to_go_nm < -_ON_IT_NM)
        return ~past

    return _first(path, gap_nm, between_its_ends, within_nm)


def _anywhere(lat: FloatArray, _lon: FloatArray) -> BoolArray:
    return np.ones(lat.shape, dtype=np.bool_)


def _first(path: Path, gap_nm: _Gap, counts: _Counts, within_nm: float) -> Meeting | None:
    """The first zero of the gap along the path that counts."""
    along = np.linspace(0.0, within_nm, max(2, int(np.ceil(within_nm / _STEP_NM)) + 1))
    gap = gap_nm(*path.point_along(along))
    for low, high in _brackets(along, gap):
        found = _close_in(path, gap_nm, low, high)
        if found is None:
            continue
        lat, lon = path.point_along(np.array([found]))
        if counts(lat, lon)[0]:
            return Meeting(along_track_nm=found, lat_deg=float(lat[0]), lon_deg=float(lon[0]))
    return None


def _brackets(along: FloatArray, gap: FloatArray) -> list[tuple[float, float]]:
    """Stretches that may hold a zero, in order: the gap changes its sign in them, or comes nearest to none."""
    size = np.abs(gap)
    crossed = np.signbit(gap[1:]) != np.signbit(gap[:-1])
    found = [(float(along[at]), float(along[at + 1])) for at in np.flatnonzero(crossed)]
    dips = np.flatnonzero((size[1:-1] <= size[:-2]) & (size[1:-1] <= size[2:])) + 1
    for at in dips:
        # Nothing nears a path faster than one mile a mile flown.
        if size[at] <= along[at + 1] - along[at - 1] and not crossed[at - 1] and not crossed[at]:
            found.append((float(along[at - 1]), float(along[at + 1])))
    if size[0] <= along[1] - along[0]:
        found.append((float(along[0]), float(along[1])))
    return sorted(set(found))


def _close_in(path: Path, gap_nm: _Gap, low: float, high: float) -> float | None:
    """The first zero in a stretch, None where the gap does not come to nothing there."""
    for _ in range(_ROUNDS):
        along = np.linspace(low, high, _CLOSER)
        gap = gap_nm(*path.point_along(along))
        if not np.isfinite(gap).all():
            return None
        crossed = np.flatnonzero(np.signbit(gap[1:]) != np.signbit(gap[:-1]))
        if crossed.size:
            low, high = float(along[crossed[0]]), float(along[crossed[0] + 1])
        else:
            least = int(np.argmin(np.abs(gap)))
            low, high = float(along[max(least - 1, 0)]), float(along[min(least + 1, _CLOSER - 1)])
    along = np.array([low, (low + high) / 2.0, high])
    gap = np.abs(gap_nm(*path.point_along(along)))
    nearest = int(np.argmin(gap))
    return float(along[nearest]) if gap[nearest] <= _ON_IT_NM else None
