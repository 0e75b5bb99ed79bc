"""What went well: up to three limits kept beyond the log's doubt, each with its number; the more telling first."""

from __future__ import annotations

import math

from legwise.explain import phrases
from legwise.look import words
from legwise.model.results import Assessment, ClearanceResult, Finding, Verdict
from legwise.model.standard import Quantity

MOST = 3

_RANK: dict[Quantity, int] = {
    Quantity.MDA: 1,
    Quantity.DA: 1,
    Quantity.CROSSING_ALTITUDE: 2,
    Quantity.ALTITUDE: 3,
    Quantity.LATERAL_NEEDLE: 4,
    Quantity.CROSS_TRACK: 4,
    Quantity.HEADING: 5,
    Quantity.TRACK: 6,
}

TIGHT = 0.5
"""A limit that was kept, but used up by more than this share, is no praise: it may be worth a drill. Common practice,
no published source."""

CONFIRMED_S = 60.0
"""A direct is the one that was given this near its beginning. [s]"""

_MOMENTS = frozenset({Quantity.CROSSING_ALTITUDE, Quantity.MDA, Quantity.DA})
_LATERAL = frozenset({Quantity.LATERAL_NEEDLE, Quantity.CROSS_TRACK, Quantity.TRACK})

LONG_S = 60.0
"""A stretch kept for less than this says little. Common practice, no published source. [s]"""
LEAST_S = 20.0
"""A stretch kept for less than this is no praise at all. Common practice, no published source. [s]"""


def went_well(assessment: Assessment) -> tuple[str, ...]:
    """At most three lines; empty where no limit was kept for certain."""
    return tuple(_line(finding, assessment) for finding in praised(assessment))


def praised(assessment: Assessment) -> tuple[Finding, ...]:
    """At most three limits kept with room, one of each kind before a second of one kind; none of a path that was only
    read from the track."""
    within = phrases.with_verdict(assessment, Verdict.WITHIN)
    kept = [item for item in within if _is_telling(item) and not is_tight(item) and not _is_bettered(item, within)]
    kept = sorted((item for item in kept if not is_unconfirmed(item, assessment)), key=_telling)
    chosen: list[Finding] = []
    for finding in kept:
        if len(chosen) < MOST and _kind(finding) not in {_kind(other) for other in chosen}:
            chosen.append(finding)
    chosen.extend(finding for finding in kept if finding not in chosen)
    return tuple(chosen[:MOST])


def _is_bettered(finding: Finding, within: list[Finding]) -> bool:
    """True for a stretch at an altitude that was held less well on another: "at most" would not be true of it."""
    if phrases.quantity_of(finding) is not Quantity.ALTITUDE or finding.worst is None or finding.owed is None:
        return False
    size = abs(finding.worst)
    return any(
        other.what == finding.what
        and other.owed == finding.owed
        and other.worst is not None
        and abs(other.worst) > size
        for other in within
    )


def is_tight(finding: Finding) -> bool:
    """True for a limit that was mostly used up; a moment at a fix or at the minima is never tight."""
    if finding.worst is None or finding.limit == 0 or phrases.quantity_of(finding) in _MOMENTS:
        return False
    return abs(finding.worst) > TIGHT * finding.limit


def is_unconfirmed(finding: Finding, assessment: Assessment) -> bool:
    """True for the path of a direct that nobody said, or not for certain: it was read from the track."""
    leg = next((item for item in assessment.legs if item.id == finding.leg), None)
    if leg is None or leg.kind != "DF" or leg.from_ or phrases.quantity_of(finding) not in _LATERAL:
        return False
    given = [item for item in assessment.clearances if item.values.get("direct")]
    near = [item for item in given if abs((item.effect - leg.start).total_seconds()) <= CONFIRMED_S]
    # With none near, it is a direct of the plan's missed approach.
    return bool(near) and not any(_confirms(item, leg.to) for item in near)


def _confirms(clearance: ClearanceResult, fix: str) -> bool:
    # A draft writes what it read from the track as not confirmed.
    if clearance.values.get("direct") != fix or clearance.values.get("confirmed") is False:
        return False
    return bool(clearance.values.get("confirmed")) or (clearance.origin == "said" and not clearance.doubt)


def _is_telling(finding: Finding) -> bool:
    """A fix crossed above a published minimum shows no skill, one crossed a little below it is no praise, and a
    stretch of a few seconds shows nothing.
    """
    quantity = phrases.quantity_of(finding)
    if quantity is Quantity.CROSSING_ALTITUDE:
        return finding.owed_as == "at"
    return quantity in _MOMENTS or _seconds(finding) >= LEAST_S


def _seconds(finding: Finding) -> float:
    return (finding.to - finding.from_).total_seconds()


def _kind(finding: Finding) -> tuple[str, bool]:
    return finding.what, phrases.is_final(finding)


def _telling(finding: Finding) -> tuple[int, bool, float]:
    """Final needles first, then minima, crossings, altitudes, legs; long stretches before short, then the finest."""
    quantity = phrases.quantity_of(finding)
    needle = quantity in phrases.NEEDLES | phrases.PATHS
    rank = 0 if phrases.is_final(finding) and needle else _RANK.get(quantity, 7) if quantity is not None else 7
    short = quantity not in _MOMENTS and _seconds(finding) < LONG_S
    size = abs(finding.worst) if finding.worst is not None else 0.0
    return rank, short, size / finding.limit if finding.limit else 0.0


def _line(finding: Finding, assessment: Assessment) -> str:
    return f"{phrases.where(finding, assessment)}: {_said(finding)} (limit {phrases.limit(finding)})."


def _said(finding: Finding) -> str:
    quantity = phrases.quantity_of(finding)
    if quantity is Quantity.CROSSING_ALTITUDE:
        return f"crossed {_published(finding)}"
    if quantity in {Quantity.DA, Quantity.MDA}:
        return f"{finding.what} held, nearest its limit {phrases.value(finding)}"
    if quantity in phrases.NEEDLES and finding.worst is not None:
        return f"{finding.what} within {words.scale(_rounded_up(abs(finding.worst)))} throughout"
    name = "" if quantity in {Quantity.ALTITUDE, Quantity.HEADING} else f"{finding.what} "
    return f"{name}at most {phrases.value(finding)}"


def _rounded_up(size: float) -> float:
    """To the next hundredth that is not smaller: a promise that rounding must not break."""
    return max(math.ceil(round(size * 100, 6)) / 100, 0.01)


def _published(finding: Finding) -> str:
    """The value against the altitude at the fix."""
    owed = f"{finding.owed:,.0f} ft" if finding.owed is not None else "the altitude there"
    if finding.worst is None or round(abs(finding.worst)) == 0:
        return f"at {owed}"
    return f"{abs(finding.worst):,.0f} ft {'above' if finding.worst > 0 else 'below'} {owed}"
