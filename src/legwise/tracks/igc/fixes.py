"""The fixes (B records) of an IGC file, as columns: figures in an array of bytes to times, positions, altitudes.

Appendix A of the specification, 4.1, bytes counted from 1: B, time 2-7 HHMMSS, latitude 8-15 DDMMmmmN, longitude 16-24
DDDMMmmmE, validity 25 (A or V), pressure altitude 26-30 and GNSS altitude 31-35 in metres (negative ones "to have
negative sign instead of leading zero"), then the extensions.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel
from legwise.tracks.igc.extensions import LATITUDE, LONGITUDE, SECONDS, Extension, Layout
from legwise.tracks.igc.lines import Characters
from legwise.units import S_PER_DAY, S_PER_H, S_PER_MIN

PRESSURE, GNSS = "pressure altitude", "GNSS altitude"
_ZERO, _MINUS, _BLANK = ord("0"), ord("-"), ord(" ")
_IN_A_NUMBER = np.isin(np.arange(256), [*b"0123456789+-. "])
_THOUSANDTHS = 60_000
"""Thousandths of a minute in a degree."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Fixes:
    """Columns of fixes, shape (n,). NaN stands for what was not recorded or can't be read.

    ``clock_s`` are seconds of the day, UTC; positions WGS 84 degrees; ``is_valid`` is false for V; altitudes in
    metres. ``no_decimals`` marks fixes whose decimals of the second should be there and can't be read.
    """

    clock_s: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    is_valid: BoolArray
    pressure_m: FloatArray
    gnss_m: FloatArray
    channels: dict[Channel, FloatArray]
    no_decimals: BoolArray
    line: IntArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Decoded:
    """The fixes of some lines, those that are none (by what is wrong with them), and values that can't be read."""

    fixes: Fixes
    damaged: dict[str, IntArray]
    unreadable: dict[str, IntArray]


def decoded(rows: Characters, lengths: IntArray, line: IntArray, layout: Layout) -> Decoded:
    """Fixes from the bytes of their lines, shape (bytes, n); each line has at least the basic bytes."""
    fields = _Fields(rows, lengths, layout)
    are_figures, lat, lon = _positions(fields)
    fits = _within(rows) & np.isin(rows[24], [ord("A"), ord("V")])
    good = are_figures & fits
    keep = np.flatnonzero(good)
    unreadable: dict[str, IntArray] = {}

    def column(name: str, values: FloatArray, wrong: BoolArray) -> FloatArray:
        if (wrong & good).any():
            unreadable[name] = line[wrong & good]
        return values[keep]

    fraction_s, bad_fraction = fields.decimals(SECONDS)
    channels = {
        extension.channel: column(extension.code, *fields.value(extension))
        for extension in layout.read
        if extension.channel is not None
    }
    for code, start, stop in layout.unread:
        column(f"{code} (of no use here)", lat, _spoilt(rows[start:stop], lengths >= stop, good))
    for code in (LATITUDE, LONGITUDE):
        column(code, lat, fields.decimals(code)[1])
    fixes = Fixes(
        clock_s=(_clock(rows) + fraction_s)[keep],
        lat_deg=lat[keep],
        lon_deg=lon[keep],
        is_valid=(rows[24] == ord("A"))[keep],
        pressure_m=column(PRESSURE, *_altitude(rows[25:30])),
        gnss_m=column(GNSS, *_altitude(rows[30:35])),
        channels=channels,
        no_decimals=bad_fraction[keep],
        line=line[keep],
    )
    damaged = {
        "no figures where figures are due": line[~are_figures],
        "no such place on Earth": line[are_figures & ~fits],
    }
    return Decoded(
        fixes=fixes,
        damaged={words: lines for words, lines in damaged.items() if lines.size},
        unreadable=unreadable,
    )


def _spoilt(rows: Characters, is_there: BoolArray, good: BoolArray) -> BoolArray:
    """Fixes whose value in some columns is no number, where those of most others are: the line is damaged.

    The specification leaves signs and points to the maker, and letters too: what most lines have is no damage.
    """
    spoilt: BoolArray = is_there & ~np.all(_IN_A_NUMBER[rows], axis=0)
    of = int(np.count_nonzero(is_there & good))
    return spoilt & (2 * np.count_nonzero(spoilt & good) < of)


def joined_fixes(parts: list[Fixes]) -> Fixes:
    """Fixes one after the other; a channel that some do not have is missing there."""
    channels = {channel: None for part in parts for channel in part.channels}
    return Fixes(
        clock_s=np.concatenate([part.clock_s for part in parts]),
        lat_deg=np.concatenate([part.lat_deg for part in parts]),
        lon_deg=np.concatenate([part.lon_deg for part in parts]),
        is_valid=np.concatenate([part.is_valid for part in parts]),
        pressure_m=np.concatenate([part.pressure_m for part in parts]),
        gnss_m=np.concatenate([part.gnss_m for part in parts]),
        channels={
            channel: np.concatenate(
                [part.channels.get(channel, np.full(len(part.line), np.nan)) for part in parts],
            )
            for channel in channels
        },
        no_decimals=np.concatenate([part.no_decimals for part in parts]),
        line=np.concatenate([part.line for part in parts]),
    )


def _number(rows: Characters) -> tuple[BoolArray, IntArray]:
    """Whether all of some columns are figures, and their number."""
    are_figures = np.ones(rows.shape[1], dtype=bool)
    value = np.zeros(rows.shape[1], dtype=np.int64)
    for column in rows:
        figures = column - np.uint8(_ZERO)
        are_figures &= figures <= 9
        value = value * 10 + figures
    return are_figures, value


def _altitude(rows: Characters) -> tuple[FloatArray, BoolArray]:
    """Metres, and where they can't be read."""
    is_negative = rows[0] == _MINUS
    first = rows[:1].copy()
    first[0, is_negative] = _ZERO
    are_figures, size = _number(np.concatenate([first, rows[1:]]))
    metres = np.where(are_figures, np.where(is_negative, -size, size), np.nan)
    return metres, ~are_figures


def _clock(rows: Characters) -> FloatArray:
    """Seconds of the day; NaN for what no clock shows. A leap second is the first of the next day."""
    are_figures, figures = _number(rows[1:7])
    hour, minute, second = figures // 10_000, figures // 100 % 100, figures % 100
    clock_s = hour * S_PER_H + minute * S_PER_MIN + second
    shown = are_figures & (hour <= 23) & (minute <= 59) & ((second <= 59) | (clock_s == S_PER_DAY))
    return np.where(shown, clock_s, np.nan)


def _within(rows: Characters) -> BoolArray:
    """Whether minutes, degrees and letters are those of a position."""
    lat_minutes, lon_minutes = _number(rows[9:11])[1], _number(rows[18:20])[1]
    lat = _number(rows[7:9])[1] * _THOUSANDTHS + _number(rows[9:14])[1]
    lon = _number(rows[15:18])[1] * _THOUSANDTHS + _number(rows[18:23])[1]
    within: BoolArray = (lat_minutes < 60) & (lon_minutes < 60) & (lat <= 90 * _THOUSANDTHS)
    within &= (lon <= 180 * _THOUSANDTHS) & np.isin(rows[14], [ord("N"), ord("S")])
    within &= np.isin(rows[23], [ord("E"), ord("W")])
    return within


class _Fields:
    """The extensions of some fixes."""

    def __init__(self, rows: Characters, lengths: IntArray, layout: Layout) -> None:
        self.rows, self._lengths = rows, lengths
        self._by_code = {extension.code: extension for extension in layout.read}

    def value(self, extension: Extension) -> tuple[FloatArray, BoolArray]:
        """The values in units of their channel, and where they can't be read. Blanks are not recorded."""
        is_there, are_figures, figures = self._figures(extension)
        values = figures / 10.0**extension.decimals
        fits = are_figures & (values <= extension.most)
        is_blank = is_there & np.all(self.rows[extension.start : extension.stop] == _BLANK, axis=0)
        return np.where(fits, values * extension.factor, np.nan), ~fits & ~is_blank

    def decimals(self, code: str) -> tuple[FloatArray, BoolArray]:
        """Decimals (0 where there are none), and where they can't be read."""
        extension = self._by_code.get(code)
        if extension is None:
            return np.zeros(len(self._lengths)), np.zeros(len(self._lengths), dtype=bool)
        _is_there, are_figures, figures = self._figures(extension)
        return np.where(are_figures, figures / 10.0**extension.decimals, 0.0), ~are_figures

    def further(self, code: str) -> tuple[int, IntArray]:
        """How many further decimals there are, and their figures (0 where they can't be read)."""
        extension = self._by_code.get(code)
        if extension is None:
            return 0, np.zeros(len(self._lengths), dtype=np.int64)
        _is_there, are_figures, figures = self._figures(extension)
        return extension.decimals, np.where(are_figures, figures, 0)

    def _figures(self, extension: Extension) -> tuple[BoolArray, BoolArray, IntArray]:
        is_there = self._lengths >= extension.stop
        are_figures, figures = _number(self.rows[extension.start : extension.stop])
        return is_there, are_figures & is_there, figures


def _positions(fields: _Fields) -> tuple[BoolArray, FloatArray, FloatArray]:
    """Whether latitude and longitude are figures, and both in degrees: the nearest to what is written."""
    rows = fields.rows
    all_figures = np.ones(rows.shape[1], dtype=bool)
    degrees: list[FloatArray] = []
    for start, letter, negative, code in ((7, 14, "S", LATITUDE), (15, 23, "W", LONGITUDE)):
        are_degrees, whole = _number(rows[start : letter - 5])
        are_minutes, minutes = _number(rows[letter - 5 : letter])
        all_figures &= are_degrees & are_minutes
        places, further = fields.further(code)
        # Whole numbers divided once: no digit is lost.
        size = ((whole * _THOUSANDTHS + minutes) * 10**places + further) / float(_THOUSANDTHS * 10**places)
        # Adding nothing makes a negative zero a zero.
        degrees.append(np.where(rows[letter] == ord(negative), -size, size) + 0.0)
    return all_figures, degrees[0], degrees[1]
