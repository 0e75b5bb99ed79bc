"""Whether the times of what was said run forward: instructions stand in the order they were said."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator

from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem
from legwise.model.lesson import Clearance, Lesson, Time
from legwise.units import S_PER_DAY

TO_THE_MINUTE_S = 60.0
TO_THE_SECOND_S = 30.0
"""How well a time is known unless ``time_accuracy_s`` says it: the lesson file's own rule."""


def order_problems(lesson: Lesson, line: Callable[[Place], int | str]) -> Iterator[Problem]:
    """Instructions that stand before an earlier one by more than both times are in doubt.

    A jump back of more than half a day is a flight over midnight. ``line`` tells the line of a place, with its file
    where there are two.
    """
    latest: tuple[int, Time, float] | None = None
    for number, clearance in enumerate(lesson.clearance):
        if clearance.time is None:
            continue
        doubt_s = _doubt_s(clearance, clearance.time)
        if latest is None:
            latest = number, clearance.time, doubt_s
            continue
        before, since, before_doubt_s = latest
        passed_s = _passed_s(since, clearance.time)
        if passed_s < -(before_doubt_s + doubt_s):
            yield Problem(
                place=("clearance", number, "time"),
                message=f"{_words(clearance.time)} stands after {_words(since)} "
                f"(line {line(('clearance', before, 'time'))})",
                remedy="Instructions stand in the order they were said: correct a time, or put them in order.",
            )
        if passed_s >= 0:
            latest = number, clearance.time, doubt_s


def _passed_s(before: Time, after: Time) -> float:
    """The time from one to the other. [s] Of times of day: on the same day, or over one midnight."""
    if isinstance(before, dt.datetime) and isinstance(after, dt.datetime):
        return (after - before).total_seconds()
    passed = _second_of_day(after) - _second_of_day(before)
    return passed + S_PER_DAY if passed < -S_PER_DAY / 2 else passed


def _second_of_day(when: Time) -> float:
    if isinstance(when, dt.datetime):
        when = when.astimezone(dt.UTC).time()
    elif isinstance(when, str):
        when = dt.time.fromisoformat(when)
    return when.hour * 3600.0 + when.minute * 60.0 + when.second + when.microsecond / 1e6


def _doubt_s(clearance: Clearance, when: Time) -> float:
    if clearance.time_accuracy_s is not None:
        return clearance.time_accuracy_s
    return TO_THE_MINUTE_S if isinstance(when, str) else TO_THE_SECOND_S


def _words(when: Time) -> str:
    return when if isinstance(when, str) else when.isoformat()
