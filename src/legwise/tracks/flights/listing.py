"""Flights in words: a line each, for lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from legwise.model.instants import epoch_s, instant
from legwise.model.results import FlightSummary, Place
from legwise.model.track import Flight
from legwise.tracks.flights.aircraft import aircraft_words
from legwise.tracks.wording import places, stretch
from legwise.units import S_PER_H, S_PER_MIN

MOST_LISTED = 5
"""Flights that an error lists, so that it stays short."""


def flight_summary(flight: Flight) -> FlightSummary:
    """A flight for results."""
    return FlightSummary(
        number=flight.number,
        start=instant(flight.start_s),
        end=instant(flight.end_s),
        samples=flight.samples,
        aircraft=flight.aircraft or None,
        from_=Place(lat_deg=flight.start_lat_deg, lon_deg=flight.start_lon_deg),
        to=Place(lat_deg=flight.end_lat_deg, lon_deg=flight.end_lon_deg),
    )


def flight_line(flight: FlightSummary) -> str:
    """Number, aircraft, times, duration and places."""
    start_s, end_s = epoch_s(flight.start), epoch_s(flight.end)
    whose = f"{aircraft_words(flight.aircraft)}, " if flight.aircraft else ""
    times = stretch(round(start_s), round(end_s))
    way = f"from {place_words(flight.from_)} to {place_words(flight.to)}"
    return f"{flight.number}: {whose}{times} ({_duration(end_s - start_s)}), {way}"


def listed_flights(flights: Sequence[Flight]) -> list[str]:
    """A line for each of the first few, and one that counts the rest."""
    lines = [f"  {flight_line(flight_summary(flight))}" for flight in flights[:MOST_LISTED]]
    rest = len(flights) - len(lines)
    return [*lines, f"  and {rest} more, which 'legwise inspect' lists"] if rest else lines


def numbers(flights: Iterable[Flight]) -> str:
    """``flight 2``, ``flights 2 and 3``; of many the first few."""
    return places([flight.number for flight in flights], "flight")


def place_words(place: Place) -> str:
    """``46.199 N 27.580 W``."""
    north, east = "N" if place.lat_deg >= 0 else "S", "E" if place.lon_deg >= 0 else "W"
    return f"{abs(place.lat_deg):.3f} {north} {abs(place.lon_deg):.3f} {east}"


def _duration(seconds: float) -> str:
    minutes = round(seconds / S_PER_MIN)
    if minutes < 1:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(minutes, round(S_PER_H / S_PER_MIN))
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"
