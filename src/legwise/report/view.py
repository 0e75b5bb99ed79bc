"""From a result to a view: the one place where numbers become words and samples become series."""

from __future__ import annotations

import math

from legwise.look import words
from legwise.model.instants import instant
from legwise.model.results import DebriefResult
from legwise.model.standard import Quantity
from legwise.report.captions import captions_of
from legwise.report.content import DebriefView, Head
from legwise.report.flown import approach_cards, leg_rows, said_rows, stretches_of, turn_rows
from legwise.report.ground import plan_picture
from legwise.report.judged import cause_rows, fact_rows, finding_rows, limit_bands, verdict_counts
from legwise.report.log import cautions_of, log_line, log_view, method_lines
from legwise.report.manoeuvres import manoeuvre_tables
from legwise.report.profile import profiles_of
from legwise.report.sampling import drawn_samples, with_gap_places
from legwise.report.series import LocalPlane, readout_of, series_of
from legwise.report.times import day, hours

_BANNER = (
    "Some instructions were read from the track, not said. "
    "Findings on vectors and altitude are questions until the instructor confirms."
)

QUESTIONS_SHOWN = 6
"""After a flight more questions than this are not answered. The rest are counted, and stand beside what they ask
about. Common practice, no published source."""


def view_of(result: DebriefResult) -> DebriefView:
    """Everything the page says and draws, display-ready. Pure: the same result gives the same view."""
    index = with_gap_places(drawn_samples(result), result.track.gaps)
    plane = LocalPlane(result.track.samples.lat_deg, result.track.samples.lon_deg)
    series = series_of(result, index, plane)
    stretches = stretches_of(result)
    legs, approaches = leg_rows(result), approach_cards(result)
    findings = finding_rows(result, stretches)
    profiles = profiles_of(result, index)
    summary = result.explanation.summary
    questions = _cleaned(summary.questions)
    half_band_ft, band_words = _altitude_band(result)
    return DebriefView(
        head=_head(result),
        went_well=_cleaned(summary.went_well),
        work_on=_cleaned(summary.work_on),
        next_lesson=_cleaned(summary.next_lesson),
        questions=questions[:QUESTIONS_SHOWN],
        questions_left=max(len(questions) - QUESTIONS_SHOWN, 0),
        series=series,
        readout=readout_of(result, index),
        stretches=stretches,
        lateral_limits=limit_bands(result, Quantity.LATERAL_NEEDLE),
        vertical_limits=limit_bands(result, Quantity.VERTICAL_NEEDLE),
        altitude_half_band_ft=half_band_ft,
        altitude_band_words=band_words,
        plan=plan_picture(result, series, plane),
        profiles=profiles,
        captions=captions_of(result, series, legs, findings, approaches, profiles),
        legs=legs,
        no_legs=_no_legs(result),
        approaches=approaches,
        no_approaches=_no_approaches(result),
        said=said_rows(result),
        turns=turn_rows(result),
        findings=findings,
        verdict_counts=verdict_counts(findings),
        causes=cause_rows(result),
        facts=fact_rows(result),
        log=log_view(result),
        method=method_lines(result),
        cautions=cautions_of(result),
        version=words.clean(result.version, longest=40),
        manoeuvres=manoeuvre_tables(result),
    )


def _no_legs(result: DebriefResult) -> str:
    if not result.plan.route and not result.plan.approaches:
        return "No leg was flown that owed a path: no route was given."
    return "No leg was flown that owed a path: none of the route was joined."


def _no_approaches(result: DebriefResult) -> str:
    planned = len(result.plan.approaches)
    if planned == 0:
        return "No approach was planned, so none was looked for."
    return f"{'The approach that was' if planned == 1 else 'None of the approaches'} planned was " + (
        "not flown in this log." if planned == 1 else "flown in this log."
    )


def _cleaned(lines: tuple[str, ...]) -> tuple[str, ...]:
    cleaned = dict.fromkeys(words.clean(line) for line in lines)
    return tuple(line[:1].upper() + line[1:] for line in cleaned)


def _head(result: DebriefResult) -> Head:
    lesson = result.lesson.lesson
    date = day(instant(result.track.first_time_s))
    start, end = result.summary_of_track.start, result.summary_of_track.end
    people = (("Student", lesson.student), ("Instructor", lesson.instructor))
    facts = [f"{date}, {hours(start, end)}"]
    facts += [f"{who} {words.clean(name, longest=120)}" for who, name in people if name]
    aerodromes = _aerodromes(result)
    facts += [aerodromes] if aerodromes else []
    standard = result.standard
    objectives = tuple(
        words.clean(item.task) + (f": {words.clean(item.standard)}" if item.standard else "")
        for item in lesson.objective
    )
    inferred = any(row.origin == "inferred" for row in result.assessment.clearances)
    return Head(
        title=words.clean(lesson.title or "", longest=300) or f"Instrument flight of {date}",
        facts=tuple(facts),
        standard=f"Judged by {words.clean(standard.title)} ({words.clean(standard.document)}): {words.NOT_A_GRADE}.",
        log=log_line(result),
        objectives=objectives,
        banner=_BANNER if inferred else "",
    )


def _aerodromes(result: DebriefResult) -> str:
    ends = [words.clean(fix.ident, longest=60) for fix in (result.plan.departure, result.plan.destination) if fix]
    if len(ends) == 2 and ends[0] == ends[1]:
        return f"{ends[0]} and back"
    return " to ".join(ends)


def _altitude_band(result: DebriefResult) -> tuple[float, str]:
    """Half the band drawn about an assigned altitude, from the standard; none where it gives no number for it."""
    for tolerance in result.standard.tolerances:
        if (
            tolerance.quantity is Quantity.ALTITUDE
            and math.isfinite(tolerance.high)
            and tolerance.high == -tolerance.low
        ):
            return tolerance.high, f"± {words.amount(tolerance.high, 'ft')}"
    return 0.0, ""
