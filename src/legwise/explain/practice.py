"""What to work on, safety first, and what to fly next: a drill for each with an aim that can be measured.

The drills are common teaching practice, no published source; their aims are the limits of the standard.
"""

from __future__ import annotations

from legwise.explain import phrases
from legwise.explain.facts import TURN_NM, TURN_SHARE
from legwise.explain.offsets import Offset
from legwise.explain.praise import TIGHT, is_tight, is_unconfirmed
from legwise.look import words
from legwise.model.results import Assessment, Finding, TurnResult, Verdict
from legwise.model.standard import Quantity, Segment, Standard

MOST = 3
JOINING_S = 5.0
"""A worst value this soon belongs to what came before. Common practice, no published source. [s]"""

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
    open_ = phrases.with_verdict(assessment, Verdict.UNDECIDED)
    asked = sum(finding.open == "instruction" for finding in open_)
    undecided = len(open_) - asked
    missing = len(phrases.with_verdict(assessment, Verdict.NOT_RECORDED))
    parts = []
    if undecided:
        parts.append(f"{phrases.plural(undecided, 'limit', 'limits')} can't be decided with this log")
    if asked:
        parts.append(f"{phrases.plural(asked, 'hangs', 'hang')} on an instruction that is in question")
    if missing:
        parts.append(f"{phrases.plural(missing, 'is', 'are')} not recorded")
    if not parts:
        return NOTHING_OUTSIDE
    listed = " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
    return f"{NOTHING_OUTSIDE[:-1]}; {listed}."


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
    if further:
        text += f" {further[0].upper()}{further[1:]}."
    return f"{text} The direct was read from the track, not said." if is_unconfirmed(finding, assessment) else text


def next_lesson(assessment: Assessment, standard: Standard, offsets: tuple[Offset, ...] = ()) -> tuple[str, ...]:
    """A drill for each thing to work on; with none, one to polish the turn or offset furthest from the course, else
    one for the limit that was used up most.

    A value beyond its limit that the log can't decide is worth a drill, though no charge. There is none for what was
    praised, nor for a path that was only read from the track.
    """
    drills = [_drill(item, standard) for item in chosen(assessment) if not is_unconfirmed(item, assessment)]
    if not drills:
        drills = _of_facts(assessment, offsets)
    if not drills:
        drills = [_polish(finding, assessment) for finding in _tightest(assessment)]
    return tuple(dict.fromkeys(drills))


def _of_facts(assessment: Assessment, offsets: tuple[Offset, ...]) -> list[str]:
    """A drill for the largest of the turns begun late or early and of the offsets held. [nm]"""
    told = [turn for turn in assessment.turns if abs(_late_nm(turn)) > max(TURN_NM, TURN_SHARE * turn.expected_lead_nm)]
    turns = [(abs(_late_nm(turn)), _polish_turn(turn)) for turn in told]
    return [text for _, text in sorted([*turns, *((abs(item.offset_nm), _polish_offset(item)) for item in offsets)])][
        -1:
    ]


def _late_nm(turn: TurnResult) -> float:
    """How much later than a fly-by turn it was begun. [nm]"""
    return turn.expected_lead_nm - turn.lead_nm


def _polish_turn(turn: TurnResult) -> str:
    late_nm = _late_nm(turn)
    return (
        f"To polish: the turn at {words.clean(turn.fix, longest=60)} began {abs(late_nm):.2f} NM "
        f"{'later' if late_nm > 0 else 'earlier'} than a fly-by turn. Six turns at fixes, the lead worked out for the "
        'groundspeed before each, "leading" called where it begins.'
    )


def _polish_offset(offset: Offset) -> str:
    return (
        f"To polish: {offset.where} ran {abs(offset.offset_nm):.2f} NM {offset.side} of course for "
        f"{offset.lasts_s / 60:.1f} min. {_REGAIN}."
    )


def _tightest(assessment: Assessment) -> list[Finding]:
    within = phrases.with_verdict(assessment, Verdict.WITHIN)
    undecided = [item for item in phrases.with_verdict(assessment, Verdict.UNDECIDED) if item.open != "instruction"]
    used = [
        *[finding for finding in within if is_tight(finding)],
        *[finding for finding in undecided if is_tight(finding) and abs(finding.worst or 0.0) > finding.limit],
    ]
    used = [item for item in used if not is_unconfirmed(item, assessment) and not _is_what_was_left(item)]
    return sorted(used, key=lambda item: -abs(item.worst or 0.0) / item.limit)[:1]


def _is_what_was_left(finding: Finding) -> bool:
    """True where the worst came first: what the join or the turn before it had left, no matter of how it was held."""
    return finding.at_worst is not None and (finding.at_worst - finding.from_).total_seconds() < JOINING_S


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
