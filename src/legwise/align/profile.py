"""How the aircraft moved up and down and where it turned, as the other modules ask for it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from legwise.align.runs import duration_s, lasting_runs
from legwise.model.arrays import FloatArray
from legwise.model.flown_time import flown_time_s
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
    """All turns of the track, in order; none reaches across a gap, but one goes on after a pause."""
    time_s, clock_s = track.samples.time_s, flown_time_s(track)
    rate = np.nan_to_num(_rate_dps(track, clock_s), nan=0.0)
    breaks = np.zeros(len(time_s), dtype=np.bool_)
    factor = np.ones(len(time_s)) if track.time_factor is None else track.time_factor
    for before, after in track.gaps:
        breaks[after] = factor[before] != 0.0 and factor[after] != 0.0
    found: list[Turning] = []
    for sign in (1.0, -1.0):
        for first, last in lasting_runs(rate * sign >= TURN_RATE_DPS, clock_s, TURN_LEAST_S, bridge_s=TURN_LEAST_S):
            cuts = [first, *(first + 1 + np.flatnonzero(breaks[first + 1 : last])).tolist(), last]
            for start, stop in itertools.pairwise(cuts):
                found.append(_turning(rate, time_s, clock_s, start, stop))
    return tuple(sorted(found, key=lambda turn: turn.start))


def _rate_dps(track: Track, clock_s: FloatArray) -> FloatArray:
    """The rate of turn; between positions that a receiver held, what the turn before and after them makes it."""
    rate = track.motion.track_rate_dps
    if track.held is None:
        return rate
    stood = np.zeros(len(track), dtype=np.bool_) if track.time_factor is None else track.time_factor == 0.0
    between = track.held & ~stood & np.isnan(rate)
    known = np.isfinite(rate)
    if not between.any() or not known.any():
        return rate
    return np.where(between, np.interp(clock_s, clock_s[known], rate[known]), rate)


def _turning(rate: FloatArray, time_s: FloatArray, clock_s: FloatArray, start: int, stop: int) -> Turning:
    mean = float(np.mean(rate[start:stop]))
    if stop - start > 1:
        change = float(np.trapezoid(rate[start:stop], clock_s[start:stop]))
        # The half intervals at the ends turned as well.
        change += mean * (duration_s(clock_s, start, stop) - float(clock_s[stop - 1] - clock_s[start]))
    else:
        change = mean * duration_s(clock_s, start, stop)
    return Turning(
        start=start, stop=stop, start_s=float(time_s[start]), end_s=float(time_s[stop - 1]), change_deg=change
    )


def vertical_rate_fpm(track: Track, altitude_ft: FloatArray) -> FloatArray:
    """Climb over the 10 s about each sample, from the altitudes themselves; NaN where those are missing. [ft/min]

    Steadier than a recorded vertical speed and the same for every kind of log; for decisions, not for results. Held
    samples tell nothing.
    """
    time_s = flown_time_s(track)
    if track.held is not None:
        altitude_ft = np.where(track.held, np.nan, altitude_ft)
    rate = np.full(len(time_s), np.nan)
    cuts = [0, *(after for _before, after in track.gaps), len(time_s)]
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
