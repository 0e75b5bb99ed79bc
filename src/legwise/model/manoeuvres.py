"""Holds, course reversals and DME arcs as flown: when each began and ended, and the circuits of a hold.

Made by :mod:`legwise.align`. Samples are counted from 0, ``stop`` is exclusive; times are seconds since 1970-01-01 UTC,
between samples where the track was there between them; durations are flown, without pauses.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from legwise.model.lesson import Turn
from legwise.model.plan import Fix, Leg, Path

HoldEntryName = Literal["direct", "parallel", "teardrop"]
ReversalKind = Literal["procedure-turn", "hold-in-lieu", "base-turn", "racetrack"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlownCircuit:
    """Once round a hold, from fix to fix.

    ``outbound_s`` from abeam the fix or wings level outbound, whichever is later, to the start of the inbound turn;
    ``inbound_s`` from the end of the inbound turn to the fix: 0 where the wings were never level, None where the log
    does not tell (a gap). Wings level is a track rate below 1 deg/s, within 45 deg of the course. ``inbound`` are the
    samples of the inbound leg, start and stop; None where there are none.
    """

    start_s: float
    end_s: float
    outbound_s: float | None
    inbound_s: float | None
    inbound: tuple[int, int] | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownHold:
    """A hold from the first passage of its fix until it was left.

    ``turn`` and the inbound course are those said, else those published, else (``taken_from`` "flown") those flown;
    ``inbound_course_deg_mag`` is None where no magnetic model covers the date. ``inbound_path`` is the course to the
    fix. ``entry`` is what was flown after the first passage, None where the log does not show it. A direct entry's
    first circuit begins at the first passage. ``goes_on`` is true where the log ends in the hold. ``planned`` is the
    leg of the plan, None for a hold that was said.
    """

    fix: Fix
    turn: Turn
    inbound_course_deg_true: float
    inbound_course_deg_mag: float | None
    inbound_path: Path
    taken_from: Literal["said", "published", "flown"]
    entry: HoldEntryName | None
    entered_s: float
    left_s: float
    start: int
    stop: int
    circuits: tuple[FlownCircuit, ...]
    goes_on: bool
    planned: Leg | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownReversal:
    """A course reversal from the first passage of its fix until established inbound.

    ``side`` is the side of the outbound course that was flown on, of a hold in lieu that of its turns.
    ``established_s`` is the first time from which the aircraft stayed within half scale (0.35 NM without a needle) and
    30 deg of the inbound course, None where it never did; ``stop`` is then the end of what was flown of it.
    """

    fix: Fix
    kind: ReversalKind
    side: Turn
    start_s: float
    established_s: float | None
    start: int
    stop: int
    planned: Leg


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownArc:
    """A DME arc, between the bisectors of the turns onto it and off it; ``leg`` is its place among the legs flown."""

    centre: Fix
    radius_nm: float
    path: Path
    start_s: float
    end_s: float
    start: int
    stop: int
    leg: int
