"""What is flagged and kept: gaps, positions that stand still in flight, standing, sudden speeds, several flights."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from legwise.geodesy import inverse
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Fault, Motion, Samples
from legwise.tracks.motion import STANDING_KT
from legwise.tracks.wording import clock, several, stretch
from legwise.units import S_PER_H, S_PER_MIN

# The thresholds below are common practice, no published source.
GAP_INTERVALS = 5.0
GAP_LEAST_S = 10.0
"""An interval longer than five usual ones and than 10 s is a gap."""

_FROZEN_LEAST = 3
_FROZEN_LEAST_S = 3.0
_FROZEN_MOVING_KT = 40.0
"""Three or more equal positions over 3 s, while the aircraft did at least 40 kt, are frozen."""

_STANDING_LEAST_S = 60.0
_SUDDEN_KT = 100.0
_SUDDEN_PART = 0.5
"""A speed 100 kt and half the usual one off its neighbours' median is sudden."""

_FLYING_KT = 50.0
_FLYING_LEAST_S = 120.0
_STOPPED_KT = 30.0
_STOPPED_LEAST_S = 120.0
_APART_S = 1800.0
"""Two flights: two minutes above 50 kt each, and between them two minutes below 30 kt or half an hour of nothing."""


def gap_threshold_s(interval_s: float) -> float:
    """From which interval on there is a gap. [s]"""
    return max(GAP_INTERVALS * interval_s, GAP_LEAST_S)


def gaps_in(time_s: FloatArray, interval_s: float) -> list[tuple[int, int]]:
    """Index pairs (last before, first after) of the gaps."""
    at = np.flatnonzero(np.diff(time_s) > gap_threshold_s(interval_s))
    return [(int(index), int(index) + 1) for index in at]


def gap_faults(samples: Samples, gaps: list[tuple[int, int]], interval_s: float) -> list[Fault]:
    """The fault that tells of the gaps; and of those in which the clock went on but the aircraft did not."""
    if not gaps:
        return []
    time_s = samples.time_s
    told = [f"{time_s[b] - time_s[a]:.0f} s from {stretch(time_s[a], time_s[b])}" for a, b in gaps]
    faults = [
        Fault(kind="gap", count=len(gaps), detail=f"no records for {several(told)}; nothing is claimed in between")
    ]
    set_on = [told[index] for index, pair in enumerate(gaps) if _clock_was_set_on(samples, *pair, interval_s)]
    if set_on:
        detail = f"the clock went on while the aircraft moved as in one interval: {several(set_on)}; times are kept"
        faults.append(Fault(kind="clock-step", count=len(set_on), detail=detail))
    return faults


def _clock_was_set_on(samples: Samples, before: int, after: int, interval_s: float) -> bool:
    """Whether an aircraft that moves on both sides of a gap moved only as far as in about one interval."""
    if before < 1 or after + 1 >= len(samples):
        return False
    lat, lon, time_s = samples.lat_deg, samples.lon_deg, samples.time_s
    pairs = np.array([before - 1, before, after])
    nm, _course, _arrival = inverse(lat[pairs], lon[pairs], lat[pairs + 1], lon[pairs + 1])
    seconds = time_s[pairs + 1] - time_s[pairs]
    speeds = nm * S_PER_H / seconds
    usual_nm = max(speeds[0], speeds[2]) * interval_s / S_PER_H
    return bool(min(speeds[0], speeds[2]) > _FROZEN_MOVING_KT and 0.3 * usual_nm < nm[1] < 2.5 * usual_nm)


def frozen_faults(samples: Samples) -> list[Fault]:
    """Positions that repeat exactly while the aircraft must have moved."""
    lat, lon, time_s = samples.lat_deg, samples.lon_deg, samples.time_s
    same = np.concatenate([[False], (np.diff(lat) == 0) & (np.diff(lon) == 0)])
    recorded = samples.channels.get(Channel.GROUNDSPEED_KT)
    told: list[str] = []
    held = 0
    for start, stop in _runs(same, lead=1):
        if stop - start < _FROZEN_LEAST or time_s[stop - 1] - time_s[start] < _FROZEN_LEAST_S:
            continue
        if _speed_meanwhile(samples, start, stop, recorded) > _FROZEN_MOVING_KT:
            told.append(stretch(time_s[start], time_s[stop - 1]))
            held += stop - start - 1
    if not told:
        return []
    detail = f"the position stands still in flight in {held} samples: {several(told)}; kept"
    return [Fault(kind="frozen-position", count=len(told), detail=detail)]


def _speed_meanwhile(samples: Samples, start: int, stop: int, recorded: FloatArray | None) -> float:
    """The speed while the position stood: recorded, else what takes the aircraft to the next other position. [kt]"""
    if recorded is not None and np.isfinite(recorded[start:stop]).any():
        return float(np.nanmedian(recorded[start:stop]))
    if stop >= len(samples):
        return 0.0
    nm, _course, _arrival = inverse(
        samples.lat_deg[start], samples.lon_deg[start], samples.lat_deg[stop], samples.lon_deg[stop]
    )
    return float(nm) * S_PER_H / float(samples.time_s[stop] - samples.time_s[start])


def standing_faults(samples: Samples, motion: Motion, gaps: list[tuple[int, int]]) -> list[Fault]:
    """Stretches of a minute and more below a walk."""
    time_s = samples.time_s
    told: list[str] = []
    total_s = 0.0
    for start, stop in _parted(_runs(motion.groundspeed_kt < STANDING_KT, lead=0), gaps):
        seconds = float(time_s[stop - 1] - time_s[start])
        if seconds >= _STANDING_LEAST_S:
            told.append(stretch(time_s[start], time_s[stop - 1]))
            total_s += seconds
    if not told:
        return []
    detail = f"the aircraft stands for {total_s / S_PER_MIN:.0f} min in all: {several(told)}; kept"
    return [Fault(kind="standing-still", count=len(told), detail=detail)]


def sudden_faults(samples: Samples, gaps: list[tuple[int, int]], interval_s: float) -> list[Fault]:
    """Speeds, recorded or from one position to the one a second later, far off those around them."""
    time_s = samples.time_s
    ahead = min(max(1, round(1.0 / interval_s)), len(samples) - 1)
    nm, _course, _arrival = inverse(
        samples.lat_deg[:-ahead], samples.lon_deg[:-ahead], samples.lat_deg[ahead:], samples.lon_deg[ahead:]
    )
    between = nm * S_PER_H / (time_s[ahead:] - time_s[:-ahead])
    stretch_of = np.searchsorted([after for _before, after in gaps], np.arange(len(samples)), side="right")
    between[stretch_of[ahead:] != stretch_of[:-ahead]] = np.nan
    at = set((_sudden(between) + ahead).tolist())
    recorded = samples.channels.get(Channel.GROUNDSPEED_KT)
    if recorded is not None:
        at |= set(_sudden(recorded).tolist())
    if not at:
        return []
    told = [clock(float(time_s[index])) for index in sorted(at)]
    return [Fault(kind="sudden-speed", count=len(at), detail=f"the speed leaps at {several(told)}; kept")]


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


def several_flights_faults(samples: Samples, motion: Motion) -> list[Fault]:
    """More than one flight in the file, by stops and long gaps between stretches in the air."""
    time_s, speed = samples.time_s, motion.groundspeed_kt
    flights: list[tuple[int, int]] = []
    for start, stop in _runs(speed > _FLYING_KT, lead=0):
        if time_s[stop - 1] - time_s[start] < _FLYING_LEAST_S:
            continue
        if flights and not _stopped_between(time_s, speed, flights[-1][1], start):
            flights[-1] = (flights[-1][0], stop)
        else:
            flights.append((start, stop))
    flights = [part for flight in flights for part in _parted_by_gaps(time_s, *flight)]
    if len(flights) < 2:
        return []
    told = [stretch(time_s[start], time_s[stop - 1]) for start, stop in flights]
    detail = f"{len(flights)} flights in one log: {several(told)}; all are read as one"
    return [Fault(kind="several-flights", count=len(flights), detail=detail)]


def _stopped_between(time_s: FloatArray, speed_kt: FloatArray, stop: int, start: int) -> bool:
    return any(
        time_s[stop + last - 1] - time_s[stop + first] >= _STOPPED_LEAST_S
        for first, last in _runs(speed_kt[stop:start] < _STOPPED_KT, lead=0)
    )


def _parted_by_gaps(time_s: FloatArray, start: int, stop: int) -> list[tuple[int, int]]:
    cuts = np.flatnonzero(np.diff(time_s[start:stop]) > _APART_S) + start + 1
    edges = [start, *cuts.tolist(), stop]
    parts = list(pairwise(edges))
    return [part for part in parts if time_s[part[1] - 1] - time_s[part[0]] >= _FLYING_LEAST_S]


def _runs(flags: BoolArray, *, lead: int) -> list[tuple[int, int]]:
    """Start and stop (exclusive) of each run of true flags, begun ``lead`` before."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(max(0, int(start) - lead), int(stop)) for start, stop in edges.reshape(-1, 2)]


def _parted(runs: list[tuple[int, int]], gaps: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Runs cut at the gaps inside them."""
    afters = np.array([after for _before, after in gaps], dtype=np.int64)
    parts: list[tuple[int, int]] = []
    for start, stop in runs:
        edges = [start, *afters[(afters > start) & (afters < stop)].tolist(), stop]
        parts += pairwise(edges)
    return parts
