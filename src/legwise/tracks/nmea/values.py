"""Times of day, positions and dates of NMEA 0183 sentences, column by column."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.nmea.fields import Characters, Decimals, FieldTable, decimals_of, letters_of
from legwise.units import S_PER_H, S_PER_MIN

_MOST_PLACES = 15
"""Decimals of a minute; a hundred times the scale must fit too."""

_EPOCH_ORDINAL = dt.date(1970, 1, 1).toordinal()
_FIRST_YEAR_OF_1900 = 80
"""Two-digit years from here on are 19xx. Common practice, no published source."""


@dataclass(frozen=True, slots=True, eq=False)
class DayTimes:
    """Times of day [s] (NaN: none), and where there is a text that is none."""

    seconds: FloatArray
    is_unreadable: BoolArray


def times_of_day(table: FieldTable, number: int) -> DayTimes:
    """Field ``number`` as ``hhmmss`` with any fraction. The second 60 is one only at the end of the day, where a leap
    second stands.
    """
    text = decimals_of(table, number)
    scale = 10**text.places
    clock, fraction = text.mantissa // scale, text.mantissa % scale
    hour, minute, second = clock // 10_000, clock // 100 % 100, clock % 100
    fine = text.is_unsigned & (text.whole == 6) & (hour <= 23) & (minute <= 59)
    fine &= (second <= 59) | ((hour == 23) & (minute == 59) & (second == 60))
    seconds = hour * S_PER_H + minute * S_PER_MIN + second + fraction / scale
    return DayTimes(np.where(fine, seconds, np.nan), ~fine & ~text.is_empty)


@dataclass(frozen=True, slots=True, eq=False)
class Positions:
    """Latitudes and longitudes [deg] (NaN: none), the decimals of their minutes, and where a text is none."""

    lat_deg: FloatArray
    lon_deg: FloatArray
    places: IntArray
    is_unreadable: BoolArray


def positions_of(table: FieldTable, number: int) -> Positions:
    """Four fields from ``number`` on: ``ddmm.mm``, N or S, ``dddmm.mm``, E or W. Nothing given is a missing position,
    half of it an unreadable one.
    """
    lat, lon = decimals_of(table, number), decimals_of(table, number + 2)
    lat_deg, lat_fine = _degrees(lat, letters_of(table, number + 1), "N", "S")
    lon_deg, lon_fine = _degrees(lon, letters_of(table, number + 3), "E", "W")
    fine = lat_fine & lon_fine
    return Positions(
        np.where(fine, lat_deg, np.nan),
        np.where(fine, lon_deg, np.nan),
        np.minimum(lat.places, lon.places),
        ~fine & ~(lat.is_empty & lon.is_empty),
    )


def _degrees(text: Decimals, letter: Characters, plus: str, minus: str) -> tuple[FloatArray, BoolArray]:
    """Degrees from figures of degrees and minutes, to the last bit those of the minutes as written."""
    scale = 10 ** np.minimum(text.places, _MOST_PLACES)
    degrees = text.mantissa // (100 * scale)
    minutes = (text.mantissa - degrees * 100 * scale) / scale
    fine = text.is_unsigned & (text.places <= _MOST_PLACES) & (minutes < 60.0)
    fine &= (letter == ord(plus)) | (letter == ord(minus))
    size = degrees + minutes / 60.0
    return np.where(letter == ord(minus), -size, size), fine


@dataclass(frozen=True, slots=True, eq=False)
class DayNumbers:
    """Days since 1970-01-01 (NaN: none), and where there is a text that is none."""

    days: FloatArray
    is_unreadable: BoolArray


def short_dates(table: FieldTable, number: int) -> DayNumbers:
    """Field ``number`` as ``ddmmyy``."""
    text = decimals_of(table, number)
    year = text.mantissa % 100
    year = year + np.where(year >= _FIRST_YEAR_OF_1900, 1900, 2000)
    fine = text.is_unsigned & (text.whole == 6) & (text.places == 0)
    return _days(year, text.mantissa // 100 % 100, text.mantissa // 10_000, fine, text.is_empty)


def long_dates(table: FieldTable, number: int) -> DayNumbers:
    """Three fields from ``number`` on: day, month, year in four figures."""
    day, month, year = (decimals_of(table, number + place) for place in range(3))
    fine = day.is_unsigned & month.is_unsigned & year.is_unsigned & (year.whole == 4)
    for part in (day, month, year):
        fine &= (part.places == 0) & (part.whole <= 4)
    return _days(year.mantissa, month.mantissa, day.mantissa, fine, day.is_empty & month.is_empty & year.is_empty)


def _days(year: IntArray, month: IntArray, day: IntArray, fine: BoolArray, is_empty: BoolArray) -> DayNumbers:
    # A log has few dates: each distinct one is looked up in the calendar once.
    packed, which = np.unique(np.where(fine, (year * 10_000 + month) * 10_000 + day, -1), return_inverse=True)
    known = np.array([_day_number(value) for value in packed.tolist()], dtype=np.float64)
    days = known[which] if len(packed) else np.zeros(0)
    return DayNumbers(days, np.isnan(days) & ~is_empty)


def _day_number(packed: int) -> float:
    try:
        return float(dt.date(packed // 100_000_000, packed // 10_000 % 10_000, packed % 10_000).toordinal()) - (
            _EPOCH_ORDINAL
        )
    except ValueError:
        return np.nan
