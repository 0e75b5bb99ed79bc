"""What a log says of its aircraft: how fast it flies, and where its ground is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import FloatArray, IntArray
from legwise.model.track import Samples
from legwise.units import S_PER_H, S_PER_MIN

# Common practice, no published source.
FLYING_PART = 0.6
_FLYING_LEAST_KT, _FLYING_MOST_KT = 12.0, 50.0
_TELLING_FT = 300.0
"""Altitudes tell nothing where they differ by less than 300 ft over the log."""

_SIDE_S = S_PER_MIN


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Craft:
    """What the log says of the aircraft: its usual, its flying and its fastest speed, and its altitudes.

    ``flying_kt`` is what it flies faster than and taxis slower than: six tenths of the usual speed, and no more than
    50 kt. ``altitude_ft`` is of whatever kind was recorded most (shape (n,)), None where it tells nothing;
    ``low_ft`` about its lowest, and ``ground_ft`` where it stood or taxied when the log began and when it ended.
    """

    usual_kt: float
    flying_kt: float
    fastest_kt: float
    altitude_ft: FloatArray | None
    low_ft: float
    ground_ft: tuple[float, ...]


def craft_of(samples: Samples, speed_kt: FloatArray) -> Craft:
    """The aircraft of a mended track."""
    moving = speed_kt[speed_kt > 5.0]
    usual, fastest = np.percentile(moving, [80.0, 98.0]).tolist() if moving.size else (0.0, 0.0)
    altitude, low = None, np.nan
    if samples.altitudes_ft:
        fullest = max(samples.altitudes_ft.values(), key=lambda values: int(np.count_nonzero(np.isfinite(values))))
        known = fullest[np.isfinite(fullest)]
        if known.size:
            low, high = np.percentile(known, [2.0, 98.0]).tolist()
            altitude = fullest if high - low >= _TELLING_FT else None
    flying = min(max(FLYING_PART * usual, _FLYING_LEAST_KT), _FLYING_MOST_KT)
    return Craft(
        usual_kt=usual,
        flying_kt=flying,
        fastest_kt=fastest,
        altitude_ft=altitude,
        low_ft=low,
        ground_ft=() if altitude is None else _ground_levels(samples, altitude, flying),
    )


def _ground_levels(samples: Samples, altitude_ft: FloatArray, flying_kt: float) -> tuple[float, ...]:
    """The altitudes of the first and the last minute of the log, where the aircraft was too slow in it to fly."""
    time_s = samples.time_s
    after = min(int(np.searchsorted(time_s, time_s[0] + _SIDE_S)), len(time_s) - 1)
    before = max(int(np.searchsorted(time_s, time_s[-1] - _SIDE_S, side="right")) - 1, 0)
    levels: list[float] = []
    for first, last in ((0, after), (before, len(time_s) - 1)):
        moved_nm = float(near_nm(samples, np.array([first]), np.array([last]))[0])
        known = altitude_ft[first : last + 1][np.isfinite(altitude_ft[first : last + 1])]
        if known.size and moved_nm * S_PER_H < flying_kt * float(time_s[last] - time_s[first]):
            levels.append(float(np.median(known)))
    return tuple(levels)


def near_nm(samples: Samples, here: IntArray, there: IntArray) -> FloatArray:
    """Distances on a plane: right for what is near, and large for what is not. [NM]"""
    lat, lon = samples.lat_deg, samples.lon_deg
    east = (lon[there] - lon[here] + 180.0) % 360.0 - 180.0
    near: FloatArray = 60.0 * np.hypot(lat[there] - lat[here], east * np.cos(np.radians(lat[here])))
    return near
