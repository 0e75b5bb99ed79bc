"""Rows of the page about the flight: stretches of the time line, legs, approaches, what was said, turns."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator

import numpy as np

from legwise.look import APPROACH_STRETCH, STRETCH_MARKS, words
from legwise.look.leg_words import leg_words
from legwise.model.alignment import FlownLeg, Guidance, Phase
from legwise.model.arrays import FloatArray
from legwise.model.instants import instant
from legwise.model.plan import LegPart
from legwise.model.results import ApproachResult, ClearanceResult, DebriefResult, LegResult, TurnResult
from legwise.report.content import ApproachCard, LegRow, SaidRow, Span, Stretch, TurnRow
from legwise.report.series import leg_name
from legwise.report.times import between, clock, clock_or_none, span

_NONE = "–"
_NEARLY_SURE = 0.95
_SAME_LEAD_NM = 0.05
"""Leads nearer than this are called the same. Common practice, no published source."""


def stretches_of(result: DebriefResult) -> tuple[Stretch, ...]:
    """The time line: runs of samples with one guidance, one leg, and one kind of phase; each ends where the next
    begins.
    """
    alignment = result.alignment
    time_s = result.track.samples.time_s
    no_path = np.where(alignment.guidance == list(Guidance).index(Guidance.NONE), alignment.phase, -1)
    keys = np.stack([alignment.guidance, alignment.leg, no_path], axis=1)
    starts = np.flatnonzero(np.r_[True, np.any(keys[1:] != keys[:-1], axis=1)])
    ends = np.r_[starts[1:], len(time_s) - 1]
    rows = []
    for start, end in zip(starts, ends, strict=True):
        guidance = list(Guidance)[int(alignment.guidance[start])]
        leg = alignment.legs[int(alignment.leg[start])] if alignment.leg[start] >= 0 else None
        label, short = _stretch_words(guidance, leg, list(Phase)[int(alignment.phase[start])])
        on_approach = leg is not None and leg.planned is not None and leg.planned.part is LegPart.APPROACH
        mark = APPROACH_STRETCH if on_approach and guidance is Guidance.LEG else STRETCH_MARKS[guidance]
        begun = instant(float(time_s[start]))
        where = span(begun, instant(float(time_s[end])))
        rows.append(
            Stretch(label=label, short=short, start=clock(begun), role=mark.role, hatching=mark.hatching, span=where)
        )
    return tuple(rows)


def _stretch_words(guidance: Guidance, leg: FlownLeg | None, phase: Phase) -> tuple[str, str]:
    if guidance is Guidance.VECTORS:
        return "vectors", "vectors"
    if guidance is Guidance.NONE or leg is None:
        named = {Phase.GROUND: "on the ground", Phase.DEPARTURE: "departure", Phase.MISSED: "missed approach"}
        if guidance is Guidance.NONE:
            label = named.get(phase, "no path owed")
        else:
            label = {Guidance.MISSED: "missed approach", Guidance.HOLD: "hold"}.get(guidance, guidance.value)
        return label, {"on the ground": "ground", "missed approach": "missed"}.get(label, label)
    name = leg_name(leg)
    end = words.clean(leg.to_ident, longest=12)
    if guidance is Guidance.MISSED:
        return f"missed approach, {name}", f"missed to {end}" if end else "missed"
    if guidance is Guidance.HOLD:
        return f"hold at {end}", f"hold {end}"
    is_short = not end or name.startswith(("direct", "to ", "hold", "procedure turn"))
    return name, name if is_short else f"to {end}"


def signed_at(result: DebriefResult, values: FloatArray, when: dt.datetime | None) -> float:
    """The value of a column at the sample nearest a moment; NaN without one."""
    if when is None:
        return float("nan")
    time_s = result.track.samples.time_s
    return float(values[int(np.argmin(np.abs(time_s - when.timestamp())))])


def leg_rows(result: DebriefResult) -> tuple[LegRow, ...]:
    """The legs in the order flown."""
    return tuple(_leg_row(result, leg) for leg in result.assessment.legs)


def _leg_row(result: DebriefResult, leg: LegResult) -> LegRow:
    cross, altitude = leg.cross_track_nm, leg.altitude_error_ft
    worst_nm = signed_at(result, result.deviations.cross_track_nm, cross.at_max)
    worst_ft = signed_at(result, result.deviations.altitude_error_ft, altitude.at_max)
    start, end, ends = (words.clean(text, longest=60) for text in (leg.from_, leg.to, leg.ends))
    return LegRow(
        name=leg_words(leg.kind, start, end, ends),
        kind=leg.kind,
        course=course_words(leg.course_deg_true, leg.course_deg_mag),
        distance=_NONE if leg.distance_nm is None else f"{words.number(leg.distance_nm, 1)} NM",
        times=between(leg.start, leg.end),
        mean=_NONE if cross.mean is None else words.cross_track(cross.mean).removesuffix(" of course"),
        worst=_sided(cross.max_abs, worst_nm, words.cross_track, 2, " NM").removesuffix(" of course"),
        worst_nm=cross.max_abs or 0.0,
        worst_at="" if cross.at_max is None else clock(cross.at_max),
        altitude=_sided(altitude.max_abs, worst_ft, words.altitude_error, 0, " ft"),
        span=span(leg.start, leg.end, cross.at_max),
    )


def _sided(size: float | None, signed: float, phrase: Callable[[float], str], decimals: int, unit: str) -> str:
    """A largest size with its side, or without where the sample that shows the side holds no value."""
    if size is None:
        return _NONE
    return f"{words.number(size, decimals)}{unit} off" if math.isnan(signed) else phrase(signed)


def course_words(true_deg: float | None, magnetic_deg: float | None) -> str:
    """``"262° true, 271° mag"``."""
    named = ((true_deg, "true"), (magnetic_deg, "mag"))
    parts = [f"{round(course) % 360:03d}° {name}" for course, name in named if course is not None]
    return ", ".join(parts) if parts else _NONE


def approach_cards(result: DebriefResult) -> tuple[ApproachCard, ...]:
    """A card for each flown approach; ``key`` is that of its profile."""
    flown = result.alignment.approaches
    time_s = result.track.samples.time_s
    cards = []
    for number, approach in enumerate(result.assessment.approaches):
        if number < len(flown):
            first, last = flown[number].start, max(flown[number].stop - 1, flown[number].start)
            at = approach.joined_at
            where = span(instant(float(time_s[first])), instant(float(time_s[last])), at)
        else:
            where = span(result.summary_of_track.start, result.summary_of_track.end, approach.joined_at)
        cards.append(_approach_card(approach, f"approach-{number + 1}", where))
    return tuple(cards)


def _approach_card(approach: ApproachResult, key: str, where: Span) -> ApproachCard:
    name = words.clean(approach.title or approach.procedure, longest=120)
    airport = words.clean(approach.airport, longest=60)
    guidance = words.clean(approach.guidance or "", longest=20)
    facts = [("Guidance", guidance or "not said"), ("Joined", clock_or_none(approach.joined_at))]
    if approach.minima_ft is not None:
        facts.append(("Minimum", f"{words.number(approach.minima_ft)} ft"))
    facts.append(("Outcome", (approach.outcome or "the log ends before one") + (", circled" * approach.circled)))
    verdicts = []
    if approach.lowest_altitude_ft is not None:
        verdicts.append(("Lowest altitude", _lowest(approach.lowest_altitude_ft, approach.minima_ft, approach.outcome)))
    for label, figures in (("Lateral needle", approach.lateral_needle), ("Vertical needle", approach.vertical_needle)):
        if figures.max_abs is None:
            continue
        at = "" if figures.at_max is None else f" at {clock(figures.at_max)}"
        verdicts.append((f"{label}, largest", f"{words.scale(figures.max_abs)}{at}"))
        if figures.p95_abs is not None:
            verdicts.append((f"{label}, 95 % of the time", f"within {words.scale(figures.p95_abs)}"))
    return ApproachCard(
        key=key, title=f"{airport} {name}".strip(), facts=tuple(facts), verdicts=tuple(verdicts), span=where
    )


def _lowest(lowest_ft: float, minima_ft: float | None, outcome: str | None) -> str:
    height = f"{words.number(lowest_ft)} ft"
    if minima_ft is None or outcome in ("landed", "touch-and-go"):
        return height
    return f"{height}, {words.against_minimum(lowest_ft - minima_ft)}"


def said_rows(result: DebriefResult) -> tuple[SaidRow, ...]:
    """What was said, and what the track was read as, numbered as in the plan view."""
    return tuple(_said_row(number, row) for number, row in enumerate(result.assessment.clearances, start=1))


def _said_row(number: int, row: ClearanceResult) -> SaidRow:
    inferred = row.origin == "inferred"
    sure = "" if row.confidence is None else f", {_sure(row.confidence)} sure"
    confirm = words.clean(row.doubt) or ("Was this said? Confirm, correct or strike out." if inferred else "")
    return SaidRow(
        number=str(number),
        time=clock(row.time),
        effect="" if row.effect == row.time else clock(row.effect),
        text=words.clean(row.text) or row.kind,
        origin=f"read from the track{sure}" if inferred else "said",
        confirm=confirm,
        inferred=inferred,
        span=span(row.time, max(row.effect, row.time), row.effect),
    )


def _sure(confidence: float) -> str:
    """A confidence from 0 to 1 in words; nothing read from a track alone is certain."""
    return "more than 95 %" if confidence > _NEARLY_SURE else f"{round(confidence * 100)} %"


def turn_rows(result: DebriefResult) -> tuple[TurnRow, ...]:
    """Turns at fixes: where each began against where a fly-by turn would."""
    return tuple(_turn_row(turn) for turn in result.assessment.turns)


def _turn_row(turn: TurnResult) -> TurnRow:
    late = turn.expected_lead_nm - turn.lead_nm
    if abs(late) < _SAME_LEAD_NM:
        said = "where a fly-by turn would begin"
    else:
        said = f"{words.number(abs(late), 2)} NM {'later' if late > 0 else 'earlier'} than a fly-by turn"
    return TurnRow(
        fix=words.clean(turn.fix, longest=60),
        at=clock(turn.at),
        courses=f"{round(turn.from_course_deg_true) % 360:03d}° to {round(turn.to_course_deg_true) % 360:03d}° true",
        lead=_lead(turn.lead_nm),
        expected=_lead(turn.expected_lead_nm),
        words=said,
        span=span(turn.start, turn.end, turn.at),
    )


def _lead(lead_nm: float) -> str:
    if round(lead_nm, 2) == 0:
        return "at the fix"
    return f"{words.number(abs(lead_nm), 2)} NM {'before' if lead_nm > 0 else 'past'}"


def place_at(stretches: tuple[Stretch, ...], at_ms: int) -> str:
    """The label of the stretch that holds a moment."""
    return next(_labels_from(stretches, at_ms), "")


def _labels_from(stretches: tuple[Stretch, ...], at_ms: int) -> Iterator[str]:
    return (item.label for item in stretches if item.span.from_ms <= at_ms <= item.span.to_ms)
