"""The alignment: for every sample what was navigated by, on which leg, and what had been said.

Made by :mod:`legwise.align` from a track and a plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.lesson import Clearance, PathTerminator
from legwise.model.manoeuvres import FlownArc, FlownHold, FlownReversal
from legwise.model.plan import Leg, Path


class Guidance(StrEnum):
    """What is navigated by."""

    LEG = "leg"
    DIRECT = "direct"
    VECTORS = "vectors"
    HOLD = "hold"
    PROCEDURE_TURN = "procedure-turn"
    ARC = "arc"
    MISSED = "missed"
    NONE = "none"


class Phase(StrEnum):
    """The phase of flight, as the needle's scale goes by it."""

    GROUND = "ground"
    DEPARTURE = "departure"
    EN_ROUTE = "en-route"
    TERMINAL = "terminal"
    APPROACH = "approach"
    MISSED = "missed"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownLeg:
    """A leg as flown: samples ``start`` to ``stop`` (exclusive), and the path that was owed.

    ``planned`` is the leg of the plan, or None for a direct, which has kind "DF", an empty ``from_ident`` and a path
    from where the turn toward the fix was begun, for a turn of 45 degrees or more from where it was rolled out of.
    ``path`` is None only for a leg that owes none. ``joined_part_way`` is true where the leg was joined after its start
    (from vectors, say); it is judged from the joining on. ``judged_from`` is the sample from which the path is owed,
    None where that is ``start``: the turn to a direct leads to no course yet.
    """

    id: str
    kind: PathTerminator
    from_ident: str
    to_ident: str
    path: Path | None
    course_deg_true: float | None
    course_deg_mag: float | None
    distance_nm: float | None
    start: int
    stop: int
    planned: Leg | None
    approach: int | None
    joined_part_way: bool = False
    judged_from: int | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Instruction:
    """An instruction with its place in time: what was said, or what the track was read as.

    ``time_s`` when it was said (UTC epoch seconds; resolved where the file said none), ``effect_s`` when it took
    effect: the turn or level change that obeys it, else its time. ``assigned_altitude_ft`` is what it assigned,
    levels converted. ``confidence`` from 0 to 1 for an inferred one, None for one that was said. ``doubt`` is a
    question for the instructor, empty where there is none.
    """

    origin: Literal["said", "inferred"]
    kind: str
    clearance: Clearance
    time_s: float
    time_accuracy_s: float
    effect_s: float
    text: str
    confidence: float | None = None
    doubt: str = ""
    assigned_altitude_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlownTurn:
    """A turn at a fix between two legs: where it began against where a fly-by turn would.

    ``lead_nm`` along the inbound leg from the start of the turn to the fix (negative: begun past it),
    ``expected_lead_nm`` the fly-by anticipation at the groundspeed flown. [nm] Times are epoch seconds.
    """

    fix: str
    at_s: float
    from_course_deg_true: float
    to_course_deg_true: float
    lead_nm: float
    expected_lead_nm: float
    start_s: float
    end_s: float
    start: int
    stop: int
    path: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlownApproach:
    """An approach as flown: from ``start`` to ``stop`` (exclusive); indices of its moments, None where they did not
    come.

    ``joined``: the first sample established on the inbound course; ``faf``: abeam the final approach fix; ``lowest``:
    the lowest sample before the climb or landing; ``missed_start``: the first sustained climb after it. ``outcome``
    is None while the log ends before one.
    """

    approach: int
    start: int
    stop: int
    joined: int | None
    faf: int | None
    lowest: int | None
    landing: int | None
    missed_start: int | None
    outcome: Literal["landed", "touch-and-go", "missed", "low-approach", "discontinued"] | None
    circled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something worth telling that is neither a finding nor a cause."""

    time_s: float
    text: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Alignment:
    """The story of the flight, sample by sample (arrays of shape (n,), read-only) and as events.

    ``leg`` indexes ``legs`` (-1: none); ``guidance`` and ``phase`` hold codes, positions in ``list(Guidance)`` and
    ``list(Phase)``; ``approach`` the index of the flown approach in ``approaches`` (-1: none); ``in_turn`` is true
    inside a fly-by turn and ``turn`` the index in ``turns`` there (-1 elsewhere). ``assigned_altitude_ft`` is the
    altitude assigned by what was said (or filed), NaN where none binds; ``altitude_owed`` is false while climbing or
    descending to it. ``heading_owed_deg_mag`` is the heading assigned, from the end of the turn onto it, NaN
    elsewhere. ``established`` is true from where the aircraft is on a published part of an approach. ``holds``,
    ``reversals`` and ``arcs`` are in the order flown; a hold in lieu is both a hold and a reversal.
    """

    leg: IntArray
    guidance: IntArray
    phase: IntArray
    approach: IntArray
    in_turn: BoolArray
    turn: IntArray
    assigned_altitude_ft: FloatArray
    altitude_owed: BoolArray
    heading_owed_deg_mag: FloatArray
    established: BoolArray
    legs: tuple[FlownLeg, ...]
    turns: tuple[FlownTurn, ...]
    approaches: tuple[FlownApproach, ...]
    instructions: tuple[Instruction, ...]
    questions: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    notes: tuple[str, ...] = ()
    holds: tuple[FlownHold, ...] = ()
    reversals: tuple[FlownReversal, ...] = ()
    arcs: tuple[FlownArc, ...] = ()


GUIDANCE_WORDS: tuple[str, ...] = tuple(item.value for item in Guidance)
PHASE_WORDS: tuple[str, ...] = tuple(item.value for item in Phase)
GUIDANCE_CODE: dict[Guidance, int] = {item: code for code, item in enumerate(Guidance)}
PHASE_CODE: dict[Phase, int] = {item: code for code, item in enumerate(Phase)}
