"""When things were said: the lesson's times as seconds since 1970-01-01 UTC, and how surely they are known."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from legwise.model.instants import epoch_s, instant
from legwise.model.lesson import Clearance, Lesson, Time
from legwise.model.track import Track
from legwise.units import S_PER_DAY

TO_THE_MINUTE_S = 60.0
"""A time written ``"HH:MM"`` may be a minute off either way (the lesson file's own rule)."""
TO_THE_SECOND_S = 30.0
"""A time written to the second, unless ``time_accuracy_s`` says otherwise: it was noted by someone busy flying."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Said:
    """A clearance with its time. ``time_s`` is None where the file gives none and the order alone decides."""

    clearance: Clearance
    time_s: float | None
    accuracy_s: float


def said_in_order(lesson: Lesson, track: Track) -> tuple[Said, ...]:
    """Everything that was said, in the order of the file."""
    return tuple(
        Said(
            clearance=clearance,
            time_s=None if clearance.time is None else resolve(clearance.time, lesson.lesson.date, track),
            accuracy_s=_accuracy_s(clearance),
        )
        for clearance in lesson.clearance
    )


def resolve(when: Time, date: dt.date | None, track: Track) -> float:
    """A time of the lesson as epoch seconds.

    A time of day is UTC on ``date`` (else the date of the track's first sample), or on the day before or after where
    that falls nearer the track's span: a flight over midnight.
    """
    if isinstance(when, dt.datetime):
        return epoch_s(when if when.tzinfo is not None else when.replace(tzinfo=dt.UTC))
    clock = dt.time.fromisoformat(when) if isinstance(when, str) else when
    day = date if date is not None else instant(track.first_time_s).date()
    named = epoch_s(dt.datetime.combine(day, clock.replace(tzinfo=None), tzinfo=dt.UTC))

    def away_s(candidate: float) -> float:
        return max(0.0, track.first_time_s - candidate, candidate - track.last_time_s)

    # The named day stands first, so that it wins a tie.
    return min((named, named + S_PER_DAY, named - S_PER_DAY), key=away_s)


def _accuracy_s(clearance: Clearance) -> float:
    if clearance.time_accuracy_s is not None:
        return clearance.time_accuracy_s
    return TO_THE_MINUTE_S if isinstance(clearance.time, str) and clearance.time.count(":") < 2 else TO_THE_SECOND_S
