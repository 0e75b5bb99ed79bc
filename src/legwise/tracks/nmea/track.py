"""NMEA 0183 to a raw track: the sentences of one time are one record, void ones none."""

from __future__ import annotations

import codecs
import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from legwise.errors import TrackFileError, TrackTimeError
from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, RawTrack, Samples, TrackSource
from legwise.tracks.containers.kinds import HEAD_BYTES
from legwise.tracks.limits import ReadLimits
from legwise.tracks.nmea.companions import Attached, calendar_of, motions_of
from legwise.tracks.nmea.dates import dated
from legwise.tracks.nmea.epochs import Epochs, doubles_of, epochs_of, making_of, placed
from legwise.tracks.nmea.faults import Findings, faults_of, held_words, notes_of
from legwise.tracks.nmea.rows import VOID, Rows, Unreadable, joined_rows, rows_of
from legwise.tracks.nmea.sentences import sentences_in
from legwise.tracks.nmea.tally import Tally
from legwise.tracks.nmea.types import GGA, GNS, RMC
from legwise.tracks.values.numbers import normal_longitudes
from legwise.units import M_PER_FT

_TIMES_A_RECORD = 2
_SENTENCES_A_RECORD = 8
_SLACK = 1000
"""Reading stops before the end where there are that many times and sentences more than may be records."""

_MOST_SENTENCES = 10_000_000
"""More than the largest log holds in sentences of usual length; their table takes about 100 bytes for each."""


def read_nmea(
    data: bytes, where: str, source: TrackSource, *, utc_offset: str | None, date: dt.date | None, limits: ReadLimits
) -> RawTrack:
    """The records of an NMEA 0183 log, in file order: one for each time at which the receiver had a fix.

    ``date`` is that of the first record where no sentence has one. Raises :class:`TrackTimeError` where there is no
    sentence with a position, no fix, or no date, and :class:`TrackFileError` where there are too many records.
    """
    tally, unreadable = Tally(), Unreadable()
    rows = _rows(_single_bytes(data), where, limits, tally, unreadable)
    is_position = rows.is_position
    epochs = epochs_of(rows if is_position.all() else rows.taken(is_position))
    records = epochs.is_record
    if not records.any():
        raise _no_record(epochs, tally, where)
    at = np.flatnonzero(records)
    if len(at) > limits.max_rows:
        raise _too_many(limits.max_rows, int(epochs.line[at[limits.max_rows]]), where)
    motions, calendar = motions_of(rows, epochs), calendar_of(rows, epochs)
    days = dated(epochs, calendar, date, where)
    positions = placed(epochs)
    altitudes, channels = _columns(epochs, motions)
    samples = Samples(
        time_s=readonly_floats(days.time_s[at]),
        lat_deg=readonly_floats(positions.lat_deg[at]),
        lon_deg=readonly_floats(normal_longitudes(positions.lon_deg[at])),
        altitudes_ft=altitudes,
        channels=channels,
        segment=readonly_ints(np.zeros(len(at), dtype=np.int64)),
        line=readonly_ints(epochs.line[at]),
    )
    findings = Findings(rows, epochs, positions, doubles_of(epochs), making_of(epochs), tally, unreadable)
    notes = (*notes_of(findings, altitudes), *days.notes, *_zone_notes(utc_offset))
    return RawTrack(
        samples=samples,
        source=replace(source, format="NMEA 0183", notes=(*source.notes, *notes)),
        faults=tuple(faults_of(findings)),
    )


def _single_bytes(data: bytes) -> bytes:
    """The log as single bytes; text of two bytes a character is made so. Rubbish can look like a byte order mark."""
    head = data[:HEAD_BYTES]
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) and head.count(0) > len(head) // 3:
        return data.decode("utf-16", errors="replace").encode("ascii", errors="replace")
    return data


def _rows(data: bytes, where: str, limits: ReadLimits, tally: Tally, unreadable: Unreadable) -> Rows:
    parts: list[Rows] = []
    times = sentences = 0
    most = limits.max_rows
    most_sentences = min(most * _SENTENCES_A_RECORD + _SLACK, _MOST_SENTENCES)
    for some in sentences_in(data, tally):
        part = rows_of(some, unreadable)
        parts.append(part)
        sentences += len(part)
        times += int(np.count_nonzero(np.diff(part.seconds[part.is_position]) != 0))
        if times > most * _TIMES_A_RECORD + _SLACK or sentences > most_sentences:
            raise _too_many(most, int(part.line[-1]), where)
    return joined_rows(parts)


def _too_many(most: int, line: int, where: str) -> TrackFileError:
    return TrackFileError(
        f"the log holds more than {most:,} records",
        where=f"{where}, line {line}",
        remedy="Cut the log to the flight, or let more be read: --limit rows=N.",
    )


def _no_record(epochs: Epochs, tally: Tally, where: str) -> TrackTimeError:
    if len(epochs):
        message = f"no usable position: the receiver had no fix at any of {len(epochs)} times"
        remedy = "Give a log in which it had one."
    elif tally.bad.count:
        message = f"no usable position: {held_words(tally)}"
        remedy = "The log is damaged: copy it from the recorder again."
    else:
        message = f"no usable position: no RMC, GGA, GNS or GLL sentence is in the log; {held_words(tally)}"
        remedy = "Have the recorder write RMC and GGA."
    return TrackTimeError(message, where=where, remedy=remedy)


def _columns(
    epochs: Epochs, motions: Attached
) -> tuple[Mapping[AltitudeKind, FloatArray], Mapping[Channel, FloatArray]]:
    """Altitudes and channels of the records; of each value the first sentence that has it."""
    rows, usable, records = epochs.rows, epochs.is_usable, epochs.is_record
    has_altitude = usable & ((rows.kind == GGA) | (rows.kind == GNS)) & np.isfinite(rows.altitude_m)
    altitude_m = epochs.first_of(has_altitude, rows.altitude_m)
    # A receiver makes the one of the other by its own model of the geoid: both heights are then what it recorded.
    ellipsoid_m = epochs.first_of(has_altitude, rows.altitude_m + rows.separation_m)
    altitudes = {
        AltitudeKind.GNSS_MSL: altitude_m[records] / M_PER_FT,
        AltitudeKind.GNSS_ELLIPSOID: ellipsoid_m[records] / M_PER_FT,
    }
    is_rmc = usable & (rows.kind == RMC)
    channels = {
        Channel.GROUNDSPEED_KT: _else(epochs.first_of(is_rmc, rows.speed_kt), motions, motions.rows.speed_kt),
        Channel.TRACK_DEG_TRUE: _else(
            epochs.first_of(is_rmc, rows.track_deg_true), motions, motions.rows.track_deg_true
        ),
        Channel.TRACK_DEG_MAG: _else(np.full(len(epochs), np.nan), motions, motions.rows.track_deg_mag),
        Channel.HDOP: epochs.first_of(usable, rows.hdop),
    }
    return (
        MappingProxyType({kind: readonly_floats(feet) for kind, feet in altitudes.items() if np.isfinite(feet).any()}),
        MappingProxyType(
            {name: readonly_floats(own[records]) for name, own in channels.items() if np.isfinite(own[records]).any()}
        ),
    )


def _else(values: FloatArray, motions: Attached, others: FloatArray) -> FloatArray:
    """``values`` of the epochs, and where there is none the first of the sentences that go with each."""
    at = np.flatnonzero((motions.epoch >= 0) & (motions.rows.verdict != VOID) & np.isfinite(others))[::-1]
    filling = np.full(len(values), np.nan)
    filling[motions.epoch[at]] = others[at]
    return np.where(np.isnan(values), filling, values)


def _zone_notes(utc_offset: str | None) -> tuple[str, ...]:
    said = "; --utc-offset was not used" if utc_offset is not None else ""
    return (f"times are UTC, as NMEA 0183 has them{said}",)
