"""How a CSV file is laid out: separator, the line of the headings, rows of units, the first record."""

from __future__ import annotations

import csv
import dataclasses
import re
from collections.abc import Sequence
from dataclasses import dataclass

from legwise.tracks.containers.kinds import HEAD_BYTES
from legwise.tracks.headings.beside import clock_part, names_pair
from legwise.tracks.headings.meanings import meaning_of
from legwise.tracks.headings.quantities import FOREIGN_UNITS, UNIT_WORDS, Quantity
from legwise.tracks.headings.units import position_form
from legwise.tracks.headings.vocabulary import words_of
from legwise.tracks.values.numbers import SPREADSHEET_BLANKS

LINE_END = re.compile(r"\r\n|\n|\r")
STARTS_LIKE_VALUE = re.compile(r"\s*[+\-−]?\.?\d")
_FIRST_ROWS = 60
_SPREAD = 200
_LONGEST_LINE = 20_000
_MOST_ROWS_OF_UNITS = 3
_UNIT_MARKS = frozenset(
    {
        *UNIT_WORDS, *FOREIGN_UNITS, "utc", "gmt", "true", "mag", "magnetic", "yyyy", "hh", "dd", "bool", "enum", "rpm",
        "hpa", "msl", "amsl", "wgs",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class TableAbove:
    """A table that is passed over: the line of its headings, these, and how many lines look like its records."""

    line: int
    headings: tuple[str, ...]
    records: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything stands. Lines count from 1; ``data_at`` is the byte of the first record in the UTF-8 text.

    ``above`` are tables that stand before the headings and are not read.
    """

    separator: str
    headings: tuple[str, ...]
    units: tuple[str, ...]
    heading_line: int
    data_line: int
    data_at: int
    first_rows: tuple[tuple[str, ...], ...]
    has_position: bool
    has_time: bool
    above: tuple[TableAbove, ...] = ()

    @property
    def is_complete(self) -> bool:
        """Whether there are headings for latitude, longitude and time."""
        return self.has_position and self.has_time


@dataclass(frozen=True, slots=True)
class HeadingLine:
    """What can be a line of headings: its text, its first line (from 0) and the number of lines that it runs over."""

    text: str
    first: int
    count: int


def cells_of(line: str, separator: str) -> tuple[str, ...]:
    """The cells of one line, quotes taken off, without blanks around."""
    if separator == " ":
        return tuple(bare_cell(cell) for cell in line.split())
    try:
        row = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
    except csv.Error:
        row = line.split(separator)
    return tuple(bare_cell(cell) for cell in row)


def is_comment(line: str) -> bool:
    """Whether a line among the records is none: it begins with a ``#`` that is not that of a spreadsheet's "#N/A"."""
    return line.startswith("#") and not line.upper().startswith(SPREADSHEET_BLANKS)


def bare_cell(cell: str) -> str:
    """A cell without blanks around, and without quotes that a reader of CSV leaves, single ones too."""
    bare = cell.strip().strip('"').strip()
    return bare[1:-1].strip() if len(bare) > 1 and bare[0] == bare[-1] == "'" else bare


def cells_under(layout: Layout, index: int) -> list[str]:
    """The cells of a column in the first records."""
    return [row[index] if index < len(row) else "" for row in layout.first_rows]


def laid_out(data: bytes, lines: list[str], separator: str, heading: HeadingLine, said: frozenset[str]) -> Layout:
    """The layout of a file whose headings are those of ``heading``; ``lines`` are its first ones.

    Rows of units stand above the headings, below, or both; ``said`` are the headings that the caller named.
    """
    headings = heading_cells(heading.text, separator)
    above = lines[heading.first - 1] if heading.first else ""
    rows_of_units = [_unit_cells(above, separator)] if is_units(above, separator, len(headings)) else []
    start = heading.first + heading.count
    for after in range(start, min(start + _MOST_ROWS_OF_UNITS, len(lines))):
        if not lines[after].strip():
            continue
        if not is_units(lines[after], separator, len(headings)):
            break
        rows_of_units.append(_unit_cells(lines[after], separator))
        start = after + 1
    units = [
        " ".join(dict.fromkeys(row[index] for row in rows_of_units if index < len(row) and row[index]))
        for index in range(len(headings))
    ]
    has_position, has_time = completeness(quantities_of(headings), len(said & {cell.casefold() for cell in headings}))
    rows = [
        cells_of(line, separator)
        for line in lines[start : start + _FIRST_ROWS]
        if line.strip() and not is_comment(line)
    ]
    data_at = _offset_of_line(data, start)
    if not _has_positions(headings, rows):
        # A receiver may take long to its first fix.
        rows += _spread_rows(data, data_at, separator, len(headings))
    return Layout(
        separator=separator,
        headings=headings,
        units=tuple(units),
        heading_line=heading.first + 1,
        data_line=start + 1,
        data_at=data_at,
        first_rows=tuple(rows),
        has_position=has_position,
        has_time=has_time,
    )


def _has_positions(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> bool:
    """Whether some of the records have a latitude, where a heading speaks of one."""
    meanings = [meaning_of(heading) for heading in headings]
    at = [index for index, meaning in enumerate(meanings) if meaning and meaning.quantity is Quantity.LATITUDE]
    at += [index for index, heading in enumerate(headings) if names_pair(heading)]
    return not at or any(index < len(row) and row[index] for row in rows for index in at)


def _spread_rows(data: bytes, data_at: int, separator: str, columns: int) -> list[tuple[str, ...]]:
    """Records from all over the file that have as many cells as there are headings."""
    rows: list[tuple[str, ...]] = []
    for part in range(1, _SPREAD):
        begin = data.find(b"\n", data_at + (len(data) - data_at) * part // _SPREAD) + 1
        line = data[begin : begin + _LONGEST_LINE].partition(b"\n")[0] if begin else b""
        text = line.decode("utf-8", errors="ignore").rstrip("\r")
        cells = cells_of(text, separator)
        if abs(len(cells) - columns) <= 1 and not is_comment(text):
            rows.append(cells)
    return rows


def layout_at(data: bytes, line: int, separator: str, said: frozenset[str]) -> Layout:
    """The layout of a table whose headings are the first line of ``data``, line number ``line`` of the file."""
    lines = LINE_END.split(data[:HEAD_BYTES].decode("utf-8", errors="ignore"))
    layout = laid_out(data, lines, separator, HeadingLine(lines[0], 0, 1), said)
    before = line - 1
    return dataclasses.replace(layout, heading_line=layout.heading_line + before, data_line=layout.data_line + before)


def heading_cells(line: str, separator: str) -> tuple[str, ...]:
    """The headings of a line, which may begin with a ``#``."""
    return cells_of(line.lstrip("#").strip() if line.startswith("#") else line, separator)


def quantities_of(headings: Sequence[str]) -> set[Quantity]:
    """What headings speak of. Hours, minutes and seconds in columns of their own are a time, a position is both."""
    quantities = {meaning.quantity for cell in headings if (meaning := meaning_of(cell)) is not None}
    if any(names_pair(cell) for cell in headings):
        quantities |= _NAMES
    parts = {part.part for cell in headings if (part := clock_part(cell)) is not None}
    return quantities | {Quantity.TIME} if parts >= {"hour", "minute", "second"} else quantities


def completeness(quantities: set[Quantity], named: int) -> tuple[bool, bool]:
    """Whether position and time are there. A heading that the caller named may be any of them."""
    missing = [
        not {Quantity.LATITUDE} <= quantities,
        not {Quantity.LONGITUDE} <= quantities,
        not quantities & {Quantity.TIME, Quantity.DATE},
    ]
    enough = sum(missing) <= named
    return enough or not any(missing[:2]), enough or not missing[2]


def _unit_cells(line: str, separator: str) -> tuple[str, ...]:
    # A tab at the beginning parts an empty first cell from the second.
    return cells_of(line.lstrip("#").strip() if line.startswith("#") else line.strip(" \r\n"), separator)


def is_units(line: str, separator: str, columns: int) -> bool:
    """Whether a line beside the headings holds units: words only, some of them known, about as many as headings."""
    cells = _unit_cells(line, separator)
    filled = [cell for cell in cells if cell]
    is_as_wide = len(cells) > 1 and abs(len(cells) - columns) <= 2
    if not filled or not is_as_wide or any(STARTS_LIKE_VALUE.match(cell) or ": " in cell for cell in filled):
        return False
    known = sum(len(cell) <= 25 and bool(set(words_of(cell)) & _UNIT_MARKS or position_form(cell)) for cell in filled)
    speaks_of = sum((meaning := meaning_of(cell)) is not None and meaning.quantity in _NAMES for cell in filled)
    return known >= max(1, len(filled) / 3) and not speaks_of


_NAMES = frozenset({Quantity.LATITUDE, Quantity.LONGITUDE})


def _offset_of_line(data: bytes, line: int) -> int:
    """The byte at which line number ``line`` (from 0) begins."""
    if line == 0:
        return 0
    for count, match in enumerate(re.finditer(rb"\r\n|\n|\r", data), start=1):
        if count == line:
            return match.end()
    return len(data)
