"""What the page shows: frozen values of display-ready strings and numeric series. Nothing here is computed.

Strings are plain text (templates escape them); arrays are read-only. A :class:`Span` says where on the time line a
row belongs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from legwise.model.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A stretch of time and the moment to look at in it. [ms since 1970-01-01 UTC]"""

    from_ms: int
    to_ms: int
    at_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The title block: the lesson's title, its facts (date, who, where), the standard, the log in a line,
    objectives, the banner ("": none).
    """

    title: str
    facts: tuple[str, ...]
    standard: str
    log: str
    objectives: tuple[str, ...]
    banner: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Series:
    """The samples that are drawn, one common index for every picture (shape (m,) each; NaN: nothing to draw).

    ``index`` is the sample of the track, or −1 for a place inserted in a gap, where every other value but the time is
    NaN. Signs as in
    the contract: right and high positive. ``outside`` is 1 where a finding "outside" holds, else 0.
    """

    index: IntArray
    time_ms: FloatArray
    east_nm: FloatArray
    north_nm: FloatArray
    altitude_ft: FloatArray
    assigned_ft: FloatArray
    owed_ft: FloatArray
    path_ft: FloatArray
    path_full_scale_ft: FloatArray
    lateral_needle: FloatArray
    vertical_needle: FloatArray
    groundspeed_kt: FloatArray
    ias_kt: FloatArray
    outside: IntArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ReadoutPart:
    """One phrase of the readout for every drawn sample: ``words[codes[i]]``."""

    name: str
    label: str
    words: tuple[str, ...]
    codes: IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of the time line: what was navigated by. ``role`` and ``hatching`` as in :mod:`legwise.look`."""

    label: str
    short: str
    start: str
    role: str
    hatching: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitBand:
    """A limit over a stretch of a needle: ``low`` to ``high`` on its scale."""

    low: float
    high: float
    words: str
    span: Span


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlanLine:
    """A line or area of the plan view. ``kind``: route, approach, missed, direct, turn, runway, or corridor (an
    area).
    """

    kind: str
    east_nm: FloatArray
    north_nm: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPoint:
    """A labelled point of the plan view. ``kind``: fix, runway, or said; ``place`` where its label goes ("top
    left").
    """

    kind: str
    label: str
    east_nm: float
    north_nm: float
    place: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlanPicture:
    """The plan view: local east and north in nautical miles, north up, the same scale both ways.

    ``grid_nm`` is the side of a square of the grid; ``box`` west, east, south, north.
    """

    lines: tuple[PlanLine, ...]
    points: tuple[PlanPoint, ...]
    grid_nm: float
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedAltitude:
    """A published altitude at a fix, by distance to go. [NM, ft] Either bound may be absent, not both."""

    label: str
    to_go_nm: float
    low_ft: float | None
    high_ft: float | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ProfilePicture:
    """An approach from the side: the drawn samples' distance to go to the threshold (NaN outside the approach), and
    what was published.
    """

    key: str
    to_go_nm: FloatArray
    path_to_go_nm: FloatArray
    path_ft: FloatArray
    path_half_band_ft: FloatArray
    published: tuple[PublishedAltitude, ...]
    minima_ft: float | None
    minima_label: str
    threshold_ft: float | None
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """A picture's text alternative: what it shows, and what it says (hidden while verdicts are hidden)."""

    title: str
    shows: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LegRow:
    """A leg as flown; ``worst_nm`` is the size behind ``worst``, to compare legs by (0 where there is none)."""

    name: str
    kind: str
    course: str
    distance: str
    times: str
    mean: str
    worst: str
    worst_nm: float
    worst_at: str
    altitude: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class ApproachCard:
    """An approach as flown: ``facts`` are plain, ``verdicts`` hold what a retelling must not see (label, words)."""

    key: str
    title: str
    facts: tuple[tuple[str, str], ...]
    verdicts: tuple[tuple[str, str], ...]
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidRow:
    """An instruction, said or inferred, with its number in the plan view."""

    number: str
    time: str
    effect: str
    text: str
    origin: str
    confirm: str
    inferred: bool
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnRow:
    """A turn at a fix."""

    fix: str
    at: str
    courses: str
    lead: str
    expected: str
    words: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class ManoeuvreRow:
    """A line about a hold, one of its circuits, a course reversal or an arc: a cell for each column of its table.

    ``name`` is what the row is about; ``cells`` hold the words of the other columns in order.
    """

    name: str
    cells: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class ManoeuvreTable:
    """A table of holds, course reversals or arcs: ``columns`` with whether each belongs to what a retelling must not
    see."""

    title: str
    caption: str
    kind: str
    columns: tuple[tuple[str, bool], ...]
    rows: tuple[ManoeuvreRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """A finding in words; ``glyph`` and ``css`` are its verdict's marks."""

    verdict: str
    glyph: str
    css: str
    what: str
    place: str
    limit: str
    worst: str
    at: str
    outside: str
    doubt: str
    source: str
    reason: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseRow:
    """A possible cause, how sure, and its evidence in words."""

    text: str
    confidence: str
    evidence: str
    times: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class FactRow:
    """Something seen, said or remarked, with its time ("" where it has none)."""

    time: str
    text: str
    span: Span | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRow:
    """A kind of defect in the log."""

    kind: str
    count: str
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogView:
    """How good the log was: labelled lines, faults, notes."""

    lines: tuple[tuple[str, str], ...]
    faults: tuple[FaultRow, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DebriefView:
    """The whole page before it is laid out. ``captions`` hold one entry for every picture there is; a picture
    without an entry is absent. ``questions_left`` counts those not among ``questions``; ``no_legs`` and
    ``no_approaches`` say why there are none.
    """

    head: Head
    went_well: tuple[str, ...]
    work_on: tuple[str, ...]
    next_lesson: tuple[str, ...]
    questions: tuple[str, ...]
    questions_left: int
    series: Series
    readout: tuple[ReadoutPart, ...]
    stretches: tuple[Stretch, ...]
    lateral_limits: tuple[LimitBand, ...]
    vertical_limits: tuple[LimitBand, ...]
    altitude_half_band_ft: float
    altitude_band_words: str
    plan: PlanPicture
    profiles: tuple[ProfilePicture, ...]
    captions: Mapping[str, Caption]
    legs: tuple[LegRow, ...]
    no_legs: str
    approaches: tuple[ApproachCard, ...]
    no_approaches: str
    said: tuple[SaidRow, ...]
    turns: tuple[TurnRow, ...]
    findings: tuple[FindingRow, ...]
    verdict_counts: tuple[tuple[str, str, str, int], ...]
    causes: tuple[CauseRow, ...]
    facts: tuple[FactRow, ...]
    log: LogView
    method: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    version: str
    manoeuvres: tuple[ManoeuvreTable, ...] = ()
