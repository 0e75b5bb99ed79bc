"""A flight between two aerodromes of the Tarn Islands, standing at both ends, with altitudes of closed form."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.model.lesson import Lesson, LessonFix

Logged = Callable[[FloatArray], FloatArray]
"""A channel out of the height in space above mean sea level, each second. [ft]"""

SECONDS = 1_000
STANDING = 90
HOME, AWAY = (46.20, -27.58, 46.0), (46.45, -27.26, 400.0)
"""Latitude, longitude [deg], elevation [ft]."""


def height_ft(top_ft: float = 5_000.0) -> FloatArray:
    """Height in space each second: standing, up at 1,000 ft a minute and a little uneven, level, down, standing."""
    second = np.arange(SECONDS, dtype=np.float64)
    flown = np.interp(second, [125, 400, 600, 875], [HOME[2], top_ft, top_ft, AWAY[2]])
    aloft = (second > 135) & (second < 865)
    return flown + np.where(aloft, 8.0 * np.sin(second / 3.1) + 5.0 * np.sin(second / 7.7), 0.0)


def log_of(channels: Mapping[str, Logged], *, first: int = 0, stop: int = SECONDS, top_ft: float = 5_000.0) -> str:
    """The CSV of the flight from one second to another, with these columns by their headings."""
    second, rolls = np.arange(SECONDS), STANDING + 30
    speed = np.interp(second, [STANDING, rolls, SECONDS - rolls, SECONDS - STANDING], [0.0, 1.0, 1.0, 0.0])
    along = np.cumsum(speed) / speed.sum()
    height = height_ft(top_ft)
    columns = {heading: channel(height) for heading, channel in channels.items()}
    start = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
    lines = [",".join(["Time UTC", "Latitude deg", "Longitude deg", *columns])]
    for row in range(first, stop):
        lat, lon = (HOME[axis] + (AWAY[axis] - HOME[axis]) * along[row] for axis in (0, 1))
        cells = [f"{values[row]:.2f}" for values in columns.values()]
        lines.append(
            ",".join([f"{start + dt.timedelta(seconds=row):%Y-%m-%dT%H:%M:%SZ}", f"{lat:.7f}", f"{lon:.7f}", *cells])
        )
    return "\n".join(lines) + "\n"


def lesson_of(**tables: object) -> Lesson:
    """A lesson that knows both aerodromes."""
    fixes = tuple(
        LessonFix(ident=ident, lat_deg=lat, lon_deg=lon, kind="airport", elevation_ft=elevation)
        for ident, (lat, lon, elevation) in (("XTBN", HOME), ("XSKH", AWAY))
    )
    return Lesson.model_validate({"fix": fixes, **tables})
