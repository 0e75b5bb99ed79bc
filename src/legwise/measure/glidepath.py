"""The vertical needle: the glidepath owed, the deviation from it, and its full scale.

Sources: FAA AIM 1-1-9 d2 (ILS, 1.4 deg in all); RTCA DO-229 from memory, with two public implementations (SBAS: a
quarter of the glidepath angle, capped far out and floored near); a barometric display's scale is the maker's
choice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from legwise.geodesy import barometric_path_ft, path_origin_nm, straight_path_ft
from legwise.measure.stretches import ApproachStretch
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.deviations import JudgedAltitude
from legwise.model.lesson import Lesson
from legwise.model.plan import PlannedApproach
from legwise.units import FT_PER_M, FT_PER_NM

ILS_FULL_SCALE_DEG = 0.7
SBAS_FULL_SCALE_PART = 0.25
SBAS_CAP_FT = 150.0 * FT_PER_M
SBAS_FLOOR_FT = {"LPV": 15.0 * FT_PER_M, "LNAV/VNAV": 45.0 * FT_PER_M}
BARO_FULL_SCALE_FT = 150.0
"""A linear 150 ft is the usual approach scale of barometric displays (from memory; 75 ft, also met, is a limit, not
a scale)."""

REACH_NM = 10.0
BEFORE_FAF_NM = 2.0
"""The needle is shown from 10 NM out (AIM 1-1-9 d3: "normally usable"), or 2 NM before a final approach fix farther
out."""

PAST_THRESHOLD_NM = 0.05
"""The needle ends 300 ft past the threshold: a little farther on an angular scale shrinks to nothing. Practice."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Glidepath:
    """Arrays of shape (n,), NaN where no glidepath was owed; ``barometric`` is true on a barometric one."""

    path_ft: FloatArray
    deviation_ft: FloatArray
    full_scale_ft: FloatArray
    needle: FloatArray
    barometric: BoolArray


def glidepath_of(
    lesson: Lesson, stretches: list[ApproachStretch], judged: JudgedAltitude
) -> tuple[Glidepath, list[str]]:
    """The vertical columns on every final course with a glidepath, down to the threshold."""
    count = len(judged.altitude_ft)
    path, full, flown = (np.full(count, np.nan) for _ in range(3))
    barometric = np.zeros(count, dtype=np.bool_)
    in_space = judged.altitude_ft if judged.geometric_altitude_ft is None else judged.geometric_altitude_ft
    notes: list[str] = []
    for stretch in stretches:
        planned = stretch.planned
        if not planned.has_glidepath or not stretch.on_final or planned.runway is None:
            continue
        baro = planned.guidance == "LNAV/VNAV" and lesson.navigation.vertical == "baro"
        reach = REACH_NM
        if planned.faf_to_go_nm is not None:
            reach = max(reach, planned.faf_to_go_nm + BEFORE_FAF_NM)
        shown = (stretch.before_threshold_nm >= -PAST_THRESHOLD_NM) & (stretch.before_threshold_nm <= reach)
        index, before = stretch.index[shown], stretch.before_threshold_nm[shown]
        path[index] = path_ft(planned, before, barometric=baro)
        flown[index] = (judged.altitude_ft if baro else in_space)[index]
        barometric[index] = baro
        high = flown[index] >= path[index]
        full[index] = BARO_FULL_SCALE_FT if baro else full_scale_ft(planned, before, high)
        notes.append(_note(planned, baro=baro))
    known = np.isfinite(flown)
    full[~known] = np.nan
    deviation = flown - path
    glidepath = Glidepath(
        path_ft=path, deviation_ft=deviation, full_scale_ft=full, needle=deviation / full, barometric=barometric
    )
    return glidepath, list(dict.fromkeys(notes))


def path_ft(planned: PlannedApproach, before_threshold_nm: FloatArray, *, barometric: bool) -> FloatArray:
    """Altitude of an approach's glidepath; NaN where the plan has no runway or no glidepath. [ft]"""
    if planned.runway is None or planned.glidepath_deg is None:
        return np.full_like(before_threshold_nm, np.nan)
    form = barometric_path_ft if barometric else straight_path_ft
    return form(
        before_threshold_nm,
        threshold_elevation_ft=planned.runway.elevation_ft,
        crossing_height_ft=planned.threshold_crossing_height_ft,
        glidepath_deg=planned.glidepath_deg,
    )


def full_scale_ft(planned: PlannedApproach, before_threshold_nm: FloatArray, high: BoolArray) -> FloatArray:
    """Full scale of an angular glidepath on the aircraft's side of it: a little more above than below. [ft]"""
    if planned.glidepath_deg is None:
        return np.full_like(before_threshold_nm, np.nan)
    angle = planned.glidepath_deg
    sbas = planned.guidance in SBAS_FLOOR_FT
    half = SBAS_FULL_SCALE_PART * angle if sbas else ILS_FULL_SCALE_DEG
    origin_nm = path_origin_nm(planned.threshold_crossing_height_ft, angle)
    from_origin_ft = np.maximum(before_threshold_nm + origin_nm, 0.0) * FT_PER_NM
    above = math.tan(math.radians(angle + half)) - math.tan(math.radians(angle))
    below = math.tan(math.radians(angle)) - math.tan(math.radians(angle - half))
    scale: FloatArray = from_origin_ft * np.where(high, above, below)
    if sbas and planned.guidance is not None:
        scale = np.clip(scale, SBAS_FLOOR_FT[planned.guidance], SBAS_CAP_FT)
    return np.where(scale > 0.0, scale, np.nan)


def _note(planned: PlannedApproach, *, baro: bool) -> str:
    name = planned.title or planned.procedure
    if baro:
        return (
            f"{name}: the glidepath is barometric, a constant angle; its full scale is the maker's choice and taken as "
            f"{BARO_FULL_SCALE_FT:g} ft."
        )
    if planned.guidance in SBAS_FLOOR_FT:
        return f"{name}: the glidepath is a straight line in space; full scale is a quarter of its angle within bounds."
    return f"{name}: the glidepath is a straight line in space; its full scale is {ILS_FULL_SCALE_DEG:g} deg."
