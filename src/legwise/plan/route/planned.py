"""The route: where it comes from, its points and the legs between them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from legwise.errors import PlanError
from legwise.geodesy.lines import MIN_LEG_NM, line_between
from legwise.model.lesson import Lesson
from legwise.model.navdata import FixKey, ProcedureKind
from legwise.model.plan import Fix, Leg, coordinates_of
from legwise.model.route_text import RouteElement
from legwise.model.track import RoutePoint
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.places import Place, distance_nm, fix_of_point
from legwise.plan.legs.maker import route_leg
from legwise.plan.route.bearings import bearing_notes
from legwise.plan.route.chain import Chain, chain_of
from legwise.plan.route.choosing import chosen_places
from legwise.plan.route.elements import items_of
from legwise.plan.route.legs import RouteLegs
from legwise.plan.route.narrowing import narrow
from legwise.plan.route.remarks import planned_level_ft, remarks
from legwise.plan.route.runways import runway_fix, runways_in_use
from legwise.plan.route.written import AirwayItem, RouteWords
from legwise.plan.variation import Variation

_AERODROME = re.compile("[A-Z]{4}")
_MOST_NAMED = 5
_MOST_NEAR = 3
_MOST_STRETCHES, _MOST_POINTS = 10, 200


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRoute:
    """The points and legs of a route, where it came from, and notes.

    ``points`` are all that it passes, those of airways and procedures too; ``stations`` are those whose own declination
    its magnetic courses went by [deg, east positive]; ``level_ft`` is what its text plans first.
    """

    source: str
    points: tuple[Fix, ...]
    legs: tuple[Leg, ...]
    notes: tuple[str, ...] = ()
    stations: tuple[tuple[str, float], ...] = ()
    level_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenRoute:
    """A route's text in place of the lesson's, taken apart, and what messages and the debrief call it."""

    text: str
    elements: tuple[RouteElement, ...]
    source: str


def planned_route(
    lesson: Lesson,
    given: GivenRoute | None,
    track_route: Sequence[RoutePoint],
    *,
    book: FixBook,
    variation: Variation,
) -> PlannedRoute:
    """The route that was given with the call, else the lesson's, else the track file's, else none.

    Raises
    ------
    PlanError
        An element that can't be resolved; a leg of no length (in a track file's route such a point is left out and
        noted).
    """
    if given is not None:
        source, words = given.source, RouteWords(elements=given.elements, where=given.source, text=given.text)
    else:
        source, words = "lesson", _words_of(lesson)
    if words.elements:
        return _resolved(lesson, source, words, book=book, variation=variation)
    if track_route:
        return _of_track(track_route, book=book, variation=variation)
    return PlannedRoute(
        source="none", points=(), legs=(), notes=("No route was given, so nothing is judged against one.",)
    )


def _words_of(lesson: Lesson) -> RouteWords:
    route = lesson.route
    if route.points is not None:
        return RouteWords(elements=_elements_of(route.points), where="[route] points")
    if route.text is not None and not route.elements:
        raise PlanError(
            "the route's text was not taken apart",
            where="[route] text",
            remedy="Give points, or read the lesson from a file.",
        )
    return RouteWords(elements=route.elements, where="[route] text", text=route.text or "")


def _elements_of(points: Sequence[str]) -> tuple[RouteElement, ...]:
    """Points of a list as elements; they are counted by their places in it."""
    return tuple(
        RouteElement(
            text=text,
            start=number,
            stop=number + 1,
            form="direct" if text.upper() == "DCT" else "name",
        )
        for number, text in enumerate(points)
    )


def _resolved(lesson: Lesson, source: str, words: RouteWords, *, book: FixBook, variation: Variation) -> PlannedRoute:
    airports = tuple(dict.fromkeys(approach.airport for approach in lesson.approach))
    found = items_of(words, book=book, variation=variation, airports=airports)
    runways, said = runways_in_use(lesson, found.airports, book.navdata)

    def place_of(key: FixKey, element: RouteElement) -> Place:
        try:
            return book.place_of_record(key, where=words.place_of(element))
        except PlanError as error:
            raise words.error(element, error.message, error.remedy) from error

    def near(airway: AirwayItem, place: Place) -> list[str]:
        return _near_on(airway, place, book)

    chain = chain_of(found.items, words, runways=runways, place_of=place_of)
    narrow(chain, words, near)
    places, choices = chosen_places(chain)
    made = RouteLegs(words, book=book, variation=variation)
    made.fly(chain, places, _departure_runway(chain, runways, book))
    book.follow(made.points)
    meant = [(place, node.meant) for node, place in zip(chain.nodes, places, strict=True)]
    bearings = bearing_notes(meant, found.stations, variation)
    notes = [*choices, *bearings, *(said if chain.arrival is not None else ()), *made.notes, *remarks(words)]
    if not made.legs and made.points:
        notes.append(f"The route has one point, {made.points[0].ident}, and so no leg.")
    return PlannedRoute(
        source=source,
        points=tuple(made.points),
        legs=tuple(made.legs),
        notes=tuple(dict.fromkeys(notes)),
        stations=tuple(made.stations.items()),
        level_ft=planned_level_ft(words),
    )


def _departure_runway(chain: Chain, runways: dict[ProcedureKind, str | None], book: FixBook) -> Fix | None:
    if chain.departure is None:
        return None
    part = chain.departure.runway.part
    runway = runways.get(ProcedureKind.DEPARTURE) or (part.transition if part is not None else None)
    return runway_fix(book.navdata, chain.departure.item.procedure.airport, runway)


def _near_on(airway: AirwayItem, place: Place, book: FixBook) -> list[str]:
    """The fixes of an airway nearest to a place, by the navigation data."""
    found: dict[str, float] = {}
    for stretch in airway.stretches[:_MOST_STRETCHES]:
        for point in stretch.airway.points[:_MOST_POINTS]:
            coded = book.navdata.fix(point.fix) if book.navdata is not None else None
            if coded is not None:
                there = Fix(ident=coded.ident, lat_deg=coded.lat_deg, lon_deg=coded.lon_deg)
                found[coded.ident] = distance_nm(there, place.fix)
    return sorted(found, key=lambda ident: found[ident])[:_MOST_NEAR]


def _of_track(track_route: Sequence[RoutePoint], *, book: FixBook, variation: Variation) -> PlannedRoute:
    """The track file's route; repeated places are left out and counted.

    A lesson with one ident at two places, or a leg of no length, is refused; the route of a track file was made by a
    machine, often of parts, and is flown as it stands, with a note.
    """
    points, notes = _track_points(track_route)
    book.follow(points)
    legs = tuple(
        route_leg(number, before, after, variation, "the track file's route")
        for number, (before, after) in enumerate(itertools.pairwise(points), start=1)
    )
    if not legs:
        notes.append(f"The route has one point, {points[0].ident}, and so no leg.")
    return PlannedRoute(source="track file", points=tuple(points), legs=legs, notes=tuple(notes))


def _track_points(route: Sequence[RoutePoint]) -> tuple[list[Fix], list[str]]:
    """The points of a track file's route; unnamed ones are P1, P2, ..."""
    points: list[Fix] = []
    repeated = 0
    for number, item in enumerate(route, start=1):
        fix = fix_of_point(item, item.ident or f"P{number}")
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
    looks_like_one = (
        fix.kind == "waypoint" and _AERODROME.fullmatch(fix.ident) is not None and coordinates_of(fix.ident) is None
    )
    return fix.kind == "airport" or fix.ident in airports or looks_like_one
