"""The tables of a CSV file as one: most files hold one, a recorder that was started again may write another."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from legwise.errors import TrackError, TrackFileError
from legwise.model.arrays import FloatArray
from legwise.model.track import Fault
from legwise.tracks.limits import ReadLimits
from legwise.tracks.table.columns import Choice, Column, Target
from legwise.tracks.table.cut_record import without_cut_record
from legwise.tracks.table.decoding import Text
from legwise.tracks.table.filled_lines import count_of_lines, filled_lines, without_blank_lines
from legwise.tracks.table.frames import most_lines
from legwise.tracks.table.heading_line import first_lines
from legwise.tracks.table.layout import Layout, layout_at
from legwise.tracks.table.loose_lines import Piece, Pieces, parted
from legwise.tracks.table.one_table import Call, Table, choice_of, table_of, wanted_columns
from legwise.tracks.table.preamble import Preamble, preamble_of
from legwise.tracks.table.rows import Rows, Wanted, careful_rows, quick_rows, read_rows, too_many_records
from legwise.tracks.wording import listed
from legwise.units import S_PER_DAY


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Tables:
    """All the records, under the columns of the first table and those that only a later one has."""

    choice: Choice
    rows: Rows
    time_s: FloatArray
    notes: tuple[str, ...]
    faults: tuple[Fault, ...]
    comma_is_decimal: bool


def read_tables(text: Text, layout: Layout, call: Call) -> Tables:
    """Every table of a file that can be read as a track; the others are told.

    What is wrong with the first one is raised.
    """
    choice = choice_of(layout, call)
    wanted = wanted_columns(layout, choice)
    preamble = preamble_of(first_lines(text)[: layout.heading_line - 1], layout.separator)
    body, faults = without_cut_record(text.data[layout.data_at :], layout, wanted.indices)
    body, blank_note = _without_blank_lines(body, layout, call.limits)
    rows, pieces = _rows_and_pieces(body, layout, wanted, call)
    tables = [table_of(rows, layout, choice, preamble, call)]
    more_faults = [*_above(layout), *(pieces.faults if pieces is not None else ())]
    for piece in pieces.tables if pieces is not None else ():
        table, fault = _further(piece, layout, preamble, call, tables[-1])
        more_faults.append(fault)
        tables += [table] if table is not None else []
    if sum(len(table.rows) for table in tables) > call.limits.max_rows:
        raise too_many_records(call.where, call.limits)
    whole = tables[0]
    for table in tables[1:]:
        whole = _joined(whole, table)
    return Tables(
        choice=whole.choice,
        rows=whole.rows,
        time_s=whole.time_s,
        notes=(*whole.notes, *blank_note),
        faults=(*whole.faults, *more_faults, *faults),
        comma_is_decimal=wanted.comma_is_decimal,
    )


def refuse_too_many(data: bytes, where: str, limits: ReadLimits) -> None:
    """Raise :class:`TrackFileError` where the text holds more lines than are read, before anything is made of them.

    ``data`` has a byte a character where it is ASCII, which most of it is.
    """
    most = most_lines(limits)
    if count_of_lines(data) > most and filled_lines(data, most) > most:
        raise too_many_records(where, limits)


def _without_blank_lines(body: bytes, layout: Layout, limits: ReadLimits) -> tuple[bytes, tuple[str, ...]]:
    """The records of a file with more lines than are read, most of which must be blank, and a note."""
    lines = count_of_lines(body)
    if lines <= most_lines(limits):
        return body, ()
    filled = without_blank_lines(body)
    blank = lines - count_of_lines(filled)
    note = f"{blank:,} blank lines and remarks are left out; from line {layout.data_line} on, lines are counted without"
    return filled, (f"{note} them",)


def _rows_and_pieces(body: bytes, layout: Layout, wanted: Wanted, call: Call) -> tuple[Rows, Pieces | None]:
    rows = quick_rows(body, layout, wanted, where=call.where, limits=call.limits)
    if rows is not None:
        return rows, None
    pieces = parted(body, layout, wanted.indices)
    if not pieces.tables and not pieces.faults:
        return careful_rows(body, layout, wanted, where=call.where, limits=call.limits), pieces
    return read_rows(pieces.records.data, layout, wanted, where=call.where, limits=call.limits), pieces


def _further(piece: Piece, first: Layout, preamble: Preamble, call: Call, before: Table) -> tuple[Table | None, Fault]:
    """A table below another one, or None; and the fault that tells of it."""
    layout = layout_at(piece.data, piece.line, first.separator, frozenset())
    body = piece.data[layout.data_at :]
    told = f"other headings begin in line {layout.heading_line} ({listed(layout.headings, 6)})"
    try:
        choice = choice_of(layout, call)
        wanted = wanted_columns(layout, choice)
        rows = read_rows(body, layout, wanted, where=call.where, limits=call.limits)
        table = table_of(rows, layout, choice, preamble, call)
    except TrackFileError:
        raise
    except TrackError as error:
        count = len([line for line in body.splitlines() if line.strip()])
        detail = f"{told}: {error.message}; the {count:,} lines below are not read"
        return None, Fault(kind="other-table", count=1, detail=detail)
    return _on_from(table, before), Fault(
        kind="repeated-heading", count=1, detail=f"{told}; the records below are read by them"
    )


def _above(layout: Layout) -> list[Fault]:
    return [
        Fault(
            kind="other-table",
            count=1,
            detail=f"other headings stand in line {table.line} ({listed(table.headings, 6)}), above those of the "
            "track; what stands between is not read",
        )
        for table in layout.above
    ]


def _on_from(table: Table, before: Table) -> Table:
    """Times of day go on from those of the table before, over midnight."""
    own, past = table.time_s[np.isfinite(table.time_s)], before.time_s[np.isfinite(before.time_s)]
    if not table.is_put_on_date or not own.size or not past.size:
        return table
    days = np.round((past[-1] - own[0]) / S_PER_DAY)
    return dataclasses.replace(table, time_s=table.time_s + days * S_PER_DAY) if days > 0 else table


def _joined(one: Table, other: Table) -> Table:
    """Two tables as one: columns of one target are one column, in the unit of the first."""
    columns: dict[Target, Column] = dict(one.choice.columns)
    texts, numbers = dict(one.rows.texts), dict(one.rows.numbers)
    free = 1 + max([*texts, *numbers])
    for target, column in other.choice.columns.items():
        if target not in columns:
            columns[target] = dataclasses.replace(column, index=free)
            free += 1
    for target, column in columns.items():
        theirs = other.choice.get(target)
        mine = column if target in one.choice.columns else None
        if (theirs is not None and theirs.index in other.rows.texts) or (mine is not None and mine.index in texts):
            texts[column.index] = np.concatenate(
                [
                    _texts(one.rows, mine),
                    _texts(other.rows, theirs),
                ]
            )
        else:
            numbers[column.index] = np.concatenate(
                [_numbers(one.rows, mine, column), _numbers(other.rows, theirs, column)]
            )
    known = {column.index for column in columns.values()}
    return Table(
        choice=dataclasses.replace(one.choice, columns=MappingProxyType(columns)),
        rows=Rows(
            texts={index: cells for index, cells in texts.items() if index in known},
            numbers={index: values for index, values in numbers.items() if index in known},
            line=np.concatenate([one.rows.line, other.rows.line]),
            faults=(),
        ),
        time_s=np.concatenate([one.time_s, other.time_s]),
        notes=tuple(dict.fromkeys((*one.notes, *other.notes))),
        faults=(*one.faults, *other.faults),
        is_put_on_date=one.is_put_on_date,
    )


def _texts(rows: Rows, column: Column | None) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    if column is not None and column.index in rows.texts:
        return rows.texts[column.index]
    return np.full(len(rows), "", dtype=object)


def _numbers(rows: Rows, column: Column | None, as_in: Column) -> FloatArray:
    if column is None or column.index not in rows.numbers:
        return np.full(len(rows), np.nan)
    # Positions are degrees already.
    factor = 1.0 if column.factor == as_in.factor else column.factor / as_in.factor
    return rows.numbers[column.index] * factor
