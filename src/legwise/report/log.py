"""The page's last part: how good the log was, how it was measured, and the cautions."""

from __future__ import annotations

import numpy as np

from legwise.look import words
from legwise.model.results import DebriefResult
from legwise.model.track import AltitudeKind
from legwise.report.content import FaultRow, LogView
from legwise.report.times import between, day

_SIGNS = (
    "Every deviation is the aircraft's place: right of course, or high. The needle points back to the path: right of "
    "course is needle left; high is glidepath below. A needle's figure is the deviation over its full scale."
)
_PATHS = "Distances run along the WGS 84 ellipsoid at the recorded positions; nothing is smoothed before it is judged."
_VERDICTS = (
    "Within or outside only where the doubt (95 %) leaves no other reading; else undecided. "
    "What was not recorded is never a pass. A verdict is not a grade."
)
_KNOWS_ONLY = (
    "A debrief knows only what was recorded and what the lesson file says. "
    "Traffic, weather, what the instructor asked for and what was said but not written down are not in it."
)
_KIND_WORDS = {
    AltitudeKind.INDICATED: "as indicated",
    AltitudeKind.PRESSURE: "pressure altitude",
    AltitudeKind.GNSS_MSL: "GNSS height above sea level",
    AltitudeKind.GNSS_ELLIPSOID: "GNSS height above the ellipsoid",
    AltitudeKind.UNKNOWN: "of unknown kind, its doubt widened",
}


def log_view(result: DebriefResult) -> LogView:
    """What was in the log, what was mended, and the notes made on the way."""
    summary = result.summary_of_track
    left_out = summary.samples - summary.kept
    channels = ", ".join(words.clean(channel, longest=60) for channel in summary.channels)
    lines = (
        ("File", f"{words.clean(summary.file, longest=200)} ({words.clean(summary.format, longest=60)})"),
        ("Time", f"{day(summary.start)}, {between(summary.start, summary.end)}"),
        ("Samples", f"{words.number(summary.samples)} read, {words.number(summary.kept)} kept, {left_out} left out"),
        ("Rate", rate_words(summary.rate_hz)),
        ("Gaps", gap_words(result)),
        *flown_words(result),
        ("Channels", channels or "position and time only"),
        ("Altitude", words.clean(result.deviations.judged.words) or altitude_words(result)),
        ("Position", words.clean(result.deviations.horizontal_words) or "no accuracy stated"),
    )
    faults = tuple(
        FaultRow(
            kind=words.clean(fault.kind.replace("-", " "), longest=60),
            count=words.number(fault.count),
            detail=words.clean(fault.detail),
        )
        for fault in summary.faults
    )
    notes = dict.fromkeys(words.clean(note) for note in (*summary.notes, *result.track.source.notes))
    return LogView(lines=lines, faults=faults, notes=tuple(notes))


def rate_words(rate_hz: float) -> str:
    """``"1 sample a second"``, ``"a sample every 5 s"``."""
    if rate_hz >= 0.95:
        return f"{rate_hz:.3g} samples a second".replace("1 samples", "1 sample")
    return f"a sample every {1 / rate_hz:.3g} s"


def gap_words(result: DebriefResult) -> str:
    """How many gaps and how long together."""
    time_s = result.track.samples.time_s
    held = result.track.held
    # What is held has edges of its own, one interval long, which are no gaps.
    edge_s = 2.0 * result.track.interval_s
    gaps = [
        (before, after)
        for before, after in result.track.gaps
        if held is None or not (held[before] or held[after]) or time_s[after] - time_s[before] > edge_s
    ]
    if not gaps:
        return "none"
    total = sum(float(time_s[after] - time_s[before]) for before, after in gaps)
    return f"{len(gaps)}, {words.duration(total)} together; nothing is claimed across them"


def flown_words(result: DebriefResult) -> tuple[tuple[str, str], ...]:
    """What of the log was not flown as its clock says: held positions, pauses, accelerated time; nothing otherwise."""
    track = result.track
    time_s, factor = track.samples.time_s, track.time_factor
    lines: list[tuple[str, str]] = []
    if track.breaks:
        jumps = f"{len(track.breaks)} {'jump' if len(track.breaks) == 1 else 'jumps'}"
        lines.append(("Parts", f"{jumps}: {len(track.breaks) + 1} parts, each with legs and approaches of its own"))
    if track.held is not None:
        share = f"{words.number(int(track.held.sum()))} of {words.number(len(track))} samples"
        lines.append(("Held", f"the position is not that of the time in {share}; no figure counts them"))
    if factor is not None:
        seconds = np.diff(time_s)
        paused_s, other = float(seconds[factor[1:] == 0.0].sum()), (factor[1:] != 0.0) & (factor[1:] != 1.0)
        if paused_s:
            lines.append(("Pauses", f"{words.duration(paused_s)} in all, cut out of every duration"))
        if other.any():
            rates = " and ".join(f"{rate:.3g}" for rate in np.unique(factor[1:][other])[:5])
            took = words.duration(float(seconds[other].sum()))
            lines.append(("Accelerated", f"{took} of the log at {rates} times; durations there are those flown"))
    return tuple(lines)


def altitude_words(result: DebriefResult) -> str:
    """The altitude that was judged, by kind."""
    kind = result.deviations.judged.kind
    return "no altitude was recorded" if kind is None else _KIND_WORDS[kind]


def log_line(result: DebriefResult) -> str:
    """How good the log was, in one line."""
    summary = result.summary_of_track
    faults = sum(fault.count for fault in summary.faults)
    mended = (
        f"{words.number(faults)} {'fault' if faults == 1 else 'faults'} found, listed below"
        if faults
        else "nothing to mend"
    )
    kind = result.deviations.judged.kind
    altitude = "no altitude recorded" if kind is None else f"altitude: {_KIND_WORDS[kind]}"
    return f"Log: {rate_words(summary.rate_hz)}, {words.number(summary.kept)} samples; {altitude}; {mended}."


def method_lines(result: DebriefResult) -> tuple[tuple[str, str], ...]:
    """Units, signs, doubts, notes of every stage, version and input, as labelled paragraphs."""
    standard = result.standard
    notes = dict.fromkeys(
        words.clean(note) for note in (*result.plan.notes, *result.alignment.notes, *result.deviations.notes)
    )
    lines = [
        ("Units", "Nautical miles, feet, knots; times in UTC, marked Z; courses true unless marked magnetic."),
        ("Signs", _SIGNS),
        ("Paths", _PATHS),
        ("Verdicts", _VERDICTS),
        ("Standard", f"{words.clean(standard.title)} ({words.clean(standard.document)})"),
        *(("Standard", words.clean(caution)) for caution in standard.cautions),
        *(("Note", note) for note in notes),
        ("Plan", _plan_words(result)),
        ("Version", f"Legwise {words.clean(result.version, longest=40)}"),
        (
            "Input",
            f"SHA-256 of the track file: {words.clean(result.summary_of_track.sha256, longest=64) or 'not a file'}",
        ),
    ]
    return tuple(lines)


def _plan_words(result: DebriefResult) -> str:
    source = {"none": "no route was given", "lesson": "from the lesson file", "--route": "from the call"}
    words_ = source.get(result.plan.source, f"from the {words.clean(result.plan.source, longest=40)}")
    legs, approaches = len(result.plan.route), len(result.plan.approaches)
    return (
        f"Route: {words_}; {legs} route {'leg' if legs == 1 else 'legs'}, "
        f"{approaches} {'approach' if approaches == 1 else 'approaches'} planned."
    )


def cautions_of(result: DebriefResult) -> tuple[str, ...]:
    """What every reader must know."""
    device = result.lesson.lesson.device
    simulated = ("Recorded in a simulator.",) if device == "simulator" else ()
    return (
        words.CAUTION,
        _KNOWS_ONLY,
        *simulated,
    )
