"""A column of time texts taken apart: the quick way for what is uniform, the careful one for what is left."""

from __future__ import annotations

import datetime as dt
import re
from itertools import compress

import numpy as np

from legwise.tracks.times.dates import days_of, order_said
from legwise.tracks.times.iso import iso_columns
from legwise.tracks.times.one_time import bare_date, taken_apart
from legwise.tracks.times.undated import Written
from legwise.units import S_PER_DAY

_ISO = re.compile(r"\d{4}([-/.])\d{2}\1\d{2}[T ]", re.IGNORECASE)
_CLOCK = re.compile(r"\d{2}:\d{2}:\d{2}")


def written_times(told: list[str], *, date: dt.date | None, where: str, statement: str) -> Written:
    """Every value of a column that holds some. Raises :class:`TrackTimeError` where day and month can be either."""
    first = next(filter(None, told))
    clock = _CLOCK.search(first)
    is_iso = clock is None or bool(_ISO.match(first))
    # In a uniform column the clock stands at the same place in each text, and the date before it repeats.
    at = 0 if is_iso or clock is None else clock.start()
    quick = iso_columns(told if is_iso else [f"1970-01-01T{text[at:]}" for text in told])
    written_s, zone_s, has_time = quick.written_s, quick.zone_s, quick.read.copy()
    has_date = quick.read.copy() if is_iso else np.zeros(len(told), dtype=bool)
    is_beyond = np.zeros(len(told), dtype=bool)
    left = [row for row in np.flatnonzero(~quick.read).tolist() if told[row]]
    taken = {row: apart for row in left if (apart := taken_apart(told[row])) is not None}
    before = [bare_date(text[:at]) for text in told] if at else []
    dates = {apart.date for apart in taken.values()} | set(compress(before, quick.read))
    days = days_of(dates - {""}, date=date, where=where, order=order_said(statement))
    if before:
        of_rows = np.array([0 if not text else days.days.get(text, _NO_DAY) for text in before], dtype=np.int64)
        has_time &= of_rows != _NO_DAY
        has_date = has_time & np.array([bool(text) for text in before], dtype=bool)
        written_s = np.where(has_time, written_s + of_rows * S_PER_DAY, np.nan)
    for row, apart in taken.items():
        if apart.date and apart.date not in days.days:
            continue
        is_beyond[row] = apart.is_beyond
        has_time[row], has_date[row] = not apart.is_beyond, bool(apart.date) and not apart.is_beyond
        written_s[row] = apart.seconds + (days.days[apart.date] * S_PER_DAY if apart.date else 0.0)
        zone_s[row] = apart.zone_s
    return Written(written_s, zone_s, has_time, has_date, is_beyond, days.note)


_NO_DAY = -(10**9)
