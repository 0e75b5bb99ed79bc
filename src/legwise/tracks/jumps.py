"""Positions that no aircraft could reach: short stretches that lie where the flight before and after them can't be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
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

_RADIUS_NM = 3440.065
_REACH_BACK = 32
"""Mean radius of the earth (6371.0 km), and stretches looked back over for one that this one can follow."""


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """``keep`` per sample; ``breaks``: kept samples that the one kept before could not have flown to."""

    keep: BoolArray
    breaks: IntArray


def reachable(time_s: FloatArray, lat_deg: FloatArray, lon_deg: FloatArray) -> Reach:
    """Which positions are kept, of a track in strict order of time (arrays of shape (n,), no NaN).

    The track falls into stretches inside which every step can be flown. Those stretches are kept that leave out the
    fewest samples, where believing in a jump costs as much as leaving out 20 s of them.
    """
    count = len(time_s)
    keep = np.ones(count, dtype=bool)
    points = _on_sphere(lat_deg, lon_deg)
    possible = _apart_nm(points[:-1], points[1:]) <= _reach_nm(np.diff(time_s))
    starts = np.concatenate([[0], np.flatnonzero(~possible) + 1]).astype(np.int64)
    if len(starts) == 1:
        return Reach(keep, np.empty(0, dtype=np.int64))
    stops = np.append(starts[1:], count)
    interval_s = float(np.median(np.diff(time_s)))
    price = max(_BREAK_SAMPLES, min(_BREAK_S / interval_s, 200.0)) if interval_s > 0 else float(_BREAK_SAMPLES)
    since_s = _there_since(time_s, lat_deg, lon_deg)
    chain, broken = _best_chain(time_s, since_s, points, starts, stops, price)
    keep[:] = False
    for run in chain:
        keep[starts[run] : stops[run]] = True
    return Reach(keep, np.array([starts[run] for run in broken], dtype=np.int64))


def _on_sphere(lat_deg: FloatArray, lon_deg: FloatArray) -> FloatArray:
    """Positions as points of a sphere, shape (n, 3). [NM] A sphere is good to 0.6 %, the limits are round numbers."""
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return _RADIUS_NM * np.stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)], axis=-1)


def _apart_nm(here: FloatArray, there: FloatArray) -> FloatArray:
    """Great-circle distances between points of the sphere. [NM]"""
    step = there - here
    chord = np.sqrt(np.einsum("...i,...i->...", step, step))
    apart: FloatArray = 2.0 * _RADIUS_NM * np.arcsin(np.minimum(chord / (2.0 * _RADIUS_NM), 1.0))
    return apart


def _reach_nm(seconds: FloatArray) -> FloatArray:
    return FASTEST_KT * seconds / S_PER_H + _SLACK_NM


def _there_since(time_s: FloatArray, lat_deg: FloatArray, lon_deg: FloatArray) -> FloatArray:
    """When each position was first given in a row of equal ones: it was true then, and the aircraft flew on."""
    same = np.concatenate([[False], (np.diff(lat_deg) == 0) & (np.diff(lon_deg) == 0)])
    since: FloatArray = time_s[np.maximum.accumulate(np.where(same, 0, np.arange(len(time_s))))]
    return since


def _best_chain(
    time_s: FloatArray, since_s: FloatArray, points: FloatArray, starts: IntArray, stops: IntArray, price: float
) -> tuple[list[int], list[int]]:
    """The stretches to keep, and those that are reached by a jump, by dynamic programming over the stretches."""
    ends = stops - 1
    arrive_s, leave_s, late_s = time_s[starts], time_s[ends], since_s[ends] - _LATE_S
    first_points, last_points = points[starts], points[ends]
    sizes = (stops - starts).astype(np.float64)
    value = np.empty(len(starts))
    back = np.full(len(starts), -1, dtype=np.int64)
    jumped = np.zeros(len(starts), dtype=bool)
    for run in range(len(starts)):
        value[run] = sizes[run]
        first = max(0, run - _REACH_BACK)
        if first == run:
            continue
        apart_nm = _apart_nm(first_points[run], last_points[first:run])
        flown = apart_nm <= _reach_nm(arrive_s[run] - leave_s[first:run])
        late = apart_nm <= _reach_nm(arrive_s[run] - late_s[first:run])
        gains = value[first:run] - np.where(flown, 0.0, np.where(late, _LATE_PRICE, price))
        best = int(np.argmax(gains[::-1]))
        chosen = len(gains) - 1 - best
        if gains[chosen] > 0:
            value[run] += gains[chosen]
            back[run], jumped[run] = first + chosen, not late[chosen]
    run = int(np.argmax(value))
    chain: list[int] = []
    while run >= 0:
        chain.append(run)
        run = int(back[run])
    chain.reverse()
    return chain, [run for run in chain if jumped[run]]
