"""Glidepaths over the curved earth: the straight line in space, and the constant angle that a barometer flies."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import FloatArray
from legwise.units import FT_PER_NM, M_PER_FT

_EARTH_RADIUS_FT = 6_371_009.0 / M_PER_FT


def barometric_path_ft(
    before_threshold_nm: npt.ArrayLike,
    *,
    threshold_elevation_ft: float,
    crossing_height_ft: float,
    glidepath_deg: float,
) -> FloatArray:
    """Altitude of a barometric glidepath: the same angle everywhere over the curved earth. [ft]

    ``before_threshold_nm`` along the final course, negative past the threshold, where the path goes on down. The
    altitude is a barometric one: in warm or cold air the path stands higher or lower in space.
    """
    distance_ft = np.asarray(before_threshold_nm, dtype=np.float64) * FT_PER_NM
    path: FloatArray = threshold_elevation_ft + crossing_height_ft + distance_ft * math.tan(math.radians(glidepath_deg))
    return path


def straight_path_ft(
    before_threshold_nm: npt.ArrayLike,
    *,
    threshold_elevation_ft: float,
    crossing_height_ft: float,
    glidepath_deg: float,
) -> FloatArray:
    """Altitude of a glidepath that is a straight line in space (ILS, GLS, SBAS). [ft]

    The earth falls away below it by d^2 / 2R: 22 ft at 5 NM, 88 ft at 10 NM. Arguments as in
    :func:`barometric_path_ft`.
    """
    distance_ft = np.asarray(before_threshold_nm, dtype=np.float64) * FT_PER_NM
    return barometric_path_ft(
        before_threshold_nm,
        threshold_elevation_ft=threshold_elevation_ft,
        crossing_height_ft=crossing_height_ft,
        glidepath_deg=glidepath_deg,
    ) + distance_ft**2 / (2.0 * _EARTH_RADIUS_FT)


def path_origin_nm(crossing_height_ft: float, glidepath_deg: float) -> float:
    """How far past the threshold the path would meet the ground: where its angle is measured from. [NM]"""
    return crossing_height_ft / math.tan(math.radians(glidepath_deg)) / FT_PER_NM
