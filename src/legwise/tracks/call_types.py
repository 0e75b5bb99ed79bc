"""What a caller of :func:`legwise.read_track` gives, by its kind: what is of another kind is refused in words."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping

from legwise.errors import CallError
from legwise.model.lesson import ColumnChoice, Lesson
from legwise.tracks.limits import ReadLimits
from legwise.tracks.wording import shown


def check_call(
    path: object,
    *,
    columns: object,
    utc_offset: object,
    date: object,
    lesson: object,
    limits: object,
    flight: object,
) -> None:
    """Raise :class:`CallError` for the first argument that is of another kind than its own; None is "not said"."""
    if not isinstance(path, str | os.PathLike):
        raise _wrong("path", path, "a path", "Give the path of the track file.")
    if columns is not None:
        _check_columns(columns)
    if utc_offset is not None and not isinstance(utc_offset, str):
        raise _wrong("utc_offset", utc_offset, "a text", 'Write it as "±HH:MM".')
    if date is not None and not isinstance(date, dt.date):
        raise _wrong("date", date, "a date", "Give a datetime.date.")
    if lesson is not None and not isinstance(lesson, Lesson):
        raise _wrong("lesson", lesson, "a lesson", "Give what legwise.read_lesson gives.")
    if limits is not None and not isinstance(limits, ReadLimits):
        raise _wrong("limits", limits, "limits", "Give legwise.ReadLimits(max_rows=…) or the like.")
    if flight is not None and (not isinstance(flight, int) or isinstance(flight, bool)):
        raise _wrong("flight", flight, "the number of a flight", "Give a whole number; track.flights lists them.")


def _check_columns(columns: object) -> None:
    if not isinstance(columns, Mapping):
        raise _wrong("columns", columns, "a mapping", 'Give {"time": "the heading in the log", …}.')
    for key, choice in columns.items():
        if not isinstance(key, str):
            raise _wrong("columns", key, "a key of [columns]", 'Keys are texts, such as "time" or "altitude_ft".')
        if key == "utc_offset" and not isinstance(choice, str):
            raise _wrong(f"columns[{shown(key)}]", choice, "a text", 'Write it as "±HH:MM".')
        if not isinstance(choice, str | ColumnChoice) or not (choice if isinstance(choice, str) else choice.heading):
            remedy = "Give the heading in the log, or legwise.model.lesson.ColumnChoice(heading=…, unit=…, kind=…)."
            raise _wrong(f"columns[{shown(key)}]", choice, "a heading", remedy)


def _wrong(where: str, value: object, expected: str, remedy: str) -> CallError:
    # An object of the caller's may not even have words for itself.
    what = shown(value) if isinstance(value, str) else f"an object of the type {shown(type(value).__name__)}"
    return CallError(f"{what} is not {expected}", where=where, remedy=remedy)
