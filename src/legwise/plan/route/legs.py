"""The legs of a route: direct, along airways, and by departures and arrivals, each from where the one before ended."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from legwise.errors import PlanError
from legwise.geodesy.lines import line_between
from legwise.model.navdata import CodedLeg, ProcedureKind
from legwise.model.plan import Fix, Leg, LegPart
from legwise.model.route_text import RouteElement
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.places import Place, shown
from legwise.plan.legs.coded import coded_legs
from legwise.plan.legs.limits import with_both_limits
from legwise.plan.legs.maker import LegMaker, route_leg
from legwise.plan.route.airways import against_its_direction, best_stretch, flown, is_by_stations
from legwise.plan.route.chain import Chain, Procedure, holds
from legwise.plan.route.procedures import Gate, legs_flown
from legwise.plan.route.written import AirwayItem, RouteWords
from legwise.plan.variation import Variation

_MOST_LEGS = 2000
"""More than any route of a flight has."""


class RouteLegs:
    """Legs as they are added, in order, the fixes they pass, and notes on what was chosen.

    ``stations`` are those whose own declination magnetic courses went by. [deg, east positive]
    """

    def __init__(self, words: RouteWords, *, book: FixBook, variation: Variation) -> None:
        self.legs: list[Leg] = []
        self.points: list[Fix] = []
        self.notes: list[str] = []
        self.stations: dict[str, float] = {}
        self._words = words
        self._book = book
        self._variation = variation
        self._before: Fix | None = None
        self._loose = False  # no fix was led to last: what follows begins wherever the aircraft is

    def fly(self, chain: Chain, places: Sequence[Place], runway: Fix | None) -> None:
        """Add everything of a chain whose places were chosen; a departure begins at ``runway``, where it is known.

        Raises
        ------
        PlanError
            A leg of no length; a fix or a leg of an airway or a procedure that can't be resolved.
        """
        procedures = [item for item in (chain.departure, chain.arrival) if item is not None]
        for number, (node, place) in enumerate(zip(chain.nodes, places, strict=True)):
            due = [procedure for procedure in procedures if procedure.after == number]
            for procedure in due:
                self._procedure(procedure, places, runway)
            airway = chain.links[number - 1] if number else None
            if airway is not None:
                self._along(airway, places[number - 1], place)
            elif due and self._loose and number == len(places) - 1 and due[-1] is chain.arrival:
                self._vectors_to(place.fix)
            elif not (due and self._is_here(place.fix)):
                self._direct(place.fix, node.element)
        for procedure in procedures:
            if procedure.after >= len(chain.nodes):
                self._procedure(procedure, places, runway)

    def _is_here(self, fix: Fix) -> bool:
        at = self._before
        return at is not None and line_between(at.lat_deg, at.lon_deg, fix.lat_deg, fix.lon_deg) is None

    def _is_led_to(self, fix: Fix) -> bool:
        return bool(self.legs) and self.legs[-1].to_fix is not None and self._is_here(fix)

    def _limit(self, begins: Leg) -> None:
        """What a part of a procedure asks for at the fix where it begins binds the leg that leads there, whatever
        leads there: an airway, a direct, or the procedure before.
        """
        if self.legs and begins.to_fix is not None and self._is_led_to(begins.to_fix):
            self.legs[-1], note = with_both_limits(self.legs[-1], begins)
            if note:
                self.notes.append(note)

    def _pass(self, fix: Fix) -> None:
        self._before, self._loose = fix, False
        self.points.append(fix)

    def _vectors_to(self, fix: Fix) -> None:
        self.notes.append(
            f"{self.legs[-1].procedure} ends with vectors, so no leg from it to {shown(fix.ident)} is owed."
        )
        self._pass(fix)

    def _direct(self, fix: Fix, element: RouteElement) -> None:
        """A straight line to a fix; from wherever the aircraft is (DF) where no fix was led to last."""
        if self._loose:
            self.legs.append(
                Leg(
                    id=f"R{len(self.legs) + 1}",
                    kind="DF",
                    part=LegPart.ROUTE,
                    approach=None,
                    from_fix=None,
                    to_fix=fix,
                    path=None,
                    course_deg_true=None,
                    course_deg_mag=None,
                    distance_nm=None,
                    fly_over=fix.fly_over,
                )
            )
        elif self._before is not None:
            self.legs.append(self._leg(self._before, fix, element))
            self._went_by(self._before)
        self._pass(fix)

    def _leg(self, before: Fix, after: Fix, element: RouteElement) -> Leg:
        try:
            return route_leg(len(self.legs) + 1, before, after, self._variation, self._words.place_of(element))
        except PlanError as error:
            raise self._words.error(element, error.message, error.remedy) from error

    def _went_by(self, fix: Fix) -> None:
        if fix.variation_deg is not None:
            self.stations[fix.ident] = fix.variation_deg

    def _along(self, airway: AirwayItem, joined: Place, left: Place) -> None:
        """Every leg of an airway from where it is joined to where it is left."""
        name = shown(airway.element.text)
        found = best_stretch(airway.stretches, joined, left)
        if found is None:
            raise self._words.error(
                airway.element,
                f"the airway {name} does not lead from {joined.fix.ident} to {left.fix.ident}",
                "Write the points between them one by one.",
            )
        stretch, start, end = found
        barred = against_its_direction(stretch, start, end)
        if barred is not None:
            self.notes.append(
                f"{name} is published one way, against the route, between {shown(barred[0].ident)} and "
                f"{shown(barred[1].ident)}; it was taken as filed."
            )
        for point in flown(stretch, start, end)[:-1]:
            try:
                place = self._book.place_of_record(point.fix, where=self._words.place_of(airway.element))
            except PlanError as error:
                raise self._words.error(airway.element, f"{name}: {error.message}", error.remedy) from error
            self._airway_leg(place.fix, airway)
        self._airway_leg(left.fix, airway)

    def _airway_leg(self, fix: Fix, airway: AirwayItem) -> None:
        """A leg of an airway, its magnetic course by whose radial it is; else by the model at its start.

        The station it begins at, else the one it leads to; an RNAV route has no radials.
        """
        before = self._before
        if len(self.legs) >= _MOST_LEGS:
            raise self._words.error(
                airway.element,
                f"with the airway {shown(airway.element.text)} the route has more than {_MOST_LEGS:,} legs",
                "Take the route apart, or look at the navigation data: they may be damaged.",
            )
        if before is not None:
            leg = self._leg(before, fix, airway.element)
            station = next((end for end in (before, fix) if end.variation_deg is not None), before)
            at = before
            if is_by_stations(airway.element.text):
                self._went_by(station)
            elif not self._book.is_own(before.ident):
                at = station = dataclasses.replace(before, variation_deg=None)
            if leg.course_deg_true is not None:
                magnetic = self._variation.magnetic_course(leg.course_deg_true, at, station)
                leg = dataclasses.replace(leg, course_deg_mag=magnetic)
            self.legs.append(leg)
        self._pass(fix)

    def _procedure(self, flown_one: Procedure, places: Sequence[Place], runway: Fix | None) -> None:
        """Every leg of a departure or an arrival: its runway's part, the common one, the transition that fits."""
        procedure, element = flown_one.item.procedure, flown_one.item.element
        if flown_one.runway.note:
            self.notes.append(flown_one.runway.note)
        departing = procedure.kind is ProcedureKind.DEPARTURE
        from_runway = departing and flown_one.runway.part is not None
        if from_runway and runway is not None:
            self._before = runway
        gate = self._gate(flown_one, places)
        if gate.on_the_way and gate.fix is not None:
            word = "left" if departing else "joined"
            self.notes.append(f"{shown(procedure.ident)} is {word} at {shown(gate.fix.ident)}, on its way.")
        parts = legs_flown(procedure, flown_one.runway.part, gate)
        if not parts and not gate.on_the_way:
            raise self._words.error(
                element,
                f"{shown(procedure.ident)} of {shown(procedure.airport)} has nothing to fly without a runway",
                f"Say it: [route] {'departure' if departing else 'arrival'}_runway.",
            )
        for number, legs in enumerate(parts):
            self._part(legs, flown_one, keep_start=from_runway and number == 0)
        if self._before is not None and (not self.points or self.points[-1] != self._before):
            self.points.append(self._before)

    def _gate(self, flown_one: Procedure, places: Sequence[Place]) -> Gate:
        """The gate that is the place that was chosen; the first where the chain has none."""
        if flown_one.node is None or flown_one.node >= len(places):
            return flown_one.gates[0]
        place = places[flown_one.node]
        return next((gate for gate in flown_one.gates if holds(place, gate.fix)), flown_one.gates[0])

    def _part(self, legs: Sequence[CodedLeg], flown_one: Procedure, *, keep_start: bool) -> None:
        """The legs of a part; a fix that it begins at (IF) is led to first, and stands once."""
        procedure, element = flown_one.item.procedure, flown_one.item.element
        where = self._words.place_of(element)
        field = self._book.navdata.airport(procedure.airport) if self._book.navdata is not None else None
        try:
            first = legs[0]
            met = False
            if first.path == "IF" and first.fix is not None and (self._before is not None or self._loose):
                start = self._book.coded(first.fix, where=where)
                if not self._is_here(start) and not keep_start:
                    self._direct(start, element)
                # Where no leg leads to it, its limits keep it a leg of its own.
                met = self._is_here(start) and (keep_start or self._is_led_to(start) or not _is_limited(first))
            maker = LegMaker(
                part=LegPart.ROUTE,
                prefix="R",
                book=self._book,
                variation=self._variation,
                where=where,
                first=len(self.legs) + (0 if met else 1),
                notes=self.notes,
            )
            made = coded_legs(
                maker,
                legs,
                self._before,
                procedure=procedure.ident,
                airport_variation_deg=field.fix.variation_deg if field is not None else None,
            )
        except PlanError as error:
            remedy = error.remedy if "\n" in error.remedy else self._words.pointed_at(element, error.remedy)
            raise PlanError(error.message, where=error.where or where, remedy=remedy) from error
        if met:
            self._limit(made[0])
            made = made[1:]
        self.legs += made
        self.points += [leg.to_fix for leg in made if leg.to_fix is not None]
        if made:
            self._before = made[-1].to_fix
            self._loose = self._before is None


def _is_limited(leg: CodedLeg) -> bool:
    return leg.altitude is not None or leg.speed_kt is not None
