"""Results in words for the terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from legwise.model.instants import iso_z
from legwise.model.plan import AltitudeWindow, Leg, Plan, PlannedApproach
from legwise.model.results import TrackSummary, Verdict
from legwise.tracks.flight_words import flight_line

if TYPE_CHECKING:
    from legwise.pipeline import Debrief

_COUNTED = {
    Verdict.OUTSIDE: "outside the limit",
    Verdict.UNDECIDED: "undecided",
    Verdict.WITHIN: "within",
    Verdict.NOT_RECORDED: "not recorded",
    Verdict.NOT_APPLICABLE: "not applicable",
    Verdict.SET_ASIDE: "set aside",
}


def debrief_lines(debrief: Debrief) -> list[str]:
    """A debrief in three or four lines."""
    result = debrief.result
    track = result.summary_of_track
    verdicts = Counter(finding.verdict for finding in debrief.findings)
    counted = ", ".join(f"{verdicts[verdict]} {words}" for verdict, words in _COUNTED.items() if verdicts[verdict])
    outcomes = ", ".join(approach.outcome or "log ends before its end" for approach in debrief.approaches)
    approaches = f"{len(debrief.approaches)} flown ({outcomes})" if outcomes else "none flown"
    lines = [
        f"flight: {iso_z(track.start)} to {iso_z(track.end)}, {track.kept} of {track.samples} samples kept",
        f"legs: {len(debrief.legs)} flown; approaches: {approaches}",
        f"against {result.standard.document} (not a grade): {counted or 'nothing that could be judged'}",
    ]
    questions = len(result.explanation.summary.questions)
    return [*lines, f"questions for the instructor: {questions}"] if questions else lines


def track_lines(summary: TrackSummary) -> Iterator[str]:
    """What is in a log."""
    yield f"file: {summary.file}"
    yield f"format: {summary.format}"
    yield f"samples: {summary.samples}, of which {summary.kept} kept"
    yield f"time: {iso_z(summary.start)} to {iso_z(summary.end)}"
    if len(summary.flights) > 1:
        yield f"flights: {len(summary.flights)}; --flight N takes one"
        for flight in summary.flights:
            yield f"  {flight_line(flight)}"
    yield f"rate: {summary.rate_hz:.4g} Hz"
    yield f"channels: {', '.join(summary.channels)}"
    reason = f" ({summary.altitude_reason})" if summary.altitude_reason else ""
    yield f"altitude: {summary.altitude_source}{reason}"
    for fault in summary.faults:
        yield f"fault: {fault.kind} ({fault.count}): {fault.detail}"
    for note in summary.notes:
        yield f"note: {note}"


def plan_lines(plan: Plan) -> Iterator[str]:
    """Every leg of a plan, a line each."""
    yield f"route ({plan.source})" + (f" at {plan.route_altitude_ft:.0f} ft" if plan.route_altitude_ft else "")
    yield from map(_leg_line, plan.route)
    for approach in plan.approaches:
        yield _approach_line(approach)
        yield from map(_leg_line, approach.legs)
        if approach.missed:
            yield "missed approach"
            yield from map(_leg_line, approach.missed)
    for note in plan.notes:
        yield f"note: {note}"


def _approach_line(approach: PlannedApproach) -> str:
    parts = [f"approach {approach.airport} {approach.title or approach.procedure}"]
    if approach.guidance:
        parts.append(approach.guidance)
    if approach.glidepath_deg is not None:
        parts.append(f"glidepath {approach.glidepath_deg:.2f}°")
    if approach.da_ft is not None:
        parts.append(f"DA {approach.da_ft:.0f} ft")
    if approach.mda_ft is not None:
        parts.append(f"MDA {approach.mda_ft:.0f} ft")
    return ", ".join(parts)


def _leg_line(leg: Leg) -> str:
    start = leg.from_fix.ident if leg.from_fix else ""
    magnetic = "" if leg.course_deg_mag is None else f"{leg.course_deg_mag:05.1f}° mag"
    true = "" if leg.course_deg_true is None else f"{leg.course_deg_true:05.1f}° true"
    distance = "" if leg.distance_nm is None else f"{leg.distance_nm:.2f} NM"
    columns = (
        f"  {leg.id:<6}", f"{leg.kind:<3}", f"{start:<7}", f"{leg.end_ident:<7}", f"{magnetic:<11}", f"{true:<12}",
        f"{distance:>9}", f" {_window(leg.altitude)}", leg.role or "",
    )  # fmt: skip
    return " ".join(columns).rstrip()


def _window(window: AltitudeWindow | None) -> str:
    if window is None:
        return ""
    low, high = window.low_ft, window.high_ft
    if low is not None and high is not None:
        return f"at {low:.0f} ft" if low == high else f"{low:.0f} to {high:.0f} ft"
    if low is not None:
        return f"at or above {low:.0f} ft"
    return "" if high is None else f"at or below {high:.0f} ft"
