"""What went well: up to three limits kept beyond the log's doubt, each with its number; the more telling first."""

from __future__ import annotations

import math

from legwise.explain import phrases
from legwise.look import words
from legwise.model.results import Assessment, Finding, Verdict
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

_MOMENTS = frozenset({Quantity.CROSSING_ALTITUDE, Quantity.DA})

LONG_S = 60.0
"""A stretch kept for less than this says little. Common practice, no published source. [s]"""
LEAST_S = 20.0
"""A stretch kept for less than this is no praise at all. Common practice, no published source. [s]"""


def went_well(assessment: Assessment) -> tuple[str, ...]:
    """At most three lines, one for each kind of limit before a second of one kind; empty where none was kept for
    certain."""
    within = phrases.with_verdict(assessment, Verdict.WITHIN)
    kept = sorted((finding for finding in within if _is_telling(finding)), key=_telling)
    chosen: list[Finding] = []
    for finding in kept:
        if len(chosen) < MOST and _kind(finding) not in {_kind(other) for other in chosen}:
            chosen.append(finding)
    chosen.extend(finding for finding in kept if finding not in chosen)
    return tuple(_line(finding, assessment) for finding in chosen[:MOST])


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
