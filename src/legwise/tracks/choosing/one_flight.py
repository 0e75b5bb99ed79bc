"""One flight out of a log: by its number, or by a range of time. It is cut out of the records as found, then mended,
so that what is counted is of that flight alone.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

import numpy as np

from legwise.errors import FlightError
from legwise.model.instants import instant
from legwise.model.track import Flight, RawTrack, Track
from legwise.tracks.choosing.moments import Bound, Moment, moment_of, range_in
from legwise.tracks.flights.aircraft import aircraft_words
from legwise.tracks.flights.cutting import between, noted, of_aircraft, used_times
from legwise.tracks.flights.listing import listed_flights, numbers
from legwise.tracks.mending.mend import mend
from legwise.tracks.wording import joined, stretch

_HOW = "Say which: --flight N, or a range of time: --from TIME --to TIME."


def choose(
    raw: RawTrack,
    *,
    flight: int | None = None,
    start: Moment | None = None,
    end: Moment | None = None,
    places: tuple[str, str] = ("between[0]", "between[1]"),
) -> Track:
    """The flight of a log that was said, mended; all of it where nothing was said.

    Parameters
    ----------
    flight
        Its number among the log's flights.
    start, end
        The range to be read, as one flight whatever it holds; with ``flight``, of that flight.
    places
        What messages about ``start`` and ``end`` call them.

    Raises
    ------
    FlightError
        There is no such flight, or nothing in that range, or it holds several aircraft.
    CallError
        ``start`` or ``end`` is no time.
    TrackTimeError
        Too little of it can be used.
    """
    from_: Bound = None if start is None else moment_of(start, places[0])
    to: Bound = None if end is None else moment_of(end, places[1])
    if flight is None and from_ is None and to is None:
        return mend(raw)
    track = mend(raw) if flight is not None else None
    aircraft, bounds, taken = "", (-np.inf, np.inf), None
    where = raw.source.where
    if track is not None and flight is not None:
        taken = _numbered(track, flight, where)
        if from_ is None and to is None:
            return take(track, [taken], "as was said")
        aircraft, bounds = taken.aircraft, (taken.start_s, taken.end_s)
    elif len(raw.aircraft) > 1:
        aircraft = _aircraft_in(raw, from_, to, where)
    own = of_aircraft(raw, raw.aircraft.index(aircraft)) if len(raw.aircraft) > 1 else raw
    times = used_times(own)
    times = times[(times >= bounds[0]) & (times <= bounds[1])]
    if not times.size:
        return mend(own)  # which tells what is wrong with it
    first_s, last_s = range_in(times, from_, to, where)
    return _range(raw, max(first_s, bounds[0]), min(last_s, bounds[1]), aircraft, taken)


def take(track: Track, flights: Sequence[Flight], why: str) -> Track:
    """These flights (neighbours, of one aircraft) out of a log that holds more. ``why`` ends the note that tells."""
    if track.found is None:
        return track
    first, last = flights[0], flights[-1]
    together = " together" if len(flights) > 1 else ""
    verb = "is" if len(flights) == 1 else "are"
    whose = f" ({aircraft_words(first.aircraft)})" if len(track.found.aircraft) > 1 else ""
    note = f"{numbers(flights)} of {len(track.flights)}{whose} {verb} taken{together}: {why}"
    part = between(track.found, first.start_s, last.end_s, first.aircraft)
    mended = mend(noted(part, note), as_one=True)
    word = f"{first.number}" if len(flights) == 1 else f"{first.number}-{last.number}"
    return dataclasses.replace(mended, flights=tuple(flights), taken=word)


def none_chosen(track: Track, why: str) -> FlightError:
    """The error of a log with several flights of which none was chosen."""
    return FlightError(
        "\n".join([f"the log holds {len(track.flights)} flights, and {why}", *listed_flights(track.flights)]),
        where=track.source.where,
        remedy=_HOW,
    )


def _numbered(track: Track, number: int, where: str) -> Flight:
    for flight in track.flights:
        if flight.number == number:
            return flight
    if len(track.flights) == 1:
        raise FlightError(
            f"the log holds one flight, and no flight {number}",
            where=where,
            remedy="Leave out the number of the flight.",
        )
    raise FlightError(
        "\n".join(
            [f"the log holds {len(track.flights)} flights, and none is {number}", *listed_flights(track.flights)]
        ),
        where=where,
        remedy=_HOW,
    )


def _aircraft_in(raw: RawTrack, from_: Bound, to: Bound, where: str) -> str:
    """The one aircraft with records in the range."""
    found: list[str] = []
    failure: FlightError | None = None
    for index, name in enumerate(raw.aircraft):
        times = used_times(of_aircraft(raw, index))
        if times.size < 2:
            continue
        try:
            range_in(times, from_, to, where)
        except FlightError as error:
            failure = error
        else:
            found.append(name)
    if len(found) == 1:
        return found[0]
    if not found:
        if failure is None:
            return raw.aircraft[0]
        range_in(used_times(raw), from_, to, where)  # of all of them: what is wrong is told by their whole span
        raise failure
    some = joined([aircraft_words(name) for name in found[:3]] + ([f"{len(found) - 3} more"] if len(found) > 3 else []))
    raise FlightError(
        f"the range holds records of {len(found)} aircraft: {some}",
        where=where,
        remedy="Say a flight with it: --flight N; 'legwise inspect' lists them.",
    )


def _range(raw: RawTrack, start_s: float, end_s: float, aircraft: str, of: Flight | None) -> Track:
    part = between(raw, start_s, end_s, aircraft)
    times = used_times(part)
    first_s, last_s = float(times.min()), float(times.max())
    whose = f", {aircraft_words(aircraft)}" if len(raw.aircraft) > 1 else ""
    of_flight = f" of flight {of.number}{whose}" if of is not None else whose
    note = f"the records from {stretch(first_s, last_s)}{of_flight} are taken, as one flight, as was said"
    track = mend(noted(part, note), as_one=True)
    flights = tuple(dataclasses.replace(flight, aircraft=aircraft) for flight in track.flights)
    word = f"{instant(first_s):%Y%m%d-%H%M%S}-{instant(last_s):%H%M%S}"
    return dataclasses.replace(track, flights=flights, taken=word)
