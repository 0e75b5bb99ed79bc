"""The stretches as legs flown: identity, path owed, and the codes of guidance and leg for every sample."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from legwise.align.flight import Flight, Stretch, variation_deg
from legwise.align.states import Kind, State
from legwise.geodesy import inverse, line_between, turn_deg, wrap_360
from legwise.model.alignment import GUIDANCE_CODE, FlownLeg, Guidance
from legwise.model.arrays import IntArray
from legwise.model.plan import Fix, LegPart

BIG_TURN_DEG = 45.0
"""A receiver draws a direct from the present position on the present track: after a bigger turn its course is the one
from the roll-out. Common practice, no published source."""
ON_COURSE_DEG = 5.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownLegs:
    """``legs`` in the order flown, ``of_stretch`` the index of each stretch's leg (-1: none), and codes of shape
    (n,)."""

    legs: tuple[FlownLeg, ...]
    of_stretch: tuple[int, ...]
    leg: IntArray
    guidance: IntArray


def flown_legs(flight: Flight, stretches: list[Stretch]) -> FlownLegs:
    """Make the legs and fill the codes."""
    legs: list[FlownLeg] = []
    of_stretch: list[int] = []
    leg_code = np.full(len(flight.track), -1, dtype=np.int64)
    guidance = np.full(len(flight.track), GUIDANCE_CODE[Guidance.NONE], dtype=np.int64)
    names: dict[str, int] = {}
    directs = 0
    for stretch in stretches:
        state = flight.states[stretch.state]
        here = slice(stretch.start, stretch.stop)
        guidance[here] = GUIDANCE_CODE[_guidance(state, stretch)]
        flown: FlownLeg | None = None
        before = legs[-1] if legs and legs[-1].stop == stretch.start and of_stretch[-1] == len(legs) - 1 else None
        if before is not None and _goes_on(flight, before, stretch, state):
            legs[-1] = replace(before, stop=stretch.stop)
            of_stretch.append(len(legs) - 1)
            leg_code[here] = len(legs) - 1
            continue
        if state.kind is Kind.DIRECT and state.fix is not None:
            directs += 1
            flown = _direct(flight, stretch, f"D{directs}", state.fix)
        elif state.kind is Kind.LEG and state.leg is not None:
            times = names[state.leg.id] = names.get(state.leg.id, 0) + 1
            flown = _planned(flight, stretch, state.leg.id if times == 1 else f"{state.leg.id}-{times}", state)
        if flown is None:
            of_stretch.append(-1)
            continue
        legs.append(flown)
        of_stretch.append(len(legs) - 1)
        leg_code[here] = len(legs) - 1
    return FlownLegs(legs=tuple(legs), of_stretch=tuple(of_stretch), leg=leg_code, guidance=guidance)


def _goes_on(flight: Flight, before: FlownLeg, stretch: Stretch, state: State) -> bool:
    """The same leg or direct in two epochs: something was said that left it as it was."""
    if flight.begins_part(stretch.start):
        return False
    if state.kind is Kind.LEG:
        return before.planned is not None and before.planned is state.leg
    if state.kind is not Kind.DIRECT or state.fix is None or flight.epochs[stretch.epoch].kind == "direct":
        return False
    return before.planned is None and before.to_ident == state.fix.ident


def _guidance(state: State, stretch: Stretch) -> Guidance:
    if state.kind is Kind.GROUND:
        return Guidance.NONE
    if stretch.missed or state.part is LegPart.MISSED:
        return Guidance.MISSED
    return {
        Kind.NONE: Guidance.NONE,
        Kind.VECTORS: Guidance.VECTORS,
        Kind.LEG: Guidance.LEG,
        Kind.DIRECT: Guidance.DIRECT,
        Kind.HOLD: Guidance.HOLD,
    }[state.kind]


def _direct(flight: Flight, stretch: Stretch, name: str, fix: Fix) -> FlownLeg:
    """A direct: its path from where the turn toward the fix begins, or from the roll-out of a big turn."""
    rolled_out = _rolled_out(flight, stretch, fix)
    origin = min(rolled_out, stretch.stop - 1)
    lat, lon = flight.position(origin)
    path = line_between(lat, lon, fix.lat_deg, fix.lon_deg)
    course = path.start_course_deg_true if path is not None else None
    return FlownLeg(
        id=name,
        kind="DF",
        from_ident="",
        to_ident=fix.ident,
        path=path,
        course_deg_true=course,
        course_deg_mag=_magnetic(course, lat, lon, float(flight.time_s[origin])),
        distance_nm=path.length_nm if path is not None else None,
        start=stretch.start,
        stop=stretch.stop,
        planned=None,
        approach=None,
        judged_from=rolled_out if rolled_out > stretch.start else None,
    )


def _rolled_out(flight: Flight, stretch: Stretch, fix: Fix) -> int:
    """The first sample on course for the fix where the turn to it is 45 degrees or more, else the first of all.

    ``stretch.stop`` where the aircraft never turned to it.
    """
    here = slice(stretch.start, stretch.stop)
    samples = flight.track.samples
    _, bearing, _ = inverse(samples.lat_deg[here], samples.lon_deg[here], fix.lat_deg, fix.lon_deg)
    off = np.abs(turn_deg(flight.track.motion.track_deg_true[here], bearing))
    first = np.flatnonzero(np.isfinite(off))
    if not first.size:
        return stretch.start
    if off[first[0]] < BIG_TURN_DEG:
        return stretch.start
    on = np.flatnonzero(off <= ON_COURSE_DEG)
    if on.size:
        return stretch.start + int(on[0])
    ends = [turn.stop for turn in flight.turns if turn.start < stretch.stop and turn.stop > stretch.start]
    return min(ends[0], stretch.stop) if ends else stretch.stop


def _planned(flight: Flight, stretch: Stretch, name: str, state: State) -> FlownLeg | None:
    leg = state.leg
    if leg is None:
        return None
    if leg.path is None and leg.to_fix is not None:
        direct = _direct(flight, stretch, name, leg.to_fix)
        return replace(direct, planned=leg, approach=leg.approach)
    return FlownLeg(
        id=name,
        kind=leg.kind,
        from_ident=leg.from_fix.ident if leg.from_fix is not None else "",
        to_ident=leg.end_ident,
        path=leg.path,
        course_deg_true=leg.course_deg_true,
        course_deg_mag=leg.course_deg_mag,
        distance_nm=leg.distance_nm,
        start=stretch.start,
        stop=stretch.stop,
        planned=leg,
        approach=leg.approach,
        joined_part_way=stretch.part_way,
    )


def _magnetic(course_deg_true: float | None, lat_deg: float, lon_deg: float, time_s: float) -> float | None:
    if course_deg_true is None:
        return None
    variation = variation_deg(lat_deg, lon_deg, time_s)
    return float(wrap_360(course_deg_true - variation)) if np.isfinite(variation) else None
