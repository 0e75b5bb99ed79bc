"""One bounded pass over an IGC file: its fixes as columns, its headers, and what could not be read."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from legwise.errors import TrackFileError
from legwise.model.arrays import BoolArray, IntArray
from legwise.tracks.igc.extensions import BASIC_BYTES, Layout, layout_of
from legwise.tracks.igc.fixes import Fixes, decoded
from legwise.tracks.igc.headers import Headers
from legwise.tracks.igc.lines import Characters, Lines, pieces
from legwise.tracks.limits import ReadLimits

_MOST_HEADERS = 10_000
_MOST_LAYOUTS = 100
"""A file of one flight has some twenty headers and one I record; of more, the first are read."""

_NO_LAYOUT = Layout()
_A, _B, _C, _H, _I, _K, _Z = (ord(letter) for letter in "ABCHIKZ")
_END_OF_TEXT = 0x1A
"""What old systems write at the end of a text file."""

_TOO_SHORT, _NO_RECORD = "too short", "lines that begin with no letter of a record"
_MOST_PLACES = 5
"""Lines that a message names; of the others their number is kept."""


@dataclass(slots=True)
class Tally:
    """How many lines, and the first of them."""

    count: int = 0
    first: list[int] = field(default_factory=list)

    def add(self, lines: IntArray) -> None:
        """Count further lines, in order."""
        self.count += len(lines)
        self.first += lines[: _MOST_PLACES - len(self.first)].tolist()


@dataclass(slots=True)
class Found:
    """What the pass collects. ``damaged`` and ``unreadable`` tally lines by what is wrong, or by the value."""

    fixes: list[Fixes] = field(default_factory=list)
    headers: Headers = field(default_factory=Headers)
    layouts: list[Layout] = field(default_factory=list)
    damaged: dict[str, Tally] = field(default_factory=dict)
    unreadable: dict[str, Tally] = field(default_factory=dict)
    recorders: list[int] = field(default_factory=list)
    cut_line: int = 0
    fix_lines: int = 0
    task_points: int = 0
    further_data: int = 0
    headers_left_out: int = 0


class IgcPass:
    """The state that goes from piece to piece: the layout of the fixes, and whether the records have begun."""

    def __init__(self, where: str, limits: ReadLimits) -> None:
        self.found = Found()
        self._where = where
        self._limits = limits
        self._layout = _NO_LAYOUT
        self._layout_text = ""
        self._has_begun = False
        self._header_count = 0

    def read(self, data: bytes) -> Found:
        """Run the pass over all of a file."""
        for lines in pieces(data):
            self._read_piece(lines)
        return self.found

    def _read_piece(self, lines: Lines) -> None:
        found = self.found
        kinds = np.where(lines.ends > lines.starts, lines.characters[lines.starts], 0)
        is_fix = kinds == _B
        self._count(lines, kinds)
        fixes = np.flatnonzero(is_fix)
        if found.fix_lines + len(fixes) > self._limits.max_rows:
            too_many = int(fixes[self._limits.max_rows - found.fix_lines]) + lines.first
            raise TrackFileError(
                f"the track holds more than {self._limits.max_rows:,} points",
                where=f"{self._where}, line {too_many}",
                remedy="Cut the log to the flight, or let more be read: --limit rows=N.",
            )
        found.fix_lines += len(fixes)
        done = 0
        headers = np.flatnonzero((kinds == _H) | (kinds == _I) | (kinds == _A))
        left_out = headers[max(_MOST_HEADERS - self._header_count, 0) :]
        found.headers_left_out += len(left_out)
        headers = headers[: len(headers) - len(left_out)]
        self._header_count += len(headers)
        for index in headers.tolist():
            if kinds[index] == _I:
                layout = self._layout_in(lines.text(index))
                if layout is not self._layout:
                    upto = int(np.searchsorted(fixes, index))
                    self._decode(lines, fixes[done:upto])
                    done = upto
                    self._layout = layout
            elif kinds[index] == _H:
                found.headers.read(lines.text(index), lines.first + index)
            elif found.fix_lines > len(fixes) or (fixes.size and fixes[0] < index):
                found.recorders.append(lines.first + index)
        self._decode(lines, fixes[done:])

    def _count(self, lines: Lines, kinds: Characters) -> None:
        """Tally the records that are not read, and the lines that are no records (those in front tell nothing)."""
        found = self.found
        found.further_data += int(np.count_nonzero(kinds == _K))
        is_letter = (kinds >= _A) & (kinds <= _Z)
        odd = np.flatnonzero(~is_letter & (kinds != 0) & (kinds != _END_OF_TEXT))
        if not self._has_begun:
            begun = np.flatnonzero((kinds == _A) | (kinds == _H) | (kinds == _B))
            self._has_begun = bool(begun.size)
            odd = odd[odd > (begun[0] if begun.size else len(kinds))]
        if odd.size:
            found.damaged.setdefault(_NO_RECORD, Tally()).add(odd + lines.first)
        task = np.flatnonzero(kinds == _C)
        if task.size:
            # The first line of a task tells dates and counts; its points have the letter of the latitude there.
            rows = lines.heads(task, 9)
            is_point = (rows[8] == ord("N")) | (rows[8] == ord("S"))
            found.task_points += int(np.count_nonzero(is_point & ~np.all(rows[1:8] == ord("0"), axis=0)))

    def _layout_in(self, text: str) -> Layout:
        """The layout that an I record gives: the present one where it says the same."""
        if text == self._layout_text:
            return self._layout
        if len(self.found.layouts) >= _MOST_LAYOUTS:
            self.found.headers_left_out += 1
            self._layout_text = ""
            return _NO_LAYOUT
        self._layout_text = text
        layout = layout_of(text, units_are_named="UNT" in self.found.headers.values)
        self.found.layouts.append(layout)
        return layout

    def _decode(self, lines: Lines, fixes: IntArray) -> None:
        """Decode fixes that have one layout."""
        if not fixes.size:
            return
        found = self.found
        lengths = lines.ends[fixes] - lines.starts[fixes]
        is_long: BoolArray = lengths >= BASIC_BYTES
        if lines.is_open and fixes[-1] == len(lines.starts) - 1 and lengths[-1] < self._layout.width:
            found.cut_line = lines.first + int(fixes[-1])
        short = lines.first + fixes[~is_long]
        short = short[short != found.cut_line]
        if short.size:
            found.damaged.setdefault(_TOO_SHORT, Tally()).add(short)
        long = fixes[is_long]
        if not long.size:
            return
        result = decoded(
            lines.heads(long, self._layout.whole_width), lengths[is_long], lines.first + long, self._layout
        )
        found.fixes.append(result.fixes)
        for words, where in result.damaged.items():
            found.damaged.setdefault(words, Tally()).add(where)
        for name, where in result.unreadable.items():
            found.unreadable.setdefault(name, Tally()).add(where)
