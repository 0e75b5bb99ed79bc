"""The texts that tell the time of each record: a column, a date and a time of day side by side, or parts of a clock."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.errors import ColumnError
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Choice, Clock, Column
from legwise.tracks.table.rows import Rows
from legwise.tracks.times.dates import days_of, order_said
from legwise.tracks.values.angles import TextArray
from legwise.tracks.wording import joined, shown

_TIME_OF_DAY = re.compile(r"\s*T?(\d{1,2}:\d{2}|\d{6}([.,]\d+)?\s*(Z|UTC|GMT)?\s*$)", re.IGNORECASE)
_BARE_TIME = re.compile(r"(.*[ T])?\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?\s*$", re.IGNORECASE)
_WHOLE = re.compile(r"(\d+)(?:[.,]0*)?")
_SECONDS = re.compile(r"(\d{1,2})([.,]\d*)?")
_MIDNIGHT = re.compile(r"[T ]0{1,2}:00(:00([.,]0*)?)?\s*Z?$", re.IGNORECASE)
"""Behind a date: spreadsheets write a date as its midnight."""

_NO_DATE = re.compile(r"(1899-12-3[01]|1900-01-0[01]|1970-01-01|0001-01-01|30[./]12[./]1899|12[./]30[./]1899)[T ]+")
"""Before a time of day: the dates that spreadsheets and programs write for none."""

_COUNT = re.compile(r"\d{1,5}([.,]\d*)?$")
_SAMPLE = 200
_EPOCH_ORDINAL = dt.date(1970, 1, 1).toordinal()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TimeTexts:
    """The texts, the name of their column for messages, all that it states, its zone [s] (None: none said).

    ``date`` is the one that the log itself gives to times of day, ``date_note`` where. ``is_date_beside`` where each
    time has its date from a column of its own.
    """

    texts: TextArray
    what: str
    statement: str
    zone_s: float | None
    is_local: bool
    date: dt.date | None = None
    date_note: str = ""
    notes: tuple[str, ...] = ()
    is_date_beside: bool = False


def time_texts_of(rows: Rows, choice: Choice, date: dt.date | None, where: str) -> TimeTexts:
    """What tells the time of each record. ``date`` is that of the flight, where it is known."""
    time, day, clock = choice.get(Quantity.TIME), choice.get(Quantity.DATE), choice.helpers.clock
    if time is None and clock is not None and clock.has_time:
        source = _of_clock(rows, clock)
    elif time is not None:
        source = _with_halves(_of_column(rows, time), rows, choice.helpers.half_of_day)
    elif day is not None:
        return _of_column(rows, day)
    else:
        raise ColumnError("no heading tells the time", where=where)
    if clock is not None and clock.has_date and (time is None or day is None):
        is_of_day = _mostly(_TIME_OF_DAY, source.texts)
        return _with_days(source, _days_of_clock(rows, clock), "", date, where) if is_of_day else source
    return source if day is None else _beside(source, rows.texts[day.index], day, date, where)


def _beside(source: TimeTexts, days: TextArray, day: Column, date: dt.date | None, where: str) -> TimeTexts:
    """The times with the column of dates beside them, where they are of the same clock and need it."""
    if not goes_with(source.zone_s, source.is_local, day):
        note = f"{shown(day.heading)} is not used: it goes by another clock than {source.what}"
        return dataclasses.replace(source, notes=(*source.notes, note))
    if _mostly(_NO_DATE, source.texts):
        bare = [_NO_DATE.sub("", text, count=1) for text in source.texts.tolist()]
        source = dataclasses.replace(source, texts=np.array(bare, dtype=object))
    if _mostly(_COUNT, source.texts):
        return _counted_on(source, days, day, date, where)
    if not _mostly(_TIME_OF_DAY, source.texts):
        note = f"{shown(day.heading)} is not used: the times have dates of their own"
        return dataclasses.replace(source, notes=(*source.notes, note))
    zone_s = source.zone_s if source.zone_s is not None else day.zone_s
    statement = f"{day.statement} {source.statement}"
    source = dataclasses.replace(source, zone_s=zone_s, statement=statement)
    return _with_days(source, days, day.heading, date, where)


def goes_with(zone_s: float | None, is_local: bool, day: Column) -> bool:
    """Whether a date and a time of day are of one clock: the local date can be another than the UTC one."""
    return not (zone_s == 0.0 and day.is_local) and not (is_local and day.zone_s == 0.0)


def with_days_before(days: TextArray, times: TextArray) -> TextArray:
    """Each time with its date before it; nothing where there is no time."""
    both = zip(days.tolist(), times.tolist(), strict=True)
    return np.array([f"{of.strip()} {at.strip()}".strip() if at else "" for of, at in both], dtype=object)


def _of_column(rows: Rows, column: Column) -> TimeTexts:
    return TimeTexts(
        texts=rows.texts[column.index],
        what=f"the column {shown(column.heading)}",
        statement=column.statement,
        zone_s=column.zone_s,
        is_local=column.is_local,
    )


def _with_halves(source: TimeTexts, rows: Rows, column: int | None) -> TimeTexts:
    """The times with "am" or "pm" behind them, where a column of its own says it and they don't."""
    if column is None or not _mostly(_BARE_TIME, source.texts):
        return source
    both = zip(source.texts.tolist(), rows.texts[column].tolist(), strict=True)
    texts = np.array([f"{at} {half.strip()}" if at else "" for at, half in both], dtype=object)
    return dataclasses.replace(source, texts=texts, notes=("the half of the day stands in a column of its own",))


def _of_clock(rows: Rows, clock: Clock) -> TimeTexts:
    hours, minutes, seconds = (rows.texts[clock.parts[part]].tolist() for part in ("hour", "minute", "second"))
    texts = [
        f"{_padded(hour)}:{_padded(minute)}:{_padded_second(second)}" if hour and minute and second else ""
        for hour, minute, second in zip(hours, minutes, seconds, strict=True)
    ]
    return TimeTexts(
        texts=np.array(texts, dtype=object),
        what=f"{joined([shown(heading, 20) for heading in clock.headings])} together",
        statement="",
        zone_s=clock.zone_s,
        is_local=clock.is_local,
        notes=(f"{joined([shown(heading, 20) for heading in clock.headings])} together are the time",),
    )


def _days_of_clock(rows: Rows, clock: Clock) -> TextArray:
    years, months, days = (rows.texts[clock.parts[part]].tolist() for part in ("year", "month", "day"))
    texts = [
        f"{_year(year)}-{_padded(month)}-{_padded(day)}" if year and month and day else ""
        for year, month, day in zip(years, months, days, strict=True)
    ]
    return np.array(texts, dtype=object)


def _padded(cell: str) -> str:
    match = _WHOLE.fullmatch(cell.strip())
    return match[1].rjust(2, "0") if match else cell


def _padded_second(cell: str) -> str:
    match = _SECONDS.fullmatch(cell.strip())
    if match is None:
        return cell
    fraction = (match[2] or "")[1:10]
    return match[1].rjust(2, "0") + (f".{fraction}" if fraction else "")


def _year(cell: str) -> str:
    padded = _padded(cell)
    return f"20{padded}" if len(padded) == 2 else padded


def _with_days(source: TimeTexts, days: TextArray, heading: str, date: dt.date | None, where: str) -> TimeTexts:
    """The times with their dates. A date that stands only where it changes holds until the next."""
    if any(_MIDNIGHT.search(text) for text in days[:_SAMPLE].tolist()):
        days = np.array([_MIDNIGHT.sub("", text) for text in days.tolist()], dtype=object)
    filled, timed = days != "", source.texts != ""
    if filled[timed].all() or not filled.any():
        return dataclasses.replace(source, texts=with_days_before(days, source.texts), is_date_beside=True)
    every: Sequence[str] = sorted(set(days[filled].tolist()))
    if len(every) == 1:
        known = days_of(every, date=date, where=where, order=order_said(source.statement)).days
        day = known.get(every[0])
        if day is not None:
            # The one date of a log is that of its beginning: the times of day count on over midnight.
            note = f", as {shown(heading)} says on some records" if heading else ""
            return dataclasses.replace(source, date=dt.date.fromordinal(day + _EPOCH_ORDINAL), date_note=note)
    last = np.maximum.accumulate(np.where(filled, np.arange(len(days)), -1))
    held = np.where(last >= 0, days[np.maximum(last, 0)], "")
    notes = (*source.notes, "the date stands on some records only; each holds until the next")
    return dataclasses.replace(source, texts=with_days_before(held, source.texts), notes=notes, is_date_beside=True)


def _counted_on(source: TimeTexts, days: TextArray, day: Column, date: dt.date | None, where: str) -> TimeTexts:
    """Counts of seconds with the date of the earliest."""
    known = days_of(set(days.tolist()) - {""}, date=date, where=where, order=order_said(day.statement)).days
    if not known:
        return source
    first = dt.date.fromordinal(min(known.values()) + _EPOCH_ORDINAL)
    return dataclasses.replace(source, date=first, date_note=f", as {shown(day.heading)} says")


def _mostly(pattern: re.Pattern[str], texts: TextArray) -> bool:
    """Whether most of the first texts begin so."""
    some = [text for text in texts[:_SAMPLE].tolist() if text] or [text for text in texts.tolist() if text][:1]
    return bool(some) and sum(bool(pattern.match(text)) for text in some) > len(some) / 2
