"""What an altitude whose heading leaves its unit or its kind open is taken for: by the columns beside it."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind, BarometricHeading, Channel
from legwise.tracks.altitude.pairs import compare
from legwise.tracks.headings.quantities import UNIT_WORDS, UNITS, Quantity
from legwise.tracks.headings.vocabulary import words_of
from legwise.tracks.table.columns import Choice, Column
from legwise.tracks.table.layout import Layout, cells_under
from legwise.tracks.table.rows import Rows
from legwise.tracks.wording import joined, shown
from legwise.units import M_PER_FT

_BAROMETRIC = frozenset({"baro", "barometric"})
_ALONE = frozenset({"alt", "altitude", "b"})
_CORRECTED = frozenset({"corrected", "corr", "set"})
_SETTING = frozenset({"baro", "qnh", "altimeter", "kollsman", "barometer", "setting"})
_SETTING_UNITS = frozenset({"inhg", "hg", "inch", "inches", "in", "hpa", "mb", "mbar"})
_SETTINGS = ((26.0, 33.0), (850.0, 1090.0))
"""Settings of an altimeter in inches of mercury and in hectopascals."""

_SI_SPEEDS = frozenset({"m/s", "km/h"})
_WINDOW_S = 20.0
_LEAST_FT = 50.0
_LEAST_WINDOWS = 8
_RATIO = 0.15
_EXPLAINED = 0.9
"""A climb is compared where so much was climbed in so long by the channel of vertical speed, so many times; the ratio
of the two is that of two units within so much of it. So is the change of one altitude over that of another which a
straight line explains so far. Our own choices, no published source."""


@dataclass(frozen=True, slots=True)
class Settled:
    """The columns with the units that were found, and notes on these."""

    choice: Choice
    notes: tuple[str, ...]


def settled_units(choice: Choice, rows: Rows, time_s: FloatArray) -> Settled:
    """``choice`` with metres as the unit of those altitudes that state none, where the columns beside tell so.

    First an altitude that states its unit decides, then a vertical speed that does, then the unit that all speeds
    state; what none of them decides is in feet, as the trade writes altitudes.
    """
    columns = dict(choice.columns)
    notes: list[str] = []
    for target, column in choice.columns.items():
        if column.quantity is Quantity.ALTITUDE and not column.unit_said and column.unit == "ft":
            why = _why_metres(choice, column, rows, time_s)
            if why:
                columns[target] = dataclasses.replace(column, unit="m", factor=UNITS[Quantity.ALTITUDE]["m"])
                notes.append(
                    f"{shown(column.heading)} is taken in metres: its heading says no unit, and {why} "
                    f'(where that is wrong, say it: unit = "ft" in [columns])'
                )
    if not notes:
        return Settled(choice, ())
    return Settled(dataclasses.replace(choice, columns=MappingProxyType(columns)), tuple(notes))


def _why_metres(choice: Choice, plain: Column, rows: Rows, time_s: FloatArray) -> str:
    """The reason for metres; empty where there is none, or where something speaks for feet."""
    figures = rows.numbers[plain.index]
    for other in choice.columns.values():
        if other.quantity is Quantity.ALTITUDE and other.unit_said and other.index != plain.index:
            found = compare(figures, rows.numbers[other.index] * other.factor)
            ratio = 1.0 + found.slope if found is not None else float("nan")
            if found is not None and found.explained >= _EXPLAINED and abs(ratio / M_PER_FT - 1.0) <= _RATIO:
                return f"it changes by {ratio:.2f} for each foot of {shown(other.heading)}, as metres do"
            if abs(ratio - 1.0) <= _RATIO:
                return ""
    climb = choice.get(Channel.VERTICAL_SPEED_FPM)
    if climb is not None and climb.unit_said:
        ratio = _climb_ratio(figures, rows.numbers[climb.index] * climb.factor, time_s)
        if abs(ratio / M_PER_FT - 1.0) <= _RATIO:
            return f"it climbs {ratio:.2f} times as many feet as {shown(climb.heading)} says, as metres do"
        if abs(ratio - 1.0) <= _RATIO:
            return ""
    speeds = [
        column
        for column in choice.columns.values()
        if column.quantity in (Quantity.GROUNDSPEED, Quantity.VERTICAL_SPEED) and column.unit_said
    ]
    if speeds and all(column.unit in _SI_SPEEDS for column in speeds):
        units = joined([f"{shown(column.heading)} is in {column.unit}" for column in speeds])
        return f"{units}, so that the log is a metric one"
    return ""


def _climb_ratio(figures: FloatArray, climb_fpm: FloatArray, time_s: FloatArray) -> float:
    """The change of the figures over what the vertical speed makes of the time [1/ft]; NaN where it isn't steady."""
    use = np.flatnonzero(np.isfinite(figures) & np.isfinite(climb_fpm) & np.isfinite(time_s))
    use = use[np.argsort(time_s[use], kind="stable")]
    if use.size < 2:
        return float("nan")
    times, heights = time_s[use], figures[use]
    steps_s = np.diff(times)
    # A gap tells nothing of what was climbed in it.
    steps_s = np.where(steps_s <= _WINDOW_S, steps_s, np.nan)
    means_fpm = (climb_fpm[use][1:] + climb_fpm[use][:-1]) / 2.0
    climbed_ft = np.concatenate([[0.0], np.cumsum(np.nan_to_num(means_fpm * steps_s / 60.0))])
    gaps = np.concatenate([[0], np.cumsum(np.isnan(steps_s))])
    last = np.searchsorted(times, times + _WINDOW_S)
    first = np.arange(len(times))[last < len(times)]
    last = last[last < len(times)]
    due_ft, made = climbed_ft[last] - climbed_ft[first], heights[last] - heights[first]
    good = (np.abs(due_ft) >= _LEAST_FT) & (gaps[last] == gaps[first])
    if np.count_nonzero(good) < _LEAST_WINDOWS:
        return float("nan")
    low, middle, top = np.percentile(made[good] / due_ft[good], (25.0, 50.0, 75.0))
    return float(middle) if top - low <= 2.0 * _RATIO * abs(middle) else float("nan")


def barometric_heading(choice: Choice, layout: Layout) -> BarometricHeading | None:
    """What the heading of the plain altitude says of pressure: "AltB", "Baro altitude", "Alt" above "ft Baro"."""
    column = choice.get(AltitudeKind.UNKNOWN)
    if column is None or column.index < 0:
        return None
    # Where tables with other headings follow, the column may stand in one of those.
    heading = column.heading
    words = frozenset(words_of(heading))
    every = words | set(words_of(column.statement))
    is_barometric = bool(every & _BAROMETRIC) or ("b" in words and words - UNIT_WORDS.keys() <= _ALONE)
    if not is_barometric:
        return None
    if every & _CORRECTED:
        return BarometricHeading(heading=heading, setting=heading)
    taken = {other.index for other in choice.columns.values()}
    settings = (
        layout.headings[index]
        for index in range(len(layout.headings))
        if index not in taken and _is_setting(layout, index)
    )
    return BarometricHeading(heading=heading, setting=next(settings, ""))


def _is_setting(layout: Layout, index: int) -> bool:
    """Whether a column holds settings of an altimeter, by its heading and its first figures."""
    words = set(words_of(layout.headings[index]))
    if not words & _SETTING or not (words | set(words_of(layout.units[index]))) & (_SETTING_UNITS | {"setting", "qnh"}):
        return False
    figures = [_figure(cell) for cell in cells_under(layout, index) if cell]
    return bool(figures) and any(all(low <= figure <= high for figure in figures) for low, high in _SETTINGS)


def _figure(cell: str) -> float:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        return float("nan")
