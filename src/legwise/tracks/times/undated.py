"""Times of day put onto a date, over midnight; dates that a clock invented; clocks that count on beyond 24 hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.wording import shown
from legwise.units import S_PER_DAY

NO_GNSS_YET_S = 631_152_000.0
"""1990-01-01: times before it are what a clock says that was never set."""

REMEDY_DATE = "Give the date of the flight: --date YYYY-MM-DD, or [lesson] date = YYYY-MM-DD in the lesson."


@dataclass(frozen=True, slots=True, eq=False)
class Written:
    """Per value: seconds since 1970-01-01 (or since midnight) as written, the zone's offset (NaN: none), what it is.

    ``is_beyond`` marks hours that no day has.
    """

    written_s: FloatArray
    zone_s: FloatArray
    has_time: BoolArray
    has_date: BoolArray
    is_beyond: BoolArray
    note: str = ""


def dated(
    parts: Written, *, date: dt.date | None, date_note: str, where: str
) -> tuple[FloatArray, BoolArray, tuple[str, ...]]:
    """Seconds since 1970 as written (NaN: none), which values lack a date where others have one, and notes.

    Times of day count on from ``date``, which is that of the earliest, over midnight where they jump back half a day.
    A log whose every date lies before 1990 has none: its times are times of day. Raises :class:`TrackTimeError` where
    a date is needed and ``date`` is None.
    """
    written_s = np.where(parts.has_time, parts.written_s, np.nan)
    with_date = parts.has_time & parts.has_date
    if not with_date.any():
        if date is None:
            raise TrackTimeError("the log holds times of day without a date", where=where, remedy=REMEDY_DATE)
        note = f"times of day are taken on {date.isoformat()}{date_note}"
        return _on_date(written_s, date), np.zeros(len(written_s), dtype=bool), (note,)
    if written_s[with_date].max() >= NO_GNSS_YET_S:
        # Where some have a date, a time of day alone could be of any.
        return np.where(parts.has_date, written_s, np.nan), parts.has_time & ~parts.has_date, ()
    first = _day_words(float(written_s[with_date][0]))
    if date is None:
        count = int(np.count_nonzero(with_date))
        raise TrackTimeError(
            f"the recorder's clock was not set: {count} of {len(written_s)} records have a time before 1990, "
            f"the first on {first}; that date is invented",
            where=where,
            remedy=REMEDY_DATE,
        )
    note = f"every date of the log lies before 1990 ({first}); its times of day are taken on {date.isoformat()}"
    return _on_date(np.mod(written_s, S_PER_DAY), date), np.zeros(len(written_s), dtype=bool), (f"{note}{date_note}",)


def _day_words(written_s: float) -> str:
    day = dt.date(1970, 1, 1).toordinal() + int(written_s // S_PER_DAY)
    return dt.date.fromordinal(max(day, 1)).isoformat()


def _on_date(of_day_s: FloatArray, date: dt.date) -> FloatArray:
    """Times of day, one after the other, from ``date`` on. [s]"""
    time_s = of_day_s.copy()
    rows = np.flatnonzero(np.isfinite(of_day_s))
    steps = np.diff(of_day_s[rows])
    turns = np.where(steps < -S_PER_DAY / 2, 1.0, np.where(steps > S_PER_DAY / 2, -1.0, 0.0))
    days = np.concatenate([[0.0], np.cumsum(turns)])
    in_row_s = of_day_s[rows] + days * S_PER_DAY
    if rows.size > 1 and bool(np.all(np.diff(in_row_s) <= 0.0)):
        # The newest record stands first: the date is that of the last one.
        days -= days[-1]
    start_s = (date - dt.date(1970, 1, 1)).days * S_PER_DAY
    time_s[rows] = of_day_s[rows] + days * S_PER_DAY + start_s
    return time_s


def refuse_beyond_24_h(parts: Written, told: Sequence[str], lines: IntArray, where: str) -> None:
    """Raise :class:`TrackTimeError` where the hours run on beyond 24 in a row of records; one alone is damage."""
    rows = np.flatnonzero(parts.has_time | parts.is_beyond)
    beyond = parts.is_beyond[rows]
    if not beyond.any():
        return
    steps = np.diff(parts.written_s[rows])
    runs_on = beyond[:-1] & beyond[1:] & (steps >= 0.0)
    if not runs_on.any():
        return
    row = int(rows[np.flatnonzero(runs_on)[0]])
    raise TrackTimeError(
        f"the time {shown(told[row])} lies beyond 24 hours: the clock counts on over midnight",
        where=f"{where}, line {lines[row]}",
        remedy="Export the log with UTC times and a date in each (2026-04-18T13:12:40Z).",
    )
