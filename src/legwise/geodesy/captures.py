"""Fly-over turns: over the fix, round past the next leg's course, and back onto it at an intercept."""

from __future__ import annotations

import math

import numpy as np

from legwise.geodesy.angles import turn_deg, wrap_360
from legwise.geodesy.arcs import ArcPath
from legwise.geodesy.chains import ChainPath
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.interceptions import INTERCEPT_DEG
from legwise.geodesy.lines import MIN_LEG_NM, GeodesicLine
from legwise.geodesy.turns import MIN_TURN_DEG, flown_between_nm, foot_of
from legwise.model.arrays import FloatArray
from legwise.model.lesson import Turn
from legwise.model.plan import Path

_REACH_RADII = 40.0
_SAMPLES = 257
_ROUNDS = 5
_ROOM = 0.95
"""Of the intercept that would leave no straight between the two turns on the plane: the ellipsoid needs its share."""


def arc_from(
    lat_deg: float, lon_deg: float, course_deg_true: float, turn: Turn, radius_nm: float, sweep_deg: float
) -> ArcPath:
    """The arc that leaves a position on a course and turns through ``sweep_deg`` (over 0, under 360)."""
    side = 1.0 if turn == "right" else -1.0
    centre_lat, centre_lon, arrival = direct(lat_deg, lon_deg, course_deg_true + side * 90.0, radius_nm)
    start_bearing = float(wrap_360(arrival + 180.0))
    return ArcPath(
        centre_lat_deg=float(centre_lat),
        centre_lon_deg=float(centre_lon),
        radius_nm=radius_nm,
        start_bearing_deg=start_bearing,
        end_bearing_deg=float(wrap_360(start_bearing + side * sweep_deg)),
        turn=turn,
    )


def fly_over_capture(
    inbound: Path,
    outbound: Path,
    radius_nm: float,
    *,
    intercept_deg: float = INTERCEPT_DEG,
    turn: Turn | None = None,
) -> ChainPath | None:
    """The path from the end of ``inbound`` over its fix onto ``outbound``.

    A turn of ``radius_nm`` from the inbound course past the outbound one, a straight that closes with it at
    ``intercept_deg``, and a turn back onto it. Turns of less than 43 deg have no room for 30 deg and close at less.
    The turn goes the short way unless ``turn`` says. None where the courses differ by less than 1 deg, or
    ``outbound`` is too short or is not met.
    """
    lat, lon = inbound.point_at(np.zeros(1))
    at_fix = outbound.measure(lat, lon)
    course = inbound.end_course_deg_true
    if turn is None:
        turn = "right" if float(turn_deg(course, at_fix.course_deg_true)[0]) >= 0.0 else "left"
    side = 1.0 if turn == "right" else -1.0
    change = float(wrap_360(side * (at_fix.course_deg_true[0] - course)))
    angle = min(intercept_deg, _ROOM * math.degrees(math.acos((1.0 + math.cos(math.radians(change))) / 2.0)))
    if not radius_nm >= MIN_LEG_NM or change < MIN_TURN_DEG or change + angle >= 360.0 or angle <= 0.0:
        return None
    first = arc_from(float(lat[0]), float(lon[0]), course, turn, radius_nm, change + angle)
    out_lat, out_lon = first.point_at(np.zeros(1))
    out_course = first.end_course_deg_true
    straight_nm = _straight_nm(outbound, (float(out_lat[0]), float(out_lon[0]), out_course), side, radius_nm)
    if straight_nm is None:
        return None
    begin_lat, begin_lon, begin_course = direct(out_lat, out_lon, out_course, straight_nm)
    # However short: no leg of the plan, whose ends would have to give a direction.
    straight = GeodesicLine(
        end_lat_deg=float(begin_lat[0]),
        end_lon_deg=float(begin_lon[0]),
        end_course_deg_true=float(begin_course[0]),
        length_nm=straight_nm,
        start_course_deg_true=out_course,
    )
    centre_lat, centre_lon, arrival = direct(begin_lat, begin_lon, begin_course - side * 90.0, radius_nm)
    met = outbound.measure(centre_lat, centre_lon)
    if float(met.to_go_nm[0]) < 0.0 or not flown_between_nm(at_fix, met) > 0.0:
        return None
    _distance, end_bearing, _arrival = inverse(centre_lat, centre_lon, *foot_of(outbound, met))
    last = ArcPath(
        centre_lat_deg=float(centre_lat[0]),
        centre_lon_deg=float(centre_lon[0]),
        radius_nm=radius_nm,
        start_bearing_deg=float(wrap_360(arrival + 180.0)[0]),
        end_bearing_deg=float(end_bearing[0]),
        turn="left" if turn == "right" else "right",
    )
    if last.sweep_deg > 180.0:
        return None
    return ChainPath((first, straight, last))


def _straight_nm(outbound: Path, start: tuple[float, float, float], side: float, radius_nm: float) -> float | None:
    """Length of the straight from a position on a course after which a turn back ends on ``outbound``. [NM]"""

    def short_nm(straight_nm: FloatArray) -> FloatArray:
        """How far the centre of the last turn still is from where it must be."""
        lat, lon, course = direct(start[0], start[1], start[2], straight_nm)
        return (
            side * outbound.measure(*direct(lat, lon, course - side * 90.0, radius_nm)[:2]).cross_track_nm + radius_nm
        )

    low, high = 0.0, _REACH_RADII * radius_nm
    for _ in range(_ROUNDS):
        along = np.linspace(low, high, _SAMPLES)
        gap = short_nm(along)
        crossed = np.flatnonzero(np.signbit(gap[1:]) != np.signbit(gap[:-1]))
        if crossed.size == 0:
            return None
        low, high = float(along[crossed[0]]), float(along[crossed[0] + 1])
    return (low + high) / 2.0
