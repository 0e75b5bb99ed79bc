"""A lesson to a plan: fixes looked up, courses made true, legs given their paths."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan, PlannedApproach
from legwise.model.track import RoutePoint
from legwise.plan.approaches import airport_of, planned_approach
from legwise.plan.book import FixBook
from legwise.plan.route import PlannedRoute, ends_of_flight, planned_route, without_what_the_approach_owes
from legwise.plan.said import check_approaches_said, look_up_fixes_said
from legwise.plan.variation import Variation


def make_plan(
    lesson: Lesson,
    *,
    date: dt.date,
    route: Sequence[str] | None = None,
    route_source: str = "lesson",
    track_route: tuple[RoutePoint, ...] = (),
    waypoints: tuple[RoutePoint, ...] = (),
) -> Plan:
    """Everything owed before anything was said.

    Parameters
    ----------
    lesson
        What was to be flown; ``Lesson()`` gives an empty plan.
    date
        The day of the flight, for the magnetic variation.
    route
        Points of a route that wins over the lesson's; idents, or positions in flight-plan form.
    route_source
        Where ``route`` came from, for messages and the debrief.
    track_route, waypoints
        What the track file carries: fixes for idents the lesson does not hold, and the route where there is no other.

    Raises
    ------
    PlanError
        An unknown fix or approach, naming the nearest; a leg of no length; a course that can't be made true. What
        stands in the lesson is named with its line.
    """
    try:
        return _made(lesson, date, route, route_source, track_route, waypoints)
    except PlanError as error:
        # Inside this room a place in the lesson is its key; what comes from elsewhere has no bracket.
        if not error.where.startswith("["):
            raise
        raise PlanError(error.message, where=lesson.where(error.where), remedy=error.remedy) from error


def _made(
    lesson: Lesson,
    date: dt.date,
    route: Sequence[str] | None,
    route_source: str,
    track_route: tuple[RoutePoint, ...],
    waypoints: tuple[RoutePoint, ...],
) -> Plan:
    book = FixBook(lesson, (*track_route, *waypoints))
    variation = Variation(date)
    planned = planned_route(lesson, route, route_source, track_route, book=book, variation=variation)
    approaches, notes = _approaches(lesson, book, variation)
    look_up_fixes_said(lesson, book)
    legs, taken_over = without_what_the_approach_owes(planned, approaches)
    departure, destination = ends_of_flight(planned, [airport_of(item, book) for item in lesson.approach])
    book.add(fix for fix in (departure, destination) if fix is not None)
    plan = Plan(
        source=planned.source,
        departure=departure,
        destination=destination,
        route=legs,
        route_altitude_ft=lesson.route.altitude_ft,
        approaches=approaches,
        fixes=book.named(),
        notes=(*planned.notes, *taken_over, *notes, *_variation_note(planned, approaches, variation, date)),
    )
    check_approaches_said(lesson, plan)
    return plan


def _approaches(
    lesson: Lesson, book: FixBook, variation: Variation
) -> tuple[tuple[PlannedApproach, ...], tuple[str, ...]]:
    made: list[PlannedApproach] = []
    notes: list[str] = []
    for index, item in enumerate(lesson.approach):
        approach, told = planned_approach(
            index, item, book=book, variation=variation, where=f"[[approach]] {index + 1}"
        )
        made.append(approach)
        notes += told
    return tuple(made), tuple(notes)


def _variation_note(
    route: PlannedRoute, approaches: Sequence[PlannedApproach], variation: Variation, date: dt.date
) -> tuple[str, ...]:
    """Which variation the magnetic courses were made with, at one fix as an example."""
    fixes = [leg.to_fix for approach in approaches for leg in approach.legs if leg.to_fix is not None]
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
