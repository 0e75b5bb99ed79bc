"""Lines of a CSV file that are no records: headings written again, other tables, footers and remarks.

They are looked for where the quick way of reading finds something else than numbers. What they are is told by line.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from legwise.model.track import Fault
from legwise.tracks.table.heading_line import is_table_of_positions
from legwise.tracks.table.layout import STARTS_LIKE_VALUE, Layout, heading_cells, is_units
from legwise.tracks.table.rows import repeated_headings
from legwise.tracks.wording import places, shown

_LOOSE = re.compile(rb"[\r\n]([ \t\"'#,;|(*]*(?:[A-Za-z\x80-\xff]|[-=_*]{3})[^\r\n]*)")
"""A line that begins with a letter, or with a ruled line."""

_LIKE_A_RECORD = re.compile(rb"\d:\d\d|\d{5}|\d{4}-\d\d|\d[.,]\d{3}|\d{1,2}[./]\d{1,2}[./]\d{2}")
_LOOKED_AT = 1000
_MOST_TABLES = 20
_MOST_GONE = 100_000
_MOST_TRIED = 2000
"""So many lines are taken apart to see whether they begin a table; a file with more is no log of a few tables."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A stretch of a file: its bytes without the lines that are no records (their ends are left), its first line."""

    data: bytes
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """The records below the headings, and the further tables with headings of their own; what was left out."""

    records: Piece
    tables: tuple[Piece, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class _Line:
    start: int
    stop: int
    number: int
    text: str


def parted(body: bytes, layout: Layout, used: Sequence[int]) -> Pieces:
    """Part the text below the headings into records, loose lines and further tables.

    ``used`` are the columns that are read, by which headings written again are known.
    """
    again: list[int] = []
    loose: list[int] = []
    first_text = ""
    edges: list[tuple[int, int]] = [(0, layout.data_line)]
    gone: list[tuple[int, int]] = []
    headings: tuple[str, ...] = ()
    last, was_again = -1, False
    is_table = _tables(layout.separator)
    stop = len(body)
    for line in _loose_lines(body, layout.data_line):
        cells = heading_cells(line.text, layout.separator)
        if cells == headings if headings else _are(cells, layout, used):
            again.append(line.number)
            gone.append((line.start, line.stop))
            last, was_again = line.number, True
        elif line.number == last + 1 and is_units(line.text, layout.separator, len(cells)):
            gone += [(line.start, line.stop)] if was_again else []
        elif is_table(line.text):
            if len(edges) == _MOST_TABLES:
                stop = line.start
                break
            edges.append((line.start, line.number))
            headings, last, was_again = cells, line.number, False
        elif not any(STARTS_LIKE_VALUE.match(cell) for cell in cells):
            first_text = first_text or line.text
            loose.append(line.number)
            gone.append((line.start, line.stop))
        if len(gone) == _MOST_GONE:
            # That many are no remarks between records; the others are told record by record.
            break
    faults = [repeated_headings(again)] if again else []
    if loose:
        faults.append(no_records(loose, first_text))
    if stop < len(body):
        count = body.count(b"\n", stop) or body.count(b"\r", stop)
        detail = f"more than {_MOST_TABLES} tables with other headings; the last {count} lines are not read"
        faults.append(Fault(kind="other-table", count=1, detail=detail))
    ends = [start for start, _number in edges[1:]] + [stop]
    pieces = [
        Piece(data=_without(body, gone, start, end), line=number)
        for (start, number), end in zip(edges, ends, strict=True)
    ]
    return Pieces(records=pieces[0], tables=tuple(pieces[1:]), faults=tuple(faults))


def _tables(separator: str) -> Callable[[str], bool]:
    """Whether a line begins a table of positions, for a bounded number of different lines."""
    known: dict[str, bool] = {}

    def is_table(text: str) -> bool:
        if text not in known and len(known) < _MOST_TRIED:
            known[text] = is_table_of_positions(text, separator)
        return known.get(text, False)

    return is_table


def no_records(lines: Sequence[int], first: str) -> Fault:
    """The fault that tells of lines without a time, a position or a number."""
    text = shown(first.strip(" \t,;|"), 40)
    detail = f"no record but text in {places(lines)} ({text}{' and the like' if len(lines) > 1 else ''}); left out"
    return Fault(kind="no-record", count=len(lines), detail=detail)


def _loose_lines(body: bytes, first_line: int) -> Iterator[_Line]:
    """The lines that begin with a letter and hold nothing like a time or a position, outside quotes."""
    has_quotes = b'"' in body
    at, number, quotes = 0, first_line, 0
    for match in _LOOSE.finditer(b"\n" + body):
        start, stop = (at - 1 for at in match.span(1))
        if _LIKE_A_RECORD.search(match[1], 0, _LOOKED_AT):
            continue
        between = body[at:start]
        number += between.count(b"\n") + between.count(b"\r") - between.count(b"\r\n")
        quotes += between.count(b'"') if has_quotes else 0
        at = start
        if quotes % 2 == 0 and match[1].count(b'"') % 2 == 0:
            yield _Line(start, stop, number, match[1][: 20 * _LOOKED_AT].decode("utf-8", errors="replace"))


def _are(cells: Sequence[str], layout: Layout, used: Sequence[int]) -> bool:
    return all(index < len(cells) and cells[index] == layout.headings[index] for index in used)


def _without(body: bytes, gone: Sequence[tuple[int, int]], start: int, stop: int) -> bytes:
    """The bytes from ``start`` to ``stop`` without the stretches that go, which are in order."""
    kept: list[bytes] = []
    at = start
    low = bisect_left(gone, (start, 0))
    for first, last in gone[low : bisect_left(gone, (stop, 0))]:
        kept.append(body[at:first])
        at = last
    kept.append(body[at:stop])
    return b"".join(kept)
