"""The sentences of one time become one record: which belong together, whether there was a fix, whose value counts.

Only neighbours are put together: the same time of day again after another one, or with another date, is another record.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.nmea.rows import FIX, RECKONED, SIMULATED, UNSAID, VOID, Rows
from legwise.tracks.nmea.types import GGA, GLL, GNS, RMC

POSITION_KINDS: Final = (RMC, GGA, GNS, GLL)
"""The types that carry a position; of equal decimals the first is taken."""


@dataclass(frozen=True, slots=True, eq=False)
class Epochs:
    """The times of a log and the rows of each, in the order of the file.

    ``rows`` are those with a position, ``of_row`` (shape (rows,)) says whose each is. For each epoch, shape (n,):
    its time of day [s] (NaN: none), the line of its first sentence, whether a sentence says that there is a fix, that
    there is none, or nothing.
    """

    rows: Rows
    of_row: IntArray
    seconds: FloatArray
    line: IntArray
    has_fix: BoolArray
    has_void: BoolArray
    has_unsaid: BoolArray

    def __len__(self) -> int:
        return len(self.seconds)

    @property
    def is_record(self) -> BoolArray:
        """Which epochs give a record: a fix is said, or nothing is said against one."""
        is_record: BoolArray = self.has_fix | (self.has_unsaid & ~self.has_void)
        return is_record

    @property
    def is_usable(self) -> BoolArray:
        """Which rows (not epochs) may be used for a record."""
        is_usable: BoolArray = self.is_record[self.of_row] & (self.rows.verdict != VOID)
        return is_usable

    def first_of(self, which: BoolArray, values: FloatArray) -> FloatArray:
        """For each epoch the first of the ``values`` (shape (rows,)) where ``which`` holds and there is one."""
        return _first(len(self), self.of_row, which & np.isfinite(values), values)


def _first(count: int, of_row: IntArray, which: BoolArray, values: FloatArray) -> FloatArray:
    at = np.flatnonzero(which)[::-1]
    first = np.full(count, np.nan)
    # Where an index repeats the last assignment stands, which is the first row.
    first[of_row[at]] = values[at]
    return first


def epochs_of(rows: Rows) -> Epochs:
    """Put neighbouring rows of one time together. ``rows`` are of ``POSITION_KINDS``."""
    timed = np.isfinite(rows.seconds)
    begins = np.zeros(len(rows), dtype=np.bool_)
    at = np.flatnonzero(timed)
    begins[at] = _begins_by_time(rows.seconds[at], np.where(rows.kind[at] == RMC, rows.day[at], np.nan))
    begins[~timed] = _begins_by_kind(rows, timed)
    # Rows without a time may stand among those of an epoch; they make epochs of their own, numbered by their first row.
    own = np.cumsum(begins) - 1
    of_row = np.zeros(len(rows), dtype=np.int64)
    for some in (timed, ~timed):
        firsts = np.where(begins & some, own, 0)
        of_row[some] = np.maximum.accumulate(firsts)[some]
    first_rows = np.flatnonzero(begins)
    count = len(first_rows)

    def holding(verdict: int) -> BoolArray:
        return np.bincount(of_row[rows.verdict == verdict], minlength=count) > 0

    return Epochs(
        rows,
        of_row,
        rows.seconds[first_rows],
        rows.line[first_rows],
        holding(FIX),
        holding(VOID),
        holding(UNSAID),
    )


def _begins_by_time(seconds: FloatArray, day: FloatArray) -> BoolArray:
    """Where another time of day begins, or the same one with another date than was said before."""
    begins = np.concatenate([[True], np.diff(seconds) != 0])[: len(seconds)]
    dated = np.flatnonzero(np.isfinite(day))
    if dated.size:
        run = np.cumsum(begins)[dated]
        another = (np.diff(run) == 0) & (np.diff(day[dated]) != 0)
        begins[dated[1:][another]] = True
    return begins


def _begins_by_kind(rows: Rows, timed: BoolArray) -> BoolArray:
    """Where among rows without a time the type and talker come again that the last run of them began with."""
    at = np.flatnonzero(~timed)
    if not at.size:
        return np.zeros(0, dtype=np.bool_)
    begins = np.concatenate([[True], np.diff(at) > 1])
    name = rows.kind[at] * 65_536 + rows.talker[at]
    leader = np.maximum.accumulate(np.where(begins, np.arange(at.size), 0))
    again: BoolArray = begins | (name == name[leader])
    return again


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """The position of each epoch [deg] (NaN: none), and how far apart the sentences of one time are where that is more
    than their decimals: how many epochs, the most [m] and the line of the first.
    """

    lat_deg: FloatArray
    lon_deg: FloatArray
    taken_from: tuple[int, ...]
    apart: int
    most_apart_m: float
    apart_line: int


def placed(epochs: Epochs) -> Placed:
    """The position of each epoch: of the type that has the most decimals in this log, else of the next."""
    rows = epochs.rows
    has = epochs.is_usable & np.isfinite(rows.lat_deg)
    order = sorted(
        (kind for kind in POSITION_KINDS if np.any(has & (rows.kind == kind))),
        key=lambda kind: (-int(rows.places[has & (rows.kind == kind)].max()), POSITION_KINDS.index(kind)),
    )
    chosen = np.full(len(epochs), -1, dtype=np.int64)
    for kind in reversed(order):
        at = np.flatnonzero(has & (rows.kind == kind))[::-1]
        chosen[epochs.of_row[at]] = at
    is_placed = chosen >= 0
    lat_deg = np.where(is_placed, rows.lat_deg[chosen], np.nan) if len(rows) else np.zeros(0)
    lon_deg = np.where(is_placed, rows.lon_deg[chosen], np.nan) if len(rows) else np.zeros(0)
    mine = chosen[epochs.of_row]
    coarser = np.minimum(rows.places, rows.places[mine]).astype(np.float64)
    north = np.abs(rows.lat_deg - rows.lat_deg[mine]) * 60.0
    east = np.abs(rows.lon_deg - rows.lon_deg[mine]) * 60.0
    east = np.minimum(east, 21_600.0 - east)
    is_apart = has & (np.maximum(north, east) > 1.01 * 10.0**-coarser)
    metres = 1852.0 * np.hypot(north, east * np.cos(np.radians(rows.lat_deg)))[is_apart]
    return Placed(
        lat_deg,
        lon_deg,
        tuple(order),
        int(np.count_nonzero(np.bincount(epochs.of_row[is_apart], minlength=1))),
        float(metres.max(initial=0.0)),
        int(rows.line[is_apart][0]) if metres.size else 0,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Doubles:
    """Epochs in which a type comes more than once: from several talkers, or ``again`` (with their lines) from one."""

    several_talkers: int
    again: int
    again_lines: IntArray


def doubles_of(epochs: Epochs) -> Doubles:
    """Count the sentences of one type and time: of several talkers, or written again by the same."""
    rows = epochs.rows
    timed = np.isfinite(rows.seconds)
    several = np.zeros(len(epochs), dtype=np.bool_)
    surplus = np.zeros(len(epochs), dtype=np.int64)
    lines: list[IntArray] = []
    for kind in POSITION_KINDS:
        at = np.flatnonzero((rows.kind == kind) & timed)
        count = np.bincount(epochs.of_row[at], minlength=len(epochs))
        at = at[count[epochs.of_row[at]] > 1]
        if not at.size:
            continue
        key = epochs.of_row[at] * 65_536 + rows.talker[at]
        names, first, times = np.unique(key, return_index=True, return_counts=True)
        epoch = names // 65_536
        several |= np.bincount(epoch, minlength=len(epochs)) > 1
        np.maximum.at(surplus, epoch, times - 1)
        lines.append(np.delete(rows.line[at], first))
    again_lines = np.sort(np.concatenate(lines)) if lines else np.zeros(0, dtype=np.int64)
    is_first = np.concatenate([[True], np.diff(again_lines) != 0])[: len(again_lines)]
    return Doubles(int(np.count_nonzero(several)), int(surplus.sum()), again_lines[is_first])


@dataclass(frozen=True, slots=True, eq=False)
class Making:
    """Which epochs are records whose position is reckoned or put in by hand, and how many are simulated."""

    is_reckoned: BoolArray
    simulated: int


def making_of(epochs: Epochs) -> Making:
    """How the positions of the records were made."""
    rows = epochs.rows
    count = len(epochs)
    reckoned = np.bincount(epochs.of_row[epochs.is_usable & (rows.making == RECKONED)], minlength=count) > 0
    simulated = np.bincount(epochs.of_row[epochs.is_usable & (rows.making == SIMULATED)], minlength=count) > 0
    return Making(reckoned, int(np.count_nonzero(simulated)))
