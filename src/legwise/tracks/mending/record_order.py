"""Records put in the order of time, repeats of a time left out; what was out of order is counted and told."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.clocks.set_back import with_clock_set
from legwise.tracks.sphere import apart_nm
from legwise.tracks.wording import clock, places, several, some_of
from legwise.units import S_PER_H

_STOOD_REPEATS = 3
_STOOD_FARTHER = 2.0
_STOOD_KT = 40.0
_STOOD_BEFORE = 5
_RAN_ON_FARTHER, _RAN_ON_LEAST_NM = 2.0, 0.05
"""A clock stood where three or more further records have its time, and the next one lies twice as far on as the speed
of the five records before explains, of an aircraft that did 40 kt. Positions ran on where at one time they go twice as
far as usually from one time to the next, and 93 m.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Ordered:
    """Indices of the records that are kept, in the order of time, and the time of each. [epoch seconds]

    ``read_time_s`` are the times of all records in file order, put right.
    ``breaks`` are places in ``order`` from which the aircraft is elsewhere, ``gaps`` those across which the clock tells
    nothing.
    """

    order: IntArray
    time_s: FloatArray
    read_time_s: FloatArray
    breaks: IntArray
    gaps: IntArray
    faults: tuple[Fault, ...]


def in_time_order(time_s: FloatArray, points: FloatArray, line: IntArray) -> Ordered:
    """Sort by time, keeping the first record of each time (in the order of the file).

    ``time_s`` and ``line`` have shape (n,), ``points`` (positions on the sphere) shape (n, 3); no NaN. Where the clock
    was set back, times are moved first (:mod:`legwise.tracks.clocks.set_back`). ``out-of-order`` counts the fewest
    records that would have to move.
    """
    faults: list[Fault] = []
    order = np.arange(len(time_s), dtype=np.int64)
    breaks = np.empty(0, dtype=np.int64)
    if np.any(np.diff(time_s) < 0):
        clock_set = with_clock_set(time_s, points, line)
        time_s, breaks = clock_set.time_s, clock_set.breaks
        order = np.argsort(time_s, kind="stable")
        faults += clock_set.faults
        faults += _disorder(time_s, line)
    sorted_s = time_s[order]
    repeats = np.concatenate([[False], np.diff(sorted_s) == 0])
    stood: list[int] = []
    if repeats.any():
        found, stood = _repeat_fault(sorted_s, points[order], line[order], repeats)
        faults.append(found)
    kept = ~repeats
    place = np.cumsum(kept) - 1
    return Ordered(
        order=order[kept],
        time_s=sorted_s[kept],
        read_time_s=time_s,
        breaks=np.unique(place[np.searchsorted(sorted_s, time_s[breaks])]),
        gaps=place[stood],
        faults=tuple(faults),
    )


def _repeat_fault(
    time_s: FloatArray, points: FloatArray, line: IntArray, repeats: BoolArray
) -> tuple[Fault, list[int]]:
    """The fault of equal times (arrays in the order of time), and the first records after a clock that stood."""
    first = np.maximum.accumulate(np.where(repeats, 0, np.arange(len(time_s))))
    elsewhere = int(np.count_nonzero(repeats & (points != points[first]).any(axis=1)))
    detail = f"records with the time of one before: {places(np.sort(line[repeats]).tolist())}; "
    detail += "the first of each time is kept"
    if elsewhere:
        detail += f"; {elsewhere} of them with another position"
    firsts = np.flatnonzero(~repeats)
    begins, afters = _stood(time_s, points, firsts)
    ran_on = [run for run in _ran_on(points, firsts) if run[0] not in begins]
    if ran_on:

        def words(run: tuple[int, int, float]) -> str:
            begin, last, nm = run
            return (
                f"{last - begin} records at {clock(float(time_s[begin]))} "
                f"(lines {line[begin]} to {line[last]}, over {nm:.2g} NM)"
            )

        detail += f"; the positions ran on while the clock did not: {some_of(ran_on, words)}"
    if begins:
        told = [
            f"{after - begin - 1} records from {clock(float(time_s[begin]))} (line {line[begin]})"
            for begin, after in zip(begins, afters, strict=True)
        ]
        detail += (
            f"; the clock stood for {several(told)} while the positions ran on, nothing is claimed over the leap after"
        )
    return Fault(kind="repeated-time", count=int(repeats.sum()), detail=detail), afters


def _ran_on(points: FloatArray, firsts: IntArray) -> list[tuple[int, int, float]]:
    """Runs of equal times in which the positions go on: first and last record, and how far. [NM]"""
    lasts = np.append(firsts[1:], len(points)) - 1
    some = np.flatnonzero(lasts - firsts >= _STOOD_REPEATS)
    if len(firsts) < 3 or not some.size:
        return []
    usual_nm = float(np.median(apart_nm(points[firsts[:-1]], points[firsts[1:]])))
    nm = apart_nm(points[firsts[some]], points[lasts[some]])
    far = nm > max(_RAN_ON_FARTHER * usual_nm, _RAN_ON_LEAST_NM)
    return list(zip(firsts[some[far]].tolist(), lasts[some[far]].tolist(), nm[far].tolist(), strict=True))


def _stood(time_s: FloatArray, points: FloatArray, firsts: IntArray) -> tuple[list[int], list[int]]:
    """Where a clock began to stand while the aircraft flew on, and the first record after each."""
    sizes = np.diff(firsts)
    some = np.flatnonzero(sizes > _STOOD_REPEATS)
    if len(firsts) < 3 or not some.size:
        return [], []
    nm = apart_nm(points[firsts[:-1]], points[firsts[1:]])
    speed_kt = nm * S_PER_H / np.diff(time_s[firsts])
    # The step into the run itself, and those of runs before, tell no speed.
    known = np.where(sizes > _STOOD_REPEATS, np.nan, speed_kt)
    reach = some[:, None] - np.arange(1, _STOOD_BEFORE + 1)
    before = np.where(reach >= 0, known[np.maximum(reach, 0)], np.nan)
    # Sorting puts NaN last, so that the middle of the known ones can be picked.
    counted = np.count_nonzero(np.isfinite(before), axis=1)
    usual = np.sort(before, axis=1)[np.arange(len(some)), np.maximum(counted - 1, 0) // 2]
    has_stood = (counted > 0) & (usual > _STOOD_KT) & (speed_kt[some] > _STOOD_FARTHER * usual)
    return firsts[some[has_stood]].tolist(), firsts[some[has_stood] + 1].tolist()


def _disorder(time_s: FloatArray, line: IntArray) -> list[Fault]:
    back = np.flatnonzero(np.diff(time_s) < 0) + 1
    moved = len(time_s) - _longest_in_order(time_s) if back.size else 0
    if not moved:
        return []
    detail = f"records earlier than one before: {places(line[back].tolist(), 'from line')}; put in the order of time"
    return [Fault(kind="out-of-order", count=moved, detail=detail)]


def _longest_in_order(time_s: FloatArray) -> int:
    """The most records that stand in order already (patience sorting)."""
    tails: list[float] = []
    for value in time_s.tolist():
        if not tails or value >= tails[-1]:
            tails.append(value)
        else:
            tails[bisect_right(tails, value)] = value
    return len(tails)
