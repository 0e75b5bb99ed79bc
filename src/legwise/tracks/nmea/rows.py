"""What each NMEA 0183 sentence says, as rows of one table: RMC, GGA, GLL, GNS, VTG and ZDA side by side.

The fields of each type and the letters for status, mode and quality are those of NMEA 0183 as receivers' manuals print
them (4.10 and before).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.nmea.fields import Characters, FieldTable, decimals_of, has_only, letters_of
from legwise.tracks.nmea.sentences import Sentences
from legwise.tracks.nmea.tally import LineTally
from legwise.tracks.nmea.types import GGA, GLL, GNS, RMC, VTG, ZDA
from legwise.tracks.nmea.values import long_dates, positions_of, short_dates, times_of_day
from legwise.units import KT_PER_KMH

SmallInts = npt.NDArray[np.int8]

UNSAID: Final = 0
FIX: Final = 1
VOID: Final = 2
"""Whether a sentence says that its fix is one."""

RECKONED: Final = 1
SIMULATED: Final = 2
"""How the position of a fix was made, as far as the sentence says: reckoned on or put in by hand, or simulated; 0 where
it was measured.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """One row a sentence, in the order of the file; every array has shape (n,), NaN where a sentence says nothing.

    ``seconds`` is the time of day [s], ``day`` the date in days since 1970-01-01, ``places`` the decimals of the
    position's minutes, ``altitude_m`` above mean sea level, ``separation_m`` that of the geoid above the ellipsoid.
    """

    line: IntArray
    kind: IntArray
    talker: IntArray
    verdict: SmallInts
    making: SmallInts
    places: SmallInts
    seconds: FloatArray
    day: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    altitude_m: FloatArray
    separation_m: FloatArray
    hdop: FloatArray
    speed_kt: FloatArray
    track_deg_true: FloatArray
    track_deg_mag: FloatArray

    def __len__(self) -> int:
        return len(self.line)

    def taken(self, rows: IntArray | BoolArray) -> Rows:
        """Some of the rows."""
        return Rows(*(getattr(self, column.name)[rows] for column in fields(Rows)))

    @property
    def is_position(self) -> BoolArray:
        """Which rows are of the types that carry a position."""
        is_position: BoolArray = (self.kind != VTG) & (self.kind != ZDA)
        return is_position


def joined_rows(parts: Sequence[Rows]) -> Rows:
    """The rows of several pieces, one after the other."""
    return Rows(*(np.concatenate([getattr(part, column.name) for part in parts]) for column in fields(Rows)))


@dataclass(slots=True)
class Unreadable:
    """The lines of sentences with a time, or another value, that is none."""

    times: LineTally = field(default_factory=LineTally)
    values: LineTally = field(default_factory=LineTally)


@dataclass(frozen=True, slots=True, eq=False)
class _Draft:
    """The rows of one type while they are filled, and which of them hold a text that is no value."""

    rows: Rows
    table: FieldTable
    bad_time: BoolArray
    bad_value: BoolArray


def rows_of(sentences: Sentences, unreadable: Unreadable) -> Rows:
    """The rows of the sentences of one piece."""
    count = len(sentences.line)
    small, missing = np.zeros(count, dtype=np.int8), np.full(count, np.nan)
    rows = Rows(
        line=sentences.line,
        kind=sentences.kind,
        talker=sentences.talker,
        verdict=small,
        making=small.copy(),
        places=small.copy(),
        seconds=missing,
        day=missing.copy(),
        lat_deg=missing.copy(),
        lon_deg=missing.copy(),
        altitude_m=missing.copy(),
        separation_m=missing.copy(),
        hdop=missing.copy(),
        speed_kt=missing.copy(),
        track_deg_true=missing.copy(),
        track_deg_mag=missing.copy(),
    )
    bad_time, bad_value = np.zeros(count, dtype=np.bool_), np.zeros(count, dtype=np.bool_)
    for kind, fill in _FILLS.items():
        at = np.flatnonzero(sentences.kind == kind)
        if not at.size:
            continue
        part = rows.taken(at)
        draft = _Draft(
            part, sentences.table.taken(at), np.zeros(at.size, dtype=np.bool_), np.zeros(at.size, dtype=np.bool_)
        )
        fill(draft)
        for column in fields(Rows)[3:]:
            getattr(rows, column.name)[at] = getattr(part, column.name)
        bad_time[at], bad_value[at] = draft.bad_time, draft.bad_value
    unreadable.times.add(sentences.line[bad_time])
    unreadable.values.add(sentences.line[bad_value])
    return rows


def _fill_rmc(draft: _Draft) -> None:
    rows = draft.rows
    _fill_time(draft, 1)
    _fill_position(draft, 3)
    rows.speed_kt[:] = _number(draft, 7)
    rows.track_deg_true[:] = _number(draft, 8)
    dates = short_dates(draft.table, 9)
    rows.day[:] = dates.days
    draft.bad_value[:] |= dates.is_unreadable
    _fill_status(draft, 2, 12)


def _fill_gga(draft: _Draft) -> None:
    rows = draft.rows
    _fill_time(draft, 1)
    _fill_position(draft, 2)
    quality = letters_of(draft.table, 6)
    is_figure = (quality >= ord("0")) & (quality <= ord("9"))
    rows.verdict[:] = np.where(quality == ord("0"), VOID, np.where(is_figure, FIX, UNSAID))
    rows.making[(quality == ord("6")) | (quality == ord("7"))] = RECKONED
    rows.making[quality == ord("8")] = SIMULATED
    draft.bad_value[:] |= ~is_figure & (quality != 0)
    rows.hdop[:] = _number(draft, 8)
    rows.altitude_m[:] = _number(draft, 9, unit=10, letter="M")
    rows.separation_m[:] = _number(draft, 11, unit=12, letter="M")


def _fill_gll(draft: _Draft) -> None:
    _fill_position(draft, 1)
    _fill_time(draft, 5)
    _fill_status(draft, 6, 7)


def _fill_gns(draft: _Draft) -> None:
    rows = draft.rows
    _fill_time(draft, 1)
    _fill_position(draft, 2)
    # A letter for each constellation: one that has a fix is enough.
    is_void, _some = has_only(draft.table, 6, b"N")
    for letters, making in ((b"NS", SIMULATED), (b"NEM", RECKONED)):
        every, some = has_only(draft.table, 6, letters)
        rows.making[every & some & ~is_void] = making
    given = letters_of(draft.table, 6) != 0
    rows.verdict[:] = np.where(is_void, VOID, np.where(given, FIX, UNSAID))
    rows.hdop[:] = _number(draft, 8)
    rows.altitude_m[:] = _number(draft, 9)
    rows.separation_m[:] = _number(draft, 10)


def _fill_vtg(draft: _Draft) -> None:
    rows = draft.rows
    rows.track_deg_true[:] = _number(draft, 1, unit=2, letter="T")
    rows.track_deg_mag[:] = _number(draft, 3, unit=4, letter="M")
    knots = _number(draft, 5, unit=6, letter="N")
    rows.speed_kt[:] = np.where(np.isnan(knots), _number(draft, 7, unit=8, letter="K") * KT_PER_KMH, knots)
    rows.verdict[letters_of(draft.table, 9) == ord("N")] = VOID


def _fill_zda(draft: _Draft) -> None:
    _fill_time(draft, 1)
    dates = long_dates(draft.table, 2)
    draft.rows.day[:] = dates.days
    draft.bad_value[:] |= dates.is_unreadable


_FILLS: Final = MappingProxyType[int, Callable[[_Draft], None]](
    {RMC: _fill_rmc, GGA: _fill_gga, GLL: _fill_gll, GNS: _fill_gns, VTG: _fill_vtg, ZDA: _fill_zda}
)


def _fill_time(draft: _Draft, number: int) -> None:
    times = times_of_day(draft.table, number)
    draft.rows.seconds[:] = times.seconds
    draft.bad_time[:] |= times.is_unreadable


def _fill_position(draft: _Draft, number: int) -> None:
    found = positions_of(draft.table, number)
    draft.rows.lat_deg[:], draft.rows.lon_deg[:] = found.lat_deg, found.lon_deg
    draft.rows.places[:] = found.places
    draft.bad_value[:] |= found.is_unreadable


def _fill_status(draft: _Draft, status_number: int, mode_number: int) -> None:
    """Status A or V, then the mode, which later editions added.

    A simulator says V with the mode S, as the standard asks of it: that is its fix. Without a fix the mode is N.
    """
    status, mode = letters_of(draft.table, status_number), letters_of(draft.table, mode_number)
    is_simulated = mode == ord("S")
    is_void = ((status == ord("V")) & ~is_simulated) | (mode == ord("N"))
    is_fix = (status == ord("A")) | is_simulated
    draft.rows.verdict[:] = np.where(is_void, VOID, np.where(is_fix, FIX, UNSAID))
    draft.rows.making[(mode == ord("E")) | (mode == ord("M"))] = RECKONED
    draft.rows.making[is_simulated] = SIMULATED
    draft.bad_value[:] |= (status != 0) & (status != ord("A")) & (status != ord("V"))


def _number(draft: _Draft, number: int, *, unit: int | None = None, letter: str = "") -> FloatArray:
    """The numbers of a field. Where its unit stands in a field of its own, it must be ``letter`` or not be said."""
    text = decimals_of(draft.table, number)
    values = text.values
    bad = text.is_unreadable
    if unit is not None:
        said: Characters = letters_of(draft.table, unit)
        is_other = text.is_number & (said != ord(letter)) & (said != 0)
        values = np.where(is_other, np.nan, values)
        bad = bad | is_other
    draft.bad_value[:] |= bad
    return values
