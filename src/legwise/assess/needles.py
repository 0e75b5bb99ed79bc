"""Needle and cross-track findings: leg by leg before the final segment, and over the final segment as a whole."""

from __future__ import annotations

import dataclasses

import numpy as np

from legwise.assess.finals import Final
from legwise.assess.flight import FLOWN_S, SEGMENT_CODE, Flight, path_judged_from
from legwise.assess.judging import Series
from legwise.assess.making import About, found, in_question, lasting
from legwise.model.alignment import FlownLeg
from legwise.model.arrays import FloatArray, IntArray
from legwise.model.results import Finding
from legwise.model.standard import Quantity, Segment, Tolerance

_BY_LEG = (Segment.ROUTE, Segment.APPROACH_BEFORE_FINAL, Segment.MISSED)


def leg_findings(flight: Flight) -> list[Finding]:
    """The lateral deviation on each leg flown that owed a path, before the final segment and after it."""
    made: list[Finding] = []
    for position, leg in enumerate(flight.alignment.legs):
        if leg.path is None:
            continue
        for segment in _BY_LEG:
            index = np.flatnonzero((flight.alignment.leg == position) & (flight.segment == SEGMENT_CODE[segment]))
            index = path_judged_from(flight, index)
            if index.size and lasting(flight, index) >= FLOWN_S:
                made.extend(_lateral(flight, segment, index, leg))
    return made


def _lateral(flight: Flight, segment: Segment, index: IntArray, leg: FlownLeg) -> list[Finding]:
    about = About(segment=segment, leg=leg.id)
    made = [
        found(flight, tolerance, _lateral_series(flight, index, tolerance), about)
        for quantity in (Quantity.LATERAL_NEEDLE, Quantity.CROSS_TRACK)
        for tolerance in flight.tolerances(quantity, segment, flight.approach_at(int(index[0])))
    ]
    if leg.planned is not None:
        return made
    return [in_question(flight, item, index, assigns="direct", fix=leg.to_ident) for item in made]


def _lateral_series(flight: Flight, index: IntArray, tolerance: Tolerance) -> Series:
    deviations = flight.deviations
    if tolerance.quantity is Quantity.CROSS_TRACK:
        doubt = np.full(deviations.cross_track_nm.size, deviations.horizontal_accuracy_nm)
        return flight.series(index, deviations.cross_track_nm, doubt, tolerance)
    doubt = deviations.horizontal_accuracy_nm / deviations.lateral_full_scale_nm
    return flight.series(index, deviations.lateral_needle, doubt, tolerance)


def final_findings(flight: Flight, finals: tuple[Final, ...]) -> list[Finding]:
    """The needles over each final segment: from the final approach fix, vertically from where the glidepath was met,
    to the minima."""
    made: list[Finding] = []
    for final in finals:
        index = np.arange(final.lateral_start, final.needles_stop)
        if index.size == 0 or lasting(flight, index) < FLOWN_S:
            continue
        about = About(segment=final.segment, leg=final.leg)
        made.extend(
            found(flight, tolerance, _lateral_series(flight, index, tolerance), about)
            for quantity in (Quantity.LATERAL_NEEDLE, Quantity.CROSS_TRACK)
            for tolerance in flight.tolerances(quantity, final.segment, final.approach)
        )
        if final.glidepath_start is not None and final.glidepath_start < final.needles_stop:
            made.extend(_vertical(flight, final, np.arange(final.glidepath_start, final.needles_stop), about))
    return made


def _vertical(flight: Flight, final: Final, index: IntArray, about: About) -> list[Finding]:
    deviations = flight.deviations
    doubt_ft = deviations.judged.against_glidepath_ft
    made = [
        found(
            flight,
            tolerance,
            flight.series(index, deviations.vertical_needle, doubt_ft / deviations.vertical_full_scale_ft, tolerance),
            about,
        )
        for tolerance in flight.tolerances(Quantity.VERTICAL_NEEDLE, final.segment, final.approach)
    ]
    for tolerance in flight.tolerances(Quantity.VERTICAL_DEVIATION, final.segment, final.approach):
        series = flight.series(index, deviations.vertical_deviation_ft, doubt_ft, tolerance)
        high = _high_side(flight, final, series, tolerance)
        made.append(found(flight, tolerance, dataclasses.replace(series, high=high), about))
    return made


def _high_side(flight: Flight, final: Final, series: Series, tolerance: Tolerance) -> FloatArray:
    """The high bound where it binds: at or below a height above the aerodrome, for which the threshold's elevation
    stands."""
    runway, below_ft = final.approach.runway, tolerance.high_below_height_ft
    if below_ft is None or runway is None:
        return series.high
    height_ft = flight.altitude_ft[series.index] - runway.elevation_ft
    return np.where(height_ft <= below_ft, series.high, np.inf)
