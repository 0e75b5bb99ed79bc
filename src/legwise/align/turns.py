"""Turns at fly-by fixes: the arc that was owed, where the turn was begun, and which samples lie inside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.align.flight import Flight, Stretch
from legwise.align.flown import FlownLegs
from legwise.align.passing import is_fly_over
from legwise.align.profile import Turning
from legwise.geodesy import anticipation_nm, fly_by_arc, turn_deg, turn_radius_nm
from legwise.model.alignment import FlownLeg, FlownTurn
from legwise.model.arrays import BoolArray, IntArray

LEAST_TURN_DEG = 5.0
"""Under 5 degrees of course change there is no turn to speak of: its arc cuts the corner by under a metre at 120 kt."""
_MOST_TURN_DEG = 170.0
_BEFORE_S, _AFTER_S = 60.0, 90.0
_TURN_ROOM_S = 180.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownTurns:
    """The turns and, for every sample, whether it lies in one and in which (-1: none)."""

    turns: tuple[FlownTurn, ...]
    in_turn: BoolArray
    turn: IntArray


def flown_turns(flight: Flight, stretches: list[Stretch], legs: FlownLegs) -> FlownTurns:
    """Every change from one leg to the next at a fly-by fix that turns 5 degrees or more."""
    in_turn = np.zeros(len(flight.track), dtype=np.bool_)
    number = np.full(len(flight.track), -1, dtype=np.int64)
    found: list[FlownTurn] = []
    for place in range(len(stretches) - 1):
        before, after = stretches[place], stretches[place + 1]
        one, two = legs.of_stretch[place], legs.of_stretch[place + 1]
        if one < 0 or two < 0 or one == two or before.stop != after.start or flight.begins_part(after.start):
            continue
        inbound, outbound = legs.legs[one], legs.legs[two]
        if is_fly_over(flight.states[before.state]) or not _meet(inbound, outbound):
            continue
        made = _turn(flight, inbound, outbound)
        if made is None:
            continue
        turn, inside = made
        in_turn[inside] = True
        number[inside] = len(found)
        found.append(turn)
    return FlownTurns(turns=tuple(found), in_turn=in_turn, turn=number)


def _meet(inbound: FlownLeg, outbound: FlownLeg) -> bool:
    """Whether the one leg ends where the other begins."""
    return bool(inbound.to_ident) and inbound.to_ident == outbound.from_ident


def _turn(flight: Flight, inbound: FlownLeg, outbound: FlownLeg) -> tuple[FlownTurn, IntArray] | None:
    if inbound.path is None or outbound.path is None:
        return None
    fix_lat, fix_lon = inbound.path.point_at(np.array([0.0]))
    from_deg = inbound.path.end_course_deg_true
    to_deg = float(outbound.path.measure(fix_lat, fix_lon).course_deg_true[0])
    change = float(turn_deg(from_deg, to_deg))
    if not LEAST_TURN_DEG <= abs(change) <= _MOST_TURN_DEG:
        return None
    at = outbound.start
    speed = _speed_kt(flight, at)
    if speed is None:
        return None
    radius_nm = turn_radius_nm(speed)
    arc = fly_by_arc(inbound.path, outbound.path, radius_nm)
    lead_nm = arc.lead_nm if arc is not None else anticipation_nm(radius_nm, change)
    begun = _begun(flight, at, change, inbound)
    start, stop = begun if begun is not None else (at, at + 1)
    samples = flight.track.samples
    here = slice(start, start + 1)
    flown_lead = float(inbound.path.measure(samples.lat_deg[here], samples.lon_deg[here]).to_go_nm[0])
    turn = FlownTurn(
        fix=inbound.to_ident,
        at_s=float(flight.time_s[at]),
        from_course_deg_true=from_deg,
        to_course_deg_true=to_deg,
        lead_nm=flown_lead,
        expected_lead_nm=lead_nm,
        start_s=float(flight.time_s[start]),
        end_s=float(flight.time_s[stop - 1]),
        start=start,
        stop=stop,
        path=arc.path if arc is not None else None,
    )
    if arc is None:
        return turn, np.array([], dtype=np.int64)
    reach_s = _TURN_ROOM_S + 2.0 * 3600.0 * max(arc.lead_nm, arc.exit_nm) / speed
    return turn, _inside(flight, inbound, outbound, arc.lead_nm, arc.exit_nm, reach_s)


def _speed_kt(flight: Flight, at: int) -> float | None:
    """Groundspeed about the fix: the median of a minute, so that one bad sample counts for nothing."""
    first, stop = flight.part(at)
    low = max(first, flight.at(float(flight.time_s[at]) - 30.0))
    high = min(stop, flight.at(float(flight.time_s[at]) + 30.0) + 1)
    speeds = flight.track.motion.groundspeed_kt[low:high]
    speeds = speeds[np.isfinite(speeds)]
    if not speeds.size:
        return None
    speed = float(np.median(speeds))
    return speed if speed > 1.0 else None


def _begun(flight: Flight, at: int, change_deg: float, inbound: FlownLeg) -> tuple[int, int] | None:
    """The turn that was flown at the fix: in the right direction, the biggest near it; else the first bend off the
    course."""
    at_s = float(flight.time_s[at])
    first, end = flight.part(at)
    near: list[Turning] = [
        turn
        for turn in flight.turns
        if first <= turn.start < end
        and turn.start_s <= at_s + _AFTER_S
        and turn.end_s >= at_s - _BEFORE_S
        and turn.change_deg * change_deg > 0.0
        and abs(turn.change_deg) >= 0.3 * abs(change_deg)
    ]
    if near:
        nearest = min(near, key=lambda turn: max(0.0, turn.start_s - at_s, at_s - turn.end_s))
        return nearest.start, nearest.stop
    low, high = max(inbound.start, flight.at(at_s - _BEFORE_S)), min(end, flight.at(at_s + _AFTER_S) + 1)
    track = flight.track.motion.track_deg_true[low:high]
    turned = (
        np.nan_to_num(turn_deg(inbound.path.end_course_deg_true, track)) * np.sign(change_deg) if inbound.path else None
    )
    if turned is None:
        return None
    # A turn too gentle to count as one: from a tenth of the change to nine tenths of it.
    begun = np.flatnonzero(turned >= max(3.0, 0.1 * abs(change_deg)))
    ended = np.flatnonzero(turned >= 0.9 * abs(change_deg))
    if not begun.size:
        return None
    stop = low + int(ended[0]) + 1 if ended.size and ended[0] >= begun[0] else high
    return low + int(begun[0]), stop


def _inside(
    flight: Flight, inbound: FlownLeg, outbound: FlownLeg, lead_nm: float, exit_nm: float, reach_s: float
) -> IntArray:
    """Samples from abeam the arc's entry on the inbound leg to abeam its exit on the outbound leg; none beyond a
    gap."""
    if inbound.path is None or outbound.path is None:
        return np.array([], dtype=np.int64)
    samples, at = flight.track.samples, outbound.start
    at_s = float(flight.time_s[at])
    low = max(inbound.start, flight.at(at_s - reach_s))
    high = min(outbound.stop, flight.at(at_s + reach_s) + 1)
    early, late = slice(low, inbound.stop), slice(at, high)
    to_go = inbound.path.measure(samples.lat_deg[early], samples.lon_deg[early]).to_go_nm
    outside = np.flatnonzero(to_go > lead_nm)
    first = low + (int(outside[-1]) + 1 if outside.size else 0)
    lat, lon = inbound.path.point_at(np.array([0.0]))
    whole = float(outbound.path.measure(lat, lon).to_go_nm[0])
    gone = whole - outbound.path.measure(samples.lat_deg[late], samples.lon_deg[late]).to_go_nm
    past = np.flatnonzero(gone > exit_nm)
    last = at + (int(past[0]) if past.size else len(gone))
    for before, after in flight.track.gaps:
        if first <= before < at:
            first = after
        if at <= after < last:
            last = after
    return np.arange(first, last, dtype=np.int64)
