"""Uniform ISO 8601 times, whole columns at a time: ``2026-04-18T13:12:40.5Z`` and its like, as digits in an array of
bytes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.units import S_PER_DAY, S_PER_H, S_PER_MIN

_BASE = 19
"""Characters of a date and time to the second."""

_MONTH_DAYS = np.array([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
Characters = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class IsoColumns:
    """Seconds since 1970-01-01 as written, the offset of the zone [s] (NaN: none written), and which rows were read."""

    written_s: FloatArray
    zone_s: FloatArray
    read: BoolArray


def iso_columns(texts: list[str]) -> IsoColumns:
    """Read what is ``YYYY-MM-DD``, a ``T`` or blank, ``HH:MM:SS``, a fraction, and ``Z`` or ``±HH:MM``; leave the
    rest unread.
    """
    count = len(texts)
    written_s, zone_s, read = np.full(count, np.nan), np.full(count, np.nan), np.zeros(count, dtype=bool)
    try:
        packed = np.array(texts, dtype="S")
    except UnicodeEncodeError:
        packed = np.array([text if text.isascii() else "" for text in texts], dtype="S")
    if packed.dtype.itemsize < _BASE:
        return IsoColumns(written_s, zone_s, read)
    matrix = packed.view(np.uint8).reshape(count, packed.dtype.itemsize)
    lengths = np.char.str_len(packed)
    for length in np.unique(lengths):
        if length < _BASE:
            continue
        rows = np.flatnonzero(lengths == length)
        _read_rows(matrix[rows, :length], rows, written_s, zone_s, read)
    return IsoColumns(written_s, zone_s, read)


def _read_rows(
    characters: Characters, rows: IntArray, written_s: FloatArray, zone_s: FloatArray, read: BoolArray
) -> None:
    """Read rows of one length; what has no zone, ``Z`` or an offset has its fraction end in different places."""
    length = characters.shape[1]
    good, base_s = _date_and_time(characters)
    ends_z = (characters[:, -1] | 0x20) == ord("z")
    ends_offset = np.zeros(len(rows), dtype=bool)
    if length >= _BASE + 6:
        sign = characters[:, -6]
        ends_offset = ((sign == ord("+")) | (sign == ord("-"))) & (characters[:, -3] == ord(":"))
    for mask, tail in ((ends_z, 1), (ends_offset, 6), (~ends_z & ~ends_offset, 0)):
        some = np.flatnonzero(mask & good)
        if some.size == 0:
            continue
        fine, fraction_s = _fraction(characters[some, _BASE : length - tail])
        offset_s: FloatArray = np.zeros(some.size) if tail else np.full(some.size, np.nan)
        if tail == 6:
            fine_offset, offset_s = _offset(characters[some, -6:])
            fine &= fine_offset
        at = rows[some[fine]]
        written_s[at] = (base_s[some] + fraction_s)[fine]
        zone_s[at] = offset_s[fine]
        read[at] = True


def _digits(characters: Characters, start: int, stop: int) -> tuple[BoolArray, FloatArray]:
    """Whether all the characters are figures, and their number (of nine figures at most)."""
    value = np.zeros(len(characters), dtype=np.int32)
    are_figures = np.ones(len(characters), dtype=np.bool_)
    for column in range(start, stop):
        # What is less than "0" wraps round to more than nine.
        figure = characters[:, column] - np.uint8(ord("0"))
        are_figures &= figure <= 9
        value = value * np.int32(10) + figure
    return are_figures, value.astype(np.float64)


def _date_and_time(characters: Characters) -> tuple[BoolArray, FloatArray]:
    mark = characters[:, 4]
    between = characters[:, 10]
    good = ((mark == ord("-")) | (mark == ord("/")) | (mark == ord("."))) & (characters[:, 7] == mark)
    good &= ((between | 0x20) == ord("t")) | (between == ord(" "))
    good &= (characters[:, 13] == ord(":")) & (characters[:, 16] == ord(":"))
    values: list[FloatArray] = []
    for start, stop in ((0, 4), (5, 7), (8, 10), (11, 13), (14, 16), (17, 19)):
        are_figures, value = _digits(characters, start, stop)
        good &= are_figures
        values.append(value)
    year, month, day, hour, minute, second = values
    good &= (year >= 1) & (month >= 1) & (month <= 12) & (day >= 1) & (hour <= 23) & (minute <= 59) & (second <= 60)
    month = np.where(good, month, 1.0)
    good &= day <= _MONTH_DAYS[month.astype(np.int64)]
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    good &= ~((month == 2) & (day == 29) & ~leap)
    seconds = _days(year, month, day) * S_PER_DAY + hour * S_PER_H + minute * S_PER_MIN + second
    return good, seconds


def _days(year: FloatArray, month: FloatArray, day: FloatArray) -> FloatArray:
    """Days since 1970-01-01 in the Gregorian calendar, counted in years that begin in March."""
    y = year - (month <= 2)
    day_of_year = np.floor((153 * (month + np.where(month > 2, -3, 9)) + 2) / 5) + day - 1
    days: FloatArray = 365 * y + np.floor(y / 4) - np.floor(y / 100) + np.floor(y / 400) + day_of_year - 719_468
    return days


def _fraction(characters: Characters) -> tuple[BoolArray, FloatArray]:
    length = characters.shape[1]
    if length == 0:
        return np.ones(len(characters), dtype=bool), np.zeros(len(characters))
    if length == 1 or length > 10:
        return np.zeros(len(characters), dtype=bool), np.zeros(len(characters))
    fine, value = _digits(characters, 1, length)
    fine &= (characters[:, 0] == ord(".")) | (characters[:, 0] == ord(","))
    return fine, value / 10.0 ** (length - 1)


def _offset(characters: Characters) -> tuple[BoolArray, FloatArray]:
    fine_hours, hours = _digits(characters, 1, 3)
    fine_minutes, minutes = _digits(characters, 4, 6)
    sign = np.where(characters[:, 0] == ord("-"), -1.0, 1.0)
    fine = fine_hours & fine_minutes & (hours <= 14) & (minutes <= 59)
    return fine, sign * (hours * S_PER_H + minutes * S_PER_MIN)
