"""The lines of a text in bytes, a piece of the text at a time: where each starts and ends, as arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import IntArray

Characters = npt.NDArray[np.uint8]

_PIECE = 4 << 20
"""Bytes that are looked at together: what a pass needs besides its results stays a small multiple of it."""

ROOM = 128
"""More than the longest stretch of a line that is read as columns."""

_MARK = b"\xef\xbb\xbf"
_LF, _CR = 10, 13


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Lines:
    """Whole lines of a text. ``starts`` and ``ends`` (shape (n,), without the line's end) count in ``characters``,
    which go on for ``ROOM`` bytes after the last line.

    ``first`` is the number of the first line in the whole text (1-based); ``is_open`` says that the last line has no
    end, as happens where a file was cut.
    """

    characters: Characters
    starts: IntArray
    ends: IntArray
    first: int
    is_open: bool

    def text(self, index: int, most: int = 200) -> str:
        """The line with this index, cut after ``most`` characters. No byte is refused: the text is Latin-1."""
        start = int(self.starts[index])
        return self.characters[start : min(int(self.ends[index]), start + most)].tobytes().decode("latin-1")

    def heads(self, index: IntArray, width: int) -> Characters:
        """The first ``width`` bytes (at most ``ROOM``) of these lines, shape (width, m). Beyond the end of a line
        stands what follows it.
        """
        windows = np.lib.stride_tricks.sliding_window_view(self.characters, width)
        return np.ascontiguousarray(windows[self.starts[index]].T)


def pieces(data: bytes) -> Iterator[Lines]:
    """The text in order. A line ends with LF, CR LF or CR; a byte order mark in front is left out."""
    start = len(_MARK) if data.startswith(_MARK) else 0
    every = np.frombuffer(data, dtype=np.uint8)
    first = 1
    while start < len(data):
        stop = _stop(data, start)
        lines = _lines(every[start:stop], first)
        yield lines
        first += len(lines.starts)
        start = stop


def _stop(data: bytes, start: int) -> int:
    """Where a piece from ``start`` on ends: after the last line that ends in it, or after the one that does not."""
    stop = start + _PIECE
    if stop >= len(data):
        return len(data)
    cut = max(data.rfind(b"\n", start, stop), data.rfind(b"\r", start, stop))
    if cut < 0:
        cut = data.find(b"\n", stop)
        cut = len(data) - 1 if cut < 0 else cut
        earlier = data.find(b"\r", stop, cut)
        cut = cut if earlier < 0 else earlier
    is_pair = data[cut] == _CR and data[cut + 1 : cut + 2] == b"\n"
    return cut + 2 if is_pair else cut + 1


def _lines(characters: Characters, first: int) -> Lines:
    is_end = characters == _LF
    returns = characters == _CR
    has_returns = bool(returns.any())
    if has_returns:
        is_end[:-1] |= returns[:-1] & ~is_end[1:]
        is_end[-1] |= returns[-1]
    at = np.flatnonzero(is_end)
    is_open = not at.size or int(at[-1]) != len(characters) - 1
    starts = np.concatenate([[0], at + 1])
    ends = np.append(at, len(characters))
    if has_returns:
        before = np.maximum(at - 1, 0)
        ends[:-1] -= (characters[at] == _LF) & (at > 0) & (characters[before] == _CR)
    if not is_open:
        starts, ends = starts[:-1], ends[:-1]
    roomy = np.concatenate([characters, np.zeros(ROOM, dtype=np.uint8)])
    return Lines(characters=roomy, starts=starts, ends=ends, first=first, is_open=is_open)
