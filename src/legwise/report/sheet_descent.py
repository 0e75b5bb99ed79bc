"""The rate of descent and the timing for the day: at the planned groundspeed, and ten knots either side of it."""

from __future__ import annotations

import math

from legwise.look.leg_words import minutes
from legwise.look.words import duration, number
from legwise.model.briefing import FinalBriefing
from legwise.units import FT_PER_NM, S_PER_H, S_PER_MIN

_STEP_KT = 10.0
_PLAIN_KT = (80.0, 90.0, 100.0, 120.0)
"""Groundspeeds for which it is told where none is planned."""


def descent_words(final: FinalBriefing) -> str:
    """``"478 ft/min at 90 kt (425 at 80, 531 at 100), 318 ft/NM"``; empty where no angle is known.

    The groundspeed is horizontal: rate = groundspeed x tan(angle) (standards sheet 9.2).
    """
    if final.angle_deg is None:
        return ""
    per_nm = FT_PER_NM * math.tan(math.radians(final.angle_deg))
    what = f", {number(per_nm)} ft/NM"
    if final.computed:
        what += f" ({number(final.angle_deg, 2)}° from the FAF to the threshold, computed)"
    if final.groundspeed_kt is None:
        rates = ", ".join(f"{number(per_nm * kt / S_PER_MIN)} at {number(kt)} kt" for kt in _PLAIN_KT)
        return f"ft/min: {rates}{what}"
    near = [
        f"{number(per_nm * kt / S_PER_MIN)} at {number(kt)}"
        for kt in (final.groundspeed_kt - _STEP_KT, final.groundspeed_kt + _STEP_KT)
        if kt > 0
    ]
    rate = f"{number(per_nm * final.groundspeed_kt / S_PER_MIN)} ft/min at {number(final.groundspeed_kt)} kt"
    return f"{rate} ({', '.join(near)}){what}"


def timing_words(final: FinalBriefing) -> str:
    """``"6.0 NM: 4 min 00 s at 90 kt (4:30 at 80, 3:36 at 100)"`` from the final approach fix to the missed approach
    point; empty where the distance is not known."""
    distance, planned = final.distance_nm, final.groundspeed_kt
    if distance is None or distance <= 0:
        return ""
    if planned is None:
        times = [f"{minutes(distance / kt * S_PER_H)} at {number(kt)} kt" for kt in _PLAIN_KT]
        return f"{number(distance, 1)} NM; min: {', '.join(times)}"
    near = [
        f"{minutes(distance / kt * S_PER_H)} at {number(kt)}"
        for kt in (planned - _STEP_KT, planned + _STEP_KT)
        if kt > 0
    ]
    time = f"{duration(distance / planned * S_PER_H)} at {number(planned)} kt"
    return f"{number(distance, 1)} NM: {time} ({', '.join(near)})"
