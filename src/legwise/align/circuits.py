"""The circuits of a hold, from fix to fix, with the times of their legs."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from legwise.align.about_fix import About, at_moment, seen_through, turn_end, turn_start
from legwise.model.manoeuvres import FlownCircuit


def circuits_of(about: About, passages: list[float]) -> tuple[FlownCircuit, ...]:
    """One circuit between each two passages of the fix."""
    return tuple(_circuit(about, start, end) for start, end in pairwise(passages))


def _circuit(about: About, start: float, end: float) -> FlownCircuit:
    flight = about.flight
    turns = inbound_turn(about, start, end)
    outbound_s = inbound_s = None
    inbound = None
    if turns is not None:
        turn_in, level_in = turns
        begun = outbound_from(about, start, turn_in)
        if seen_through(flight, begun - 1.0, turn_in + 1.0):
            outbound_s = _flown_s(about, begun, turn_in)
        if seen_through(flight, level_in - 1.0, end + 1.0):
            inbound_s = _flown_s(about, level_in, end)
        first, stop = math.ceil(level_in), math.floor(end) + 1
        inbound = (first, stop) if first < stop else None
    return FlownCircuit(
        start_s=at_moment(flight.time_s, start),
        end_s=at_moment(flight.time_s, end),
        outbound_s=outbound_s,
        inbound_s=inbound_s,
        inbound=inbound,
    )


def _flown_s(about: About, start: float, end: float) -> float:
    """From one moment to the other; 0 where there was nothing between them."""
    clock_s = about.flight.flown_s
    return max(0.0, at_moment(clock_s, end) - at_moment(clock_s, start))


def outbound_from(about: About, start: float, end: float) -> float:
    """From when an outbound leg counts: abeam the fix or wings level, whichever is later; ``end`` where neither was."""
    flight, low = about.flight, about.low
    here = slice(math.ceil(start) - low, max(math.ceil(start), math.floor(end) + 1) - low)
    level = np.flatnonzero(about.is_outbound[here] & ~about.turning[here])
    if not level.size:
        return end
    begun = turn_end(flight, math.ceil(start) + int(level[0]))
    along = about.along_nm[here]
    back = np.flatnonzero((along[:-1] >= 0.0) & (along[1:] < 0.0))
    if back.size:
        place = int(back[0])
        share = float(along[place] / (along[place] - along[place + 1]))
        begun = max(begun, math.ceil(start) + place + share)
    return begun


def inbound_turn(about: About, start: float, end: float) -> tuple[float, float] | None:
    """Where the turn inbound begins and where it ends, wings level within 45 degrees of the inbound course.

    It ends at ``end`` where the wings are not level before that. None where the aircraft was never outbound.
    """
    flight, low = about.flight, about.low
    first, stop = math.ceil(start) - low, math.floor(end) + 1 - low
    outbound = np.flatnonzero(about.is_outbound[first:stop])
    if not outbound.size:
        return None
    last = first + int(outbound[-1])
    begun = float(low + last)
    turn = next((turn for turn in flight.turns if turn.stop > low + last and turn.start < low + stop), None)
    # A turn too gentle to count as one begins where the outbound course is left.
    if turn is not None and (turn.start <= low + last + 1 or abs(about.off_deg[turn.start - low]) > 90.0):
        begun = max(start, turn_start(flight, turn))
    level = np.flatnonzero(about.is_inbound[last:stop] & ~about.turning[last:stop])
    ended = turn_end(flight, low + last + int(level[0])) if level.size else end
    return begun, min(max(ended, begun), end)
