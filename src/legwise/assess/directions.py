"""Heading and course findings: an assigned heading, a course of the missed approach, the angle at a station."""

from __future__ import annotations

import numpy as np

from legwise.assess.altitudes import HELD_S, same_value_runs
from legwise.assess.finals import Final
from legwise.assess.flight import FLOWN_S, SEGMENT_CODE, SEGMENTS, Flight, path_judged_from
from legwise.assess.making import About, found, in_question, lasting
from legwise.geodesy import inverse
from legwise.model.alignment import FlownLeg
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.results import Finding
from legwise.model.standard import Quantity, Segment, Tolerance

HEADING_DOUBT_DEG = 2.0
"""95 % doubt of a recorded heading and of a track. Common practice, no published source. [deg]"""

TURN_RATE_DPS = 3.0
REACTION_S = 15.0
"""The turn to a new heading is given standard rate and this much more. Common practice, no published source. [deg/s],
[s]"""

ROLL_OUT_DPS = 0.5
"""Turning toward the heading faster than this is still the roll-out. Common practice, no published source. [deg/s]"""

CONE_NM = 1.0
"""Nearer to a station than this the angle at it means little. Common practice, no published source. [nm]"""


def heading_findings(flight: Flight) -> list[Finding]:
    """One finding for each heading assigned, judged once the turn to it is done; one ``not recorded`` where no
    heading was."""
    owed_deg, error_deg = flight.alignment.heading_owed_deg_mag, flight.deviations.heading_error_deg
    owed = np.isfinite(owed_deg) & (flight.segment >= 0)
    stretches = [
        (segment, start, stop)
        for segment in SEGMENTS
        for start, stop in same_value_runs(owed_deg, owed & (flight.segment == SEGMENT_CODE[segment]))
        if not _inferred(flight, start)
    ]
    if not any(np.isfinite(error_deg[start:stop]).any() for _, start, stop in stretches):
        return _no_heading(flight, stretches)
    made: list[Finding] = []
    for segment, start, stop in stretches:
        for tolerance in flight.tolerances(Quantity.HEADING, segment, flight.approach_at(start)):
            index = settled(flight, error_deg, np.arange(start, stop), tolerance)
            if index.size and lasting(flight, index) >= HELD_S:
                made.append(_heading(flight, tolerance, segment, index, float(owed_deg[start])))
    return made


def _heading(flight: Flight, tolerance: Tolerance, segment: Segment, index: IntArray, owed_deg: float) -> Finding:
    error_deg = flight.deviations.heading_error_deg
    series = flight.series(index, error_deg, np.full(error_deg.size, HEADING_DOUBT_DEG), tolerance)
    about = About(
        segment=segment, owed=owed_deg, extra=f"Assigned heading {owed_deg:03.0f}°, judged after the turn to it."
    )
    made = found(flight, tolerance, series, about)
    return in_question(flight, made, index, assigns="heading", owed=owed_deg)


def _no_heading(flight: Flight, stretches: list[tuple[Segment, int, int]]) -> list[Finding]:
    """One finding from the first to the last of the headings assigned, none of which can be judged."""
    if not stretches:
        return []
    segment, first, _ = min(stretches, key=lambda stretch: stretch[1])
    last = max(stop for _, _, stop in stretches) - 1
    error_deg = flight.deviations.heading_error_deg
    doubt = np.full(error_deg.size, HEADING_DOUBT_DEG)
    rows = np.array([first, last])
    return [
        found(flight, tolerance, flight.series(rows, error_deg, doubt, tolerance), About(segment=segment))
        for tolerance in flight.tolerances(Quantity.HEADING, segment, flight.approach_at(first))[:1]
    ]


def _inferred(flight: Flight, sample: int) -> bool:
    """True where the heading in force was read from the track itself: judging it by the track would be going in a
    circle."""
    at_s = flight.time_s[sample]
    in_force = [
        item
        for item in flight.alignment.instructions
        if item.kind == "heading" and min(item.time_s, item.effect_s) <= at_s
    ]
    return bool(in_force) and in_force[-1].origin == "inferred"


def settled(flight: Flight, error_deg: FloatArray, index: IntArray, tolerance: Tolerance) -> IntArray:
    """The samples of ``index`` from when the turn was done.

    That is the first surely inside the limit with the rest of the roll-out done, or when a standard-rate turn and the
    time to react to what was said had passed.
    """
    known = index[np.isfinite(error_deg[index])]
    if known.size == 0:
        return index
    turn_s = abs(float(error_deg[known[0]])) / TURN_RATE_DPS + REACTION_S
    inside = (error_deg[known] >= tolerance.low + HEADING_DOUBT_DEG) & (
        error_deg[known] <= tolerance.high - HEADING_DOUBT_DEG
    )
    inside &= ~_rolling_out(flight.flown_s[known], error_deg[known])
    due = flight.flown_s[known] >= flight.flown_s[index[0]] + turn_s
    done = np.flatnonzero(inside | due)
    return index[index >= known[done[0]]] if done.size else index[:0]


def _rolling_out(time_s: FloatArray, error_deg: FloatArray) -> BoolArray:
    """Where the error still falls toward nothing as in a turn."""
    if time_s.size < 2:
        return np.zeros(time_s.size, dtype=np.bool_)
    toward_dps = -np.sign(error_deg) * np.gradient(error_deg, time_s)
    turning: BoolArray = toward_dps > ROLL_OUT_DPS
    return turning


def missed_course_findings(flight: Flight) -> list[Finding]:
    """The course of each leg of a missed approach, judged outside turns and once the turn to it is done."""
    error_deg = flight.deviations.track_error_deg
    made: list[Finding] = []
    for position, leg in enumerate(flight.alignment.legs):
        here = (flight.alignment.leg == position) & (flight.segment == SEGMENT_CODE[Segment.MISSED])
        index = path_judged_from(flight, np.flatnonzero(here & ~flight.alignment.in_turn))
        if index.size == 0 or leg.path is None or not np.isfinite(error_deg[index]).any():
            continue
        for tolerance in flight.tolerances(Quantity.TRACK, Segment.MISSED, flight.approach_at(int(index[0]))):
            rows = settled(flight, error_deg, index, tolerance)
            if rows.size and lasting(flight, rows) >= FLOWN_S:
                made.append(_course(flight, tolerance, leg, rows))
    return made


def _course(flight: Flight, tolerance: Tolerance, leg: FlownLeg, index: IntArray) -> Finding:
    error_deg = flight.deviations.track_error_deg
    series = flight.series(index, error_deg, np.full(error_deg.size, HEADING_DOUBT_DEG), tolerance)
    return found(flight, tolerance, series, About(segment=Segment.MISSED, leg=leg.id))


def station_findings(flight: Flight, finals: tuple[Final, ...]) -> list[Finding]:
    """The angle off the final course at the station that makes it, outside the cone above it."""
    made: list[Finding] = []
    for final in finals:
        station = final.approach.navaid
        for tolerance in flight.tolerances(Quantity.TRACK, final.segment, final.approach):
            if station is None:
                continue
            samples = flight.track.samples
            away_nm, _, _ = inverse(samples.lat_deg, samples.lon_deg, station.lat_deg, station.lon_deg)
            index = np.arange(final.lateral_start, final.needles_stop)
            index = index[away_nm[index] > CONE_NM]
            if index.size == 0 or lasting(flight, index) < FLOWN_S:
                continue
            angle_deg = np.degrees(np.arctan2(flight.deviations.cross_track_nm, away_nm))
            doubt = np.degrees(np.arctan2(flight.deviations.horizontal_accuracy_nm, away_nm))
            about = About(segment=final.segment, leg=final.leg, extra=f"Angle at {station.ident}.")
            made.append(found(flight, tolerance, flight.series(index, angle_deg, doubt, tolerance), about))
    return made
