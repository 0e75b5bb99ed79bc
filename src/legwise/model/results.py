"""Results: what a debrief says, as immutable values. Field names are those of ``debrief.json`` (``from_`` for
``from``).

Times are aware UTC datetimes; None stands for what was not recorded or did not happen.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from legwise.model.alignment import Alignment, Fact
from legwise.model.deviations import Deviations
from legwise.model.lesson import Lesson, Turn
from legwise.model.manoeuvres import HoldEntryName, ReversalKind
from legwise.model.plan import Plan
from legwise.model.standard import Standard, Unit
from legwise.model.track import Fault, Track


class Verdict(StrEnum):
    """Where a worst value stands against its limit. A verdict is not a grade."""

    WITHIN = "within"
    OUTSIDE = "outside"
    UNDECIDED = "undecided"
    NOT_RECORDED = "not recorded"
    NOT_APPLICABLE = "not applicable"
    SET_ASIDE = "set aside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A position. [WGS 84 degrees]"""

    lat_deg: float
    lon_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightSummary:
    """One of the flights in a log: ``number`` is what chooses it, ``samples`` counts as those of the log do.

    ``aircraft`` is its name where the log names several, else None.
    """

    number: int
    start: dt.datetime
    end: dt.datetime
    samples: int
    aircraft: str | None
    from_: Place
    to: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackSummary:
    """What was in the log; ``flights`` are those in it, or the one that was chosen.

    ``altitude_reason`` says in short why the altitude is taken for what ``altitude_source`` says.
    """

    file: str
    format: str
    samples: int
    kept: int
    start: dt.datetime
    end: dt.datetime
    rate_hz: float
    channels: tuple[str, ...]
    altitude_source: str
    faults: tuple[Fault, ...]
    sha256: str
    notes: tuple[str, ...]
    flights: tuple[FlightSummary, ...] = ()
    altitude_reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossTrackFigures:
    """Signed mean, root mean square, 95th percentile and largest size of cross-track, and when. Right positive. [NM]"""

    mean: float | None
    rms: float | None
    p95_abs: float | None
    max_abs: float | None
    at_max: dt.datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Signed mean, 95th percentile and largest size of a deviation, and when."""

    mean: float | None
    p95_abs: float | None
    max_abs: float | None
    at_max: dt.datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedleFigures:
    """95th percentile and largest size of a needle (fractions of full scale), and when."""

    p95_abs: float | None
    max_abs: float | None
    at_max: dt.datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegResult:
    """A leg as flown, in the order flown. ``ends`` says how it ends where it leads to no fix: "to 900 ft"."""

    id: str
    kind: str
    from_: str
    to: str
    course_deg_true: float | None
    course_deg_mag: float | None
    distance_nm: float | None
    start: dt.datetime
    end: dt.datetime
    cross_track_nm: CrossTrackFigures
    altitude_error_ft: Figures
    ends: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ApproachResult:
    """An approach as flown; needle figures cover the final approach fix to the minima."""

    airport: str
    procedure: str
    title: str
    guidance: str | None
    runway: str
    joined_at: dt.datetime | None
    outcome: str | None
    circled: bool
    lowest_altitude_ft: float | None
    minima_ft: float | None
    lateral_needle: NeedleFigures
    vertical_needle: NeedleFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceResult:
    """An instruction: said or inferred, with its values under the lesson's own keys in ``values``."""

    time: dt.datetime
    effect: dt.datetime
    origin: Literal["said", "inferred"]
    kind: str
    text: str
    confidence: float | None
    doubt: str
    values: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A limit, the worst value, when, how long, how sure, and where the limit was published.

    ``limit`` is the bound on the side of ``worst``, without sign; ``uncertainty`` 95 % in the same ``unit``, for an
    undecided one that of the sample that leaves it open;
    ``outside_s`` counts the time beyond the limit, doubt not added; ``correcting_after_s`` runs from the limit to the
    first movement back. ``segment`` is the stretch of flight in words, ``owed`` what was assigned or published (an
    altitude, a heading), None where the limit is about a path; ``owed_as`` how an altitude at a fix was: "at", "at or
    above", "at or below", "between". ``open`` says what keeps it undecided: the log's own accuracy ("log"), or an
    instruction that is itself in question ("instruction"); None with any other verdict. ``seen_at`` is when the runway
    was reported in sight, where that was after the minimum was passed.
    """

    id: str
    standard: str
    task: str
    what: str
    fix: str | None
    verdict: Verdict
    limit: float
    unit: Unit
    worst: float | None
    at_worst: dt.datetime | None
    outside_s: float
    excursions: int
    correcting_after_s: float | None
    uncertainty: float
    from_: dt.datetime
    to: dt.datetime
    source: str
    leg: str | None
    reason: str
    segment: str = ""
    owed: float | None = None
    owed_as: Literal["", "at", "at or above", "at or below", "between"] = ""
    open: Literal["log", "instruction"] | None = None
    seen_at: dt.datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A hypothesis with its evidence; ``kind`` is a stable word of the catalogue."""

    kind: str
    confidence: Literal["recorded", "fits", "possible"]
    text: str
    from_: dt.datetime
    to: dt.datetime
    evidence: Mapping[str, float | str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """The first thing read: at most three lines in each of the first two."""

    went_well: tuple[str, ...]
    work_on: tuple[str, ...]
    next_lesson: tuple[str, ...]
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnResult:
    """A turn at a fix, in the contract's terms."""

    at: dt.datetime
    fix: str
    from_course_deg_true: float
    to_course_deg_true: float
    lead_nm: float
    expected_lead_nm: float
    start: dt.datetime
    end: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class InboundFigures:
    """The largest cross-track of an inbound leg, without sign. [NM]"""

    max_abs: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitResult:
    """Once round a hold, from fix to fix; times of the legs as in :class:`legwise.model.manoeuvres.FlownCircuit`."""

    start: dt.datetime
    outbound_s: float | None
    inbound_s: float | None
    inbound_cross_track_nm: InboundFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldResult:
    """A hold as flown; ``left_at`` is the last time of the log where it was still flown then."""

    fix: str
    turn: Turn
    inbound_course_deg_true: float
    inbound_course_deg_mag: float | None
    entry: HoldEntryName | None
    entered_at: dt.datetime
    left_at: dt.datetime
    circuits: tuple[CircuitResult, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReversalResult:
    """A course reversal as flown; ``max_distance_nm`` is the farthest from its fix."""

    fix: str
    kind: ReversalKind
    side: Turn
    max_distance_nm: float | None
    start: dt.datetime
    established_inbound_at: dt.datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RadiusFigures:
    """Signed mean and largest size of the radius error of an arc, and when; the sign is that of cross-track. [NM]"""

    mean: float | None
    max_abs: float | None
    at_max: dt.datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcResult:
    """A DME arc as flown."""

    centre: str
    radius_nm: float
    start: dt.datetime
    end: dt.datetime
    radius_error_nm: RadiusFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedResult:
    """A missed approach: where and how high it was begun, and the climb."""

    approach: int
    started_at: dt.datetime
    started_ft: float | None
    before_map: bool
    climb_ft_per_nm: float | None
    turn_before_map: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """Everything counted: the figures by leg and approach, and the findings."""

    legs: tuple[LegResult, ...]
    approaches: tuple[ApproachResult, ...]
    clearances: tuple[ClearanceResult, ...]
    findings: tuple[Finding, ...]
    turns: tuple[TurnResult, ...]
    missed: tuple[MissedResult, ...]
    holds: tuple[HoldResult, ...] = ()
    reversals: tuple[ReversalResult, ...] = ()
    arcs: tuple[ArcResult, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Causes and the summary in words."""

    causes: tuple[Cause, ...]
    summary: Summary
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DebriefResult:
    """One flight, debriefed: the stages' results side by side. What page and record are made from."""

    track: Track
    lesson: Lesson
    plan: Plan
    alignment: Alignment
    deviations: Deviations
    standard: Standard
    summary_of_track: TrackSummary
    assessment: Assessment
    explanation: Explanation
    version: str
