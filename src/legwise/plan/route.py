"""The route: its points, the legs between them, and where the approach takes over."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from legwise.errors import PlanError
from legwise.geodesy.lines import MIN_LEG_NM, line_between
from legwise.model.lesson import Lesson
from legwise.model.plan import Fix, Leg, PlannedApproach
from legwise.model.track import RoutePoint
from legwise.plan.book import FixBook, fix_of
from legwise.plan.legs import route_leg
from legwise.plan.variation import Variation

_AERODROME = re.compile("[A-Z]{4}")
_MOST_NAMED = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRoute:
    """The points and legs of a route, where it came from, and notes."""

    source: str
    points: tuple[Fix, ...]
    legs: tuple[Leg, ...]
    notes: tuple[str, ...] = ()


def planned_route(
    lesson: Lesson,
    given: Sequence[str] | None,
    given_source: str,
    track_route: Sequence[RoutePoint],
    *,
    book: FixBook,
    variation: Variation,
) -> PlannedRoute:
    """The route that was given with the call, else the lesson's, else the track file's, else none.

    Raises
    ------
    PlanError
        An unknown point; a leg of no length (in a track file's route such a point is left out and noted).
    """
    if given is not None:
        source, idents, where = given_source, list(given), f"{given_source} point"
    else:
        source, idents = "lesson", _idents_of(lesson)
        where = "[route] points" if lesson.route.points is not None else "[route] text point"
    notes: list[str] = []
    if not idents and track_route:
        points, notes = _track_points(track_route)
        source, places = "track file", ["the track file's route"] * len(points)
        book.add(points)
    else:
        places = [f"{where} {number}" for number, ident in enumerate(idents, start=1) if ident.upper() != "DCT"]
        named = [ident for ident in idents if ident.upper() != "DCT"]
        points = [book.find(ident, where=place) for ident, place in zip(named, places, strict=True)]
    if not points:
        return PlannedRoute(
            source="none", points=(), legs=(), notes=("No route was given, so nothing is judged against one.",)
        )
    legs = tuple(
        route_leg(number, before, after, variation, places[number])
        for number, (before, after) in enumerate(itertools.pairwise(points), start=1)
    )
    if not legs:
        notes.append(f"The route has one point, {points[0].ident}, and so no leg.")
    return PlannedRoute(source=source, points=tuple(points), legs=legs, notes=tuple(notes))


def _idents_of(lesson: Lesson) -> list[str]:
    if lesson.route.points is not None:
        return list(lesson.route.points)
    if lesson.route.text is not None and not lesson.route.elements:
        raise PlanError(
            "the route's text was not taken apart",
            where="[route] text",
            remedy="Give points, or read the lesson from a file.",
        )
    return [element.text for element in lesson.route.elements]


def _track_points(route: Sequence[RoutePoint]) -> tuple[list[Fix], list[str]]:
    """The points of a track file's route; unnamed ones are P1, P2, ...; repeated places are left out and counted.

    A lesson with one ident at two places, or a leg of no length, is refused; the route of a track file was made by a
    machine, often of parts, and is flown as it stands, with a note.
    """
    points: list[Fix] = []
    repeated = 0
    for number, item in enumerate(route, start=1):
        fix = fix_of(item, item.ident or f"P{number}")
        before = points[-1] if points else None
        if before is not None and line_between(before.lat_deg, before.lon_deg, fix.lat_deg, fix.lon_deg) is None:
            repeated += 1
        else:
            points.append(fix)
    notes = _idents_at_two_places(points)
    if repeated:
        noun = "point" if repeated == 1 else "points"
        notes.append(
            f"{repeated} {noun} of the track file's route repeated the place before (within {MIN_LEG_NM} NM) and "
            + ("was left out." if repeated == 1 else "were left out.")
        )
    return points, notes


def _idents_at_two_places(points: Sequence[Fix]) -> list[str]:
    first: dict[str, Fix] = {}
    several: dict[str, None] = {}
    for fix in points:
        other = first.setdefault(fix.ident, fix)
        if line_between(other.lat_deg, other.lon_deg, fix.lat_deg, fix.lon_deg) is not None:
            several[fix.ident] = None
    if not several:
        return []
    named = ", ".join(list(several)[:_MOST_NAMED]) + (", ..." if len(several) > _MOST_NAMED else "")
    return [f"In the track file's route {named} stands at more than one place; each point was taken where it stands."]


def without_what_the_approach_owes(
    route: PlannedRoute, approaches: Sequence[PlannedApproach]
) -> tuple[tuple[Leg, ...], tuple[str, ...]]:
    """The route's legs as far as an approach does not take over, and a note where one does.

    An approach takes over at its first fix that is on the route, where all that follows on the route belongs to it: its
    fixes, its runway, its aerodrome. Approaches to the route's last point come first.
    """
    if not route.legs:
        return route.legs, ()
    last = route.points[-1].ident
    for approach in sorted(approaches, key=lambda item: last not in _ends_of(item)):
        idents = [leg.end_ident for leg in approach.legs]
        owed = {*idents, *_ends_of(approach)}
        for ident in idents:
            places = [number for number, point in enumerate(route.points) if point.ident == ident]
            if not places:
                continue
            taken_over = places[-1]
            if taken_over == len(route.points) - 1 or any(
                point.ident not in owed for point in route.points[taken_over:]
            ):
                break
            dropped = route.legs[taken_over:]
            note = f"From {ident} on the approach ({approach.title}) is owed, not the route to {dropped[-1].end_ident}."
            return route.legs[:taken_over], (note,)
    return route.legs, ()


def _ends_of(approach: PlannedApproach) -> set[str]:
    return {approach.airport, approach.runway.ident} if approach.runway is not None else {approach.airport}


def ends_of_flight(route: PlannedRoute, airports: Sequence[Fix | None]) -> tuple[Fix | None, Fix | None]:
    """Departure and destination: the route's first and last point where they are aerodromes; the destination else the
    aerodrome of the last approach. None where not known.
    """
    known = {airport.ident for airport in airports if airport is not None}
    first = route.points[0] if route.points and _is_aerodrome(route.points[0], known) else None
    last = route.points[-1] if len(route.points) > 1 and _is_aerodrome(route.points[-1], known) else None
    if last is None:
        last = next((airport for airport in reversed(airports) if airport is not None), None)
    return first, last


def _is_aerodrome(fix: Fix, airports: set[str]) -> bool:
    looks_like_one = fix.kind == "waypoint" and _AERODROME.fullmatch(fix.ident) is not None
    return fix.kind == "airport" or fix.ident in airports or looks_like_one
