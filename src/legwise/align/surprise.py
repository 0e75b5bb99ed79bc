"""How badly each state explains each moment: the costs of :mod:`legwise.align.grammar` over the thinned track."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.align import grammar
from legwise.align.airborne import Field
from legwise.align.states import GROUND, NONE, VECTORS, Kind, State
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


def surprise_of(states: Sequence[State], thinned: Thinned, fields: tuple[Field, ...], *, has_legs: bool) -> FloatArray:
    """Cost of every state at every moment, shape (m, states), already weighted with the time each moment stands for.

    On the ground only GROUND is possible, in the air everything else.
    """
    cost = np.zeros((len(thinned.time_s), len(states)))
    bearings: dict[str, FloatArray] = {}
    for place, state in enumerate(states):
        if state.kind is Kind.LEG and state.leg is not None:
            cost[:, place] = _leg_cost(state.leg, thinned, bearings)
        elif state.kind is Kind.DIRECT and state.fix is not None:
            cost[:, place] = grammar.DIRECT_BASE + _bearing_cost(state.fix, thinned, bearings)
        elif state.kind is Kind.HOLD and state.fix is not None:
            away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, state.fix.lat_deg, state.fix.lon_deg)
            cost[:, place] = np.where(away <= grammar.HOLD_NM, grammar.HOLD_BASE, grammar.HOLD_AWAY)
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
        if fix is None or state.kind is Kind.HOLD:
            continue
        to_go, bearing, _ = inverse(thinned.lat_deg, thinned.lon_deg, fix.lat_deg, fix.lon_deg)
        if state.leg is not None and state.leg.path is not None:
            # Abeam the fix will do, however far off: along the course at the end.
            ahead = turn_deg(state.leg.path.end_course_deg_true, bearing)
            to_go = to_go * np.cos(np.radians(ahead))
        early = np.maximum(0.0, to_go - grammar.GATE_SLACK_NM) / grammar.GATE_NM
        gate[:, place] = np.minimum(grammar.GATE_CAP, 0.5 * early**2)
    return gate


def heading_cost(thinned: Thinned, heading_deg_true: float, base: float) -> FloatArray:
    """Cost of vectors while a heading is in force (NaN: not known), shape (m,), weighted."""
    off = np.zeros(len(thinned.time_s))
    if np.isfinite(heading_deg_true):
        turn = np.abs(np.nan_to_num(turn_deg(thinned.track_deg, heading_deg_true)))
        off = np.maximum(0.0, turn - grammar.HEADING_SLACK_DEG) / grammar.HEADING_DEG
    return np.asarray((base + np.minimum(grammar.HEADING_CAP, 0.5 * off**2)) * thinned.weight)


def _leg_cost(leg: Leg, thinned: Thinned, bearings: dict[str, FloatArray]) -> FloatArray:
    cost = np.full(len(thinned.time_s), _FAR)
    if leg.to_fix is None:
        return cost
    if leg.path is None:
        return grammar.DIRECT_BASE + _bearing_cost(leg.to_fix, thinned, bearings)
    away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, leg.to_fix.lat_deg, leg.to_fix.lon_deg)
    length = leg.path.length_nm
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
    outside = np.maximum(-place.to_go_nm, place.to_go_nm - length) - grammar.BEYOND_SLACK_NM
    beyond = np.minimum(grammar.BEYOND_CAP, 0.5 * (np.maximum(0.0, outside) / grammar.BEYOND_NM) ** 2)
    cost[near] = offset + np.minimum(grammar.ANGLE_CAP, 0.5 * angle**2) + beyond
    return cost


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
