"""What is flagged and kept: gaps, clocks that were set on in them, standing, sudden speeds."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from legwise.geodesy import inverse
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Fault, Motion, Samples
from legwise.tracks.clocks.set_on import is_as_a_zone, was_set_on
from legwise.tracks.mending.motion import STANDING_KT
from legwise.tracks.wording import clock, some_of, stretch
from legwise.units import S_PER_H, S_PER_MIN

# The thresholds below are common practice, no published source.
GAP_INTERVALS = 5.0
GAP_LEAST_S = 10.0
GAP_MOST_S = 1800.0
"""An interval longer than five usual ones and than 10 s is a gap; one longer than half an hour always is."""

_STANDING_LEAST_S = 60.0
_SUDDEN_KT = 100.0
_SUDDEN_PART = 0.5
"""A speed 100 kt and half the usual one off its neighbours' median is sudden."""


def gap_threshold_s(interval_s: float) -> float:
    """From which interval on there is a gap. [s]"""
    return min(max(GAP_INTERVALS * interval_s, GAP_LEAST_S), GAP_MOST_S)


def gaps_in(time_s: FloatArray, interval_s: float) -> list[tuple[int, int]]:
    """Index pairs (last before, first after) of the gaps."""
    at = np.flatnonzero(np.diff(time_s) > gap_threshold_s(interval_s))
    return [(int(index), int(index) + 1) for index in at]


def gap_faults(samples: Samples, gaps: list[tuple[int, int]], interval_s: float) -> list[Fault]:
    """The fault that tells of the gaps; and of those in which the clock went on but the aircraft did not."""
    if not gaps:
        return []
    time_s = samples.time_s

    def words(gap: tuple[int, int]) -> str:
        before, after = gap
        return f"{time_s[after] - time_s[before]:.0f} s from {stretch(time_s[before], time_s[after])}"

    detail = f"no records for {some_of(gaps, words)}; nothing is claimed in between"
    faults = [Fault(kind="gap", count=len(gaps), detail=detail)]
    was_set = was_set_on(samples, np.array([before for before, _after in gaps], dtype=np.int64), interval_s)
    set_on = [gap for gap, is_set in zip(gaps, was_set.tolist(), strict=True) if is_set]
    if set_on:
        where = some_of(set_on, words)
        detail = f"the clock went on while the aircraft moved as in one interval: {where}; times are kept"
        if any(is_as_a_zone(float(time_s[after] - time_s[before]) - interval_s) for before, after in set_on):
            detail += (
                " (a step of whole hours or quarters is what another time zone or summer time makes: which side is in "
                "UTC the log does not tell)"
            )
        faults.append(Fault(kind="clock-step", count=len(set_on), detail=detail))
    return faults


def standing_faults(samples: Samples, motion: Motion, gaps: list[tuple[int, int]]) -> list[Fault]:
    """Stretches of a minute and more below a walk."""
    time_s = samples.time_s
    stood: list[tuple[int, int]] = []
    total_s = 0.0
    for start, stop in _parted(_runs(motion.groundspeed_kt < STANDING_KT), gaps):
        seconds = float(time_s[stop - 1] - time_s[start])
        if seconds >= _STANDING_LEAST_S:
            stood.append((start, stop - 1))
            total_s += seconds
    if not stood:
        return []
    where = some_of(stood, lambda run: stretch(time_s[run[0]], time_s[run[1]]))
    detail = f"the aircraft stands for {total_s / S_PER_MIN:.0f} min in all: {where}; kept"
    return [Fault(kind="standing-still", count=len(stood), detail=detail)]


def sudden_faults(
    samples: Samples,
    clock_s: FloatArray,
    held: BoolArray | None,
    gaps: list[tuple[int, int]],
    interval_s: float,
    told: IntArray,
) -> list[Fault]:
    """Speeds, recorded or from one position to the one a second later, far off those around them.

    ``clock_s`` is the time that was flown; what is ``held`` has no speed; samples next to those ``told`` are told of
    already.
    """
    ahead = min(max(1, round(1.0 / interval_s)), len(samples) - 1)
    nm, _course, _arrival = inverse(
        samples.lat_deg[:-ahead], samples.lon_deg[:-ahead], samples.lat_deg[ahead:], samples.lon_deg[ahead:]
    )
    seconds = clock_s[ahead:] - clock_s[:-ahead]
    between = np.full(len(nm), np.nan)
    np.divide(nm * S_PER_H, seconds, out=between, where=seconds > 0)
    stretch_of = np.searchsorted([after for _before, after in gaps], np.arange(len(samples)), side="right")
    between[stretch_of[ahead:] != stretch_of[:-ahead]] = np.nan
    recorded = samples.channels.get(Channel.GROUNDSPEED_KT)
    if held is not None:
        between[held[ahead:] | held[:-ahead]] = np.nan
        recorded = None if recorded is None else np.where(held, np.nan, recorded)
    derived = _sudden(between)
    speeds_kt = dict(zip((derived + ahead).tolist(), between[derived].tolist(), strict=True))
    if recorded is not None:
        # What was recorded is what stays in the samples, and so what is told.
        sudden = _sudden(recorded)
        speeds_kt |= dict(zip(sudden.tolist(), recorded[sudden].tolist(), strict=True))
    for edge in told.tolist():
        for index in range(edge - 2 * ahead, edge + 2 * ahead + 1):
            speeds_kt.pop(index, None)
    if not speeds_kt:
        return []
    largest = sorted(speeds_kt, key=lambda index: (-speeds_kt[index], index))
    where = some_of(largest, lambda index: f"{speeds_kt[index]:.0f} kt at {clock(float(samples.time_s[index]))}")
    order = ", the largest first" if len(largest) > 1 else ""
    return [Fault(kind="sudden-speed", count=len(largest), detail=f"the speed leaps{order}: {where}; kept")]


def _sudden(speed_kt: FloatArray) -> IntArray:
    """Indices whose speed is far off the median of the five before and the five after."""
    step = np.abs(np.diff(speed_kt)) > _SUDDEN_KT
    near: IntArray = np.flatnonzero(np.concatenate([[False], step]) | np.concatenate([step, [False]]))
    if not near.size:
        return near
    places = near[:, None] + np.array([*range(-5, 0), *range(1, 6)])
    inside = (places >= 0) & (places < len(speed_kt))
    # Sorting puts NaN last, so that the middle of the known ones can be picked.
    around = np.sort(np.where(inside, speed_kt[np.clip(places, 0, len(speed_kt) - 1)], np.nan), axis=1)
    known = np.count_nonzero(np.isfinite(around), axis=1)
    rows = np.arange(len(near))
    usual = (around[rows, np.maximum(known - 1, 0) // 2] + around[rows, np.minimum(known // 2, 9)]) / 2.0
    is_sudden = (known >= 4) & (np.abs(speed_kt[near] - usual) > _SUDDEN_KT + _SUDDEN_PART * usual)
    sudden: IntArray = near[is_sudden]
    return sudden


def _runs(flags: BoolArray) -> list[tuple[int, int]]:
    """Start and stop (exclusive) of each run of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(start, stop) for start, stop in edges.reshape(-1, 2).tolist()]


def _parted(runs: list[tuple[int, int]], gaps: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Runs cut at the gaps inside them."""
    afters = np.array([after for _before, after in gaps], dtype=np.int64)
    parts: list[tuple[int, int]] = []
    for start, stop in runs:
        first, last = np.searchsorted(afters, [start + 1, stop])
        parts += pairwise([start, *afters[first:last].tolist(), stop])
    return parts
