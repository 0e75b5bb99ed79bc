"""Holds, course reversals and DME arcs as tables: a line a circuit, a reversal, an arc."""

from __future__ import annotations

import math

from legwise.look import words
from legwise.model.results import ArcResult, CircuitResult, DebriefResult, HoldResult, ReversalResult
from legwise.report.content import ManoeuvreRow, ManoeuvreTable
from legwise.report.times import between, clock, clock_or_none, span

_NAME = 60


def manoeuvre_tables(result: DebriefResult) -> tuple[ManoeuvreTable, ...]:
    """The tables that have a row, in a fixed order."""
    assessment = result.assessment
    tables = (
        ManoeuvreTable(
            title="Holds",
            caption="Each circuit runs from the fix back to it; its legs are timed with the wings level.",
            kind="hold",
            columns=(
                ("Inbound course", False), ("Entry", False), ("From the fix at", False), ("Outbound", True),
                ("Inbound", True), ("Farthest from the inbound course", True),
            ),
            rows=tuple(row for hold in assessment.holds for row in _hold_rows(hold)),
        ),
        ManoeuvreTable(
            title="Course reversals",
            caption="From the fix until established on the course back.",
            kind="course reversal",
            columns=(
                ("Kind", False), ("Side", False), ("From the fix at", False), ("Established inbound", False),
                ("Farthest from the fix", True),
            ),
            rows=tuple(map(_reversal_row, assessment.reversals)),
        ),
        ManoeuvreTable(
            title="DME arcs",
            caption="Off the arc by distance from the station, the turns on and off it left out.",
            kind="arc",
            columns=(("Radius", False), ("Time", False), ("On average", True), ("Farthest off", True)),
            rows=tuple(map(_arc_row, assessment.arcs)),
        ),
    )  # fmt: skip
    return tuple(table for table in tables if table.rows)


def _hold_rows(hold: HoldResult) -> list[ManoeuvreRow]:
    """A row for the hold with its entry, then one for each circuit."""
    name = words.clean(hold.fix, longest=_NAME)
    entry = f"{hold.entry} entry" if hold.entry is not None else "the log does not show it"
    whole = ManoeuvreRow(
        name=f"{name}, {hold.turn} turns",
        cells=(_course(hold), entry, between(hold.entered_at, hold.left_at), "", "", ""),
        span=span(hold.entered_at, max(hold.left_at, hold.entered_at)),
    )
    ends = [*(circuit.start for circuit in hold.circuits[1:]), hold.left_at]
    return [
        whole,
        *(
            ManoeuvreRow(
                name=f"{name}, circuit {number}",
                cells=("", "", clock(circuit.start), *_circuit(circuit)),
                span=span(circuit.start, max(end, circuit.start)),
            )
            for number, (circuit, end) in enumerate(zip(hold.circuits, ends, strict=False), start=1)
        ),
    ]


def _course(hold: HoldResult) -> str:
    if hold.inbound_course_deg_mag is not None:
        return f"{_degrees(hold.inbound_course_deg_mag)} magnetic"
    return f"{_degrees(hold.inbound_course_deg_true)} true"


def _degrees(course_deg: float) -> str:
    return f"{round(course_deg) % 360:03d}°"


def _circuit(circuit: CircuitResult) -> tuple[str, str, str]:
    farthest = circuit.inbound_cross_track_nm.max_abs
    return (
        _seconds(circuit.outbound_s),
        _seconds(circuit.inbound_s),
        words.NOT_RECORDED if farthest is None else words.amount(farthest, "nm"),
    )


def _seconds(seconds: float | None) -> str:
    return words.NOT_RECORDED if seconds is None else words.duration(seconds)


def _reversal_row(reversal: ReversalResult) -> ManoeuvreRow:
    established, far = reversal.established_inbound_at, reversal.max_distance_nm
    return ManoeuvreRow(
        name=words.clean(reversal.fix, longest=_NAME),
        cells=(
            reversal.kind.replace("-", " "),
            reversal.side,
            clock(reversal.start),
            "not established" if established is None else clock(established),
            words.NOT_RECORDED if far is None else words.amount(far, "nm"),
        ),
        span=span(reversal.start, max(established or reversal.start, reversal.start)),
    )


def _arc_row(arc: ArcResult) -> ManoeuvreRow:
    error = arc.radius_error_nm
    farthest = words.NOT_RECORDED
    if error.max_abs is not None:
        farthest = f"{words.amount(error.max_abs, 'nm')} at {clock_or_none(error.at_max)}"
    return ManoeuvreRow(
        name=words.clean(arc.centre, longest=_NAME),
        cells=(
            words.amount(arc.radius_nm, "nm"),
            between(arc.start, arc.end),
            words.cross_track(math.nan if error.mean is None else error.mean),
            farthest,
        ),
        span=span(arc.start, max(arc.end, arc.start), error.at_max),
    )
