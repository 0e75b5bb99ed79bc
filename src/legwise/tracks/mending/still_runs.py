"""Runs of equal positions, and what the flight before and after each tells of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Samples
from legwise.tracks.sphere import apart_nm
from legwise.units import S_PER_H

# Common practice, no published source.
_LEAST_ROWS = 3
_LEAST_S = 3.0
_MOVING_KT = 40.0
"""Three or more equal positions over 3 s, while the aircraft did at least 40 kt, are held."""

_CRAWLING_KT = 10.0
"""Where the log ends in a stand, a recorded speed of 10 kt and more tells that the aircraft went on."""

_BRAKING_KTPS = 6.0
"""Nothing brakes or gathers speed so hard over a whole interval: who does more than this many knots for each second of
one, and stands in the next, was stopped.
"""

_SIDE_S = 3.0
_WINDOW_S, _WINDOW_MOST_S = 6.0, 30.0
_WINDOW_PART = 1.5
_MISSING_PART = 0.6
"""The flight is looked at for 3 s on both sides, and its path for one and a half times the stand (6 to 30 s): where it
lacks more than 0.6 of the stand, time stood.
"""

_LEAP_PART = 0.5
_AHEAD_PART = 1.5


_JITTER_NM = 0.5 / 1852.0
_JITTER_PART = 0.1
"""Positions within half a metre of one another, a tenth of what the recorded speed makes, stand as equal ones do."""


def _jitters(
    samples: Samples, clock_s: FloatArray, points: FloatArray, same: BoolArray, is_cut: BoolArray
) -> BoolArray:
    """Steps, shape (n - 1,), of positions that only jitter about one place while a flying speed is recorded."""
    none = np.zeros(len(same), dtype=bool)
    recorded = samples.channels.get(Channel.GROUNDSPEED_KT)
    if recorded is None:
        return none
    slower_kt = np.minimum(recorded[:-1], recorded[1:])
    flown_nm = slower_kt * np.diff(clock_s) / S_PER_H
    tiny = (slower_kt > _MOVING_KT) & (
        apart_nm(points[:-1], points[1:]) <= np.minimum(_JITTER_NM, _JITTER_PART * flown_nm)
    )
    tiny = (tiny | same) & ~is_cut
    edges = np.flatnonzero(np.diff(np.concatenate([[False], tiny, [False]]).astype(np.int8))).reshape(-1, 2)
    if not len(edges):
        return none
    # What creeps away from where it began moves.
    first = np.repeat(edges[:, 0], edges[:, 1] - edges[:, 0])
    away_nm = np.zeros(len(same))
    at = np.flatnonzero(tiny)
    away_nm[at] = apart_nm(points[first], points[at + 1])
    stays = np.maximum.reduceat(away_nm[at], np.searchsorted(at, edges[:, 0])) <= _JITTER_NM
    jitters = none
    jitters[at] = np.repeat(stays, edges[:, 1] - edges[:, 0])
    return jitters


@dataclass(frozen=True, slots=True, eq=False)
class StillRuns:
    """Runs of equal positions, ``first`` to ``stop`` (exclusive), long enough to count; arrays of shape (r,).

    ``low`` and ``high`` (inclusive) are the ends of the stretch each lies in, between gaps and jumps.
    """

    samples: Samples
    clock_s: FloatArray
    points: FloatArray
    way_nm: FloatArray
    first: IntArray
    stop: IntArray
    low: IntArray
    high: IntArray

    @classmethod
    def of(
        cls, samples: Samples, clock_s: FloatArray, points: FloatArray, breaks: IntArray, gap_s: float
    ) -> StillRuns | None:
        """The runs, or None where there is none."""
        lat, lon = samples.lat_deg, samples.lon_deg
        is_cut = np.diff(samples.time_s) > gap_s
        is_cut[breaks - 1] = True
        same = (np.diff(lat) == 0) & (np.diff(lon) == 0) & ~is_cut
        same |= _jitters(samples, clock_s, points, same, is_cut)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], same, [False]]).astype(np.int8))).reshape(-1, 2)
        first, last = edges[:, 0], edges[:, 1]
        some = (last - first + 1 >= _LEAST_ROWS) & (samples.time_s[last] - samples.time_s[first] >= _LEAST_S)
        if not some.any():
            return None
        first, last = first[some], last[some]
        cuts = np.flatnonzero(is_cut)
        return cls(
            samples=samples,
            clock_s=clock_s,
            points=points,
            way_nm=np.concatenate([[0.0], np.cumsum(np.where(is_cut, 0.0, apart_nm(points[:-1], points[1:])))]),
            first=first,
            stop=last + 1,
            low=np.concatenate([[0], cuts + 1])[np.searchsorted(cuts, first)],
            high=np.concatenate([cuts, [len(samples) - 1]])[np.searchsorted(cuts, last)],
        )

    @property
    def seconds(self) -> FloatArray:
        """From the first to the last sample."""
        return np.asarray(self.clock_s[self.stop - 1] - self.clock_s[self.first])

    @property
    def after(self) -> IntArray:
        """The next sample; the last of the run itself where its stretch ends there."""
        return np.minimum(self.stop, self.high)

    @property
    def before(self) -> IntArray:
        """The sample before; the first of the run itself where its stretch begins there."""
        return np.maximum(self.first - 1, self.low)

    @property
    def seconds_to_next(self) -> FloatArray:
        """From the first sample to the first with another position."""
        return np.asarray(self.clock_s[self.after] - self.clock_s[self.first])

    def _at(self, clock_s: FloatArray) -> IntArray:
        return np.searchsorted(self.clock_s, clock_s)

    def _speed_kt(self, first: IntArray, last: IntArray) -> FloatArray:
        """The way from one sample to another over its time; NaN where that is none."""
        seconds = self.clock_s[last] - self.clock_s[first]
        speed = np.full(len(first), np.nan)
        np.divide((self.way_nm[last] - self.way_nm[first]) * S_PER_H, seconds, out=speed, where=seconds > 0)
        return speed

    def _side(self, seconds: FloatArray | float) -> tuple[IntArray, IntArray]:
        """Samples about ``seconds`` before the run and after it, inside its stretch."""
        begun, done = self.clock_s[self.first], self.clock_s[self.after]
        back = np.maximum(np.minimum(self._at(begun - seconds), self.before), self.low)
        on = np.minimum(
            np.maximum(np.searchsorted(self.clock_s, done + seconds, side="right") - 1, self.after), self.high
        )
        return back, on

    def _sudden(self) -> tuple[BoolArray, BoolArray, BoolArray]:
        """Whether the stretch goes on after each run, and whether the aircraft stopped and went on at once."""
        back, on = self._side(_SIDE_S)
        into = np.nan_to_num(self._speed_kt(back, self.first))
        off = np.nan_to_num(self._speed_kt(self.after, on))
        step_in = np.nan_to_num(self._speed_kt(self.before, self.first))
        step_out = np.nan_to_num(self._speed_kt(self.stop - 1, self.after))
        takes_in = self.clock_s[self.first] - self.clock_s[self.before]
        takes_out = self.clock_s[self.after] - self.clock_s[self.stop - 1]
        least_in = np.maximum(_MOVING_KT, _BRAKING_KTPS * takes_in)
        least_out = np.maximum(_MOVING_KT, _BRAKING_KTPS * takes_out)
        has_in, has_out = self.first > self.low, self.stop <= self.high
        stops = has_in & (into >= least_in) & (step_in >= _LEAP_PART * least_in)
        goes = has_out & ((off >= least_out) | (on <= self.after)) & (step_out >= _LEAP_PART * least_out)
        return has_out, stops, goes

    def pauses(self) -> tuple[BoolArray, BoolArray]:
        """Runs after which the flight goes on from the same place; runs that a stretch of the log ends in."""
        has_out, stops, goes = self._sudden()
        seconds = self.seconds
        reach_s = np.clip(_WINDOW_PART * seconds, _WINDOW_S, _WINDOW_MOST_S)
        near, far = self._side(reach_s), self._side(2.0 * reach_s)
        usual = np.stack([self._speed_kt(far[0], near[0]), self._speed_kt(near[1], far[1])])
        inner = np.stack([self._speed_kt(near[0], self.first), self._speed_kt(self.after, near[1])])
        # Where there is nothing farther out, the flight beside the run tells its speed.
        one, other = np.where(np.isfinite(usual), usual, inner)
        usual_kt = np.where(np.isfinite(one) & np.isfinite(other), (one + other) / 2.0, np.fmax(one, other))
        whole_s = self.clock_s[near[1]] - self.clock_s[near[0]]
        way_nm = self.way_nm[near[1]] - self.way_nm[near[0]]
        missing_s = np.full(len(seconds), 0.0)
        np.divide(way_nm * S_PER_H, usual_kt, out=missing_s, where=usual_kt > 0)
        missing_s = np.where(usual_kt > 0, whole_s - missing_s, 0.0)
        stood = missing_s > _MISSING_PART * seconds
        is_pause = stops & goes & stood
        # At its end nothing tells whether the receiver or the time stood, unless a speed was recorded.
        return is_pause, stops & ~has_out & ~(self._recorded_kt() > _CRAWLING_KT)

    def receiver_holds(self) -> BoolArray:
        """Runs during which the aircraft flew on: by the speed recorded, or by the leap out of the run or into it."""
        has_out, stops, _goes = self._sudden()
        leap = np.fmax(self._speed_kt(self.first, self.after), self._speed_kt(self.before, self.stop - 1))
        recorded = self._recorded_kt()
        leaps = (~np.isfinite(recorded) | stops) & (np.nan_to_num(leap) > _MOVING_KT)
        lost = stops & ~has_out & (recorded > _CRAWLING_KT)
        flew: BoolArray = (recorded > _MOVING_KT) | leaps | lost
        return flew

    def leaps_in(self) -> BoolArray:
        """Runs that the position came to at a leap, ahead of its time, rather than left by one."""
        step_in = self.way_nm[self.first] - self.way_nm[self.before]
        step_out = self.way_nm[self.after] - self.way_nm[self.stop - 1]
        leaps: BoolArray = step_in > _AHEAD_PART * step_out
        return leaps & (self.stop <= self.high)

    def _recorded_kt(self) -> FloatArray:
        """The mean of the speeds recorded in each run; NaN where none was."""
        recorded = self.samples.channels.get(Channel.GROUNDSPEED_KT)
        if recorded is None:
            return np.full(len(self.first), np.nan)
        known = np.isfinite(recorded)
        sums = np.concatenate([[0.0], np.cumsum(np.where(known, recorded, 0.0))])
        counts = np.concatenate([[0], np.cumsum(known)])
        mean = np.full(len(self.first), np.nan)
        count = counts[self.stop] - counts[self.first]
        np.divide(sums[self.stop] - sums[self.first], count, out=mean, where=count > 0)
        return mean
