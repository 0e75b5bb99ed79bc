"""The track thinned to the moments that are decided on: about one a second, coarser for long flights."""

from __future__ import annotations

import numpy as np

from legwise.align.flight import Flight
from legwise.align.grammar import INDEPENDENT_S
from legwise.align.surprise import Thinned
from legwise.geodesy import wrap_360
from legwise.model.arrays import FloatArray, IntArray

MOST_MOMENTS = 4000
MOST_CELLS = 12_000_000
"""Moments times epochs times states: bounds memory (4 bytes each) and time, whatever the lesson holds."""
_LEAST_STEP_S = 1.0
_SMOOTH_S = 2.0
_WEIGHT_CAP = 3.0


def thin(flight: Flight) -> Thinned:
    """Choose the moments: every sample that is the first of its step of time, and the last sample."""
    time_s = flight.time_s
    width = max(1, len(flight.states) * len(flight.epochs))
    most = max(200, min(MOST_MOMENTS, MOST_CELLS // width))
    step_s = max(_LEAST_STEP_S, float(time_s[-1] - time_s[0]) / most)
    bins = np.floor((time_s - time_s[0]) / step_s + 1e-6).astype(np.int64)
    index = _moments(flight, bins)
    moments = time_s[index]
    weight = np.gradient(moments) if len(moments) > 1 else np.ones(1)
    usual = float(np.median(weight))
    # Across a gap nothing was seen, so nothing is known about it either.
    weight = np.minimum(weight, _WEIGHT_CAP * max(usual, step_s)) / INDEPENDENT_S
    if flight.track.time_factor is not None:
        weight = weight * np.where(flight.track.time_factor[index] > 0.0, flight.track.time_factor[index], 1.0)
    samples = flight.track.samples
    return Thinned(
        index=index,
        time_s=moments,
        flown_s=flight.flown_s[index],
        lat_deg=samples.lat_deg[index],
        lon_deg=samples.lon_deg[index],
        track_deg=_smoothed(flight, index),
        altitude_ft=flight.altitude_ft[index],
        on_ground=flight.flying.on_ground[index],
        weight=weight,
    )


def _moments(flight: Flight, bins: IntArray) -> IntArray:
    """The first sample of each bin that was flown; where a new part begins a moment of its own."""
    held = flight.track.held
    rows = np.arange(len(bins)) if held is None else np.flatnonzero(~held)
    first = rows[np.diff(bins[rows], prepend=-1) != 0]
    breaks = np.array(flight.track.breaks, dtype=np.int64)
    return np.unique(np.concatenate([first, rows[-1:], breaks])).astype(np.int64)


def _smoothed(flight: Flight, index: IntArray) -> FloatArray:
    """Track at the moments, the mean of two seconds to either side; NaN where none is known. [deg]"""
    radians = np.radians(flight.track.motion.track_deg_true)
    known = np.isfinite(radians)
    # Sums to the front of every sample, so that a window's sum is one difference.
    east = np.concatenate(([0.0], np.cumsum(np.where(known, np.sin(radians), 0.0))))
    north = np.concatenate(([0.0], np.cumsum(np.where(known, np.cos(radians), 0.0))))
    moments = flight.time_s[index]
    low = np.searchsorted(flight.time_s, moments - _SMOOTH_S)
    high = np.searchsorted(flight.time_s, moments + _SMOOTH_S, side="right")
    # Nothing is smoothed over a jump.
    edges = np.array([0, *flight.track.breaks, len(flight.track)], dtype=np.int64)
    part = np.searchsorted(edges, index, side="right")
    low, high = np.maximum(low, edges[part - 1]), np.minimum(high, edges[part])
    x, y = east[high] - east[low], north[high] - north[low]
    return np.where(np.hypot(x, y) > 1e-6, wrap_360(np.degrees(np.arctan2(x, y))), np.nan)
