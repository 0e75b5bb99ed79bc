"""The date of a log whose own is wrong: a simulator's invention, a clock not set, a week counter that ran over."""

from __future__ import annotations

import dataclasses
import datetime as dt

import numpy as np

from legwise.model.arrays import readonly_floats
from legwise.model.instants import instant
from legwise.model.track import RawTrack
from legwise.tracks.choosing.moments import day_of
from legwise.tracks.flights.cutting import noted, used_times
from legwise.units import S_PER_DAY

_ROLLOVER_WEEKS = 1024
_MOST_ROLLOVERS = 2
"""The week that GPS broadcasts is counted in ten bits."""


def on_date(raw: RawTrack, date: dt.date, offset_s: float = 0.0) -> RawTrack:
    """``raw`` moved by whole days, so that its first record is on ``date`` in the zone ``offset_s`` ahead of UTC.

    Nothing is moved by a single day, which is no more than the difference between a zone and UTC.
    """
    times = used_times(raw)
    if not times.size:
        times = raw.samples.time_s[np.isfinite(raw.samples.time_s)]
    if not times.size:
        return raw
    began = day_of(float(times.min()) + offset_s)
    days = (date - began).days
    if days == 0:
        return raw
    if abs(days) == 1:
        words = f"the log begins on {began}, a day off the date that was said: no more than a zone's difference"
        return noted(raw, f"{words}; its times are kept")
    why = rollover_words(days)
    note = (
        f"the log begins on {began}{f' ({why})' if why else ''}; it is moved by {days} days, to the date that was said"
    )
    samples = dataclasses.replace(raw.samples, time_s=readonly_floats(raw.samples.time_s + days * S_PER_DAY))
    return noted(dataclasses.replace(raw, samples=samples), note)


def rollover_words(days: int) -> str:
    """What a difference of dates tells where it is a week counter that ran over; else nothing."""
    for times in range(1, _MOST_ROLLOVERS + 1):
        if abs(days) == times * _ROLLOVER_WEEKS * 7:
            return f"exactly {times * _ROLLOVER_WEEKS} weeks off: the receiver's week counter ran over"
    return ""


def days_of_log(first_s: float, last_s: float) -> str:
    """``2026-04-18``, or ``2026-04-18 to 2026-04-19``."""
    first, last = instant(first_s).date(), instant(last_s).date()
    return f"{first}" if first == last else f"{first} to {last}"
