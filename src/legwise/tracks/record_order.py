"""Records put in the order of time, repeats of a time left out; what was out of order is counted and told."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.wording import clock, places, several

_MOST_STEPS = 200
"""Backward steps of the clock that are looked at one by one; a log with more is disordered altogether."""

_MIXED = 4
"""Changes between two stretches of a log, put in the order of time, from which they are told to overlap."""

_FEW = 5
"""Fewer displaced records than this are records out of order, not a clock that was set."""


@dataclass(frozen=True, slots=True, eq=False)
class Ordered:
    """Indices of the records that are kept, in the order of time, and the faults."""

    order: IntArray
    faults: tuple[Fault, ...]


def in_time_order(time_s: FloatArray, lat_deg: FloatArray, lon_deg: FloatArray, line: IntArray) -> Ordered:
    """Sort by time, keeping the first record of each time (in the order of the file).

    All arrays have shape (n,) and no NaN. ``out-of-order`` counts the fewest records that would have to move;
    ``clock-step`` the times the clock was set back into what was already recorded.
    """
    faults: list[Fault] = []
    order = np.arange(len(time_s), dtype=np.int64)
    if np.any(np.diff(time_s) < 0):
        order = np.argsort(time_s, kind="stable")
        faults += _disorder(time_s, order, line)
    sorted_s = time_s[order]
    repeats = np.concatenate([[False], np.diff(sorted_s) == 0])
    if repeats.any():
        first = np.maximum.accumulate(np.where(repeats, 0, np.arange(len(order))))
        same = (lat_deg[order] == lat_deg[order[first]]) & (lon_deg[order] == lon_deg[order[first]])
        elsewhere = int(np.count_nonzero(repeats & ~same))
        where = places(np.sort(line[order[repeats]]).tolist())
        detail = f"records with the time of one before: {where}; the first of each time is kept"
        if elsewhere:
            detail += f"; {elsewhere} of them with another position"
        faults.append(Fault(kind="repeated-time", count=int(repeats.sum()), detail=detail))
    return Ordered(order[~repeats], tuple(faults))


def _disorder(time_s: FloatArray, order: IntArray, line: IntArray) -> list[Fault]:
    back = np.flatnonzero(np.diff(time_s) < 0) + 1
    stretch = np.zeros(len(time_s), dtype=np.int64)
    stretch[back] = 1
    stretch = np.cumsum(stretch)
    set_back = [index for index in back[:_MOST_STEPS].tolist() if _was_set_back(time_s, order, stretch, index)]
    faults: list[Fault] = []
    if set_back:
        steps = [
            f"back by {time_s[index - 1] - time_s[index]:.0f} s at {clock(time_s[index - 1])} (line {line[index]})"
            for index in set_back
        ]
        detail = f"the clock was set {several(steps)}; records are put in the order of their times"
        faults.append(Fault(kind="clock-step", count=len(set_back), detail=detail))
    moved = len(time_s) - _longest_in_order(time_s)
    if moved and len(set_back) < len(back):
        detail = (
            f"records earlier than one before: {places(line[back].tolist(), 'from line')}; put in the order of time"
        )
        faults.append(Fault(kind="out-of-order", count=moved, detail=detail))
    return faults


def _was_set_back(time_s: FloatArray, order: IntArray, stretch: IntArray, index: int) -> bool:
    """Whether the records from ``index`` on run through times that were recorded before: then the two stretches mix."""
    latest_before = float(time_s[:index].max())
    sorted_s = time_s[order]
    low = int(np.searchsorted(sorted_s, time_s[index], side="left"))
    high = int(np.searchsorted(sorted_s, latest_before, side="right"))
    window = order[low:high]
    after = window >= index
    if min(np.count_nonzero(after), np.count_nonzero(~after)) < _FEW:
        return False
    changes = int(np.count_nonzero(np.diff(stretch[window]) != 0))
    return changes > _MIXED


def _longest_in_order(time_s: FloatArray) -> int:
    """The most records that stand in order already (patience sorting)."""
    tails: list[float] = []
    for value in time_s.tolist():
        if not tails or value >= tails[-1]:
            tails.append(value)
        else:
            tails[bisect_right(tails, value)] = value
    return len(tails)
