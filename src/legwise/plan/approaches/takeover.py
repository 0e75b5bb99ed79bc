"""Where an approach takes over from the route, and by which transition it is flown from there."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.model.lesson import LessonApproach
from legwise.model.navdata import NavData, ProcedureKind
from legwise.model.plan import Fix, Leg, PlannedApproach
from legwise.plan.fixes.places import SAME_PLACE_NM, distance_nm


def with_transition(
    approach: LessonApproach, points: Sequence[Fix], navdata: NavData | None
) -> tuple[LessonApproach, tuple[str, ...]]:
    """An approach that names no transition with the one that begins at the last of the route's points that has one,
    and a note; itself where it is written out, names one, or no point has.
    """
    if approach.procedure is None or approach.transition is not None or approach.leg or navdata is None:
        return approach, ()
    procedure = navdata.procedure(approach.airport, approach.procedure, ProcedureKind.APPROACH)
    transitions = set(procedure.transitions()) if procedure is not None else set()
    begins = next((fix.ident for fix in reversed(points) if fix.ident in transitions), None)
    if begins is None:
        return approach, ()
    note = f"{approach.procedure}: the transition from {begins} was taken, since the route leads there."
    return approach.model_copy(update={"transition": begins}), (note,)


def without_what_the_approach_owes(
    legs: Sequence[Leg], destination: Fix | None, approaches: Sequence[PlannedApproach]
) -> tuple[tuple[Leg, ...], tuple[str, ...]]:
    """The route's legs as far as an approach does not take over, and a note where one does.

    An approach takes over at its first fix that is on the route, where all that follows on the route belongs to it: its
    fixes, its runway, its aerodrome, and legs that air traffic control ends. Approaches to ``destination``, the route's
    last point, come first.
    """
    last = destination.ident if destination is not None else ""
    for approach in sorted(approaches, key=lambda item: last not in _ends_of(item)):
        taken_over = _taken_over(legs, approach)
        if taken_over is not None:
            ident, number = taken_over
            rest = legs[-1].end_ident or last
            note = f"From {ident} on the approach ({approach.title}) is owed, not the route to {rest}."
            return tuple(legs[:number]), (note,)
    return tuple(legs), ()


def _taken_over(legs: Sequence[Leg], approach: PlannedApproach) -> tuple[str, int] | None:
    """The fix where an approach takes over, and how many of the legs are the route's still; None where it does not."""
    fixes = {leg.to_fix.ident: leg.to_fix for leg in reversed(approach.legs) if leg.to_fix is not None}
    owed = {*fixes, *_ends_of(approach)}
    for leg in approach.legs:
        fix = leg.to_fix
        if fix is None:
            continue
        led_to = [number for number, item in enumerate(legs, start=1) if _is(item.to_fix, fix)]
        if not led_to and not (legs and _is(legs[0].from_fix, fix)):
            continue
        number = led_to[-1] if led_to else 0
        rest = legs[number:]
        if not rest or any(item.end_ident not in owed for item in rest if item.to_fix is not None):
            return None
        return fix.ident, number
    return None


def _is(one: Fix | None, other: Fix) -> bool:
    """Whether two fixes are one: the same ident at the same place."""
    return one is not None and one.ident == other.ident and distance_nm(one, other) < SAME_PLACE_NM


def _ends_of(approach: PlannedApproach) -> set[str]:
    return {approach.airport, approach.runway.ident} if approach.runway is not None else {approach.airport}
