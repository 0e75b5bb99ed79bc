"""The phase of flight of every sample."""

from __future__ import annotations

import numpy as np

from legwise.align.flight import Flight, Stretch
from legwise.align.flown import FlownLegs
from legwise.geodesy import inverse
from legwise.model.alignment import PHASE_CODE, FlownApproach, Phase
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.plan import Fix

TERMINAL_NM = 30.0
"""The terminal area: within 30 NM in a straight line of the aerodrome (FAA AIM 1-1-17 b5(e)(3))."""
_SAME_PLACE_NM = 3.0


def phases(
    flight: Flight, stretches: list[Stretch], legs: FlownLegs, approaches: tuple[FlownApproach, ...], missed: BoolArray
) -> tuple[IntArray, IntArray, BoolArray]:
    """Phase codes, the index of the flown approach (-1: none), and where the aircraft is established on a published
    part."""
    n = len(flight.track)
    phase = np.full(n, PHASE_CODE[Phase.EN_ROUTE], dtype=np.int64)
    departure, destination = _ends(flight)
    home, there = _distance_nm(flight, departure), _distance_nm(flight, destination)
    if destination is None and flight.plan.approaches:
        there = _runway_distance_nm(flight)
    near_home = home <= TERMINAL_NM
    near_there = there <= TERMINAL_NM
    phase[near_there] = PHASE_CODE[Phase.TERMINAL]
    if departure is not None:
        leaving = near_home & (home < there)
        if _same_place(departure, destination):
            leaving = near_home & (np.arange(n) < _first_leg_over(flight, stretches, legs))
        phase[leaving] = PHASE_CODE[Phase.DEPARTURE]
    number = np.full(n, -1, dtype=np.int64)
    established = np.zeros(n, dtype=np.bool_)
    for index, approach in enumerate(approaches):
        stop = approach.missed_start if approach.missed_start is not None else approach.stop
        number[approach.start : approach.stop] = index
        phase[approach.start : stop] = PHASE_CODE[Phase.APPROACH]
        established[approach.start : stop] = True
    phase[missed] = PHASE_CODE[Phase.MISSED]
    phase[flight.flying.on_ground] = PHASE_CODE[Phase.GROUND]
    established[flight.flying.on_ground] = False
    return phase, number, established


def _ends(flight: Flight) -> tuple[Fix | None, Fix | None]:
    """Departure and destination: the plan's, else the ends of its route where the log begins and ends on the ground
    near them."""
    route, plan = flight.plan.route, flight.plan
    departure, destination = plan.departure, plan.destination
    if not route:
        return departure, destination
    on_ground = flight.flying.on_ground
    if departure is None and on_ground[0]:
        departure = _near(flight, route[0].from_fix, 0)
    if destination is None and not plan.approaches and on_ground[-1]:
        destination = _near(flight, route[-1].to_fix, len(flight.track) - 1)
    return departure, destination


def _near(flight: Flight, fix: Fix | None, sample: int) -> Fix | None:
    if fix is None:
        return None
    away_nm = float(inverse(*flight.position(sample), fix.lat_deg, fix.lon_deg)[0])
    return fix if away_nm < _SAME_PLACE_NM else None


def _distance_nm(flight: Flight, fix: Fix | None) -> FloatArray:
    if fix is None:
        return np.full(len(flight.track), np.inf)
    samples = flight.track.samples
    return inverse(samples.lat_deg, samples.lon_deg, fix.lat_deg, fix.lon_deg)[0]


def _runway_distance_nm(flight: Flight) -> FloatArray:
    samples = flight.track.samples
    nearest = np.full(len(flight.track), np.inf)
    for approach in flight.plan.approaches:
        place = (
            approach.runway if approach.runway is not None else (approach.legs[-1].to_fix if approach.legs else None)
        )
        if place is not None:
            away = inverse(samples.lat_deg, samples.lon_deg, place.lat_deg, place.lon_deg)[0]
            nearest = np.minimum(nearest, away)
    return nearest


def _same_place(one: Fix, two: Fix | None) -> bool:
    if two is None:
        return False
    return float(inverse(one.lat_deg, one.lon_deg, two.lat_deg, two.lon_deg)[0]) < _SAME_PLACE_NM


def _first_leg_over(flight: Flight, stretches: list[Stretch], legs: FlownLegs) -> int:
    """The sample where the first leg flown ends; the whole flight where none was flown."""
    for stretch, leg in zip(stretches, legs.of_stretch, strict=True):
        if leg >= 0:
            return stretch.stop
    return len(flight.track)
