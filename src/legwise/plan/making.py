"""A lesson to a plan: fixes looked up, courses made true, legs given their paths."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.navdata import NavData
from legwise.model.plan import Plan, PlannedApproach
from legwise.model.track import RoutePoint
from legwise.plan.approaches.approach import airport_of, planned_approach
from legwise.plan.approaches.takeover import with_transition, without_what_the_approach_owes
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.places import shown
from legwise.plan.fixes.said import check_approaches_said, look_up_fixes_said
from legwise.plan.route.planned import GivenRoute, PlannedRoute, ends_of_flight, planned_route
from legwise.plan.variation import Variation

_MOST_STATIONS = 6


def make_plan(
    lesson: Lesson,
    *,
    date: dt.date,
    route: GivenRoute | None = None,
    track_route: tuple[RoutePoint, ...] = (),
    waypoints: tuple[RoutePoint, ...] = (),
    navdata: NavData | None = None,
) -> Plan:
    """Everything owed before anything was said.

    Parameters
    ----------
    lesson
        What was to be flown; ``Lesson()`` gives an empty plan.
    date
        The day of the flight, for the magnetic variation.
    route
        A route's text, taken apart, that wins over the lesson's.
    track_route, waypoints
        What the track file carries: fixes for idents the lesson does not hold, and the route where there is no other.
    navdata
        Fixes for idents that neither holds, airways, and procedures.

    Raises
    ------
    PlanError
        An unknown fix, airway, procedure or approach, naming the nearest; a leg of no length; a course that can't be
        made true. What stands in the lesson is named with its line, an element of a route's text with carets under it.
    """
    lesson = _in_capitals(lesson)
    try:
        return _made(lesson, date, route, FixBook(lesson, (*track_route, *waypoints), navdata), track_route)
    except PlanError as error:
        # Inside this room a place in the lesson is its key; what comes from elsewhere has no bracket.
        if not error.where.startswith("["):
            raise
        raise PlanError(error.message, where=lesson.where(error.where), remedy=error.remedy) from error


def _in_capitals(lesson: Lesson) -> Lesson:
    """A lesson whose approaches by procedure are named in capitals, as idents in navigation data are."""
    approaches = tuple(
        item.model_copy(
            update={
                key: value.upper()
                for key in ("airport", "procedure", "transition")
                if isinstance(value := getattr(item, key), str)
            }
        )
        if item.procedure is not None and not item.leg
        else item
        for item in lesson.approach
    )
    return lesson.model_copy(update={"approach": approaches})


def _made(
    lesson: Lesson, date: dt.date, route: GivenRoute | None, book: FixBook, track_route: tuple[RoutePoint, ...]
) -> Plan:
    variation = Variation(date)
    planned = planned_route(lesson, route, track_route, book=book, variation=variation)
    approaches, notes = _approaches(lesson, planned, book, variation)
    look_up_fixes_said(lesson, book)
    last = planned.points[-1] if planned.points else None
    legs, taken_over = without_what_the_approach_owes(planned.legs, last, approaches)
    departure, destination = ends_of_flight(planned, [airport_of(item, book) for item in lesson.approach])
    book.add(fix for fix in (departure, destination) if fix is not None)
    altitude_ft, altitude_notes = _route_altitude(lesson, planned)
    plan = Plan(
        source=planned.source,
        departure=departure,
        destination=destination,
        route=legs,
        route_altitude_ft=altitude_ft,
        approaches=approaches,
        fixes=book.named(),
        notes=tuple(
            dict.fromkeys(
                (
                    *planned.notes,
                    *altitude_notes,
                    *book.notes,
                    *taken_over,
                    *notes,
                    *_station_note(planned),
                    *_variation_note(planned, approaches, variation, date),
                )
            )
        ),
    )
    check_approaches_said(lesson, plan)
    return plan


def _route_altitude(lesson: Lesson, route: PlannedRoute) -> tuple[float | None, tuple[str, ...]]:
    """The altitude filed: the lesson's, else what the route's text plans first. [ft]"""
    said = lesson.route.altitude_ft
    if said is None or route.level_ft is None or said == route.level_ft:
        return (route.level_ft if said is None else said), ()
    return said, (f"The route's text plans {route.level_ft:,.0f} ft; the lesson's {said:,.0f} ft was taken.",)


def _approaches(
    lesson: Lesson, route: PlannedRoute, book: FixBook, variation: Variation
) -> tuple[tuple[PlannedApproach, ...], tuple[str, ...]]:
    made: list[PlannedApproach] = []
    notes: list[str] = []
    for index, item in enumerate(lesson.approach):
        named, told = with_transition(item, route.points, book.navdata)
        approach, assumed = planned_approach(
            index, named, book=book, variation=variation, where=f"[[approach]] {index + 1}"
        )
        made.append(approach)
        notes += (*told, *assumed)
    return tuple(made), tuple(notes)


def _station_note(route: PlannedRoute) -> tuple[str, ...]:
    """By which stations' own declination magnetic courses of the route went."""
    if not route.stations:
        return ()
    told = [
        f"{shown(ident)} ({abs(degrees):.1f}° {'east' if degrees >= 0 else 'west'})"
        for ident, degrees in route.stations[:_MOST_STATIONS]
    ]
    more = len(route.stations) - _MOST_STATIONS
    rest = f" and {more} more" if more > 0 else ""
    return (f"Magnetic courses of the route at these stations are by their own declination: {', '.join(told)}{rest}.",)


def _variation_note(
    route: PlannedRoute, approaches: Sequence[PlannedApproach], variation: Variation, date: dt.date
) -> tuple[str, ...]:
    """Which variation the magnetic courses were made with, at one fix as an example."""
    # A coded procedure goes by variations of record, which its own note says.
    legs = [leg for approach in approaches for leg in approach.legs if not leg.procedure]
    fixes = [leg.to_fix for leg in legs if leg.to_fix is not None]
    fixes += route.points
    fix = next((item for item in fixes if item.variation_deg is None), None)
    if fix is None:
        return ()
    try:
        degrees = variation.at(fix)
    except PlanError as error:
        return (f"Courses are true only: {error.message.rstrip('.')}.",)
    side = "east" if degrees >= 0 else "west"
    return (f"Magnetic variation is the model's on {date}: {abs(degrees):.1f}° {side} at {fix.ident}.",)
