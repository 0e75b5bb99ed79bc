"""Where, when and how far, in words: the parts every sentence of the summary is made of.

The subject of a sentence is the aircraft or the track, never the person; a number never stands without its unit and
the word for its sign.
"""

from __future__ import annotations

import datetime as dt

from legwise.look import words
from legwise.look.leg_words import leg_words
from legwise.model.results import Assessment, Finding, Verdict
from legwise.model.standard import Quantity, Segment

NEEDLES = frozenset({Quantity.LATERAL_NEEDLE, Quantity.VERTICAL_NEEDLE})
PATHS = frozenset({Quantity.CROSS_TRACK, Quantity.VERTICAL_DEVIATION})
FINALS = frozenset({Segment.FINAL_PRECISION, Segment.FINAL_NONPRECISION})

SMALL_SCALE = 0.05
SMALL_NM = 0.05
LARGE = 20.0
"""Smaller than these a size takes another decimal; from :data:`LARGE` on whole numbers do."""

_WHOLE = 1e-9
_UNITS = {"ft": " ft", "nm": " NM", "deg": "°", "kt": " kt", "s": " s", "fpm": " ft/min", "ft/nm": " ft/NM"}


def clock(when: dt.datetime) -> str:
    """The time of day, UTC, to the whole second begun: ``"13:12:40Z"``."""
    return f"{when:%H:%M:%S}Z"


def quantity_of(finding: Finding) -> Quantity | None:
    """The quantity that a finding's ``what`` begins with; None for one that is not known here."""
    by_length = sorted(Quantity, key=lambda item: len(item.value), reverse=True)
    return next((item for item in by_length if finding.what.startswith(item.value)), None)


def is_final(finding: Finding) -> bool:
    """True for a finding of a final segment."""
    return finding.segment in {segment.value for segment in FINALS}


def where(finding: Finding, assessment: Assessment) -> str:
    """The stretch of flight: ``"Final approach"``, ``"BRAKO to CALDU"``, ``"At 5,000 ft"``, ``"Heading 250°"``."""
    quantity = quantity_of(finding)
    if quantity is Quantity.CROSSING_ALTITUDE and finding.fix:
        return f"At {finding.fix}"
    if quantity is Quantity.ALTITUDE and finding.owed is not None:
        return f"Level at {words.number(finding.owed)} ft"
    if quantity is Quantity.HEADING and finding.owed is not None:
        return f"Heading {round(finding.owed) % 360 or 360:03d}°"
    if is_final(finding):
        return "Final approach"
    leg = next((item for item in assessment.legs if item.id == finding.leg), None)
    if leg is None:
        return finding.segment.capitalize() or "Flight"
    name = leg_words(leg.kind, leg.from_, leg.to, leg.ends)
    return name if leg.from_ and name.startswith(leg.from_) else f"{name[:1].upper()}{name[1:]}"


def value(finding: Finding) -> str:
    """The worst value in words; with further decimals where rounding would hide on which side of the limit it lies."""
    if finding.worst is None:
        return words.NOT_RECORDED
    text = words.deviation(finding.what, finding.unit, finding.worst).replace(": ", ", ")
    decimals = 2 if finding.unit in {"scale", "nm"} else 0
    size = abs(finding.worst)
    if size != finding.limit and round(size, decimals) == round(finding.limit, decimals):
        return f"{text} ({words.number(size, decimals + 2)})"
    return text


def limit(finding: Finding) -> str:
    """The limit in words: ``"100 ft"``, ``"three-quarter scale"``, ``"the minimum itself"``."""
    if quantity_of(finding) in {Quantity.MDA, Quantity.DA}:
        return (
            "the minimum itself" if finding.limit == 0 else f"the minimum to {amount(finding, finding.limit)} above it"
        )
    return amount(finding, finding.limit)


def amount(finding: Finding, size: float) -> str:
    """An amount without sign in the finding's unit, with the decimals that it needs."""
    if finding.unit == "scale":
        return words.scale(size) if size >= SMALL_SCALE else f"{size:.3f} of full scale"
    decimals = 0 if abs(size - round(size)) < _WHOLE or size >= LARGE else 1
    if finding.unit == "nm":
        decimals = 2 if size >= SMALL_NM else 3
    return f"{words.number(size, decimals)}{_UNITS[finding.unit]}"


def times(count: int) -> str:
    """``"once"``, ``"twice"``, ``"3 times"``."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def plural(count: int, one: str, several: str) -> str:
    """``"1 limit"``, ``"3 limits"``."""
    return f"{words.number(count)} {one if count == 1 else several}"


def with_verdict(assessment: Assessment, verdict: Verdict) -> list[Finding]:
    """The findings with ``verdict``, in the order of the flight."""
    return [finding for finding in assessment.findings if finding.verdict is verdict]
