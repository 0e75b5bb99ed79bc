"""The time that was flown, where a log's clock is not it: pauses stand still in it, accelerated time runs faster."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.model.track import Track


def flown_clock_s(time_s: FloatArray, factor: FloatArray | None) -> FloatArray:
    """Seconds flown since the first sample, plus its time; ``factor`` of them in each second before a sample."""
    if factor is None:
        return time_s
    flown: FloatArray = time_s[0] + np.concatenate([[0.0], np.cumsum(np.diff(time_s) * factor[1:])])
    return flown


def flown_time_s(track: Track) -> FloatArray:
    """The clock by which a track was flown, shape (n,), never going back: differences in it are durations. [s]"""
    return flown_clock_s(track.samples.time_s, track.time_factor)


def flown_interval_s(track: Track) -> float:
    """The usual interval of the samples that were flown: a position can be held through many. [s]"""
    if track.held is None:
        return track.interval_s
    flown = track.samples.time_s[~track.held]
    return float(np.median(np.diff(flown))) if flown.size > 1 else track.interval_s
