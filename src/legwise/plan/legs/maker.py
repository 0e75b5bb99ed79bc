"""Legs of the plan from leg specs, each with the path over the ground that it fixes before the flight."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from legwise.errors import PlanError
from legwise.geodesy.angles import turn_deg
from legwise.model.lesson import PathTerminator
from legwise.model.plan import Fix, Leg, LegPart
from legwise.plan.fixes.book import FixBook
from legwise.plan.legs.arcs import arc_to_fix, long_way_words, other_way_round, radius_to_fix
from legwise.plan.legs.ground import Ground, Surroundings
from legwise.plan.legs.holds import hold_leg, procedure_turn
from legwise.plan.legs.lines import course_leg, point_or_direct, track_leg, track_to_fix
from legwise.plan.legs.open_ended import from_anywhere_leg, from_fix_leg
from legwise.plan.legs.spec import BACK_AT_FIX, TO_FIX, LegSpec
from legwise.plan.variation import Variation

_MAKERS: Mapping[PathTerminator, Callable[[LegSpec, Surroundings], Ground]] = {
    "IF": point_or_direct,
    "TF": track_leg,
    "CF": course_leg,
    "DF": point_or_direct,
    "RF": radius_to_fix,
    "AF": arc_to_fix,
    "CA": from_anywhere_leg,
    "CD": from_anywhere_leg,
    "CI": from_anywhere_leg,
    "CR": from_anywhere_leg,
    "FA": from_fix_leg,
    "FC": from_fix_leg,
    "FD": from_fix_leg,
    "FM": from_fix_leg,
    "VA": from_anywhere_leg,
    "VD": from_anywhere_leg,
    "VI": from_anywhere_leg,
    "VM": from_anywhere_leg,
    "VR": from_anywhere_leg,
    "PI": procedure_turn,
    "HA": hold_leg,
    "HF": hold_leg,
    "HM": hold_leg,
}

# An RF is tangent to the legs beside it (ARINC 424, standards sheet 11.2); idents rounded to 0.01 second and courses to
# 0.1 degree make less than a degree of it.
_TANGENT_WITHIN_DEG = 3.0
# An arc turned the wrong way meets a leg that it should run into at 180 degrees. Our choice of a bound.
_AGAINST_DEG = 150.0


@dataclass(slots=True, kw_only=True)
class LegMaker:
    """What the legs of one part of the plan have in common; ``notes`` gathers what is worth telling.

    Ids are ``prefix`` and a number from ``first`` on. ``where`` names the part in messages. ``approach`` is the index
    of the approach that the legs belong to.
    """

    part: LegPart
    prefix: str
    book: FixBook
    variation: Variation
    where: str = ""
    approach: int | None = None
    first: int = 1
    notes: list[str] = field(default_factory=list)

    def made(self, specs: Sequence[LegSpec], start: Fix | None) -> tuple[Leg, ...]:
        """The legs of the specs in order, the first one from ``start``.

        Raises
        ------
        PlanError
            A leg without what it needs: a fix before it, a course, a length, ends on its circle.
        """
        legs: list[Leg] = []
        before = start
        for number, spec in enumerate(specs):
            around = Surroundings(
                before=before,
                previous=specs[number - 1].kind if number else None,
                onward=specs[number + 1] if number + 1 < len(specs) else None,
                magnetic=self.magnetic,
                note=self._note,
            )
            legs.append(self._leg(spec, around, f"{self.prefix}{self.first + number}"))
            before = spec.fix if spec.kind in TO_FIX | BACK_AT_FIX else None
        self._check_tangents(legs, specs)
        return tuple(legs)

    def _leg(self, spec: LegSpec, around: Surroundings, leg_id: str) -> Leg:
        ground = _MAKERS[spec.kind](spec, around)
        return Leg(
            id=leg_id,
            kind=spec.kind,
            part=self.part,
            approach=self.approach,
            from_fix=ground.from_fix,
            to_fix=ground.to_fix,
            path=ground.path,
            course_deg_true=ground.course_deg_true,
            course_deg_mag=ground.course_deg_mag,
            distance_nm=ground.distance_nm,
            heading_deg_true=ground.heading_deg_true,
            heading_deg_mag=ground.heading_deg_mag,
            end=ground.end,
            hold=ground.hold,
            reversal=ground.reversal,
            centre=ground.centre,
            radius_nm=ground.radius_nm,
            altitude=spec.altitude,
            speed_max_kt=spec.speed_max_kt,
            speed_min_kt=spec.speed_min_kt,
            role=spec.role,
            fly_over=spec.fly_over,
            turn=spec.turn,
            procedure=spec.procedure,
            vertical_angle_deg=spec.vertical_angle_deg,
        )

    def magnetic(self, course_deg_true: float, at: Fix, spec: LegSpec) -> float | None:
        """The magnetic course of a true one at a fix by the variation that the leg's courses go by; None if unknown."""
        if spec.variation_deg is not None:
            at = replace(at, variation_deg=spec.variation_deg)
            return self.variation.magnetic_course(course_deg_true, at)
        return self.variation.magnetic_course(course_deg_true, at, spec.navaid)

    def _note(self, text: str) -> None:
        if text not in self.notes:
            self.notes.append(text)

    def _check_tangents(self, legs: Sequence[Leg], specs: Sequence[LegSpec]) -> None:
        """Note where an RF and the leg beside it do not run into each other.

        Raises
        ------
        PlanError
            An RF that runs against the legs on both its sides: it turns the other way.
        """
        if not legs:
            return
        bends: list[float | None] = [None]  # into each leg, at its start
        for one, other in itertools.pairwise(legs):
            bend = None
            if "RF" in (one.kind, other.kind) and one.path is not None and other.path is not None and one.to_fix:
                bend = abs(float(turn_deg(one.path.end_course_deg_true, other.path.start_course_deg_true)))
            bends.append(bend)
        for leg, spec, into, out in zip(legs, specs, bends, (*bends[1:], None), strict=True):
            against = [bend for bend in (into, out) if bend is not None and bend > _AGAINST_DEG]
            if leg.kind != "RF" or not against:
                continue
            words = _other_way_words(leg)
            if len(against) == 2:
                raise PlanError(
                    f"the arc (RF) to {leg.end_ident} runs against the legs before and after it: {words}",
                    where=spec.where,
                    remedy=f'Its turn is "{"left" if leg.turn == "right" else "right"}", or its centre is another.',
                )
            self._note(f"The arc (RF) to {leg.end_ident} runs against the leg beside it: {words}.")
        for one, bend in zip(legs, bends[1:], strict=False):
            if bend is not None and _TANGENT_WITHIN_DEG < bend <= _AGAINST_DEG:
                self._note(
                    f"At {one.end_ident} the arc (RF) is not tangent to the leg beside it: {bend:.0f}° between them."
                )


def _other_way_words(leg: Leg) -> str:
    """How long an arc is, and how long it would be the other way round."""
    before, fix, centre, turn = leg.from_fix, leg.to_fix, leg.centre, leg.turn
    if before is None or fix is None or centre is None or turn is None or leg.distance_nm is None:
        return "its turn is the other one"
    other = other_way_round(before, fix, centre, turn)
    return long_way_words(turn, leg.distance_nm, other.length_nm if other is not None else 0.0)


def route_leg(number: int, before: Fix, after: Fix, variation: Variation, where: str) -> Leg:
    """The TF leg between two points of a route. Raises PlanError where it has no length."""
    path = track_to_fix(before, after, where)
    return Leg(
        id=f"R{number}",
        kind="TF",
        part=LegPart.ROUTE,
        approach=None,
        from_fix=before,
        to_fix=after,
        path=path,
        course_deg_true=path.start_course_deg_true,
        course_deg_mag=variation.magnetic_course(path.start_course_deg_true, before),
        distance_nm=path.length_nm,
        fly_over=after.fly_over,
    )
