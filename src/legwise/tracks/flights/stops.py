"""Where a log can be parted into flights: stands on the ground, and stretches of time without records.

Slow flight parts nothing: an aircraft that circles in the wind, or meets as much wind as it has speed, still moves. So
does one that taxis back for another circuit. Only what stands does not, and what stands in flight (a frozen position,
a simulator's pause) is told by the speed that it had the moment before.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Samples
from legwise.tracks.clocks.set_on import was_set_on
from legwise.tracks.flights.craft import FLYING_PART, Craft, near_nm
from legwise.tracks.flights.unseen import flown_through
from legwise.units import M_PER_NM, S_PER_H, S_PER_MIN

# The thresholds below are common practice, no published source.
PARTING_S = 240.0
"""A stand of four minutes ends a flight: longer than a wait at the holding point between two circuits."""

_MOST_STOPS = 2000
"""Stands, and gaps, that are looked at one by one: the longest. No log of a lesson has so many."""

_STILL_M = 40.0
_STILL_LAGS_S = (10.0, 17.0, 30.0)
"""Within 40 m over each of these an aircraft stands: 2.6 kt, and no circle closes in all three."""

_BRIDGED_S, _BRIDGED_NM = 30.0, 0.1
"""Two stands so near in time and place are one, with a few wild positions in between."""

_LEVEL_FT = 100.0
_LEVEL_DECIDES_S = 20 * S_PER_MIN
"""What moves more in height flies, unless it lasts so long that only the ground holds it."""

_SETTLING_S, _SETTLED_S = 4.0, 12.0
_ABRUPT_KT = 50.0
"""Above 50 kt and six tenths of the usual speed until 4 s before it stands, nothing brakes."""

_GROUND_FT = 100.0
"""So near to where it stood or taxied is ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A stretch at which a log can be parted: its first and last sample, and the first one of what follows it. [s]"""

    first: int
    last: int
    cut: int
    seconds: float


def stops_of(
    samples: Samples, speed_kt: FloatArray, craft: Craft, least_gap_s: float, held: BoolArray | None
) -> list[Stop]:
    """The stands and gaps of a mended track at which it can be parted, in the order of time.

    ``held`` marks samples whose position is known not to be that of their time. A gap (longer than ``least_gap_s``)
    inside a stand is part of it; one that was flown through is none, nor is one in which the clock was set on.
    """
    stands = [stand for stand in _stands(samples) if _is_on_ground(samples, craft, stand, held)]
    standing = np.zeros(len(samples), dtype=bool)
    for stand in stands:
        standing[stand.first : stand.last] = True
    steps_s = np.diff(samples.time_s)
    long = np.flatnonzero((steps_s >= max(PARTING_S, least_gap_s)) & ~standing[:-1])
    if long.size:
        # Where the clock was set on, no time went by, however long the step.
        long = long[~was_set_on(samples, long, float(np.median(steps_s)))]
    long = _longest(long, steps_s[long])
    gaps = [_gap(samples, index) for index in long.tolist() if not flown_through(samples, speed_kt, craft, index)]
    return sorted([*stands, *gaps], key=lambda stop: stop.first)


def _longest(which: IntArray, seconds: FloatArray) -> IntArray:
    """Those that last longest, no more than are looked at one by one, in their order."""
    if len(which) <= _MOST_STOPS:
        return which
    some: IntArray = np.sort(which[np.argsort(-seconds, kind="stable")[:_MOST_STOPS]])
    return some


def _gap(samples: Samples, index: int) -> Stop:
    seconds = float(samples.time_s[index + 1] - samples.time_s[index])
    return Stop(first=index, last=index + 1, cut=index + 1, seconds=seconds)


def _stands(samples: Samples) -> list[Stop]:
    """Stretches of four minutes and more in which the position hardly moves."""
    time_s, rows = samples.time_s, np.arange(len(samples))
    still = np.ones(len(rows), dtype=bool)
    later = rows
    for lag in _STILL_LAGS_S:
        later = np.minimum(np.searchsorted(time_s, time_s + lag), len(rows) - 1)
        still &= near_nm(samples, rows, later) * M_PER_NM <= _STILL_M
    begun = np.bincount(rows[still], minlength=len(rows) + 1)
    ended = np.bincount(later[still] + 1, minlength=len(rows) + 1)
    covered = np.cumsum(begun - ended)[:-1] > 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], covered, [False]]).astype(np.int8))).reshape(-1, 2)
    firsts, lasts = edges[:, 0], edges[:, 1] - 1
    if not firsts.size:
        return []
    one = (time_s[firsts[1:]] - time_s[lasts[:-1]] <= _BRIDGED_S) & (
        near_nm(samples, lasts[:-1], firsts[1:]) <= _BRIDGED_NM
    )
    firsts, lasts = firsts[np.concatenate([[True], ~one])], lasts[np.concatenate([~one, [True]])]
    lasting_s = time_s[lasts] - time_s[firsts]
    long = np.flatnonzero(lasting_s >= PARTING_S)
    long = _longest(long, lasting_s[long])
    bounds = zip(firsts[long].tolist(), lasts[long].tolist(), strict=True)
    return [_stand(time_s, first, last) for first, last in bounds]


def _stand(time_s: FloatArray, first: int, last: int) -> Stop:
    """Parted in its middle, or where half of it and more has no records."""
    seconds = float(time_s[last] - time_s[first])
    steps = np.diff(time_s[first : last + 1])
    longest = int(np.argmax(steps))
    if steps[longest] >= seconds / 2.0:
        cut = first + longest + 1
    else:
        cut = int(np.searchsorted(time_s, time_s[first] + seconds / 2.0))
    return Stop(first=first, last=last, cut=cut, seconds=seconds)


def _is_on_ground(samples: Samples, craft: Craft, stand: Stop, held: BoolArray | None) -> bool:
    """Whether an aircraft that does not move stands on the ground: level, and braked before and gone off after.

    What stops from full speed, or whose position is known to be held, stands on the ground only where its altitude is
    that of the ground.
    """
    part = slice(stand.first, stand.last + 1)
    middle = np.nan
    if craft.altitude_ft is not None:
        known = craft.altitude_ft[part][np.isfinite(craft.altitude_ft[part])]
        if known.size:
            low, middle, high = np.percentile(known, [10.0, 50.0, 90.0])
            if high - low > _LEVEL_FT and stand.seconds < _LEVEL_DECIDES_S:
                return False
    if any(abs(middle - level) <= _GROUND_FT for level in craft.ground_ft):
        return True
    if held is not None and np.count_nonzero(held[part]) > (stand.last - stand.first) / 2:
        return False
    braked = max(_ABRUPT_KT, FLYING_PART * craft.usual_kt)
    return max(_speed_beside(samples, stand.first, -1), _speed_beside(samples, stand.last, 1)) <= braked


def _speed_beside(samples: Samples, index: int, way: int) -> float:
    """The mean speed over the 4 s before (``way`` -1) or after a sample; 0 where there are no records. [kt]"""
    time_s = samples.time_s
    if way < 0:
        other = int(np.searchsorted(time_s, time_s[index] - _SETTLING_S, side="right")) - 1
    else:
        other = int(np.searchsorted(time_s, time_s[index] + _SETTLING_S))
    if not 0 <= other < len(time_s):
        return 0.0
    seconds = abs(float(time_s[other] - time_s[index]))
    if seconds > _SETTLED_S:
        return 0.0
    return float(near_nm(samples, np.array([index]), np.array([other]))[0]) * S_PER_H / seconds
