"""The turn at the end of each leg: how far, which way, over the fix or before it, and how long before."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.fly_by_bands import fly_by_band
from legwise.geodesy.turns import MAX_TURN_DEG, MIN_TURN_DEG
from legwise.model.briefing import PlannedTurn
from legwise.model.plan import Leg, Plan

_HOLDS: Final = ("HA", "HF", "HM")


def joined_legs(plan: Plan) -> Iterator[tuple[Leg, Leg]]:
    """Each leg with the one after it: along the route, on into the first approach, and into each missed approach."""
    yield from itertools.pairwise(plan.route)
    for number, approach in enumerate(plan.approaches):
        legs = list(approach.legs)
        if number == 0 and plan.route and legs and _meets(plan.route[-1], legs[0]):
            legs = [plan.route[-1], *(legs[1:] if legs[0].kind == "IF" else legs)]
        yield from itertools.pairwise((*legs, *approach.missed))


def _meets(last: Leg, first: Leg) -> bool:
    start = first.to_fix if first.kind == "IF" else first.from_fix
    return start is not None and start.ident == last.end_ident


def course_out(leg: Leg) -> float | None:
    """The course or heading on which a leg is left. [deg true]"""
    if leg.hold is not None:
        return leg.hold.inbound_course_deg_true
    if leg.reversal is not None:
        return leg.reversal.inbound_course_deg_true
    if leg.path is not None:
        return leg.path.end_course_deg_true
    return leg.course_deg_true if leg.course_deg_true is not None else leg.heading_deg_true


def _course_in(leg: Leg) -> float | None:
    """The course or heading that a leg begins with. [deg true] None for a hold, which has an entry, and a direct."""
    if leg.hold is not None or leg.kind in (*_HOLDS, "DF", "IF"):
        return None
    if leg.reversal is not None:
        return leg.reversal.outbound_course_deg_true
    if leg.path is not None and math.isfinite(leg.path.length_nm):
        return leg.path.start_course_deg_true
    return leg.course_deg_true if leg.course_deg_true is not None else leg.heading_deg_true


def turn_at_end(leg: Leg, after: Leg, groundspeed_kt: float | None) -> PlannedTurn | None:
    """The turn from ``leg`` onto ``after``; None where the flight decides either course, or ``after`` is a hold."""
    out, into = course_out(leg), _course_in(after)
    if leg.kind == "IF" or out is None or into is None or not math.isfinite(out + into):
        return None
    change = float(turn_deg(out, into))
    # The side of an arc or a reversal is that of its own curve, not of the turn onto it.
    if after.turn is not None and abs(change) >= MIN_TURN_DEG and after.kind not in ("AF", "RF", "PI"):
        change += {"right": 360.0, "left": -360.0}[after.turn] * ((change > 0) != (after.turn == "right"))
    fix = leg.end_ident or (leg.hold.fix.ident if leg.hold is not None else "")
    over = leg.fly_over or leg.hold is not None or after.reversal is not None
    at_path = leg.ends_at_fix or (leg.end is not None and leg.end.kind == "intercept")
    lead = _lead_nm(groundspeed_kt, change) if at_path and not over else (None, None, None)
    return PlannedTurn(
        turn_deg=change,
        onto=after.id,
        fix=fix,
        fly_over=over and bool(fix),
        lead_nm=lead[0],
        lead_least_nm=lead[1],
        lead_largest_nm=lead[2],
    )


def with_room_told(
    joined: Sequence[tuple[Leg, Leg]], turns: Mapping[str, PlannedTurn | None]
) -> dict[str, PlannedTurn | None]:
    """``turns``, each by the id of the leg that it ends, with those marked that have no room for their lead.

    A fly-by turn takes its lead from the leg before the fix and as much from the leg after it; what the turn at the
    other end of a leg takes is not left for it.
    """
    leads = {leg_id: turn.lead_nm or 0.0 for leg_id, turn in turns.items() if turn is not None}
    onto = {turn.onto: turn.lead_nm or 0.0 for turn in turns.values() if turn is not None}
    told = dict(turns)
    for leg, after in joined:
        turn = turns.get(leg.id)
        if turn is None or turn.lead_nm is None:
            continue
        room_nm = min(
            _length_nm(leg) - onto.get(leg.id, 0.0),
            _length_nm(after) - leads.get(after.id, 0.0),
        )
        told[leg.id] = replace(turn, no_room=turn.lead_nm > room_nm)
    return told


def _length_nm(leg: Leg) -> float:
    """How long a leg is to turn on, infinite where the flight decides. [NM]"""
    return math.inf if leg.distance_nm is None or leg.reversal is not None else leg.distance_nm


def _lead_nm(groundspeed_kt: float | None, change_deg: float) -> tuple[float | None, float | None, float | None]:
    """The lead of a fly-by turn: at 3 deg/s or 25 deg of bank, and the least and largest. [NM]"""
    if groundspeed_kt is None or not MIN_TURN_DEG <= abs(change_deg) <= MAX_TURN_DEG:
        return None, None, None
    band = fly_by_band(groundspeed_kt, change_deg)
    return band.nominal_lead_nm, band.least_lead_nm, band.largest_lead_nm
