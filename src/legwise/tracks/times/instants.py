"""Text to instants: seconds since 1970-01-01 UTC. A zone is read, said, or asked for; it is never assumed.

What is written is taken apart in :mod:`legwise.tracks.times.many_times` or counted in
:mod:`legwise.tracks.times.counted`; here it becomes instants.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray, IntArray
from legwise.tracks.times.counted import Counted, counted_times
from legwise.tracks.times.many_times import written_times
from legwise.tracks.times.one_time import LONGEST, offset_seconds, zone_words
from legwise.tracks.times.stale_dates import over_midnight
from legwise.tracks.times.undated import Written, dated, refuse_beyond_24_h
from legwise.tracks.wording import shown

__all__ = ["Instants", "Told", "ZoneChoice", "instants_of", "offset_seconds"]

_REMEDY_ZONE = "Say it: --utc-offset ±HH:MM, or utc_offset in [columns]; +00:00 where the log keeps UTC."


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ZoneChoice:
    """What is known of the zone besides the values: what was said, the heading's [s], a column of offsets [s], and
    what the log says elsewhere [s]. ``offsets_note`` and ``elsewhere_note`` tell where the last two were found.
    """

    utc_offset: str | None = None
    heading_zone_s: float | None = None
    offsets_s: FloatArray | None = None
    offsets_note: str = "the offset from UTC is taken from its own column"
    elsewhere_s: float | None = None
    elsewhere_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the log tells of its times outside their column: ``statement`` is the heading with all that its unit says,
    ``date_note`` where the date was found (empty: the caller said it), ``started_s`` when the recording began,
    ``is_date_beside`` whether the dates stood in a column of their own.
    """

    statement: str = ""
    date_note: str = ""
    started_s: float | None = None
    started_note: str = ""
    is_date_beside: bool = False


_NOTHING_TOLD = Told()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Instants:
    """Epoch seconds (NaN: none), the lines of texts that give no instant, and notes on how they were read.

    Of ``unreadable``, the lines in ``undated`` hold a time of day where others have a date, those in ``unzoned`` a time
    whose own offset from UTC is missing. ``is_put_on_date`` says that all are times of day, put onto a date.
    """

    time_s: FloatArray
    unreadable: list[int]
    notes: tuple[str, ...]
    undated: tuple[int, ...] = ()
    unzoned: tuple[int, ...] = ()
    is_put_on_date: bool = False


def instants_of(
    texts: Sequence[str],
    lines: IntArray,
    *,
    where: str,
    zone: ZoneChoice,
    date: dt.date | None,
    what: str,
    told_of: Told = _NOTHING_TOLD,
) -> Instants:
    """The instants of a column of texts; ``lines`` are their lines, ``what`` the column's name for messages.

    Raises :class:`TrackTimeError` where a zone or a date is needed and not known, where day and month can't be told,
    where the times only count from the start of the recording or run on beyond 24 hours, and where there are texts
    but none is a time.
    """
    told = list(map(str.strip, texts))
    if max(map(len, told), default=0) > LONGEST:
        told = [text[:LONGEST] for text in told]
    filled = np.fromiter(map(bool, told), dtype=np.bool_, count=len(told))
    if not filled.any():
        return Instants(time_s=np.full(len(told), np.nan), unreadable=[], notes=())
    first = int(np.flatnonzero(filled)[0])
    at = f"{where}, line {lines[first]}"
    counted = counted_times(
        told,
        statement=told_of.statement,
        started_s=told_of.started_s,
        started_note=told_of.started_note,
        what=what,
        where=at,
    )
    if counted is not None and counted.is_utc:
        bad = filled & np.isnan(counted.seconds)
        return Instants(time_s=counted.seconds, unreadable=lines[bad].tolist(), notes=(counted.note,))
    parts = (
        _counted_parts(counted)
        if counted is not None
        else written_times(told, date=date, where=where, statement=told_of.statement)
    )
    refuse_beyond_24_h(parts, told, lines, where)
    if not parts.has_time.any():
        raise TrackTimeError(
            f"{what} holds no time that can be read: {shown(told[first])}",
            where=at,
            remedy="Times are read as ISO 8601 (2026-04-18T13:12:40Z), as date and time, or as seconds since 1970.",
        )
    written_s, undated, notes = dated(parts, date=date, date_note=told_of.date_note, where=where)
    # A date and a time in one text are of one clock; a column of dates can be that of the departure.
    written_s, midnight_note = over_midnight(written_s, parts.has_date) if told_of.is_date_beside else (written_s, "")
    time_s, zone_note = _zoned(written_s, parts, zone, where, lines, told)
    bad = filled & np.isnan(time_s)
    said = (parts.note, *notes, midnight_note, zone_note)
    return Instants(
        time_s=time_s,
        unreadable=lines[bad].tolist(),
        notes=tuple(note for note in said if note),
        undated=tuple(lines[undated].tolist()),
        unzoned=tuple(lines[bad & np.isfinite(written_s)].tolist()),
        is_put_on_date=not bool((parts.has_time & parts.has_date).any()),
    )


def _counted_parts(counted: Counted) -> Written:
    known = np.isfinite(counted.seconds)
    none = np.zeros(len(known), dtype=bool)
    return Written(
        written_s=counted.seconds,
        zone_s=np.full(len(known), np.nan),
        has_time=known,
        has_date=none if counted.is_of_day else known,
        is_beyond=none,
        note=counted.note,
    )


def _zoned(
    written_s: FloatArray, parts: Written, zone: ZoneChoice, where: str, lines: IntArray, told: list[str]
) -> tuple[FloatArray, str]:
    """Instants in UTC, and where the zone came from: the values, the heading, the caller, a column, the preamble."""
    bare = np.isfinite(written_s) & np.isnan(parts.zone_s)
    own_s = np.where(np.isnan(parts.zone_s), 0.0, parts.zone_s)
    if not bare.any():
        note = "--utc-offset was not used: the times have a zone" if zone.utc_offset else ""
        return written_s - own_s, note
    if zone.heading_zone_s is not None:
        not_used = "; the offset that was said is not used" if zone.utc_offset else ""
        note = f"times are {zone_words(zone.heading_zone_s)}, as the heading says{not_used}"
        return written_s - np.where(bare, zone.heading_zone_s, own_s), note
    if zone.utc_offset is not None:
        said_s = offset_seconds(zone.utc_offset)
        return written_s - np.where(bare, said_s, own_s), f"times are taken as {zone_words(said_s)}, as was said"
    if zone.offsets_s is not None and np.isfinite(zone.offsets_s[bare]).any():
        return written_s - np.where(bare, zone.offsets_s, own_s), zone.offsets_note
    if zone.elsewhere_s is not None:
        note = f"times are taken as {zone_words(zone.elsewhere_s)}{zone.elsewhere_note}"
        return written_s - np.where(bare, zone.elsewhere_s, own_s), note
    row = int(np.flatnonzero(bare)[0])
    raise TrackTimeError(
        f"the time {shown(told[row])} has no zone", where=f"{where}, line {lines[row]}", remedy=_REMEDY_ZONE
    )
