"""Steps of about a second: how far the positions moved in each, and how far the recorded speed says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Samples
from legwise.tracks.sphere import apart_nm
from legwise.units import S_PER_H

# Common practice, no published source.
HALF_STEPS = 2
"""Ratios are taken over a step and so many on each side."""

_STEP_S = 1.0
_LONGEST_STEPS, _LONGEST_S = 5.0, 10.0
_SPEEDS_KT = (30.0, 700.0)
"""Steps of a second or more, none longer than five usual ones or ten seconds, at speeds that a flight has."""

_CHANNELS = frozenset({Channel.GROUNDSPEED_KT, Channel.TAS_KT, Channel.IAS_KT, Channel.TRACK_DEG_TRUE})


@dataclass(frozen=True, slots=True, eq=False)
class Log:
    """The records in order; ``rows`` are those about a second apart or more: noise of closer ones is no speed."""

    time_s: FloatArray
    points: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    channels: Mapping[Channel, FloatArray]
    told_by_positions: BoolArray
    rows: IntArray

    @classmethod
    def of(cls, samples: Samples, time_s: FloatArray, rows: IntArray, points: FloatArray, free: IntArray) -> Log:
        """The records ``rows``, in strict order of ``time_s``; to the places ``free`` the positions tell no speed."""
        interval_s = float(np.median(np.diff(time_s)))
        told = np.ones(len(time_s), dtype=bool)
        told[free] = False
        return cls(
            time_s=time_s,
            points=points,
            lat_deg=samples.lat_deg[rows],
            lon_deg=samples.lon_deg[rows],
            channels={name: values[rows] for name, values in samples.channels.items() if name in _CHANNELS},
            told_by_positions=told,
            rows=np.arange(0, len(time_s), max(1, round(_STEP_S / interval_s)), dtype=np.int64),
        )


@dataclass(frozen=True, slots=True, eq=False)
class SpeedSteps:
    """Steps of about a second, shape (k,): their time, the way moved and the way recorded (0 where not usable)."""

    seconds: FloatArray
    moved_nm: FloatArray
    recorded_nm: FloatArray
    speed_kt: FloatArray
    usable: BoolArray

    @classmethod
    def of(cls, log: Log, speed_kt: FloatArray) -> SpeedSteps:
        """The steps of ``log`` against a recorded speed, shape (n,)."""
        rows = log.rows
        seconds = np.diff(log.time_s[rows])
        mean_kt = (speed_kt[rows[:-1]] + speed_kt[rows[1:]]) / 2.0
        broken = np.logical_or.reduceat(~log.told_by_positions[1:], rows[:-1])
        longest_s = max(_LONGEST_STEPS * float(np.median(seconds)), _LONGEST_S)
        low, high = _SPEEDS_KT
        usable = (mean_kt >= low) & (mean_kt <= high) & (seconds <= longest_s) & ~broken
        moved_nm = apart_nm(log.points[rows[:-1]], log.points[rows[1:]])
        return cls(
            seconds=seconds,
            moved_nm=np.where(usable, moved_nm, 0.0),
            recorded_nm=np.where(usable, mean_kt * seconds / S_PER_H, 0.0),
            speed_kt=mean_kt,
            usable=usable,
        )

    def ratio_about(self) -> FloatArray:
        """The way moved over the way recorded in five steps about each; 1 where they tell nothing."""
        moved, recorded = _about(self.moved_nm), _about(self.recorded_nm)
        ratio = np.ones(len(moved))
        np.divide(moved, recorded, out=ratio, where=self.usable & (recorded > 0) & (moved > 0))
        return ratio


def _about(values: FloatArray) -> FloatArray:
    """The sum of each value and its neighbours."""
    sums = np.concatenate([[0.0], np.cumsum(values)])
    here = np.arange(len(values))
    first, stop = np.maximum(here - HALF_STEPS, 0), np.minimum(here + HALF_STEPS + 1, len(values))
    about: FloatArray = sums[stop] - sums[first]
    return about
