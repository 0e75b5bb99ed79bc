"""What a hold was to be: its inbound course and the side of its turns, said, published, or read from the track."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from legwise.align.about_fix import closest, filled
from legwise.align.flight import Flight, Stretch, variation_deg
from legwise.align.runs import runs_of
from legwise.geodesy import inverse, mean_direction_deg, turn_deg, wrap_360
from legwise.model.lesson import HoldInstruction, Turn
from legwise.model.plan import Fix, Hold, Leg

SAME_COURSE_DEG = 5.0
"""A course said within this of the published one is the published one: what is said is rounded. Our choice."""
_NEAR_NM = 1.0
_BEFORE_S, _UNTIL_S = 30.0, 3.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HoldTerms:
    """Fix, inbound course and side of a hold, where they come from, and what was taken for granted ("": nothing)."""

    fix: Fix
    inbound_deg_true: float
    inbound_deg_mag: float | None
    turn: Turn
    taken_from: Literal["said", "published", "flown"]
    planned: Leg | None = None
    note: str = ""


def terms_of_leg(leg: Leg) -> HoldTerms | None:
    """The terms of a hold of the plan; None for a leg that is none."""
    if leg.hold is None:
        return None
    return HoldTerms(
        fix=leg.hold.fix,
        inbound_deg_true=leg.hold.inbound_course_deg_true,
        inbound_deg_mag=leg.hold.inbound_course_deg_mag,
        turn=leg.hold.turn,
        taken_from="published",
        planned=leg,
    )


def terms_said(flight: Flight, fix: Fix, stretch: Stretch) -> HoldTerms | None:
    """The terms of a hold that was said: each said, else published at that fix, else flown.

    None where it was said with its fix alone, none is published there, and it was not flown round once.
    """
    said = _said(flight, fix, stretch.epoch)
    course = _said_course(flight, fix, said, stretch)
    published = _published(flight, fix, course[0] if course is not None else None)
    turn = said.turn if said is not None else None
    if course is not None:
        note = ""
        if turn is None and published is None:
            note = f"The hold at {fix.ident} was said without a side: right turns, the standard, were taken."
        return HoldTerms(
            fix=fix,
            inbound_deg_true=course[0],
            inbound_deg_mag=course[1],
            turn=turn or (published.turn if published is not None else "right"),
            taken_from="said",
            note=note,
        )
    if published is not None:
        return HoldTerms(
            fix=fix,
            inbound_deg_true=published.inbound_course_deg_true,
            inbound_deg_mag=published.inbound_course_deg_mag,
            turn=turn or published.turn,
            taken_from="published",
        )
    return _flown(flight, fix, stretch, turn)


def _said(flight: Flight, fix: Fix, epoch: int) -> HoldInstruction | None:
    """The last hold at a fix that was said up to an epoch."""
    for place in range(epoch, -1, -1):
        index = flight.epochs[place].said
        hold = flight.said[index].clearance.hold if index >= 0 else None
        if hold is not None and hold.fix == fix.ident:
            return hold
    return None


def _said_course(
    flight: Flight, fix: Fix, said: HoldInstruction | None, stretch: Stretch
) -> tuple[float, float | None] | None:
    """The inbound course said: true, and magnetic where a variation is known (or it was said so)."""
    if said is None:
        return None
    variation = _variation_deg(flight, fix, stretch)
    if said.inbound_course_deg_true is not None:
        return said.inbound_course_deg_true, _magnetic(said.inbound_course_deg_true, variation)
    if said.inbound_course_deg_mag is None or not np.isfinite(variation):
        return None
    return float(wrap_360(said.inbound_course_deg_mag + variation)), said.inbound_course_deg_mag


def _variation_deg(flight: Flight, fix: Fix, stretch: Stretch) -> float:
    """The station's own variation, else the model's at the fix; NaN where none covers the date."""
    if fix.variation_deg is not None:
        return fix.variation_deg
    return variation_deg(fix.lat_deg, fix.lon_deg, float(flight.time_s[stretch.start]))


def _magnetic(true_deg: float, variation: float) -> float | None:
    return float(wrap_360(true_deg - variation)) if np.isfinite(variation) else None


def _published(flight: Flight, fix: Fix, course: float | None) -> Hold | None:
    """The hold of the plan at a fix; with a course said, only one on that course."""
    legs = list(flight.plan.route)
    for approach in flight.plan.approaches:
        legs += [*approach.legs, *approach.missed]
    for leg in legs:
        if leg.hold is None or leg.hold.fix.ident != fix.ident:
            continue
        if course is None or abs(float(turn_deg(course, leg.hold.inbound_course_deg_true))) <= SAME_COURSE_DEG:
            return leg.hold
    return None


def _flown(flight: Flight, fix: Fix, stretch: Stretch, turn: Turn | None) -> HoldTerms | None:
    """Inbound course and side from the track: where it led over the fix again, and which way it went round."""
    samples, here = flight.track.samples, slice(stretch.start, stretch.stop)
    away, _, _ = inverse(samples.lat_deg[here], samples.lon_deg[here], fix.lat_deg, fix.lon_deg)
    clock_s, track = flight.flown_s[here], flight.track.motion.track_deg_true[here]
    if not (away <= _NEAR_NM).any():
        return None
    over = [start + closest(away[start:stop]) for start, stop in runs_of(away <= _NEAR_NM)]
    tracks = [
        track[(clock_s >= clock_s[place] - _BEFORE_S) & (clock_s <= clock_s[place] - _UNTIL_S)] for place in over[1:]
    ]
    if not tracks:
        return None
    course = mean_direction_deg(np.concatenate(tracks))
    steps = turn_deg(filled(track)[:-1], filled(track)[1:])
    if not np.isfinite(course):
        return None
    flown: Turn = "right" if float(steps.sum()) > 0.0 else "left"
    return HoldTerms(
        fix=fix,
        inbound_deg_true=course,
        inbound_deg_mag=_magnetic(course, _variation_deg(flight, fix, stretch)),
        turn=turn or flown,
        taken_from="flown",
        note=f"The hold at {fix.ident} was said by its fix alone and none is published in the plan: its inbound course "
        f"({course:.0f}° true) and side are those flown.",
    )
