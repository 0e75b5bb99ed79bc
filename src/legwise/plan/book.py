"""The fixes that a lesson and a track file name, looked up by ident."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from difflib import get_close_matches

from legwise.errors import PlanError
from legwise.geodesy.geodesics import inverse
from legwise.geodesy.lines import MIN_LEG_NM
from legwise.model.lesson import Lesson
from legwise.model.plan import Fix, coordinates_of
from legwise.model.track import RoutePoint


class FixBook:
    """Every fix by its ident: the lesson's own first, then what the track file carries, then what approaches imply.

    The ident of a runway is a fix inside its own approach, before all others; elsewhere it is one where no other fix
    has that ident. An aerodrome that has no fix of its own stands at the threshold of the first runway given for it.
    """

    def __init__(self, lesson: Lesson, track_points: Iterable[RoutePoint]) -> None:
        self._own: dict[str, Fix] = {}
        for item in lesson.fix:
            self._own.setdefault(item.ident, Fix(**item.model_dump()))
        self._track: dict[str, list[Fix]] = {}
        for point in track_points:
            if point.ident:
                _add_place(self._track.setdefault(point.ident, []), fix_of(point))
        self._runways: dict[int, Fix] = {}
        self._implied: dict[str, Fix] = {}
        for index, approach in enumerate(lesson.approach):
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

    def find(self, ident: str, *, where: str, approach: int | None = None) -> Fix:
        """The fix of that ident.

        Raises
        ------
        PlanError
            There is none, naming the nearest; or the track file has it at two places.
        """
        if approach in self._runways and self._runways[approach].ident == ident:
            return self._note(self._runways[approach])
        fix = self._own.get(ident) or self._from_track(ident, where=where) or self._implied.get(ident)
        if fix is None:
            place = coordinates_of(ident.upper())
            if place is None:
                raise PlanError(f"the fix {ident} is unknown", where=where, remedy=self._remedy(ident))
            fix = Fix(ident=ident, lat_deg=place[0], lon_deg=place[1])
        return self._note(fix)

    def known(self, ident: str) -> Fix | None:
        """The fix of that ident, or None; a track file's ident at two places is not known."""
        places = self._track.get(ident, [])
        return self._own.get(ident) or (places[0] if len(places) == 1 else None) or self._implied.get(ident)

    def add(self, fixes: Iterable[Fix]) -> None:
        """Keep fixes that stand in a plan without having been looked up (a route of the track file)."""
        for fix in fixes:
            self._note(fix)

    def named(self) -> tuple[Fix, ...]:
        """The lesson's fixes and those that were looked up, each ident once."""
        return tuple(self._named.values())

    def _note(self, fix: Fix) -> Fix:
        self._named.setdefault(fix.ident, fix)
        return fix

    def _from_track(self, ident: str, *, where: str) -> Fix | None:
        places = self._track.get(ident, [])
        if len(places) > 1:
            raise PlanError(
                f"the fix {ident} stands at {len(places)} places in the track file",
                where=where,
                remedy=f"Write the right one into the lesson as a [[fix]] {ident}.",
            )
        return places[0] if places else None

    def _remedy(self, ident: str) -> str:
        known = [*self._own, *self._track, *self._implied]
        folded = {item.casefold(): item for item in reversed(known)}
        close = [folded[item] for item in get_close_matches(ident.casefold(), folded, n=3, cutoff=0.5)]
        nearest = f"The nearest known: {', '.join(close)}. Or write" if close else "Write"
        return f"{nearest} it into the lesson as a [[fix]] with ident, lat_deg, lon_deg."


def fix_of(point: RoutePoint, ident: str | None = None) -> Fix:
    """A track file's point as a fix, under another ident if one is given."""
    return Fix(ident=ident or point.ident, lat_deg=point.lat_deg, lon_deg=point.lon_deg)


def _add_place(places: list[Fix], fix: Fix) -> None:
    """Add ``fix`` unless one of ``places`` is the same place."""
    for other in places:
        if float(inverse(other.lat_deg, other.lon_deg, fix.lat_deg, fix.lon_deg)[0]) < MIN_LEG_NM:
            return
    places.append(fix)
