"""The fixes that a lesson, a track file and navigation data name, looked up by ident."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterable
from difflib import get_close_matches

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.navdata import FixKey, NavData, Section
from legwise.model.plan import Fix, coordinates_of
from legwise.model.track import RoutePoint
from legwise.plan.fixes.nearness import nearest_to
from legwise.plan.fixes.places import (
    MOST_PLACES,
    Place,
    add_place,
    distance_nm,
    fix_of_point,
    fix_of_record,
    kind_word,
    places_of_records,
    shown,
)  # fmt: skip

_OWN_DIFFERS_NM = 0.5
_MOST_OF_ONE_IDENT = 200
_SECTION_WORDS = {
    Section.VHF_NAVAID: "station",
    Section.NDB: "NDB",
    Section.TERMINAL_NDB: "NDB",
    Section.AIRPORT: "aerodrome",
    Section.RUNWAY: "runway",
    Section.LOCALIZER: "localizer",
}


class FixBook:
    """Every fix by its ident: the lesson's own first, then what the track file carries, then navigation data.

    The ident of a runway is a fix inside its own approach, before all others; elsewhere it is one where no other fix
    has that ident. An aerodrome that has no fix of its own stands at the threshold of the first runway given for it.
    ``navdata`` is None where the lesson names none. ``notes`` gathers which of several fixes of one ident was taken.
    """

    def __init__(self, lesson: Lesson, track_points: Iterable[RoutePoint], navdata: NavData | None = None) -> None:
        self.navdata = navdata
        self.notes: list[str] = []
        self._own: dict[str, Fix] = {}
        for item in lesson.fix:
            self._own.setdefault(item.ident, Fix(**item.model_dump()))
        self._track: dict[str, list[Fix]] = {}
        for point in track_points:
            if point.ident:
                add_place(self._track.setdefault(point.ident, []), fix_of_point(point))
        self._runways: dict[int, Fix] = {}
        self._airports: dict[int, str] = {}
        self._implied: dict[str, Fix] = {}
        for index, approach in enumerate(lesson.approach):
            self._airports[index] = approach.airport
            runway = approach.runway
            if runway is not None:
                threshold = Fix(
                    ident=runway.ident,
                    lat_deg=runway.lat_deg,
                    lon_deg=runway.lon_deg,
                    kind="runway",
                    elevation_ft=runway.elevation_ft,
                )
                airport = dataclasses.replace(threshold, ident=approach.airport, kind="airport")
                self._runways[index] = threshold
                self._implied.setdefault(threshold.ident, threshold)
                self._implied.setdefault(airport.ident, airport)
        self._named: dict[str, Fix] = dict(self._own)
        self._route: tuple[Fix, ...] = ()

    def find(self, ident: str, *, where: str, approach: int | None = None) -> Fix:
        """The fix of that ident; of several in the navigation data the approach's own, else the nearest to the route.

        Raises
        ------
        PlanError
            There is none, naming the nearest; or the track file has it at two places.
        """
        own_runway = self._runway_of(approach, ident)
        if own_runway is not None:
            return self._note(own_runway)
        airport = self._airports.get(approach) if approach is not None else None
        places = self.places(ident, where=where, airports=(airport,) if airport else ())
        return self._note(self._chosen(ident, places, airport).fix)

    def places(self, ident: str, *, where: str, airports: Collection[str] = ()) -> tuple[Place, ...]:
        """Every place that ``ident`` may mean, at least one; a position in flight-plan form is a place too.

        A waypoint of an aerodrome's own procedures is one where the aerodrome is among ``airports``, or where there is
        no other of that ident.

        Raises
        ------
        PlanError
            There is none, naming the nearest; or the track file has it at two places; or the navigation data at
            hundreds.
        """
        found = self.known_places(ident, where=where, airports=airports)
        if found:
            return found
        position = coordinates_of(ident.upper())
        if position is None:
            raise PlanError(f"the fix {shown(ident)} is unknown", where=where, remedy=self.remedy(ident))
        return (Place(fix=Fix(ident=ident, lat_deg=position[0], lon_deg=position[1])),)

    def known_places(self, ident: str, *, where: str = "", airports: Collection[str] = ()) -> tuple[Place, ...]:
        """As :meth:`places`, but nothing where there is none."""
        fix = self._own.get(ident) or self._from_track(ident, where=where)
        if fix is not None:
            keys = tuple(coded.key for coded in self.navdata.fixes(ident)) if self.navdata is not None else ()
            return (Place(fix=fix, keys=keys),)
        found = self._coded_places(ident, where=where, airports=airports)
        if not found and ident in self._implied:
            return (Place(fix=self._implied[ident]),)
        return found

    def is_own(self, ident: str) -> bool:
        """Whether the lesson or the track file holds a fix of that ident, which then wins over navigation data."""
        return ident in self._own or ident in self._track

    def coded(self, key: FixKey, *, where: str) -> Fix:
        """The fix that a record names, as :meth:`place_of_record`; it stands in the plan from now on."""
        return self._note(self.place_of_record(key, where=where).fix)

    def place_of_record(self, key: FixKey, *, where: str) -> Place:
        """What a record names: the lesson's own fix of that ident where it has one (no runway), else the record's.

        Raises
        ------
        PlanError
            The navigation data does not hold it.
        """
        own = self._own.get(key.ident) if key.section is not Section.RUNWAY else None
        record = self.navdata.fix(key) if self.navdata is not None else None
        coded = fix_of_record(record) if record is not None else None
        if own is not None:
            self._compare_with_own(own, coded)
        fix = own or coded
        if fix is None:
            what = _SECTION_WORDS.get(key.section, "fix")
            place = f"of {shown(key.airport)}" if key.airport else f"of region {shown(key.region)}"
            raise PlanError(
                f"the navigation data names the {what} {shown(key.ident)} {place}, and does not hold it",
                where=where,
                remedy=f"Take navigation data that is complete, or write it into the lesson as a [[fix]] "
                f"{shown(key.ident)} with ident, lat_deg, lon_deg.",
            )
        return Place(fix=fix, keys=(key,), region=key.region, airport=key.airport)

    def known(self, ident: str) -> Fix | None:
        """The fix of that ident, or None; a track file's ident at two places is not known."""
        places = self._track.get(ident, [])
        found = self._own.get(ident) or (places[0] if len(places) == 1 else None)
        if found is None and self.navdata is not None:
            airport = self.navdata.airport(ident)
            found = fix_of_record(airport.fix) if airport is not None else None
        return found or self._implied.get(ident)

    def add(self, fixes: Iterable[Fix]) -> None:
        """Keep fixes that stand in a plan without having been looked up (a route of the track file)."""
        for fix in fixes:
            self._note(fix)

    def follow(self, points: Iterable[Fix]) -> None:
        """Take ``points`` as the route: nearness is counted from them, and their idents mean them from now on."""
        self._route = tuple(points)
        self.add(self._route)

    def named(self) -> tuple[Fix, ...]:
        """The lesson's fixes and those that were looked up, each ident once."""
        return tuple(self._named.values())

    def remedy(self, ident: str) -> str:
        """What would put an unknown ident right: the nearest known ones, or a fix of one's own."""
        near = self.nearest(ident)
        nearest = f"The nearest known: {', '.join(near)}. Or write" if near else "Write"
        return f"{nearest} it into the lesson as a [[fix]] with ident, lat_deg, lon_deg."

    def nearest(self, ident: str) -> tuple[str, ...]:
        """The known idents most like ``ident``, at most three."""
        known = [*self._own, *self._track, *self._implied]
        folded = {item.casefold(): item for item in reversed(known)}
        close = [folded[item] for item in get_close_matches(ident[:60].casefold(), folded, n=3, cutoff=0.5)]
        coded = self.navdata.nearest_idents(ident[:60], "fix") if self.navdata is not None else ()
        return tuple(dict.fromkeys((*close, *coded)))[:3]

    def _note(self, fix: Fix) -> Fix:
        self._named.setdefault(fix.ident, fix)
        return fix

    def _runway_of(self, approach: int | None, ident: str) -> Fix | None:
        """The runway of that ident at the aerodrome of an approach."""
        if approach is None:
            return None
        written = self._runways.get(approach)
        if written is not None and written.ident == ident:
            return written
        airport = self._airports.get(approach)
        if self.navdata is None or airport is None or ident in self._own:
            return None
        runway = self.navdata.runway(airport, ident)
        return fix_of_record(runway.fix) if runway is not None else None

    def _coded_places(self, ident: str, *, where: str, airports: Collection[str]) -> tuple[Place, ...]:
        if self.navdata is None:
            return ()
        records = self.navdata.fixes(ident)
        if len(records) > _MOST_OF_ONE_IDENT:
            raise PlanError(
                f"the navigation data has {len(records):,} fixes called {shown(ident)}",
                where=where,
                remedy=f"Write the right one into the lesson as a [[fix]] {shown(ident)}.",
            )
        found = places_of_records(records)
        listed = [place for place in found if all(key.section is Section.LIST for key in place.keys)]
        if len(listed) > 1:
            raise PlanError(
                f"the fix {shown(ident)} stands at {len(listed)} places in the list of fixes",
                where=where,
                remedy=f"Write the right one into the lesson as a [[fix]] {shown(ident)}.",
            )
        return tuple(place for place in found if not place.airport or place.airport in airports) or found

    def _chosen(self, ident: str, places: tuple[Place, ...], airport: str | None) -> Place:
        mine = tuple(place for place in places if airport is not None and place.airport == airport)
        if len(places) == 1 or mine:
            return (mine or places)[0]
        on_plan = self._named.get(ident)
        if on_plan is not None and (same := next((place for place in places if place.fix == on_plan), None)):
            return same
        field = self.known(airport) if airport is not None else None
        near = (field,) if field is not None else self._route or tuple(self._named.values())
        chosen, note = nearest_to(ident, places, near)
        if note not in self.notes:
            self.notes.append(note)
        return chosen

    def _compare_with_own(self, own: Fix, coded: Fix | None) -> None:
        if coded is None or (apart := distance_nm(own, coded)) <= _OWN_DIFFERS_NM:
            return
        note = (
            f"{own.ident}: the lesson's own fix was taken, {apart:,.1f} NM from the {kind_word(coded)} of that ident "
            "in the navigation data."
        )
        if note not in self.notes:
            self.notes.append(note)

    def _from_track(self, ident: str, *, where: str) -> Fix | None:
        places = self._track.get(ident, [])
        if len(places) > 1:
            count = f"{len(places)}{' or more' if len(places) == MOST_PLACES else ''}"
            raise PlanError(
                f"the fix {shown(ident)} stands at {count} places in the track file",
                where=where,
                remedy=f"Write the right one into the lesson as a [[fix]] {shown(ident)}.",
            )
        return places[0] if places else None
