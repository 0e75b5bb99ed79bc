"""The debrief file ``debrief.json``, version 1, as types. Its JSON Schema is made from these; the keys are a promise.

Keys are only ever added within one version; a reader skips what it does not know.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from legwise.model.results import Verdict
from legwise.record.values import (
    Degrees,
    Instant,
    MaybeDegrees,
    MaybeFeet,
    MaybeNeedle,
    MaybeNm,
    MaybeNumber,
    Nm,
    Number,
    PositionDegrees,
    Text,
)

SCHEMA_NAME = "legwise.debrief/1"


class Entry(BaseModel):
    """An object of the file: read from the model's attributes of the same names; no NaN, no infinity."""

    model_config = ConfigDict(from_attributes=True, frozen=True, allow_inf_nan=False)


class FaultEntry(Entry):
    """One kind of defect found in the log."""

    kind: Text
    count: int
    detail: Text


class PlaceEntry(Entry):
    """A position. [WGS 84 degrees]"""

    lat_deg: PositionDegrees
    lon_deg: PositionDegrees


class FlightEntry(Entry):
    """One of the flights in the log; ``number`` is what ``--flight`` chooses it by, ``samples`` counts as the log's."""

    number: int
    start: Instant
    end: Instant
    samples: int
    aircraft: Text | None
    from_: PlaceEntry = Field(serialization_alias="from")
    to: PlaceEntry


class TrackEntry(Entry):
    """What was in the log; ``sha256`` is of the file as given. ``flights`` are those in it, or the one taken of it."""

    file: Text
    format: Text
    samples: int
    kept: int
    start: Instant
    end: Instant
    rate_hz: Number
    channels: tuple[Text, ...]
    altitude_source: Text
    faults: tuple[FaultEntry, ...]
    sha256: Text
    notes: tuple[Text, ...]
    flights: tuple[FlightEntry, ...] = ()
    altitude_reason: Text = ""


class CrossTrackEntry(Entry):
    """Right of the path positive. [NM]"""

    mean: MaybeNm
    rms: MaybeNm
    p95_abs: MaybeNm
    max_abs: MaybeNm
    at_max: Instant | None


class AltitudeErrorEntry(Entry):
    """High positive. [ft]"""

    mean: MaybeFeet
    p95_abs: MaybeFeet
    max_abs: MaybeFeet
    at_max: Instant | None


class NeedleEntry(Entry):
    """Deviation over full scale, sizes only."""

    p95_abs: MaybeNeedle
    max_abs: MaybeNeedle
    at_max: Instant | None


class LegEntry(Entry):
    """A leg as flown."""

    id: Text
    kind: Text
    from_: Text = Field(serialization_alias="from")
    to: Text
    course_deg_true: MaybeDegrees
    course_deg_mag: MaybeDegrees
    distance_nm: MaybeNm
    start: Instant
    end: Instant
    cross_track_nm: CrossTrackEntry
    altitude_error_ft: AltitudeErrorEntry


class ApproachEntry(Entry):
    """An approach as flown; needle figures from the final approach fix to the minima."""

    airport: Text
    procedure: Text
    title: Text
    guidance: Text | None
    runway: Text
    joined_at: Instant | None
    outcome: Literal["landed", "touch-and-go", "missed", "low-approach", "discontinued"] | None
    circled: bool
    lowest_altitude_ft: MaybeFeet
    minima_ft: MaybeFeet
    lateral_needle: NeedleEntry
    vertical_needle: NeedleEntry


class ClearanceEntry(Entry):
    """An instruction, said or inferred; its values stand beside these under the lesson file's own keys."""

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, JsonValue]

    time: Instant
    effect: Instant
    origin: Literal["said", "inferred"]
    kind: Text
    text: Text
    confidence: MaybeNumber
    doubt: Text


class FindingEntry(Entry):
    """A limit, the worst value, when, how long, how sure, and where the limit was published. Not a grade.

    ``open`` says what keeps an undecided one so: the log's accuracy, or an instruction that is in question.
    """

    id: Text
    standard: Text
    task: Text
    what: Text
    fix: Text | None
    verdict: Verdict
    limit: Number
    unit: Literal["ft", "nm", "scale", "deg", "kt", "s", "fpm", "ft/nm"]
    worst: MaybeNumber
    at_worst: Instant | None
    outside_s: Number
    excursions: int
    correcting_after_s: MaybeNumber
    uncertainty: Number
    from_: Instant = Field(serialization_alias="from")
    to: Instant
    source: Text
    leg: Text | None
    reason: Text
    open: Literal["log", "instruction"] | None = None


class CauseEntry(Entry):
    """A hypothesis with its evidence."""

    kind: Text
    confidence: Literal["recorded", "fits", "possible"]
    text: Text
    from_: Instant = Field(serialization_alias="from")
    to: Instant
    evidence: dict[str, JsonValue]


class SummaryEntry(Entry):
    """What is read first."""

    went_well: tuple[Text, ...]
    work_on: tuple[Text, ...]
    next_lesson: tuple[Text, ...]
    questions: tuple[Text, ...]


class FactEntry(Entry):
    """What is worth telling and is neither finding nor cause."""

    time: Instant
    text: Text


class InboundEntry(Entry):
    """The largest cross-track of an inbound leg. [NM]"""

    max_abs: MaybeNm


class CircuitEntry(Entry):
    """One circuit of a hold, from fix to fix.

    ``outbound_s`` runs from abeam the fix or wings level, whichever is later, to the inbound turn, ``inbound_s`` from
    the end of that turn to the fix; null where the log does not tell.
    """

    start: Instant
    outbound_s: MaybeNumber
    inbound_s: MaybeNumber
    inbound_cross_track_nm: InboundEntry


class HoldEntry(Entry):
    """A hold as flown; ``entry`` is null where the log does not show it."""

    fix: Text
    turn: Literal["left", "right"]
    inbound_course_deg_true: Degrees
    inbound_course_deg_mag: MaybeDegrees
    entry: Literal["direct", "parallel", "teardrop"] | None
    entered_at: Instant
    left_at: Instant
    circuits: tuple[CircuitEntry, ...]


class ReversalEntry(Entry):
    """A course reversal as flown."""

    fix: Text
    kind: Literal["procedure-turn", "hold-in-lieu", "base-turn", "racetrack"]
    side: Literal["left", "right"]
    max_distance_nm: MaybeNm
    start: Instant
    established_inbound_at: Instant | None


class RadiusErrorEntry(Entry):
    """Outside a clockwise arc is left of it: the sign is that of cross-track. Outside the turns on and off it. [NM]"""

    mean: MaybeNm
    max_abs: MaybeNm
    at_max: Instant | None


class ArcEntry(Entry):
    """A DME arc as flown."""

    centre: Text
    radius_nm: Nm
    start: Instant
    end: Instant
    radius_error_nm: RadiusErrorEntry


class TurnEntry(Entry):
    """A turn at a fix."""

    at: Instant
    fix: Text
    from_course_deg_true: Degrees
    to_course_deg_true: Degrees
    lead_nm: Nm
    expected_lead_nm: Nm
    start: Instant
    end: Instant


class MissedEntry(Entry):
    """A missed approach as flown; ``approach`` counts in ``approaches`` from 0."""

    approach: int
    started_at: Instant
    started_ft: MaybeFeet
    before_map: bool
    climb_ft_per_nm: MaybeFeet
    turn_before_map: bool


class WindEntry(Entry):
    """The wind, where from, and how it is known."""

    from_deg_true: Degrees
    speed_kt: Number
    source: Text
    uncertainty_kt: Number


class ObjectiveEntry(Entry):
    """An objective in the instructor's words."""

    task: Text
    standard: Text | None


class LessonEntry(Entry):
    """The head of the lesson file; ``file`` is its name, empty without one."""

    file: Text
    title: Text | None
    date: dt.date | None
    student: Text | None
    instructor: Text | None
    standard: Text
    objective: tuple[ObjectiveEntry, ...]
    device: Literal["aeroplane", "simulator"] | None


class StandardEntry(Entry):
    """The standard that was applied, and what is to be known when reading a verdict by it."""

    name: Text
    document: Text
    title: Text
    cautions: tuple[Text, ...]


class PlanEntry(Entry):
    """Where the plan came from and what was assumed in it."""

    source: Text
    departure: Text | None
    destination: Text | None
    route_altitude_ft: MaybeFeet
    notes: tuple[Text, ...]


class AccuracyEntry(Entry):
    """How well the log knows the aircraft's place (95 %); ``altitude_ft`` is the altitude channel's own."""

    horizontal_nm: MaybeNm
    horizontal: Text
    altitude_ft: MaybeFeet
    altitude: Text


class DebriefFile(Entry):
    """A debrief of one flight. A training aid: not for navigation, not a grade."""

    schema_: Literal["legwise.debrief/1"] = Field(default="legwise.debrief/1", serialization_alias="schema")
    version: Text
    lesson: LessonEntry
    standard: StandardEntry
    track: TrackEntry
    plan: PlanEntry
    accuracy: AccuracyEntry
    legs: tuple[LegEntry, ...]
    approaches: tuple[ApproachEntry, ...]
    clearances: tuple[ClearanceEntry, ...]
    findings: tuple[FindingEntry, ...]
    causes: tuple[CauseEntry, ...]
    summary: SummaryEntry
    facts: tuple[FactEntry, ...]
    questions: tuple[Text, ...]
    notes: tuple[Text, ...]
    holds: tuple[HoldEntry, ...] = ()
    reversals: tuple[ReversalEntry, ...] = ()
    arcs: tuple[ArcEntry, ...] = ()
    turns: tuple[TurnEntry, ...]
    missed: tuple[MissedEntry, ...]
    wind: WindEntry | None = None
