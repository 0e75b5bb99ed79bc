"""What one ident may stand for: a place with where it comes from, and the words that tell places apart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from legwise.geodesy.geodesics import inverse
from legwise.geodesy.lines import MIN_LEG_NM
from legwise.model.navdata import CodedFix, FixKey
from legwise.model.plan import Fix
from legwise.model.track import RoutePoint

SAME_PLACE_NM = 0.05
"""Nearer than this two records of one ident are one place (a station's records differ in their last digits)."""
MOST_PLACES = 20
"""Of one ident in a track file."""
_LONGEST_WORD = 24
_STATIONS = ("vor", "ndb", "dme")
_KIND_WORDS = {
    "waypoint": "waypoint",
    "vor": "VOR",
    "ndb": "NDB",
    "dme": "DME",
    "airport": "aerodrome",
    "runway": "runway",
}
_WINDS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A fix that an ident may mean. ``keys`` are the records of it: none where it is not from navigation data.

    ``region`` is the region of its record, "" where it has none; ``airport`` the aerodrome of a terminal fix.
    """

    fix: Fix
    keys: tuple[FixKey, ...] = ()
    region: str = ""
    airport: str = ""


def fix_of_record(coded: CodedFix, ident: str | None = None) -> Fix:
    """A record's fix as the plan has it; under another ident if one is given.

    Only a station keeps its variation: a course to or from it is by its declination (0 where it is aligned to true
    north), one at a waypoint or an aerodrome by the model.
    """
    variation = None
    if coded.kind in _STATIONS:
        variation = 0.0 if coded.is_true else coded.variation_deg
    return Fix(
        ident=ident or coded.ident,
        lat_deg=coded.lat_deg,
        lon_deg=coded.lon_deg,
        kind=coded.kind,
        elevation_ft=coded.elevation_ft,
        variation_deg=variation,
    )


def places_of_records(records: Iterable[CodedFix]) -> tuple[Place, ...]:
    """The records of one ident as places; several records of one place are one, with the keys of all."""
    found: list[Place] = []
    for coded in records:
        place = Place(fix=fix_of_record(coded), keys=(coded.key,), region=coded.key.region, airport=coded.key.airport)
        apart = distances_nm([place.fix], [other.fix for other in found])[0] if found else np.empty(0)
        if not found or apart.min() >= SAME_PLACE_NM:
            found.append(place)
            continue
        nearest = int(apart.argmin())
        # The en-route record tells more than the terminal one, a station more than a waypoint.
        first, second = sorted(
            (found[nearest], place), key=lambda item: (bool(item.airport), item.fix.kind == "waypoint")
        )
        found[nearest] = Place(
            fix=first.fix, keys=(*first.keys, *second.keys), region=first.region, airport=first.airport
        )
    return tuple(found)


def fix_of_point(point: RoutePoint, ident: str | None = None) -> Fix:
    """A track file's point as a fix, under another ident if one is given."""
    return Fix(ident=ident or point.ident, lat_deg=point.lat_deg, lon_deg=point.lon_deg)


def add_place(places: list[Fix], fix: Fix) -> None:
    """Add ``fix`` unless one of ``places`` is the same place, too near to lead a leg from one to the other.

    No more than MOST_PLACES are kept: that many are too many already.
    """
    if len(places) < MOST_PLACES and all(distance_nm(other, fix) >= MIN_LEG_NM for other in places):
        places.append(fix)


def distance_nm(one: Fix, other: Fix) -> float:
    """Geodesic distance between two fixes. [NM]"""
    return float(inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)[0])


def distances_nm(ones: Sequence[Fix], others: Sequence[Fix]) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Geodesic distances of each of ``ones`` from each of ``others``, shape (len(ones), len(others)). [NM]"""
    lat = np.array([fix.lat_deg for fix in ones])[:, None]
    lon = np.array([fix.lon_deg for fix in ones])[:, None]
    found: np.ndarray[tuple[int, int], np.dtype[np.float64]] = inverse(
        lat, lon, [fix.lat_deg for fix in others], [fix.lon_deg for fix in others]
    )[0]
    return found


def kind_word(fix: Fix) -> str:
    """What a fix is: "waypoint", "VOR", "aerodrome"."""
    return _KIND_WORDS[fix.kind]


def whereabouts(place: Place, seen_from: Fix) -> str:
    """Where a place is, for a pilot: "a VOR 340 NM north-west of it (region K2)"."""
    fix = place.fix
    distance, course, _ = inverse(seen_from.lat_deg, seen_from.lon_deg, fix.lat_deg, fix.lon_deg)
    wind = _WINDS[round(float(course) / 45.0) % 8]
    miles = f"{float(distance):.1f}" if float(distance) < 10 else f"{float(distance):,.0f}"
    held_by = f"of {shown(place.airport)}" if place.airport else f"region {shown(place.region)}" if place.region else ""
    article = "an" if kind_word(fix)[0] in "aeiouN" else "a"
    return f"{article} {kind_word(fix)} {miles} NM {wind} of it" + (f" ({held_by})" if held_by else "")


def shown(text: str) -> str:
    """A text from a file as a message shows it: cut, with what can't be printed as "?"."""
    cut = text if len(text) <= _LONGEST_WORD else text[: _LONGEST_WORD - 1] + "…"
    return "".join(letter if letter.isprintable() else "?" for letter in cut)
