"""Ranges of time as a person says them: dates with times, or times of day on the days of the log. All is UTC."""

from __future__ import annotations

import datetime as dt
import re

import numpy as np

from legwise.errors import CallError, FlightError
from legwise.model.arrays import FloatArray
from legwise.model.instants import epoch_s, instant, iso_z
from legwise.tracks.wording import joined, shown, stretch
from legwise.units import S_PER_DAY

Moment = dt.datetime | dt.time | str
"""An instant with its zone, a time of day (UTC), or either as text: ISO 8601 with ``Z``, or ``HH:MM[:SS]``."""

Bound = dt.datetime | dt.time | None
"""A moment that was understood, or an open end."""

Range = tuple[float, float]
"""From and to, both included. [epoch seconds UTC] Open ends are infinite."""

_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,6}))?)?Z?", re.IGNORECASE)
_REMEDY = "Write it as 2026-04-18T13:12:40Z, or as 13:12 or 13:12:40 on a day of the log; all is UTC."
_MOST_DAYS = 3
_EPOCH = dt.date(1970, 1, 1)


def moment_of(said: Moment, where: str) -> dt.datetime | dt.time:
    """An aware instant or a time of day in UTC. Raises :class:`CallError` with ``where`` on anything else."""
    value: dt.datetime | dt.time
    if isinstance(said, str):
        text = said.strip()
        match = _CLOCK.fullmatch(text)
        try:
            value = _time_of_day(match) if match else dt.datetime.fromisoformat(text)
        except ValueError:
            raise CallError(f"{shown(text)} is no time", where=where, remedy=_REMEDY) from None
    elif isinstance(said, dt.datetime | dt.time):
        value = said
    else:
        raise CallError(f"{shown(str(said))} is neither an instant nor a time of day", where=where, remedy=_REMEDY)
    if isinstance(value, dt.datetime):
        if value.tzinfo is None:
            raise CallError(f"the time {shown(str(said))} has no zone", where=where, remedy=_REMEDY)
        try:
            value = value.astimezone(dt.UTC)
        except OverflowError:  # the first and the last day of the calendar
            raise CallError(
                f"the time {shown(str(said))} is beyond the calendar", where=where, remedy=_REMEDY
            ) from None
    if isinstance(value, dt.time) and value.tzinfo not in (None, dt.UTC):
        raise CallError(f"the time of day {shown(str(said))} is not in UTC", where=where, remedy=_REMEDY)
    return value.replace(tzinfo=None) if isinstance(value, dt.time) else value


def range_in(times: FloatArray, start: Bound, end: Bound, where: str) -> Range:
    """The range that was said, of a log with records at ``times`` (epoch seconds UTC, in any order).

    A time of day is on the day of the log on which the range holds records; an end that is earlier in the day than
    its start is on the day after. Raises :class:`FlightError` where there is none such, or more than one, and
    :class:`CallError` where the range ends before it begins.
    """
    times = np.sort(times)
    if isinstance(start, dt.datetime) and isinstance(end, dt.datetime) and end < start:
        raise CallError(
            f"the range ends before it begins: from {iso_z(start)} to {iso_z(end)}; the log spans "
            f"{stretch(times[0], times[-1])}",
            remedy="Exchange the two, or correct one.",
        )
    ranges = _ranges(times, start, end)
    holding = [one for one in ranges if _count(times, one) > 1]
    if len(holding) > 1:
        raise FlightError(
            f"{_words(start, end)} {_on_days(times, holding)}",
            where=where,
            remedy="Say the date with it: 2026-04-18T13:12:40Z.",
        )
    if not holding:
        raise FlightError(
            f"there are no two records {_words(start, end)}; the log spans {stretch(times[0], times[-1])}",
            where=where,
            remedy="Choose times in it, in UTC.",
        )
    return holding[0]


def _ranges(times: FloatArray, start: Bound, end: Bound) -> list[Range]:
    """What could have been meant."""
    fixed_start = epoch_s(start) if isinstance(start, dt.datetime) else -np.inf
    fixed_end = epoch_s(end) if isinstance(end, dt.datetime) else np.inf
    days = np.unique(np.floor(times / S_PER_DAY)) * S_PER_DAY
    if isinstance(start, dt.time) and isinstance(end, dt.time):
        lasts = _seconds(end) - _seconds(start)
        begins = np.unique(np.concatenate([days - S_PER_DAY, days])) + _seconds(start)
        return [(begin, begin + lasts + (S_PER_DAY if lasts < 0 else 0.0)) for begin in begins.tolist()]
    if isinstance(start, dt.time):
        if np.isfinite(fixed_end):
            return [(_at(start, fixed_end, before=True), fixed_end)]
        return [(begin, np.inf) for begin in _within(days + _seconds(start), times, earliest=True)]
    if isinstance(end, dt.time):
        if np.isfinite(fixed_start):
            return [(fixed_start, _at(end, fixed_start, before=False))]
        return [(-np.inf, finish) for finish in _within(days + _seconds(end), times, earliest=False)]
    return [(fixed_start, fixed_end)]


def _within(instants: FloatArray, times: FloatArray, *, earliest: bool) -> list[float]:
    """Those inside the log; where there are none, the one on its first or last day, before or after all of it."""
    inside = instants[(instants >= times[0]) & (instants <= times[-1])]
    if inside.size:
        return [float(each) for each in inside]
    return [float(instants[0] if earliest else instants[-1])]


def _at(of_day: dt.time, limit_s: float, *, before: bool) -> float:
    """The last such time of day before an instant, or the first after it."""
    day = np.floor(limit_s / S_PER_DAY) * S_PER_DAY + _seconds(of_day)
    if before:
        return float(day if day <= limit_s else day - S_PER_DAY)
    return float(day if day >= limit_s else day + S_PER_DAY)


def _count(times: FloatArray, one: Range) -> int:
    return int(np.searchsorted(times, one[1], side="right") - np.searchsorted(times, one[0], side="left"))


def _seconds(of_day: dt.time) -> float:
    return of_day.hour * 3600.0 + of_day.minute * 60.0 + of_day.second + of_day.microsecond * 1e-6


def _time_of_day(match: re.Match[str]) -> dt.time:
    hour, minute, second, fraction = match.groups()
    return dt.time(int(hour), int(minute), int(second or 0), int((fraction or "").ljust(6, "0") or 0))


def _words(start: Bound, end: Bound) -> str:
    told = [f"from {_shown(start)}"] if start is not None else []
    told += [f"to {_shown(end)}"] if end is not None else []
    return " ".join(told)


def _shown(value: dt.datetime | dt.time) -> str:
    return iso_z(value) if isinstance(value, dt.datetime) else f"{value.isoformat()}Z"


def _on_days(times: FloatArray, ranges: list[Range]) -> str:
    """Where in the log a range can be: its days, or what it holds where it begins or ends on a day without records."""
    said = [day_of(one[0] if np.isfinite(one[0]) else one[1]) for one in ranges]
    first, last = day_of(float(times[0])), day_of(float(times[-1]))
    if all(first <= day <= last for day in said):
        some = [f"{day}" for day in said[:_MOST_DAYS]]
        words = f"is on {len(ranges)} days of the log"
    else:
        some = [stretch(*_held(times, one)) for one in ranges[:_MOST_DAYS]]
        words = f"can be {len(ranges)} stretches of the log"
    rest = len(ranges) - len(some)
    return f"{words}: {joined([*some, f'{rest} more'] if rest else some)}"


def _held(times: FloatArray, one: Range) -> Range:
    """The first and the last record in a range."""
    inside = times[(times >= one[0]) & (times <= one[1])]
    return float(inside[0]), float(inside[-1])


def day_of(time_s: float) -> dt.date:
    """The day of an instant in UTC."""
    return instant(time_s).date()
