"""The steps of a track from one position to the next, which of them are leaps, and how far the flight beside them lets
those be.
"""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.mending.straight_fits import Steps, fitted_steps
from legwise.tracks.sphere import apart_nm
from legwise.units import S_PER_H

# Common practice, no published source.
TIMES_FASTER = 3.0
TOO_FAST_KT, MUCH_FASTER = 600.0, 1.5
LEAST_KT = 40.0
"""Faster than 3 times the speed before and after (of 40 kt at least), or than 600 kt and half as fast again."""

LEAST_NM = 0.05
_DELAY_S, _DELAY_STEPS, _NETWORK_DELAY_S = 2.0, 3.0, 8.0
_LEAPS, _LEAP_SHARE = 8, 0.001
"""Nearer than 93 m is no leap, nor along the track than 2 s or three intervals of flight. Receiver networks give
positions, latitude and longitude each by itself, up to 8 s early or late (measured on their records): theirs is a log
with eight leaps or more, and one in a thousand samples.
"""

_WINDOW_S = 6.0
_WINDOW_STEPS = 5.0
_JOINED = 2
FEWEST = 3
_SLEW_S = 30.0
_SECOND_S = 1.0
_ONE_STEP = 0.6
"""Lines are fitted over 6 s or five intervals; steps so many samples apart are one, a slew that takes up to 30 s, seen
in whole seconds where no single step makes up 0.6 of one.
"""


class MovedSteps:
    """The samples at which the position is a new one: their steps and stretches."""

    def __init__(self, clock_s: FloatArray, points: FloatArray, recorded_kt: FloatArray | None, gap_s: float) -> None:
        self.clock_s, self.points = clock_s, points
        # The speed that was recorded on either side of each step; 0 where none was.
        self.known_kt = np.zeros(len(clock_s)) if recorded_kt is None else np.nan_to_num(recorded_kt)
        self.recorded_kt = np.clip(np.maximum(self.known_kt[:-1], self.known_kt[1:]), 0.0, TOO_FAST_KT)
        self.gap_s = gap_s
        self.seconds = np.diff(clock_s)
        self.nm = apart_nm(points[:-1], points[1:])
        self.is_gap: BoolArray = self.seconds > gap_s
        self.usual_s = usual_s = float(np.median(self.seconds))
        self.delay_s, self.is_network = max(_DELAY_S, _DELAY_STEPS * usual_s), False
        self.window_s = max(_WINDOW_S, _WINDOW_STEPS * usual_s)
        with np.errstate(divide="ignore"):
            self.speed_kt = np.where(self.seconds > 0, self.nm * S_PER_H / self.seconds, np.inf)

    def steps(self, known: IntArray, no_claim: IntArray) -> tuple[Steps, BoolArray]:
        """The steps that may be jumps, fitted, and which of them were known to be."""
        candidate = self.candidates()
        candidate[known] = True
        candidate[no_claim] = False
        at = np.flatnonzero(candidate)
        is_known = np.isin(at, known)
        apart = (np.diff(at) > _JOINED) | is_known[1:] | is_known[:-1]
        first = at[np.concatenate([[True], apart])] if at.size else at
        last = at[np.concatenate([apart, [True]])] if at.size else at
        if len(first) - len(known) >= max(_LEAPS, _LEAP_SHARE * len(candidate)):
            self.delay_s, self.is_network = max(self.delay_s, _NETWORK_DELAY_S), True
        low, high = self._bounds(first, last, no_claim)
        return fitted_steps(self.clock_s, self.points, first, last + 1, (low, high)), np.isin(first, known)

    def candidates(self) -> BoolArray:
        """Steps much faster than the flight just before or just after, and those of a slew that takes some seconds."""
        candidate: BoolArray = (self.nm > LEAST_NM) & (self.speed_kt > TIMES_FASTER * LEAST_KT)
        at = np.flatnonzero(candidate)
        if at.size:
            near = np.fmin(*self._beside_kt(at, 0.0))
            far = np.maximum(*self._beside_kt(at, _SLEW_S))
            candidate[at] = self._is_faster(at, near) | self._is_faster(at, far)
        stride = round(_SECOND_S / self.usual_s) if self.usual_s > 0 else 1
        if stride > 1 and len(self.nm) > stride * FEWEST:
            self._add_slow(candidate, stride)
        return candidate

    def _add_slow(self, candidate: BoolArray, stride: int) -> None:
        """Mark the slews of a fast log, whose single steps are short, by what is moved in a second."""
        thin = MovedSteps(self.clock_s[::stride], self.points[::stride], self.known_kt[::stride], self.gap_s)
        slow = np.zeros(len(candidate), dtype=bool)
        for second in np.flatnonzero(thin.candidates()).tolist():
            first, stop = second * stride, (second + 1) * stride
            # A leap from one sample to the next makes a fast second too, but not by many steps.
            slow[first:stop] = bool(self.nm[first:stop].max() < _ONE_STEP * thin.nm[second])
        candidate |= slow

    def _beside_kt(self, at: IntArray, away_s: float) -> tuple[FloatArray, FloatArray]:
        """Speeds over a window that ends so long before each step, and begins so long after it; NaN beyond a gap."""
        count = len(self.clock_s)
        edge = np.concatenate([[0], np.flatnonzero(self.is_gap) + 1, [count]])
        low = edge[np.searchsorted(edge, at, side="right") - 1]
        high = edge[np.searchsorted(edge, at + 1, side="right")] - 1
        ends_s, begins_s = self.clock_s[at] - away_s, self.clock_s[at + 1] + away_s
        until = np.searchsorted(self.clock_s, ends_s, side="right") - 1
        since = np.searchsorted(self.clock_s, begins_s)
        before = np.maximum(np.searchsorted(self.clock_s, ends_s - self.window_s), low)
        after = np.minimum(np.searchsorted(self.clock_s, begins_s + self.window_s, side="right") - 1, high)
        return self._chord_kt(before, np.maximum(until, before)), self._chord_kt(np.minimum(since, after), after)

    def _is_faster(self, at: IntArray, usual_kt: FloatArray) -> BoolArray:
        """Whether steps are much faster, and farther, than at a usual speed (NaN: not known, and so they are not)."""
        known = np.nan_to_num(usual_kt, nan=np.inf)
        usual = np.maximum(np.maximum(known, self.recorded_kt[at]), LEAST_KT)
        speed = self.speed_kt[at]
        faster = (speed > TIMES_FASTER * usual) | ((speed > TOO_FAST_KT) & (speed > MUCH_FASTER * usual))
        is_faster: BoolArray = faster & (self.nm[at] - usual * self.seconds[at] / S_PER_H > LEAST_NM)
        return is_faster

    def _chord_kt(self, first: IntArray, last: IntArray) -> FloatArray:
        seconds = self.clock_s[last] - self.clock_s[first]
        speed = np.full(len(first), np.nan)
        nm = apart_nm(self.points[first], self.points[last])
        np.divide(nm * S_PER_H, seconds, out=speed, where=seconds > 0)
        return speed

    def _bounds(self, first: IntArray, last: IntArray, no_claim: IntArray) -> tuple[IntArray, IntArray]:
        """The first and last sample to fit about each step: in a window, and in its stretch between the others."""
        count = len(self.clock_s)
        cuts = np.unique(np.concatenate([np.flatnonzero(self.is_gap), no_claim]))
        stretch_first = np.concatenate([[0], cuts + 1])[np.searchsorted(cuts, first)]
        stretch_last = np.concatenate([cuts, [count - 1]])[np.searchsorted(cuts, last, side="right")]
        others_last = np.concatenate([[0], last[:-1] + 1]) if first.size else first
        others_first = np.concatenate([first[1:], [count - 1]]) if first.size else first
        low = np.searchsorted(self.clock_s, self.clock_s[first] - self.window_s)
        high = np.searchsorted(self.clock_s, self.clock_s[last + 1] + self.window_s, side="right") - 1
        low = np.minimum(np.maximum.reduce([low, stretch_first, others_last]), first)
        high = np.maximum(np.minimum.reduce([high, stretch_last, others_first]), last + 1)
        return low, high
