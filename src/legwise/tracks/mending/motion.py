"""Motion over the ground: recorded where it was, derived from the positions elsewhere, never across a gap."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from legwise.geodesy import inverse, turn_deg, wrap_360
from legwise.model.arrays import BoolArray, FloatArray, IntArray, readonly_floats
from legwise.model.track import Channel, Motion, Samples
from legwise.units import S_PER_H

STANDING_KT = 3.0
"""Below this a track is noise: positions of some metres' noise over a few seconds. Common practice, no published
source.
"""

_CHORD_HALF_S = 2.5
"""Half the time over which a speed and a track are taken from positions: 3 m of noise make 1.2 kt over 5 s."""

_BEATS_HALF_S = 5.0
_BEATS_MOST_S = 5.0
_BEATS_SHARE, _BEATS_BOTH = 0.15, 0.9
"""Intervals of n and n + 1 whole seconds, each a good share and together nearly all, are stamps that beat."""

_RATE_HALF_S = 4.0
"""Half the time over which a rate of turn is taken: half-second noise of 2° makes less than 0.3°/s."""

_Contradicts = Callable[[FloatArray, FloatArray, FloatArray], str]
"""Compares recorded values with the speed and the track of the positions: why they are not believed, or nothing."""

_COMPARED = 5000
_MOVING_KT = 30.0
_ENOUGH = 30
_TRACK_OFF_DEG = 4.0
_SPEED_OFF = 0.2
"""Recorded motion is not believed where its median differs from that of the positions by more than these."""


@dataclass(frozen=True, slots=True, eq=False)
class MotionFound:
    """The motion, notes on how it was made, and the recorded channels that the positions contradict."""

    motion: Motion
    notes: tuple[str, ...]
    contradicted: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """How a log was flown: the samples whose position is that of their time, and by which clock.

    ``rows`` are their indices, ``clock_s`` (n,) the seconds flown at every sample, ``factor`` how many of them were
    flown in each second of the log (None: one), ``paused`` marks samples of time that stood (None: none). ``gaps`` are
    pairs of samples across which nothing is derived.
    """

    rows: IntArray
    clock_s: FloatArray
    factor: FloatArray | None
    paused: BoolArray | None
    gaps: tuple[tuple[int, int], ...]


def motion_of(samples: Samples, flown: Flown) -> MotionFound:
    """Groundspeed, track and rate of turn at each sample of a mended track.

    A recorded speed or true track is taken unless it contradicts the positions as a whole; where it is missing, and
    where nothing was recorded, it is the chord over about 5 s. The track is NaN where the aircraft stands. The rate
    is the difference of the mean tracks of the 4 s after and the 4 s before: for a steady turn its rate, right
    positive. Speeds and rates are those flown, whatever the log's clock did; where the position is not that of its
    time, only what was recorded is given, and nothing where time stood.
    """
    count = len(samples)
    places = _Places(samples, flown)
    interval_s = float(np.median(np.diff(samples.time_s)))
    notes: list[str] = list(places.notes)
    contradicted: list[str] = []
    rows = flown.rows
    some = rows if len(rows) <= _COMPARED else rows[:: len(rows) // _COMPARED]
    speed_some, track_some = places.chords(some)
    speed = _believed(samples, Channel.GROUNDSPEED_KT, _speed_contradicts, some, speed_some, track_some, contradicted)
    track = _believed(samples, Channel.TRACK_DEG_TRUE, _track_contradicts, some, speed_some, track_some, contradicted)
    missing = rows[np.isnan(speed[rows]) | np.isnan(track[rows])]
    derived_speed, derived_track = places.chords(missing)
    for name, column, derived in (("groundspeed", speed, derived_speed), ("track", track, derived_track)):
        empty = np.isnan(column[missing])
        if empty.any():
            part = "" if empty.sum() == len(rows) else f" for {int(empty.sum())} samples without one"
            notes.append(f"{name} is derived from the positions{part}")
        column[missing] = np.where(empty, derived, column[missing])
    if flown.paused is not None:
        speed[flown.paused] = track[flown.paused] = np.nan
    track = np.where(speed < STANDING_KT, np.nan, wrap_360(track))
    first = _block_starts(count, flown.gaps)
    flown_s = float(np.median(np.diff(samples.time_s[rows]))) if len(rows) > 1 else interval_s
    half_s = np.full(count, max(_RATE_HALF_S, 1.5 * flown_s))
    if flown.factor is not None:
        half_s = np.maximum(_RATE_HALF_S, 1.5 * flown_s * flown.factor)
    # What is held with no track of its own stands in no window: the samples around it are neighbours.
    told = np.isfinite(track)
    told[rows] = True
    rate = np.full(count, np.nan)
    rate[told] = _rate(
        flown.clock_s[told], track[told], np.searchsorted(np.flatnonzero(told), first[told]), half_s[told]
    )
    motion = Motion(
        groundspeed_kt=readonly_floats(speed),
        track_deg_true=readonly_floats(track),
        track_rate_dps=readonly_floats(rate),
    )
    return MotionFound(motion, tuple(notes), tuple(contradicted))


def _block_starts(count: int, gaps: tuple[tuple[int, int], ...]) -> IntArray:
    """For each sample the first of its stretch between gaps."""
    edges = np.array([0, *(after for _before, after in gaps)], dtype=np.int64)
    return edges[np.searchsorted(edges, np.arange(count), side="right") - 1]


class _Places:
    """The positions that were flown, in the order of time, each inside its stretch between gaps."""

    def __init__(self, samples: Samples, flown: Flown) -> None:
        rows = flown.rows
        self.rows, self.clock_s = rows, flown.clock_s[rows]
        self.lat_deg, self.lon_deg = samples.lat_deg[rows], samples.lon_deg[rows]
        begun = _block_starts(len(samples), flown.gaps)[rows]
        self.start = np.searchsorted(begun, begun, side="left")
        self.stop = np.searchsorted(begun, begun, side="right")
        self.half_s, self.notes = _chord_half_s(samples.time_s)

    def chords(self, rows: IntArray) -> tuple[FloatArray, FloatArray]:
        """Speed and course of the chord about each of ``rows`` [kt, deg]: at least from its neighbours, inside its
        stretch.
        """
        at = np.searchsorted(self.rows, rows)
        before = np.searchsorted(self.clock_s, self.clock_s[at] - self.half_s - 1e-6, side="left")
        after = np.searchsorted(self.clock_s, self.clock_s[at] + self.half_s + 1e-6, side="right") - 1
        before = np.maximum(np.minimum(before, at - 1), self.start[at])
        after = np.minimum(np.maximum(after, at + 1), self.stop[at] - 1)
        distance_nm, course, _arrival = _midway_inverse(self.lat_deg, self.lon_deg, before, after)
        seconds = self.clock_s[after] - self.clock_s[before]
        speed = np.full(len(at), np.nan)
        np.divide(distance_nm * S_PER_H, seconds, out=speed, where=seconds > 0)
        return speed, np.where(speed > 0, course, np.nan)


def _chord_half_s(time_s: FloatArray) -> tuple[float, tuple[str, ...]]:
    """Half the time of a chord, and a note where whole seconds make it longer.

    Records that come every 2.5 s but are stamped with whole seconds seem to beat, 3 s and 2 s: each stamp may be half
    a second off, which a chord over ten seconds takes lightly.
    """
    seconds = np.diff(time_s)
    least = float(np.floor(np.median(seconds)))
    if not 1.0 <= least <= _BEATS_MOST_S or np.any(time_s != np.floor(time_s)):
        return _CHORD_HALF_S, ()
    longer = max((least - 1.0, least + 1.0), key=lambda other: int(np.count_nonzero(seconds == other)))
    shares = [float(np.mean(seconds == other)) for other in (least, longer)]
    if min(shares) < _BEATS_SHARE or sum(shares) < _BEATS_BOTH:
        return _CHORD_HALF_S, ()
    note = "times are whole seconds while records come between them: speeds from positions are taken over ten seconds"
    return _BEATS_HALF_S, (note,)


def _midway_inverse(
    lat: FloatArray, lon: FloatArray, before: IntArray, after: IntArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Distance, course half way (the mean of the courses at both ends, which differ near the poles), course on
    arrival.
    """
    distance_nm, course, arrival = inverse(lat[before], lon[before], lat[after], lon[after])
    return distance_nm, wrap_360(course + turn_deg(course, arrival) / 2.0), arrival


def _believed(
    samples: Samples,
    channel: Channel,
    contradicts: _Contradicts,
    rows: IntArray,
    speed_kt: FloatArray,
    track_deg: FloatArray,
    contradicted: list[str],
) -> FloatArray:
    """A copy of a recorded channel; all NaN where it wasn't recorded or the positions contradict it."""
    recorded = samples.channels.get(channel)
    if recorded is None:
        return np.full(len(samples), np.nan)
    moving = np.isfinite(recorded[rows]) & (speed_kt > _MOVING_KT)
    if np.count_nonzero(moving) >= _ENOUGH:
        why = contradicts(recorded[rows][moving], speed_kt[moving], track_deg[moving])
        if why:
            contradicted.append(f"{channel.value}: {why}; derived from the positions instead")
            return np.full(len(samples), np.nan)
    return recorded.copy()


def _speed_contradicts(recorded: FloatArray, speed_kt: FloatArray, _track_deg: FloatArray) -> str:
    ratio = float(np.median(recorded / speed_kt))
    return f"{ratio:.2f} times the speed of the positions" if abs(ratio - 1.0) > _SPEED_OFF else ""


def _track_contradicts(recorded: FloatArray, _speed_kt: FloatArray, track_deg: FloatArray) -> str:
    off = turn_deg(track_deg, recorded)
    off = off[np.isfinite(off)]
    if off.size == 0:
        return ""
    middle, size = float(np.median(off)), float(np.median(np.abs(off)))
    if size <= _TRACK_OFF_DEG:
        return ""
    side = "right" if middle > 0 else "left"
    return f"its median lies {abs(middle):.0f}° {side} of the positions' (half of it more than {size:.0f}° off)"


def _rate(time_s: FloatArray, track_deg: FloatArray, start: IntArray, half_s: FloatArray) -> FloatArray:
    """Rate of turn by the difference of half-window means, inside stretches with a track. [deg/s]

    For an even window this is the slope of a straight line exactly, with 1.125 times the variance of a least-squares
    fit; sums of first order keep their precision over days.
    """
    has = np.isfinite(track_deg)
    if not has.any():
        return np.full(len(track_deg), np.nan)
    new = np.concatenate([[True], (has[1:] != has[:-1]) | (start[1:] != start[:-1])])
    block = np.flatnonzero(new)
    low = np.maximum.accumulate(np.where(new, np.arange(len(new)), 0))
    high = np.append(block[1:], len(new))[np.cumsum(new) - 1]
    unwrapped = _without_spikes(_unwrapped(track_deg, has, low), low, high)
    rows = np.arange(len(time_s))
    first = np.maximum(np.searchsorted(time_s, time_s - half_s - 1e-6, side="left"), low)
    last = np.minimum(np.searchsorted(time_s, time_s + half_s + 1e-6, side="right"), high)
    turned = _mean(unwrapped, rows, last) - _mean(unwrapped, first, rows + 1)
    elapsed = _mean(time_s - time_s[0], rows, last) - _mean(time_s - time_s[0], first, rows + 1)
    rate = np.full(len(time_s), np.nan)
    np.divide(turned, elapsed, out=rate, where=has & (elapsed > 0))
    return rate


def _unwrapped(track_deg: FloatArray, has: BoolArray, low: IntArray) -> FloatArray:
    """Track without the step at north, each stretch starting near zero so that sums stay small."""
    filled = np.where(has, track_deg, 0.0)
    turns = np.concatenate([[0.0], turn_deg(filled[:-1], filled[1:])])
    turns[low == np.arange(len(low))] = 0.0
    total = np.cumsum(turns)
    unwrapped: FloatArray = total - total[low]
    return unwrapped


def _without_spikes(values: FloatArray, low: IntArray, high: IntArray) -> FloatArray:
    """The median of each value and its neighbours: a single wrong track goes, a steady turn stays as it is."""
    if len(values) < 3:
        return values
    rows = np.arange(len(values))
    inside = (rows > low) & (rows < high - 1)
    before, after = np.roll(values, 1), np.roll(values, -1)
    middle = np.maximum(np.minimum(before, after), np.minimum(np.maximum(before, after), values))
    return np.where(inside, middle, values)


def _mean(values: FloatArray, first: IntArray, stop: IntArray) -> FloatArray:
    sums = np.concatenate([[0.0], np.cumsum(values)])
    mean: FloatArray = (sums[stop] - sums[first]) / (stop - first)
    return mean
