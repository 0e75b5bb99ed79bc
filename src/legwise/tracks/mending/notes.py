"""What a mended log can't tell by its nature, in words: it begins in flight, or its positions have no noise."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import Motion, Samples
from legwise.tracks.sphere import on_sphere, size_nm
from legwise.tracks.wording import clock
from legwise.units import M_PER_NM

# Common practice, no published source.
_FLYING_KT = 50.0
_FIRST_S = 5.0

_STEP_S = 1.0
_SMOOTH_M = 0.02
_SMOOTH_DIGITS = 4.0
_FINE_M = 0.2
_SMOOTH_SHARE = 0.9
_SMOOTH_LEAST_S = 300.0
_SMOOTH_LEAST = 200
"""Positions given to 0.2 m or finer of which nine tenths lie within 2 cm, or four times their last digit, of where a
steady turn or a straight line leads in a second, over five minutes of flight and 200 samples: air is never so still.
"""

_LAST_DIGITS = (5, 6, 7, 8)
_M_PER_DEG = 60.0 * M_PER_NM


def late_start_note(samples: Samples, motion: Motion) -> tuple[str, ...]:
    """That the log begins in flight, where it does."""
    first = motion.groundspeed_kt[samples.time_s <= samples.time_s[0] + _FIRST_S]
    first = first[np.isfinite(first)]
    if not first.size or float(np.median(first)) < _FLYING_KT:
        return ()
    speed = f"{np.median(first):.0f} kt"
    when = clock(float(samples.time_s[0]))
    return (f"the log begins at {when}, the aircraft moving at {speed}: what was before, a take-off too, is not in it",)


def smoothness_note(samples: Samples, motion: Motion, held: BoolArray | None, gap_s: float) -> tuple[str, ...]:
    """That the positions have no noise, where that is certain."""
    interval_s = float(np.median(np.diff(samples.time_s)))
    rows = slice(None, None, max(1, round(_STEP_S / interval_s)))
    time_s = samples.time_s[rows]
    if interval_s > gap_s or len(time_s) < _SMOOTH_LEAST:
        return ()
    seconds = np.diff(time_s)
    even = np.abs(seconds - np.median(seconds)) <= 1e-3
    flown = motion.groundspeed_kt[rows] > _FLYING_KT
    if held is not None:
        flown &= ~held[rows]
    usable = even[:-2] & even[1:-1] & even[2:] & flown[:-3] & flown[3:]
    if np.count_nonzero(usable) < _SMOOTH_LEAST or float(seconds[np.flatnonzero(usable)].sum()) < _SMOOTH_LEAST_S:
        return ()
    digit_m = _last_digit_m(samples.lat_deg, samples.lon_deg)
    if digit_m > _FINE_M:
        return ()
    off_m = _off_steady_m(on_sphere(samples.lat_deg[rows], samples.lon_deg[rows]))[usable]
    if float(np.mean(off_m <= max(_SMOOTH_M, _SMOOTH_DIGITS * digit_m))) < _SMOOTH_SHARE:
        return ()
    return ("positions without any noise: a simulator or a made-up track; measures of steadiness do not apply",)


def _last_digit_m(lat_deg: FloatArray, lon_deg: FloatArray) -> float:
    """The last digit that positions are given to. [m]"""
    some = slice(None, None, max(1, len(lat_deg) // 1000))
    for digits in _LAST_DIGITS:
        if all(np.abs(np.round(values[some], digits) - values[some]).max() < 1e-10 for values in (lat_deg, lon_deg)):
            return float(_M_PER_DEG * 10.0**-digits)
    return 0.0


def _off_steady_m(points: FloatArray) -> FloatArray:
    """How far each position is from where the three before lead, at their speed and in their turn; shape (n - 3,).

    Steps of a steady turn are turned and stretched evenly: the third follows from the first two.
    """
    step = np.diff(points, axis=0) * M_PER_NM
    length = np.maximum(size_nm(step), 1e-9)
    # In the plane of the steps, the second over the first as a complex number leads from the second to the third.
    up = points[1:-2] / np.maximum(size_nm(points[1:-2]), 1e-9)[:, None]
    one, two, three = step[:-2], step[1:-1], step[2:]
    along = np.einsum("ij,ij->i", one, two) / length[:-2] ** 2
    across = np.einsum("ij,ij->i", np.cross(up, one), two) / length[:-2] ** 2
    expected = along[:, None] * two + across[:, None] * np.cross(up, two)
    return size_nm(three - expected)
