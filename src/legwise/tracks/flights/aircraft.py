"""A log that names several aircraft: the records of each are a log of its own, mended as such."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

from legwise.errors import TrackTimeError
from legwise.model.track import Fault, Flight, RawTrack, Track
from legwise.tracks.flights.cutting import SEVERAL_AIRCRAFT, of_aircraft
from legwise.tracks.flights.parting import several_flights_faults
from legwise.tracks.wording import listed, shown

MOST_AIRCRAFT = 100
"""A log that names more is a receiver's of everything in reach, and none of a lesson."""

_MOST_TOLD = 3
_MOST_DETAIL = 300


def mend_each(raw: RawTrack, mend: Callable[[RawTrack], Track]) -> Track:
    """The aircraft of ``raw`` mended one by one, as one track: that of the one with the most records.

    The flights are those of all of them, numbered on from one aircraft to the next. An aircraft with too few records
    is told and left out; where all have too few, the last one's :class:`TrackTimeError` is raised.
    """
    tracks: list[Track] = []
    flights: list[Flight] = []
    names: list[str] = []
    without: list[str] = []
    failure: TrackTimeError | None = None
    for index, name in enumerate(raw.aircraft):
        try:
            track = mend(of_aircraft(raw, index))
        except TrackTimeError as error:
            failure = error
            without.append(name)
            continue
        tracks.append(track)
        names.append(name)
        flights += [
            dataclasses.replace(flight, number=len(flights) + number, aircraft=name)
            for number, flight in enumerate(track.flights, 1)
        ]
    if not tracks:
        raise failure or ValueError("a log of several aircraft names none")
    fullest = max(range(len(tracks)), key=lambda index: len(tracks[index]))
    faults = _of_all(names, tracks, [_with_the_left_out(fault, without) for fault in raw.faults])
    return dataclasses.replace(
        tracks[fullest],
        faults=(*faults, *several_flights_faults(tuple(flights))),
        flights=tuple(flights),
        found=raw if len(flights) > 1 else None,
        others=tuple(track for index, track in enumerate(tracks) if index != fullest),
    )


def aircraft_words(name: str) -> str:
    """``aircraft “A”``, or what stands for the records that name none."""
    return f"aircraft {shown(name, 30)}" if name else "an aircraft without a name"


def _with_the_left_out(fault: Fault, without: list[str]) -> Fault:
    if fault.kind != SEVERAL_AIRCRAFT or not without:
        return fault
    detail = f"{fault.detail}; too few records with a time and a position of {listed(without, 4)}, left out"
    return dataclasses.replace(fault, detail=detail)


def _of_all(names: list[str], tracks: list[Track], of_file: list[Fault]) -> list[Fault]:
    """The faults of the file and of all aircraft, one of a kind, with whose they are."""
    by_kind: dict[str, list[tuple[str, Fault]]] = {}
    of_kind: dict[str, list[Fault]] = {}
    for fault in of_file:
        of_kind.setdefault(fault.kind, []).append(fault)
    for name, track in zip(names, tracks, strict=True):
        for fault in track.faults:
            if fault.kind != "several-flights":
                by_kind.setdefault(fault.kind, []).append((name, fault))
    return [
        Fault(
            kind=kind,
            count=sum(fault.count for fault in of_kind.get(kind, []))
            + sum(fault.count for _name, fault in by_kind.get(kind, [])),
            detail=". ".join([*(fault.detail for fault in of_kind.get(kind, [])), *_told(by_kind.get(kind, []))]),
        )
        for kind in dict.fromkeys((*of_kind, *by_kind))
    ]


def _told(same: list[tuple[str, Fault]]) -> list[str]:
    told = [f"{aircraft_words(name)}: {_short(fault.detail)}" for name, fault in same[:_MOST_TOLD]]
    rest = len(same) - len(told)
    return [*told, f"{rest} more aircraft"] if rest else told


def _short(text: str) -> str:
    return text if len(text) <= _MOST_DETAIL else f"{text[:_MOST_DETAIL]}…"
