"""What to work on, safety first, and what to fly next: a drill for each with an aim that can be measured.

The drills are common teaching practice, no published source; their aims are the limits of the standard.
"""

from __future__ import annotations

from legwise.explain import phrases
from legwise.look import words
from legwise.model.results import Assessment, Finding, Verdict
from legwise.model.standard import Quantity, Segment, Standard

MOST = 3
TIGHT = 0.5
"""A limit kept, but used up by more than this share, is worth a drill where nothing else is."""

NOTHING_OUTSIDE = "Nothing was found outside a limit."


def chosen(assessment: Assessment) -> tuple[Finding, ...]:
    """At most three findings outside their limits: what used up safety first, then excess times duration."""
    outside = sorted(phrases.with_verdict(assessment, Verdict.OUTSIDE), key=_rank)
    picked: list[Finding] = []
    for finding in outside:
        # One drill covers one kind of fault on one kind of stretch; a second of it gives way to another kind.
        if (finding.what, finding.segment) not in {(other.what, other.segment) for other in picked}:
            picked.append(finding)
    picked.extend(finding for finding in outside if finding not in picked)
    return tuple(picked[:MOST])


def _rank(finding: Finding) -> tuple[int, float]:
    size = abs(finding.worst) if finding.worst is not None else 0.0
    scale = finding.limit if finding.limit else (50.0 if finding.unit == "ft" else 1.0)
    return (0 if _is_safety(finding) else 1), -max(size - finding.limit, 0.0) / scale * max(finding.outside_s, 1.0)


def _is_safety(finding: Finding) -> bool:
    """Below a minimum, a crossing altitude or the glidepath."""
    low = finding.worst is not None and finding.worst < 0
    return low and phrases.quantity_of(finding) in {
        Quantity.MDA,
        Quantity.DA,
        Quantity.CROSSING_ALTITUDE,
        Quantity.VERTICAL_NEEDLE,
        Quantity.VERTICAL_DEVIATION,
    }


def work_on(assessment: Assessment) -> tuple[str, ...]:
    """At most three lines; where nothing is outside, one line that says so and what stays open."""
    findings = chosen(assessment)
    if findings:
        return tuple(_line(finding, assessment) for finding in findings)
    return (_nothing(assessment),)


def _nothing(assessment: Assessment) -> str:
    if not assessment.findings:
        return "No limit applied to what was recorded, so nothing was judged."
    undecided = len(phrases.with_verdict(assessment, Verdict.UNDECIDED))
    missing = len(phrases.with_verdict(assessment, Verdict.NOT_RECORDED))
    parts = []
    if undecided:
        parts.append(f"{phrases.plural(undecided, 'limit', 'limits')} can't be decided with this log")
    if missing:
        parts.append(f"{phrases.plural(missing, 'is', 'are')} not recorded")
    return f"{NOTHING_OUTSIDE[:-1]}; {' and '.join(parts)}." if parts else NOTHING_OUTSIDE


def _line(finding: Finding, assessment: Assessment) -> str:
    at = f" at {phrases.clock(finding.at_worst)}" if finding.at_worst is not None else ""
    value = phrases.value(finding)
    comma = "," if at and phrases.quantity_of(finding) in phrases.NEEDLES | phrases.PATHS and ", " in value else ""
    task = f" ({finding.task})" if finding.task else ""
    text = f"{phrases.where(finding, assessment)}: {value}{comma}{at}; limit {phrases.limit(finding)}{task}."
    told = []
    if finding.outside_s > 0:
        once = finding.excursions <= 1
        how_often = "for " if once else f"{phrases.times(finding.excursions)}, "
        told.append(f"beyond it {how_often}{words.duration(finding.outside_s)}{'' if once else ' in all'}")
    if finding.correcting_after_s is not None and round(finding.correcting_after_s) > 0:
        told.append(f"moving back after {words.duration(finding.correcting_after_s)}")
    further = ", ".join(told)
    return f"{text} {further[0].upper()}{further[1:]}." if further else text


def next_lesson(assessment: Assessment, standard: Standard) -> tuple[str, ...]:
    """A drill for each thing to work on; with none, one for the limit that was used up most.

    A value beyond its limit that the log can't decide is worth a drill, though no charge.
    """
    drills = [_drill(finding, standard) for finding in chosen(assessment)]
    if not drills:
        drills = [_polish(finding, assessment) for finding in _tightest(assessment)]
    return tuple(dict.fromkeys(drills))


def _tightest(assessment: Assessment) -> list[Finding]:
    within, undecided = Verdict.WITHIN, Verdict.UNDECIDED
    kept = [
        finding
        for finding in (*phrases.with_verdict(assessment, within), *phrases.with_verdict(assessment, undecided))
        if finding.worst is not None
        and finding.limit > 0
        and abs(finding.worst) > (TIGHT if finding.verdict is within else 1.0) * finding.limit
        and phrases.quantity_of(finding) not in {Quantity.CROSSING_ALTITUDE, Quantity.MDA, Quantity.DA}
    ]
    return sorted(kept, key=lambda item: -abs(item.worst or 0.0) / item.limit)[:1]


def _polish(finding: Finding, assessment: Assessment) -> str:
    aim = phrases.amount(finding, finding.limit * TIGHT)
    return (
        f"{phrases.where(finding, assessment)}, flown once more: {finding.what} within {aim}, "
        f"half of what the standard allows (this time {phrases.value(finding)})."
    )


def _drill(finding: Finding, standard: Standard) -> str:
    aim = phrases.limit(finding)
    by = f"{standard.document}, {finding.task}" if finding.task else standard.document
    quantity = phrases.quantity_of(finding)
    text = _DRILLS.get((quantity, phrases.is_final(finding))) or _DRILLS.get((quantity, False))
    if finding.segment == Segment.MISSED.value and quantity is Quantity.TRACK:
        text = "Three missed approaches in a row, the first turn and the first altitude said before each"
    if text is None:
        text = "The same stretch once more"
    return f"{text}. Aim: {_aim(finding, aim)} ({by})."


def _aim(finding: Finding, aim: str) -> str:
    quantity = phrases.quantity_of(finding)
    if quantity is Quantity.MDA:
        return "nothing below the minimum, and level within the limit above it"
    if quantity is Quantity.DA:
        return "the climb begun at the decision altitude, not after it"
    if quantity is Quantity.CROSSING_ALTITUDE:
        return f"each fix crossed within {aim} of its altitude"
    return f"{finding.what} within {aim}, start to end"


_REGAIN = "A long leg in wind: back to the course with a 10° cut, then half of it out, twice"
_SMALL_CUTS = "Two finals flown with no cut over 5° inside the final approach fix"
_TARGET_RATE = "Two finals with the target descent rate, five times the groundspeed, changed by 100 ft/min at a time"

_DRILLS: dict[tuple[Quantity | None, bool], str] = {
    (
        Quantity.LATERAL_NEEDLE,
        False,
    ): _REGAIN,
    (Quantity.CROSS_TRACK, False): _REGAIN,
    (Quantity.LATERAL_NEEDLE, True): _SMALL_CUTS,
    (Quantity.CROSS_TRACK, True): _SMALL_CUTS,
    (Quantity.VERTICAL_NEEDLE, True): _TARGET_RATE,
    (Quantity.VERTICAL_DEVIATION, True): _TARGET_RATE,
    (Quantity.ALTITUDE, False): (
        "Six level-offs at 500, 700 and 1,000 ft/min, led by a tenth of the rate, then five minutes level, trimmed"
    ),
    (Quantity.CROSSING_ALTITUDE, False): (
        "A descent to a crossing: altitude to lose over 300 is the miles before the fix; the fix said before the number"
    ),
    (Quantity.HEADING, False): "Ten turns to headings, the roll-out led by half the bank, each held for a minute",
    (Quantity.TRACK, False): "Four legs square in a known wind, the drift said before each turn",
    (Quantity.MDA, True): "Two approaches to a minimum: 500, 200 and 100 ft to go said aloud, level 50 ft above",
    (Quantity.DA, True): "Three missed approaches in a row: the decision said 100 ft above, hands moving at it",
}
