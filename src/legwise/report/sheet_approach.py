"""What the briefing sheet says of an approach: its figures, its missed approach in a line, its holds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from legwise.look.leg_words import (
    altitude_words,
    arrival_words,
    glidepath_words,
    hold_words,
    magnetic_or_true,
    missed_line,
    to_words,
)
from legwise.look.words import clean, number
from legwise.model.briefing import Briefing, FinalBriefing, HoldBriefing
from legwise.model.plan import Leg, PlannedApproach
from legwise.report.sheet_content import SheetApproach, SheetFact, SheetHold
from legwise.report.sheet_descent import descent_words, timing_words
from legwise.report.sheet_hold import hold_sketch

LONGEST: Final = 60
"""Of a name out of a file."""


def approach_title(approach: PlannedApproach) -> str:
    """``"XSKH RNAV (GPS) RWY 27"``."""
    return clean(f"{approach.airport} {approach.title or approach.procedure}", longest=LONGEST)


def approach_block(approach: PlannedApproach, briefing: Briefing) -> SheetApproach:
    """The block of an approach; one hold that stands in several legs is drawn once."""
    legs = {leg.id: leg for leg in (*approach.legs, *approach.missed)}
    seen: set[tuple[str, float, str]] = set()
    holds = []
    for hold in briefing.holds:
        key = (hold.hold.fix.ident, hold.hold.inbound_course_deg_true, hold.hold.turn)
        if hold.leg_id in legs and key not in seen:
            seen.add(key)
            holds.append(_hold(hold, legs[hold.leg_id]))
    return SheetApproach(
        title=approach_title(approach),
        facts=tuple(_approach_facts(approach, briefing.final(approach.index))),
        missed=clean(missed_line(approach.missed), longest=400),
        holds=tuple(holds),
    )


def _approach_facts(approach: PlannedApproach, final: FinalBriefing | None) -> Iterator[SheetFact]:
    if approach.guidance is not None:
        station = f", {approach.navaid.ident}" if approach.navaid is not None else ""
        yield SheetFact(label="Guidance", text=clean(f"{approach.guidance}{station}", longest=LONGEST))
    course = _final_course(approach)
    if course:
        yield SheetFact(label="Final course", text=course)
    yield from _final_fixes(approach)
    if approach.glidepath_deg is not None:
        advisory = "" if approach.has_glidepath else " (advisory)"
        height = f", {number(approach.threshold_crossing_height_ft)} ft over the threshold"
        yield SheetFact(
            label="Glidepath",
            text=f"{number(approach.glidepath_deg, 2)}°{advisory}" + height * (approach.runway is not None),
        )
    yield SheetFact(label="Minima", text=_minima(approach))
    if final is not None:
        descent = descent_words(final)
        if descent:
            yield SheetFact(label="Descent", text=descent)
        timing = "" if approach.has_glidepath else timing_words(final)
        if timing:
            yield SheetFact(label="FAF to MAP", text=timing)
    if approach.runway is not None:
        runway = approach.runway
        length = "length not known" if runway.length_assumed else f"{number(runway.length_ft)} ft"
        words = f"{runway.ident}, threshold {number(runway.elevation_ft)} ft, {length}"
        yield SheetFact(label="Runway", text=clean(words, longest=120))


def _final_course(approach: PlannedApproach) -> str:
    leg = next((leg for leg in reversed(approach.legs) if leg.course_deg_true is not None and leg.hold is None), None)
    if leg is None or leg.course_deg_true is None:
        return ""
    return magnetic_or_true(leg.course_deg_mag, leg.course_deg_true)


def _final_fixes(approach: PlannedApproach) -> Iterator[SheetFact]:
    """The final approach fix and the step-down fixes with their altitudes, and the missed approach point."""
    labels = {"FAF": "FAF", "STEPDOWN": "Step-down", "MAP": "MAP"}
    for leg in approach.legs:
        if leg.role not in labels or (leg.role == "MAP" and approach.has_glidepath):
            continue
        words = [to_words(leg), altitude_words(leg.altitude) if leg.role != "MAP" else ""]
        words.append(glidepath_words(leg.altitude))
        if leg.role == "FAF" and approach.faf_to_go_nm is not None:
            words.append(f"{number(approach.faf_to_go_nm, 1)} NM to go")
        yield SheetFact(label=labels[leg.role], text=clean(", ".join(filter(None, words)), longest=120))


def _minima(approach: PlannedApproach) -> str:
    parts = []
    for name, feet in (("DA", approach.da_ft), ("MDA", approach.mda_ft)):
        if feet is None:
            continue
        above = (
            "" if approach.runway is None else f" ({number(feet - approach.runway.elevation_ft)} ft above threshold)"
        )
        parts.append(f"{name} {number(feet)} ft{above}")
    for name, feet in (("DA", approach.flown_da_ft), ("MDA", approach.flown_mda_ft)):
        if feet is not None:
            parts.append(f"to be flown: {name} {number(feet)} ft")
    return ", ".join(parts)


def _hold(brief: HoldBriefing, leg: Leg) -> SheetHold:
    hold = brief.hold
    entry = arrival_words(brief) or "the entry goes by the sector that you come from"
    altitude = altitude_words(leg.altitude)
    words = hold_words(hold) + (f", {altitude}" if altitude else "")
    return SheetHold(
        title=clean(f"Hold at {hold.fix.ident}", longest=LONGEST),
        words=f"{words[:1].upper()}{words[1:]}.",
        entry=f"{entry[:1].upper()}{entry[1:]}.",
        sketch=hold_sketch(brief),
    )
