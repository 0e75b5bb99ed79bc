"""When an instructor's event was: a time of the lesson file as seconds since 1970."""

from __future__ import annotations

import datetime as dt

from legwise.model.instants import epoch_s, instant
from legwise.model.lesson import Lesson, Time
from legwise.model.track import Track
from legwise.units import S_PER_DAY


def event_time_s(time: Time, lesson: Lesson, track: Track) -> float:
    """The epoch seconds of ``time``.

    A time of day is UTC on the lesson's date, else on the date of the track's first sample; of that day and its
    neighbours the one nearest the track's span is meant, so a flight over midnight reads right.
    """
    if isinstance(time, dt.datetime):
        return epoch_s(time if time.tzinfo is not None else time.replace(tzinfo=dt.UTC))
    of_day = dt.time.fromisoformat(time) if isinstance(time, str) else time
    date = lesson.lesson.date or instant(track.first_time_s).date()
    said = epoch_s(dt.datetime.combine(date, of_day.replace(tzinfo=None), tzinfo=dt.UTC))
    days = (said, said + S_PER_DAY, said - S_PER_DAY)
    return min(days, key=lambda at_s: max(track.first_time_s - at_s, at_s - track.last_time_s, 0.0))
