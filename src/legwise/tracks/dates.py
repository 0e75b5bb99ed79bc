"""Calendar dates as logs write them. Day and month are never guessed: they are decided, or asked for."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass

from legwise.errors import TrackTimeError
from legwise.tracks.wording import joined, shown

_EPOCH_ORDINAL = dt.date(1970, 1, 1).toordinal()
_YEAR_FIRST = re.compile(r"(\d{4})([-/. ])(\d{1,2})\2(\d{1,2})\.?|(\d{4})(\d{2})(\d{2})")
_YEAR_LAST = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})")
_NAMED = re.compile(
    r"(\d{1,2})[- .]{1,2}([a-z]{3})[a-z]*[-. ,]{1,2}(\d{4})|([a-z]{3})[a-z]*[-. ]{1,2}(\d{1,2})[, ]{1,2}(\d{4})"
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ONE_FLIGHT_DAYS = 2
"""A flight lasts no longer: of two readings of its dates the one that spans more is refused. Common practice, no
published source.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """Each date text with its day since 1970-01-01; texts that are no date are absent. ``note`` says how the order
    was told.
    """

    days: dict[str, int]
    note: str = ""


def days_of(texts: Iterable[str], *, date: dt.date | None, where: str) -> Dates:
    """The days of all the distinct date texts of a log.

    ``date`` is the date of the flight where it is known. Raises :class:`TrackTimeError` where day and month can't be
    told apart.
    """
    days: dict[str, int] = {}
    doubtful: dict[str, tuple[int, int, int, str]] = {}
    for text in texts:
        clean = text.strip().lower()
        plain = _certain(clean)
        if plain is not None:
            days[text] = plain
            continue
        match = _YEAR_LAST.fullmatch(clean)
        if match:
            doubtful[text] = (int(match[1]), int(match[3]), int(match[4]), match[4] + match[2])
    if not doubtful:
        return Dates(days=days)
    order, why = _decided(doubtful, date, where)
    for text, fields in doubtful.items():
        day = _in_order(fields, order)
        if day is not None:
            days[text] = day
    return Dates(days=days, note=f"dates are read as {_ORDERS[order]}: {why}")


def _certain(clean: str) -> int | None:
    match = _YEAR_FIRST.fullmatch(clean)
    if match:
        return _day(*(int(group) for group in (match.group(1, 3, 4) if match[1] else match.group(5, 6, 7))))
    match = _NAMED.fullmatch(clean)
    if match:
        day, month, year = match.group(1, 2, 3) if match[1] else match.group(5, 4, 6)
        return _day(int(year), _MONTHS.index(month) + 1, int(day)) if month in _MONTHS else None
    return None


def _day(year: int, month: int, day: int) -> int | None:
    try:
        return dt.date(year, month, day).toordinal() - _EPOCH_ORDINAL
    except ValueError:
        return None


_ORDERS = {"dmy": "day, month, year", "mdy": "month, day, year", "ymd": "year, month, day"}


def _in_order(fields: tuple[int, int, int, str], order: str) -> int | None:
    first, second, third, form = fields
    if order == "ymd":
        return _day(2000 + first, second, third) if len(form) == 3 else None
    year = third if len(form) == 5 else 2000 + third
    return _day(year, second, first) if order == "dmy" else _day(year, first, second)


def _decided(doubtful: dict[str, tuple[int, int, int, str]], date: dt.date | None, where: str) -> tuple[str, str]:
    """The order of day, month and year that every text fits, and why; only one may be left."""
    fitting: dict[str, list[int]] = {}
    for order in _ORDERS:
        days = [_in_order(fields, order) for fields in doubtful.values()]
        known = [day for day in days if day is not None]
        # A few damaged dates don't decide, most of them do.
        if len(known) > 0.9 * len(days):
            fitting[order] = known
    if len(fitting) == 1:
        return next(iter(fitting)), "no other order gives dates"
    if date is not None:
        said = date.toordinal() - _EPOCH_ORDINAL
        near = [order for order, days in fitting.items() if min(abs(day - said) for day in days) <= 1]
        if len(near) == 1:
            return near[0], f"so the flight is on {date.isoformat()}"
    short = [order for order, days in fitting.items() if max(days) - min(days) <= _ONE_FLIGHT_DAYS]
    if len(fitting) > 1 and len(short) == 1:
        return short[0], "in any other order the flight would last for weeks"
    if all(form.endswith(".") and len(form) == 5 for *_fields, form in doubtful.values()) and "dmy" in fitting:
        return "dmy", "so dates with points are written"
    text = next(iter(doubtful))
    readings = [
        dt.date.fromordinal(day + _EPOCH_ORDINAL).isoformat()
        for order in fitting
        if (day := _in_order(doubtful[text], order)) is not None
    ]
    if not readings:
        raise TrackTimeError(f"the date {shown(text)} can't be read", where=where, remedy="Write dates as YYYY-MM-DD.")
    raise TrackTimeError(
        f"the date {shown(text)} can be {joined(sorted(set(readings)), 'or')}",
        where=where,
        remedy="Which is it? Say the date in the lesson: [lesson] date = YYYY-MM-DD.",
    )
