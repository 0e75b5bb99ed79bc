"""Two altitudes of one log held against each other: the same figures twice, or how far apart and how that changes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import FloatArray, IntArray
from legwise.units import FT_PER_M, M_PER_FT

# These bounds are our own choices, no published source, where nothing else is said.
LEAST_SAMPLES = 30
LEAST_CLIMB_FT = 100.0
"""Two altitudes are compared over so many samples and so much height at least."""

_MOST_SAMPLES = 20_000
"""Of more, every so many-th is looked at: a difference over heights needs no more."""

_BANDS = 20
"""Heights are taken by so many bands, each of which counts the same however long was flown in it."""

_SAME_FT = 1.0
_SAME_MOST_FT = 15.0
"""The same figures differ by half of what each is rounded to and a foot, and never by more than this."""

_WARMED_FT = 100.0
_EXPLAINED = 0.5
_STEEPEST = 0.16
"""An altitude by pressure parts from GNSS height as the climb goes on: by 3.5 % of the height for each 10 °C that the
air differs from standard, here up to 45 °C. It is told by twice what GNSS height may be off (15 m, 95 %), over the
heights flown, where height explains half of the difference."""

STEADY_FT = 10.0
"""What changes by less, and scatters by less, is the same all through."""

GEOID_M = (-107.0, 86.0)
"""Mean sea level above the ellipsoid, least and most (EGM96)."""
_LEAST_GEOID_M = 10.0

_RATIO = 0.02
"""How far a ratio may be from that of two units, in parts of it."""
_HIGH_FT = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One altitude less another over the heights of the other.

    ``low_ft`` and ``high_ft`` are the lowest and highest heights, ``at_low_ft`` and ``at_high_ft`` the difference
    there by a straight line, ``typical_ft`` its median. ``scatter_ft`` is what stays about the line (standard
    deviation), ``explained`` the part of the variance between the bands that the line explains. ``are_same`` where the
    figures agree within what they are rounded to. ``ratio`` is the one over the other, NaN where it isn't steady.
    """

    low_ft: float
    high_ft: float
    at_low_ft: float
    at_high_ft: float
    typical_ft: float
    scatter_ft: float
    explained: float
    are_same: bool
    ratio: float

    @property
    def slope(self) -> float:
        """The change of the difference over the change of the height."""
        return (self.at_high_ft - self.at_low_ft) / (self.high_ft - self.low_ft)

    @property
    def is_warmed(self) -> bool:
        """Whether the difference goes with the height, as between pressure and GNSS height in air that isn't standard.

        Two heights in space differ by the same everywhere.
        """
        change_ft = abs(self.at_high_ft - self.at_low_ft)
        return change_ft >= _WARMED_FT and abs(self.slope) <= _STEEPEST and self.explained >= _EXPLAINED

    @property
    def is_steady(self) -> bool:
        """Whether the difference is the same all through."""
        return abs(self.at_high_ft - self.at_low_ft) <= STEADY_FT and self.scatter_ft <= STEADY_FT

    @property
    def is_as_the_geoid(self) -> bool:
        """Whether it is a steady difference such as there is between the ellipsoid and mean sea level."""
        metres = self.typical_ft * M_PER_FT
        either_way = GEOID_M[0] <= metres <= GEOID_M[1] or GEOID_M[0] <= -metres <= GEOID_M[1]
        return self.is_steady and abs(metres) >= _LEAST_GEOID_M and either_way

    @property
    def is_of_another_unit(self) -> bool:
        """Whether the one is to the other as figures in metres are to figures in feet, either way."""
        return any(abs(self.ratio / ratio - 1.0) <= _RATIO for ratio in (M_PER_FT, FT_PER_M))


def compare(one: FloatArray, other: FloatArray) -> Comparison | None:
    """``one`` less ``other`` [ft], NaN where none; None where too little can be compared."""
    both = np.flatnonzero(np.isfinite(one) & np.isfinite(other))
    if len(both) < LEAST_SAMPLES:
        return None
    both = both[:: max(1, len(both) // _MOST_SAMPLES)]
    first, second = one[both], other[both]
    usual = np.percentile(second, (0.5, 99.5))
    if np.ptp(usual) < LEAST_CLIMB_FT:
        return None
    inside = (second >= usual[0]) & (second <= usual[1])
    first, second = first[inside], second[inside]
    # Between the ends there may be no height at all: a level flight with one value that is far off.
    if np.ptp(second) < LEAST_CLIMB_FT:
        return None
    difference = first - second
    height, middle = _bands(second, difference)
    slope, at_mean, explained = _line(height, middle)
    left = difference - at_mean - slope * (second - height.mean())
    same_ft = min(_SAME_FT + (_rounded_to_ft(first) + _rounded_to_ft(second)) / 2.0, _SAME_MOST_FT)
    return Comparison(
        low_ft=float(height[0]),
        high_ft=float(height[-1]),
        at_low_ft=at_mean + slope * float(height[0] - height.mean()),
        at_high_ft=at_mean + slope * float(height[-1] - height.mean()),
        typical_ft=float(np.median(difference)),
        scatter_ft=1.4826 * float(np.median(np.abs(left))),
        explained=explained,
        are_same=bool(np.percentile(np.abs(difference), 98.0) <= same_ft),
        ratio=_ratio(first, second),
    )


def _bands(height_ft: FloatArray, difference_ft: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Mean height and median difference of each band that was flown in, from the lowest up."""
    lowest, span = float(height_ft.min()), float(np.ptp(height_ft))
    band: IntArray = np.minimum((height_ft - lowest) / span * _BANDS, _BANDS - 1).astype(np.int64)
    order = np.argsort(band, kind="stable")
    cuts = np.searchsorted(band[order], np.arange(1, _BANDS))
    rows = [part for part in np.split(order, cuts) if part.size]
    heights = np.array([float(height_ft[part].mean()) for part in rows])
    return heights, np.array([float(np.median(difference_ft[part])) for part in rows])


def _line(height_ft: FloatArray, difference_ft: FloatArray) -> tuple[float, float, float]:
    """Slope over height, difference at the mean height, and the part of the variance that the line explains."""
    height, at_mean = height_ft - height_ft.mean(), float(difference_ft.mean())
    difference = difference_ft - at_mean
    slope = float(np.dot(height, difference) / np.dot(height, height))
    left, before = float(np.sum((difference - slope * height) ** 2)), float(np.sum(difference**2))
    return slope, at_mean, 1.0 - left / before if before > 0.0 else 0.0


def _rounded_to_ft(values: FloatArray) -> float:
    """The least step between two values."""
    steps = np.diff(np.unique(values))
    steps = steps[steps > 1e-3]
    return float(steps.min()) if steps.size else 0.0


def _ratio(first: FloatArray, second: FloatArray) -> float:
    """The median ratio of two altitudes where both are well above the sea, NaN where it isn't steady."""
    high = (first > _HIGH_FT) & (second > _HIGH_FT)
    if np.count_nonzero(high) < LEAST_SAMPLES:
        return float("nan")
    low, middle, top = np.percentile(first[high] / second[high], (5.0, 50.0, 95.0))
    return float(middle) if top - low <= 2.0 * _RATIO * middle else float("nan")
