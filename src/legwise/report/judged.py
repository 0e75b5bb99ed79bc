"""Rows of the page about the judging: findings with their limits, causes, facts."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator

from legwise.look import VERDICT_MARKS, words
from legwise.look.leg_words import leg_words
from legwise.model.instants import instant
from legwise.model.results import Cause, DebriefResult, Finding, Verdict
from legwise.model.standard import Quantity, Tolerance
from legwise.report.content import CauseRow, FactRow, FindingRow, LimitBand, Stretch
from legwise.report.flown import place_at
from legwise.report.times import between, clock, milliseconds, span

_ONE_SIDED = {"at or above": "below", "at or below": "above"}
_ORDER = (
    Verdict.OUTSIDE,
    Verdict.UNDECIDED,
    Verdict.WITHIN,
    Verdict.NOT_RECORDED,
    Verdict.SET_ASIDE,
    Verdict.NOT_APPLICABLE,
)
_OVER_LEGS = (Quantity.ALTITUDE.value, "airspeed")
_REPEATED = ("Largest: ", "Crossed ")
_CONFIDENCE = {
    "recorded": "recorded in the log",
    "fits": "fits the track; what else was tested did not",
    "possible": "a question: the track alone can't tell",
}


def finding_rows(result: DebriefResult, stretches: tuple[Stretch, ...]) -> tuple[FindingRow, ...]:
    """The findings, what is outside first, then in the order of time."""
    ordered = sorted(result.assessment.findings, key=lambda item: (_ORDER.index(item.verdict), item.from_, item.id))
    return tuple(_finding_row(result, finding, stretches) for finding in ordered)


def _finding_row(result: DebriefResult, finding: Finding, stretches: tuple[Stretch, ...]) -> FindingRow:
    mark = VERDICT_MARKS[finding.verdict]
    worst = finding.worst
    known = worst is not None and math.isfinite(worst)
    at = finding.at_worst
    return FindingRow(
        verdict=words.VERDICT_WORDS[finding.verdict],
        glyph=mark.glyph,
        css=mark.css,
        what=words.clean(finding.what, longest=200),
        place=_place(result, finding, stretches),
        limit=limit_words(result, finding),
        worst=_worst_words(finding, worst) if worst is not None and known else "not recorded",
        at="–" if at is None else clock(at),
        outside=_outside_words(finding),
        doubt=words.doubt(finding.uncertainty, finding.unit),
        source=_source(finding),
        reason=_reason(finding),
        span=span(finding.from_, finding.to, at),
    )


def _worst_words(finding: Finding, worst: float) -> str:
    """The worst value; at a fix whose altitude binds on one side, room to spare on the other is no deviation."""
    if finding.owed_as in _ONE_SIDED and round(worst) == 0:
        return f"not {_ONE_SIDED[finding.owed_as]}"
    return words.deviation(finding.what, finding.unit, worst)


def _outside_words(finding: Finding) -> str:
    """``"42 s in 2 stretches; correcting after 12 s"``; a dash where nothing was judged."""
    if finding.worst is None:
        return "–"
    if not finding.outside_s > 0:
        return "0 s"
    excursions = f" in {finding.excursions} stretches" if finding.excursions > 1 else ""
    back = finding.correcting_after_s
    coming_back = f"; correcting after {words.duration(back)}" if back is not None else ""
    return words.duration(finding.outside_s) + excursions + coming_back


def _reason(finding: Finding) -> str:
    """The reason without a first sentence that only repeats the columns beside it ("Largest: ... limit ...")."""
    reason = words.clean(finding.reason)
    if finding.worst is None or not reason.startswith(_REPEATED):
        return reason
    return reason.partition(". ")[2]


def _source(finding: Finding) -> str:
    source = words.clean(finding.source, longest=400)
    task = words.clean(finding.task, longest=80)
    return source if not task or task in source else f"{source} ({task})"


def _place(result: DebriefResult, finding: Finding, stretches: tuple[Stretch, ...]) -> str:
    if finding.fix:
        return f"at {words.clean(finding.fix, longest=60)}"
    middle = (milliseconds(finding.from_) + milliseconds(finding.to)) // 2
    legs, at = result.assessment.legs, finding.at_worst
    if at is not None and finding.what.startswith(_OVER_LEGS):  # begun on one leg, at its worst perhaps on another
        leg = next((leg for leg in legs if leg.start <= at <= leg.end), None)
    else:
        leg = next((leg for leg in legs if finding.leg is not None and leg.id == finding.leg), None)
    if leg is None:
        return place_at(stretches, middle if finding.at_worst is None else milliseconds(finding.at_worst))
    start, end, ends = (words.clean(text, longest=60) for text in (leg.from_, leg.to, leg.ends))
    return leg_words(leg.kind, start, end, ends)


def tolerance_of(result: DebriefResult, finding: Finding) -> Tolerance | None:
    """The tolerance that a finding was judged by: same quantity, task, unit, and a bound equal to its limit."""
    for tolerance in result.standard.tolerances:
        same = tolerance.task == finding.task and tolerance.unit == finding.unit
        if same and finding.what.startswith(tolerance.quantity.value):
            bounds = (abs(tolerance.low), abs(tolerance.high), tolerance.brief_high)
            if any(bound is not None and math.isclose(bound, finding.limit) for bound in bounds):
                return tolerance
    return None


def limit_words(result: DebriefResult, finding: Finding) -> str:
    """``"± 100 ft"``, ``"+100 ft, −0 ft"``, ``"three-quarter scale"`` (to either side), ``"not below"``."""
    tolerance = tolerance_of(result, finding)
    amount = words.scale(finding.limit) if finding.unit == "scale" else words.amount(finding.limit, finding.unit)
    if finding.owed_as in _ONE_SIDED:
        return f"{amount} {_ONE_SIDED[finding.owed_as]}"
    if tolerance is None:
        return "not below" if finding.limit == 0 and finding.what.startswith(("MDA", "DA")) else amount
    less = "less than " if tolerance.strict else ""
    low, high = tolerance.low, tolerance.high
    if math.isinf(high):
        return f"{less}{amount} below" if low < 0 else "not below"
    if math.isinf(low):
        return f"{less}{amount} above" if high > 0 else "not above"
    if not math.isclose(-low, high):
        return f"+{words.amount(high, finding.unit)}, \N{MINUS SIGN}{words.amount(-low, finding.unit)}"
    return f"{less}{amount}" if finding.unit == "scale" else f"{less}± {amount}"


def limit_bands(result: DebriefResult, quantity: Quantity) -> tuple[LimitBand, ...]:
    """The limits of a needle over the stretches where they were judged, to be drawn as bands."""
    bands = []
    for finding in result.assessment.findings:
        if not finding.what.startswith(quantity.value) or finding.unit != "scale" or not finding.to > finding.from_:
            continue
        tolerance = tolerance_of(result, finding)
        low, high = (-finding.limit, finding.limit) if tolerance is None else (tolerance.low, tolerance.high)
        bands.append(
            LimitBand(
                low=max(low, -9.0),
                high=min(high, 9.0),
                words=limit_words(result, finding),
                span=span(finding.from_, finding.to),
            )
        )
    return tuple(sorted(set(bands), key=lambda band: (band.span.from_ms, band.span.to_ms, band.low)))


def verdict_counts(findings: tuple[FindingRow, ...]) -> tuple[tuple[str, str, str, int], ...]:
    """For every verdict there is: glyph, CSS word, word, how many."""
    counts: dict[tuple[str, str, str], int] = {}
    for row in findings:
        key = (row.glyph, row.css, row.verdict)
        counts[key] = counts.get(key, 0) + 1
    return tuple((*key, count) for key, count in counts.items())


def cause_rows(result: DebriefResult) -> tuple[CauseRow, ...]:
    """Possible causes with how sure they are and what speaks for them."""
    return tuple(_cause_row(cause) for cause in result.explanation.causes)


def _cause_row(cause: Cause) -> CauseRow:
    evidence = "; ".join(_evidence(key, value) for key, value in sorted(cause.evidence.items()))
    return CauseRow(
        text=words.clean(cause.text),
        confidence=_CONFIDENCE[cause.confidence],
        evidence=evidence,
        times=between(cause.from_, cause.to),
        span=span(cause.from_, cause.to),
    )


_EVIDENCE_UNITS = {
    "nm": (2, " NM"),
    "ft": (0, " ft"),
    "kt": (0, " kt"),
    "s": (0, " s"),
    "deg": (0, "°"),
    "fpm": (0, " ft/min"),
}


def _evidence(key: str, value: float | str) -> str:
    name = words.clean(key.replace("_", " "), longest=60)
    if isinstance(value, str):
        return f"{name}: {words.clean(value, longest=200)}"
    head, _, unit = name.rpartition(" ")
    decimals, suffix = _EVIDENCE_UNITS.get(unit, (2, ""))
    if not math.isfinite(value):
        return f"{name}: not recorded"
    shown = words.number(value, decimals)
    if suffix:
        return f"{head}: {shown}{suffix}"
    return f"{name}: {shown.rstrip('0').rstrip('.') if '.' in shown else shown}"


def fact_rows(result: DebriefResult) -> tuple[FactRow, ...]:
    """What is worth telling and was neither finding nor cause; the lesson's own remarks, events and observations."""
    told = {(fact.time_s, words.clean(fact.text)) for fact in (*result.alignment.facts, *result.explanation.facts)}
    rows = [
        FactRow(time=clock(instant(time_s)), text=text, span=span(instant(time_s), instant(time_s)))
        for time_s, text in sorted(told)
        if math.isfinite(time_s)
    ]
    return (*rows, *_lesson_facts(result))


def _lesson_facts(result: DebriefResult) -> Iterator[FactRow]:
    lesson = result.lesson
    for remark in lesson.remark:
        yield FactRow(time=_lesson_time(remark.time), text=f"Remark: {words.clean(remark.text)}", span=None)
    for event in lesson.event:
        yield FactRow(time=_lesson_time(event.time), text=f"Noted: {event.what.replace('-', ' ')}", span=None)
    for seen in lesson.observed:
        done = {True: "done", False: "not done", None: "not said whether done"}[seen.done]
        yield FactRow(time="", text=f"Observed: {words.clean(seen.item)}: {done}", span=None)


def _lesson_time(time: dt.datetime | dt.time | str | None) -> str:
    if time is None:
        return ""
    if isinstance(time, dt.datetime):
        return clock(time) if time.tzinfo is not None else f"{time:%H:%M:%S}Z"
    return f"{time:%H:%M:%S}Z" if isinstance(time, dt.time) else f"{words.clean(time, longest=20)}Z"
