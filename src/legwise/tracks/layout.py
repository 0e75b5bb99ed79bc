"""How a CSV file is laid out: encoding, separator, the line of the headings, a row of units, the first record."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass

from legwise.model.track import AltitudeKind
from legwise.tracks.headings import Meaning, meaning_of, words_of
from legwise.tracks.kinds import HEAD_BYTES
from legwise.tracks.limits import ReadLimits
from legwise.tracks.quantities import FOREIGN_UNITS, UNIT_WORDS, Quantity

_SEPARATORS = (",", ";", "\t", "|", " ")
"""Tried in this order; a blank stands for any run of white space."""

SEPARATOR_WORDS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "white space"}
_LINE_END = re.compile(r"\r\n|\n|\r")
_LINES_LOOKED_AT = 120
_STARTS_LIKE_VALUE = re.compile(r"\s*[+\-−]?\.?\d")
_UNIT_MARKS = frozenset(
    {
        *UNIT_WORDS,
        *FOREIGN_UNITS,
        "utc",
        "gmt",
        "true",
        "mag",
        "magnetic",
        "yyyy",
        "hh",
        "dd",
        "bool",
        "enum",
        "rpm",
        "hpa",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A file's text as UTF-8 without a byte order mark, and the encoding it was in."""

    data: bytes
    encoding: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything stands. Lines count from 1; ``data_at`` is the byte of the first record in the UTF-8 text."""

    separator: str
    headings: tuple[str, ...]
    units: tuple[str, ...]
    heading_line: int
    data_line: int
    data_at: int
    first_rows: tuple[tuple[str, ...], ...]
    has_position: bool
    has_time: bool

    @property
    def is_complete(self) -> bool:
        """Whether there are headings for latitude, longitude and time."""
        return self.has_position and self.has_time


def text_of(data: bytes) -> Text:
    """Decode by byte order mark, else strict UTF-8, else Windows-1252 (Latin-1 for the bytes that leaves undefined)."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return Text(data=data.decode("utf-16", errors="replace").encode("utf-8", errors="replace"), encoding="UTF-16")
    data = data.removeprefix(codecs.BOM_UTF8)
    encoding = "UTF-8"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        try:
            data, encoding = data.decode("cp1252").encode("utf-8"), "Windows-1252"
        except UnicodeDecodeError:
            data, encoding = data.decode("latin-1").encode("utf-8"), "Latin-1"
    return Text(data=data.replace(b"\x00", b""), encoding=encoding)


def cells_of(line: str, separator: str) -> tuple[str, ...]:
    """The cells of one line, quotes taken off, without blanks around."""
    if separator == " ":
        return tuple(line.split())
    try:
        row = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
    except csv.Error:
        row = line.split(separator)
    return tuple(cell.strip() for cell in row)


def find_layout(text: Text, said_headings: frozenset[str], limits: ReadLimits) -> Layout | None:
    """The layout whose line of headings speaks most of position, time and the like; None where no line does.

    Every separator and every one of the first lines is tried. Headings that the caller named count as known ones.
    """
    lines = _first_lines(text)
    best: tuple[tuple[bool, float, int], str, int] | None = None
    for separator in _SEPARATORS:
        for index, line in enumerate(lines[:_LINES_LOOKED_AT]):
            merit = _merit(line, separator, said_headings, limits.max_columns)
            if merit is None:
                continue
            ranked = (*merit, -index)
            if best is None or ranked > best[0]:
                best = (ranked, separator, index)
    return None if best is None else _laid_out(text.data, lines, best[1], best[2], said_headings)


def too_wide(text: Text, said_headings: frozenset[str], limits: ReadLimits) -> tuple[int, int] | None:
    """The line and the number of headings that name time and position but are more than are read; None without such
    a line.
    """
    for separator in _SEPARATORS:
        for index, line in enumerate(_first_lines(text)[:_LINES_LOOKED_AT]):
            if line.count(separator) < limits.max_columns:
                continue
            merit = _merit(line, separator, said_headings, len(line))
            if merit is not None and merit[0]:
                return index + 1, len(cells_of(line, separator))
    return None


def _first_lines(text: Text) -> list[str]:
    lines = _LINE_END.split(text.data[:HEAD_BYTES].decode("utf-8", errors="ignore"))
    # The last one may be cut.
    return lines[:-1] if len(text.data) > HEAD_BYTES and len(lines) > 1 else lines


def _merit(line: str, separator: str, said: frozenset[str], most: int) -> tuple[bool, float] | None:
    """Whether a line of headings names time and position, and how much it speaks of; None where it is no such line."""
    bare = line.lstrip("#").strip() if line.startswith("#") else line
    if separator != " " and separator not in bare:
        return None
    cells = cells_of(bare, separator)
    if not 2 <= len(cells) <= most:
        return None
    filled = [cell for cell in cells if cell]
    if sum(bool(_STARTS_LIKE_VALUE.match(cell)) for cell in filled) > len(filled) / 4:
        return None
    quantities = {meaning.quantity for cell in filled if (meaning := _meaning(cell)) is not None}
    named = len(said & {cell.casefold() for cell in filled})
    score = len(quantities) + 2 * named - (0.5 if bare is not line else 0.0)
    if score < 2:
        return None
    return _completeness(quantities, named) == (True, True), score


def _meaning(cell: str) -> Meaning | None:
    meaning = meaning_of(cell)
    # A lone "aircraft" or "speed" can stand in a sentence; an altitude's kind alone tells nothing either.
    return None if meaning is not None and meaning.kind is AltitudeKind.UNKNOWN and len(cell) > 40 else meaning


def _completeness(quantities: set[Quantity], named: int) -> tuple[bool, bool]:
    """Whether position and time are there. A heading that the caller named may be any of them."""
    missing = [
        not {Quantity.LATITUDE} <= quantities,
        not {Quantity.LONGITUDE} <= quantities,
        not quantities & {Quantity.TIME, Quantity.DATE},
    ]
    enough = sum(missing) <= named
    return enough or not any(missing[:2]), enough or not missing[2]


def _laid_out(data: bytes, lines: list[str], separator: str, index: int, said: frozenset[str]) -> Layout:
    headings = cells_of(lines[index].lstrip("#").strip() if lines[index].startswith("#") else lines[index], separator)
    units: tuple[str, ...] = ()
    if index and _is_units(lines[index - 1], separator, len(headings)):
        units = _unit_cells(lines[index - 1], separator)
    start = index + 1
    for after in range(index + 1, min(index + 4, len(lines))):
        if not lines[after].strip():
            continue
        if not _is_units(lines[after], separator, len(headings)):
            break
        units, start = _unit_cells(lines[after], separator), after + 1
    quantities = {meaning.quantity for cell in headings if (meaning := meaning_of(cell)) is not None}
    named = len(said & {cell.casefold() for cell in headings})
    has_position, has_time = _completeness(quantities, named)
    rows = [
        cells_of(line, separator) for line in lines[start : start + 60] if line.strip() and not line.startswith("#")
    ]
    return Layout(
        separator=separator,
        headings=headings,
        units=(units + ("",) * len(headings))[: len(headings)],
        heading_line=index + 1,
        data_line=start + 1,
        data_at=_offset_of_line(data, start),
        first_rows=tuple(rows),
        has_position=has_position,
        has_time=has_time,
    )


def _unit_cells(line: str, separator: str) -> tuple[str, ...]:
    # A tab at the beginning parts an empty first cell from the second.
    return cells_of(line.lstrip("#").strip() if line.startswith("#") else line.strip(" \r\n"), separator)


def _is_units(line: str, separator: str, columns: int) -> bool:
    """Whether a line beside the headings holds units: words only, some of them known, about as many as headings."""
    cells = _unit_cells(line, separator)
    filled = [cell for cell in cells if cell]
    if not filled or abs(len(cells) - columns) > 2 or any(_STARTS_LIKE_VALUE.match(cell) for cell in filled):
        return False
    known = sum(bool(set(words_of(cell)) & _UNIT_MARKS) and len(cell) <= 25 for cell in filled)
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


def said_headings(columns: Mapping[str, str]) -> frozenset[str]:
    """The headings that the caller named, for comparing."""
    return frozenset(heading.strip().casefold() for heading in columns.values())
