"""The figures of holds, course reversals and DME arcs: what was flown, before any limit."""

from __future__ import annotations

import numpy as np

from legwise.assess.figures import figures_of
from legwise.assess.flight import Flight
from legwise.model.arrays import FloatArray
from legwise.model.instants import instant, instant_or_none
from legwise.model.manoeuvres import FlownCircuit
from legwise.model.results import (
    ArcResult,
    CircuitResult,
    Figures,
    HoldResult,
    InboundFigures,
    RadiusFigures,
    ReversalResult,
)


def hold_results(flight: Flight) -> tuple[HoldResult, ...]:
    """The holds in the order flown."""
    return tuple(
        HoldResult(
            fix=hold.fix.ident,
            turn=hold.turn,
            inbound_course_deg_true=hold.inbound_course_deg_true,
            inbound_course_deg_mag=hold.inbound_course_deg_mag,
            entry=hold.entry,
            entered_at=instant(hold.entered_s),
            left_at=instant(hold.left_s),
            circuits=tuple(_circuit(flight, circuit) for circuit in hold.circuits),
        )
        for hold in flight.alignment.holds
    )


def _circuit(flight: Flight, circuit: FlownCircuit) -> CircuitResult:
    largest = None
    if circuit.inbound is not None:
        largest = _over(flight, flight.deviations.inbound_cross_track_nm, *circuit.inbound).max_abs
    return CircuitResult(
        start=instant(circuit.start_s),
        outbound_s=circuit.outbound_s,
        inbound_s=circuit.inbound_s,
        inbound_cross_track_nm=InboundFigures(max_abs=largest),
    )


def reversal_results(flight: Flight) -> tuple[ReversalResult, ...]:
    """The course reversals in the order flown."""
    return tuple(
        ReversalResult(
            fix=reversal.fix.ident,
            kind=reversal.kind,
            side=reversal.side,
            max_distance_nm=_over(
                flight, flight.deviations.from_reversal_fix_nm, reversal.start, reversal.stop
            ).max_abs,
            start=instant(reversal.start_s),
            established_inbound_at=instant_or_none(reversal.established_s),
        )
        for reversal in flight.alignment.reversals
    )


def arc_results(flight: Flight) -> tuple[ArcResult, ...]:
    """The arcs in the order flown."""
    found = []
    for arc in flight.alignment.arcs:
        error = _over(flight, flight.deviations.radius_error_nm, arc.start, arc.stop)
        found.append(
            ArcResult(
                centre=arc.centre.ident,
                radius_nm=arc.radius_nm,
                start=instant(arc.start_s),
                end=instant(arc.end_s),
                radius_error_nm=RadiusFigures(mean=error.mean, max_abs=error.max_abs, at_max=error.at_max),
            )
        )
    return tuple(found)


def _over(flight: Flight, column: FloatArray | None, start: int, stop: int) -> Figures:
    """The figures of a column from one sample to another (exclusive)."""
    values = np.full(stop - start, np.nan) if column is None else column[start:stop]
    return figures_of(flight.time_s[start:stop], values)
