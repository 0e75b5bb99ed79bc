"""Where legs end that no fix ends, as far as can be told beforehand: a spread of places, with the courses there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from legwise.geodesy.geodesics import direct
from legwise.geodesy.meeting import meets_circle, meets_radial
from legwise.geodesy.rays import ray_from
from legwise.model.plan import Leg

CLIMB_LEAST_FT_PER_NM: Final = 200.0
"""The least climb gradient of a departure or a missed approach (FAA AIM 5-2-9 e1, 5-4-21 b)."""
CLIMB_MOST_FT_PER_NM: Final = 500.0
"""What light aircraft seldom better: 750 ft/min at 90 kt. Common practice, no published source."""
_RUNWAY_NM: Final = 1.0
"""How long a take-off run with the rest of the runway may be, where a climb is counted from a threshold. Our choice."""
_DRIFT_DEG: Final = 10.0
"""On a heading the track lies within this: a crosswind of 17 kt at 100 kt. Our choice."""
_DISTANCES: Final = 9
_MOST_SPOTS: Final = 27
_REACH_NM: Final = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """Between which altitudes a climb begins [ft], None where not known, and how far before its fix it may [NM]."""

    low_ft: float | None
    high_ft: float | None
    before_nm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where an aircraft may be, on which course [deg true], and between which altitudes."""

    lat_deg: float
    lon_deg: float
    course_deg_true: float | None
    climb: Climb


def spots_after(legs: Sequence[Leg], start: Spot) -> tuple[Spot, ...]:
    """Where ``legs``, all of them open, may end that begin at ``start``; nothing where that can't be told.

    To an altitude between the least and the most that is climbed; to a radial or a distance where it is met; a heading
    with some drift. The radius of the turns between them is left out.
    """
    spots: tuple[Spot, ...] = (start,)
    for leg in legs:
        ends = [_ends_of(leg, spot) for spot in spots]
        if not ends or not all(ends):
            return ()
        found = [spot for group in ends for spot in group]
        step = max(1, -(-len(found) // _MOST_SPOTS))
        spots = tuple(dict.fromkeys((*found[::step], found[-1])))
    return spots


def _ends_of(leg: Leg, spot: Spot) -> list[Spot]:
    end = leg.end
    if end is None:
        return []
    if end.kind in ("distance", "dme") and leg.path is not None:
        lat, lon = leg.path.point_at(np.zeros(1))
        place = Spot(
            lat_deg=float(lat[0]),
            lon_deg=float(lon[0]),
            course_deg_true=leg.path.end_course_deg_true,
            climb=_climbed(leg, spot.climb),
        )
        return [place]
    return [found for course in _tracks(leg) for found in _ends_on(leg, spot, course)]


def _tracks(leg: Leg) -> tuple[float, ...]:
    """The courses over the ground that a leg may make good. [deg true]"""
    if leg.heading_deg_true is not None:
        return tuple(leg.heading_deg_true + drift for drift in (-_DRIFT_DEG, 0.0, _DRIFT_DEG))
    return () if leg.course_deg_true is None else (leg.course_deg_true,)


def _ends_on(leg: Leg, spot: Spot, course_deg_true: float) -> Iterator[Spot]:
    end = leg.end
    if end is None:
        return
    climb = _climbed(leg, spot.climb)
    if end.kind == "altitude":
        for distance in _climb_distances_nm(leg, spot.climb):
            lat, lon, there_deg = direct(spot.lat_deg, spot.lon_deg, course_deg_true, distance)
            yield Spot(lat_deg=float(lat), lon_deg=float(lon), course_deg_true=float(there_deg), climb=climb)
        return
    ray = ray_from(spot.lat_deg, spot.lon_deg, course_deg_true)
    station = end.station
    met = None
    if end.kind == "radial" and station is not None and end.radial_deg_true is not None:
        met = meets_radial(ray, station.lat_deg, station.lon_deg, end.radial_deg_true, within_nm=_REACH_NM)
    elif end.kind == "dme" and station is not None and end.distance_nm is not None:
        met = meets_circle(ray, station.lat_deg, station.lon_deg, end.distance_nm, within_nm=_REACH_NM)
    if met is not None:
        there = ray.measure(np.array([met.lat_deg]), np.array([met.lon_deg]))
        course = float(there.course_deg_true[0])
        yield Spot(lat_deg=met.lat_deg, lon_deg=met.lon_deg, course_deg_true=course, climb=climb)


def _altitude_ft(leg: Leg) -> float | None:
    """The altitude that ends a leg. [ft]"""
    window = leg.altitude
    if window is None:
        return None
    return window.low_ft if window.low_ft is not None else window.high_ft


def _climb_distances_nm(leg: Leg, climb: Climb) -> tuple[float, ...]:
    """How far the climb to a leg's altitude may lead; nothing where it is not known where it begins. [NM]"""
    target = _altitude_ft(leg)
    if target is None or climb.low_ft is None:
        return ()
    highest = target if climb.high_ft is None else min(climb.high_ft, target)
    nearest = (target - highest) / CLIMB_MOST_FT_PER_NM - climb.before_nm
    farthest = max(0.0, target - climb.low_ft) / CLIMB_LEAST_FT_PER_NM
    if leg.from_fix is not None and leg.from_fix.kind == "runway":
        farthest += _RUNWAY_NM
    return tuple(float(distance) for distance in np.linspace(nearest, max(nearest, farthest), _DISTANCES))


def _climbed(leg: Leg, climb: Climb) -> Climb:
    """The altitudes after a leg: at its own where that ends it, else anything from there on that is not known."""
    target = _altitude_ft(leg)
    if leg.end is not None and leg.end.kind == "altitude" and target is not None:
        return Climb(low_ft=target, high_ft=target)
    return replace(climb, high_ft=None, before_nm=0.0)
