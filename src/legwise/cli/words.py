"""Results in words for the terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from legwise.model.instants import iso_z
from legwise.model.results import TrackSummary, Verdict
from legwise.tracks.flights.listing import flight_line

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
