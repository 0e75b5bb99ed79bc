"""The briefing: what a plan comes to at the planned speeds, leg by leg. Made by :mod:`legwise.plan`.

Nothing here depends on what was flown. What a plan and its lesson do not tell stays None; it is never 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from legwise.model.plan import Hold, LegPart

Entry = Literal["direct", "parallel", "teardrop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wind:
    """A wind to plan with: where it blows from, and how fast."""

    from_deg_true: float
    speed_kt: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTurn:
    """The turn at the end of a leg onto the course or heading of leg ``onto``. [deg], right positive.

    ``no_room``: the lead, with that of the turn at the other end, is longer than one of the two legs.
    ``turn_deg`` goes beyond ±180 where the procedure says the side. ``fix`` is where it is made, "" where it is
    made elsewhere. ``fly_over``: begun on passing the fix, so without a lead. ``lead_nm`` is how far before the fix a
    fly-by turn begins at the planned groundspeed, at 3 deg/s or 25 deg of bank, whichever needs less bank;
    ``lead_least_nm`` and ``lead_largest_nm`` bound what an aircraft may do. None without a planned groundspeed, and
    where no fly-by turn joins the two legs.
    """

    turn_deg: float
    onto: str
    fix: str
    fly_over: bool
    lead_nm: float | None = None
    lead_least_nm: float | None = None
    lead_largest_nm: float | None = None
    no_room: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LegBriefing:
    """A leg at its planned groundspeed. ``time_s`` is None without one, or where the leg has no length beforehand."""

    leg_id: str
    groundspeed_kt: float | None
    time_s: float | None
    turn: PlannedTurn | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTotal:
    """The legs of one part together; ``unmeasured`` counts those whose length the flight decides, left out here.

    ``approach`` is the index of the approach that an approach or missed part belongs to. ``time_s`` is None where any
    leg that has a length has no planned groundspeed.
    """

    part: LegPart
    approach: int | None
    distance_nm: float
    time_s: float | None
    unmeasured: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FinalBriefing:
    """The final approach of approach ``approach`` at its groundspeed.

    ``angle_deg`` is the glidepath's, or where none is published (``computed``) that of the line from the altitude of
    the final approach fix to the threshold crossing height. ``distance_nm`` and ``time_s`` run from the final approach
    fix to the missed approach point.
    """

    approach: int
    groundspeed_kt: float | None
    angle_deg: float | None
    computed: bool
    descent_fpm: float | None
    distance_nm: float | None
    time_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldBriefing:
    """A published hold with its entry.

    ``arrival_course_deg_true`` and ``arrival_course_deg_mag`` are those of the leg before it at the fix; with none,
    there are no entries. ``arrival_estimated``: that leg is a direct, which begins where the flight decides; its course
    then lies within ``arrival_within_deg`` to either side. ``entries`` are those that are good for every such course,
    two where they lie on the line between two sectors; or, where ``entry_depends``, those that one or another asks for.
    """

    leg_id: str
    hold: Hold
    arrival_course_deg_true: float | None
    arrival_course_deg_mag: float | None
    arrival_estimated: bool
    entries: tuple[Entry, ...]
    arrival_within_deg: float | None = None
    entry_depends: bool = False


@dataclass(frozen=True, kw_only=True)
class Briefing:
    """What a plan comes to: every leg of it in order, totals, finals and holds.

    ``speeds`` says in words which planned groundspeed was taken where, or that none is known.
    """

    legs: tuple[LegBriefing, ...]
    totals: tuple[PartTotal, ...]
    finals: tuple[FinalBriefing, ...]
    holds: tuple[HoldBriefing, ...]
    speeds: tuple[str, ...]
    wind: Wind | None = None

    def leg(self, leg_id: str) -> LegBriefing | None:
        """The leg of that id, or None."""
        return self._legs.get(leg_id)

    def final(self, approach: int) -> FinalBriefing | None:
        """The final approach of the approach of that index, or None."""
        return next((item for item in self.finals if item.approach == approach), None)

    def hold(self, leg_id: str) -> HoldBriefing | None:
        """The hold of the leg of that id, or None."""
        return self._holds.get(leg_id)

    def total(self, part: LegPart, approach: int | None = None) -> PartTotal | None:
        """The total of one part, or None where it has no legs."""
        return next((item for item in self.totals if item.part is part and item.approach == approach), None)

    @cached_property
    def _legs(self) -> dict[str, LegBriefing]:
        return {item.leg_id: item for item in self.legs}

    @cached_property
    def _holds(self) -> dict[str, HoldBriefing]:
        return {item.leg_id: item for item in self.holds}
