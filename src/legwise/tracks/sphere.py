"""Positions as points of a sphere: quick distances for the judgements of mending, never for results."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray

RADIUS_NM = 3440.065
"""Mean radius of the earth (6371.0 km): good to 0.6 %, where the limits are round numbers."""


def on_sphere(lat_deg: FloatArray, lon_deg: FloatArray) -> FloatArray:
    """Points of shape (n, 3). [NM] Near one another, their differences are displacements."""
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return RADIUS_NM * np.stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)], axis=-1)


def size_nm(displacement: FloatArray) -> FloatArray:
    """The lengths of displacements of shape (..., 3). [NM]"""
    size: FloatArray = np.sqrt(np.einsum("...i,...i->...", displacement, displacement))
    return size


def apart_nm(here: FloatArray, there: FloatArray) -> FloatArray:
    """Great-circle distances between points. [NM]"""
    chord = size_nm(there - here)
    apart: FloatArray = 2.0 * RADIUS_NM * np.arcsin(np.minimum(chord / (2.0 * RADIUS_NM), 1.0))
    return apart


def as_before(lat_deg: FloatArray, lon_deg: FloatArray) -> BoolArray:
    """Whether each position is the one before it to the last digit; the first is not."""
    same: BoolArray = np.concatenate([[False], (np.diff(lat_deg) == 0) & (np.diff(lon_deg) == 0)])
    return same
