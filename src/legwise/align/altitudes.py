"""The altitude assigned at every moment, and whether it is owed yet.

What was said counts from the level change that obeys it. Until something is said, the altitude filed is assigned from
take-off, owed from where it was first reached, to where it was left for good: nobody is charged for a descent that was
given but not written down.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from legwise.align.flight import Flight
from legwise.align.orders import neighbours_s
from legwise.align.profile import CLIMB_FPM, CLIMB_LEAST_S, LEVEL_FPM, LEVEL_LEAST_S
from legwise.align.runs import lasting_runs
from legwise.align.variants import altitude_doubts
from legwise.model.arrays import BoolArray, FloatArray, readonly_bools, readonly_floats
from legwise.model.lesson import Clearance

REACHED_FT = 100.0
"""Within 100 ft an assigned altitude is reached (the tolerance of FAA-S-ACS-8C for it)."""
LEFT_FT = 300.0
LEFT_LEAST_S = 60.0
"""More than 300 ft away for a minute is no wandering about an altitude: it was left. Common practice, no published
source."""
_EARLY_S, _SLOW_S = 10.0, 120.0
_MINUTE_LATE_S = 75.0
"""An altitude is noted when there is time for it: a level change up to a minute and a quarter earlier obeys it."""
_OFF_THE_GROUND_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Assigned:
    """One altitude assigned: by which said instruction (-1: filed), and from which sample on."""

    said: int
    altitude_ft: float
    start: int
    until_established: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Altitudes:
    """Arrays of shape (n,); ``effects`` the time each said altitude took effect [s] by index of what was said;
    ``begun``
    the level changes that obey them, ``doubts`` questions about them; ``left`` where the filed altitude was left for
    good with nothing said (None: it was not)."""

    assigned_ft: FloatArray
    owed: BoolArray
    effects: dict[int, float]
    begun: dict[int, float]
    doubts: dict[int, str]
    left: int | None


def assigned_altitude_ft(clearance: Clearance) -> float | None:
    """The altitude an instruction assigns, a flight level as hundreds of feet; None where it assigns none."""
    if clearance.altitude_ft is not None:
        return clearance.altitude_ft
    if clearance.flight_level is not None:
        return clearance.flight_level * 100.0
    return clearance.hold.altitude_ft if clearance.hold is not None else None


def altitudes(
    flight: Flight, lateral_effects: dict[int, float], established: BoolArray, missed: BoolArray
) -> Altitudes:
    """Work the assigned altitudes out. ``lateral_effects`` are the effect times of the lateral instructions by
    index."""
    n = len(flight.track)
    assigned, owed = np.full(n, np.nan), np.zeros(n, dtype=np.bool_)
    given, begun = _given(flight, lateral_effects)
    effects = {item.said: float(flight.time_s[item.start]) for item in given}
    first = min(given[0].start if given else n, flight.part(0)[1])
    left = _filed(flight, assigned, owed, first)
    any_said = bool(given)
    stops = _stops(flight, given)
    for item, stop in zip(given, stops, strict=True):
        here = slice(item.start, max(item.start, stop))
        assigned[here] = item.altitude_ft
        owed[here] = True
        if item.said >= 0:
            owed[item.start : _settled(flight, item, stop)] = False
    _release(flight, assigned, owed, given, established, missed)
    spans = [(g.said, g.altitude_ft, g.start, max(g.start, stop)) for g, stop in zip(given, stops, strict=True)]
    on_ground = flight.flying.on_ground
    owed[on_ground] = False
    assigned[on_ground] = np.nan
    owed &= np.isfinite(assigned)
    return Altitudes(
        assigned_ft=readonly_floats(assigned),
        owed=readonly_bools(owed),
        effects=effects,
        begun=begun,
        doubts=altitude_doubts(flight, spans, established | missed),
        left=None if any_said else left,
    )


def _stops(flight: Flight, given: list[Assigned]) -> list[int]:
    """Where each altitude gives way: to the next one, or where the aircraft was put elsewhere."""
    following = [*(item.start for item in given), len(flight.track)][1:]
    return [min(stop, flight.part(item.start)[1]) for item, stop in zip(given, following, strict=True)]


def _given(flight: Flight, lateral_effects: dict[int, float]) -> tuple[list[Assigned], dict[int, float]]:
    """The altitudes that were said, each with the sample where it took effect, in order; and the times [s] of the
    level changes that obey them."""
    given: list[Assigned] = []
    begun: dict[int, float] = {}
    floor = 0
    for index, said in enumerate(flight.said):
        altitude = assigned_altitude_ft(said.clearance)
        if altitude is None:
            continue
        if said.time_s is None:
            floor = max(floor, _before(flight, lateral_effects, index))
        known_s = said.time_s if said.time_s is not None else lateral_effects.get(index)
        if known_s is not None and known_s > flight.time_s[-1] + said.accuracy_s:
            continue
        accuracy_s = said.accuracy_s if said.time_s is not None else 0.0
        stop_s = neighbours_s(flight.said, index)[1] if said.time_s is None else np.inf
        start, changed = _level_change(flight, altitude, known_s, accuracy_s, (floor, stop_s))
        if changed:
            begun[index] = float(flight.time_s[start])
        start = _airborne_from(flight, start)
        given.append(
            Assigned(
                said=index,
                altitude_ft=altitude,
                start=max(start, floor),
                until_established=said.clearance.cleared is not None or said.clearance.altitude_until == "established",
            )
        )
        floor = given[-1].start
    return given, begun


def _before(flight: Flight, lateral_effects: dict[int, float], index: int) -> int:
    """The sample where the last instruction before one without a time took effect."""
    for earlier in range(index - 1, -1, -1):
        known_s = lateral_effects.get(earlier, flight.said[earlier].time_s)
        if known_s is not None:
            return flight.at(known_s)
    return 0


def _airborne_from(flight: Flight, sample: int) -> int:
    """``sample``, or the take-off after it: what is said on the ground counts in the air."""
    in_air = np.flatnonzero(~flight.flying.on_ground[sample:])
    return sample + int(in_air[0]) if in_air.size else sample


def _level_change(
    flight: Flight, altitude_ft: float, said_s: float | None, accuracy_s: float, bounds: tuple[int, float]
) -> tuple[int, bool]:
    """The first sample of the climb or descent toward an altitude, near the time it was said, and true; else that
    time, and false. ``bounds`` are the first sample and the last time [s] it may be."""
    floor, stop_s = bounds
    if said_s is None:
        low, high, fallback = floor, min(len(flight.track), flight.at(stop_s) + 1), floor
    else:
        fallback = max(floor, flight.at(said_s))
        low = max(floor, flight.at(said_s - max(accuracy_s + _EARLY_S, _MINUTE_LATE_S if accuracy_s > 0.0 else 0.0)))
        high = flight.at(said_s + accuracy_s + _SLOW_S) + 1
    # What was said in one part is obeyed in it.
    part = flight.part(fallback)
    low, high = max(low, part[0]), min(high, part[1])
    heights = flight.altitude_ft[low:high]
    with np.errstate(invalid="ignore"):
        toward = np.where(heights < altitude_ft, flight.climb_fpm[low:high], -flight.climb_fpm[low:high])
        moving = (toward >= CLIMB_FPM) & (np.abs(heights - altitude_ft) > REACHED_FT)
    found = lasting_runs(moving, flight.flown_s[low:high], CLIMB_LEAST_S)
    if not found:
        return fallback, False
    start = low + found[0][0]
    if start == low and said_s is not None:
        # Already climbing or descending that way: nothing was begun, the words alone count.
        return fallback, False
    return start, True


def _settled(flight: Flight, item: Assigned, stop: int) -> int:
    """The first sample from which an assigned altitude is owed: reached, or levelled off, or never begun toward."""
    heights = flight.altitude_ft[item.start : stop]
    if not np.isfinite(heights).any():
        return stop
    with np.errstate(invalid="ignore"):
        near = np.flatnonzero(np.abs(heights - item.altitude_ft) <= REACHED_FT)
        moving = np.abs(flight.climb_fpm[item.start : stop]) >= CLIMB_FPM
        level = np.abs(flight.climb_fpm[item.start : stop]) < LEVEL_FPM
    times = flight.flown_s[item.start : stop]
    reached = int(near[0]) if near.size else len(times)
    begun = lasting_runs(moving, times, CLIMB_LEAST_S)
    allowed_s = times[0] + _SLOW_S + flight.said[item.said].accuracy_s
    if not begun or times[begun[0][0]] > allowed_s:
        waited = int(np.searchsorted(times, allowed_s))
        return item.start + min(reached, waited)
    onward = begun[0][0]
    levelled = len(times)
    for first, _last in lasting_runs(level[onward:], times[onward:], LEVEL_LEAST_S):
        since_ground = _since_ground_s(flight, item.start + onward + first)
        if since_ground >= _OFF_THE_GROUND_S:
            levelled = onward + first
            break
    return item.start + min(reached, levelled)


def _since_ground_s(flight: Flight, sample: int) -> float:
    ground = np.flatnonzero(flight.flying.on_ground[:sample])
    return float(flight.flown_s[sample] - flight.flown_s[ground[-1]]) if ground.size else np.inf


def _filed(flight: Flight, assigned: FloatArray, owed: BoolArray, stop: int) -> int | None:
    """Fill in the filed altitude before anything was said; the sample where it was left for good, or None."""
    filed = flight.plan.route_altitude_ft
    if filed is None or stop <= 0:
        return None
    off = np.abs(flight.altitude_ft[:stop] - filed)
    with np.errstate(invalid="ignore"):
        near = np.flatnonzero(off <= REACHED_FT)
        away = off > LEFT_FT
    if not near.size:
        return None
    first = int(near[0])
    gone = lasting_runs(away[first:], flight.flown_s[first:stop], LEFT_LEAST_S)
    last = stop
    left: int | None = None
    if gone:
        still = near[near < first + gone[0][0]]
        left = last = int(still[-1]) + 1
    # On the way up to it, it is assigned but not owed yet, as one that was said would be.
    assigned[:last] = filed
    owed[first:last] = True
    return left


def _release(
    flight: Flight,
    assigned: FloatArray,
    owed: BoolArray,
    given: list[Assigned],
    established: BoolArray,
    missed: BoolArray,
) -> None:
    """Once established on a published part the published altitudes rule, and on the missed approach until something is
    said."""
    cleared_from = _cleared_from(flight)
    starts = {item.start for item in given}
    free = (established & cleared_from) | missed
    released = False
    changes = np.flatnonzero(np.diff(free.astype(np.int8)) != 0) + 1
    bounds = sorted({0, *changes.tolist(), *starts, len(flight.track)})
    for start, stop in itertools.pairwise(bounds):
        item = next((g for g in given if g.start == start), None)
        if item is not None:
            released = False
        if free[start] and (item is None or item.until_established or established[start]):
            released = True
        if released:
            assigned[start:stop] = np.nan
            owed[start:stop] = False


def _cleared_from(flight: Flight) -> BoolArray:
    """Where an approach clearance is in force: with nothing said of clearances, everywhere."""
    allowed = np.ones(len(flight.track), dtype=np.bool_)
    said = [s for s in flight.said if s.clearance.cleared is not None]
    if not said:
        joins = any(s.clearance.join for s in flight.said)
        return allowed if not joins else ~allowed
    times = [s.time_s - s.accuracy_s for s in said if s.time_s is not None]
    if len(times) == len(said) and times:
        allowed = flight.time_s >= min(times)
    return allowed
