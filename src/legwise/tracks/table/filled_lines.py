"""How many lines of a text hold something, and the text without those that hold nothing: in little memory, since it
may be a text that is refused.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import BoolArray, IntArray
from legwise.tracks.values.numbers import SPREADSHEET_BLANKS

_PIECE_BYTES = 1 << 22
_LINE_END, _CARRIAGE_RETURN, _BLANK, _QUOTE, _HASH = b'\n\r "#'
_NO_REMARKS = np.array(sorted({ord(text[1]) for text in SPREADSHEET_BLANKS}), dtype=np.uint8)
"""What follows a hash that begins a cell which a spreadsheet couldn't fill."""

Bytes = npt.NDArray[np.uint8]


def count_of_lines(text: bytes) -> int:
    """How many lines the text has, whatever ends them."""
    ends = text.count(b"\n") + text.count(b"\r") - text.count(b"\r\n")
    return ends + (not text.endswith((b"\n", b"\r")) and bool(text))


def filled_lines(text: bytes, most: int) -> int:
    """How many lines hold something and are no remark, or a number above ``most`` where they are more than that.

    A line end between quotes ends no line: there are never fewer records than this.
    """
    count = 0
    for piece, starts in _pieces(text):
        count += int(np.count_nonzero(_are_filled(piece, starts)))
        if count > most:
            break
    return count


def without_blank_lines(text: bytes) -> bytes:
    """``text`` without the lines that hold nothing, or a remark."""
    kept: list[bytes] = []
    for piece, starts in _pieces(text):
        lengths = np.diff(starts, append=piece.size)
        kept.append(piece[np.repeat(_are_filled(piece, starts), lengths)].tobytes())
    return b"".join(kept)


def _pieces(text: bytes) -> Iterator[tuple[Bytes, IntArray]]:
    """The bytes of the text in pieces of whole lines, as far as they are short, with where the lines start in each."""
    whole = np.frombuffer(text, dtype=np.uint8)
    end = _LINE_END if b"\n" in text else _CARRIAGE_RETURN
    has_quotes = b'"' in text
    at = quotes = 0
    while at < whole.size:
        stop = at + _PIECE_BYTES
        if stop < whole.size:
            # Up to the last line end in it, or to the first behind it.
            last = text.rfind(end, at, stop)
            stop = last + 1 if last >= 0 else text.find(end, stop) + 1 or whole.size
        piece = whole[at:stop]
        ends = piece == end
        if has_quotes:
            open_quotes = np.cumsum(piece == _QUOTE, dtype=np.int64) + quotes
            ends &= open_quotes % 2 == 0
            quotes = int(open_quotes[-1]) % 2
        starts = np.concatenate([[0], np.flatnonzero(ends) + 1])
        yield piece, starts[starts < piece.size]
        at = stop


def _are_filled(piece: Bytes, starts: IntArray) -> BoolArray:
    filled: BoolArray = np.logical_or.reduceat(piece > _BLANK, starts)
    is_hash = piece[starts] == _HASH
    if is_hash.any():
        second = piece[np.minimum(starts + 1, piece.size - 1)]
        filled &= ~is_hash | np.isin(second, _NO_REMARKS)
    return filled
