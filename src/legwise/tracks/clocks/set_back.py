"""A clock that was set back while the log went on: which records' times are moved, so that no two stretches are mixed.

Where the aircraft flies on as in one interval, the times before the step were the wrong ones (a receiver that was told
the time). Where it is elsewhere, a simulator was put back to a saved point, its clock with it: the file's order holds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from legwise.model.arrays import FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.sphere import apart_nm, size_nm
from legwise.tracks.wording import clock, several
from legwise.units import S_PER_H

_MOST_STEPS = 200
"""Backward steps of the clock that are looked at one by one; a log with more is disordered altogether."""

_FEW = 5
"""Fewer records or intervals than this are records out of order, not a clock that was set."""

_BLOCKS = 3
"""Into so many blocks a stretch must fall, put in the order of time among the one before it, to be mixed with it."""

_MOVING_KT = 40.0
_SPEED_S = 1.0
_LEAST_PART, _MOST_PART = 0.3, 2.5
_NOISE_NM = 0.005
_STANDING_NM = 0.05
"""An aircraft goes on where it moves by 0.3 to 2.5 times what it does in an interval, give or take 9 m, or, standing,
within 93 m.
"""

_SAME_PLACE_NM = 0.01
_SAME_SHARE = 95.0
_UNEVEN_PART = 0.3
"""The same flight recorded twice: 95 % of the positions of one within 19 m of the other's at that time; or 95 % of its
times those of the other, with three different intervals in ten.
"""


@dataclass(frozen=True, slots=True, eq=False)
class ClockSet:
    """Times put right, shape (n,); ``breaks``: records (of the file) that begin elsewhere; the faults."""

    time_s: FloatArray
    breaks: IntArray
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """One backward step: records ``at`` to ``stop`` (exclusive) after it, until the next one."""

    at: int
    stop: int
    by_s: float


def with_clock_set(time_s: FloatArray, points: FloatArray, line: IntArray) -> ClockSet:
    """Times in file order, shape (n,), and positions as points, (n, 3), no NaN, with the wrong times moved."""
    back = np.flatnonzero(np.diff(time_s) < 0) + 1
    result = ClockSet(time_s, np.empty(0, dtype=np.int64), ())
    ahead = np.diff(time_s)
    ahead = ahead[ahead > 0]
    if not 0 < len(back) <= _MOST_STEPS or not ahead.size:
        return result
    interval_s = float(np.median(ahead))
    told: list[str] = []
    breaks: list[int] = []
    floor = 0
    for at, stop in zip(back.tolist(), [*back[1:].tolist(), len(time_s)], strict=True):
        times = result.time_s
        step = _Step(at=at, stop=stop, by_s=float(times[at - 1] - times[at]))
        if step.by_s <= _FEW * interval_s:
            continue
        mixes = _mixes(times, step)
        if mixes and _is_same_flight(times, points, step):
            continue
        where = f"back by {{}} s at {clock(float(time_s[at - 1]))} (line {line[at]})"
        if _flies_on(times, points, at, interval_s) or (mixes and _stands_on(points, at)):
            amount = step.by_s + interval_s
            first = _wrong_from(times, points, step, floor, interval_s)
            result = replace(result, time_s=_moved(times, slice(first, at), -amount))
            words = (
                f"the aircraft goes on: {amount:.0f} s are taken off the times of the {at - first} records before it"
            )
            told.append(f"{where.format(f'{amount:.0f}')}, {words}")
        elif mixes:
            amount = float(math.ceil(float(times[:at].max()) + interval_s - float(times[at])))
            result = replace(result, time_s=_moved(times, slice(at, None), amount))
            breaks.append(at)
            words = f"and the aircraft is elsewhere: from that line on {amount:.0f} s are added, as the file's order is"
            told.append(f"{where.format(f'{step.by_s:.0f}')} {words}")
        else:
            continue
        floor = at
    if not told:
        return result
    fault = Fault(kind="clock-step", count=len(told), detail=f"the clock was set {several(told)}")
    return replace(result, breaks=np.array(breaks, dtype=np.int64), faults=(fault,))


def _moved(time_s: FloatArray, part: slice, by_s: float) -> FloatArray:
    moved = time_s.copy()
    moved[part] += by_s
    return moved


def _mixes(time_s: FloatArray, step: _Step) -> bool:
    """Whether the records from the step on run through times that were recorded before, among those records."""
    before, after = time_s[: step.at], time_s[step.at : step.stop]
    inside = np.sort(before[before >= after[0]])
    count = int(np.searchsorted(after, inside[-1], side="right"))
    if min(count, len(inside)) < _FEW:
        return False
    return len(np.unique(np.searchsorted(inside, after[:count]))) >= _BLOCKS


def _flies_on(time_s: FloatArray, points: FloatArray, at: int, interval_s: float) -> bool:
    """Whether an aircraft that moves on both sides of a step moved in it as in one interval."""
    # Speeds over a second or more: single steps of a fast log are noise.
    reach = max(1, round(_SPEED_S / interval_s))
    first, last = at - 1 - reach, at + reach
    if first < 0 or last >= len(time_s):
        return False
    rows, others = np.array([first, at - 1, at]), np.array([at - 1, at, last])
    nm = apart_nm(points[rows], points[others])
    seconds = time_s[others] - time_s[rows]
    longest_s = _FEW * interval_s * reach
    if not (0 < seconds[0] <= longest_s and 0 < seconds[2] <= longest_s):
        return False
    speeds = nm[[0, 2]] * S_PER_H / seconds[[0, 2]]
    usual_nm = float(speeds.max()) * interval_s / S_PER_H
    goes_on = _LEAST_PART * usual_nm - _NOISE_NM < nm[1] < _MOST_PART * usual_nm + _NOISE_NM
    return bool(speeds.min() > _MOVING_KT and goes_on)


def _stands_on(points: FloatArray, at: int) -> bool:
    return bool(size_nm(points[at] - points[at - 1]) <= _STANDING_NM)


def _wrong_from(time_s: FloatArray, points: FloatArray, step: _Step, floor: int, interval_s: float) -> int:
    """Where the wrong times begin: at the step on that this one takes back, else at the first record."""
    steps_s = np.diff(time_s[floor : step.at])
    fits = np.abs(steps_s - step.by_s) <= max(_FEW * interval_s, 2.0)
    for index in (floor + 1 + np.flatnonzero(fits)[::-1][:_FEW]).tolist():
        if _flies_on(time_s, points, index, interval_s):
            return int(index)
    return 0


def _is_same_flight(time_s: FloatArray, points: FloatArray, step: _Step) -> bool:
    """Whether the records from the step on tell of the same places at the same times as those before it.

    Uneven times that come again to the last digit are of one recording, wherever the places lie.
    """
    times = time_s[step.at : step.stop]
    uneven = len(np.unique(np.round(np.diff(times), 3))) >= max(_FEW - 1, _UNEVEN_PART * len(times))
    if uneven and float(np.mean(np.isin(times, time_s[: step.at]))) >= _SAME_SHARE / 100.0:
        return True
    before = np.flatnonzero(time_s[: step.at] >= time_s[step.at])
    before = before[np.argsort(time_s[before], kind="stable")]
    after = np.arange(step.at, step.stop)
    after = after[time_s[after] <= time_s[before[-1]]]
    between = np.stack([np.interp(time_s[after], time_s[before], points[before, axis]) for axis in range(3)], axis=-1)
    return bool(np.percentile(size_nm(points[after] - between), _SAME_SHARE) <= _SAME_PLACE_NM)
