"""The day of each time in an NMEA 0183 log: as RMC and ZDA say it, and counted on over midnight where none does."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import BoolArray, FloatArray
from legwise.tracks.nmea.companions import Attached
from legwise.tracks.nmea.epochs import Epochs
from legwise.tracks.nmea.types import RMC
from legwise.units import S_PER_DAY, S_PER_H

_EPOCH_ORDINAL = dt.date(1970, 1, 1).toordinal()
_ROLLOVER_DAYS = 1024 * 7
"""GPS satellites count weeks modulo 1024 (IS-GPS-200); a receiver that takes the wrong count is off by as many."""

_MOST_ROLLOVERS = 2
_SAID_WITHIN_DAYS = 1
"""The day that is said and the day in UTC at the start of a flight differ by no more."""

_REMEDY = "Give the date of the flight: [lesson] date = YYYY-MM-DD, or --date YYYY-MM-DD."


@dataclass(frozen=True, slots=True, eq=False)
class Dated:
    """Seconds since 1970-01-01 UTC of each epoch (NaN: no time), and notes on how the days were found."""

    time_s: FloatArray
    notes: tuple[str, ...]


def dated(epochs: Epochs, calendar: Attached, date: dt.date | None, where: str) -> Dated:
    """The instants of the epochs; ``date`` is that of the flight where it is known.

    Dates of sentences that say there is no fix count only where there are no others: before its first fix a receiver
    runs on a clock of its own. Raises :class:`TrackTimeError` where there is no date at all.
    """
    records = epochs.is_record & np.isfinite(epochs.seconds)
    own_day = epochs.first_of(epochs.is_usable & (epochs.rows.kind == RMC), epochs.rows.day)
    own_day = _with_calendar(own_day, calendar, records)
    free = calendar.epoch < 0
    chain = records
    notes: list[str] = []
    if not (np.isfinite(own_day[records]).any() or free.any()):
        own_day = epochs.first_of(epochs.rows.kind == RMC, epochs.rows.day)
        own_day = _with_calendar(own_day, calendar, np.isfinite(epochs.seconds))
        chain = np.isfinite(epochs.seconds)
        if np.isfinite(own_day[chain]).any():
            notes.append("the date is one that was said before there was a fix")
    # ZDA sentences that stand between the times of the others have a place of their own in the row of times.
    line = np.concatenate([epochs.line[chain], calendar.rows.line[free]])
    seconds = np.concatenate([epochs.seconds[chain], calendar.rows.seconds[free]])
    day = np.concatenate([own_day[chain], calendar.rows.day[free]])
    order = np.argsort(line, kind="stable")
    day[order], more = _corrected(day[order], date)
    notes += more
    if not np.isfinite(day).any():
        if date is None:
            raise TrackTimeError("the log holds times of day without a date", where=where, remedy=_REMEDY)
        chain_records = records[chain]
        if chain_records.any():
            day[int(np.flatnonzero(chain_records)[0])] = date.toordinal() - _EPOCH_ORDINAL
            notes.append(f"times of day are taken on {date.isoformat()}")
    counted, stale = _counted(seconds[order], day[order])
    if stale:
        notes.append(f"the date stays the same over midnight in {stale} records; counted on")
    found = np.empty_like(seconds)
    found[order] = counted
    time_s = np.full(len(epochs), np.nan)
    time_s[chain] = (found * S_PER_DAY + seconds)[: int(np.count_nonzero(chain))]
    return Dated(time_s, tuple(notes))


def _with_calendar(own_day: FloatArray, calendar: Attached, believed: BoolArray) -> FloatArray:
    at = np.flatnonzero(calendar.epoch >= 0)[::-1]
    said = np.full(len(own_day), np.nan)
    said[calendar.epoch[at]] = calendar.rows.day[at]
    return np.where(np.isnan(own_day) & believed, said, own_day)


def _corrected(day: FloatArray, date: dt.date | None) -> tuple[FloatArray, list[str]]:
    """Put right what is off by whole cycles of the week count from the date that was said."""
    known = day[np.isfinite(day)]
    if date is None or not known.size:
        return day, []
    said = date.toordinal() - _EPOCH_ORDINAL
    for cycles in range(1, _MOST_ROLLOVERS + 1):
        shift = cycles * _ROLLOVER_DAYS
        if abs(said - known[0] - shift) > _SAID_WITHIN_DAYS:
            continue
        is_off = np.abs(said - day - shift) <= _SAID_WITHIN_DAYS + 1
        first = dt.date.fromordinal(int(known[0]) + _EPOCH_ORDINAL).isoformat()
        note = (
            f"the receiver's date {first} is {shift // 7:,} weeks before the date that was said (its week count ran "
            "over); put right by as many"
        )
        return np.where(is_off, day + shift, day), [note]
    return day, []


def _counted(seconds: FloatArray, day: FloatArray) -> tuple[FloatArray, int]:
    """The day of each of a row of times of day, from those that are known; and how many known ones lag behind midnight.

    A step back of more than half a day is midnight. Before the first known day it is counted backwards.
    """
    steps = np.diff(seconds)
    turns = np.where(steps < -S_PER_DAY / 2, 1.0, np.where(steps > S_PER_DAY / 2, -1.0, 0.0))
    passed = np.concatenate([[0.0], np.cumsum(turns)])[: len(seconds)]
    at = np.flatnonzero(np.isfinite(day))
    if not at.size:
        return np.full(len(seconds), np.nan), 0
    base = day[at] - passed[at]
    lags = np.concatenate([[0.0], _lagging(base, passed[at], seconds[at])]) if at.size > 1 else np.zeros(1)
    latest = np.maximum.accumulate(np.where(np.isfinite(day), np.arange(len(day)), -1))
    which = np.maximum(np.searchsorted(at, latest, side="right") - 1, 0)
    return (base + lags)[which] + passed, int(np.count_nonzero(lags))


def _lagging(base: FloatArray, passed: FloatArray, seconds: FloatArray) -> FloatArray:
    """By how many days each known date but the first lags: it stayed the same while the time of day went over midnight.

    That holds until the date changes otherwise. Some receivers change it a little late, some simulators never do.
    """
    change = np.diff(base)
    goes_over = (seconds[:-1] > S_PER_DAY - S_PER_H) & (seconds[1:] < S_PER_H) & (np.diff(passed) == 1.0)
    begins = (change == -1.0) & goes_over
    lags = np.cumsum(begins)
    ends = (change != 0.0) & ~begins
    before = np.maximum.accumulate(np.where(ends, lags, 0))
    return (lags - before).astype(np.float64)
