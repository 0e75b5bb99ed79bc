"""Vertical speed out of altitudes and their actual times."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import FloatArray, IntArray
from legwise.model.flown_time import flown_interval_s, flown_time_s
from legwise.model.track import Channel, Track
from legwise.units import S_PER_MIN

HALF_WINDOW_S = 4.0
"""Half the time that a rate is fitted over: short enough for a level-off, long enough for 25 ft steps. Practice."""


def vertical_speed_fpm(track: Track, altitude_ft: FloatArray) -> FloatArray:
    """Vertical speed at each sample: recorded, else the slope of a straight line fitted about it. [ft/min]

    The fit reaches ``HALF_WINDOW_S`` to each side, or one and a half sample intervals where samples are sparse,
    uses the times that were flown, and never crosses a gap; NaN where fewer than two altitudes stand in it, and where
    the position is that of another time.
    """
    interval_s = flown_interval_s(track)
    half_s = max(HALF_WINDOW_S, 1.5 * interval_s)
    stretch = _stretch(track, half_s)
    if track.held is not None:
        altitude_ft = np.where(track.held, np.nan, altitude_ft)
    about_s = np.full(len(track), half_s)
    if track.time_factor is not None:
        about_s = np.maximum(HALF_WINDOW_S, 1.5 * interval_s * np.maximum(track.time_factor, 1.0))
    speed = _fitted_rate(flown_time_s(track), altitude_ft, stretch, about_s) * S_PER_MIN
    recorded = track.samples.channels.get(Channel.VERTICAL_SPEED_FPM)
    if recorded is not None:
        speed = np.where(np.isfinite(recorded), recorded, speed)
    return speed if track.held is None else np.where(track.held, np.nan, speed)


def _stretch(track: Track, half_s: float) -> IntArray:
    """The number of the unbroken stretch of each sample; two samples too far apart to share a fit break it."""
    begins = np.zeros(len(track), dtype=np.bool_)
    begins[1:] = np.diff(track.samples.time_s) > half_s
    begins[[first for _last, first in track.gaps]] = True
    begins[0] = False
    return np.cumsum(begins, dtype=np.int64)


def _fitted_rate(time_s: FloatArray, values: FloatArray, stretch: IntArray, half_s: FloatArray) -> FloatArray:
    """Slope of the least-squares line through the values within ``half_s`` of each time, by running sums. [units/s]"""
    use = np.isfinite(values)
    weight = use.astype(np.float64)
    begin, end = np.searchsorted(stretch, stretch, "left"), np.searchsorted(stretch, stretch, "right")
    # Counted from the middle of each stretch, running sums over a day at 10 Hz keep a slope to 1e-3 of itself.
    t = time_s - (time_s[begin] + time_s[end - 1]) / 2.0
    y = np.where(use, values - (values[use].mean() if use.any() else 0.0), 0.0)
    first = np.maximum(np.searchsorted(time_s, time_s - half_s, "left"), begin)
    stop = np.minimum(np.searchsorted(time_s, time_s + half_s, "right"), end)

    def total(terms: FloatArray) -> FloatArray:
        running = np.concatenate([[0.0], np.cumsum(terms)])
        difference: FloatArray = running[stop] - running[first]
        return difference

    count, sum_t, sum_y = total(weight), total(weight * t), total(y)
    sum_tt, sum_ty = total(weight * t * t), total(t * y)
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = sum_tt - sum_t**2 / count
        slope = (sum_ty - sum_t * sum_y / count) / spread
    enough: FloatArray = np.where((count >= 2.0) & (spread > 1e-2), slope, np.nan)
    return enough
