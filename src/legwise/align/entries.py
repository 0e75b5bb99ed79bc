"""Which entry to a hold was flown: told from the track after the first passage of its fix."""

from __future__ import annotations

import math

import numpy as np

from legwise.align.about_fix import About, seen_through
from legwise.geodesy import hold_entry, mean_direction_deg, turn_deg, wrap_360
from legwise.model.arrays import FloatArray
from legwise.model.lesson import Turn
from legwise.model.manoeuvres import HoldEntryName

ROUND_DEG = 110.0
"""Nobody turns this far toward the holding side to fly a teardrop: its first turn is 40 degrees at most."""
HALFWAY_DEG = 15.0
"""Halfway between the outbound tracks of a direct entry (the outbound course) and of a teardrop (30 degrees off it, FAA
AIM 5-3-8 j3)."""
_DRIFT_DEG = 7.0
"""How much the drift may move that where only one of the two entries fits the arrival. Our choice."""
_ARRIVAL_S, _TURNS_IN_S = 15.0, 3.0


def arrival_deg_true(about: About, passed: float) -> float | None:
    """The track on arrival at the fix, the mean over the 12 s that end 3 s before it; None where none is known."""
    flight = about.flight
    clock_s, sample = flight.flown_s, math.floor(passed)
    first = max(flight.part(sample)[0], about.low)
    here = np.arange(first, sample + 1)
    before_s = clock_s[sample] - clock_s[here]
    for near in (before_s >= _TURNS_IN_S, before_s >= 0.0):
        tracks = flight.track.motion.track_deg_true[here[near & (before_s <= _ARRIVAL_S)]]
        tracks = tracks[np.isfinite(tracks)]
        if tracks.size:
            return float(mean_direction_deg(tracks))
    return None


def entry_flown(
    about: About, turn: Turn, inbound_deg_true: float, passed: float, back: float | None
) -> HoldEntryName | None:
    """The entry flown between the first passage of the fix and the next inbound (or the end of the stretch).

    From the outbound course the way round to the inbound one is away from the holding side in a parallel entry, and
    toward it in the two others. Those differ in the first turn and the outbound track. None where a gap hides it, or
    it was broken off before it showed.
    """
    side = 1.0 if turn == "right" else -1.0
    arrival = arrival_deg_true(about, passed)
    end = back if back is not None else about.low + len(about) - 1.0
    here = slice(math.ceil(passed) - about.low, math.floor(end) + 1 - about.low)
    outbound = np.flatnonzero(about.is_outbound[here])
    if arrival is None or not outbound.size or not seen_through(about.flight, passed, end):
        return None
    level = np.flatnonzero(about.is_outbound[here] & ~about.turning[here])
    leg = level if level.size else outbound
    turned = side * _turned_deg(arrival, inbound_deg_true + about.off_deg[here])
    first_turn = float(np.median(turned[leg]))
    # Toward the holding side of the outbound course positive.
    aside = float(np.median(-side * turn_deg(180.0, about.off_deg[here][leg])))
    acceptable = hold_entry(inbound_deg_true, turn, arrival).acceptable
    turned_back = float(turned[-1]) < (0.0 if back is not None else first_turn - 90.0)
    if turned_back:
        return "parallel"
    if first_turn < ROUND_DEG and aside >= _halfway_deg(acceptable):
        return "teardrop"
    # Broken off outbound: a parallel entry and a direct one do not differ yet but by the arrival.
    unfinished = back is None and first_turn < ROUND_DEG and "parallel" in acceptable
    return "parallel" if unfinished else "direct"


def _halfway_deg(acceptable: tuple[HoldEntryName, ...]) -> float:
    """From how far off the outbound course on it is a teardrop, by which entries fit the arrival. [deg]"""
    if "direct" in acceptable and "teardrop" not in acceptable:
        return HALFWAY_DEG + _DRIFT_DEG
    if "teardrop" in acceptable and "direct" not in acceptable:
        return HALFWAY_DEG - _DRIFT_DEG
    return HALFWAY_DEG


def _turned_deg(arrival: float, track_deg: FloatArray) -> FloatArray:
    """How far the aircraft has turned since the arrival, right positive, whole turns counted. [deg]"""
    tracks = np.concatenate(([arrival], wrap_360(track_deg)))
    return np.asarray(np.cumsum(turn_deg(tracks[:-1], tracks[1:])))
