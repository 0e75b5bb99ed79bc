"""Altitude findings: the assigned altitude, run by run."""

from __future__ import annotations

import itertools

import numpy as np

from legwise.assess.flight import SEGMENT_CODE, SEGMENTS, Flight, runs
from legwise.assess.making import About, found, in_question, lasting, leg_id
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.results import Finding
from legwise.model.standard import Quantity, Segment

LEVEL_FPM = 100.0
"""Slower than this toward an altitude, or away from it, is level. Common practice, no published source. [ft/min]"""

HELD_S = 10.0
"""An altitude or a heading owed for less than this says nothing of how it was held. Common practice, no published
source. [s]"""


def altitude_findings(flight: Flight) -> list[Finding]:
    """One finding for each stretch of one assigned altitude in one segment, over the samples where it is owed."""
    assigned_ft = flight.deviations.assigned_altitude_ft
    owed = flight.alignment.altitude_owed & np.isfinite(assigned_ft) & (flight.segment >= 0)
    made: list[Finding] = []
    for segment in SEGMENTS:
        here = owed & (flight.segment == SEGMENT_CODE[segment])
        for start, stop in same_value_runs(assigned_ft, flight.segment == SEGMENT_CODE[segment]):
            index = start + np.flatnonzero(here[start:stop])
            if index.size:
                made.extend(_run(flight, segment, index, float(assigned_ft[start])))
    return made


def same_value_runs(values: FloatArray, mask: BoolArray) -> list[tuple[int, int]]:
    """Stretches (start, stop exclusive) inside ``mask`` of one finite value."""
    split: list[tuple[int, int]] = []
    for start, stop in runs(mask & np.isfinite(values)):
        changes = start + 1 + np.flatnonzero(np.diff(values[start:stop]) != 0)
        edges = [start, *map(int, changes), stop]
        split.extend(itertools.pairwise(edges))
    return split


def _run(flight: Flight, segment: Segment, index: IntArray, assigned_ft: float) -> list[Finding]:
    first = int(index[0])
    values, doubt = flight.deviations.altitude_error_ft, flight.deviations.judged.against_assigned_ft
    about = About(
        segment=segment,
        leg=leg_id(flight, first),
        owed=assigned_ft,
        extra=f"Assigned {assigned_ft:,.0f} ft.",
    )
    rows = held(flight, index)
    if rows.size == 0 or lasting(flight, rows) < HELD_S:
        return []
    made: list[Finding] = []
    for tolerance in flight.tolerances(Quantity.ALTITUDE, segment, flight.approach_at(first)):
        judged = found(flight, tolerance, flight.series(rows, values, doubt, tolerance), about)
        made.append(in_question(flight, judged, rows, assigns="altitude", owed=assigned_ft))
    return made


def held(flight: Flight, index: IntArray) -> IntArray:
    """The samples of ``index`` between the level-off and, where nothing is assigned next, the leaving.

    An altitude is owed from within 100 ft of it, still climbing or descending to it: the rest of the level-off is no
    deviation, nor is the start of a descent that was given but not written down. Where no altitude was recorded, all of
    ``index``.
    """
    error_ft = flight.deviations.altitude_error_ft[index]
    toward_fpm = -np.sign(error_ft) * flight.deviations.judged.vertical_speed_fpm[index]
    known = np.isfinite(error_ft)
    if not known.any():
        return index
    arrived = np.flatnonzero(known & ~(toward_fpm > LEVEL_FPM))
    if arrived.size == 0:
        return index[:0]
    stop = index.size
    after = int(index[-1]) + 1
    if after < len(flight.track) and np.isnan(flight.deviations.assigned_altitude_ft[after]):
        staying = np.flatnonzero(known & ~(toward_fpm < -LEVEL_FPM))
        stop = int(staying[-1]) + 1 if staying.size else 0
    return index[arrived[0] : stop]
