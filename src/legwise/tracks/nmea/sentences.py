"""Where the sentences of an NMEA 0183 log are, and which of them are believed: dollar to star, and the checksum.

A sentence begins at a dollar sign wherever it stands in a line: a time stamp or a tag block before it, binary rubbish,
or the beginning of a sentence that was cut off do not lose it. The log is looked at in pieces of a few megabytes, whole
columns at a time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from legwise.model.arrays import BoolArray, IntArray
from legwise.tracks.nmea.fields import PADDING, Characters, FieldTable
from legwise.tracks.nmea.tally import Tally
from legwise.tracks.nmea.types import LEAST_COMMAS, USED, name_of

PIECE_BYTES = 4_000_000
"""How much is looked at in one go: small enough that the columns stay near the processor."""

_LONGEST_UNSUMMED = 200
"""A sentence without a checksum is no longer. The standard has 82 characters, receivers write some more."""

_NAMES: Final = np.zeros(256, dtype=np.bool_)
_NAMES[np.frombuffer(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", dtype=np.uint8)] = True
_NO_HEX: Final = 255
_HEX: Final = np.full(256, _NO_HEX, dtype=np.uint8)
_HEX[np.frombuffer(b"0123456789ABCDEFabcdef", dtype=np.uint8)] = [*range(16), *range(10, 16)]


@dataclass(frozen=True, slots=True, eq=False)
class Sentences:
    """The believed sentences of the types in ``USED`` in one piece of a log, in the order of the file.

    ``kind`` and ``talker`` are their letters as numbers, ``line`` counts from 1.
    """

    kind: IntArray
    talker: IntArray
    line: IntArray
    table: FieldTable


def sentences_in(data: bytes, tally: Tally) -> Iterator[Sentences]:
    """The used sentences of ``data``, piece by piece."""
    newline = b"\n" if b"\n" in data else b"\r"
    start, lines = 0, 0
    while start < len(data):
        stop = _end_of_piece(data, start, newline)
        piece = data[start:stop]
        yield _in_piece(piece, lines, newline[0], tally, is_last=stop == len(data))
        lines += piece.count(newline)
        start = stop


def _end_of_piece(data: bytes, start: int, newline: bytes) -> int:
    """Behind a line where there is one, else before a sentence, else anywhere: so long no sentence is."""
    stop = start + PIECE_BYTES
    if stop >= len(data):
        return len(data)
    behind_line = data.rfind(newline, start, stop) + 1
    if behind_line:
        return behind_line
    before_sentence = data.rfind(b"$", start + 1, stop)
    return before_sentence if before_sentence > 0 else stop


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """Everything in a piece that begins with a dollar sign and letters: start, end, where the star is (else the end),
    its line.
    """

    start: IntArray
    end: IntArray
    body_end: IntArray
    has_star: BoolArray
    line: IntArray


def _in_piece(piece: bytes, lines_before: int, newline: int, tally: Tally, *, is_last: bool) -> Sentences:
    characters = np.frombuffer(piece + bytes(PADDING), dtype=np.uint8)
    found = _found(characters, len(piece), lines_before, newline, tally)
    start, is_summed = found.start, found.has_star & (found.body_end + 2 < found.end)
    sum_fits = _sum_fits(characters, found)
    is_bad = is_summed & ~sum_fits
    is_named = _NAMES[characters[start + 3]] & _NAMES[characters[start + 4]] & _NAMES[characters[start + 5]]
    is_proprietary = characters[start + 1] == ord("P")
    is_named &= (characters[start + 6] == ord(",")) & ~is_proprietary
    kind = _packed(characters, start, 3, 3)
    commas = np.flatnonzero(characters[: len(piece)] == ord(","))
    first = np.searchsorted(commas, start)
    count = np.searchsorted(commas, found.body_end) - first
    # One without a checksum must at least end where its line does.
    is_whole = (
        ~found.has_star
        & (characters[found.end] != ord("$"))
        & (found.end - start <= _LONGEST_UNSUMMED)
        & (is_named | is_proprietary)
    )
    for code, least in LEAST_COMMAS.items():
        is_whole &= ~is_named | (kind != code) | (count >= least)
    believed = (is_summed & sum_fits) | is_whole
    is_used = believed & is_named & np.isin(kind, USED)
    damaged = ~believed & ~is_bad
    _tell_unused(tally, kind, is_named, is_proprietary, believed & ~is_used)
    _tell_bad_sums(tally, kind, is_named, is_bad, found.line)
    if is_last and len(damaged) and damaged[-1] and found.end[-1] == len(piece):
        tally.cut_short_line = int(found.line[-1])
        damaged[-1] = False
    tally.damaged.add(found.line[damaged])
    tally.without_sum += int(np.count_nonzero(is_used & is_whole))
    rows = np.flatnonzero(is_used)
    table = FieldTable(characters, commas, first[rows], count[rows], found.body_end[rows])
    return Sentences(kind[rows], _packed(characters, start, 1, 2)[rows], found.line[rows], table)


def _found(characters: Characters, length: int, lines_before: int, newline: int, tally: Tally) -> _Found:
    inside = characters[:length]
    marks = np.flatnonzero((inside == ord("\n")) | (inside == ord("\r")) | (inside == ord("$")))
    dollars = np.flatnonzero(inside[marks] == ord("$"))
    start, end = marks[dollars], np.append(marks, length)[dollars + 1]
    is_letter = (characters[start + 1] >= ord("A")) & (characters[start + 1] <= ord("Z"))
    is_sentence = is_letter & _NAMES[characters[start + 2]] & (end - start > 3)
    start, end = start[is_sentence], end[is_sentence]
    newlines = marks[inside[marks] == newline]
    line = np.searchsorted(newlines, start)
    _tell_loose_lines(tally, newlines, line, length, lines_before)
    stars = np.append(np.flatnonzero(inside == ord("*")), length)
    star = stars[np.searchsorted(stars, start)]
    has_star = star < end
    return _Found(start, end, np.where(has_star, star, end), has_star, line + lines_before + 1)


def _packed(characters: Characters, start: IntArray, skip: int, count: int) -> IntArray:
    code = np.zeros(len(start), dtype=np.int64)
    for place in range(skip, skip + count):
        code = code * 256 + characters[start + place]
    return code


def _sum_fits(characters: Characters, found: _Found) -> BoolArray:
    """Whether the figures behind the star are the exclusive or of all between dollar and star."""
    fits = np.zeros(len(found.start), dtype=np.bool_)
    rows = np.flatnonzero(found.has_star & (found.body_end > found.start + 1))
    if not rows.size:
        return fits
    star = found.body_end[rows]
    edges = np.stack([found.start[rows] + 1, star], axis=1).ravel()
    sums = np.bitwise_xor.reduceat(characters, edges)[::2]
    high, low = _HEX[characters[star + 1]], _HEX[characters[star + 2]]
    fits[rows] = (high != _NO_HEX) & (low != _NO_HEX) & (sums == (high << 4 | (low & 15)))
    return fits


def _tell_unused(
    tally: Tally, kind: IntArray, is_named: BoolArray, is_proprietary: BoolArray, unused: BoolArray
) -> None:
    for name, some in (
        ("proprietary", unused & is_proprietary),
        ("of no known form", unused & ~is_proprietary & ~is_named),
    ):
        if some.any():
            tally.unused[name] = tally.unused.get(name, 0) + int(np.count_nonzero(some))
    _add(tally.unused, kind[unused & is_named])


def _tell_bad_sums(tally: Tally, kind: IntArray, is_named: BoolArray, is_bad: BoolArray, line: IntArray) -> None:
    if not is_bad.any():
        return
    tally.bad.add(line[is_bad])
    _add(tally.bad_sums, kind[is_bad & is_named])
    others = int(np.count_nonzero(is_bad & ~is_named))
    if others:
        tally.bad_sums["others"] = tally.bad_sums.get("others", 0) + others


def _add(counts: dict[str, int], kind: IntArray) -> None:
    codes, numbers = np.unique(kind, return_counts=True)
    for code, number in zip(codes.tolist(), numbers.tolist(), strict=True):
        name = name_of(code)
        counts[name] = counts.get(name, 0) + number


def _tell_loose_lines(tally: Tally, newlines: IntArray, line: IntArray, length: int, lines_before: int) -> None:
    """Count the lines that hold something, but no sentence; a lone carriage return is nothing."""
    starts, stops = np.append(0, newlines + 1), np.append(newlines, length)
    loose = stops - starts > 1
    loose[line] = False
    tally.loose.add(np.flatnonzero(loose) + lines_before + 1)
