"""A debrief as the text of ``debrief.json``: the same result gives the same bytes, and the JSON Schema of it."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel

from legwise.model.instants import instant
from legwise.model.plan import Plan
from legwise.model.results import Cause, ClearanceResult, DebriefResult, Finding, TrackSummary
from legwise.record.schema import (
    AccuracyEntry,
    ApproachEntry,
    ArcEntry,
    CauseEntry,
    ClearanceEntry,
    DebriefFile,
    FactEntry,
    FindingEntry,
    HoldEntry,
    LegEntry,
    LessonEntry,
    MissedEntry,
    ObjectiveEntry,
    PlanEntry,
    ReversalEntry,
    StandardEntry,
    SummaryEntry,
    TrackEntry,
    TurnEntry,
)
from legwise.record.values import UNIT_DECIMALS, plain, rounded

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def record_json(result: DebriefResult) -> str:
    """The text of ``debrief.json``: UTF-8 as it stands, two blanks of indent, a newline at the end.

    Raises
    ------
    pydantic.ValidationError
        The result holds what the format can't say (an infinite figure, an unknown outcome): a fault of ours.
    """
    return json_text(debrief_file(result))


def track_json(summary: TrackSummary) -> str:
    """The ``track`` object of ``debrief.json`` alone."""
    return json_text(TrackEntry.model_validate(summary))


def json_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of ``debrief.json``."""
    schema = DebriefFile.model_json_schema(by_alias=True, mode="serialization")
    return {"$schema": _DIALECT, **schema}


def json_text(entry: BaseModel) -> str:
    """``entry`` as JSON text; NaN can't be written."""
    return dumped(entry.model_dump(mode="json", by_alias=True))


def dumped(value: object) -> str:
    """Plain values as JSON text; NaN can't be written."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def debrief_file(result: DebriefResult) -> DebriefFile:
    """``result`` as the debrief file's own types."""
    assessment, explanation, alignment = result.assessment, result.explanation, result.alignment
    facts = sorted({(fact.time_s, fact.text) for fact in (*explanation.facts, *alignment.facts)})
    return DebriefFile(
        version=result.version,
        lesson=_lesson(result),
        standard=StandardEntry.model_validate(result.standard),
        track=TrackEntry.model_validate(result.summary_of_track),
        plan=_plan(result.plan),
        accuracy=_accuracy(result),
        legs=tuple(map(LegEntry.model_validate, assessment.legs)),
        approaches=tuple(map(ApproachEntry.model_validate, assessment.approaches)),
        clearances=tuple(map(_clearance, assessment.clearances)),
        findings=tuple(map(_finding, assessment.findings)),
        causes=tuple(map(_cause, explanation.causes)),
        summary=SummaryEntry.model_validate(explanation.summary),
        facts=tuple(FactEntry(time=instant(time_s), text=text) for time_s, text in facts),
        questions=alignment.questions,
        notes=(*alignment.notes, *result.deviations.notes),
        holds=tuple(map(HoldEntry.model_validate, assessment.holds)),
        reversals=tuple(map(ReversalEntry.model_validate, assessment.reversals)),
        arcs=tuple(map(ArcEntry.model_validate, assessment.arcs)),
        turns=tuple(map(TurnEntry.model_validate, assessment.turns)),
        missed=tuple(map(MissedEntry.model_validate, assessment.missed)),
    )


def _lesson(result: DebriefResult) -> LessonEntry:
    head = result.lesson.lesson
    return LessonEntry(
        file=result.lesson.file,
        title=head.title,
        date=head.date,
        student=head.student,
        instructor=head.instructor,
        standard=result.standard.name,
        objective=tuple(map(ObjectiveEntry.model_validate, head.objective)),
        device=head.device,
    )


def _plan(plan: Plan) -> PlanEntry:
    return PlanEntry(
        source=plan.source,
        departure=plan.departure.ident if plan.departure else None,
        destination=plan.destination.ident if plan.destination else None,
        route_altitude_ft=plan.route_altitude_ft,
        notes=plan.notes,
    )


def _accuracy(result: DebriefResult) -> AccuracyEntry:
    deviations = result.deviations
    return AccuracyEntry(
        horizontal_nm=deviations.horizontal_accuracy_nm,
        horizontal=deviations.horizontal_words,
        altitude_ft=deviations.judged.accuracy_ft if deviations.judged.kind else None,
        altitude=deviations.judged.words,
    )


def _clearance(clearance: ClearanceResult) -> ClearanceEntry:
    """The instruction's own keys first, so that the record's win where both have one (``time``)."""
    own = {key: plain(value) for key, value in clearance.values.items()}
    entry = {name: getattr(clearance, name) for name in ClearanceEntry.model_fields}
    return ClearanceEntry.model_validate({**own, **entry})


def _finding(finding: Finding) -> FindingEntry:
    """A finding, its figures rounded as the quantity's unit is anywhere else in the file."""
    decimals = UNIT_DECIMALS[finding.unit]
    entry = FindingEntry.model_validate(finding)
    return entry.model_copy(
        update={
            "limit": rounded(entry.limit, decimals),
            "worst": None if entry.worst is None else rounded(entry.worst, decimals),
            "uncertainty": rounded(entry.uncertainty, decimals),
            "outside_s": rounded(entry.outside_s, UNIT_DECIMALS["s"]),
        }
    )


def _cause(cause: Cause) -> CauseEntry:
    entry = {name: getattr(cause, name) for name in CauseEntry.model_fields}
    return CauseEntry.model_validate({**entry, "evidence": plain(cause.evidence)})
