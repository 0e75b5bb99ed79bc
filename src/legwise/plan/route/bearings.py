"""Points of a route by magnetic bearing and distance from a fix: ``SKH180040``."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence

from legwise.errors import PlanError
from legwise.geodesy.geodesics import direct
from legwise.model.plan import Fix
from legwise.plan.fixes.places import Place
from legwise.plan.variation import Variation


def bearing_distance_places(text: str, stations: Sequence[Place], variation: Variation) -> tuple[Place, ...]:
    """The point that ``text`` names from each of the places its fix may mean.

    The last six digits are the magnetic bearing from the fix and the distance in NM. The bearing is made true by the
    station's own declination where it has one, else by the model's variation at the fix; the point lies on the geodesic
    (the direct problem).

    Raises
    ------
    PlanError
        A bearing above 360, a distance of 0, or no variation on that date.
    """
    bearing_deg_mag, distance_nm = float(text[-6:-3]), float(text[-3:])
    if bearing_deg_mag > 360:
        raise PlanError(
            f"the bearing {text[-6:-3]} is above 360°",
            remedy="Write the fix, three digits of magnetic bearing and three of NM, like SKH180040.",
        )
    if distance_nm == 0:
        raise PlanError("the distance is 0 NM", remedy=f"Write the fix alone: {text[:-6]}.")
    found = []
    for place in stations:
        fix = place.fix
        lat, lon, _ = direct(fix.lat_deg, fix.lon_deg, variation.true_course(bearing_deg_mag, fix), distance_nm)
        point = Fix(ident=text, lat_deg=float(lat), lon_deg=float(lon))
        found.append(dataclasses.replace(place, fix=point, keys=()))
    return tuple(found)


def bearing_notes(
    meant: Iterable[tuple[Place, Sequence[Place]]], stations: Mapping[str, Sequence[Fix]], variation: Variation
) -> Iterator[str]:
    """By which variation each bearing of a route was made true: that of the station whose point was chosen.

    ``meant`` are the points that were chosen, each with those that it was chosen from; ``stations`` are what each text
    counts from, in the order of these.
    """
    for chosen, places in meant:
        counted_from = stations.get(chosen.fix.ident, ())
        if len(counted_from) == len(places):
            station = next((fix for fix, place in zip(counted_from, places, strict=True) if place is chosen), None)
            if station is not None:
                yield bearing_note(chosen.fix.ident, station, variation)


def bearing_note(text: str, station: Fix, variation: Variation) -> str:
    """By which variation the bearing was made true, in words."""
    degrees = variation.at(station)
    whose = "the model's" if station.variation_deg is None else f"{station.ident}'s own"
    side = "east" if degrees >= 0 else "west"
    return f"{text}: its bearing is magnetic by {whose} variation, {abs(degrees):.1f}° {side}."
