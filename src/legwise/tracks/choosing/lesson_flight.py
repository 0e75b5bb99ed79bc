"""Which of a log's flights a lesson is about: by its date, its times and its aerodromes, where they can tell."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from legwise.geodesy import inverse
from legwise.model.instants import instant
from legwise.model.lesson import Lesson, Time
from legwise.model.plan import coordinates_of
from legwise.model.track import Flight, Track
from legwise.tracks.choosing.lesson_times import lies_within, said_times
from legwise.tracks.choosing.log_date import days_of_log, rollover_words
from legwise.tracks.choosing.one_flight import none_chosen, take
from legwise.tracks.flights.listing import numbers
from legwise.units import S_PER_H

_AT_NM = 5.0
_SLACK_S = 120.0
"""What is noted to the minute may lie a little before a flight's first record, or after its last."""

_LANDED_MOST_S = 3 * S_PER_H
_MOST_TOGETHER = 4
"""A lesson with landings in it: so long on the ground, and so many flights. Common practice, no published source."""

_Position = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Choice:
    """The flights that are left, and why the others are not."""

    left: tuple[Flight, ...]
    reasons: tuple[str, ...] = ()

    def among(self, fitting: Sequence[Flight], reason: str) -> _Choice:
        """Only these, where some fit and not all do."""
        if not fitting or len(fitting) == len(self.left):
            return self
        return _Choice(tuple(fitting), (*self.reasons, reason))


def flight_of_lesson(track: Track, lesson: Lesson, route: Sequence[str] | None = None) -> Track:
    """The flight of ``track`` that the lesson is about; ``track`` itself where it holds one, or one was chosen.

    The date of the lesson leaves the flights of that day, its times those during which all of it was said, its
    aerodromes those that began and ended there (within 5 NM). ``route`` stands in place of the lesson's, as idents.
    Where the times run over neighbouring flights, or they together go from one aerodrome to the other (a landing in the
    middle of the lesson), those are taken together.

    Raises
    ------
    FlightError
        None fits, or more than one; the flights are listed.
    """
    if track.found is None:
        return track
    choice = _Choice(track.flights)
    date = lesson.lesson.date
    if date is not None:
        of_date = [flight for flight in choice.left if _is_of(flight, lesson)]
        if not of_date:
            raise none_chosen(track, f"none is of the lesson's date, {date}{_ran_over(track, lesson)}")
        choice = choice.among(of_date, f"the lesson is of {date}")
    said = list(said_times(lesson))
    if said:
        during = [flight for flight in choice.left if all(_said_during(when, flight, flight) for when in said)]
        if not during and (together := _together(choice.left, lambda run: _runs_over(run, said))):
            return take(track, together, "the lesson's times run over them")
        choice = choice.among(during, "the lesson's times lie in it")
    ends = _ends(lesson, track, route)
    if len(choice.left) > 1 and any(ends):
        between = [flight for flight in choice.left if _goes_between((flight,), ends)]
        if not between and all(ends) and (together := _together(choice.left, lambda run: _goes_between(run, ends))):
            return take(track, together, "they begin and end at the lesson's aerodromes")
        choice = choice.among(between, "its aerodromes are the lesson's")
    if len(choice.left) == 1:
        return take(track, choice.left, ", and ".join(choice.reasons))
    if lesson == Lesson():
        raise none_chosen(track, "which one is meant was not said")
    alike = f": {numbers(choice.left)} fit it alike" if len(choice.left) < len(track.flights) else ""
    raise none_chosen(track, f"the lesson does not tell which{alike}")


def _is_of(flight: Flight, lesson: Lesson) -> bool:
    return lesson.lesson.date in (instant(flight.start_s).date(), instant(flight.end_s).date())


def _ran_over(track: Track, lesson: Lesson) -> str:
    """What may explain that no flight is of the lesson's date: a week counter, or a date that the log invented."""
    date = lesson.lesson.date
    if date is None:
        return ""
    days = {(date - instant(flight.start_s).date()).days for flight in track.flights}
    why = next((words for each in sorted(days) if (words := rollover_words(each))), "")
    span = days_of_log(track.flights[0].start_s, track.flights[-1].end_s)
    if why:
        return f" ({why}; the log is of {span}): --date says the right one"
    if all(abs(each) > 1 for each in days):
        return (
            f" (the log is of {span}): where the log's own date is wrong, --date {date} takes the lesson's in its place"
        )
    return ""


def _said_during(when: Time, first: Flight, last: Flight) -> bool:
    return lies_within(when, first.start_s - _SLACK_S, last.end_s + _SLACK_S)


def _together(flights: Sequence[Flight], fits: Callable[[Sequence[Flight]], bool]) -> tuple[Flight, ...]:
    """The fewest neighbours that fit together; none where others would do as well."""
    for count in range(2, min(_MOST_TOGETHER, len(flights)) + 1):
        runs = [flights[first : first + count] for first in range(len(flights) - count + 1)]
        fitting = [run for run in runs if all(_is_next(one, other) for one, other in pairwise(run)) and fits(run)]
        if fitting:
            return tuple(fitting[0]) if len(fitting) == 1 else ()
    return ()


def _runs_over(run: Sequence[Flight], said: Sequence[Time]) -> bool:
    """Whether all was said over these flights, from some of it in the first to some in the last."""
    return all(_said_during(when, run[0], run[-1]) for when in said) and all(
        any(_said_during(when, flight, flight) for when in said) for flight in (run[0], run[-1])
    )


def _is_next(one: Flight, other: Flight) -> bool:
    """Whether a flight could be the other's going on, after a landing."""
    same = one.aircraft == other.aircraft and one.number + 1 == other.number
    return same and other.start_s - one.end_s <= _LANDED_MOST_S


def _ends(lesson: Lesson, track: Track, route: Sequence[str] | None) -> tuple[list[_Position], list[_Position]]:
    """Where the lesson begins, and where it can end: of the route's points with a known position the first and the
    last, and the runway of the last approach.
    """
    known: dict[str, _Position] = {}
    for point in (*track.waypoints, *track.route):
        known.setdefault(point.ident, (point.lat_deg, point.lon_deg))
    for approach in lesson.approach:
        if approach.runway is not None:
            known[approach.airport] = (approach.runway.lat_deg, approach.runway.lon_deg)
    landing = [known[approach.airport] for approach in lesson.approach[-1:] if approach.airport in known]
    known |= {fix.ident: (fix.lat_deg, fix.lon_deg) for fix in lesson.fix}
    named = [element.text for element in lesson.route.elements]
    idents = route or named or lesson.route.points or [point.ident for point in track.route]
    places = [known.get(ident) or coordinates_of(ident.upper()) for ident in idents]
    on_route = [place for place in places if place is not None]
    return on_route[:1], [*on_route[-1:], *landing]


def _goes_between(run: Sequence[Flight], ends: tuple[list[_Position], list[_Position]]) -> bool:
    """Whether the first began and the last ended there, as far as it is known."""
    begins, finishes = ends
    first, last = run[0], run[-1]
    return _is_at(first.start_lat_deg, first.start_lon_deg, begins) and _is_at(
        last.end_lat_deg, last.end_lon_deg, finishes
    )


def _is_at(lat_deg: float, lon_deg: float, places: Sequence[_Position]) -> bool:
    if not places:
        return True
    lats, lons = np.array(places).T
    away, _course, _arrival = inverse(np.full(len(lats), lat_deg), np.full(len(lons), lon_deg), lats, lons)
    return bool(np.min(away) <= _AT_NM)
