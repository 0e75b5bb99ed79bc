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
_SIX_FIGURES = re.compile(r"(\d{2})(\d{2})(\d{2})")
_WEEKDAY = re.compile(r"(mon|tue|wed|thu|fri|sat|sun)[a-z]{0,6}\.?,?\s+")
_NAMED = re.compile(
    r"(\d{1,2})[- .]{0,2}([^\W\d]{3})[^\W\d]*[-. ,]{0,2}(\d{4}|\d{2})"
    r"|([^\W\d]{3})[^\W\d]*[-. ]{1,2}(\d{1,2})[, ]{1,2}(\d{4})"
)
_MONTHS = {
    **{name: month for month, name in enumerate(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), start=1
    )},
    "fév": 2, "fev": 2, "mär": 3, "avr": 4, "abr": 4, "mai": 5, "aoû": 8, "ago": 8, "okt": 10, "dez": 12, "déc": 12,
    "dic": 12,
}  # fmt: skip
_ORDER_SAID = (
    (re.compile(r"(?<![a-z])d{1,2}\W?m{1,3}\W?[yja]{2,4}(?![a-z])", re.I), "dmy"),
    (re.compile(r"(?<![a-z])m{1,3}\W?d{1,2}\W?y{2,4}(?![a-z])", re.I), "mdy"),
    (re.compile(r"(?<![a-z])y{2,4}\W?m{1,3}\W?d{1,2}(?![a-z])", re.I), "ymd"),
)
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


def order_said(statement: str) -> str:
    """The order of day, month and year that a heading or a units row states, as in "DD/MM/YYYY"; empty where none."""
    found = {order for pattern, order in _ORDER_SAID if pattern.search(statement[:200])}
    return found.pop() if len(found) == 1 else ""


def days_of(texts: Iterable[str], *, date: dt.date | None, where: str, order: str = "") -> Dates:
    """The days of all the distinct date texts of a log.

    ``date`` is the date of the flight where it is known, ``order`` what :func:`order_said` found. Raises
    :class:`TrackTimeError` where day and month can't be told apart.
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
        six = None if match else _SIX_FIGURES.fullmatch(clean)
        if match:
            doubtful[text] = (int(match[1]), int(match[3]), int(match[4]), match[4] + match[2])
        elif six:
            doubtful[text] = (int(six[1]), int(six[2]), int(six[3]), six[3] + "_")
    if not doubtful:
        return Dates(days=days)
    order, why = (order, "so the heading says") if order else _decided(doubtful, date, where)
    for text, fields in doubtful.items():
        day = _in_order(fields, order)
        if day is not None:
            days[text] = day
    return Dates(days=days, note=f"dates are read as {_ORDERS[order]}: {why}")


def _certain(clean: str) -> int | None:
    clean = _WEEKDAY.sub("", clean)
    match = _YEAR_FIRST.fullmatch(clean)
    if match:
        return _day(*(int(group) for group in (match.group(1, 3, 4) if match[1] else match.group(5, 6, 7))))
    match = _NAMED.fullmatch(clean)
    if match:
        day, month, year = match.group(1, 2, 3) if match[1] else match.group(5, 4, 6)
        century = 2000 if len(year) == 2 else 0
        return _day(century + int(year), _MONTHS[month], int(day)) if month in _MONTHS else None
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
    if fitting and all(days == next(iter(fitting.values())) for days in fitting.values()):
        return next(iter(fitting)), "every order gives the same days"
    is_neither = False
    if date is not None:
        said = date.toordinal() - _EPOCH_ORDINAL
        near = [order for order, days in fitting.items() if min(abs(day - said) for day in days) <= 1]
        if len(near) == 1:
            return near[0], f"so the flight is on {date.isoformat()}"
        is_neither = not near
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
    either = f"the date {shown(text)} can be {joined(sorted(set(readings)), 'or')}"
    if is_neither and date is not None:
        raise TrackTimeError(
            f"{either}, but the flight is said to be on {date.isoformat()}, which is none of them",
            where=where,
            remedy="Correct the date that was given, if the log is that of the flight. "
            'Or say the order: date = { heading = "…", unit = "DD/MM/YYYY" } in [columns].',
        )
    raise TrackTimeError(
        either,
        where=where,
        remedy="Which is it? Give the date of the flight: --date YYYY-MM-DD, or [lesson] date = YYYY-MM-DD. "
        'Or the order: date = { heading = "…", unit = "DD/MM/YYYY" } in [columns].',
    )
