"""A finding from a tolerance and a stretch of values."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Literal

import numpy as np

from legwise.assess.flight import Flight
from legwise.assess.judging import Judgement, Rule, Series, judge
from legwise.assess.reasons import clock, reason_of
from legwise.model.instants import instant
from legwise.model.lesson import Clearance
from legwise.model.results import Finding, Verdict
from legwise.model.standard import Segment, Tolerance

FT_PER_LEVEL = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a finding is about besides its numbers."""

    segment: Segment
    leg: str | None = None
    fix: str | None = None
    owed: float | None = None
    owed_as: Literal["", "at", "at or above", "at or below", "between"] = ""
    extra: str = ""


def rule_of(tolerance: Tolerance, *, instant_only: bool = False) -> Rule:
    """How the band of ``tolerance`` is read."""
    return Rule(
        strict=tolerance.strict, brief=tolerance.brief_high, brief_s=tolerance.brief_s or 0.0, instant=instant_only
    )


def found(flight: Flight, tolerance: Tolerance, series: Series, about: About, *, instant_only: bool = False) -> Finding:
    """The finding for ``series`` (at least one sample) against ``tolerance``. Its id is given later."""
    judgement = judge(series, rule_of(tolerance, instant_only=instant_only), flight.track.interval_s)
    return finding(flight, tolerance, judgement, about, first=int(series.index[0]), last=int(series.index[-1]))


def finding(
    flight: Flight, tolerance: Tolerance, judgement: Judgement, about: About, *, first: int, last: int
) -> Finding:
    """The finding for a judgement that covers the samples ``first`` to ``last``."""
    at_s = None if judgement.at is None else float(flight.time_s[judgement.at])
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
        reason=reason_of(tolerance, judgement, at_s, owed=about.owed, extra=about.extra),
        segment=about.segment.value,
        owed=about.owed,
        owed_as=about.owed_as,
    )


def leg_id(flight: Flight, sample: int) -> str | None:
    """The id of the leg at a sample, or None."""
    position = int(flight.alignment.leg[sample])
    return None if position < 0 else flight.alignment.legs[position].id


def in_question(
    flight: Flight, made: Finding, *, first: int, assigns: Literal["heading", "altitude"], owed: float
) -> Finding:
    """``made``, but undecided where it is outside and what was said is itself in question.

    The instruction is the last one said, in force at sample ``first``, that assigned this value; while it is doubted,
    no finding against the flying stands.
    """
    if made.verdict is not Verdict.OUTSIDE:
        return made
    at_s = flight.time_s[first]
    said = [
        item
        for item in flight.alignment.instructions
        if item.origin == "said" and min(item.time_s, item.effect_s) <= at_s and _assigns(item.clearance, assigns, owed)
    ]
    if not said or not said[-1].doubt:
        return made
    reason = f"{made.reason} What was said at {clock(said[-1].time_s)} is itself in question: {said[-1].doubt}"
    return dataclasses.replace(made, verdict=Verdict.UNDECIDED, reason=reason)


def _assigns(clearance: Clearance, assigns: Literal["heading", "altitude"], owed: float) -> bool:
    if assigns == "heading":
        return clearance.heading_deg_mag is not None or clearance.heading_deg_true is not None
    level = clearance.flight_level
    assigned_ft = clearance.altitude_ft if level is None else level * FT_PER_LEVEL
    return assigned_ft is not None and bool(np.isclose(assigned_ft, owed, atol=0.5))
