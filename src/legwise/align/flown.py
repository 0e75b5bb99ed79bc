"""The stretches as legs flown: identity, path owed, and the codes of guidance and leg for every sample."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from legwise.align.flight import Flight, Stretch, variation_deg
from legwise.align.states import HOLDS, TURNED_BACK, Kind, State
from legwise.geodesy import begun_at, inverse, line_between, turn_deg, wrap_360
from legwise.model.alignment import GUIDANCE_CODE, FlownLeg, Guidance
from legwise.model.arrays import FloatArray, IntArray
from legwise.model.lesson import PathTerminator
from legwise.model.plan import Fix, Leg, LegPart, Path

BIG_TURN_DEG = 45.0
"""A receiver draws a direct from the present position on the present track: after a bigger turn its course is the one
from the roll-out. Common practice, no published source."""
ON_COURSE_DEG = 5.0
FROM_ANYWHERE = ("CA", "CD", "CI", "CR")
"""Legs that owe a course from wherever the aircraft is."""


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
    if state.leg is not None and state.leg.kind in HOLDS:
        return Guidance.HOLD
    if stretch.missed or state.part is LegPart.MISSED:
        return Guidance.MISSED
    if state.leg is not None and state.leg.kind in ("PI", "AF"):
        return Guidance.PROCEDURE_TURN if state.leg.kind == "PI" else Guidance.ARC
    return {
        Kind.NONE: Guidance.NONE,
        Kind.VECTORS: Guidance.VECTORS,
        Kind.LEG: Guidance.LEG,
        Kind.DIRECT: Guidance.DIRECT,
        Kind.HOLD: Guidance.HOLD,
    }[state.kind]


def _direct(flight: Flight, stretch: Stretch, name: str, fix: Fix) -> FlownLeg:
    """A direct: its path from where the turn toward the fix begins, or from the roll-out of a big turn."""
    rolled_out = rolled_out_to(flight, stretch, fix)
    origin = min(rolled_out, stretch.stop - 1)
    lat, lon = flight.position(origin)
    path = line_between(lat, lon, fix.lat_deg, fix.lon_deg)
    return _begun(flight, stretch, name, "DF", path, rolled_out, to_ident=fix.ident)


def _from_anywhere(flight: Flight, stretch: Stretch, name: str, leg: Leg, following: Path | None) -> FlownLeg:
    """A course from wherever the aircraft is: from where the turn to it begins, or from the roll-out of a big turn.

    On a heading leg no path is owed.
    """
    rolled_out = rolled_out_to(flight, stretch, leg.course_deg_true)
    lat, lon = flight.position(min(rolled_out, stretch.stop - 1))
    path = begun_at(leg, lat, lon, following=following) if leg.kind in FROM_ANYWHERE else None
    flown = _begun(flight, stretch, name, leg.kind, path, rolled_out, to_ident=leg.end_ident)
    return replace(flown, course_deg_true=leg.course_deg_true, course_deg_mag=leg.course_deg_mag)


def _begun(
    flight: Flight,
    stretch: Stretch,
    name: str,
    kind: PathTerminator,
    path: Path | None,
    rolled_out: int,
    *,
    to_ident: str,
) -> FlownLeg:
    origin = min(rolled_out, stretch.stop - 1)
    course = path.start_course_deg_true if path is not None else None
    return FlownLeg(
        id=name,
        kind=kind,
        from_ident="",
        to_ident=to_ident,
        path=path,
        course_deg_true=course,
        course_deg_mag=_magnetic(course, *flight.position(origin), float(flight.time_s[origin])),
        distance_nm=path.length_nm if path is not None and np.isfinite(path.length_nm) else None,
        start=stretch.start,
        stop=stretch.stop,
        planned=None,
        approach=None,
        judged_from=rolled_out if rolled_out > stretch.start else None,
    )


def rolled_out_to(flight: Flight, stretch: Stretch, target: Fix | float | None) -> int:
    """The first sample on course for a fix, or on a course [deg true], where the turn to it is 45 degrees or more, else
    the first of all.

    ``stretch.stop`` where the aircraft never turned to it.
    """
    here = slice(stretch.start, stretch.stop)
    samples = flight.track.samples
    goal: FloatArray | float
    if isinstance(target, Fix):
        _, goal, _ = inverse(samples.lat_deg[here], samples.lon_deg[here], target.lat_deg, target.lon_deg)
    elif target is None:
        return stretch.start
    else:
        goal = target
    off = np.abs(turn_deg(flight.track.motion.track_deg_true[here], goal))
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
    if leg.kind == "DF" and leg.to_fix is not None:
        direct = _direct(flight, stretch, name, leg.to_fix)
        return replace(direct, planned=leg, approach=leg.approach)
    if leg.path is None and leg.kind not in TURNED_BACK:
        begun = _from_anywhere(flight, stretch, name, leg, _path_after(flight, state))
        return replace(begun, planned=leg, approach=leg.approach)
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


def _path_after(flight: Flight, state: State) -> Path | None:
    """The path of the leg owed after one, where it is in the same part of the plan; None where it has none."""
    for other in flight.states:
        if other.owed == state.owed + 1 and other.leg is not None and other.part is state.part:
            return other.leg.path
    return None


def _magnetic(course_deg_true: float | None, lat_deg: float, lon_deg: float, time_s: float) -> float | None:
    if course_deg_true is None:
        return None
    variation = variation_deg(lat_deg, lon_deg, time_s)
    return float(wrap_360(course_deg_true - variation)) if np.isfinite(variation) else None
