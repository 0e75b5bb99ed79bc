"""The figures by leg, turn, approach, instruction and missed approach: what was flown, before any limit."""

from __future__ import annotations

import numpy as np

from legwise.assess.finals import Final
from legwise.assess.flight import Flight, planned_approach
from legwise.look.leg_words import ends_words
from legwise.model.alignment import FlownLeg, Instruction
from legwise.model.arrays import FloatArray
from legwise.model.instants import instant, instant_or_none
from legwise.model.results import (
    ApproachResult,
    ClearanceResult,
    CrossTrackFigures,
    Figures,
    LegResult,
    NeedleFigures,
    TurnResult,
)


def leg_results(flight: Flight) -> tuple[LegResult, ...]:
    """The legs in the order flown; their figures take every sample of the leg that has a value."""
    return tuple(_leg(flight, position, leg) for position, leg in enumerate(flight.alignment.legs))


def _leg(flight: Flight, position: int, leg: FlownLeg) -> LegResult:
    time_s = flight.time_s
    rows = np.flatnonzero(flight.alignment.leg == position)
    first, last = (int(rows[0]), int(rows[-1])) if rows.size else (leg.start, max(leg.start, leg.stop - 1))
    cross_track_nm = flight.deviations.cross_track_nm[rows]
    figures = figures_of(time_s[rows], cross_track_nm)
    known = cross_track_nm[np.isfinite(cross_track_nm)]
    return LegResult(
        id=leg.id,
        kind=leg.kind,
        from_=leg.from_ident,
        to=leg.to_ident,
        course_deg_true=leg.course_deg_true,
        course_deg_mag=leg.course_deg_mag,
        distance_nm=leg.distance_nm,
        start=instant(time_s[first]),
        end=instant(time_s[last]),
        cross_track_nm=CrossTrackFigures(
            mean=figures.mean,
            rms=float(np.sqrt(np.mean(known**2))) if known.size else None,
            p95_abs=figures.p95_abs,
            max_abs=figures.max_abs,
            at_max=figures.at_max,
        ),
        altitude_error_ft=figures_of(time_s[rows], flight.deviations.altitude_error_ft[rows]),
        ends=ends_words(leg.planned),
    )


def figures_of(time_s: FloatArray, values: FloatArray) -> Figures:
    """Signed mean, 95th percentile and largest size of the values that are known, and when; None without any."""
    known = np.flatnonzero(np.isfinite(values))
    if known.size == 0:
        return Figures(mean=None, p95_abs=None, max_abs=None, at_max=None)
    size = np.abs(values[known])
    largest = int(np.argmax(size))
    return Figures(
        mean=float(values[known].mean()),
        p95_abs=float(np.percentile(size, 95)),
        max_abs=float(size[largest]),
        at_max=instant(time_s[known[largest]]),
    )


def _needle_figures(flight: Flight, needle: FloatArray, start: int, stop: int) -> NeedleFigures:
    figures = figures_of(flight.time_s[start:stop], needle[start:stop])
    return NeedleFigures(p95_abs=figures.p95_abs, max_abs=figures.max_abs, at_max=figures.at_max)


def approach_results(flight: Flight, finals: tuple[Final, ...]) -> tuple[ApproachResult, ...]:
    """The approaches in the order flown."""
    by_position = {final.position: final for final in finals}
    return tuple(
        _approach(flight, position, by_position.get(position)) for position in range(len(flight.alignment.approaches))
    )


def _approach(flight: Flight, position: int, final: Final | None) -> ApproachResult:
    flown = flight.alignment.approaches[position]
    approach = planned_approach(flight.plan, flown)
    none = NeedleFigures(p95_abs=None, max_abs=None, at_max=None)
    lateral, vertical = none, none
    if final is not None:
        lateral = _needle_figures(flight, flight.deviations.lateral_needle, final.lateral_start, final.needles_stop)
        if final.glidepath_start is not None:
            needle = flight.deviations.vertical_needle
            vertical = _needle_figures(flight, needle, final.glidepath_start, final.needles_stop)
    joined_s = None if flown.joined is None else float(flight.time_s[flown.joined])
    return ApproachResult(
        airport=approach.airport,
        procedure=approach.procedure,
        title=approach.title,
        guidance=approach.guidance,
        runway=approach.runway.ident if approach.runway is not None else "",
        joined_at=instant_or_none(joined_s),
        outcome=flown.outcome,
        circled=flown.circled,
        lowest_altitude_ft=_lowest_ft(flight, flown.lowest, flown.start, flown.stop),
        minima_ft=approach.minima_ft,
        lateral_needle=lateral,
        vertical_needle=vertical,
    )


def _lowest_ft(flight: Flight, lowest: int | None, start: int, stop: int) -> float | None:
    """The altitude at the lowest sample, else the lowest recorded on the approach. [ft]"""
    if lowest is not None and np.isfinite(flight.altitude_ft[lowest]):
        return float(flight.altitude_ft[lowest])
    recorded = flight.altitude_ft[start:stop]
    recorded = recorded[np.isfinite(recorded)]
    return float(recorded.min()) if recorded.size else None


def clearance_results(flight: Flight) -> tuple[ClearanceResult, ...]:
    """What was said or read from the track, with its values under the lesson file's own keys."""
    return tuple(_clearance(instruction) for instruction in flight.alignment.instructions)


def _clearance(instruction: Instruction) -> ClearanceResult:
    values = instruction.clearance.model_dump(mode="json", exclude_none=True, exclude={"time", "time_accuracy_s"})
    return ClearanceResult(
        time=instant(instruction.time_s),
        effect=instant(instruction.effect_s),
        origin=instruction.origin,
        kind=instruction.kind,
        text=instruction.text,
        confidence=instruction.confidence,
        doubt=instruction.doubt,
        values=values,
    )


def turn_results(flight: Flight) -> tuple[TurnResult, ...]:
    """The turns at fixes, in the order flown."""
    return tuple(
        TurnResult(
            at=instant(turn.at_s),
            fix=turn.fix,
            from_course_deg_true=turn.from_course_deg_true,
            to_course_deg_true=turn.to_course_deg_true,
            lead_nm=turn.lead_nm,
            expected_lead_nm=turn.expected_lead_nm,
            start=instant(turn.start_s),
            end=instant(turn.end_s),
        )
        for turn in flight.alignment.turns
    )
