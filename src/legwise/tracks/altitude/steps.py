"""The steps of an altitude: transponders send pressure altitude by 25 ft or by 100 ft, and hardly anything else does.

By 25 ft: the altitude codes of Mode S with the Q bit set, and those of ADS-B up to 50,175 ft (ICAO Annex 10 Volume IV,
3.1.2.6.5.4; RTCA DO-260B, 2.2.3.2.3.4.3: both from memory). By 100 ft: Mode C (14 CFR 91.215 (b)). Either is pressure
altitude on 29.92 inHg, whatever the altimeter is set to (14 CFR 91.217 (a)(2); AIM 4-1-20).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.units import FT_PER_M, M_PER_FT

FINE_FT, COARSE_FT = 25.0, 100.0

# The rest are our own choices, tried on recordings; no published source.
_LEAST_LEVELS: Final = {FINE_FT: 20, COARSE_FT: 12}
"""So many different steps must have been reached: 500 ft of them, or 1,200 ft."""

_ON_GRID = 0.4
"""The part of all values that lies on the steps: a receiver's software puts values between them, by smoothing."""

_OVER_OTHERS = 2.0
"""How many times the values on the steps outnumber those at any other place between two: a level flight has many
values about one altitude, and figures rounded to 5 or 10 ft have as many elsewhere."""

_ODD = (0.25, 0.75)
"""The part of the levels that are odd multiples: without them the steps are twice as high, or half."""

_UNEVEN = 0.2
"""Changes of the climb for each step. A climb worked out with a step for each record has next to none;
nor has one flown at just one or two steps a record (1,500 ft a minute, once a second), which is left unknown too."""

_SINGLE = 0.5
"""Of steps of 100 ft the part that are one step: a table by hand goes from level to level."""


def step_ft(altitude_ft: FloatArray) -> float | None:
    """25 or 100 where an altitude (in the order of time, NaN where none) goes in such steps, else None.

    None too where too little was climbed to tell.
    """
    values = altitude_ft[np.isfinite(altitude_ft)]
    if len(values) < _LEAST_LEVELS[COARSE_FT]:
        return None
    slack_ft = _slack_ft(values)
    for step in (FINE_FT, COARSE_FT):
        if _goes_by(step, values, slack_ft):
            return step
    return None


def _slack_ft(values: FloatArray) -> float:
    """Half of what the figures are rounded to: whole metres, tenths of a metre, else feet."""
    metres = values * M_PER_FT
    if _are_whole(values):
        return 0.1
    if _are_whole(metres):
        return 0.5 * FT_PER_M + 0.01
    return 0.05 * FT_PER_M + 0.01 if _are_whole(metres * 10.0) else 0.5


def _are_whole(values: FloatArray) -> bool:
    return bool(np.mean(np.abs(values - np.round(values)) < 1e-3) > 0.99)


def _goes_by(step: float, values: FloatArray, slack_ft: float) -> bool:
    index = np.round(values / step)
    on_grid: BoolArray = np.abs(values - index * step) <= slack_ft
    levels = np.unique(index[on_grid])
    if len(levels) < _LEAST_LEVELS[step] or not _ODD[0] <= float(np.mean(levels % 2 == 1)) <= _ODD[1]:
        return False
    passed = values[np.concatenate([[True], values[1:] != values[:-1]])]
    if not _stands_out(step, passed, slack_ft):
        return False
    climbed = np.diff(index[on_grid])
    steps = np.abs(climbed[climbed != 0.0])
    if np.count_nonzero(np.diff(climbed)) < _UNEVEN * len(steps):
        return False
    return step == FINE_FT or bool(np.mean(steps == 1.0) >= _SINGLE)


def _stands_out(step: float, passed: FloatArray, slack_ft: float) -> bool:
    """Whether the values lie on the steps far more often than at any other place between two of them."""
    beyond_ft = np.mod(passed + step / 2.0, step) - step / 2.0
    width = max(2.0 * slack_ft, 1.0)
    edges = np.arange(-0.5 * width, step / 2.0 + width, width)
    share = float(np.mean(np.abs(beyond_ft) <= slack_ft))
    above, _ = np.histogram(beyond_ft, edges)
    below, _ = np.histogram(-beyond_ft, edges)
    elsewhere = max(int(above[1:].max(initial=0)), int(below[1:].max(initial=0))) / len(passed)
    return share >= _ON_GRID and share >= _OVER_OTHERS * elsewhere
