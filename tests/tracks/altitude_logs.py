"""A flight in the Tarn Islands with altitudes of closed form: what space, pressure and altimeter have each second."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np

from legwise.model.arrays import FloatArray

START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
FEET_PER_METRE = 1.0 / 0.3048


def climb(top_ft: float = 5_000.0, *, foot_ft: float = 60.0, seconds: int = 1_800, seed: int = 7) -> FloatArray:
    """Height each second: up at about 610 ft a minute, level, down; never as even as worked out, never quite level."""
    shape = np.interp(np.linspace(0.0, 1.0, seconds), [0.0, 0.05, 0.35, 0.65, 0.95, 1.0], [0, 0, 1, 1, 0, 0])
    rng = np.random.default_rng(seed)
    wander = np.convolve(rng.normal(0.0, 60.0, seconds + 40), np.ones(41) / 41.0, mode="valid")
    height: FloatArray = foot_ft + (top_ft - foot_ft) * shape + wander
    return height


def rounded(values: FloatArray, step: float) -> FloatArray:
    """To the nearest multiple of a step."""
    nearest: FloatArray = np.round(values / step) * step
    return nearest


def log_with(columns: Mapping[str, FloatArray], *, decimals: int = 2, step_s: float = 1.0) -> str:
    """A CSV of a flight to the north-east at 110 kt, with these columns by their headings; NaN is an empty cell."""
    count = len(next(iter(columns.values())))
    lines = [",".join(["Time UTC", "Latitude deg", "Longitude deg", *columns])]
    for row in range(count):
        time = START + dt.timedelta(seconds=row * step_s)
        lat, lon = 46.2 + 3.6e-4 * row * step_s, -27.6 + 5.2e-4 * row * step_s
        cells = ["" if np.isnan(values[row]) else f"{values[row]:.{decimals}f}" for values in columns.values()]
        lines.append(
            ",".join([f"{time:%Y-%m-%dT%H:%M:%S}.{time.microsecond:06d}Z", f"{lat:.7f}", f"{lon:.7f}", *cells])
        )
    return "\n".join(lines) + "\n"
