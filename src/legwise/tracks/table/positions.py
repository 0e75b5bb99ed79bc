"""Latitudes and longitudes as numbers to degrees: in which form they are written, and on which hemispheres they are."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from legwise.errors import TrackFormatError
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.headings.beside import LETTERS, heading_side, hemisphere_letter
from legwise.tracks.headings.quantities import MILLIONTHS, MINUTES, SECONDS, TEN_MILLIONTHS, Quantity
from legwise.tracks.table.columns import Column, columns_line, key_of, table_line
from legwise.tracks.table.position_parts import is_whole, with_parts
from legwise.tracks.values.angles import TextArray
from legwise.tracks.values.numbers import normal_longitudes
from legwise.tracks.wording import joined, places, shown

_LIMIT_DEG = {Quantity.LATITUDE: 90.0, Quantity.LONGITUDE: 180.0}
_MOST = 0.9
"""A form is that of nearly all of the positions; a few damaged ones don't decide."""

_PER_DEGREE = {TEN_MILLIONTHS: 1e7, MILLIONTHS: 1e6}
_FORM_NOTES = {
    MINUTES: "positions are degrees and minutes in one number (ddmm.mmmm), as hemispheres and sizes tell",
    SECONDS: "positions are degrees, minutes and seconds in one number (ddmmss), as hemispheres and sizes tell",
    TEN_MILLIONTHS: "positions are whole ten-millionths of a degree, as their sizes tell",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Axis:
    """One column of positions as read: numbers (minutes taken in where marks part them), which of them a letter gave
    the sign and which have minutes (None: none), the cells of a column of hemispheres and its heading; minutes, and
    seconds, in columns of their own and the headings of these.
    """

    column: Column
    values: FloatArray
    lettered: BoolArray | None = None
    has_minutes: BoolArray | None = None
    sides: TextArray | None = None
    side_heading: str = ""
    parts: tuple[FloatArray, ...] = ()
    part_headings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Positions:
    """Degrees, north and east positive, longitude in [-180, 180); NaN: none. What was found, in words."""

    lat_deg: FloatArray
    lon_deg: FloatArray
    notes: tuple[str, ...]
    faults: tuple[Fault, ...]


def positions_of(lat: Axis, lon: Axis, line: IntArray, where: str) -> Positions:
    """The positions of a log.

    Parts of a degree and degrees with minutes in one number (ddmm.mmmm) are read where heading, hemisphere or size
    leave no doubt. Raises :class:`TrackFormatError` where they can't be degrees and nothing says what they are.
    """
    was_known = [np.isfinite(axis.values) for axis in (lat, lon)]
    lat, lon, notes, faults = _with_parts(lat, lon, where)
    unit = _form(lat, lon, where)
    notes += [_FORM_NOTES[unit]] if unit in _FORM_NOTES else []
    lost = np.zeros(len(line), dtype=bool)
    degrees: list[FloatArray] = []
    for axis, known in zip((lat, lon), was_known, strict=True):
        values, told = _on_its_side(axis, _in_degrees(axis, unit or axis.column.unit), where)
        lost |= known & np.isnan(values)
        notes += told
        degrees.append(values)
    if lost.any():
        detail = f"no position that can be read, for its minutes or its hemisphere, in {places(line[lost].tolist())}"
        faults.append(Fault(kind="unreadable-value", count=int(lost.sum()), detail=f"{detail}; taken as not recorded"))
    return Positions(
        lat_deg=degrees[0], lon_deg=normal_longitudes(degrees[1]), notes=tuple(notes), faults=tuple(faults)
    )


def _with_parts(lat: Axis, lon: Axis, where: str) -> tuple[Axis, Axis, list[str], list[Fault]]:
    """The axes with minutes and seconds from columns of their own taken in; notes and faults of these."""
    notes: list[str] = []
    faults: list[Fault] = []
    axes: list[Axis] = []
    for axis, other in ((lat, lon), (lon, lat)):
        named = joined([shown(heading) for heading in axis.part_headings])
        if not axis.parts:
            axes.append(axis)
        elif axis.column.unit != "deg" or not (is_whole(axis.values) or not np.isfinite(axis.values).any()):
            axes.append(axis)
            detail = f"{shown(axis.column.heading)} tells more than whole degrees; {named} is not read"
            faults.append(Fault(kind="ignored-column", count=1, detail=detail))
        elif not other.parts and is_whole(other.values):
            raise TrackFormatError(
                f"{named} tells the minutes of the {axis.column.quantity.value}, but no heading those of "
                f"{shown(other.column.heading)}, which holds whole degrees only",
                where=where,
                remedy=f"Give the column a heading such as {shown(f'{other.column.quantity.value} minutes')}.",
            )
        else:
            values = with_parts(axis.values, axis.parts)
            axes.append(dataclasses.replace(axis, values=values, has_minutes=np.ones(len(values), dtype=bool)))
            notes.append(f"{named} is added to the degrees of {shown(axis.column.heading)}")
    return axes[0], axes[1], notes, faults


def _form(lat: Axis, lon: Axis, where: str) -> str:
    """The form that hemispheres and sizes tell; empty where the columns are in the unit that is said or usual."""
    plain = [_plain(axis) for axis in (lat, lon)]
    if (lat.column.unit, lon.column.unit) != ("deg", "deg") or not all(size.size for size in plain):
        return ""
    limits = [_LIMIT_DEG[axis.column.quantity] for axis in (lat, lon)]
    is_beyond = [_mostly(size > limit) for size, limit in zip(plain, limits, strict=True)]
    if any(is_beyond) and _has_sides(lat) and _has_sides(lon):
        return next((form for form, fits in _IN_ONE.items() if all(map(fits, plain, limits))), "")
    if not all(_mostly(size > _LIMIT_DEG[Quantity.LONGITUDE]) for size in plain):
        if is_beyond == [False, True] and all(_mostly(size == np.round(size)) for size in plain):
            raise _cut_at_commas(lat, lon, where)
        return ""
    if all(map(_IN_ONE[MINUTES], plain, limits)):
        raise _unsaid(lat, lon, where, "look like degrees and minutes in one number (ddmm.mmmm)", [MINUTES])
    fitting = [unit for unit, per_degree in _PER_DEGREE.items() if _whole_parts_fit(plain, limits, per_degree)]
    if fitting == [TEN_MILLIONTHS]:
        return TEN_MILLIONTHS
    if fitting:
        raise _unsaid(lat, lon, where, "look like whole parts of a degree", fitting)
    return ""


def _plain(axis: Axis) -> FloatArray:
    """The sizes of the numbers that stand alone, but for zeros: some recorders write them without a fix."""
    is_plain = np.isfinite(axis.values) & (axis.values != 0.0)
    if axis.has_minutes is not None:
        is_plain &= ~axis.has_minutes
    sizes: FloatArray = np.abs(axis.values[is_plain])
    return sizes


def _mostly(flags: BoolArray) -> bool:
    return float(np.mean(flags)) >= _MOST


def _minutes_fit(size: FloatArray, limit: float) -> bool:
    return _mostly((size % 100.0 < 60.0) & (size // 100.0 <= limit))


def _seconds_fit(size: FloatArray, limit: float) -> bool:
    return _mostly((size % 100.0 < 60.0) & (size // 100.0 % 100.0 < 60.0) & (size // 10_000.0 <= limit))


def _whole_parts_fit(plain: list[FloatArray], limits: list[float], per_degree: float) -> bool:
    return all(
        _mostly((size <= limit * per_degree) & (size == np.round(size)))
        for size, limit in zip(plain, limits, strict=True)
    )


_IN_ONE: dict[str, Callable[[FloatArray, float], bool]] = {MINUTES: _minutes_fit, SECONDS: _seconds_fit}


def _has_sides(axis: Axis) -> bool:
    """Whether a letter, in the cell or in its own column, tells the hemisphere of nearly all positions."""
    known = np.isfinite(axis.values)
    lettered = np.zeros(len(known), dtype=bool) if axis.lettered is None else axis.lettered
    if axis.sides is not None:
        lettered = lettered | (axis.sides != "")
    return bool(known.any()) and _mostly(lettered[known])


def _cut_at_commas(lat: Axis, lon: Axis, where: str) -> TrackFormatError:
    return TrackFormatError(
        f"{shown(lat.column.heading)} holds whole degrees only, and {shown(lon.column.heading)} no longitudes",
        where=where,
        remedy="Is the separator also the decimal comma? Export with another separator.",
    )


def _unsaid(lat: Axis, lon: Axis, where: str, words: str, units: list[str]) -> TrackFormatError:
    value = lat.values[np.isfinite(lat.values)][0]
    lines = [
        ", ".join(table_line(key_of(axis.column.quantity), axis.column.heading, unit) for axis in (lat, lon))
        for unit in units
    ]
    return TrackFormatError(
        f"{shown(lat.column.heading)} and {shown(lon.column.heading)} can't be degrees ({value:.10g}); they {words}",
        where=where,
        remedy=f"Say it in [columns]: {joined(lines, 'or')}.",
    )


def _in_degrees(axis: Axis, unit: str) -> FloatArray:
    """The numbers as degrees; those with minutes are."""
    values = axis.values
    if unit in (MINUTES, SECONDS):
        size = np.abs(values)
        parts = (size // 100.0, size % 100.0, np.zeros(len(size)))
        if unit == SECONDS:
            parts = (size // 10_000.0, size // 100.0 % 100.0, size % 100.0)
        whole, minutes, seconds = parts
        good = (minutes < 60.0) & (seconds < 60.0)
        degrees = np.where(good, np.copysign(whole + minutes / 60.0 + seconds / 3600.0, values), np.nan)
    elif unit in _PER_DEGREE:
        degrees = values / _PER_DEGREE[unit]
    else:
        degrees = values * axis.column.factor
    return degrees if axis.has_minutes is None else np.where(axis.has_minutes, values, degrees)


def _by_its_heading(axis: Axis, degrees: FloatArray, where: str) -> tuple[FloatArray, list[str]]:
    """The degrees with the sign of the hemisphere that the heading names: "Longitude W" counts to the west.

    Raises :class:`TrackFormatError` where some have a minus too and nobody said that this is the column.
    """
    column = axis.column
    side = heading_side(column.statement, column.quantity)
    bare = np.isfinite(degrees) & (degrees != 0.0)
    if axis.lettered is not None:
        bare &= ~axis.lettered
    if not side or not bare.any():
        return degrees, []
    word, positive = _SIDE_WORDS[side]
    named = shown(column.heading)
    if not (degrees[bare] < 0.0).any():
        signed = np.where(bare, -degrees, degrees)
        return signed, [f"{named} counts to the {word}; the {column.quantity.value} is read as negative"]
    if column.said:
        return degrees, [f"{named} holds negative numbers; it is read with its signs, {positive} positive"]
    raise TrackFormatError(
        f"{named} names the {word}, but holds negative numbers: which side they are on can't be told",
        where=where,
        remedy=(
            f"If {word} is negative in it, say so in [columns]: {columns_line(key_of(column.target), column.heading)}."
        ),
    )


_SIDE_WORDS = {"s": ("south", "north"), "w": ("west", "east")}


def _on_its_side(axis: Axis, degrees: FloatArray, where: str) -> tuple[FloatArray, list[str]]:
    """The degrees with the sign of the hemisphere that a column of its own names, or its heading. A contradiction is
    none.
    """
    if axis.sides is None:
        return _by_its_heading(axis, degrees, where)
    quantity = axis.column.quantity
    known = {text: LETTERS[quantity].get(hemisphere_letter(text), np.nan) for text in set(axis.sides.tolist())}
    if not any(np.isfinite(sign) for sign in known.values()):
        return degrees, [
            f"{shown(axis.side_heading)} names no hemisphere; the {quantity.value} is read as it is written"
        ]
    sign = np.array([known[text] for text in axis.sides.tolist()], dtype=np.float64)
    if axis.lettered is not None:
        sign = np.where(axis.lettered, np.copysign(1.0, degrees), sign)
    sided = np.where((degrees < 0.0) & (sign > 0.0), np.nan, np.abs(degrees) * sign)
    # Zeros are on no side; some recorders write them, and no letter, without a fix.
    sided = np.where(degrees == 0.0, degrees, sided)
    return sided, [f"{shown(axis.side_heading)} tells the hemisphere of the {quantity.value}"]
