"""The records of a CSV file as columns, with the line of each: numbers at once where all are plain, as text where
not.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from legwise.errors import TrackFileError
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.limits import ReadLimits
from legwise.tracks.table.cell_units import with_cell_units
from legwise.tracks.table.columns import Column
from legwise.tracks.table.filled_lines import count_of_lines
from legwise.tracks.table.frames import most_lines, names, parse, text_frame
from legwise.tracks.table.layout import Layout, bare_cell
from legwise.tracks.values.angles import TextArray
from legwise.tracks.values.numbers import SPREADSHEET_BLANKS, Numbers, numbers_of
from legwise.tracks.wording import places, shown

_COMMENT = re.compile(
    rb"(^|[\r\n])(?!" + b"|".join(re.escape(text.encode()) for text in SPREADSHEET_BLANKS) + rb")#[^\r\n]*"
)
_POSITIONS = frozenset({Quantity.LATITUDE, Quantity.LONGITUDE})
_NONE: Mapping[int, BoolArray] = MappingProxyType({})


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rows:
    """Columns by index: ``texts`` of strings ("" for none), ``numbers`` of floats (NaN for none); lines; what was
    found amiss. Of positions that are not all plain numbers also where a letter gave the sign, and which have minutes.
    """

    texts: Mapping[int, TextArray]
    numbers: Mapping[int, FloatArray]
    line: IntArray
    faults: tuple[Fault, ...]
    notes: tuple[str, ...] = ()
    lettered: Mapping[int, BoolArray] = field(default_factory=lambda: _NONE)
    has_minutes: Mapping[int, BoolArray] = field(default_factory=lambda: _NONE)

    def __len__(self) -> int:
        return len(self.line)

    def with_columns(
        self, *, texts: Mapping[int, TextArray] | None = None, numbers: Mapping[int, FloatArray] | None = None
    ) -> Rows:
        """These rows with other texts or numbers."""
        return dataclasses.replace(
            self, texts=self.texts if texts is None else texts, numbers=self.numbers if numbers is None else numbers
        )

    def taken(self, keep: BoolArray) -> Rows:
        """The rows that are kept."""
        return dataclasses.replace(
            self,
            texts={index: cells[keep] for index, cells in self.texts.items()},
            numbers={index: values[keep] for index, values in self.numbers.items()},
            line=self.line[keep],
            lettered={index: flags[keep] for index, flags in self.lettered.items()},
            has_minutes={index: flags[keep] for index, flags in self.has_minutes.items()},
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The columns to read: as text by their index, and as numbers."""

    texts: tuple[int, ...]
    numbers: tuple[Column, ...]
    comma_is_decimal: bool

    @property
    def indices(self) -> tuple[int, ...]:
        """Where all of them stand."""
        return (*self.texts, *(column.index for column in self.numbers))


def read_rows(body: bytes, layout: Layout, wanted: Wanted, *, where: str, limits: ReadLimits) -> Rows:
    """Every record of ``body``, quickly where it can be.

    Blank lines, lines that begin with ``#`` and headings written again are no records. Raises
    :class:`TrackFormatError` on text that can't be parted into records and :class:`TrackFileError` on more records
    than the limit.
    """
    rows = quick_rows(body, layout, wanted, where=where, limits=limits)
    return careful_rows(body, layout, wanted, where=where, limits=limits) if rows is None else rows


def quick_rows(body: bytes, layout: Layout, wanted: Wanted, *, where: str, limits: ReadLimits) -> Rows | None:
    """The records where all the numbers are plain; else None."""
    has_quotes = b'"' in body
    if body.startswith(b"#") or b"\n#" in body or b"\r#" in body:
        if has_quotes:
            return None
        body = _COMMENT.sub(rb"\1", body)
    spare_name = names(layout)[-1]
    dtype = {f"c{index}": "str" for index in wanted.texts}
    dtype |= {f"c{column.index}": "float64" for column in wanted.numbers} | {spare_name: "str"}
    try:
        frame = parse(body, layout, list(dtype), dtype, "," if wanted.comma_is_decimal else ".", limits, 0)
    except ValueError:
        # Also pandas' ParserError. The careful way says what is wrong, and where.
        return None
    if len(frame) > most_lines(limits):
        raise too_many_records(where, limits)
    if has_quotes and len(frame) != count_of_lines(body):
        # A line end inside quotes: lines have to be counted with care.
        return None
    numbers = {column.index: frame[f"c{column.index}"].to_numpy(dtype=np.float64) for column in wanted.numbers}
    if any(np.isinf(values).any() for values in numbers.values()):
        return None
    strings = {index: frame[f"c{index}"].fillna("").to_numpy(dtype=object) for index in wanted.texts}
    spare = frame[spare_name].notna().to_numpy()
    line = layout.data_line + np.arange(len(frame), dtype=np.int64)
    filled = np.zeros(len(frame), dtype=bool)
    for values in numbers.values():
        filled |= np.isfinite(values)
    for cells in strings.values():
        if filled.all():
            break
        filled |= cells != ""
    return Rows(
        texts={index: cells[filled] for index, cells in strings.items()},
        numbers={index: values[filled] for index, values in numbers.items()},
        line=line[filled],
        faults=_ragged(spare & filled, line),
    )


def careful_rows(body: bytes, layout: Layout, wanted: Wanted, *, where: str, limits: ReadLimits) -> Rows:
    """The records where some numbers are not plain, from the text of every cell."""
    frame, ends = text_frame(body, layout, wanted.indices, where, limits)
    if len(frame) > most_lines(limits):
        raise too_many_records(where, limits)
    cells = {
        index: np.array(_bare_cells(frame[f"c{index}"].fillna("").tolist()), dtype=object)
        for index in sorted({0, *wanted.indices})
    }
    line = layout.data_line + np.arange(len(frame), dtype=np.int64) + np.cumsum(ends) - ends
    record = np.array([not cell.startswith("#") for cell in cells[0].tolist()], dtype=bool)
    filled = np.zeros(len(frame), dtype=bool)
    again = np.ones(len(frame), dtype=bool)
    for index in wanted.indices:
        filled |= cells[index] != ""
        again &= cells[index] == layout.headings[index]
    again &= record & filled
    keep = record & filled & ~again
    kept_line = line[keep]
    faults = list(_ragged(frame[names(layout)[-1]].notna().to_numpy() & keep, line))
    if again.any():
        faults.append(repeated_headings(line[again].tolist()))
    columns: dict[int, Numbers] = {}
    unreadable: list[int] = []
    notes: list[str] = []
    for column in wanted.numbers:
        texts = cells[column.index][keep]
        axis = column.quantity if column.quantity in _POSITIONS else None
        numbers = numbers_of(texts, comma_is_decimal=wanted.comma_is_decimal, axis=axis)
        if axis is None and numbers.unreadable.size:
            numbers, units = with_cell_units(texts, numbers, column, comma_is_decimal=wanted.comma_is_decimal)
            notes += units
        columns[column.index] = numbers
        unreadable += kept_line[numbers.unreadable].tolist()
        if numbers.doubtful.size:
            faults.append(_doubtful(column.heading, texts[numbers.doubtful[0]], kept_line[numbers.doubtful].tolist()))
    if unreadable:
        detail = f"no number where one is due: {places(sorted(set(unreadable)))}; taken as not recorded"
        faults.append(Fault(kind="unreadable-value", count=len(unreadable), detail=detail))
    return Rows(
        texts={index: cells[index][keep] for index in wanted.texts},
        numbers={index: numbers.values for index, numbers in columns.items()},
        line=kept_line,
        faults=tuple(faults),
        notes=tuple(notes),
        lettered={index: one.lettered for index, one in columns.items() if one.lettered is not None},
        has_minutes={index: one.has_minutes for index, one in columns.items() if one.has_minutes is not None},
    )


def repeated_headings(lines: Sequence[int]) -> Fault:
    """The fault that tells of headings written again."""
    return Fault(kind="repeated-heading", count=len(lines), detail=f"headings again in {places(lines)}")


def too_many_records(where: str, limits: ReadLimits) -> TrackFileError:
    """The refusal of a file with more records than the limit."""
    return TrackFileError(
        f"the file holds more than {limits.max_rows:,} records",
        where=where,
        remedy="Cut the log to the flight, or let more be read: --limit rows=N.",
    )


def _bare_cells(cells: list[str]) -> list[str]:
    """The cells without quotes and blanks around; most columns have none."""
    joined = "\n".join(["", *cells, ""])
    if not any(edge in joined for edge in _EDGES):
        return cells
    return [bare_cell(cell) if cell[:1] in "\"' " or cell[-1:] in "\"' " else cell for cell in cells]


_EDGES = ("\n ", "\n'", '\n"', " \n", "'\n", '"\n')


def _doubtful(heading: str, first: str, lines: list[int]) -> Fault:
    detail = (
        f"{shown(first, 20)} and the like in {shown(heading)}: whether the mark parts thousands or a fraction can't be "
        f"told from the column, in {places(lines)}; taken as not recorded"
    )
    return Fault(kind="doubtful-number", count=len(lines), detail=detail)


def _ragged(spare: BoolArray, line: IntArray) -> tuple[Fault, ...]:
    if not spare.any():
        return ()
    lines = line[spare].tolist()
    return (
        Fault(
            kind="ragged-row",
            count=len(lines),
            detail=f"more cells than headings in {places(lines)}; the first ones are read",
        ),
    )
