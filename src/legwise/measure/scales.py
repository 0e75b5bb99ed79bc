"""Lateral full scale: centre to full deflection, by phase, guidance and receiver. Arrays in, arrays out, all in NM.

Sources: FAA AIM 1-1-17 b5 and 1-1-18 d4, d5 (GNSS), 1-1-9 b2 (localizer), 1-1-3 (VOR). What comes from memory or
from practice says so.
"""

from __future__ import annotations

import math

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.units import FT_PER_NM, M_PER_NM

EN_ROUTE_NM = {"sbas": 2.0, "gps": 5.0}
"""5 NM: AIM 1-1-17 b5(e)(3). 2 NM: AC 20-138D, from memory; two published guides agree."""
TERMINAL_NM = 1.0
FINAL_NM = 0.3
RAMP_NM = 2.0
"""The scale tightens from 2 NM before the final approach fix; linearly in distance, an assumption (AIM says
"smooth")."""

GNSS_APEX_BEYOND_RUNWAY_NM = 305.0 / M_PER_NM
"""The origin of the angular course lies 305 m beyond the stop end (flight path alignment point plus 305 m)."""
LOCALIZER_BEYOND_RUNWAY_NM = 1000.0 / FT_PER_NM
"""Where a localizer antenna usually stands: 1,000 ft beyond the stop end. Practice, no published source for a given
runway."""

VOR_FULL_SCALE_DEG = 10.0
VOR_CONE_DEG = 50.0
"""Half angle from the vertical of the cone above a VOR in which it gives no bearing (ICAO Doc 8168, from memory)."""


def ramp_nm(to_faf_nm: FloatArray, final_nm: FloatArray | float) -> FloatArray:
    """From 1 NM at ``RAMP_NM`` before the final approach fix to ``final_nm`` at it and inside it."""
    part = np.clip(np.asarray(to_faf_nm, dtype=np.float64) / RAMP_NM, 0.0, 1.0)
    scale: FloatArray = final_nm + (TERMINAL_NM - final_nm) * part
    return scale


def gnss_splay_nm(before_threshold_nm: FloatArray, half_width_nm: float, runway_nm: float) -> FloatArray:
    """The angular course of LPV and LP before any cap: ``w (D + d) / D``, never narrower than ``w``."""
    apex_nm = runway_nm + GNSS_APEX_BEYOND_RUNWAY_NM
    before = np.maximum(np.asarray(before_threshold_nm, dtype=np.float64), 0.0)
    splay: FloatArray = half_width_nm * (apex_nm + before) / apex_nm
    return splay


def localizer_nm(before_threshold_nm: FloatArray, half_width_nm: float, antenna_nm: float) -> FloatArray:
    """A localizer's course, narrowing all the way to its antenna ``antenna_nm`` past the threshold; NaN beyond that."""
    to_antenna = antenna_nm + np.asarray(before_threshold_nm, dtype=np.float64)
    scale: FloatArray = half_width_nm * to_antenna / antenna_nm
    return np.where(to_antenna > 0.0, scale, np.nan)


def vor_nm(cross_track_nm: FloatArray, from_station_nm: FloatArray, height_nm: FloatArray) -> FloatArray:
    """A VOR's needle by the bearing from the station, 10 deg full scale, as a distance at each place.

    ``cross_track_nm`` off the radial and ``from_station_nm`` along it (either sign), so that cross-track over full
    scale is the angle over 10 deg. NaN inside the cone above the station, by the height above it.
    """
    along = np.abs(np.asarray(from_station_nm, dtype=np.float64))
    cross = np.abs(np.asarray(cross_track_nm, dtype=np.float64))
    angle_deg = np.degrees(np.arctan2(cross, along))
    on_course = along * math.radians(VOR_FULL_SCALE_DEG)
    with np.errstate(invalid="ignore", divide="ignore"):
        scale = np.where(angle_deg > 1e-6, cross * VOR_FULL_SCALE_DEG / angle_deg, on_course)
    outside = np.hypot(along, cross) > np.maximum(height_nm, 0.0) * math.tan(math.radians(VOR_CONE_DEG))
    return np.where(outside & (along > 0.0), scale, np.nan)
