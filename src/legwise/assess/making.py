"""A finding from a tolerance and a stretch of values."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Literal

import numpy as np

from legwise.assess.flight import Flight
from legwise.assess.judging import Judgement, Rule, Series, judge
from legwise.assess.reasons import clock, reason_of
from legwise.model.alignment import Instruction
from legwise.model.arrays import IntArray
from legwise.model.instants import epoch_s, instant
from legwise.model.results import Finding, Verdict
from legwise.model.standard import Segment, Tolerance

FT_PER_LEVEL = 100.0

SAME = 0.5
"""Values nearer than this are one. [ft] or [deg]"""

BESIDE_S = 90.0
"""An instruction written to the minute may have been given this far from its time: a minute, and the time to obey it.
Common practice, no published source. [s]"""

Assigns = Literal["heading", "altitude", "direct", "crossing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a finding is about besides its numbers; ``flown`` the altitude at a fix, for its sentence."""

    segment: Segment
    leg: str | None = None
    fix: str | None = None
    owed: float | None = None
    owed_as: Literal["", "at", "at or above", "at or below", "between"] = ""
    flown: float | None = None
    extra: str = ""


def rule_of(tolerance: Tolerance, *, instant_only: bool = False) -> Rule:
    """How the band of ``tolerance`` is read."""
    return Rule(
        strict=tolerance.strict, brief=tolerance.brief_high, brief_s=tolerance.brief_s or 0.0, instant=instant_only
    )


def found(flight: Flight, tolerance: Tolerance, series: Series, about: About, *, instant_only: bool = False) -> Finding:
    """The finding for ``series`` (at least one sample) against ``tolerance``. Its id is given later."""
    judgement = judge(series, rule_of(tolerance, instant_only=instant_only), flight.interval_s)
    return finding(flight, tolerance, judgement, about, first=int(series.index[0]), last=int(series.index[-1]))


def finding(
    flight: Flight, tolerance: Tolerance, judgement: Judgement, about: About, *, first: int, last: int
) -> Finding:
    """The finding for a judgement that covers the samples ``first`` to ``last``."""
    at_s = None if judgement.at is None else float(flight.time_s[judgement.at])
    extra = " ".join(text for text in (about.extra, _clock_words(flight, first, last)) if text)
    return Finding(
        id="",
        standard=flight.standard.document,
        task=tolerance.task,
        what=tolerance.quantity.value,
        fix=about.fix,
        verdict=judgement.verdict,
        limit=judgement.limit,
        unit=tolerance.unit,
        worst=judgement.worst,
        at_worst=None if at_s is None else instant(at_s),
        outside_s=judgement.outside_s,
        excursions=judgement.excursions,
        correcting_after_s=judgement.correcting_after_s,
        uncertainty=judgement.uncertainty,
        from_=instant(flight.time_s[first]),
        to=instant(flight.time_s[last]),
        source=str(tolerance.reference),
        leg=about.leg,
        reason=reason_of(tolerance, judgement, at_s, owed=about.owed, flown=about.flown, extra=extra),
        segment=about.segment.value,
        owed=about.owed,
        owed_as=about.owed_as,
        open="log" if judgement.verdict is Verdict.UNDECIDED else None,
    )


def _clock_words(flight: Flight, first: int, last: int) -> str:
    """What must be said of the log's clock from the sample ``first`` to ``last``; empty where it is the flight's."""
    if flight.track.time_factor is None or last <= first:
        return ""
    factors = np.unique(flight.track.time_factor[first + 1 : last + 1])
    fast = [f"{factor:.3g}" for factor in factors.tolist() if factor not in {0.0, 1.0}]
    told = []
    if fast:
        told.append(f"Time ran at {' and '.join(fast)} times here: seconds are those flown, not those of the log.")
    if factors[0] == 0.0:
        told.append("A pause in it is not counted.")
    return " ".join(told)


def leg_id(flight: Flight, sample: int) -> str | None:
    """The id of the leg at a sample, or None."""
    position = int(flight.alignment.leg[sample])
    return None if position < 0 else flight.alignment.legs[position].id


def lasting(flight: Flight, index: IntArray) -> float:
    """The time flown over the samples at ``index`` (ascending, at least one), each counted for its interval. [s]"""
    return float(flight.flown_s[index[-1]] - flight.flown_s[index[0]]) + flight.interval_s


def in_question(
    flight: Flight, made: Finding, index: IntArray, *, assigns: Assigns, owed: float | None = None, fix: str = ""
) -> Finding:
    """``made``, but open where it charges or may charge something and what was said is itself in question.

    Parameters
    ----------
    index
        The samples judged, ascending.
    assigns
        What the instruction assigned: a heading or altitude of ``owed``, a direct to ``fix``, a crossing of it.

    The instructions asked are those that assigned the value in force over the samples: the last given by their first,
    and any given again up to their last; where the times agree with none, the nearest that assigned it. A worst value
    just beside another heading or altitude given is asked of that one: written down a minute late, it was obeyed
    before. While one of them is doubted, no finding against the flying stands.
    """
    if made.verdict not in {Verdict.OUTSIDE, Verdict.UNDECIDED}:
        return made
    asked_of = [*_in_force(flight, index, assigns, owed, fix), *_beside(flight, made, assigns)]
    doubted = [item for item in asked_of if item.doubt]
    if not doubted:
        return made
    asked = doubted[-1]
    reason = f"{made.reason} What was said at {clock(asked.time_s)} is itself in question: {asked.doubt}"
    return dataclasses.replace(made, verdict=Verdict.UNDECIDED, reason=reason, open="instruction")


def _in_force(flight: Flight, index: IntArray, assigns: Assigns, owed: float | None, fix: str) -> list[Instruction]:
    first_s, last_s = flight.time_s[index[0]], flight.time_s[index[-1]]
    said = [
        item
        for item in flight.alignment.instructions
        if item.origin == "said" and _assigned(item, assigns, owed=owed, fix=fix)
    ]
    before = [item for item in said if _from_s(item) <= first_s]
    during = [item for item in said if first_s < _from_s(item) <= last_s]
    if before or during:
        return [*before[-1:], *during]
    return sorted(said, key=_from_s)[:1]


def _beside(flight: Flight, made: Finding, assigns: Assigns) -> list[Instruction]:
    """What assigned any heading or altitude close to the time of the worst value."""
    if made.at_worst is None or assigns not in {"heading", "altitude"}:
        return []
    at_s = epoch_s(made.at_worst)
    return [
        item
        for item in flight.alignment.instructions
        if item.origin == "said"
        and _gives(item, assigns)
        and min(abs(item.time_s - at_s), abs(item.effect_s - at_s)) <= BESIDE_S
    ]


def _gives(instruction: Instruction, assigns: Assigns) -> bool:
    said = instruction.clearance
    if assigns == "heading":
        return said.heading_deg_mag is not None or said.heading_deg_true is not None
    return any(value is not None for value in (instruction.assigned_altitude_ft, said.altitude_ft, said.flight_level))


def _from_s(instruction: Instruction) -> float:
    """When an instruction can first have been obeyed. [s]"""
    return min(instruction.time_s, instruction.effect_s)


def _assigned(instruction: Instruction, assigns: Assigns, *, owed: float | None, fix: str) -> bool:
    said = instruction.clearance
    if assigns == "direct":
        return said.direct == fix
    if assigns == "crossing":
        return said.crossing is not None and said.crossing.fix == fix
    if assigns == "heading":
        # A true heading is owed as a magnetic one, so its value can't be compared here.
        return said.heading_deg_true is not None or _is(said.heading_deg_mag, owed)
    level = said.flight_level
    spoken_ft = said.altitude_ft if level is None else level * FT_PER_LEVEL
    return _is(instruction.assigned_altitude_ft, owed) or _is(spoken_ft, owed)


def _is(value: float | None, owed: float | None) -> bool:
    return value is not None and owed is not None and abs(value - owed) < SAME
