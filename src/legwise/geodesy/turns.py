"""Turns: how wide an aircraft turns, how far before a fix it must begin, and the ground path of a fly-by turn."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.arcs import ArcPath
from legwise.geodesy.geodesics import direct, inverse
from legwise.model.arrays import FloatArray
from legwise.model.plan import Path, PathPosition
from legwise.units import KT_PER_MPS, M_PER_NM, S_PER_H, STANDARD_GRAVITY_MPS2

STANDARD_RATE_DPS = 3.0
DESIGN_BANK_DEG = 25.0
"""A turn at 3 deg/s or at 25 deg of bank, whichever needs less bank (ICAO Doc 8168, procedure and holding turns)."""

MIN_TURN_DEG = 1.0
MAX_TURN_DEG = 150.0
"""Turns outside these have no fly-by arc: nothing to see, or a lead without bound. Common practice, unpublished."""

PANS_OPS_RATE = 3431.0
"""Of the rate of turn 3431 tan(bank) / (pi TAS in kt), in deg/s (ICAO Doc 8168; from memory, exact value 3431.3)."""

_MAX_ROUNDS = 40
_SETTLED_NM = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class FlyByTurn:
    """The ground path of a fly-by turn: an arc tangent to both legs.

    ``lead_nm`` along the inbound leg from where the turn begins to the fix, ``exit_nm`` along the outbound leg from
    the fix to where it ends. [NM] ``turn_deg`` is the change of course at the fix, right positive.
    """

    path: ArcPath
    lead_nm: float
    exit_nm: float
    turn_deg: float


def turn_radius_nm(
    groundspeed_kt: float, *, rate_dps: float = STANDARD_RATE_DPS, bank_deg: float = DESIGN_BANK_DEG
) -> float:
    """Radius of the wider of a turn at a rate and one at an angle of bank. [NM]

    Source: R = V / omega and R = V^2 / (g tan bank); the two meet at 169.8 kt for the defaults. Wind is left out:
    the groundspeed stands for the airspeed, as navigation receivers take it (FAA AIM 1-1-17 b5(e)(4) warns that
    they differ).
    """
    by_rate_nm = groundspeed_kt / S_PER_H / math.radians(rate_dps)
    speed_mps = groundspeed_kt / KT_PER_MPS
    by_bank_nm = speed_mps**2 / (STANDARD_GRAVITY_MPS2 * math.tan(math.radians(bank_deg))) / M_PER_NM
    return max(by_rate_nm, by_bank_nm)


def turn_rate_dps(speed_kt: float, bank_deg: float) -> float:
    """Rate of a turn at an angle of bank: g tan(bank) / V, 1092.2 tan(bank) / V with V in knots. [deg/s]"""
    return math.degrees(STANDARD_GRAVITY_MPS2 * math.tan(math.radians(bank_deg)) / (speed_kt / KT_PER_MPS))


def bank_for_rate_deg(speed_kt: float, rate_dps: float = STANDARD_RATE_DPS) -> float:
    """Angle of bank that turns at a rate: atan(omega V / g), for 3 deg/s atan(V / 364.07) with V in knots. [deg]"""
    return math.degrees(math.atan(math.radians(rate_dps) * speed_kt / KT_PER_MPS / STANDARD_GRAVITY_MPS2))


def pans_ops_rate_dps(tas_kt: float, bank_deg: float = DESIGN_BANK_DEG) -> float:
    """Rate of turn by the formula of ICAO Doc 8168, never more than 3 deg/s. [deg/s] The formula is from memory."""
    return min(STANDARD_RATE_DPS, PANS_OPS_RATE * math.tan(math.radians(bank_deg)) / (math.pi * tas_kt))


def anticipation_nm(radius_nm: float, turn_deg: float) -> float:
    """Distance before a fix at which a turn of that radius begins to end on the next leg: R tan(turn / 2). [NM]

    The turn's sign does not matter; it must be less than 180 deg. On the plane, which is within a metre of the
    ellipsoid for turns of 3 NM radius.
    """
    return radius_nm * math.tan(math.radians(abs(turn_deg)) / 2.0)


def fly_by_arc(inbound: Path, outbound: Path, radius_nm: float) -> FlyByTurn | None:
    """The fly-by turn of a radius from one path onto the next at the end of ``inbound``.

    The centre is the point as far from the one path as from the other, on the inside, found by Newton's rounds on
    the ellipsoid; the arc is then tangent to both within a centimetre. None for turns under ``MIN_TURN_DEG`` or
    over ``MAX_TURN_DEG``, and where either leg is too short for the turn or no such centre is found.
    """
    fix_lat, fix_lon = inbound.point_at(np.array([0.0]))
    at_fix = outbound.measure(fix_lat, fix_lon)
    change_deg = float(turn_deg(inbound.end_course_deg_true, at_fix.course_deg_true)[0])
    if not MIN_TURN_DEG <= abs(change_deg) <= MAX_TURN_DEG or not radius_nm > 0.0:
        return None
    centre = _centre(inbound, outbound, radius_nm, change_deg)
    if centre is None:
        return None
    before, after = inbound.measure(*centre), outbound.measure(*centre)
    lead_nm = float(before.to_go_nm[0])
    exit_nm = flown_between_nm(at_fix, after)
    if not 0.0 < lead_nm <= inbound.length_nm or not 0.0 < exit_nm <= outbound.length_nm:
        return None
    start_lat, start_lon = inbound.point_at(before.to_go_nm)
    end_lat, end_lon = foot_of(outbound, after)
    _distance, bearing_deg, _arrival = inverse(
        centre[0], centre[1], np.concatenate([start_lat, end_lat]), np.concatenate([start_lon, end_lon])
    )
    arc = ArcPath(
        centre_lat_deg=float(centre[0][0]),
        centre_lon_deg=float(centre[1][0]),
        radius_nm=radius_nm,
        start_bearing_deg=float(bearing_deg[0]),
        end_bearing_deg=float(bearing_deg[1]),
        turn="right" if change_deg > 0 else "left",
    )
    return FlyByTurn(path=arc, lead_nm=lead_nm, exit_nm=exit_nm, turn_deg=change_deg)


def flown_between_nm(before: PathPosition, after: PathPosition) -> float:
    """From the foot of one position to that of another along one path, which may lack a start or an end. [NM]"""
    by_end, by_start = before.to_go_nm[0] - after.to_go_nm[0], after.along_track_nm[0] - before.along_track_nm[0]
    return float(by_end if np.isfinite(by_end) else by_start)


def foot_of(path: Path, position: PathPosition) -> tuple[FloatArray, FloatArray]:
    """Latitude and longitude of the feet of positions on a path, which may lack a start or an end. [deg]"""
    if np.isfinite(path.length_nm) or not np.isfinite(position.along_track_nm).any():
        return path.point_at(position.to_go_nm)
    return path.point_along(position.along_track_nm)


def _centre(inbound: Path, outbound: Path, radius_nm: float, change_deg: float) -> tuple[FloatArray, FloatArray] | None:
    """The point ``radius_nm`` to the inner side of both paths (arrays of one position); None if not found."""
    side = math.copysign(1.0, change_deg)
    lat, lon = inbound.point_at(np.array([0.0]))
    # The centre lies on the bisector of the turn: square to the mean course on the plane.
    course = inbound.end_course_deg_true + change_deg / 2.0 + side * 90.0
    lat, lon, _course = direct(lat, lon, course, radius_nm / math.cos(math.radians(change_deg) / 2.0))
    for _ in range(_MAX_ROUNDS):
        one, two = inbound.measure(lat, lon), outbound.measure(lat, lon)
        miss = np.array([side * radius_nm - one.cross_track_nm[0], side * radius_nm - two.cross_track_nm[0]])
        if float(np.abs(miss).max()) < _SETTLED_NM:
            return lat, lon
        right = np.radians(np.array([one.course_deg_true[0], two.course_deg_true[0]]) + 90.0)
        normals = np.column_stack([np.sin(right), np.cos(right)])
        if abs(float(np.linalg.det(normals))) < 1e-3:
            return None
        east, north = np.linalg.solve(normals, miss)
        lat, lon, _course = direct(lat, lon, math.degrees(math.atan2(east, north)), math.hypot(east, north))
    return None
