"""Parts of a file as found: the records of one aircraft, and those of a stretch of time.

A stretch is meant by the times as they are put right (a clock that was set back), which are those that a list of
flights shows; what is cut out is mended anew.
"""

from __future__ import annotations

import dataclasses
from types import MappingProxyType

import numpy as np

from legwise.model.arrays import FloatArray, IntArray, readonly_floats, readonly_ints
from legwise.model.track import Fault, RawTrack, Samples, with_notes
from legwise.tracks.clocks.never_set import clock_was_set
from legwise.tracks.clocks.set_back import with_clock_set
from legwise.tracks.sphere import on_sphere

_OF_ALL = "(counted over the whole log)"
SEVERAL_AIRCRAFT = "several-aircraft"


def of_aircraft(raw: RawTrack, index: int) -> RawTrack:
    """The records of one aircraft, as a log of its own. The faults of the file stay with the file."""
    part = _part(raw, np.flatnonzero(raw.aircraft_index == index)) if raw.aircraft_index is not None else raw
    return dataclasses.replace(part, faults=())


def between(raw: RawTrack, start_s: float, end_s: float, aircraft: str = "") -> RawTrack:
    """The records from ``start_s`` to ``end_s``, of ``aircraft`` where several are named. [epoch seconds UTC]

    Records without a time go with the one before them in the file. What the reader found amiss was counted over the
    whole log, and says so.
    """
    own = raw
    if raw.aircraft_index is not None:
        own = _part(raw, np.flatnonzero(raw.aircraft_index == raw.aircraft.index(aircraft)))
    right_s = _times_put_right(own.samples)
    time_s = _with_those_before(right_s)
    inside = np.flatnonzero((time_s >= start_s) & (time_s <= end_s))
    part = _part(own, inside)
    moved_s = (right_s - own.samples.time_s)[inside]
    if np.nanmax(np.abs(moved_s), initial=0.0) > 0.0:
        # All moved by the least that any was: what is left to put right lies inside the part, and is found in it.
        by_s = moved_s[np.nanargmin(np.abs(moved_s))]
        samples = dataclasses.replace(part.samples, time_s=readonly_floats(part.samples.time_s + by_s))
        part = dataclasses.replace(part, samples=samples)
    faults = [
        Fault(kind=fault.kind, count=fault.count, detail=f"{fault.detail} {_OF_ALL}")
        for fault in raw.faults
        if fault.kind != SEVERAL_AIRCRAFT
    ]
    return dataclasses.replace(part, faults=tuple(faults))


def noted(raw: RawTrack, *notes: str) -> RawTrack:
    """``raw`` with further reading notes."""
    return dataclasses.replace(raw, source=with_notes(raw.source, *notes))


def used_times(raw: RawTrack) -> FloatArray:
    """The times of one aircraft's records that have one, and a position, as put right. [epoch seconds UTC]"""
    samples = raw.samples
    right_s = _times_put_right(samples)
    times: FloatArray = right_s[np.isfinite(right_s) & np.isfinite(samples.lat_deg) & np.isfinite(samples.lon_deg)]
    return times


def _times_put_right(samples: Samples) -> FloatArray:
    """The time of each record, as mending has it before it sorts them; NaN where there is none."""
    lat, lon = samples.lat_deg, samples.lon_deg
    has_time = clock_was_set(samples.time_s)
    right_s = np.where(has_time, samples.time_s, np.nan)
    placed = has_time & np.isfinite(lat) & np.isfinite(lon) & (np.abs(lat) <= 90.0) & ((lat != 0.0) | (lon != 0.0))
    rows = np.flatnonzero(placed)
    if np.any(np.diff(samples.time_s[rows]) < 0):
        points = on_sphere(lat[rows], lon[rows])
        right_s[rows] = with_clock_set(samples.time_s[rows], points, samples.line[rows]).time_s
    return right_s


def _with_those_before(time_s: FloatArray) -> FloatArray:
    """Times, and where there is none that of the record before; the first ones have that of the first known."""
    known = np.flatnonzero(np.isfinite(time_s))
    if not known.size:
        return np.full(len(time_s), np.nan)
    before = np.searchsorted(known, np.arange(len(time_s)), side="right") - 1
    filled: FloatArray = time_s[known[np.maximum(before, 0)]]
    return filled


def _part(raw: RawTrack, rows: IntArray) -> RawTrack:
    samples = raw.samples
    return dataclasses.replace(
        raw,
        samples=Samples(
            time_s=readonly_floats(samples.time_s[rows]),
            lat_deg=readonly_floats(samples.lat_deg[rows]),
            lon_deg=readonly_floats(samples.lon_deg[rows]),
            altitudes_ft=MappingProxyType(
                {kind: readonly_floats(values[rows]) for kind, values in samples.altitudes_ft.items()}
            ),
            channels=MappingProxyType(
                {name: readonly_floats(values[rows]) for name, values in samples.channels.items()}
            ),
            segment=readonly_ints(samples.segment[rows]),
            line=readonly_ints(samples.line[rows]),
        ),
        aircraft=(),
        aircraft_index=None,
    )
