"""Time that ran faster or slower than the log's clock: a simulator at 2, 4, 8, 16 times, or in slow motion.

The positions then move that many times as fast as the speed that was recorded with them, for a while and steadily.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from legwise.geodesy import inverse, turn_deg
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Fault, Samples
from legwise.tracks.mending.speed_edges import Hurry, hurries_in, with_airspeed_unchanged
from legwise.tracks.mending.speed_steps import HALF_STEPS, Log, SpeedSteps
from legwise.tracks.wording import several, stretch

# Factors and their nearness: common practice, no published source.
_LEAST_DOUBLINGS, _MOST_DOUBLINGS = -2, 4
_NEAR_DOUBLINGS = 0.25
"""A quarter to sixteen times, each within about a sixth."""

_LEAST_S = 20.0
_LEAST_STEPS = 8
_BRIDGED_STEPS = 2
"""For 20 s and 8 steps; speeds are taken over five steps, of a second or more each."""

_NEAR = 0.15
_EVEN, _EVEN_SHARE = 0.1, 0.75
"""The factor lies within 15 % of a doubling, and three quarters of what it is made of within a tenth of it."""

_COURSE_DEG = 20.0
_SLOW_NEAR = 0.05
_SLOW_STEP_S = 2.0
"""The positions go where the recorded track says, else the record is an old one. A source that fills holes with
straight lines makes positions slow: slow motion is told only within 5 %, of samples at most 2 s apart.
"""

_SNAP = 0.05
_WHOLE_SHARE, _WHOLE_SNAP = 0.95, 0.02
"""What holds for the whole log is a wrong unit (m/s for kt makes 1.94) unless it is 2, 4, 8 to 2 %."""

_AIRSPEED_EXCESS_KT = 120.0
_AIRSPEED_LEAST_S = 60.0
"""Against an airspeed the wind counts too: 120 kt beyond it, for a minute, is more than that of a lesson."""


@dataclass(frozen=True, slots=True, eq=False)
class Acceleration:
    """Seconds flown in the second before each sample, shape (n,), None where that is 1 throughout; what is told."""

    factor: FloatArray | None
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


def acceleration_of(
    samples: Samples, time_s: FloatArray, rows: IntArray, points: FloatArray, free: IntArray
) -> Acceleration:
    """Where time was accelerated, by the recorded groundspeed; without one by an airspeed that stays as it is where the
    positions' speed changes from one second to the next. By an airspeed alone it is only asked.

    ``rows`` are records in strict order of ``time_s``, shape (n,), at ``points`` (n, 3); ``free`` the places in them to
    whose step the positions tell no speed.
    """
    log = Log.of(samples, time_s, rows, points, free)
    speed = log.channels.get(Channel.GROUNDSPEED_KT)
    if speed is not None:
        found = _stretches(log, speed)
        return _told(time_s, found) if found else Acceleration(None)
    airspeed = log.channels.get(Channel.TAS_KT, log.channels.get(Channel.IAS_KT))
    if airspeed is None:
        return Acceleration(None)
    hurries = with_airspeed_unchanged(hurries_in(time_s, points, free), time_s, airspeed)
    if hurries:
        return _told_by_airspeed(time_s, hurries)
    asked = [
        f"{stretch(float(time_s[part.first]), float(time_s[part.last]))} about {part.factor:.2g} times"
        for part in _stretches(log, airspeed)
        if (part.factor - 1.0) * part.speed_kt >= _AIRSPEED_EXCESS_KT
        and time_s[part.last] - time_s[part.first] >= _AIRSPEED_LEAST_S
    ]
    if not asked:
        return Acceleration(None)
    return Acceleration(
        None,
        notes=(f"the positions move much faster than the airspeed: {several(asked)}; was time accelerated there?",),
    )


@dataclass(frozen=True, slots=True)
class _Part:
    """Samples ``first`` (where it begins) to ``last``, its steps, the factor, and the recorded speed. [kt]"""

    first: int
    last: int
    steps: slice
    factor: float
    speed_kt: float


def _told(time_s: FloatArray, found: list[_Part]) -> Acceleration:
    factor = np.ones(len(time_s))
    told: list[str] = []
    for part in found:
        factor[part.first + 1 : part.last + 1] = part.factor
        told.append(f"{part.factor:.3g} times from {stretch(float(time_s[part.first]), float(time_s[part.last]))}")
    detail = (
        f"the positions move at a multiple of the recorded groundspeed: {several(told)}; the groundspeed is believed, "
        "durations there are counted in seconds flown, times stay as logged"
    )
    factor.setflags(write=False)
    return Acceleration(factor, (Fault(kind="time-acceleration", count=len(found), detail=detail),))


def _told_by_airspeed(time_s: FloatArray, hurries: list[Hurry]) -> Acceleration:
    factor = np.ones(len(time_s))
    told: list[str] = []
    for one in hurries:
        factor[one.first + 1 : one.last + 1] = one.factor
        told.append(f"{one.factor:.0f} times from {stretch(float(time_s[one.first]), float(time_s[one.last]))}")
    detail = (
        "the positions move at a multiple of their speed from one record to the next while the airspeed stays: "
        f"{several(told)}; durations there are counted in seconds flown, times stay as logged"
    )
    factor.setflags(write=False)
    return Acceleration(factor, (Fault(kind="time-acceleration", count=len(hurries), detail=detail),))


def _stretches(log: Log, speed_kt: FloatArray) -> list[_Part]:
    if len(log.rows) <= _LEAST_STEPS:
        return []
    steps = SpeedSteps.of(log, speed_kt)
    if np.count_nonzero(steps.usable) < _LEAST_STEPS:
        return []
    ratio = steps.ratio_about()
    doublings = _doublings(ratio, steps.usable)
    found = [
        _part(log, steps, first, stop)
        for first, stop in _runs(doublings)
        if stop - first >= _LEAST_STEPS
        and steps.seconds[first:stop].sum() >= _LEAST_S
        and _is_even(ratio[first:stop])
        and (ratio[first] > 1.0 or float(np.median(steps.seconds)) <= _SLOW_STEP_S)
        and _goes_by_track(log, first, stop)
    ]
    found = [part for part in found if _off(part.factor) <= (_NEAR if part.factor > 1.0 else _SLOW_NEAR)]
    covered = sum(steps.recorded_nm[part.steps].sum() for part in found)
    if covered > _WHOLE_SHARE * steps.recorded_nm.sum():
        found = [part for part in found if _off(part.factor) <= _WHOLE_SNAP]
    return [
        replace(part, factor=_nearest(part.factor) if _off(part.factor) <= _SNAP else part.factor) for part in found
    ]


def _nearest(factor: float) -> float:
    return float(2.0 ** np.rint(np.log2(factor)))


def _off(factor: float) -> float:
    """How far a factor is off the nearest doubling, as a part of it."""
    return abs(factor / _nearest(factor) - 1.0)


def _doublings(ratio: FloatArray, usable: BoolArray) -> IntArray:
    """How many times the speed is doubled in each step; 0 where it is not, or by no such factor."""
    log = np.log2(ratio)
    nearest = np.rint(log)
    fits = usable & (np.abs(log - nearest) <= _NEAR_DOUBLINGS)
    fits &= (nearest >= _LEAST_DOUBLINGS) & (nearest <= _MOST_DOUBLINGS)
    return np.where(fits, nearest, 0.0).astype(np.int64)


def _is_even(ratio: FloatArray) -> bool:
    return bool(np.mean(np.abs(ratio / np.median(ratio) - 1.0) <= _EVEN) >= _EVEN_SHARE)


def _goes_by_track(log: Log, first: int, stop: int) -> bool:
    """Whether the steps lead where the recorded track says; true where none was recorded."""
    track = log.channels.get(Channel.TRACK_DEG_TRUE)
    if track is None:
        return True
    rows = log.rows[first : stop + 1]
    _nm, course, _arrival = inverse(
        log.lat_deg[rows[:-1]], log.lon_deg[rows[:-1]], log.lat_deg[rows[1:]], log.lon_deg[rows[1:]]
    )
    midway = track[rows[:-1]] + turn_deg(track[rows[:-1]], track[rows[1:]]) / 2.0
    off = np.abs(turn_deg(course, midway))
    known = off[np.isfinite(off)]
    return not known.size or bool(np.mean(known <= _COURSE_DEG) >= _EVEN_SHARE)


def _runs(labels: IntArray) -> list[tuple[int, int]]:
    """Start and stop of runs of one label that is not 0; short holes belong to them."""
    edges = np.concatenate([[0], np.flatnonzero(np.diff(labels) != 0) + 1, [len(labels)]])
    runs: list[tuple[int, int, int]] = []
    for start, stop in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        label = int(labels[start])
        if label == 0:
            continue
        if runs and runs[-1][2] == label and start - runs[-1][1] <= _BRIDGED_STEPS:
            runs[-1] = (runs[-1][0], stop, label)
        else:
            runs.append((start, stop, label))
    return [(start, stop) for start, stop, _label in runs]


def _part(log: Log, steps: SpeedSteps, first: int, stop: int) -> _Part:
    """The stretch with its ends put where single steps begin and cease to be fast."""
    inner = slice(min(first + HALF_STEPS, stop - 1), max(stop - HALF_STEPS, first + 1))
    factor = float(steps.moved_nm[inner].sum() / steps.recorded_nm[inner].sum())
    speed_kt = float(np.median(steps.speed_kt[first:stop]))
    between = np.sqrt(factor)
    low, high = max(first - HALF_STEPS, 0), min(stop + HALF_STEPS, len(steps.seconds))
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = steps.moved_nm[low:high] / steps.recorded_nm[low:high]
    is_fast = ratio >= between if factor > 1.0 else ratio <= between
    inside = low + np.flatnonzero(is_fast)
    if inside.size:
        first, stop = int(inside[0]), int(inside[-1]) + 1
    return _Part(
        first=int(log.rows[first]),
        last=int(log.rows[stop]),
        steps=slice(first, stop),
        factor=factor,
        speed_kt=speed_kt,
    )
