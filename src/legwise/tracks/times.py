"""Text to instants: seconds since 1970-01-01 UTC. A zone is read, said, or asked for; it is never assumed.

One quick way for the uniform ISO 8601 of most logs (whole columns at a time), one careful way for everything else.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.errors import CallError, TrackTimeError
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.dates import days_of
from legwise.tracks.iso_times import iso_columns
from legwise.tracks.wording import shown
from legwise.units import S_PER_DAY, S_PER_MIN

_LONGEST = 48
"""No time is written longer; the rest of such a text is not looked at."""

_OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+\-−])(\d{1,2})(?::?(\d{2}))?", re.IGNORECASE)
_TIME = re.compile(
    r"(?:^|(?<=[T ,;]))T?(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,:](\d{1,9}))?)?\s*([ap]\.?m\.?)?\s*"
    r"(Z|UTC|GMT|(?:UTC|GMT)?[+-]\d{2}(?::?\d{2})?)?$",
    re.IGNORECASE,
)
_COMPACT = re.compile(
    r"(\d{8})?[T ]?(\d{2})(\d{2})(\d{2})(?:[.,](\d{1,9}))?\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?$", re.IGNORECASE
)
_NUMBER = re.compile(r"\d{9,19}([.,]\d+)?")
_EPOCH_UNITS = ((1.0, "seconds"), (1e3, "milliseconds"), (1e6, "microseconds"), (1e9, "nanoseconds"))
_EPOCH_FROM_S, _EPOCH_TO_S = 5e8, 5e9
_REMEDY_ZONE = "Say it: --utc-offset ±HH:MM, or utc_offset in [columns]; +00:00 where the log keeps UTC."


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ZoneChoice:
    """What is known of the zone besides the values: what was said, the heading's [s], a column of offsets [s]."""

    utc_offset: str | None = None
    heading_zone_s: float | None = None
    offsets_s: FloatArray | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Instants:
    """Epoch seconds (NaN: none), the lines whose text is no time, and notes on how they were read."""

    time_s: FloatArray
    unreadable: list[int]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Parts:
    """Per value: seconds since 1970-01-01 (or since midnight) as written, the zone's offset (NaN: none), what it is."""

    written_s: FloatArray
    zone_s: FloatArray
    has_time: BoolArray
    has_date: BoolArray
    note: str = ""


def instants_of(
    texts: Sequence[str], lines: IntArray, *, where: str, zone: ZoneChoice, date: dt.date | None, what: str
) -> Instants:
    """The instants of a column of texts; ``lines`` are their lines, ``what`` the column's name for messages.

    Raises :class:`TrackTimeError` where a zone or a date is needed and not known, where day and month can't be told,
    and where there are texts but none is a time.
    """
    told = [text.strip()[:_LONGEST] for text in texts]
    filled = np.array([bool(text) for text in told], dtype=bool)
    if not filled.any():
        return Instants(time_s=np.full(len(told), np.nan), unreadable=[], notes=())
    epoch = _as_epoch(told)
    if epoch is not None:
        bad = filled & np.isnan(epoch[0])
        return Instants(time_s=epoch[0], unreadable=lines[bad].tolist(), notes=(epoch[1],))
    parts = _parts(told, date, where)
    if not parts.has_time.any():
        first = int(np.flatnonzero(filled)[0])
        raise TrackTimeError(
            f"{what} holds no time that can be read: {shown(told[first])}",
            where=f"{where}, line {lines[first]}",
            remedy="Times are read as ISO 8601 (2026-04-18T13:12:40Z), as date and time, or as seconds since 1970.",
        )
    written_s, notes = _dated(parts, date, where)
    time_s, zone_note = _zoned(written_s, parts, zone, where, lines, told)
    bad = filled & np.isnan(time_s)
    said = (parts.note, *notes, zone_note)
    return Instants(time_s=time_s, unreadable=lines[bad].tolist(), notes=tuple(note for note in said if note))


def offset_seconds(text: str, where: str = "utc_offset") -> float:
    """The offset from UTC said as ``±HH:MM``, ``Z`` or ``UTC``. [s] Raises :class:`CallError` on anything else."""
    if text.strip().upper() in ("Z", "UTC", "GMT"):
        return 0.0
    match = _OFFSET.fullmatch(text.strip())
    seconds = _offset_of(match) if match else None
    if seconds is None:
        raise CallError(
            f"the offset from UTC {shown(text)} is none",
            where=where,
            remedy="Write it as ±HH:MM, from -14:00 to +14:00.",
        )
    return seconds


def _offset_of(match: re.Match[str]) -> float | None:
    minutes = int(match[2]) * 60 + int(match[3] or 0)
    if minutes > 14 * 60 or int(match[3] or 0) >= 60:
        return None
    return minutes * (60.0 if match[1] == "+" else -60.0)


def _as_epoch(told: list[str]) -> tuple[FloatArray, str] | None:
    """The column as a count since 1970, where its first values are such numbers; the unit shows in their size."""
    first = [text for text in told if text][:5]
    if not all(_NUMBER.fullmatch(text) for text in first):
        return None
    values = np.array([float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else np.nan for text in told])
    middle = float(np.nanmedian(values))
    for per_second, unit in _EPOCH_UNITS:
        if _EPOCH_FROM_S <= middle / per_second < _EPOCH_TO_S:
            return values / per_second, f"times are {unit} since 1970-01-01 UTC"
    return None


def _parts(told: list[str], date: dt.date | None, where: str) -> _Parts:
    """Every value taken apart: the quick way first, then the careful one for what is left."""
    first = next(text for text in told if text)
    is_clock = bool(re.match(r"\d{2}:\d{2}:\d{2}", first))
    quick = iso_columns([f"1970-01-01T{text}" for text in told] if is_clock else told)
    written_s, zone_s = quick.written_s, quick.zone_s
    has_time = quick.read.copy()
    has_date = quick.read & (not is_clock)
    left = [row for row in np.flatnonzero(~quick.read).tolist() if told[row]]
    note = ""
    if left:
        taken = {row: apart for row in left if (apart := _apart(told[row])) is not None}
        days = days_of({apart[0] for apart in taken.values() if apart[0]}, date=date, where=where)
        note = days.note
        for row, (day_text, seconds, zone) in taken.items():
            if day_text and day_text not in days.days:
                continue
            has_time[row], has_date[row] = True, bool(day_text)
            written_s[row] = seconds + (days.days[day_text] * S_PER_DAY if day_text else 0.0)
            zone_s[row] = zone
    return _Parts(written_s, zone_s, has_time, has_date, note)


def _apart(text: str) -> tuple[str, float, float] | None:
    """The date text, the seconds of the day and the zone's offset [s] (NaN: none) of one value."""
    match = _TIME.search(text)
    if match:
        date_text = text[: match.start()].strip(" ,;T")
        hour, minute, second, fraction, half, zone = match.groups()
        # "18-Apr-2026 13:12:40 UTC" and "1:12:40 PM": the half of the day comes before the zone.
        if half:
            hour = str(int(hour) % 12 + (12 if half[0] in "pP" else 0)) if 1 <= int(hour) <= 12 else "99"
    else:
        match = _COMPACT.match(text)
        if match is None:
            return None
        date_text = match[1] or ""
        hour, minute, second, fraction, zone = match.groups()[1:]
    if int(hour) > 23 or int(minute) > 59 or int(second or 0) > 60:
        return None
    seconds = int(hour) * 3600 + int(minute) * 60 + int(second or 0) + (float(f"0.{fraction}") if fraction else 0.0)
    return date_text, seconds, _zone_seconds(zone or "")


def _zone_seconds(zone: str) -> float:
    if not zone:
        return np.nan
    match = _OFFSET.fullmatch(zone)
    if match is None:
        return 0.0
    seconds = _offset_of(match)
    return np.nan if seconds is None else seconds


def _dated(parts: _Parts, date: dt.date | None, where: str) -> tuple[FloatArray, tuple[str, ...]]:
    """Seconds since 1970 as written. Times of day count on from ``date``, over midnight where they jump back half a
    day.
    """
    written_s = np.where(parts.has_time, parts.written_s, np.nan)
    if parts.has_date.any():
        # Where some have a date, a time of day alone could be of any.
        return np.where(parts.has_date, written_s, np.nan), ()
    if date is None:
        raise TrackTimeError(
            "the log holds times of day without a date",
            where=where,
            remedy="Give the date of the flight in the lesson: [lesson] date = YYYY-MM-DD.",
        )
    rows = np.flatnonzero(parts.has_time)
    steps = np.diff(written_s[rows])
    days = np.concatenate(
        [[0.0], np.cumsum(np.where(steps < -S_PER_DAY / 2, 1.0, np.where(steps > S_PER_DAY / 2, -1.0, 0.0)))]
    )
    start_s = (date - dt.date(1970, 1, 1)).days * S_PER_DAY
    written_s[rows] += start_s + days * S_PER_DAY
    return written_s, (f"times of day are taken on {date.isoformat()}",)


def _zoned(
    written_s: FloatArray, parts: _Parts, zone: ZoneChoice, where: str, lines: IntArray, told: list[str]
) -> tuple[FloatArray, str]:
    """Instants in UTC, and where the zone came from: the values, the heading, a column, the caller."""
    bare = np.isfinite(written_s) & np.isnan(parts.zone_s)
    own_s = np.where(np.isnan(parts.zone_s), 0.0, parts.zone_s)
    if not bare.any():
        note = "--utc-offset was not used: the times have a zone" if zone.utc_offset else ""
        return written_s - own_s, note
    if zone.heading_zone_s is not None:
        not_used = "; the offset that was said is not used" if zone.utc_offset else ""
        note = f"times are {_zone_words(zone.heading_zone_s)}, as the heading says{not_used}"
        return written_s - np.where(bare, zone.heading_zone_s, own_s), note
    if zone.utc_offset is not None:
        said_s = offset_seconds(zone.utc_offset)
        return written_s - np.where(bare, said_s, own_s), f"times are taken as {_zone_words(said_s)}, as was said"
    if zone.offsets_s is not None:
        return written_s - np.where(bare, zone.offsets_s, own_s), "the offset from UTC is taken from its own column"
    row = int(np.flatnonzero(bare)[0])
    raise TrackTimeError(
        f"the time {shown(told[row])} has no zone", where=f"{where}, line {lines[row]}", remedy=_REMEDY_ZONE
    )


def _zone_words(offset_s: float) -> str:
    if not offset_s:
        return "UTC"
    minutes = round(abs(offset_s) / S_PER_MIN)
    return f"UTC{'+' if offset_s > 0 else '-'}{minutes // 60:02d}:{minutes % 60:02d}"
