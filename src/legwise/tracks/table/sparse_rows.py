"""Logs with one row a message: the position on one row, the altitude on another, the attitude on a third.

A record is a row with a time and a position. What stands on rows of its own is brought to it: from a row of the same
time, else from between its neighbours in time, else from the nearest of them; never from further than ``NEAR_S``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Choice, Column
from legwise.tracks.table.rows import Rows
from legwise.tracks.wording import joined, shown

NEAR_S = 5.0
"""How far a value may lie from the record that takes it. Common practice, no published source. [s]"""

_FEW = 3
_MANY_PART = 0.2
_OFTEN_PART = 0.25
_RARE_PART = 0.5
_REGULAR_PART = 0.8
_TWICE_PART = 0.05
_STEPPED = frozenset({Quantity.HDOP, Quantity.HORIZONTAL_ACCURACY, Quantity.VERTICAL_ACCURACY})
"""What is not between its neighbours: it is taken from the nearest."""

_CIRCULAR = frozenset({Quantity.TRACK, Quantity.HEADING})


@dataclass(frozen=True, slots=True, eq=False)
class _Messages:
    """The values of a channel in the order of ``key`` (time, apart for each aircraft). [s]"""

    key: FloatArray
    values: FloatArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Gathered:
    """Which rows are records, what their columns hold now (by index), and what was done, in words."""

    keep: BoolArray
    numbers: Mapping[int, FloatArray]
    notes: tuple[str, ...]


def carried_times(rows: Rows, choice: Choice) -> tuple[Rows, tuple[str, ...]]:
    """``rows`` with the time of the row above where it is blank, if that is plainly the log's habit.

    It is where many rows lack a time, and each column is filled once at most between one time and the next.
    """
    time = choice.get(Quantity.TIME)
    if time is None or not len(rows):
        return rows, ()
    blank = rows.texts[time.index] == ""
    if np.count_nonzero(blank) < max(_FEW, _MANY_PART * len(rows)):
        return rows, ()
    group = np.cumsum(~blank)
    count = int(group[-1])
    if count < _FEW:
        return rows, ()
    for values in rows.numbers.values():
        twice = np.bincount(group[np.isfinite(values)], minlength=count + 1)[1:] > 1
        if np.count_nonzero(twice) > _TWICE_PART * count:
            return rows, ()
    last = np.maximum.accumulate(np.where(blank, -1, np.arange(len(rows))))
    carried = blank & (last >= 0)
    texts = {
        index: np.where(carried & (cells == ""), cells[np.maximum(last, 0)], cells)
        for index, cells in rows.texts.items()
    }
    note = f"{int(np.count_nonzero(carried)):,} rows without a time have that of the row above"
    return rows.with_columns(texts=texts), (note,)


def gathered(rows: Rows, time_s: FloatArray, choice: Choice) -> Gathered | None:
    """The records of a log with one row a message; None for any other log.

    ``rows`` hold positions in degrees. A log is one of messages where rows with and without a position alternate, and
    some channel stands mostly on the latter, or the positions come at a steady rate between more rows without.
    """
    lat, lon = (rows.numbers[choice.columns[axis].index] for axis in (Quantity.LATITUDE, Quantity.LONGITUDE))
    is_timed = np.isfinite(time_s)
    is_record = is_timed & np.isfinite(lat) & np.isfinite(lon)
    is_message = is_timed & ~is_record
    count = int(np.count_nonzero(is_message))
    if count < max(_FEW, _MANY_PART * len(rows)) or np.count_nonzero(is_record) < _FEW:
        return None
    between = np.diff(np.flatnonzero(is_record[is_timed])) - 1
    if np.count_nonzero(between) < max(_FEW, _OFTEN_PART * np.count_nonzero(is_record)):
        return None
    own = _on_rows_of_their_own(rows, choice, is_record, is_message)
    if not own and not _is_regular(between):
        return None
    key = _keys(rows, time_s, choice)
    numbers = dict(rows.numbers)
    notes: list[str] = [f"{count:,} rows without a position are messages between the records"]
    for column in own:
        numbers[column.index], note = _brought(column, rows.numbers[column.index], key, is_record, is_timed)
        notes.append(note)
    return Gathered(keep=~is_message, numbers=numbers, notes=tuple(notes))


def _on_rows_of_their_own(rows: Rows, choice: Choice, is_record: BoolArray, is_message: BoolArray) -> list[Column]:
    own: list[Column] = []
    records = int(np.count_nonzero(is_record))
    for column in choice.columns.values():
        if column.index not in rows.numbers or column.quantity in (Quantity.LATITUDE, Quantity.LONGITUDE):
            continue
        known = np.isfinite(rows.numbers[column.index])
        on_records, on_messages = int(np.count_nonzero(known & is_record)), int(np.count_nonzero(known & is_message))
        if on_messages >= _FEW and on_records < _RARE_PART * records and on_messages > on_records:
            own.append(column)
    return own


def _is_regular(between: IntArray) -> bool:
    """Whether about the same number of rows, one or more, stands between each record and the next."""
    usual = float(np.median(between))
    return usual >= 1.0 and float(np.mean(np.abs(between - usual) <= np.floor(0.2 * usual))) >= _REGULAR_PART


def _keys(rows: Rows, time_s: FloatArray, choice: Choice) -> FloatArray:
    """Times from the first on, those of each aircraft far from those of any other. [s]"""
    start, end = float(np.nanmin(time_s)), float(np.nanmax(time_s))
    column = choice.get(Quantity.AIRCRAFT)
    if column is None:
        return time_s - start
    import pandas as pd

    codes, _names = pd.factorize(rows.texts[column.index])
    return time_s - start + codes.astype(np.float64) * (end - start + 100.0 * NEAR_S)


def _brought(
    column: Column, values: FloatArray, key: FloatArray, is_record: BoolArray, is_timed: BoolArray
) -> tuple[FloatArray, str]:
    """The channel with what its own rows tell of the records, and that in words."""
    known = np.flatnonzero(is_timed & np.isfinite(values))
    known = known[np.argsort(key[known], kind="stable")]
    messages = _Messages(key[known], values[known])
    lacking = np.flatnonzero(is_record & np.isnan(values))
    found, counts = _near(messages, key[lacking], column)
    filled = values.copy()
    filled[lacking] = found
    told = [
        f"{count:,} {words}"
        for count, words in zip(
            counts,
            (
                "at the same time",
                "between neighbours in time",
                f"from the nearest within {NEAR_S:.0f} s",
                f"without any within {NEAR_S:.0f} s",
            ),
            strict=True,
        )
        if count
    ]
    return filled, f"{shown(column.heading)} is taken from rows of its own: {joined(told)}"


def _near(messages: _Messages, at: FloatArray, column: Column) -> tuple[FloatArray, Sequence[int]]:
    """The values at ``at``; how many were of the same time, between, near, and none."""
    after = np.searchsorted(messages.key, at, side="left")
    before = after - 1
    last = len(messages.key) - 1
    next_s = np.where(after <= last, messages.key[np.minimum(after, last)] - at, np.inf)
    past_s = np.where(before >= 0, at - messages.key[np.maximum(before, 0)], np.inf)
    one, other = messages.values[np.maximum(before, 0)], messages.values[np.minimum(after, last)]
    is_same = next_s == 0.0
    has_next, has_past = next_s <= NEAR_S, past_s <= NEAR_S
    is_between = ~is_same & has_next & has_past & (column.quantity not in _STEPPED)
    nearest = np.where(past_s <= next_s, one, other)
    value = np.where(has_next | has_past, nearest, np.nan)
    step = other - one
    if column.quantity in _CIRCULAR:
        turn = 360.0 / column.factor
        step = np.mod(step + turn / 2.0, turn) - turn / 2.0
    with np.errstate(invalid="ignore", divide="ignore"):
        part = past_s / (past_s + next_s)
        middle = one + step * part
    if column.quantity in _CIRCULAR:
        middle = np.mod(middle, 360.0 / column.factor)
    value = np.where(is_between, middle, value)
    value = np.where(is_same, other, value)
    is_near = ~is_same & ~is_between & (has_next | has_past)
    none = ~is_same & ~is_between & ~is_near
    return value, [int(np.count_nonzero(flags)) for flags in (is_same, is_between, is_near, none)]
