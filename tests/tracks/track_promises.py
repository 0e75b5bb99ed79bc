"""What is promised of any bytes at all: a track that keeps its own rules, or an error that a person can use."""

from __future__ import annotations

import datetime as dt
from collections import Counter

import numpy as np

from legwise.errors import LegwiseError
from legwise.model.track import RawTrack, Samples, Track
from legwise.tracks import ReadLimits, choose, mend, read_raw_bytes

MOST_LINES = 8
"""Of ten lines on standard error the command line needs two for itself."""

LEFT_OUT = ("repeated-time", "zero-position")
UNUSABLE = ("no-time", "unset-clock", "blank-position")


class BrokenPromiseError(AssertionError):
    """A result that breaks what is said of every result."""


def told_or_read(
    data: bytes, limits: ReadLimits, *, utc_offset: str | None = None, date: dt.date | None = None
) -> tuple[RawTrack, Track] | LegwiseError:
    """Read and mend, and hold the outcome to what is promised. What is no :class:`LegwiseError` is raised on."""
    raw = told_or_found(data, limits, utc_offset=utc_offset, date=date)
    if isinstance(raw, LegwiseError):
        return raw
    track = told_or_mended(raw)
    return track if isinstance(track, LegwiseError) else (raw, track)


def told_or_found(
    data: bytes, limits: ReadLimits, *, utc_offset: str | None = None, date: dt.date | None = None
) -> RawTrack | LegwiseError:
    """Read alone."""
    try:
        raw = read_raw_bytes(data, "log", utc_offset=utc_offset, date=date, limits=limits)
    except LegwiseError as error:
        check_error(error)
        return error
    check_raw(raw, limits)
    return raw


def told_or_mended(raw: RawTrack) -> Track | LegwiseError:
    """Mend, and take the last of several flights, and hold the outcomes to what is promised."""
    try:
        track = mend(raw)
        check_track(raw, track)
        if len(track.flights) > 1:
            check_alone(choose(raw, flight=len(track.flights)))
    except LegwiseError as error:
        check_error(error)
        return error
    return track


def check_error(error: LegwiseError) -> None:
    """The text is printable and short, says where, and says what would help."""
    words = str(error)
    _hold(words.count("\n") < MOST_LINES, f"an error of {words.count(chr(10)) + 1} lines")
    _hold(max(map(len, words.split("\n"))) <= 1200, f"an error with a line of {max(map(len, words.split(chr(10))))}")
    _hold(words.replace("\n", "").isprintable(), f"an error with characters that don't print: {words!r}")
    _hold(bool(error.message), "an error without a message")


def check_raw(raw: RawTrack, limits: ReadLimits) -> None:
    """The records are as many as the limit allows, of one length, and finite or missing; words print."""
    _hold(len(raw.samples) <= limits.max_rows, "more records than the limit")
    _check_columns(raw.samples)
    _hold(bool(np.all(raw.samples.line >= 1)), "a record without a line")
    _hold(
        raw.aircraft_index is None or raw.aircraft_index.shape == raw.samples.time_s.shape, "owners of another length"
    )
    _check_words(raw)


def check_track(raw: RawTrack, track: Track) -> None:
    """Each of its aircraft's tracks keeps the rules, and what is kept and what was left out are what was read."""
    tracks = (track, *track.others)
    for one in tracks:
        check_alone(one)
    # What a reader counted never became a record.
    counts = Counter({fault.kind: fault.count for fault in track.faults})
    counts.subtract({fault.kind: fault.count for fault in raw.faults if fault.kind in (*UNUSABLE, *LEFT_OUT, "jump")})
    _hold(min(counts.values(), default=0) >= 0, "a fault of the reader that mending forgot")
    samples_read, kept = sum(one.samples_read for one in tracks), sum(map(len, tracks))
    _hold(samples_read <= len(raw.samples), "more samples than records")
    if not raw.aircraft:
        # One without time and position is told as both.
        unusable = [counts[kind] for kind in UNUSABLE]
        _hold(max(unusable) <= len(raw.samples) - samples_read <= sum(unusable), "records gone that are not told")
        left_out = sum(counts[kind] for kind in LEFT_OUT)
        gone = samples_read - kept
        _hold(left_out <= gone <= left_out + counts["jump"], "samples gone that are not told")


def check_alone(track: Track) -> None:
    """Every array has one length, times rise, positions are on earth, words print."""
    samples = track.samples
    _hold(len(samples) >= 2, "a track of fewer than two samples")
    _check_columns(samples)
    _hold(bool(np.all(np.diff(samples.time_s) > 0)), "times that don't rise")
    _hold(bool(np.all(np.abs(samples.lat_deg) <= 90)), "a latitude beyond 90 degrees, or none")
    _hold(bool(np.all((samples.lon_deg >= -180) & (samples.lon_deg < 180))), "a longitude out of its range")
    more = (track.motion.groundspeed_kt, track.motion.track_deg_true, track.motion.track_rate_dps)
    optional = (column for column in (track.held, track.time_factor) if column is not None)
    _hold(all(column.shape == samples.time_s.shape for column in (*more, *optional)), "a column of another length")
    _hold(not any(np.isinf(column).any() for column in more), "an infinite motion")
    _hold(track.interval_s > 0, "an interval of nothing")
    if not any(fault.kind == "clock-step" for fault in track.faults):
        is_inside = track.first_time_s <= samples.time_s[0] and track.last_time_s >= samples.time_s[-1]
        _hold(is_inside, "a span too short")
    _hold(all(0 < after < len(samples) and before == after - 1 for before, after in track.gaps), "a gap elsewhere")
    _hold(len(track.flights) >= 1, "no flight")
    _hold(all(flight.start_s <= flight.end_s and flight.samples > 0 for flight in track.flights), "an empty flight")
    _check_words(track)


def _check_columns(samples: Samples) -> None:
    figures = (samples.time_s, samples.lat_deg, samples.lon_deg)
    columns = (*figures, samples.line, samples.segment, *samples.altitudes_ft.values(), *samples.channels.values())
    _hold(all(column.shape == samples.time_s.shape for column in columns), "columns of different lengths")
    _hold(not any(column.flags.writeable for column in columns), "a column that can be written")
    _hold(not any(np.isinf(column).any() for column in columns), "an infinite value")


def _check_words(track: RawTrack | Track) -> None:
    words = [*track.source.notes, track.source.format, track.source.container, track.source.file, track.source.where]
    words += [point.ident for point in (*track.route, *track.waypoints)]
    words += track.aircraft if isinstance(track, RawTrack) else [flight.aircraft for flight in track.flights]
    words += [fault.detail for fault in track.faults]
    _hold(all(text.isprintable() for text in words), "words that don't print")
    _hold(all(len(text) <= 2500 for text in words), "words without an end")
    _hold(all(fault.count > 0 and fault.detail for fault in track.faults), "a fault of nothing")
    if isinstance(track, Track):
        kinds = [fault.kind for fault in track.faults]
        _hold(len(set(kinds)) == len(kinds), "a kind of fault twice")


def _hold(holds: bool, what: str) -> None:
    if not holds:
        raise BrokenPromiseError(what)
