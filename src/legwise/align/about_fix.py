"""A stretch of track against the inbound course of a hold or a reversal: how often its fix was passed, and when.

A *moment* is a place between samples: 12.25 lies a quarter of the way from sample 12 to sample 13.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from legwise.align.flight import Flight
from legwise.align.profile import TURN_RATE_DPS, Turning
from legwise.align.runs import lasting_runs, runs_of
from legwise.geodesy import inverse, line_to, turn_deg
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.plan import Fix, Path

WITHIN_DEG = 45.0
"""An aircraft is inbound or outbound again within this of the course (the contract's rule for the inbound turn)."""
PASSED_NM = 3.0
"""Farther abeam a fix than this it is not passed in a hold: twice the widest turn's radius. Our choice."""
TURNED_EARLY_NM = 1.0
"""A fix is taken as passed by who turns outbound up to this far before it. Our choice."""
SPREAD_SHARE = 0.4
"""A rate taken over some seconds (a track over 5 s, its change over 8) spreads the beginning and the end of a turn: at
half of the usual rate where it was begun and ended at once, at a third where it was rolled into and out of in 4 s, the
wings were level by a track rate of 1 deg/s."""
_PHASE_LEAST_S = 10.0
_PHASE_BRIDGE_S = 5.0
_CLOSE_NM = 0.5


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class About:
    """Samples ``low`` to ``low + m`` of a flight against an inbound course; arrays of shape (m,).

    ``along_nm`` past the fix along the inbound course, negative before it; ``cross_nm`` right of it positive;
    ``away_nm`` from the fix; ``off_deg`` from the inbound course to the track, the last known one where none is;
    ``turning`` inside a turn.
    """

    flight: Flight
    path: Path
    low: int
    along_nm: FloatArray
    cross_nm: FloatArray
    away_nm: FloatArray
    off_deg: FloatArray
    turning: BoolArray

    def __len__(self) -> int:
        return len(self.along_nm)

    @property
    def is_outbound(self) -> BoolArray:
        """Within 45 degrees of the reciprocal of the inbound course."""
        return np.asarray(np.abs(self.off_deg) >= 180.0 - WITHIN_DEG)

    @property
    def is_inbound(self) -> BoolArray:
        """Within 45 degrees of the inbound course."""
        return np.asarray(np.abs(self.off_deg) <= WITHIN_DEG)


def about_fix(flight: Flight, fix: Fix, inbound_deg_true: float, low: int, high: int) -> About:
    """Samples ``low`` to ``high`` (exclusive) against the course to a fix."""
    path = line_to(fix.lat_deg, fix.lon_deg, inbound_deg_true)
    samples, here = flight.track.samples, slice(low, high)
    place = path.measure(samples.lat_deg[here], samples.lon_deg[here])
    away, _, _ = inverse(samples.lat_deg[here], samples.lon_deg[here], fix.lat_deg, fix.lon_deg)
    turning = np.zeros(high - low, dtype=np.bool_)
    for turn in flight.turns:
        turning[max(turn.start - low, 0) : max(turn.stop - low, 0)] = True
    off = turn_deg(inbound_deg_true, flight.track.motion.track_deg_true[here])
    return About(
        flight=flight,
        path=path,
        low=low,
        along_nm=-place.to_go_nm,
        cross_nm=place.cross_track_nm,
        away_nm=away,
        off_deg=filled(off),
        turning=turning,
    )


def filled(values: FloatArray) -> FloatArray:
    """``values`` with the last known one where none is, the first known one before that; 0 where none is known."""
    known = np.isfinite(values)
    if not known.any():
        return np.zeros_like(values)
    last = np.maximum.accumulate(np.where(known, np.arange(len(values)), -1))
    return np.asarray(values[np.where(last < 0, int(np.argmax(known)), last)])


def at_moment(values: FloatArray, moment: float) -> float:
    """The value of a column of the whole flight at a moment, straight between samples."""
    sample = min(max(math.floor(moment), 0), len(values) - 1)
    following = min(sample + 1, len(values) - 1)
    return float(values[sample] + (moment - sample) * (values[following] - values[sample]))


def closest(away_nm: FloatArray) -> int:
    """The first time that it comes near: the nearest place of the first stretch within half a mile of the nearest."""
    start, stop = runs_of(away_nm <= float(np.min(away_nm)) + _CLOSE_NM)[0]
    return start + int(np.argmin(away_nm[start:stop]))


def passage_at(flight: Flight, fix: Fix, sample: int) -> float:
    """The moment nearest to a fix, between the neighbours of the nearest sample."""
    first, stop = flight.part(sample)
    low, high = max(first, sample - 1), min(stop, sample + 2)
    samples = flight.track.samples
    away, bearing, _ = inverse(fix.lat_deg, fix.lon_deg, samples.lat_deg[low:high], samples.lon_deg[low:high])
    east, north = away * np.sin(np.radians(bearing)), away * np.cos(np.radians(bearing))
    best, moment = np.inf, float(sample)
    for place in range(high - low - 1):
        step = np.array([east[place + 1] - east[place], north[place + 1] - north[place]])
        here = np.array([east[place], north[place]])
        square = float(step @ step)
        share = min(max(-float(here @ step) / square, 0.0), 1.0) if square > 0.0 else 0.0
        nearest = float(np.hypot(*(here + share * step)))
        if nearest < best:
            best, moment = nearest, low + place + share
    return moment


def passages(about: About, after: float) -> list[float]:
    """The moments at which the fix was passed inbound, once the aircraft had gone outbound after a moment."""
    clock_s = about.flight.flown_s[about.low : about.low + len(about)]
    inbound = np.abs(about.off_deg) < 90.0
    found: list[float] = []
    # What was held through a short swing of the track is one stretch.
    outbound = lasting_runs(~inbound, clock_s, _PHASE_LEAST_S, _PHASE_BRIDGE_S)
    first = next((start for start, stop in outbound if about.low + stop > after), None)
    if first is None:
        return found
    for start, stop in lasting_runs(inbound, clock_s, _PHASE_LEAST_S, _PHASE_BRIDGE_S):
        if start >= first:
            passed = _passed(about, start, stop)
            if passed is not None:
                found.append(about.low + passed)
    return found


def _passed(about: About, start: int, stop: int) -> float | None:
    """Where in a stretch flown inbound the fix is abeam; where it is nearest abeam, if turned from early or late."""
    along = about.along_nm[start:stop]
    crossed = np.flatnonzero((along[:-1] < 0.0) & (along[1:] >= 0.0))
    if crossed.size:
        place = int(crossed[0])
        share = float(-along[place] / (along[place + 1] - along[place]))
        return start + place + share if abs(float(about.cross_nm[start + place])) <= PASSED_NM else None
    if stop >= len(about):  # still on the way there
        return None
    place = int(np.argmin(np.abs(along)))
    near = abs(float(along[place])) <= TURNED_EARLY_NM and abs(float(about.cross_nm[start + place])) <= PASSED_NM
    return float(start + place) if near else None


def turn_end(flight: Flight, sample: int) -> float:
    """The moment at which the wings came level, where ``sample`` is the first one after a turn; else the sample."""
    turn = next((turn for turn in flight.turns if turn.stop == sample), None)
    if turn is None:
        return float(sample)
    rate, limit = _rates(flight, turn)
    place = turn.stop
    while place - 1 > turn.start and rate[place - 1] < limit:
        place -= 1
    return _between(rate, limit, place - 1, place) if place < len(rate) else float(place)


def turn_start(flight: Flight, turn: Turning) -> float:
    """The moment at which a turn was begun."""
    rate, limit = _rates(flight, turn)
    place = turn.start
    while place + 1 < turn.stop and rate[place] < limit:
        place += 1
    return _between(rate, limit, place, place - 1) if place > 0 else float(place)


def _rates(flight: Flight, turn: Turning) -> tuple[FloatArray, float]:
    """Rates of turn without sign [deg/s], and the one that marks the ends of a turn."""
    rate = np.abs(flight.track.motion.track_rate_dps)
    inside = rate[turn.start : turn.stop]
    known = inside[np.isfinite(inside)]
    usual = float(np.median(known)) if known.size else TURN_RATE_DPS
    return rate, max(TURN_RATE_DPS, SPREAD_SHARE * usual)


def _between(rate: FloatArray, limit: float, turning: int, level: int) -> float:
    """Where between a sample in a turn and its neighbour out of it the rate passes the limit; where it does not, the
    later of the two."""
    fast, slow = float(rate[turning]), float(rate[level])
    if not fast >= limit > slow:
        return float(max(turning, level))
    return turning + (fast - limit) / (fast - slow) * (level - turning)


def real_gaps(flight: Flight) -> list[tuple[int, int]]:
    """The gaps of the track without the pauses, after which the flight goes on as if there had been none."""
    factor = flight.track.time_factor
    return [
        (before, after)
        for before, after in flight.track.gaps
        if factor is None or (factor[before] != 0.0 and factor[after] != 0.0)
    ]


def seen_through(flight: Flight, start: float, stop: float) -> bool:
    """Whether no gap lies between two moments, or about either."""
    return not any(before < stop and after > start for before, after in real_gaps(flight))
