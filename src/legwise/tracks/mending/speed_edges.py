"""Edges of the speed over the ground: from one second to the next it is a multiple of what it was, and stays so.

No aircraft does that. A simulator does whose time is run at 2, 4 or 8 times, or one that is put into another state.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Fault, Samples
from legwise.tracks.sphere import apart_nm
from legwise.tracks.wording import clock, some_of
from legwise.units import S_PER_H

# Common practice, no published source.
_STEP_S = 1.0
_NEAR_STEPS = 5
_STEADY_STEPS, _STEADY_S = 8, 20.0
_STEADY, _STEADY_SHARE = 0.25, 0.8
"""Factors are taken over five steps of a second or more on each side; for 8 steps and 20 s there most speeds are within
a quarter of one another.
"""

_SLOWEST_KT = 40.0
_LEAST_LEAP = 1.5
_LONGEST_STEPS = 5.0
_LEAST_KTPS = 8.0
_MOST_DOUBLINGS = 3
_NEAR = 0.08
"""2, 4 or 8 times to 8 %, of an aircraft that did at least 40 kt, and by 8 kt a second: none gathers speed so hard."""


@dataclass(frozen=True, slots=True)
class Hurry:
    """Samples ``first`` (where it begins) to ``last`` are flown ``factor`` times as fast as those outside.

    Where the log, or its stretch between gaps, ends in it, ``ends`` is False.
    """

    first: int
    last: int
    factor: float
    ends: bool


def hurries_in(clock_s: FloatArray, points: FloatArray, free: IntArray) -> list[Hurry]:
    """The stretches in which positions move 2, 4 or 8 times as fast as before, from one step to the next.

    ``clock_s`` (n,) is in order (and stands in a pause), ``points`` (n, 3) are the positions on the sphere, ``free``
    samples to whose step the positions tell no speed. What slows down first, as holes filled with straight lines do, is
    none.
    """
    count = len(clock_s)
    usual_s = float(np.median(np.diff(clock_s)))
    if count < 2 * _STEADY_STEPS or usual_s <= 0:
        return []
    stride = max(1, round(_STEP_S / usual_s))
    rows = np.arange(0, count, stride, dtype=np.int64)
    seconds, nm = np.diff(clock_s[rows]), apart_nm(points[rows[:-1]], points[rows[1:]])
    if len(seconds) < 2 * _STEADY_STEPS + 1:
        return []
    usual_s = float(np.median(seconds))
    if usual_s <= 0:
        return []
    is_free = np.zeros(count, dtype=bool)
    is_free[free] = True
    broken = np.logical_or.reduceat(is_free[1 : rows[-1] + 1], rows[:-1])
    broken |= (seconds <= 0) | (seconds > _LONGEST_STEPS * usual_s)
    seconds = np.where(broken, usual_s, seconds)
    at, doublings = _edges(nm, seconds, broken, max(_STEADY_STEPS, int(np.ceil(_STEADY_S / usual_s))))
    return _paired(rows, broken, at, doublings)


def _edges(nm: FloatArray, seconds: FloatArray, broken: BoolArray, window: int) -> tuple[IntArray, IntArray]:
    """The first step after each edge, and how many times the speed is doubled there (negative: halved)."""
    speed = nm * S_PER_H / seconds
    count = len(speed)
    # A step may hold the edge itself: the speeds before it and after it are compared.
    before, after = np.maximum(speed[:-2], 1e-9), np.maximum(speed[2:], 1e-9)
    leap = np.abs(np.log2(after / before)) >= np.log2(_LEAST_LEAP)
    found: list[tuple[int, int]] = []
    middle = np.flatnonzero(leap) + 1
    middle = middle[(middle >= window) & (middle + 1 + window <= count)]
    if not middle.size:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    way, time = (np.concatenate([[0.0], np.cumsum(values)]) for values in (nm, seconds))
    holes = np.concatenate([[0], np.cumsum(broken)])
    middle = middle[holes[middle + 1 + window] == holes[middle - window]]
    into = (way[middle] - way[middle - _NEAR_STEPS]) * S_PER_H / (time[middle] - time[middle - _NEAR_STEPS])
    stop = middle + 1 + _NEAR_STEPS
    off = (way[stop] - way[middle + 1]) * S_PER_H / (time[stop] - time[middle + 1])
    fits = np.minimum(into, off) >= _SLOWEST_KT
    fits &= np.abs(off - into) >= _LEAST_KTPS * (
        seconds[middle - 1] / 2.0 + seconds[middle] + seconds[middle + 1] / 2.0
    )
    doubled = np.log2(np.maximum(off, 1e-9) / np.maximum(into, 1e-9))
    nearest = np.rint(doubled)
    fits &= (np.abs(nearest) >= 1) & (np.abs(nearest) <= _MOST_DOUBLINGS)
    fits &= np.abs(2.0 ** (doubled - nearest) - 1.0) <= _NEAR
    fits &= np.abs(speed[middle - 1] / np.maximum(into, 1e-9) - 1.0) <= _STEADY
    fits &= np.abs(speed[middle + 1] / np.maximum(off, 1e-9) - 1.0) <= _STEADY
    for step, here, there, times in zip(
        middle[fits].tolist(), into[fits].tolist(), off[fits].tolist(), nearest[fits].tolist(), strict=True
    ):
        if found and step - found[-1][0] <= 2:
            continue
        steady_in = np.abs(speed[step - window : step] / here - 1.0) <= _STEADY
        steady_out = np.abs(speed[step + 1 : step + 1 + window] / there - 1.0) <= _STEADY
        if min(steady_in.mean(), steady_out.mean()) >= _STEADY_SHARE:
            changed = (speed[step] >= np.sqrt(here * there)) == (there > here)
            found.append((step if changed else step + 1, int(times)))
    return np.array([step for step, _ in found], dtype=np.int64), np.array([by for _, by in found], dtype=np.int64)


def _paired(rows: IntArray, broken: BoolArray, at: IntArray, doublings: IntArray) -> list[Hurry]:
    """Each edge up with the edge down that takes it back."""
    holes = np.flatnonzero(broken)
    hurries: list[Hurry] = []
    slowed = 0
    place = 0
    while place < len(at):
        step, times = int(at[place]), int(doublings[place])
        place += 1
        if times < 0:
            slowed = times
            continue
        if slowed == -times:
            # Back to the speed from before: it was slow in between.
            slowed = 0
            continue
        ends = place < len(at) and int(doublings[place]) == -times
        stop = int(at[place]) if ends else len(rows) - 1
        beyond = int(np.searchsorted(holes, step, side="right"))
        if beyond < len(holes) and holes[beyond] < stop:
            stop, ends = int(holes[beyond]), False
        place += ends
        hurries.append(Hurry(first=int(rows[step]), last=int(rows[stop]), factor=2.0**times, ends=bool(ends)))
    return hurries


def with_airspeed_unchanged(hurries: list[Hurry], clock_s: FloatArray, airspeed_kt: FloatArray) -> list[Hurry]:
    """Those during which the airspeed, shape (n,), is what it was before them, and after: time was run faster."""
    return [one for one in hurries if _is_unchanged(one, clock_s, airspeed_kt)]


def _is_unchanged(hurry: Hurry, clock_s: FloatArray, airspeed_kt: FloatArray) -> bool:
    edges = [hurry.first, hurry.last] if hurry.ends else [hurry.first]
    for edge in edges:
        low, high = np.searchsorted(clock_s, [clock_s[edge] - _NEAR_STEPS, clock_s[edge] + _NEAR_STEPS + 1e-6]).tolist()
        sides = airspeed_kt[min(low, edge - 1) : edge], airspeed_kt[edge + 1 : max(high, edge + 2)]
        known = [side[np.isfinite(side)] for side in sides]
        if not all(side.size for side in known):
            return False
        before, after = (float(np.median(side)) for side in known)
        if min(before, after) < _SLOWEST_KT or abs(after / before - 1.0) > _STEADY:
            return False
    return True


def edge_faults(
    samples: Samples, clock_s: FloatArray, points: FloatArray, free: IntArray
) -> tuple[tuple[Fault, ...], IntArray]:
    """The fault that asks about edges of the speed in a log that has no groundspeed; the samples at which they are."""
    if Channel.GROUNDSPEED_KT in samples.channels or len(samples) < 2 * _STEADY_STEPS:
        return (), np.empty(0, dtype=np.int64)
    hurries = hurries_in(clock_s, points, free)
    if not hurries:
        return (), np.empty(0, dtype=np.int64)

    def words(hurry: Hurry) -> str:
        grows = {2.0: "doubles"}.get(hurry.factor, f"grows {hurry.factor:.0f} times")
        until = f" until {clock(float(samples.time_s[hurry.last]))}" if hurry.ends else ""
        start = clock(float(samples.time_s[hurry.first]))
        return (
            f"the speed {grows} from one record to the next at {start} and stays{until}: "
            f"was the time run at {hurry.factor:.0f} times?"
        )

    at = np.array([edge for one in hurries for edge in ([one.first, one.last] if one.ends else [one.first])])
    return (Fault(kind="sudden-speed", count=len(at), detail=f"{some_of(hurries, words)} Positions are kept"),), at
