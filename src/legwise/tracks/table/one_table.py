"""One table of a CSV file to records: settle the columns, read the rows, make positions and instants."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from legwise.errors import TrackFormatError
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.lesson import ColumnChoice
from legwise.model.track import Fault
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.limits import ReadLimits
from legwise.tracks.table.column_choice import choose_columns, undecided
from legwise.tracks.table.columns import Choice, Column
from legwise.tracks.table.layout import STARTS_LIKE_VALUE, Layout, cells_under
from legwise.tracks.table.loose_lines import no_records
from legwise.tracks.table.position_pairs import with_pairs
from legwise.tracks.table.positions import Axis, positions_of
from legwise.tracks.table.preamble import Preamble
from legwise.tracks.table.rows import Rows, Wanted
from legwise.tracks.table.sparse_rows import carried_times
from legwise.tracks.table.time_columns import instants_of_rows, time_faults
from legwise.tracks.table.twin_columns import agree
from legwise.tracks.values.numbers import comma_decimals
from legwise.tracks.wording import listed

_TEXTS = frozenset({Quantity.TIME, Quantity.DATE, Quantity.UTC_OFFSET, Quantity.AIRCRAFT})


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What the caller says of a file, and its name."""

    where: str
    columns: Mapping[str, str | ColumnChoice]
    utc_offset: str | None
    date: dt.date | None
    limits: ReadLimits


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Table:
    """The records of one table: rows with positions in degrees, their instants, which columns are what; in words what
    was chosen, and what was found amiss.
    """

    choice: Choice
    rows: Rows
    time_s: FloatArray
    notes: tuple[str, ...]
    faults: tuple[Fault, ...]
    is_put_on_date: bool


def wanted_columns(layout: Layout, choice: Choice) -> Wanted:
    """The columns to read, with the decimal sign that the positions show."""
    helpers = choice.helpers
    texts = [column.index for column in choice.columns.values() if column.quantity in _TEXTS]
    texts += [*helpers.sides.values(), *(helpers.clock.parts.values() if helpers.clock else ())]
    texts += [helpers.local_time.index] if helpers.local_time else []
    texts += [index for index in (helpers.pair, helpers.half_of_day) if index is not None]
    numbers = [column for column in choice.columns.values() if column.quantity not in _TEXTS and column.index >= 0]
    numbers += [twin.column for twin in choice.twins]
    numbers += [part for parts in helpers.parts.values() for part in parts]
    if helpers.fraction is not None:
        time = choice.get(Quantity.TIME)
        like = time if time is not None else choice.columns[Quantity.LATITUDE]
        numbers.append(
            dataclasses.replace(
                like, index=helpers.fraction.index, heading=helpers.fraction.heading, quantity=Quantity.TIME
            )
        )
    cells = [
        cell
        for axis in (Quantity.LATITUDE, Quantity.LONGITUDE)
        if helpers.pair is None
        # Fractions stand in the last part of a position.
        for cell in cells_under(layout, (choice.columns[axis], *helpers.parts.get(axis, ()))[-1].index)
    ]
    return Wanted(
        texts=tuple(dict.fromkeys(texts)),
        numbers=tuple(numbers),
        comma_is_decimal=comma_decimals(np.array(cells, dtype=object)),
    )


def choice_of(layout: Layout, call: Call) -> Choice:
    """Which column of a table is what."""
    return choose_columns(layout, call.columns, call.where)


def table_of(rows: Rows, layout: Layout, choice: Choice, preamble: Preamble, call: Call) -> Table:
    """The records of a table from its rows.

    Raises :class:`TrackFormatError` where most rows have more cells than there are headings or the positions can't be
    read, :class:`legwise.errors.ColumnError` where two columns turn out to differ, and
    :class:`legwise.errors.TrackTimeError` where a time needs a zone or a date.
    """
    _refuse_ragged(rows, layout, call.where)
    if choice.helpers.pair is not None:
        rows = with_pairs(rows, choice.helpers.pair)
    rows = _without_twins(rows, layout, choice, call.where)
    rows, carried = carried_times(rows, choice)
    lat, lon = (_axis(rows, layout, choice, axis) for axis in (Quantity.LATITUDE, Quantity.LONGITUDE))
    positions = positions_of(lat, lon, rows.line, f"{call.where}, line {layout.heading_line}")
    rows = rows.with_columns(
        numbers={
            **rows.numbers,
            lat.column.index: positions.lat_deg,
            lon.column.index: positions.lon_deg,
        }
    )
    told = instants_of_rows(rows, choice, preamble, utc_offset=call.utc_offset, date=call.date, where=call.where)
    instants = told.instants
    has_position = np.isfinite(positions.lat_deg) | np.isfinite(positions.lon_deg)
    loose = _rows_of_text(rows, choice, instants.time_s, has_position)
    faults = [*choice.faults, *rows.faults, *positions.faults, *told.faults]
    time_s = instants.time_s
    if loose.any():
        lines = rows.line[loose].tolist()
        first = int(np.flatnonzero(loose)[0])
        faults.append(no_records(lines, _time_text(rows, choice, first)))
        instants = dataclasses.replace(instants, unreadable=sorted(set(instants.unreadable) - set(lines)))
        rows, time_s = rows.taken(~loose), time_s[~loose]
    return Table(
        choice=choice,
        rows=rows,
        time_s=time_s,
        notes=(*rows.notes, *positions.notes, *carried, *instants.notes),
        faults=(*faults, *time_faults(instants)),
        is_put_on_date=instants.is_put_on_date,
    )


def _refuse_ragged(rows: Rows, layout: Layout, where: str) -> None:
    ragged = next((fault.count for fault in rows.faults if fault.kind == "ragged-row"), 0)
    if ragged > len(rows) / 2:
        raise TrackFormatError(
            f"most records have more cells than the {len(layout.headings)} headings in line {layout.heading_line} "
            f"({listed(layout.headings, 6)})",
            where=where,
            remedy="Is the separator also the decimal comma? Export with another separator.",
        )


def _without_twins(rows: Rows, layout: Layout, choice: Choice, where: str) -> Rows:
    """The rows after each twin was found to hold the same as the column it is one of, whose blanks it fills."""
    numbers = dict(rows.numbers)
    for twin in choice.twins:
        column = choice.columns[twin.column.target]
        one = rows.numbers[column.index] * column.factor
        other = rows.numbers[twin.column.index] * twin.column.factor
        if not agree(one, other, twin.slack):
            at = f"{where}, line {layout.heading_line}"
            raise undecided(column.target, [column.heading, twin.column.heading], at)
        own = numbers[column.index]
        numbers[column.index] = np.where(np.isnan(own), other / column.factor, own)
        del numbers[twin.column.index]
    return rows.with_columns(numbers=numbers) if choice.twins else rows


def _axis(rows: Rows, layout: Layout, choice: Choice, axis: Quantity) -> Axis:
    column: Column = choice.columns[axis]
    side = choice.helpers.sides.get(axis)
    return Axis(
        column=column,
        values=rows.numbers[column.index],
        lettered=rows.lettered.get(column.index),
        has_minutes=rows.has_minutes.get(column.index),
        sides=None if side is None else rows.texts[side],
        side_heading="" if side is None else layout.headings[side],
        parts=tuple(rows.numbers[part.index] for part in choice.helpers.parts.get(axis, ())),
        part_headings=tuple(part.heading for part in choice.helpers.parts.get(axis, ())),
    )


def _time_text(rows: Rows, choice: Choice, row: int) -> str:
    column = choice.get(Quantity.TIME) or choice.get(Quantity.DATE)
    return str(rows.texts[column.index][row]) if column is not None else ""


def _rows_of_text(rows: Rows, choice: Choice, time_s: FloatArray, has_position: BoolArray) -> BoolArray:
    """Rows without a position whose time is no time but words, such as "End of file"."""
    loose = np.zeros(len(rows), dtype=bool)
    for row in np.flatnonzero(~np.isfinite(time_s) & ~has_position).tolist():
        text = _time_text(rows, choice, row)
        loose[row] = bool(text) and not STARTS_LIKE_VALUE.match(text.lstrip("Tt"))
    return loose
