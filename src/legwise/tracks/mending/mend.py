"""A raw track to one that can be debriefed. As little as can be is left out, and nothing without being counted."""

from __future__ import annotations

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import BoolArray, IntArray, readonly_floats
from legwise.model.flown_time import flown_clock_s
from legwise.model.track import Fault, RawTrack, Samples, Track, with_notes
from legwise.tracks.altitude.evidence import tell_altitudes
from legwise.tracks.clocks.never_set import clock_was_set
from legwise.tracks.flights.aircraft import mend_each
from legwise.tracks.flights.parting import flights_in, several_flights_faults
from legwise.tracks.mending import defects
from legwise.tracks.mending.dropouts import dropout_faults
from legwise.tracks.mending.held import Held, held_of
from legwise.tracks.mending.impossible import without_impossible_values
from legwise.tracks.mending.motion import Flown, motion_of
from legwise.tracks.mending.notes import late_start_note, smoothness_note
from legwise.tracks.mending.placing import Placed, placed
from legwise.tracks.mending.resets import altitude_resets, reset_faults
from legwise.tracks.mending.speed_edges import edge_faults
from legwise.tracks.wording import clock, places, several

_FAR_FROM_ZERO_DEG = 1.0

_UNREADABLE = ("unreadable-value", "unreadable-time", "damaged-record", "bad-checksum", "cut-short", "ragged-row")
"""Faults of reading that may tell why too little of a log can be used."""

_MOST_JUMPS = 50
"""A log that goes on elsewhere more often was not put there so often: its positions are bad. The jumps are told, and
nothing is derived across them, but they make no parts. Common practice, no published source.
"""


def mend(raw: RawTrack, *, as_one: bool = False) -> Track:
    """Leave out what can't be used, put the rest in the order of time, flag what is odd, derive the motion.

    Left out are records without a usable time or position, the later ones of equal times, and positions that no
    aircraft could reach; values that no aircraft could have become missing. Everything else is kept and, where it is
    odd, told in ``faults``. Raises :class:`TrackTimeError` where fewer than two samples are left.

    The flights are found and listed; ``as_one`` takes the log for one flight, whatever it holds. Where it names several
    aircraft, each is mended by itself (:func:`legwise.tracks.flights.aircraft.mend_each`).
    """
    if len(raw.aircraft) > 1:
        return mend_each(raw, mend)
    faults = list(raw.faults)
    samples = raw.samples
    usable, blank_faults = _usable(samples)
    faults += blank_faults
    read = int(np.count_nonzero(usable))
    if read < 2:
        raise _too_few(raw, usable)
    keep = np.flatnonzero(usable)
    zero = _at_zero(samples, keep)
    if _is_nowhere(samples, keep):
        raise TrackTimeError(
            f"no usable position: latitude 0, longitude 0 in all {len(keep)} records that have one",
            where=raw.source.where,
            remedy="The receiver had no fix. Give a log in which it had one.",
        )
    if zero.any():
        faults.append(_zero_fault(samples, keep[zero]))
        keep = keep[~zero]
    track = placed(samples, keep)
    faults += track.faults
    if len(track.samples) < 2:
        raise _too_few(raw, usable)
    kept, impossible = without_impossible_values(track.samples)
    faults += impossible
    altitudes = tell_altitudes(kept, raw.barometric)
    kept = altitudes.samples
    faults += altitudes.faults
    # Rounded, so that ten a second are ten; never zero.
    interval_s = max(round(float(np.median(np.diff(kept.time_s))), 6), 1e-6)
    gap_s = defects.gap_threshold_s(interval_s)
    resets = altitude_resets(kept, track.samples, gap_s)
    breaks = np.union1d(track.breaks, resets)
    cuts = np.union1d(breaks, track.gaps)
    held = held_of(kept, track.clock_s, track.points, cuts, gap_s)
    flown = _flown(track, held, defects.gaps_in(kept.time_s, interval_s), cuts)
    found = motion_of(kept, flown)
    faults += _segment_faults(kept)
    faults += reset_faults(kept, resets)
    faults += defects.gap_faults(kept, defects.gaps_in(kept.time_s, interval_s), interval_s)
    faults += held.faults
    faults += defects.standing_faults(kept, found.motion, list(flown.gaps))
    edges, edges_at = edge_faults(kept, flown.clock_s, track.points, np.union1d(cuts, _afters(flown)))
    faults += edges
    faults += defects.sudden_faults(kept, flown.clock_s, held.held, list(flown.gaps), interval_s, edges_at)
    faults += dropout_faults(track.samples, found.motion, gap_s)
    read_time_s = np.concatenate([track.read_time_s, samples.time_s[np.flatnonzero(usable)[zero]]])
    flights = flights_in(kept, found.motion, read_time_s=read_time_s, gap_s=gap_s, held=held.held, as_one=as_one)
    faults += several_flights_faults(flights)
    faults += [Fault(kind="contradicted-channel", count=1, detail=words) for words in found.contradicted]
    notes = (
        *altitudes.notes,
        *track.notes,
        *found.notes,
        *late_start_note(kept, found.motion),
        *smoothness_note(kept, found.motion, held.held, gap_s),
    )
    return Track(
        samples=kept,
        source=with_notes(raw.source, *notes),
        motion=found.motion,
        route=raw.route,
        waypoints=raw.waypoints,
        faults=_merged(faults),
        samples_read=read,
        first_time_s=float(read_time_s.min()),
        last_time_s=float(read_time_s.max()),
        interval_s=interval_s,
        gaps=flown.gaps,
        breaks=tuple(breaks.tolist()) if len(breaks) <= _MOST_JUMPS else (),
        held=held.held,
        time_factor=None if flown.factor is None else readonly_floats(flown.factor),
        flights=flights,
        found=raw if len(flights) > 1 else None,
        altitude=altitudes.finding,
    )


def _flown(track: Placed, held: Held, gaps: list[tuple[int, int]], cuts: IntArray) -> Flown:
    """By which clock the samples were flown, and what nothing is derived across."""
    factor = track.factor
    if held.paused is not None:
        factor = np.where(held.paused, 0.0, 1.0 if factor is None else factor)
    every_gap = {*gaps, *((index - 1, index) for index in cuts.tolist()), *held.cuts}
    return Flown(
        rows=np.arange(len(track.samples)) if held.held is None else np.flatnonzero(~held.held),
        clock_s=flown_clock_s(track.samples.time_s, factor),
        factor=factor,
        paused=held.paused,
        gaps=tuple(sorted(every_gap)),
    )


def _afters(flown: Flown) -> IntArray:
    return np.array([after for _before, after in flown.gaps], dtype=np.int64)


def _usable(samples: Samples) -> tuple[BoolArray, list[Fault]]:
    """Records with a time and a position, and the faults of the others."""
    has_time = np.isfinite(samples.time_s)
    set_clock = clock_was_set(samples.time_s)
    given = np.isfinite(samples.lat_deg) & np.isfinite(samples.lon_deg)
    on_earth = given & (np.abs(samples.lat_deg) <= 90.0) & (samples.lon_deg >= -180.0) & (samples.lon_deg < 180.0)
    faults: list[Fault] = []
    for bad, kind, words in (
        (~has_time, "no-time", "no time"),
        (has_time & ~set_clock, "unset-clock", "a time before 1990 or after 2099"),
        (~given, "blank-position", "no position"),
        (given & ~on_earth, "blank-position", "a latitude beyond 90° or a longitude beyond 360°"),
    ):
        if bad.any():
            detail = f"{words} in {places(samples.line[bad].tolist())}; left out"
            faults.append(Fault(kind=kind, count=int(bad.sum()), detail=detail))
    return has_time & set_clock & on_earth, faults


def _too_few(raw: RawTrack, usable: BoolArray) -> TrackTimeError:
    samples = raw.samples
    timed = int(np.count_nonzero(np.isfinite(samples.time_s)))
    unset = timed - int(np.count_nonzero(clock_was_set(samples.time_s)))
    placed = int(np.count_nonzero(np.isfinite(samples.lat_deg) & np.isfinite(samples.lon_deg)))
    beyond = int(np.count_nonzero(np.abs(samples.lat_deg) > 90.0))
    remedy = "Give the log of the whole flight."
    if not len(samples):
        message = "headings, but no records" if raw.source.format == "CSV" else "no records"
    elif len(samples) == 1:
        message = "there is only one record, and a track needs two"
    elif len(samples) and beyond == placed > 0:
        message = "no usable position: the latitude is beyond 90° in every record"
        remedy = "Are latitude and longitude exchanged, or in another form than degrees?"
    elif unset and unset > timed - unset:
        message = (
            f"the recorder's clock was not set: {unset} of {len(samples)} records have a time before 1990 or after 2099"
        )
        remedy = "Say the date of the flight (--date YYYY-MM-DD), or give a log whose times are those of the flight."
    else:
        message = (
            f"{int(np.count_nonzero(usable))} of {len(samples)} records have both a time and a position to use, "
            f"two different times are needed ({timed - unset} with a time, {placed} with a position)"
        )
        lacks = "times" if timed - unset < 2 else "positions" if placed < 2 else "times and positions"
        remedy = f"Give the log of the whole flight, with {lacks}."
    amiss = next((fault for fault in raw.faults if fault.kind in _UNREADABLE), None)
    if amiss is not None:
        message += f"; {amiss.kind}: {amiss.detail}"
    return TrackTimeError(message, where=raw.source.where, remedy=remedy)


def _at_zero(samples: Samples, keep: IntArray) -> BoolArray:
    """Positions at latitude 0, longitude 0 of a flight that is elsewhere: what some loggers write without a fix."""
    lat, lon = samples.lat_deg[keep], samples.lon_deg[keep]
    zero: BoolArray = (lat == 0.0) & (lon == 0.0)
    if not zero.any() or zero.all():
        return zero & False
    elsewhere = max(abs(float(np.median(lat[~zero]))), abs(float(np.median(lon[~zero])))) > _FAR_FROM_ZERO_DEG
    return zero & elsewhere


def _is_nowhere(samples: Samples, keep: IntArray) -> bool:
    return bool(np.all(samples.lat_deg[keep] == 0.0) and np.all(samples.lon_deg[keep] == 0.0))


def _zero_fault(samples: Samples, at: IntArray) -> Fault:
    detail = f"latitude 0, longitude 0 in {places(samples.line[at].tolist())}; left out"
    return Fault(kind="zero-position", count=len(at), detail=detail)


def _segment_faults(samples: Samples) -> list[Fault]:
    changes = np.flatnonzero(np.diff(samples.segment) != 0) + 1
    if not changes.size:
        return []
    told = [clock(float(samples.time_s[index])) for index in changes]
    detail = f"a new segment begins at {several(told)}; read as one track"
    return [Fault(kind="segment", count=len(changes), detail=detail)]


def _merged(faults: list[Fault]) -> tuple[Fault, ...]:
    """One fault a kind, in the order they were found."""
    by_kind: dict[str, list[Fault]] = {}
    for fault in faults:
        by_kind.setdefault(fault.kind, []).append(fault)
    return tuple(
        Fault(kind=kind, count=sum(one.count for one in same), detail=". ".join(one.detail for one in same))
        for kind, same in by_kind.items()
    )
