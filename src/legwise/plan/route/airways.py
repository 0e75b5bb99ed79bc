"""Airways: where a stretch of one is joined and left, what lies between, and by which variation its courses are."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from legwise.model.navdata import AirwayPoint, CodedAirway, FixKey, NavData
from legwise.plan.fixes.places import Place

_MOST_OF_ONE_FIX = 4
"""How often one fix of a stretch is looked at: an airway that passes a fix again and again is damaged data."""
_RNAV = re.compile("[KSU]?[LMNPQTYZ][0-9]")


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """One stretch of an airway, with the places of its fixes in it."""

    airway: CodedAirway
    by_key: dict[FixKey, tuple[int, ...]]
    by_ident: dict[str, tuple[int, ...]]

    @property
    def ident(self) -> str:
        """The airway's ident."""
        return self.airway.ident

    def at(self, place: Place) -> tuple[int, ...]:
        """Where a place stands in the stretch: by its records, or by its ident where it has none. Empty where not."""
        if not place.keys:
            return self.by_ident.get(place.fix.ident, ())
        return tuple(dict.fromkeys(index for key in place.keys for index in self.by_key.get(key, ())))

    def holds(self, place: Place) -> bool:
        """Whether the stretch passes a place."""
        return bool(self.at(place))

    def between(self, joined: Place, left: Place) -> tuple[int, int] | None:
        """Where it is joined and left, by the fewest fixes between; None where it does not lead from one to other."""
        pairs = [(a, b) for a in self.at(joined) for b in self.at(left) if a != b]
        return min(pairs, key=lambda pair: abs(pair[1] - pair[0])) if pairs else None


def stretches_of(navdata: NavData | None, ident: str) -> tuple[Stretch, ...]:
    """The stretches of an airway; none where there is no such airway."""
    return tuple(_stretch(airway) for airway in navdata.airways(ident)) if navdata is not None else ()


def _stretch(airway: CodedAirway) -> Stretch:
    by_key: dict[FixKey, list[int]] = {}
    by_ident: dict[str, list[int]] = {}
    for index, point in enumerate(airway.points):
        by_key.setdefault(point.fix, []).append(index)
        by_ident.setdefault(point.fix.ident, []).append(index)
    return Stretch(
        airway,
        {key: tuple(found[:_MOST_OF_ONE_FIX]) for key, found in by_key.items()},
        {ident: tuple(found[:_MOST_OF_ONE_FIX]) for ident, found in by_ident.items()},
    )


def best_stretch(stretches: Sequence[Stretch], joined: Place, left: Place) -> tuple[Stretch, int, int] | None:
    """The stretch that leads from one place to another by the fewest fixes, with their places in it; None where none
    does.
    """
    found = [(stretch, *pair) for stretch in stretches if (pair := stretch.between(joined, left)) is not None]
    return min(found, key=lambda item: abs(item[2] - item[1])) if found else None


def flown(stretch: Stretch, joined: int, left: int) -> tuple[AirwayPoint, ...]:
    """The points of a stretch after the joining fix, up to and with the leaving fix, in the order flown."""
    points = stretch.airway.points
    return points[joined + 1 : left + 1] if joined < left else tuple(reversed(points[left:joined]))


def against_its_direction(stretch: Stretch, joined: int, left: int) -> tuple[FixKey, FixKey] | None:
    """The first leg of what is flown that is coded for the other direction only, as flown; None where there is none."""
    points = stretch.airway.points
    forward = joined < left
    barred = "backward" if forward else "forward"
    for start, end in _pairs(joined, left):
        # A direction is coded with the leg that leads on from a point, in the order coded.
        if points[min(start, end)].direction == barred:
            return points[start].fix, points[end].fix
    return None


def _pairs(joined: int, left: int) -> Iterator[tuple[int, int]]:
    step = 1 if joined < left else -1
    return ((index, index + step) for index in range(joined, left, step))


def is_by_stations(ident: str) -> bool:
    """Whether the courses of an airway are radials of its stations, not those of an RNAV route.

    RNAV routes begin with L, M, N, P, Q, T, Y or Z (ICAO Annex 11, appendix 1, from memory). The charted course of the
    others is that of the station (the facility's declination: FAA AIM 1-1-17 b5(j)).
    """
    return _RNAV.match(ident) is None
