"""Columns of numbers, times and words as ASCII, without a Python loop over rows.

A column becomes a matrix of bytes, a row a value, with NUL where a value is shorter than its column. Joined side by
side and with the NULs deleted the matrices are the rows of a CSV file. Tens of millions of figures take seconds this
way, where one formatting call for each takes several times as long.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import FloatArray, IntArray
from legwise.units import S_PER_DAY

ByteMatrix = npt.NDArray[np.uint8]

_ZERO: Final = ord("0")
_GROUP: Final = 4
_LARGEST: Final = 9.0e18
"""Beyond it a scaled figure does not fit 64 bits."""


def _digit_groups() -> ByteMatrix:
    """The numbers 0 to 9999 as four ASCII digits each, shape (10000, 4)."""
    number = np.arange(10**_GROUP)
    powers = 10 ** np.arange(_GROUP - 1, -1, -1)
    return (number[:, None] // powers % 10 + _ZERO).astype(np.uint8)


def _digits(numbers: IntArray, width: int) -> ByteMatrix:
    """The last ``width`` decimal digits of non-negative integers, leading zeros written. Shape (n, width)."""
    groups = -(-width // _GROUP)
    table = _digit_groups()
    matrix = np.empty((len(numbers), groups * _GROUP), dtype=np.uint8)
    rest = numbers
    for group in range(groups - 1, -1, -1):
        rest, last = np.divmod(rest, 10**_GROUP)
        matrix[:, group * _GROUP : (group + 1) * _GROUP] = table[last]
    return matrix[:, matrix.shape[1] - width :]


def decimal_text(values: FloatArray, decimals: int) -> ByteMatrix:
    """Each value with exactly ``decimals`` decimals; empty where it is not finite. Shape (n, width)."""
    known = np.isfinite(values)
    scaled = np.where(known, values, 0.0) * 10.0**decimals
    if scaled.size and float(np.max(np.abs(scaled))) > _LARGEST:
        raise ValueError("a figure is too large to be written")
    whole = np.rint(scaled).astype(np.int64)
    size = np.abs(whole)
    width = max(decimals + 1, len(str(int(size.max(initial=0)))))
    digits = _digits(size, width)
    for place in range(width - decimals - 1):
        digits[size < 10 ** (width - 1 - place), place] = 0
    sign = np.where(whole < 0, ord("-"), 0).astype(np.uint8)[:, None]
    parts = [sign, digits]
    if decimals:
        point = np.full((len(values), 1), ord("."), dtype=np.uint8)
        parts = [sign, digits[:, : width - decimals], point, digits[:, width - decimals :]]
    matrix = np.concatenate(parts, axis=1)
    matrix[~known] = 0
    return matrix


def instant_text(time_s: FloatArray) -> ByteMatrix:
    """Seconds since 1970-01-01 UTC as ``2026-04-18T13:12:40.5Z``, with the fraction that is there. Shape (n, 27)."""
    whole = np.floor(time_s)
    micro = np.rint((time_s - whole) * 1e6).astype(np.int64)
    second = whole.astype(np.int64) + micro // 1_000_000
    micro %= 1_000_000
    day, second_of_day = np.divmod(second, int(S_PER_DAY))
    days, which = np.unique(day, return_inverse=True)
    dates = np.datetime_as_string(days.astype("datetime64[D]")).astype("S10").view(np.uint8).reshape(-1, 10)
    matrix = np.empty((len(time_s), 27), dtype=np.uint8)
    matrix[:, :10] = dates[which]
    matrix[:, (10, 13, 16, 19, 26)] = np.frombuffer(b"T::.Z", dtype=np.uint8)
    matrix[:, 11:13] = _digits(second_of_day // 3600, 2)
    matrix[:, 14:16] = _digits(second_of_day // 60 % 60, 2)
    matrix[:, 17:19] = _digits(second_of_day % 60, 2)
    matrix[:, 20:26] = _digits(micro, 6)
    for place in range(6):
        matrix[micro % 10 ** (6 - place) == 0, 20 + place] = 0
    matrix[micro == 0, 19] = 0
    return matrix


def word_text(words: Sequence[str], codes: IntArray) -> ByteMatrix:
    """The word at each code, quoted where CSV needs it; empty for a negative code. Shape (n, longest word in UTF-8)."""
    quoted = [_csv_field(word) for word in words]
    table = np.zeros((len(quoted) + 1, max(map(len, quoted), default=0)), dtype=np.uint8)
    for row, field in enumerate(quoted):
        table[row, : len(field)] = np.frombuffer(field, dtype=np.uint8)
    return table[np.where(codes < 0, len(quoted), codes)]


def _csv_field(word: str) -> bytes:
    field = io.StringIO()
    csv.writer(field, lineterminator="").writerow([word.replace("\0", " ")])
    return b"" if word == "" else field.getvalue().encode("utf-8", "replace")


def joined_rows(columns: Sequence[ByteMatrix]) -> bytes:
    """The columns side by side as lines of CSV."""
    rows = len(columns[0])
    comma = np.full((rows, 1), ord(","), dtype=np.uint8)
    newline = np.full((rows, 1), ord("\n"), dtype=np.uint8)
    parts: list[ByteMatrix] = []
    for column in columns:
        parts += [column, comma]
    parts[-1] = newline
    return np.concatenate(parts, axis=1).tobytes().translate(None, b"\0")
