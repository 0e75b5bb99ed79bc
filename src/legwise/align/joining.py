"""Joining a course: where vectors, a climb-out or a hold end because the aircraft is established on a leg."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from legwise.align.flight import Flight, Stretch, tidy
from legwise.align.needle import half_scale_nm
from legwise.align.passing import FIX_WINDOW_S, passing
from legwise.align.runs import runs_of
from legwise.align.states import Kind
from legwise.geodesy import turn_deg
from legwise.model.arrays import BoolArray
from legwise.model.plan import Leg, LegPart

ESTABLISHED_DEG = 31.0
"""Within 30 degrees of the course, and one more for the noise of a track made of positions."""
ESTABLISHED_LASTS_S = 60.0
"""A course crossed at 30 degrees and 120 kt is left again within a minute: staying longer is being on it."""

JOIN_TURN_S = 180.0
"""Inside half scale on a shallow intercept, the course is joined where the turn onto it begins."""
CUT_LEAST_DEG = 6.0
TURN_DONE_DEG = 15.0
"""Until the cut is this small in the turn onto the course, that turn is not done, and the needle still on its way."""
CLIMB_OUT_TURN_DEG = 10.0


def joined_legs(flight: Flight, before: Stretch, following: Stretch) -> list[Stretch] | None:
    """The stretches of the legs joined from vectors, a climb-out or a hold; None where that is not what happens
    here."""
    new = flight.states[following.state]
    if new.leg is None or new.leg.path is None:
        return None
    old = flight.states[before.state]
    loose = old.kind in (Kind.VECTORS, Kind.NONE, Kind.HOLD)
    if not loose or new.part is LegPart.MISSED:
        return None
    candidates = [
        (number, state)
        for number, state in enumerate(flight.states)
        if state.leg is not None
        and state.leg.path is not None
        and state.part is new.part
        and state.approach == new.approach
        and 0 <= new.owed - state.owed <= 2
    ]
    low = max(before.start + 1, flight.at(float(flight.time_s[following.start]) - FIX_WINDOW_S))
    if before.epoch != following.epoch:
        low = following.start
    high = following.stop
    on = np.full(high - low, -1, dtype=np.int64)
    scale = 2.0 if old.kind is Kind.NONE else 1.0
    for number, state in candidates:
        on[on_leg(flight, state.leg, low, high, scale)] = number
    first = _settles(flight, on >= 0, low, following.stop)
    if first is None:
        wide = np.full(high - low, -1, dtype=np.int64)
        for number, state in candidates:
            wide[on_leg(flight, state.leg, low, high, 2.0 * scale)] = number
        first = _settles(flight, wide >= 0, low, following.stop)
        on = wide
    if first is None:
        return [replace(following, part_way=True)]
    joined = int(on[first - low])
    first = _turned_on(flight, _turning_on(flight, first, following, scale), following, scale)
    if old.kind is Kind.NONE:
        turned = _turned_toward(flight, before, first)
        if turned is not None:
            return [replace(following, start=turned, part_way=True)]
    later = int(on[first - low]) if first < high else -1
    return _split(flight, following, later if later >= 0 else joined, first)


def _split(flight: Flight, following: Stretch, joined: int, first: int) -> list[Stretch]:
    """From the leg joined to the one the story names, each passed at its fix."""
    done = [replace(following, state=joined, start=first, part_way=True)]
    names = [
        number
        for number, state in enumerate(flight.states)
        if state.leg is not None
        and state.part is flight.states[joined].part
        and state.approach == flight.states[joined].approach
        and flight.states[joined].owed < state.owed <= flight.states[following.state].owed
    ]
    for number in names:
        before = done[-1]
        new = replace(following, state=number, start=max(first + 1, following.start), part_way=False)
        leg = flight.states[number].leg
        border = new.start
        if leg is not None and leg.path is not None:
            border = passing(flight, before, new, flight.states[before.state], leg)
        done[-1] = replace(before, stop=border)
        done.append(replace(new, start=border))
    return tidy(done)


def _turned_toward(flight: Flight, climb: Stretch, established: int) -> int | None:
    """Where a climb-out ends that did not lead onto the leg: at the first turn of it, made to get there."""
    for turn in flight.turns:
        if climb.start < turn.start < established and abs(turn.change_deg) >= CLIMB_OUT_TURN_DEG:
            return turn.start
    return None


def _turning_on(flight: Flight, first: int, following: Stretch, scale: float) -> int:
    """Where the turn onto the course begins, if after ``first``: a shallow intercept is flown on until then."""
    leg = flight.states[following.state].leg
    if scale > 1.0 or leg is None or leg.path is None:
        return first
    lat, lon = flight.position(first)
    course = float(leg.path.measure(np.array([lat]), np.array([lon])).course_deg_true[0])
    track = flight.track.motion.track_deg_true
    for turn in flight.turns:
        soon = turn.start > first and turn.start_s - float(flight.time_s[first]) <= JOIN_TURN_S
        if not soon or turn.start >= following.stop:
            continue
        cut = turn_deg(course, track[first : turn.start + 1])
        steady = np.abs(cut) >= CUT_LEAST_DEG
        if float(np.mean(steady & (np.sign(cut) == np.sign(cut[-1])))) < 0.9:
            return first
        before = abs(float(cut[-1]))
        after = abs(float(turn_deg(track[turn.stop - 1], course)))
        if after < before - 4.0:
            return turn.start
    return first


def _turned_on(flight: Flight, first: int, following: Stretch, scale: float) -> int:
    """Where the turn onto the course is all but done, if it is being made at ``first``."""
    leg = flight.states[following.state].leg
    turn = next((t for t in flight.turns if t.start <= first < t.stop), None)
    if scale > 1.0 or leg is None or leg.path is None or turn is None:
        return first
    here = slice(first, min(turn.stop, following.stop))
    samples = flight.track.samples
    course = leg.path.measure(samples.lat_deg[here], samples.lon_deg[here]).course_deg_true
    cut = np.abs(np.nan_to_num(turn_deg(course, flight.track.motion.track_deg_true[here])))
    if not cut.size or cut[-1] >= cut[0]:
        return first
    done = np.flatnonzero(cut <= TURN_DONE_DEG)
    return first + (int(done[0]) if done.size else len(cut) - 1)


def on_leg(flight: Flight, leg: Leg | None, low: int, high: int, scale: float) -> BoolArray:
    """Whether samples ``low`` to ``high`` are within half of full scale, times ``scale``, and 30 degrees of a leg."""
    if leg is None or leg.path is None:
        return np.zeros(high - low, dtype=np.bool_)
    samples = flight.track.samples
    place = leg.path.measure(samples.lat_deg[low:high], samples.lon_deg[low:high])
    half_nm = half_scale_nm(flight.plan, leg, samples.lat_deg[low:high], samples.lon_deg[low:high])
    off = np.abs(np.nan_to_num(turn_deg(place.course_deg_true, flight.track.motion.track_deg_true[low:high])))
    along = (place.to_go_nm >= 0.0) & (place.to_go_nm <= leg.path.length_nm)
    return np.asarray((np.abs(place.cross_track_nm) <= half_nm * scale) & (off <= ESTABLISHED_DEG) & along)


def _settles(flight: Flight, on: BoolArray, low: int, stop: int) -> int | None:
    """The first sample from which the aircraft stays on the course; None where it never does."""
    for start, end in runs_of(on):
        lasts = flight.flown_s[low + end - 1] - flight.flown_s[low + start]
        if lasts >= ESTABLISHED_LASTS_S or low + end >= stop:
            return low + start
    return None
