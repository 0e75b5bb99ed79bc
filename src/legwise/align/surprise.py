"""How badly each state explains each moment: the costs of :mod:`legwise.align.grammar` over the thinned track."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from legwise.align import grammar
from legwise.align.airborne import Field
from legwise.align.states import GROUND, HOLDS, NONE, TURNED_BACK, VECTORS, Kind, State, is_turned_back
from legwise.geodesy import inverse, turn_deg
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.plan import Fix, Leg, LegPart

_REACH_NM = 15.0
_REACH_OPEN_NM = 60.0
_FAR = grammar.OFFSET_CAP + grammar.ANGLE_CAP


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Thinned:
    """The track at the moments that are decided on, shape (m,): ``index`` into the full track and what was flown
    there, ``flown_s`` by the clock of the flight."""

    index: np.ndarray[tuple[int], np.dtype[np.int64]]
    time_s: FloatArray
    flown_s: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    track_deg: FloatArray
    altitude_ft: FloatArray
    on_ground: BoolArray
    weight: FloatArray


def surprise_of(
    states: Sequence[State],
    thinned: Thinned,
    fields: tuple[Field, ...],
    *,
    has_legs: bool,
    circled: Mapping[str, BoolArray],
) -> FloatArray:
    """Cost of every state at every moment, shape (m, states), already weighted with the time each moment stands for.

    On the ground only GROUND is possible, in the air everything else. ``circled`` says for holds that nobody said when
    the aircraft circled their fix.
    """
    cost = np.zeros((len(thinned.time_s), len(states)))
    bearings: dict[str, FloatArray] = {}
    has_approach = any(state.part is LegPart.APPROACH for state in states)
    aerodromes = {field.ident for field in fields} if has_approach else set()
    for place, state in enumerate(states):
        if state.kind is Kind.LEG and state.leg is not None:
            cost[:, place] = _leg_cost(state.leg, thinned, bearings)
            if state.part is LegPart.ROUTE and state.end_ident in aerodromes:
                cost[:, place] += grammar.TO_AERODROME_BASE
        elif state.kind is Kind.DIRECT and state.fix is not None:
            cost[:, place] = grammar.DIRECT_BASE + _bearing_cost(state.fix, thinned, bearings)
        elif state.kind is Kind.HOLD and state.fix is not None:
            away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, state.fix.lat_deg, state.fix.lon_deg)
            held = circled.get(state.fix.ident, away <= grammar.HOLD_NM)
            cost[:, place] = np.where(held, grammar.HOLD_BASE, grammar.HOLD_AWAY)
    cost[:, VECTORS] = grammar.VECTORS_UNSAID
    cost[:, NONE] = _none_cost(thinned, fields) if has_legs else 0.0
    cost *= thinned.weight[:, np.newaxis]
    cost[thinned.on_ground, :] = np.inf
    cost[:, GROUND] = np.where(thinned.on_ground, 0.0, np.inf)
    return cost


def gate_of(states: Sequence[State], thinned: Thinned) -> FloatArray:
    """Price of going on from each state to its next one at every moment, shape (m, states): due only at its end."""
    gate = np.zeros((len(thinned.time_s), len(states)))
    for place, state in enumerate(states):
        fix = state.leg.to_fix if state.leg is not None else state.fix
        if state.leg is not None and not state.leg.ends_at_fix:
            gate[:, place] = _end_gate(state.leg, thinned)
            continue
        if fix is None:
            continue
        if state.kind is Kind.HOLD:
            gate[:, place] = _fix_gate(fix, thinned)
            continue
        to_go, bearing, _ = inverse(thinned.lat_deg, thinned.lon_deg, fix.lat_deg, fix.lon_deg)
        if state.leg is not None and state.leg.path is not None:
            # Abeam the fix will do, however far off: along the course at the end.
            ahead = turn_deg(state.leg.path.end_course_deg_true, bearing)
            to_go = to_go * np.cos(np.radians(ahead))
        early = np.maximum(0.0, to_go - grammar.GATE_SLACK_NM) / grammar.GATE_NM
        gate[:, place] = np.minimum(grammar.GATE_CAP, 0.5 * early**2)
    return gate


def arrival_of(states: Sequence[State], thinned: Thinned) -> FloatArray:
    """Price of coming along an edge into each state at every moment, shape (m, states): a hold and a reversal begin
    over their fix."""
    arrival = np.zeros((len(thinned.time_s), len(states)))
    for place, state in enumerate(states):
        if is_turned_back(state) and state.leg is not None and state.leg.to_fix is not None:
            fix = state.leg.to_fix
            away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, fix.lat_deg, fix.lon_deg)
            missed = np.maximum(0.0, away - grammar.OVER_FIX_NM) / grammar.GATE_NM
            arrival[:, place] = np.minimum(grammar.UNSAID_THOUGH_OTHERS_WERE, 0.5 * missed**2)
    return arrival


def _fix_gate(fix: Fix, thinned: Thinned) -> FloatArray:
    """Price of leaving a hold elsewhere than over its fix."""
    away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, fix.lat_deg, fix.lon_deg)
    early = np.maximum(0.0, away - grammar.OVER_FIX_NM) / grammar.GATE_NM
    return np.minimum(grammar.GATE_CAP, 0.5 * early**2)


def _end_gate(leg: Leg, thinned: Thinned) -> FloatArray:
    """Price of leaving a leg that ends elsewhere than at a fix: by the altitude or the distance that is left to it."""
    early = np.zeros(len(thinned.time_s))
    if leg.kind in HOLDS and leg.to_fix is not None:
        return _fix_gate(leg.to_fix, thinned)
    low_ft = leg.altitude.low_ft if leg.altitude is not None else None
    if leg.end is not None and leg.end.kind == "altitude" and low_ft is not None:
        short_ft = np.nan_to_num(low_ft - thinned.altitude_ft, nan=0.0) - grammar.GATE_SLACK_FT
        early = np.maximum(0.0, short_ft) / grammar.GATE_FT
    elif leg.path is not None and np.isfinite(leg.path.length_nm) and leg.kind not in TURNED_BACK:
        to_go = leg.path.measure(thinned.lat_deg, thinned.lon_deg).to_go_nm
        early = np.maximum(0.0, to_go - grammar.GATE_SLACK_NM) / grammar.GATE_NM
    return np.minimum(grammar.GATE_CAP, 0.5 * early**2)


def heading_cost(thinned: Thinned, heading_deg_true: float, base: float) -> FloatArray:
    """Cost of vectors while a heading is in force (NaN: not known), shape (m,), weighted."""
    off = np.zeros(len(thinned.time_s))
    if np.isfinite(heading_deg_true):
        turn = np.abs(np.nan_to_num(turn_deg(thinned.track_deg, heading_deg_true)))
        off = np.maximum(0.0, turn - grammar.HEADING_SLACK_DEG) / grammar.HEADING_DEG
    return np.asarray((base + np.minimum(grammar.HEADING_CAP, 0.5 * off**2)) * thinned.weight)


def _leg_cost(leg: Leg, thinned: Thinned, bearings: dict[str, FloatArray]) -> FloatArray:
    cost = np.full(len(thinned.time_s), _FAR)
    if leg.to_fix is not None and leg.kind in TURNED_BACK:
        return _turned_back_cost(leg.to_fix, leg, thinned)
    if leg.path is None and leg.to_fix is not None:
        _, goal_deg, _ = inverse(thinned.lat_deg, thinned.lon_deg, leg.to_fix.lat_deg, leg.to_fix.lon_deg)
        cost = _bearing_cost(leg.to_fix, thinned, bearings)
        return grammar.DIRECT_BASE + _turning_to(goal_deg, cost, thinned)
    if leg.path is None:
        return _direction_cost(leg, thinned)
    anchor = leg.to_fix or leg.from_fix
    length = leg.path.length_nm
    near = np.arange(len(thinned.time_s))
    if anchor is not None:
        away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, anchor.lat_deg, anchor.lon_deg)
        near = np.flatnonzero(away <= (length + _REACH_NM if np.isfinite(length) else _REACH_OPEN_NM))
    if not near.size:
        return cost
    place = leg.path.measure(thinned.lat_deg[near], thinned.lon_deg[near])
    one_nm = grammar.ROUTE_OFFSET_NM if leg.part is LegPart.ROUTE else grammar.APPROACH_OFFSET_NM
    offset = np.minimum(grammar.OFFSET_CAP, 0.5 * (place.cross_track_nm / one_nm) ** 2)
    off_track = np.nan_to_num(turn_deg(place.course_deg_true, thinned.track_deg[near]))
    # Left of the path a track to the right of the course leads back, and the other way round.
    cut = np.minimum(grammar.INTERCEPT_DEG, grammar.INTERCEPT_DEG_PER_NM * np.abs(place.cross_track_nm))
    back = np.sign(off_track) == -np.sign(place.cross_track_nm)
    angle = np.maximum(0.0, np.abs(off_track) - np.where(back, cut, 0.0)) / grammar.TRACK_ANGLE_DEG
    # A path without an end is left before its start alone, one without a start past its end.
    outside = np.fmax(np.fmax(-place.to_go_nm, -place.along_track_nm), 0.0) - grammar.BEYOND_SLACK_NM
    beyond = np.minimum(grammar.BEYOND_CAP, 0.5 * (np.maximum(0.0, outside) / grammar.BEYOND_NM) ** 2)
    cost[near] = offset + np.minimum(grammar.ANGLE_CAP, 0.5 * angle**2) + beyond
    return cost


def _turned_back_cost(fix: Fix, leg: Leg, thinned: Thinned) -> FloatArray:
    """On the outbound side of its fix an aircraft may turn any way in a hold or a reversal, as far out as it leads."""
    out_deg, out_nm = _outbound(leg)
    away, bearing, _ = inverse(fix.lat_deg, fix.lon_deg, thinned.lat_deg, thinned.lon_deg)
    off = np.radians(turn_deg(out_deg, bearing))
    ahead, aside = away * np.cos(off), np.abs(away * np.sin(off))
    room = (ahead >= -grammar.TURN_ROOM_NM) & (ahead <= out_nm + grammar.TURN_ROOM_NM)
    return np.where(room & (aside <= grammar.SIDE_ROOM_NM), grammar.HOLD_BASE, grammar.HOLD_AWAY)


def _outbound(leg: Leg) -> tuple[float, float]:
    """The outbound course of a hold or a reversal [deg true], and how far from its fix it may lead. [NM]"""
    if leg.reversal is not None:
        return leg.reversal.outbound_course_deg_true, leg.reversal.limit_nm or grammar.HOLD_NM
    if leg.hold is None:
        return 0.0, grammar.HOLD_NM
    out_nm = leg.hold.leg_nm or (leg.hold.leg_minutes or 1.0) * grammar.FAST_NM_PER_MIN
    return (leg.hold.inbound_course_deg_true + 180.0) % 360.0, out_nm


def _turning_to(goal_deg: FloatArray | float, cost: FloatArray, thinned: Thinned) -> FloatArray:
    """What is owed next begins with the turn to it: while the aircraft turns to it, pointing elsewhere is little
    surprise; a turn to what lies behind may go either way round."""
    if len(cost) < 3:
        return cost
    turned = turn_deg(thinned.track_deg[:-2], thinned.track_deg[2:])
    rate = np.zeros(len(cost))
    rate[1:-1] = np.nan_to_num(turned / np.maximum(thinned.time_s[2:] - thinned.time_s[:-2], 1e-3))
    left_deg = np.nan_to_num(turn_deg(thinned.track_deg, goal_deg))
    toward = (rate * left_deg > 0.0) | (np.abs(left_deg) >= grammar.BEHIND_DEG)
    turning = toward & (np.abs(rate) >= grammar.TURNING_DPS)
    return np.where(turning, np.minimum(cost, grammar.TURNING_CAP), cost)


def _direction_cost(leg: Leg, thinned: Thinned) -> FloatArray:
    """A course or a heading from wherever the aircraft is: the track alone tells of it, a heading's with the drift."""
    course, heading = leg.course_deg_true, leg.heading_deg_true
    if heading is not None:
        off = np.abs(np.nan_to_num(turn_deg(thinned.track_deg, heading)))
        over = np.maximum(0.0, off - grammar.HEADING_SLACK_DEG) / grammar.HEADING_DEG
        return _turning_to(heading, grammar.VECTORS_SAID + np.minimum(grammar.BEARING_CAP, 0.5 * over**2), thinned)
    if course is None:
        return np.full(len(thinned.time_s), grammar.VECTORS_SAID)
    off = np.abs(np.nan_to_num(turn_deg(thinned.track_deg, course))) / grammar.TRACK_ANGLE_DEG
    return _turning_to(course, grammar.DIRECT_BASE + np.minimum(grammar.BEARING_CAP, 0.5 * off**2), thinned)


def _bearing_cost(fix: Fix, thinned: Thinned, bearings: dict[str, FloatArray]) -> FloatArray:
    known = bearings.get(fix.ident)
    if known is None:
        away, bearing, _ = inverse(thinned.lat_deg, thinned.lon_deg, fix.lat_deg, fix.lon_deg)
        off = np.abs(np.nan_to_num(turn_deg(bearing, thinned.track_deg)))
        slack = np.degrees(np.arctan2(grammar.BEARING_SLACK_NM, away))
        known = np.minimum(grammar.BEARING_CAP, 0.5 * (np.maximum(0.0, off - slack) / grammar.BEARING_DEG) ** 2)
        bearings[fix.ident] = known
    return known


def _none_cost(thinned: Thinned, fields: tuple[Field, ...]) -> FloatArray:
    cost = np.full(len(thinned.time_s), grammar.NONE_ELSEWHERE)
    for field in fields:
        away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, field.lat_deg, field.lon_deg)
        ceiling = (field.elevation_ft or 0.0) + grammar.PATTERN_FT
        low = ~(thinned.altitude_ft > ceiling)
        cost[(away <= grammar.PATTERN_NM) & low] = grammar.NONE_PATTERN
    grounded = np.where(thinned.on_ground, thinned.flown_s, -np.inf)
    since = thinned.flown_s - np.maximum.accumulate(grounded)
    cost[since <= grammar.CLIMB_OUT_S] = grammar.NONE_CLIMB_OUT
    return cost
