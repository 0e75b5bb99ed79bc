"""The times and the date of a lesson, held against those of a log."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from legwise.errors import LessonError
from legwise.model.instants import epoch_s, instant
from legwise.model.lesson import Lesson, Time
from legwise.model.track import Track
from legwise.tracks.choosing.log_date import days_of_log, rollover_words
from legwise.units import S_PER_DAY

_NEAR = dt.timedelta(hours=1)
"""What is said before the log begins, or after it ends, belongs to it within this time."""

_ONE_DAY = dt.timedelta(days=1)


def check_date(lesson: Lesson, track: Track) -> None:
    """Refuse a lesson of another day than the track's: its times of day would be taken for those of the track's day.

    A time within an hour of the track on the lesson's date makes it the same flight, over midnight. Without times of
    day a date one day off is let pass (a zone's difference); one further off never: one of the two dates is wrong.
    Raises :class:`LessonError`.
    """
    date = lesson.lesson.date
    first, last = instant(track.first_time_s), instant(track.last_time_s)
    clocks = [clock for when in (*said_times(lesson), *_further_times(lesson)) if (clock := _of_day(when)) is not None]
    if date is None or first.date() <= date <= last.date():
        return
    is_far = not first.date() - _ONE_DAY <= date <= last.date() + _ONE_DAY
    if not clocks and not is_far:
        return
    if any(first - _NEAR <= dt.datetime.combine(date, clock, tzinfo=dt.UTC) <= last + _NEAR for clock in clocks):
        return
    why = rollover_words((date - first.date()).days)
    remedy = "Correct the date, or leave it out: times of day are then those of the track's day."
    if is_far:
        remedy = (
            "Correct the lesson's date, or give the log of that day. Where the log's own date is wrong, as a "
            f"simulator's can be, take the lesson's in its place: --date {date}."
        )
    told = "the lesson's times of day are on" if clocks else "the lesson is of"
    raise LessonError(
        f"{told} {date}, and the track is of "
        f"{days_of_log(track.first_time_s, track.last_time_s)} (UTC)" + (f", {why}" if why else ""),
        where=lesson.where("[lesson] date"),
        remedy=f"Say the right date of the log: --date {date}." if why else remedy,
    )


def said_times(lesson: Lesson) -> Iterator[Time]:
    """The times at which something was said or happened: those of instructions, events and remarks."""
    times = [item.time for item in lesson.clearance]
    times += [item.time for item in lesson.event]
    times += [item.time for item in lesson.remark]
    yield from (time for time in times if time is not None)


def lies_within(when: Time, start_s: float, end_s: float) -> bool:
    """Whether a time of a lesson lies between two instants; a time of day, whether on any day between. [epoch s]"""
    clock = _of_day(when)
    if clock is None:
        return isinstance(when, dt.datetime) and start_s <= epoch_s(when) <= end_s
    midnight = epoch_s(dt.datetime.combine(instant(start_s).date(), clock, tzinfo=dt.UTC))
    first = midnight if midnight >= start_s else midnight + S_PER_DAY
    return first <= end_s


def _further_times(lesson: Lesson) -> Iterator[Time]:
    """The other times that need the lesson's date."""
    for item in lesson.clearance:
        if item.hold is not None and item.hold.efc is not None:
            yield item.hold.efc
    for setting in lesson.altimeter:
        if setting.time is not None:
            yield setting.time


def _of_day(when: Time) -> dt.time | None:
    if isinstance(when, str):
        return dt.time.fromisoformat(when)
    return when if isinstance(when, dt.time) else None
