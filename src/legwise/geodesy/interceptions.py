"""Rolling out onto a course through the fix: short of it, exactly on it, or past it and back."""

from __future__ import annotations

import math

from legwise.geodesy.manoeuvres import Manoeuvre, sweep_to_deg
from legwise.units import S_PER_H

INTERCEPT_DEG = 30.0
"""The angle at which a course is intercepted after a turn that does not end on it. Common practice; ICAO Doc 8168
designs fly-over turns with 30 deg (from memory)."""

STEEPER_DEG = (INTERCEPT_DEG, 45.0, 60.0)
"""What is tried in turn where the course would only be met past the fix. Common practice, no published source."""

_ON_COURSE_NM = 1e-6
_HALVINGS = 40


def intercepted(
    flown: Manoeuvre, course_deg: float, side: float, *, intercept_deg: float = INTERCEPT_DEG
) -> Manoeuvre | None:
    """``flown`` with a turn the way of ``side`` (+1 right, -1 left) and what it takes to be on a course over the fix.

    Where the turn would end beside the course, it is stopped short or flown on by ``intercept_deg``, the course is
    approached straight, and joined with a last turn; by less where there is no room for that much. None where the
    wind allows no track along the course, or it would take more than a whole circle.
    """
    along_it = flown.air.heading_for_deg(course_deg)
    if along_it is None:
        return None
    sweep = sweep_to_deg(flown.heading_deg, along_it, side)
    turned = flown.turned(sweep)
    beside_nm = turned.against(course_deg)[1]
    if abs(beside_nm) <= _ON_COURSE_NM:
        return turned
    toward = -math.copysign(1.0, beside_nm)
    most = min(intercept_deg, abs(sweep)) if toward * side < 0.0 else intercept_deg

    def joined(angle_deg: float, seconds: float) -> Manoeuvre:
        return flown.turned(sweep + toward * angle_deg).flown(seconds).turned(-toward * angle_deg)

    def left_nm(angle_deg: float) -> float:
        """What is left to fly across the course where the last turn follows at once; negative: no room."""
        return -toward * joined(angle_deg, 0.0).against(course_deg)[1]

    angle = most
    if left_nm(angle) < 0.0:
        low, high = 0.0, most
        for _ in range(_HALVINGS):
            angle = (low + high) / 2.0
            low, high = (angle, high) if left_nm(angle) >= 0.0 else (low, angle)
        angle = low
    if abs(sweep + toward * angle) >= 360.0 or angle == 0.0:
        return None
    course = math.radians(course_deg)
    east_kt, north_kt = flown.air.velocity_kt(along_it + toward * angle)
    across_kt = toward * (east_kt * math.cos(course) - north_kt * math.sin(course))
    if across_kt <= 0.0:
        return None
    return joined(angle, max(left_nm(angle), 0.0) / across_kt * S_PER_H)


def to_fix(flown: Manoeuvre, course_deg: float) -> Manoeuvre | None:
    """``flown``, established on a course to the fix, with the straight to it; None where the fix lies behind."""
    along_nm = flown.against(course_deg)[0]
    east_kt, north_kt = flown.air.velocity_kt(flown.heading_deg)
    speed_kt = math.hypot(east_kt, north_kt)
    return flown.flown(-along_nm / speed_kt * S_PER_H) if along_nm <= 0.0 else None


def brought_in(
    flown: Manoeuvre, course_deg: float, side: float, *, intercepts_deg: tuple[float, ...] = STEEPER_DEG
) -> tuple[Manoeuvre, Manoeuvre] | None:
    """``flown`` until established on a course to the fix, and on to the fix.

    By the first of the intercepts that meets the course before the fix; None where none does.
    """
    for intercept_deg in intercepts_deg:
        established = intercepted(flown, course_deg, side, intercept_deg=intercept_deg)
        back = to_fix(established, course_deg) if established is not None else None
        if established is not None and back is not None:
            return established, back
    return None


def straight_back(flown: Manoeuvre, side: float) -> Manoeuvre | None:
    """``flown`` with a turn the way of ``side`` until its track leads to the fix, and the straight there.

    None where no turn of less than a whole circle makes it do so.
    """
    off = _off_fix_deg(flown)
    for step in range(1, 360):
        low, high = float(step - 1), float(step)
        before, off = off, _off_fix_deg(flown.turned(side * high))
        # The fix comes from the side of the turn to ahead; a change from astern goes through 180 deg.
        if before * off <= 0.0 and abs(before) + abs(off) < 180.0:
            for _ in range(_HALVINGS):
                middle = (low + high) / 2.0
                beyond = _off_fix_deg(flown.turned(side * middle)) * before <= 0.0
                low, high = (low, middle) if beyond else (middle, high)
            turned = flown.turned(side * high)
            speed_kt = math.hypot(*turned.air.velocity_kt(turned.heading_deg))
            return turned.flown(math.hypot(turned.east_nm, turned.north_nm) / speed_kt * S_PER_H)
    return None


def _off_fix_deg(flown: Manoeuvre) -> float:
    """Angle from its track to the direction of the fix, right positive. [deg]"""
    east_kt, north_kt = flown.air.velocity_kt(flown.heading_deg)
    to_fix_deg = math.degrees(math.atan2(-flown.east_nm, -flown.north_nm))
    return (to_fix_deg - math.degrees(math.atan2(east_kt, north_kt)) + 180.0) % 360.0 - 180.0
