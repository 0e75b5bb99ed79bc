"""How the aircraft moved up and down and where it turned, as the other modules ask for it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from legwise.align.runs import duration_s, lasting_runs
from legwise.model.arrays import FloatArray
from legwise.model.track import Track

TURN_RATE_DPS = 1.0
"""A track turning at 1 deg/s or more for 3 s or more is a turn; breaks under 3 s belong to it. Common practice."""
TURN_LEAST_S = 3.0

CLIMB_FPM = 300.0
"""A climb or descent of 300 ft/min held for 10 s is meant, not a bump. Common practice, no published source."""
CLIMB_LEAST_S = 10.0

LEVEL_FPM = 200.0
LEVEL_LEAST_S = 15.0
"""Under 200 ft/min for 15 s is level flight. Common practice, no published source."""

_HALF_WINDOW_S = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """One turn: samples ``start`` to ``stop`` (exclusive) and the change of track, right positive. [deg]"""

    start: int
    stop: int
    start_s: float
    end_s: float
    change_deg: float


def turns_in(track: Track) -> tuple[Turning, ...]:
    """All turns of the track, in order; none reaches across a gap."""
    time_s = track.samples.time_s
    rate = np.nan_to_num(track.motion.track_rate_dps, nan=0.0)
    breaks = np.zeros(len(time_s), dtype=np.bool_)
    for _before, after in track.gaps:
        breaks[after] = True
    found: list[Turning] = []
    for sign in (1.0, -1.0):
        for first, last in lasting_runs(rate * sign >= TURN_RATE_DPS, time_s, TURN_LEAST_S, bridge_s=TURN_LEAST_S):
            cuts = [first, *(first + 1 + np.flatnonzero(breaks[first + 1 : last])).tolist(), last]
            for start, stop in itertools.pairwise(cuts):
                found.append(_turning(rate, time_s, start, stop))
    return tuple(sorted(found, key=lambda turn: turn.start))


def _turning(rate: FloatArray, time_s: FloatArray, start: int, stop: int) -> Turning:
    mean = float(np.mean(rate[start:stop]))
    if stop - start > 1:
        change = float(np.trapezoid(rate[start:stop], time_s[start:stop]))
        # The half intervals at the ends turned as well.
        change += mean * (duration_s(time_s, start, stop) - float(time_s[stop - 1] - time_s[start]))
    else:
        change = mean * duration_s(time_s, start, stop)
    return Turning(
        start=start, stop=stop, start_s=float(time_s[start]), end_s=float(time_s[stop - 1]), change_deg=change
    )


def vertical_rate_fpm(time_s: FloatArray, altitude_ft: FloatArray, gaps: tuple[tuple[int, int], ...]) -> FloatArray:
    """Climb over the 10 s about each sample, from the altitudes themselves; NaN where those are missing. [ft/min]

    Steadier than a recorded vertical speed and the same for every kind of log; for decisions, not for results.
    """
    rate = np.full(len(time_s), np.nan)
    cuts = [0, *(after for _before, after in gaps), len(time_s)]
    for start, stop in itertools.pairwise(cuts):
        known = start + np.flatnonzero(np.isfinite(altitude_ft[start:stop]))
        if known.size < 2:
            continue
        times, heights = time_s[known], altitude_ft[known]
        here = time_s[start:stop]
        late = np.clip(here + _HALF_WINDOW_S, times[0], times[-1])
        early = np.clip(here - _HALF_WINDOW_S, times[0], times[-1])
        span = late - early
        with np.errstate(invalid="ignore", divide="ignore"):
            value = 60.0 * (np.interp(late, times, heights) - np.interp(early, times, heights)) / span
        rate[start:stop] = np.where(span > 0.5, value, np.nan)
    return rate
