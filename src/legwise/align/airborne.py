"""On the ground or in the air, sample by sample: take-offs, landings, touch-and-goes.

Speed alone tells standing and taxiing from flying. Where the log knows an altitude, the moment of lifting off and of
touching down is where that altitude leaves and meets the level of the ground nearby: the level recorded while slow
there (free of every offset of the altitude source), else the published elevation of the aerodrome.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from legwise.align.runs import lasting_runs, part_of, runs_of
from legwise.geodesy import inverse
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.flown_time import flown_time_s
from legwise.model.plan import Plan
from legwise.model.track import Track

SLOW_KT = 40.0
"""Slower than this for 10 s, an aeroplane is on the ground. Common practice, no published source."""
STANDING_KT = 5.0
"""Slower than this an aeroplane stands, and be it for a sample. Common practice, no published source."""
ROLL_KT = 55.0
"""Without an altitude, flying begins and ends at this groundspeed: about the lift-off speed of light aeroplanes."""
_SLOW_LEAST_S = 10.0
_ALOFT_LEAST_S = 15.0
_CLEAR_OF_GROUND_FT = 40.0
_ON_GROUND_FT = 10.0
_TOUCHING_FT = 18.0
_HOP_FT, _HOP_S = 60.0, 40.0
_TOUCH_LEAST_S = 3.0
_LEVEL_SPREAD_FT = 80.0
_ROLL_LEAST_S, _ROLL_MOST_S = 2.0, 150.0
_FIELD_NM = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A place to land: position and elevation above mean sea level (None where the plan doesn't give it)."""

    ident: str
    lat_deg: float
    lon_deg: float
    elevation_ft: float | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Flying:
    """``on_ground`` of shape (n,), and its stretches; ``slow`` marks the stretches that hold taxi speed."""

    on_ground: BoolArray
    stretches: tuple[tuple[int, int], ...]
    slow: tuple[bool, ...]
    ground_ft: FloatArray


def fields_of(plan: Plan) -> tuple[Field, ...]:
    """Departure, destination and the runways of the approaches."""
    fields = [
        Field(ident=fix.ident, lat_deg=fix.lat_deg, lon_deg=fix.lon_deg, elevation_ft=fix.elevation_ft)
        for fix in (plan.departure, plan.destination)
        if fix is not None
    ]
    for approach in plan.approaches:
        runway = approach.runway
        if runway is not None:
            fields.append(
                Field(
                    ident=approach.airport,
                    lat_deg=runway.lat_deg,
                    lon_deg=runway.lon_deg,
                    elevation_ft=runway.elevation_ft,
                )
            )
    return tuple(fields)


def flying(track: Track, altitude_ft: FloatArray, fields: tuple[Field, ...]) -> Flying:
    """Tell ground from air for every sample. ``altitude_ft`` may be all NaN."""
    time_s = flown_time_s(track)
    speed_kt = _filled(track.motion.groundspeed_kt)
    slow = [run for run in _slow_runs(track, speed_kt, time_s) if _level(altitude_ft, run)]
    on_ground = np.zeros(len(track), dtype=np.bool_)
    grounds = np.full(len(track), np.nan)
    levels: list[tuple[int, float]] = []
    for start, stop in slow:
        bounds = part_of(track, start)
        first, last, level_ft = _rolling(time_s, speed_kt, altitude_ft, start, stop, bounds)
        on_ground[first:last] = True
        if np.isfinite(level_ft):
            levels.append(((start + stop) // 2, level_ft))
    near_ft = _ground_nearby_ft(track, levels, fields)
    grounds[:] = near_ft
    _touches(on_ground, time_s, altitude_ft, near_ft)
    for start, stop in runs_of(~on_ground):
        first, last = part_of(track, start)
        inside = start > first and stop < last
        if inside and _is_hop(time_s[stop] - time_s[start - 1], altitude_ft[start:stop] - near_ft[start:stop]):
            on_ground[start:stop] = True
    stretches = tuple(runs_of(on_ground))
    return Flying(
        on_ground=on_ground,
        stretches=stretches,
        slow=tuple(bool(np.any(speed_kt[start:stop] < SLOW_KT)) for start, stop in stretches),
        ground_ft=grounds,
    )


def _slow_runs(track: Track, speed_kt: FloatArray, time_s: FloatArray) -> list[tuple[int, int]]:
    """Stretches at taxi speed, none across a jump; standing at the very beginning or end of the log, however short."""
    is_slow = speed_kt < SLOW_KT
    found: list[tuple[int, int]] = []
    for start, stop in lasting_runs(is_slow, time_s, _SLOW_LEAST_S, bridge_s=_ALOFT_LEAST_S):
        inside = [start, *(sample for sample in track.breaks if start < sample < stop), stop]
        found += itertools.pairwise(inside)
    for start, stop in (run for run in runs_of(is_slow) if run[0] == 0 or run[1] == len(time_s)):
        stands = bool(np.max(speed_kt[start:stop]) < STANDING_KT)
        if stands and not any(first <= start < last for first, last in found):
            found.append((start, stop))
    return sorted(found)


def _is_hop(lasts_s: float, above_ft: FloatArray) -> bool:
    """A few seconds between two stretches of ground, or half a minute that hardly leaves it: noise, not a flight."""
    known = above_ft[np.isfinite(above_ft)]
    low = bool(known.size and known.max() < _HOP_FT)
    return lasts_s < (_HOP_S if low else _ALOFT_LEAST_S)


def _filled(speed_kt: FloatArray) -> FloatArray:
    known = np.isfinite(speed_kt)
    if not known.any():
        return np.full(len(speed_kt), np.inf)
    filled: FloatArray = np.interp(np.arange(len(speed_kt)), np.flatnonzero(known), speed_kt[known])
    return filled


def _level(altitude_ft: FloatArray, run: tuple[int, int]) -> bool:
    """False where the altitude moves too much for the ground: slow flight into a strong wind."""
    heights = altitude_ft[run[0] : run[1]]
    heights = heights[np.isfinite(heights)]
    if heights.size < 5:
        return True
    low, high = np.percentile(heights, [10.0, 90.0])
    return bool(high - low <= _LEVEL_SPREAD_FT)


def _rolling(
    time_s: FloatArray,
    speed_kt: FloatArray,
    altitude_ft: FloatArray,
    start: int,
    stop: int,
    bounds: tuple[int, int],
) -> tuple[int, int, float]:
    """A slow stretch widened by the landing roll before it and the take-off roll after it, and the level of its
    ground; no farther than ``bounds``."""
    heights = altitude_ft[start:stop]
    known = heights[np.isfinite(heights)]
    level_ft = float(np.median(known)) if known.size else float("nan")
    before = max(bounds[0], int(np.searchsorted(time_s, time_s[start] - _ROLL_MOST_S)))
    after = min(bounds[1], int(np.searchsorted(time_s, time_s[stop - 1] + _ROLL_MOST_S, side="right")))
    ahead = _lift_off(altitude_ft[stop:after], _last_known(altitude_ft[start:stop], level_ft))
    behind = _lift_off(altitude_ft[before:start][::-1], _last_known(altitude_ft[start:stop][::-1], level_ft))
    if ahead is None:
        fast = np.flatnonzero(speed_kt[stop:after] >= ROLL_KT)
        ahead = int(fast[0]) if fast.size else after - stop
    if behind is None:
        fast = np.flatnonzero(speed_kt[before:start][::-1] >= ROLL_KT)
        behind = int(fast[0]) if fast.size else start - before
    return start - behind, stop + ahead, level_ft


def _last_known(heights_ft: FloatArray, otherwise_ft: float) -> float:
    known = heights_ft[np.isfinite(heights_ft)][-30:]
    return float(np.median(known)) if known.size else otherwise_ft


def _lift_off(heights_ft: FloatArray, level_ft: float) -> int | None:
    """How many samples on the aircraft is still on ground of that level; None where the altitudes don't tell."""
    clear = np.flatnonzero(heights_ft > level_ft + _CLEAR_OF_GROUND_FT)
    if not clear.size:
        return None
    down = np.flatnonzero(heights_ft[: clear[0]] <= level_ft + _ON_GROUND_FT)
    return int(down[-1]) + 1 if down.size else 0


def _ground_nearby_ft(track: Track, levels: list[tuple[int, float]], fields: tuple[Field, ...]) -> FloatArray:
    """The level of the ground where a landing could be, as this log's altitude would show it; NaN elsewhere. [ft]"""
    lat, lon = track.samples.lat_deg, track.samples.lon_deg
    ground = np.full(len(track), np.nan)
    offsets = [
        level_ft - field.elevation_ft
        for sample, level_ft in levels
        for field in fields
        if field.elevation_ft is not None
        and float(inverse(lat[sample], lon[sample], field.lat_deg, field.lon_deg)[0]) < _FIELD_NM
    ]
    offset_ft = float(np.median(offsets)) if offsets else 0.0
    for field in fields:
        if field.elevation_ft is not None:
            near = inverse(lat, lon, field.lat_deg, field.lon_deg)[0] < _FIELD_NM
            ground[near] = field.elevation_ft + offset_ft
    for sample, level_ft in levels:
        near = inverse(lat, lon, lat[sample], lon[sample])[0] < _FIELD_NM
        ground[near] = level_ft
    return ground


def _touches(on_ground: BoolArray, time_s: FloatArray, altitude_ft: FloatArray, ground_ft: FloatArray) -> None:
    """Mark fast rolls as ground: touch-and-goes, and a landing whose log ends on the runway."""
    with np.errstate(invalid="ignore"):
        low = ~on_ground & (altitude_ft <= ground_ft + _TOUCHING_FT)
    for start, stop in lasting_runs(low, time_s, _TOUCH_LEAST_S, bridge_s=_ROLL_LEAST_S):
        if time_s[stop - 1] - time_s[start] <= _ROLL_MOST_S:
            on_ground[start:stop] = True
