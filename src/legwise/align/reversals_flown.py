"""The course reversals of a flight: where each began, on which side it was flown, when it led back to the course."""

from __future__ import annotations

import numpy as np

from legwise.align.about_fix import about_fix, at_moment, passage_at
from legwise.align.established import established_from, inbound_course_of
from legwise.align.flight import Flight
from legwise.geodesy import inverse
from legwise.model.alignment import FlownLeg
from legwise.model.lesson import Turn
from legwise.model.manoeuvres import FlownReversal, ReversalKind
from legwise.model.plan import Leg, LegPart

_OVER_NM = 2.0


def flown_reversals(flight: Flight, legs: tuple[FlownLeg, ...]) -> tuple[FlownReversal, ...]:
    """Every procedure turn, base turn and racetrack, and every hold in lieu of one, in the order flown."""
    found = []
    for place, leg in enumerate(legs):
        if leg.planned is not None and _kind(leg.planned) is not None:
            found.append(_reversal(flight, legs, place, leg.planned))
    return tuple(item for item in found if item is not None)


def _kind(leg: Leg) -> ReversalKind | None:
    if leg.reversal is not None:
        return leg.reversal.kind
    # A hold once round on an approach stands in for a procedure turn (ARINC 424, HF).
    return "hold-in-lieu" if leg.kind == "HF" and leg.part is LegPart.APPROACH else None


def _reversal(flight: Flight, legs: tuple[FlownLeg, ...], place: int, leg: Leg) -> FlownReversal | None:
    kind, back, flown = _kind(leg), inbound_course_of(leg), legs[place]
    if kind is None or back is None:
        return None
    fix = back[0]
    high = _until(flight, legs, place)
    established = established_from(flight, leg, flown.start, high)
    stop = established if established is not None and kind != "hold-in-lieu" else flown.stop
    away, _, _ = inverse(*flight.position(flown.start), fix.lat_deg, fix.lon_deg)
    start = passage_at(flight, fix, flown.start) if float(away) <= _OVER_NM else float(flown.start)
    return FlownReversal(
        fix=fix,
        kind=kind,
        side=_side(flight, leg, flown.start, max(stop, flown.start + 1)),
        start_s=at_moment(flight.time_s, start),
        established_s=float(flight.time_s[established]) if established is not None else None,
        start=flown.start,
        stop=max(stop, flown.start + 1),
        planned=leg,
    )


def _until(flight: Flight, legs: tuple[FlownLeg, ...], place: int) -> int:
    """To the end of the leg that leads back to the fix of a reversal, where that was flown right after it."""
    leg, stop = legs[place], legs[place].stop
    following = legs[place + 1] if place + 1 < len(legs) else None
    goes_on = following is not None and following.start == stop and not flight.begins_part(stop)
    if following is not None and goes_on and following.approach == leg.approach:
        return following.stop
    return stop


def _side(flight: Flight, leg: Leg, start: int, stop: int) -> Turn:
    """The side of the outbound course on which the aircraft was farthest off it; of a hold, the side of its turns."""
    reversal = leg.reversal
    if reversal is None or reversal.kind == "racetrack":
        owed = reversal.turn if reversal is not None else leg.hold.turn if leg.hold is not None else None
        return owed or "right"
    about = about_fix(flight, reversal.fix, reversal.outbound_course_deg_true + 180.0, start, stop)
    farthest = float(about.cross_nm[int(np.argmax(np.abs(about.cross_nm)))])
    # Right of the course back is left of the course out.
    return "right" if farthest < 0.0 else "left"
