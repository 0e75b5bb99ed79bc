"""Half of the lateral needle's full scale on a leg, where the aircraft is: what "established" is measured by."""

from __future__ import annotations

from typing import Final

import numpy as np

from legwise.geodesy import turn_deg
from legwise.model.arrays import FloatArray
from legwise.model.plan import Leg, LegPart, Plan, PlannedApproach
from legwise.units import FT_PER_NM

TERMINAL_NM: Final = 1.0
FINAL_NM: Final = 0.3
RAMP_NM: Final = 2.0
"""Full scale: 1 NM in the terminal area, from 2 NM before the final approach fix narrowing to 0.3 NM at it (FAA AIM
1-1-17 b5(e), 1-1-18 d4)."""
APEX_BEYOND_RUNWAY_NM: Final = 1000.0 / FT_PER_NM
"""The origin of an angular course, 305 m beyond the stop end (FAA AIM 1-1-18 d4; a localizer's by common practice)."""
VOR_FULL_SCALE_DEG: Final = 10.0
_BEAMS = ("ILS", "LOC", "LDA", "SDF", "GLS")
_ANGULAR = ("LPV", "LP")
_ON_FINAL_DEG, _ON_FINAL_NM = 5.0, 0.1


def half_scale_nm(plan: Plan, leg: Leg, lat_deg: FloatArray, lon_deg: FloatArray) -> FloatArray:
    """Half of full scale at positions (shape (n,)) on a leg; half of the terminal scale where no other is known."""
    terminal = np.full(len(lat_deg), TERMINAL_NM)
    planned = next((a for a in plan.approaches if a.index == leg.approach), None)
    if planned is None or leg.part is not LegPart.APPROACH or planned.final_path is None:
        return 0.5 * terminal
    before_nm = planned.final_path.measure(lat_deg, lon_deg).to_go_nm
    on_final = _lies_on_final(leg, planned)
    if planned.guidance in _BEAMS:
        return 0.5 * (_splay_nm(planned, before_nm) if on_final else terminal)
    if planned.guidance == "VOR":
        return 0.5 * (_radial_nm(planned, before_nm) if on_final else terminal)
    if on_final and planned.selected_final_only:
        splay = np.minimum(_splay_nm(planned, before_nm), TERMINAL_NM)
        return 0.5 * (splay if planned.guidance in _ANGULAR else np.maximum(splay, FINAL_NM))
    return 0.5 * _full_procedure_nm(planned, before_nm)


def _full_procedure_nm(planned: PlannedApproach, before_nm: FloatArray) -> FloatArray:
    """Terminal scale, the ramp, then the final scale; angular and capped on an angular course."""
    if planned.faf_to_go_nm is None:
        return np.full(len(before_nm), TERMINAL_NM)
    final_nm = np.full(len(before_nm), FINAL_NM)
    if planned.guidance in _ANGULAR:
        # Before the fix the ramp ends on the width the course has at the fix.
        final_nm = np.minimum(_splay_nm(planned, np.minimum(before_nm, planned.faf_to_go_nm)), FINAL_NM)
    part = np.clip((before_nm - planned.faf_to_go_nm) / RAMP_NM, 0.0, 1.0)
    full: FloatArray = final_nm + (TERMINAL_NM - final_nm) * part
    return full


def _splay_nm(planned: PlannedApproach, before_nm: FloatArray) -> FloatArray:
    """Width of an angular course, ``w (D + d) / D``; the final scale where no runway gives it."""
    if planned.runway is None:
        return np.full(len(before_nm), FINAL_NM)
    apex_nm = planned.runway.length_ft / FT_PER_NM + APEX_BEYOND_RUNWAY_NM
    half_nm = planned.half_width_at_threshold_ft / FT_PER_NM
    splay: FloatArray = half_nm * (apex_nm + np.maximum(before_nm, 0.0)) / apex_nm
    return splay


def _radial_nm(planned: PlannedApproach, before_nm: FloatArray) -> FloatArray:
    if planned.navaid is None or planned.final_path is None:
        return np.full(len(before_nm), TERMINAL_NM)
    station = planned.final_path.measure(np.array([planned.navaid.lat_deg]), np.array([planned.navaid.lon_deg]))
    away_nm = np.abs(before_nm - float(station.to_go_nm[0]))
    width: FloatArray = np.clip(away_nm * np.tan(np.radians(VOR_FULL_SCALE_DEG)), FINAL_NM, TERMINAL_NM)
    return width


def _lies_on_final(leg: Leg, planned: PlannedApproach) -> bool:
    if leg.path is None or leg.to_fix is None or planned.final_path is None:
        return False
    end = planned.final_path.measure(np.array([leg.to_fix.lat_deg]), np.array([leg.to_fix.lon_deg]))
    off_deg = float(turn_deg(leg.path.end_course_deg_true, float(end.course_deg_true[0])))
    return abs(off_deg) <= _ON_FINAL_DEG and abs(float(end.cross_track_nm[0])) <= _ON_FINAL_NM
