"""Straight lines at steady speed fitted to the positions before and after steps, and how far apart these lines are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.sphere import size_nm
from legwise.units import S_PER_H

_POINTS = 8
LEAST_SAMPLES = 4
"""As many samples of each side are fitted at most, and at least, spread evenly."""


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """Steps in a track of m positions, arrays of shape (s,): from sample ``before`` to ``after``, and what was fitted.

    ``is_fitted`` is false where one side has too few samples; there ``offset_nm`` (s, 3) is the whole step, and speeds
    are 0. Else it is how far the line after is off the one before in the middle of the step, ``scatter_nm`` the larger
    root mean square of the residuals, ``length_nm`` the shorter line, ``velocity_nmps`` (2, s, 3) those of both sides.
    """

    before: IntArray
    after: IntArray
    is_fitted: BoolArray
    offset_nm: FloatArray
    scatter_nm: FloatArray
    length_nm: FloatArray
    velocity_nmps: FloatArray

    @property
    def speed_kt(self) -> FloatArray:
        """The larger speed of both sides."""
        return np.asarray(size_nm(self.velocity_nmps).max(axis=0) * S_PER_H)

    @property
    def slower_kt(self) -> FloatArray:
        """The smaller speed of both sides."""
        return np.asarray(size_nm(self.velocity_nmps).min(axis=0) * S_PER_H)


def fitted_steps(
    clock_s: FloatArray, points: FloatArray, before: IntArray, after: IntArray, bounds: tuple[IntArray, IntArray]
) -> Steps:
    """Fit both sides of the steps from ``before`` to ``after``, from the first to the last sample in ``bounds``."""
    low, high = bounds
    middle = (clock_s[before] + clock_s[after]) / 2.0
    left = _fit(clock_s, points, low, before, middle)
    right = _fit(clock_s, points, after, high, middle)
    is_fitted: BoolArray = (before - low + 1 >= LEAST_SAMPLES) & (high - after + 1 >= LEAST_SAMPLES)
    with_fit = is_fitted[:, None]
    whole = points[after] - points[before]
    return Steps(
        before=before,
        after=after,
        is_fitted=is_fitted,
        offset_nm=np.where(with_fit, right[0] - left[0], whole),
        scatter_nm=np.where(is_fitted, np.maximum(left[2], right[2]), 0.0),
        length_nm=np.minimum(size_nm(points[before] - points[low]), size_nm(points[high] - points[after])),
        velocity_nmps=np.where(with_fit, np.stack([left[1], right[1]]), 0.0),
    )


def _fit(
    clock_s: FloatArray, points: FloatArray, first: IntArray, last: IntArray, at_s: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Position at a time (s, 3), velocity (s, 3) and scatter (s,) of the line through samples ``first`` to ``last``."""
    share = np.linspace(0.0, 1.0, _POINTS)
    rows = np.rint(first[:, None] + (last - first)[:, None] * share).astype(np.int64)
    seconds = clock_s[rows] - at_s[:, None]
    places = points[rows]
    mean_s, mean = seconds.mean(axis=1), places.mean(axis=1)
    off_s = seconds - mean_s[:, None]
    spread = np.maximum((off_s**2).sum(axis=1), 1e-9)
    velocity = (off_s[:, :, None] * (places - mean[:, None, :])).sum(axis=1) / spread[:, None]
    residual = places - mean[:, None, :] - velocity[:, None, :] * off_s[:, :, None]
    scatter = np.sqrt((residual**2).sum(axis=(1, 2)) / (_POINTS - 2))
    return mean - velocity * mean_s[:, None], velocity, scatter
