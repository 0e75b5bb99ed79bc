"""Positions that no aircraft could reach: short stretches that lie where the flight before and after them can't be."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.sphere import RADIUS_NM, apart_nm
from legwise.units import S_PER_H

FASTEST_KT = 1000.0
"""No aircraft of a training flight reaches this over the ground. Common practice, no published source."""

_SLACK_NM = 0.05
"""What positions may be off by besides (93 m), so that noise of a fast log is no jump."""

_LATE_S = 2.0
_LATE_PRICE = 0.6
"""Positions may be given some seconds early or late: such a step costs less than one sample, so that only there and
back again together cost more than leaving out one. Measured on receiver networks' records; no published source.
"""

_BREAK_SAMPLES = 5
_BREAK_S = 20.0
"""A jump that stays (a simulator put elsewhere) is believed from so many samples or seconds on."""

_REACH_BACK = 32
"""Stretches looked back over for one that this one can follow."""


_Seconds = TypeVar("_Seconds", float, FloatArray)


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """``keep`` per sample; ``breaks``: kept samples that the one kept before could not have flown to."""

    keep: BoolArray
    breaks: IntArray


def reachable(clock_s: FloatArray, points: FloatArray, is_repeat: BoolArray, free: IntArray) -> Reach:
    """Which positions are kept, of a track in strict order of time.

    The track falls into stretches inside which every step can be flown. Those stretches are kept that leave out the
    fewest samples, where believing in a jump costs as much as leaving out 20 s of them.

    Parameters
    ----------
    clock_s
        The time that was flown, shape (n,). [s]
    points
        Positions on the sphere, shape (n, 3), none missing. [NM]
    is_repeat
        Whether each position is the one before it, shape (n,).
    free
        Samples across the step to which nothing is claimed anyway: what lies before and after goes together.
    """
    count = len(clock_s)
    keep = np.ones(count, dtype=bool)
    possible = apart_nm(points[:-1], points[1:]) <= _reach_nm(np.diff(clock_s))
    possible[free - 1] = False
    starts = np.concatenate([[0], np.flatnonzero(~possible) + 1]).astype(np.int64)
    if len(starts) == 1:
        return Reach(keep, np.empty(0, dtype=np.int64))
    stops = np.append(starts[1:], count)
    interval_s = float(np.median(np.diff(clock_s)))
    price = max(_BREAK_SAMPLES, min(_BREAK_S / interval_s, 200.0)) if interval_s > 0 else float(_BREAK_SAMPLES)
    since_s = clock_s[np.maximum.accumulate(np.where(is_repeat, 0, np.arange(count)))]
    part = np.searchsorted(free, starts, side="right")
    chain, broken = _best_chain(clock_s, since_s, points, starts, stops, part, price)
    keep[:] = False
    for run in chain:
        keep[starts[run] : stops[run]] = True
    return Reach(keep, np.array([starts[run] for run in broken], dtype=np.int64))


def _reach_nm(seconds: _Seconds) -> _Seconds:
    return FASTEST_KT * seconds / S_PER_H + _SLACK_NM


def _away_nm(here: list[float], there: list[float]) -> float:
    """As :func:`apart_nm`, of one pair."""
    return 2.0 * RADIUS_NM * math.asin(min(math.dist(here, there) / (2.0 * RADIUS_NM), 1.0))


def _best_chain(
    clock_s: FloatArray,
    since_s: FloatArray,
    points: FloatArray,
    starts: IntArray,
    stops: IntArray,
    part: IntArray,
    price: float,
) -> tuple[list[int], list[int]]:
    """The stretches to keep, and those that are reached by a jump, by dynamic programming over the stretches.

    ``since_s`` is when each position was first given in a row of equal ones: it was true then, and the aircraft flew
    on. Stretches of different ``part`` go together wherever they lie.
    """
    ends = stops - 1
    arrive_s, leave_s, late_s = clock_s[starts].tolist(), clock_s[ends].tolist(), (since_s[ends] - _LATE_S).tolist()
    firsts, lasts, parts = points[starts].tolist(), points[ends].tolist(), part.tolist()
    # Plain numbers: stretches can be as many as samples, and few before each are looked at.
    value: list[float] = (stops - starts).astype(np.float64).tolist()
    highest: list[float] = []
    back, jumped = [-1] * len(value), [False] * len(value)
    for run, own in enumerate(value):
        best, came, by_jump = 0.0, -1, False
        for other in range(run - 1, max(0, run - _REACH_BACK) - 1, -1):
            if highest[other] <= best:
                # Nothing before is worth more, whatever it costs to come from there.
                break
            away_nm = _away_nm(firsts[run], lasts[other])
            if parts[other] != parts[run] or away_nm <= _reach_nm(arrive_s[run] - leave_s[other]):
                gain, is_jump = value[other], False
            elif away_nm <= _reach_nm(arrive_s[run] - late_s[other]):
                gain, is_jump = value[other] - _LATE_PRICE, False
            else:
                gain, is_jump = value[other] - price, True
            if gain > best:
                best, came, by_jump = gain, other, is_jump
        value[run] = own + best
        back[run], jumped[run] = came, by_jump
        highest.append(max(value[run], highest[-1]) if highest else value[run])
    run = int(np.argmax(value))
    chain: list[int] = []
    while run >= 0:
        chain.append(run)
        run = back[run]
    chain.reverse()
    return chain, [run for run in chain if jumped[run]]
