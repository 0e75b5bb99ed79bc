"""Directions and their differences, wrapped in one place."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import FloatArray


def wrap_180(angle_deg: npt.ArrayLike) -> FloatArray:
    """The angle in [-180, 180). [deg]"""
    wrapped: FloatArray = (np.asarray(angle_deg, dtype=np.float64) + 180.0) % 360.0 - 180.0
    return wrapped


def wrap_360(angle_deg: npt.ArrayLike) -> FloatArray:
    """The direction in [0, 360). [deg]"""
    wrapped = np.asarray(angle_deg, dtype=np.float64) % 360.0
    # A tiny negative angle rounds up to 360 itself.
    return np.where(wrapped >= 360.0, 0.0, wrapped)


def turn_deg(from_deg: npt.ArrayLike, to_deg: npt.ArrayLike) -> FloatArray:
    """The turn from one direction to another, right positive, in [-180, 180). [deg]"""
    return wrap_180(np.asarray(to_deg, dtype=np.float64) - np.asarray(from_deg, dtype=np.float64))


def mean_direction_deg(direction_deg: npt.ArrayLike) -> float:
    """The mean of directions as that of unit vectors, in [0, 360); NaN where there are none or they cancel. [deg]"""
    radians = np.radians(np.asarray(direction_deg, dtype=np.float64))
    radians = radians[np.isfinite(radians)]
    if radians.size == 0:
        return float("nan")
    east, north = float(np.sin(radians).mean()), float(np.cos(radians).mean())
    if np.hypot(east, north) < 1e-9:
        return float("nan")
    return float(wrap_360(np.degrees(np.arctan2(east, north))))
