"""Altitudes that are put elsewhere and stay: no climb, but a simulator that was reset."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import FloatArray, IntArray
from legwise.model.track import Fault, Samples
from legwise.tracks.wording import clock, some_of
from legwise.units import S_PER_MIN

LEAP_FT = 2_000.0
_CLIMB_FPM = 12_000.0
_STAYS_S = 3.0
_STAYS_SAMPLES = 3
_BACK_PART = 0.3
_MOST = 5
_NEAR = 1000
"""A step of 2,000 ft, and of what is climbed at 12,000 ft/min besides, for 3 s and three samples on both sides; one
that is taken back to three tenths, or one of more than five, is a source that errs. Looked for among a thousand samples
at most. Common practice, no published source.
"""


def altitude_resets(samples: Samples, as_recorded: Samples, gap_s: float) -> IntArray:
    """Samples from which every altitude is another; none after a gap of more than ``gap_s``.

    ``as_recorded`` are the samples with the altitudes that no aircraft has still in them: a source that leaps again and
    again tells of no reset. An altitude of exactly 0 is what some write on the ground: a step from or to it is none.
    """
    resets: set[int] | None = None
    recorded = as_recorded.altitudes_ft.values()
    if any(np.count_nonzero(np.abs(np.diff(values)) > LEAP_FT) > 2 * _MOST for values in recorded):
        return np.empty(0, dtype=np.int64)
    for values in samples.altitudes_ft.values():
        rows = np.flatnonzero(np.isfinite(values))
        found = _leaps(samples.time_s[rows], values[rows], gap_s)
        here = set(rows[found].tolist())
        resets = here if resets is None else {row for row in here if any(row + near in resets for near in (-1, 0, 1))}
        if not resets:
            break
    return np.array(sorted(resets or ()), dtype=np.int64)


def _leaps(time_s: FloatArray, altitude_ft: FloatArray, gap_s: float) -> IntArray:
    seconds = np.diff(time_s)
    leap = np.abs(np.diff(altitude_ft)) > LEAP_FT + _CLIMB_FPM / S_PER_MIN * seconds
    leap &= (seconds <= gap_s) & (altitude_ft[:-1] != 0.0) & (altitude_ft[1:] != 0.0)
    at = np.flatnonzero(leap) + 1
    starts, stops = np.concatenate([[0], at[:-1]]), np.concatenate([at[1:], [len(time_s)]])
    if not at.size:
        return at
    before = (at - starts >= _STAYS_SAMPLES) & (time_s[at - 1] - time_s[starts] >= _STAYS_S - 1e-6)
    after = (stops - at >= _STAYS_SAMPLES) & (time_s[stops - 1] - time_s[at] >= _STAYS_S - 1e-6)
    stays: IntArray = at[before & after]
    step_ft = altitude_ft[stays] - altitude_ft[stays - 1]
    back = np.abs(step_ft[1:] + step_ft[:-1]) <= _BACK_PART * np.abs(step_ft[1:])
    stays = stays[~(np.concatenate([back, [False]]) | np.concatenate([[False], back]))] if stays.size else stays
    return stays if len(stays) <= _MOST else stays[:0]


def reset_faults(samples: Samples, resets: IntArray) -> list[Fault]:
    """The jumps of altitude, told with their size."""
    if not resets.size:
        return []

    def words(at: int) -> str:
        steps = (_step_ft(values, at) for values in samples.altitudes_ft.values())
        known = [step for step in steps if np.isfinite(step)]
        return f"{clock(float(samples.time_s[at]))} ({known[0]:+,.0f} ft)"

    where = some_of(resets.tolist(), words)
    detail = f"the altitude goes on elsewhere at {where}; kept, nothing is claimed in between"
    return [Fault(kind="jump", count=len(resets), detail=detail)]


def _step_ft(altitude_ft: FloatArray, at: int) -> float:
    """From the last known altitude before ``at`` to the first from it on; NaN where there is none. [ft]"""
    before, after = altitude_ft[max(0, at - _NEAR) : at], altitude_ft[at : at + _NEAR]
    known = before[np.isfinite(before)], after[np.isfinite(after)]
    return float(known[1][0] - known[0][-1]) if known[0].size and known[1].size else float("nan")
