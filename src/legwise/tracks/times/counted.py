"""Times that are a count: of seconds since 1970, since midnight or since a moment that is said, or of days.

A count of seconds from the start of the recording says how long, never when: it is refused.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray
from legwise.model.instants import iso_z
from legwise.tracks.headings.vocabulary import UTC, words_of
from legwise.tracks.times.dates import days_of
from legwise.tracks.times.one_time import taken_apart
from legwise.tracks.wording import shown
from legwise.units import S_PER_DAY

_NUMBER = re.compile(r"[+-]?\d{1,19}([.,]\d*)?([eE][+-]?\d{1,2})?")
_COUNTS = ((1.0, "seconds"), (1e3, "milliseconds"), (1e6, "microseconds"), (1e9, "nanoseconds"))
_EPOCH_FROM_S, _EPOCH_TO_S = 5e8, 5e9
_SERIAL_FROM, _SERIAL_TO = 32_874.0, 73_051.0
"""1990-01-01 and 2100-01-01 in days since 1899-12-30, as spreadsheets count."""

_SERIAL_EPOCH_S = -25_569.0 * S_PER_DAY
_IN_WORDS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
    **dict.fromkeys(("ms", "msec", "millis", "millisecond", "milliseconds"), 1e3),
    **dict.fromkeys(("us", "usec", "microsecond", "microseconds"), 1e6),
    **dict.fromkeys(("min", "minute", "minutes"), 1.0 / 60.0),
    **dict.fromkeys(("h", "hr", "hour", "hours"), 1.0 / 3600.0),
}
_SINCE = re.compile(r"(?:^|[^a-z])([a-zµ]{1,12})\s+since\s+(\d{4}-\d{2}-\d{2}[T ]\d{1,2}:\d{2}[^)\]]*)", re.IGNORECASE)
_SINCE_MIDNIGHT = frozenset({"midnight", "tod", "sod"})
_MOST_DAYS = 2.0
_PLAIN_SERIAL_FROM, _PLAIN_SERIAL_TO = 30_000.0, 60_000.0
"""1982 to 2064: days under a heading that doesn't speak of a date."""

_MOST_STEP = 0.01
"""From record to record: 36 s in hours, a quarter of an hour in days; a count of seconds takes longer steps."""

_SAMPLE = 200


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Counted:
    """Seconds since 1970; with ``is_of_day`` since midnight. UTC only with ``is_utc``, else as the log's clock goes.
    NaN: none.
    """

    seconds: FloatArray
    note: str
    is_of_day: bool = False
    is_utc: bool = True


def counted_times(
    told: Sequence[str], *, statement: str, started_s: float | None, started_note: str, what: str, where: str
) -> Counted | None:
    """The column as a count, where most of it are numbers and nothing else that is a time; else None.

    ``statement`` is all that the heading and its unit say, ``started_s`` the start of the recording where the log
    names it. Raises :class:`TrackTimeError` for a count from a start that nothing names.
    """
    some = [text for text in told[:: max(1, len(told) // _SAMPLE)] if text] or list(islice(filter(None, told), 5))
    words = words_of(statement)
    if sum(bool(_NUMBER.fullmatch(text)) for text in some) <= len(some) / 2:
        if not {"elapsed", "duration"} & set(words):
            return None
        if started_s is None:
            raise elapsed_only(f"{what} counts from {shown(some[0])}", where)
        seconds = np.array([apart.seconds if (apart := taken_apart(text)) else np.nan for text in told])
        return Counted(seconds=started_s + seconds, note=f"times are counted since {started_note}")
    since = _SINCE.search(statement)
    counts = any(word in _IN_WORDS for word in words) and not {"hh", "hms", "hhmmss"} & set(words)
    if since is None and not counts and sum(taken_apart(text) is not None for text in some) > len(some) / 2:
        # Six figures are hours, minutes and seconds.
        return None
    values = np.array([_number(text) for text in told])
    if since is not None:
        return _since(values, since, what, where)
    counted = _of_its_size(values, words)
    if counted is not None:
        return counted
    if started_s is None:
        raise elapsed_only(f"{what} counts from {_plain(values)}", where)
    return Counted(seconds=started_s + values / _per_second(words), note=f"times are seconds since {started_note}")


def _of_its_size(values: FloatArray, words: Sequence[str]) -> Counted | None:
    """A count since 1970, of days, or since midnight, as size and heading tell; None where it can be none of them."""
    middle = float(np.nanmedian(values))
    for per_second, unit in _COUNTS:
        if _EPOCH_FROM_S <= middle / per_second < _EPOCH_TO_S:
            return Counted(seconds=values / per_second, note=f"times are {unit} since 1970-01-01 UTC")
    is_serial = {"date", "datetime"} & set(words) and _SERIAL_FROM <= middle < _SERIAL_TO
    if is_serial or (not _has_unit(words) and _creeps(values, _PLAIN_SERIAL_FROM, _PLAIN_SERIAL_TO)):
        return Counted(
            seconds=np.round(values * S_PER_DAY, 3) + _SERIAL_EPOCH_S,
            note="times are days since 1899-12-30, as spreadsheets count them",
            is_utc=False,
        )
    if set(words) & UTC and not _has_unit(words) and _creeps(values, 0.0, 24.0):
        note = "times are hours since midnight UTC, by their size"
        return Counted(seconds=np.round(values * 3600.0, 3), note=note, is_of_day=True, is_utc=False)
    per_second = _per_second(words)
    if _counts_of_day(words) and 0.0 <= middle / per_second < _MOST_DAYS * S_PER_DAY:
        note = "times are seconds since midnight, as the heading says"
        return Counted(seconds=values / per_second, note=note, is_of_day=True, is_utc=False)
    return None


def _has_unit(words: Sequence[str]) -> bool:
    return any(word in _IN_WORDS for word in words) or bool({"elapsed", "duration", "since"} & set(words))


def _creeps(values: FloatArray, least: float, most: float) -> bool:
    """Whether all values lie in [``least``, ``most``), have fractions and change by little from record to record."""
    known = values[np.isfinite(values)]
    steps = np.abs(np.diff(known))
    steps = steps[steps > 0.0]
    if not steps.size or known.min() < least or known.max() >= most:
        return False
    return bool(np.any(known % 1.0 != 0.0)) and float(np.median(steps)) < _MOST_STEP


def _per_second(words: Sequence[str]) -> float:
    return next((_IN_WORDS[word] for word in words if word in _IN_WORDS), 1.0)


def elapsed_only(message: str, where: str) -> TrackTimeError:
    """The error for a log that says how long, but not when."""
    return TrackTimeError(
        f"{message}: this looks like elapsed time, which tells how long the recording runs but not when",
        where=where,
        remedy="Give a log with the time of day; or say the date and the time at which the count begins: "
        'time = { heading = "…", unit = "s since 2026-04-18T13:12:40Z" } in [columns], or "h since …Z" for hours.',
    )


def _plain(values: FloatArray) -> str:
    known = values[np.isfinite(values)]
    return f"{known[0]:.10g} to {known[-1]:.10g}" if known.size else "nothing"


def _number(text: str) -> float:
    return float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else np.nan


def _counts_of_day(words: Sequence[str]) -> bool:
    """Whether a heading speaks of seconds since midnight: it says so, or it says UTC and a unit of time."""
    said = set(words)
    has_unit = any(word in _IN_WORDS for word in words)
    return bool(said & _SINCE_MIDNIGHT) or (has_unit and (bool(said & UTC) or said >= {"of", "day"}))


def _since(values: FloatArray, match: re.Match[str], what: str, where: str) -> Counted:
    per_second = _IN_WORDS.get(match[1].lower())
    begin_s = instant_said(match[2])
    if per_second is None or begin_s is None:
        raise TrackTimeError(
            f"{what} is said to count {shown(match[0].strip(' ([,'), 50)}, which can't be read",
            where=where,
            remedy="Write the unit as “s since 2026-04-18T13:12:40Z”, with a zone.",
        )
    begin = iso_z(dt.datetime.fromtimestamp(begin_s, tz=dt.UTC))
    return Counted(seconds=begin_s + values / per_second, note=f"times are counted since {begin}, as was said")


def instant_said(text: str, zone_s: float | None = None) -> float | None:
    """The instant of one date and time with its zone (or with ``zone_s``), None where it is none. [s]"""
    apart = taken_apart(text.strip())
    if apart is None or apart.is_beyond or not apart.date:
        return None
    try:
        days = days_of([apart.date], date=None, where="").days
    except TrackTimeError:
        return None
    own_s = zone_s if np.isnan(apart.zone_s) else apart.zone_s
    if own_s is None or apart.date not in days or not 0 < days[apart.date] < 47_482:
        return None
    return days[apart.date] * S_PER_DAY + apart.seconds - own_s
