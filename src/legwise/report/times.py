"""Times in words: UTC with Z, always."""

from __future__ import annotations

import datetime as dt

from legwise.model.instants import epoch_s
from legwise.report.content import Span

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def clock(when: dt.datetime) -> str:
    """``"13:31:05Z"``: the second that the moment lies in, as a clock shows it."""
    return f"{when.astimezone(dt.UTC):%H:%M:%S}Z"


def clock_or_none(when: dt.datetime | None) -> str:
    """As :func:`clock`; ``"not recorded"`` for None."""
    return "not recorded" if when is None else clock(when)


def between(start: dt.datetime, end: dt.datetime) -> str:
    """``"13:12:40Z to 13:19:05Z"``."""
    return f"{clock(start)} to {clock(end)}"


def hours(start: dt.datetime, end: dt.datetime) -> str:
    """``"13:12 to 14:19 UTC"``."""
    return f"{start.astimezone(dt.UTC):%H:%M} to {end.astimezone(dt.UTC):%H:%M} UTC"


def day(date: dt.date) -> str:
    """``"18 April 2026"``."""
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def milliseconds(when: dt.datetime) -> int:
    """Milliseconds since 1970-01-01 UTC."""
    return round(epoch_s(when) * 1000)


def span(start: dt.datetime, end: dt.datetime, at: dt.datetime | None = None) -> Span:
    """The span of a row; without ``at`` its start is looked at."""
    return Span(from_ms=milliseconds(start), to_ms=milliseconds(end), at_ms=milliseconds(start if at is None else at))
