"""The compass check on the runway: recorded magnetic heading on the ground roll against the course of the runway.

A simulator's magnetic model may be years old, and a heading sensor may be out of line; either is off by the same on
every runway. In flight wind makes the nose point elsewhere, so only the roll on the ground counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from legwise.geodesy import declination_deg, line_to, mean_direction_deg, turn_deg, wrap_180
from legwise.geodesy.magnetic import FIRST_YEAR, LAST_YEAR
from legwise.model.arrays import BoolArray, IntArray
from legwise.model.instants import instant
from legwise.model.plan import Plan, PlannedRunway
from legwise.model.track import Channel, Track
from legwise.units import FT_PER_NM

# Our own choices, no published source.
_ROLL_KT = (30.0, 55.0)
"""From fast enough to track the runway to slower than light aeroplanes lift off and touch down."""
_LEAST_S = 5.0
_LEAST_SAMPLES = 4
_ALIGNED_DEG = 5.0
_COURSE_DEG = 2.0
"""A roll whose mean track is off the final course by more: that course is offset from the runway."""
_ASIDE_NM, _BEFORE_NM = 0.03, 0.1
_STEADY_DEG = 1.0
_BIAS_DEG = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadingBias:
    """``correction_deg`` is to be taken off every recorded magnetic heading; 0 where nothing is certain. ``note`` says
    what was found, empty where nothing was.
    """

    correction_deg: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Roll:
    """Recorded heading less the magnetic course of a runway over one roll. [deg]"""

    off_deg: float
    runway: str


def heading_bias(track: Track, plan: Plan) -> HeadingBias:
    """Find how far the recorded magnetic headings are off, on the rolls along the plan's runways.

    Two rolls that agree within 1° make it certain; one is told and corrects nothing.
    """
    rolls = [roll for runway in _runways(plan) for roll in _rolls(track, runway)]
    off_deg = [roll.off_deg for roll in rolls]
    if not rolls or abs(sum(off_deg) / len(off_deg)) <= _BIAS_DEG:
        return HeadingBias()
    mean_deg = sum(off_deg) / len(off_deg)
    found = (
        f"the recorded heading is {abs(mean_deg):.1f}° {'more' if mean_deg > 0 else 'less'} than the magnetic course "
        f"of {' and '.join(dict.fromkeys(roll.runway for roll in rolls))} on the roll"
    )
    if len(rolls) < 2:
        return HeadingBias(note=f"{found}; seen once, so nothing is corrected. Is the magnetic model an old one?")
    if max(off_deg) - min(off_deg) > _STEADY_DEG:
        return HeadingBias()
    return HeadingBias(
        correction_deg=mean_deg, note=f"{found} ({len(rolls)} times): headings are corrected by as much before judging"
    )


def _runways(plan: Plan) -> list[PlannedRunway]:
    runways = {runway.ident + approach.airport: runway for approach in plan.approaches if (runway := approach.runway)}
    return list(runways.values())


def _rolls(track: Track, runway: PlannedRunway) -> Iterator[_Roll]:
    """Every roll along a runway, one way or the other, that tells how far the heading is off."""
    heading = track.samples.channels.get(Channel.HEADING_DEG_MAG)
    if heading is None:
        return
    place = line_to(runway.lat_deg, runway.lon_deg, runway.course_deg_true).measure(
        track.samples.lat_deg, track.samples.lon_deg
    )
    on_runway = np.abs(place.cross_track_nm) <= _ASIDE_NM
    on_runway &= (place.to_go_nm <= _BEFORE_NM) & (place.to_go_nm >= -runway.length_ft / FT_PER_NM - _BEFORE_NM)
    date = instant(track.first_time_s).date()
    if not on_runway.any() or not FIRST_YEAR <= date.year <= LAST_YEAR:
        return
    variation = declination_deg(runway.lat_deg, runway.lon_deg, date)
    for course_deg in (runway.course_deg_true, runway.course_deg_true + 180.0):
        off_track = turn_deg(course_deg, track.motion.track_deg_true)
        use = on_runway & (np.abs(off_track) <= _ALIGNED_DEG) & np.isfinite(heading) & _at_roll_speed(track)
        for rows in _runs_beside_taxi(track, use):
            off = turn_deg(course_deg - variation, heading[rows])
            middle = float(wrap_180(mean_direction_deg(off)))
            if (
                abs(float(off_track[rows].mean())) <= _COURSE_DEG
                and float(np.std(wrap_180(off - middle))) <= _STEADY_DEG
            ):
                yield _Roll(off_deg=middle, runway=runway.ident)


def _at_roll_speed(track: Track) -> BoolArray:
    speed = track.motion.groundspeed_kt
    at_speed: BoolArray = (speed >= _ROLL_KT[0]) & (speed <= _ROLL_KT[1])
    return at_speed if track.held is None else at_speed & ~track.held


def _runs_beside_taxi(track: Track, use: BoolArray) -> Iterator[IntArray]:
    """Runs of samples to use, 5 s and more, that begin or end at a slower speed: on the ground, not in a headwind."""
    rows = np.flatnonzero(use)
    time_s, speed = track.samples.time_s, track.motion.groundspeed_kt
    for run in np.split(rows, np.flatnonzero(np.diff(rows) != 1) + 1):
        if len(run) < _LEAST_SAMPLES or time_s[run[-1]] - time_s[run[0]] < _LEAST_S:
            continue
        beside = [side for side in (run[0] - 1, run[-1] + 1) if 0 <= side < len(track)]
        if any(speed[side] < _ROLL_KT[0] for side in beside):
            yield run
