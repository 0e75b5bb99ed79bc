"""A plan in words for the terminal: every leg in a line, what else there is to it under it. At most 100 characters."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Final

from legwise.look.leg_words import (
    altitude_words,
    arc_words,
    arrival_words,
    glidepath_words,
    hold_ends_words,
    hold_words,
    lead_words,
    magnetic_or_true,
    minutes,
    reversal_words,
    speed_words,
    to_words,
    turn_words,
)
from legwise.look.words import clean, duration, number
from legwise.model.briefing import Briefing, FinalBriefing, LegBriefing, PartTotal
from legwise.model.plan import Leg, LegPart, Plan, PlannedApproach

WIDTH: Final = 100
_LONGEST_WORD: Final = 20
"""Of a fix's ident in a column; a longer one is cut."""
_INDENT: Final = " " * 9
_HEADINGS: Final = ("leg", "", "from", "to", "mag", "true", "NM", "time", "altitude", "role")


def plan_lines(plan: Plan, briefing: Briefing) -> Iterator[str]:
    """The whole plan: the route, each approach with its missed approach, totals, speeds and notes."""
    legs = [*plan.route, *(leg for item in plan.approaches for leg in (*item.legs, *item.missed))]
    widths = _widths([_row(leg, briefing.leg(leg.id)) for leg in legs])
    heading = _aligned(_HEADINGS, widths)
    at = f" at {number(plan.route_altitude_ft)} ft" if plan.route_altitude_ft else ""
    yield f"route ({clean(plan.source)}){at}"
    yield from _part(plan.route, briefing, widths, heading, briefing.total(LegPart.ROUTE))
    for approach in plan.approaches:
        yield ""
        yield from _wrapped(_approach_words(approach), "")
        yield from _part(approach.legs, briefing, widths, heading, briefing.total(LegPart.APPROACH, approach.index))
        yield from _final_lines(approach, briefing.final(approach.index))
        if approach.missed:
            yield "missed approach"
            yield from _part(approach.missed, briefing, widths, heading, briefing.total(LegPart.MISSED, approach.index))
    yield ""
    yield from _wrapped(f"planned speed: {'; '.join(briefing.speeds)}", "")
    for note in plan.notes:
        yield from _wrapped(f"note: {clean(note)}", "")


def _part(
    legs: Sequence[Leg], briefing: Briefing, widths: Sequence[int], heading: str, total: PartTotal | None
) -> Iterator[str]:
    if not legs:
        return
    yield heading
    for leg in legs:
        brief = briefing.leg(leg.id)
        yield _aligned(_row(leg, brief), widths)
        details = "; ".join(_details(leg, brief, briefing))
        yield from _wrapped(details, _INDENT)
    if total is not None and total.distance_nm > 0:
        time = "" if total.time_s is None else f", {duration(total.time_s)}"
        plural = "leg" if total.unmeasured == 1 else "legs"
        left_out = f", without {total.unmeasured} {plural} whose length the flight decides" if total.unmeasured else ""
        yield f"  together {number(total.distance_nm, 1)} NM{time}{left_out}"


def _row(leg: Leg, brief: LegBriefing | None) -> tuple[str, ...]:
    """The cells of a leg's line; a heading is marked as one."""
    is_heading = leg.heading_deg_true is not None or leg.heading_deg_mag is not None
    magnetic = leg.heading_deg_mag if is_heading else leg.course_deg_mag
    true = leg.heading_deg_true if is_heading else leg.course_deg_true
    return (
        leg.id,
        leg.kind,
        _short(leg.from_fix.ident if leg.from_fix is not None else ""),
        _short(to_words(leg)),
        ("hdg " if is_heading and magnetic is not None else "") + _degrees(magnetic),
        ("hdg " if is_heading and magnetic is None and true is not None else "") + _degrees(true),
        "" if leg.distance_nm is None else number(leg.distance_nm, 2),
        "" if brief is None or brief.time_s is None else minutes(brief.time_s),
        altitude_words(leg.altitude),
        leg.role or "",
    )


def _short(text: str) -> str:
    return clean(text, longest=_LONGEST_WORD)


def _degrees(value: float | None) -> str:
    """To a tenth: ``"068.1°"``; north is ``"360.0°"``."""
    return "" if value is None else f"{round(value, 1) % 360 or 360.0:05.1f}°"


def _widths(rows: Sequence[Sequence[str]]) -> list[int]:
    return [max(map(len, column)) for column in zip(_HEADINGS, *rows, strict=True)]


def _aligned(cells: Sequence[str], widths: Sequence[int]) -> str:
    """Numbers to the right, words to the left, two blanks (one where it gets tight) between them."""
    right = {4, 5, 6, 7}
    parts = [
        cell.rjust(width) if place in right else cell.ljust(width)
        for place, (cell, width) in enumerate(zip(cells, widths, strict=True))
    ]
    gap = "  " if sum(widths) + 2 * len(widths) <= WIDTH else " "
    return f"  {gap.join(parts)}".rstrip()


def _details(leg: Leg, brief: LegBriefing | None, briefing: Briefing) -> Iterator[str]:
    """What a leg's own line has no room for."""
    if leg.radius_nm is not None:
        yield arc_words(leg)
    elif leg.turn is not None and leg.hold is None and leg.reversal is None:
        yield f"turn {leg.turn} onto it"
    if leg.hold is not None:
        yield f"hold, {hold_words(leg.hold)}, {hold_ends_words(leg)}"
        hold = briefing.hold(leg.id)
        yield from filter(None, [arrival_words(hold)] if hold is not None else [])
    if leg.reversal is not None:
        inbound = magnetic_or_true(
            None if leg.reversal.outbound_course_deg_mag is None else leg.reversal.outbound_course_deg_mag + 180.0,
            leg.reversal.inbound_course_deg_true,
        )
        yield f"{reversal_words(leg.reversal)}, back on {inbound}"
    yield from filter(None, (glidepath_words(leg.altitude), speed_words(leg)))
    if leg.vertical_angle_deg is not None:
        yield f"coded angle {number(leg.vertical_angle_deg, 2)}°"
    if leg.fly_over and leg.hold is None and leg.reversal is None:
        yield "fly over"
    turn = turn_words(brief.turn) if brief is not None else ""
    if turn and brief is not None:
        lead = lead_words(brief.turn)
        yield f"then {turn}" + (f", {lead}" if lead and lead != "over the fix" else "")


def _approach_words(approach: PlannedApproach) -> str:
    parts = [clean(f"approach {approach.airport} {approach.title or approach.procedure}")]
    if approach.guidance:
        parts.append(approach.guidance)
    if approach.glidepath_deg is not None:
        advisory = "" if approach.has_glidepath else ", advisory"
        parts.append(f"glidepath {approach.glidepath_deg:.2f}°{advisory}")
    minima = {"DA": approach.da_ft, "MDA": approach.mda_ft}
    flown = {"DA": approach.flown_da_ft, "MDA": approach.flown_mda_ft}
    for name, feet in minima.items():
        if feet is not None:
            parts.append(f"{name} {number(feet)} ft")
        corrected = flown[name]
        if corrected is not None:
            parts.append(f"{name} to be flown {number(corrected)} ft")
    if approach.runway is not None:
        parts.append(f"{clean(approach.runway.ident)}, threshold {number(approach.runway.elevation_ft)} ft")
    return ", ".join(parts)


def _final_lines(approach: PlannedApproach, final: FinalBriefing | None) -> Iterator[str]:
    if final is None:
        return
    parts = []
    if final.angle_deg is not None:
        angle = f"{number(final.angle_deg, 2)}°" + (" from the fix to the threshold" if final.computed else "")
        parts.append(angle)
    if final.descent_fpm is not None and final.groundspeed_kt is not None:
        parts.append(f"{number(final.descent_fpm)} ft/min at {number(final.groundspeed_kt)} kt")
    if final.time_s is not None and not approach.has_glidepath:
        parts.append(f"final approach fix to missed approach point {duration(final.time_s)}")
    if parts:
        yield from _wrapped(f"final: {', '.join(parts)}", "  ")


def _wrapped(text: str, indent: str) -> Iterator[str]:
    """``text`` in lines of at most ``WIDTH`` characters, further ones set in."""
    yield from textwrap.wrap(
        text, WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  ", break_on_hyphens=False
    )
