"""Which line of a CSV file holds its headings, and which separator parts them."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping

from legwise.model.track import AltitudeKind
from legwise.tracks.containers.kinds import HEAD_BYTES
from legwise.tracks.headings.meanings import meaning_of
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.headings.vocabulary import words_of
from legwise.tracks.limits import ReadLimits
from legwise.tracks.table.decoding import Text
from legwise.tracks.table.layout import (
    LINE_END,
    STARTS_LIKE_VALUE,
    HeadingLine,
    Layout,
    TableAbove,
    cells_of,
    completeness,
    heading_cells,
    laid_out,
    quantities_of,
)

_SEPARATORS = (",", ";", "\t", "|", " ")
"""Tried in this order; a blank stands for any run of white space."""

SEPARATOR_WORDS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "white space"}
LINES_LOOKED_AT = 250
_MOST_LINES_OF_HEADINGS = 400
_FEW_LINES = 4
_LINES_BELOW = 12
_FEW_RECORDS = 3
_SENTENCE = 40


def find_layout(text: Text, said_headings: frozenset[str], limits: ReadLimits) -> Layout | None:
    """The layout whose line of headings speaks most of position, time and the like; None where no line does.

    Every separator and every one of the first lines is tried; a heading in quotes may run over a few lines. Headings
    that the caller named count as known ones. Of several tables the first with some records below it is taken.
    """
    lines = first_lines(text)
    best: tuple[_Rank, str, HeadingLine] | None = None
    complete: list[tuple[str, HeadingLine]] = []
    for separator in _SEPARATORS:
        for heading in _heading_lines(lines):
            merit = _merit(heading.text, separator, said_headings, limits.max_columns)
            if merit is None:
                continue
            is_complete, score = merit
            complete += [(separator, heading)] if is_complete else []
            is_track = is_complete and _records_below(lines, heading, separator) >= _FEW_RECORDS
            is_track = is_track and not _is_of_points(heading.text, separator)
            rank = (is_complete, is_track, 0.0 if is_track else score, -heading.first)
            if best is None or rank > best[0]:
                best = (rank, separator, heading)
    if best is None:
        return None
    _rank, separator, heading = best
    above = [
        TableAbove(line=other.first + 1, headings=heading_cells(other.text, separator), records=records)
        for of, other in complete
        if of == separator and other.first < heading.first and (records := _records_below(lines, other, separator))
    ]
    return dataclasses.replace(laid_out(text.data, lines, separator, heading, said_headings), above=tuple(above))


_Rank = tuple[bool, bool, float, int]
"""Whether time and position are named, whether records stand below, how much is named, and the line (upside down)."""


def too_wide(text: Text, said_headings: frozenset[str], limits: ReadLimits) -> tuple[int, int] | None:
    """The line and the number of headings that name time and position but are more than are read; None without such
    a line.
    """
    for separator in _SEPARATORS:
        for index, line in enumerate(first_lines(text)[:LINES_LOOKED_AT]):
            if line.count(separator) < limits.max_columns:
                continue
            merit = _merit(line, separator, said_headings, len(line))
            if merit is not None and merit[0]:
                return index + 1, len(cells_of(line, separator))
    return None


def is_table_of_positions(line: str, separator: str) -> bool:
    """Whether a line is one of headings, latitude and longitude among them."""
    bare = line.lstrip("#").strip()
    cells = [cell for cell in cells_of(bare, separator) if cell]
    if len(cells) < 3 or sum(bool(STARTS_LIKE_VALUE.match(cell)) for cell in cells) > len(cells) / 4:
        return False
    return {Quantity.LATITUDE, Quantity.LONGITUDE} <= quantities_of(cells)


def first_lines(text: Text) -> list[str]:
    """The lines of the beginning of a file, as far as it is looked at."""
    lines = LINE_END.split(text.data[:HEAD_BYTES].decode("utf-8", errors="ignore"))
    # The last one may be cut.
    return lines[:-1] if len(text.data) > HEAD_BYTES and len(lines) > 1 else lines


def said_headings(columns: Mapping[str, str]) -> frozenset[str]:
    """The headings that the caller named, for comparing."""
    return frozenset(heading.strip().casefold() for heading in columns.values())


def _heading_lines(lines: list[str]) -> Iterator[HeadingLine]:
    for index, line in enumerate(lines[:LINES_LOOKED_AT]):
        yield HeadingLine(line, index, 1)
        if line.count('"') % 2 == 0:
            continue
        # Every heading may hold line ends. Each run ends at the next line with half a pair, so the work is bounded.
        for count, more in enumerate(lines[index + 1 : index + _MOST_LINES_OF_HEADINGS], start=2):
            if count > _FEW_LINES and STARTS_LIKE_VALUE.match(more):
                break
            if more.count('"') % 2 == 1:
                yield HeadingLine(" ".join(lines[index : index + count]), index, count)
                break


def _records_below(lines: list[str], heading: HeadingLine, separator: str) -> int:
    """How many of the next lines are records: of about as many cells as there are headings, with numbers."""
    width = len(cells_of(heading.text, separator))
    count = 0
    for line in lines[heading.first + heading.count :][:_LINES_BELOW]:
        cells = cells_of(line, separator)
        filled = [cell for cell in cells if cell]
        numbers = sum(bool(STARTS_LIKE_VALUE.match(cell)) for cell in filled)
        if not numbers and is_table_of_positions(line, separator) and line != heading.text:
            break
        count += bool(filled) and abs(len(cells) - width) <= 2 and numbers >= len(filled) / 4
    return count


def _is_of_points(line: str, separator: str) -> bool:
    """Whether a table lists the points of a plan: its first column says so."""
    return words_of(heading_cells(line, separator)[0]) in _POINTS


_POINTS = frozenset((word,) for word in ("waypoint", "wpt", "fix", "ident", "leg", "point"))


def _merit(line: str, separator: str, said: frozenset[str], most: int) -> tuple[bool, float] | None:
    """Whether a line of headings names time and position, and how much it speaks of; None where it is no such line."""
    bare = line.lstrip("#").strip() if line.startswith("#") else line
    if separator != " " and separator not in bare:
        return None
    cells = cells_of(bare, separator)
    if not 2 <= len(cells) <= most:
        return None
    filled = [cell for cell in cells if cell]
    if sum(bool(STARTS_LIKE_VALUE.match(cell)) for cell in filled) > len(filled) / 4:
        return None
    quantities = quantities_of([cell for cell in filled if not _is_sentence(cell)])
    named = len(said & {cell.casefold() for cell in filled})
    score = len(quantities) + 2 * named - (0.5 if bare is not line else 0.0)
    if score < 2:
        return None
    return completeness(quantities, named) == (True, True), score


def _is_sentence(cell: str) -> bool:
    """Whether a cell is too long for a heading that says no more than "altitude"."""
    meaning = meaning_of(cell) if len(cell) > _SENTENCE else None
    return meaning is not None and meaning.kind is AltitudeKind.UNKNOWN
