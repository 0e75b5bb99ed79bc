"""The elements of a route, told apart by what exists: points, airways, a departure, an arrival."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from legwise.errors import PlanError
from legwise.model.navdata import ProcedureKind
from legwise.model.plan import Fix, coordinates_of
from legwise.model.route_text import RouteElement
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.places import Place, shown
from legwise.plan.route.airways import Stretch, stretches_of
from legwise.plan.route.bearings import bearing_distance_places
from legwise.plan.route.procedures import procedure_named, procedures_like
from legwise.plan.route.written import AirwayItem, DirectItem, Item, PointItem, ProcedureItem, RouteWords
from legwise.plan.variation import Variation

_AIRWAY_LIKE = re.compile(r"[KSU]?[A-Z]{1,2}[0-9]{1,3}[A-Z]?")
_PROCEDURE_LIKE = re.compile(r"[A-Z]{2,6}[0-9][A-Z]?")
_MOST_STRETCHES = 500
_POINTS = ("name", "position", "bearing-distance")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sorted:
    """The items of a route in order, and the aerodromes whose own waypoints it may mean (of departure, then of
    destination). ``stations`` are those that each point by bearing and distance may count from, in the order of the
    places of its item.
    """

    items: tuple[Item, ...]
    airports: tuple[str, ...]
    stations: Mapping[str, tuple[Fix, ...]]


def items_of(words: RouteWords, *, book: FixBook, variation: Variation, airports: Sequence[str]) -> Sorted:
    """Every element of a route that is more than a remark, told apart.

    What a name is, is decided by what exists. The lesson's own fixes come first; a departure of the aerodrome that
    begins the route stands after it, an arrival of the one that ends it before that; an airway is one that holds the
    point before it and goes on to what follows; else it is a fix. ``airports`` are those of the lesson's approaches.

    Raises
    ------
    PlanError
        A name that is none of these, pointing at the element, with the nearest known names.
    """
    return _Sorting(words, book, variation, airports).items()


class _Sorting:
    """The elements of one route, with what is asked of its neighbours."""

    def __init__(self, words: RouteWords, book: FixBook, variation: Variation, airports: Sequence[str]) -> None:
        self._words = words
        self._book = book
        self._variation = variation
        self._named = [element for element in words.elements if element.form in _POINTS]
        first, last = (self._airport(end) for end in (self._named[:1], self._named[-1:]))
        self._departs = [first] if first else [*airports]
        self._arrives = [last] if last and len(self._named) > 1 else [*airports]
        self._departure_at = 1 if first else 0
        self._arrival_at = len(self._named) - (2 if last else 1)
        self._airports = tuple(dict.fromkeys((*self._departs, *self._arrives)))
        self._stations: dict[str, tuple[Fix, ...]] = {}
        self._found: dict[str, tuple[Place, ...]] = {}
        self._stretches: dict[str, tuple[Stretch, ...]] = {}

    def items(self) -> Sorted:
        found: list[Item] = []
        number = 0
        for element in self._words.elements:
            if element.form == "direct":
                found.append(DirectItem(element=element))
            elif element.form in _POINTS:
                found.append(self._item(number, element, found[-1] if found else None))
                number += 1
        return Sorted(items=tuple(found), airports=self._airports, stations=self._stations)

    def _airport(self, element: Sequence[RouteElement]) -> str:
        """The ident of an element that is an aerodrome of the navigation data, "" else."""
        navdata = self._book.navdata
        if not element or navdata is None or navdata.airport(element[0].text) is None:
            return ""
        return element[0].text

    def _item(self, number: int, element: RouteElement, before: Item | None) -> Item:
        if element.form == "position":
            return self._position(element)
        own = self._book.is_own(element.text)
        if not own and element.form == "bearing-distance":
            return self._bearing_distance(element)
        if not own and self._words.text:
            item = self._procedure(number, element) or self._airway(number, element, before)
            if item is not None:
                return item
        places = self._places(element)
        return PointItem(element=element, places=places) if places else self._no_point(number, element)

    def _places(self, element: RouteElement) -> tuple[Place, ...]:
        if element.text not in self._found:
            where = self._words.place_of(element)
            try:
                self._found[element.text] = self._book.known_places(element.text, where=where, airports=self._airports)
            except PlanError as error:
                raise self._words.error(element, error.message, error.remedy) from error
        return self._found[element.text]

    def _airways(self, element: RouteElement) -> tuple[Stretch, ...]:
        if element.text not in self._stretches:
            found = stretches_of(self._book.navdata, element.text)
            if len(found) > _MOST_STRETCHES:
                raise self._words.error(
                    element,
                    f"the navigation data has {len(found):,} stretches of the airway {shown(element.text)}",
                    "They may be damaged: write the points one by one.",
                )
            self._stretches[element.text] = found
        return self._stretches[element.text]

    def _position(self, element: RouteElement) -> PointItem:
        place = coordinates_of(element.text)
        if place is None:
            raise self._words.error(
                element,
                f"{shown(element.text)} is no position",
                "Write degrees and minutes like 4630N02800W, or degrees like 46N028W.",
            )
        fix = Fix(ident=element.text, lat_deg=place[0], lon_deg=place[1])
        return PointItem(element=element, places=(Place(fix=fix),))

    def _bearing_distance(self, element: RouteElement) -> PointItem:
        station = element.text[:-6]
        try:
            stations = self._book.places(station, where=self._words.place_of(element), airports=self._airports)
            places = bearing_distance_places(element.text, stations, self._variation)
            self._stations[element.text] = tuple(place.fix for place in stations)
        except PlanError as error:
            raise self._words.error(element, f"{shown(element.text)}: {error.message}", error.remedy) from error
        return PointItem(element=element, places=places)

    def _procedure(self, number: int, element: RouteElement) -> ProcedureItem | None:
        navdata = self._book.navdata
        if navdata is None:
            return None
        for at, airports, kind in (
            (self._departure_at, self._departs, ProcedureKind.DEPARTURE),
            (self._arrival_at, self._arrives, ProcedureKind.ARRIVAL),
        ):
            if number != at:
                continue
            for airport in airports:
                procedure = procedure_named(navdata, airport, element.text, kind)
                if procedure is not None:
                    return ProcedureItem(element=element, procedure=procedure)
        return None

    def _airway(self, number: int, element: RouteElement, before: Item | None) -> AirwayItem | None:
        """The element as an airway, where it is one here; where it can be nothing else, even if it leads nowhere."""
        stretches = self._airways(element)
        if not stretches:
            return None
        joined = not isinstance(before, PointItem) or any(
            stretch.holds(place) for stretch in stretches for place in before.places
        )
        goes_on = 0 < number < len(self._named) - 1 and not isinstance(before, DirectItem | None)
        if not (joined and goes_on and self._leaves(number, stretches)) and self._places(element):
            return None
        return AirwayItem(element=element, stretches=stretches)

    def _leaves(self, number: int, stretches: Sequence[Stretch]) -> bool:
        """Whether what follows can be where an airway is left: a point of it, or another airway or procedure."""
        after = self._named[number + 1]
        if after.form != "name" or self._airways(after):
            return after.form == "name"
        places = self._places(after)
        return not places or any(stretch.holds(place) for stretch in stretches for place in places)

    def _no_point(self, number: int, element: RouteElement) -> PointItem:
        if coordinates_of(element.text.upper()) is not None:  # of a list of points
            place = self._book.places(element.text, where=self._words.place_of(element))
            return PointItem(element=element, places=place)
        name = shown(element.text)
        navdata = self._book.navdata
        if navdata is None:
            if self._words.text and (_AIRWAY_LIKE.fullmatch(element.text) or _PROCEDURE_LIKE.fullmatch(element.text)):
                raise self._words.error(
                    element,
                    f"{name} is no fix of the lesson; as an airway, departure or arrival it needs navigation data",
                    'Name it: [navdata] arinc424 = "..." (or --navdata FILE). Or write the points one by one.',
                )
            raise self._words.error(element, f"the fix {name} is unknown", self._book.remedy(element.text))
        looked_for = ["fix"]
        near = list(self._book.nearest(element.text))
        if self._words.text and 0 < number < len(self._named) - 1:
            looked_for.append("airway")
            if _AIRWAY_LIKE.fullmatch(element.text):
                near = [*navdata.nearest_idents(element.text[:60], "airway"), *near]
        for at, airports, kind in (
            (self._departure_at, self._departs, ProcedureKind.DEPARTURE),
            (self._arrival_at, self._arrives, ProcedureKind.ARRIVAL),
        ):
            if self._words.text and number == at:
                looked_for += [f"{kind.value} of {shown(airport)}" for airport in airports]
                like = procedures_like(navdata, airports, element.text, kind)
                if not like and _PROCEDURE_LIKE.fullmatch(element.text):
                    like = [ident for airport in airports for ident in navdata.procedures(airport, kind)]
                near = [*like, *near]
        message = f"{name} is no {' and no '.join(looked_for)} in the lesson or the navigation data"
        if looked_for == ["fix"]:
            message = f"the fix {name} is unknown"
        close = ", ".join(shown(item) for item in list(dict.fromkeys(near))[:4])
        remedy = f"The nearest known: {close}. " if close else ""
        raise self._words.error(
            element, message, f"{remedy}A fix of your own can be written into the lesson as a [[fix]]."
        )
