"""A plan and its briefing to the view of the briefing sheet: every string as it stands on paper."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from legwise import __version__
from legwise.look.leg_words import (
    altitude_words,
    arc_words,
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
from legwise.look.words import CAUTION, clean, duration, number
from legwise.model.briefing import Briefing, LegBriefing
from legwise.model.lesson import Lesson
from legwise.model.plan import Leg, LegPart, Plan
from legwise.report.sheet_approach import LONGEST, approach_block, approach_title
from legwise.report.sheet_content import SheetFact, SheetGroup, SheetRow, SheetView

_LONGEST_TITLE = 160
_ROOMY_ROWS = 8
_MOST_NOTES = 8


def sheet_view(plan: Plan, lesson: Lesson, briefing: Briefing) -> SheetView:
    """The view of the sheet; text out of files is cut and cleaned."""
    groups = tuple(_groups(plan, briefing))
    return SheetView(
        title=clean(lesson.lesson.title or _ends(plan) or "Briefing sheet", longest=_LONGEST_TITLE),
        facts=tuple(_head_facts(lesson)),
        groups=groups,
        approaches=tuple(approach_block(approach, briefing) for approach in plan.approaches),
        qnh=_qnh(lesson),
        temperature="" if lesson.altimetry.oat_deg_c is None else f"{number(lesson.altimetry.oat_deg_c)} °C",
        speeds="; ".join(briefing.speeds),
        notes=_notes(plan),
        caution=CAUTION,
        version=__version__,
        roomy=sum(len(group.rows) for group in groups) <= _ROOMY_ROWS and len(plan.approaches) <= 1,
    )


def _notes(plan: Plan) -> tuple[str, ...]:
    """The plan's notes as sentences, as many as a page has room for."""
    told = [clean(note, longest=240) for note in plan.notes[:_MOST_NOTES]]
    told = [note if note.endswith((".", "!", "?")) else f"{note}." for note in told]
    if len(plan.notes) > _MOST_NOTES:
        told.append(f"'legwise plan' tells {len(plan.notes) - _MOST_NOTES} more.")
    return tuple(told)


def _ends(plan: Plan) -> str:
    ends = [fix.ident for fix in (plan.departure, plan.destination) if fix is not None]
    return " to ".join(ends)


def _head_facts(lesson: Lesson) -> Iterator[SheetFact]:
    head, aircraft = lesson.lesson, lesson.aircraft
    yield SheetFact(label="Date", text="" if head.date is None else head.date.isoformat())
    yield SheetFact(label="Student", text=clean(head.student or "", longest=LONGEST))
    yield SheetFact(label="Instructor", text=clean(head.instructor or "", longest=LONGEST))
    parts = []
    if aircraft.approach_ias_kt is not None:
        parts.append(f"approach {number(aircraft.approach_ias_kt)} kt IAS")
    if aircraft.holding_ias_kt is not None:
        parts.append(f"holding {number(aircraft.holding_ias_kt)} kt IAS")
    if aircraft.category is not None:
        parts.append(f"category {aircraft.category}")
    yield SheetFact(label="Aircraft", text=", ".join(parts))


def _qnh(lesson: Lesson) -> str:
    if lesson.altimetry.qnh_hpa is not None:
        return f"{lesson.altimetry.qnh_hpa:g} hPa"
    return "" if lesson.altimetry.altimeter_inhg is None else f"{lesson.altimetry.altimeter_inhg:.2f} inHg"


def _groups(plan: Plan, briefing: Briefing) -> Iterator[SheetGroup]:
    clock = _Clock()
    if plan.route:
        start = plan.route[0].from_fix
        parts = [f"Route from {clean(start.ident, longest=LONGEST)}" if start is not None else "Route"]
        if plan.route_altitude_ft is not None:
            parts.append(f"filed at {number(plan.route_altitude_ft)} ft")
        yield _group(", ".join(parts), plan.route, briefing, clock, (LegPart.ROUTE, None), joins=_joined(plan))
    for number_of, approach in enumerate(plan.approaches):
        if number_of > 0:
            clock = _Clock()
        legs = [leg for leg in approach.legs if number_of > 0 or leg is not _joined(plan)]
        if legs:
            title = f"Approach {approach_title(approach)}"
            first = approach.legs[0]
            if first.kind == "IF":
                title += f" from {clean(first.end_ident, longest=LONGEST)}"
            yield _group(title, legs, briefing, clock, (LegPart.APPROACH, approach.index))


def _joined(plan: Plan) -> Leg | None:
    """The point at which the first approach begins, where the route ends there: both stand in one row."""
    if not plan.route or not plan.approaches or not plan.approaches[0].legs:
        return None
    first = plan.approaches[0].legs[0]
    return first if first.kind == "IF" and first.end_ident == plan.route[-1].end_ident else None


class _Clock:
    """Adds up the times of legs; a "+" behind the sum says that a leg of unknown time is not in it."""

    def __init__(self) -> None:
        self._seconds = 0.0
        self._more = ""

    def after(self, leg: Leg, brief: LegBriefing | None) -> str:
        if leg.kind == "IF":
            return ""
        time = brief.time_s if brief is not None else None
        if time is None:
            self._more = "+"
            return ""
        self._seconds += time
        return f"{minutes(self._seconds)}{self._more}"


def _group(
    title: str,
    legs: Sequence[Leg],
    briefing: Briefing,
    clock: _Clock,
    part: tuple[LegPart, int | None],
    *,
    joins: Leg | None = None,
) -> SheetGroup:
    total = briefing.total(*part)
    foot = "" if total is None or total.distance_nm <= 0 else f"{number(total.distance_nm, 1)} NM"
    if total is not None and total.time_s is not None:
        foot += f", {duration(total.time_s)}"
    if foot and total is not None and total.unmeasured:
        foot += " + what the flight decides"
    rows = [_row(leg, briefing.leg(leg.id), clock) for leg in legs]
    if joins is not None:
        point = _row(joins, None, clock)
        below = "; ".join(filter(None, (rows[-1].below, point.below)))
        rows[-1] = dataclasses.replace(rows[-1], role=point.role, altitude=point.altitude, below=below)
    return SheetGroup(title=title, rows=tuple(rows), foot=foot)


def _row(leg: Leg, brief: LegBriefing | None, clock: _Clock) -> SheetRow:
    turn = brief.turn if brief is not None else None
    words = turn_words(turn)
    return SheetRow(
        to=clean(f"{'hold ' if leg.hold is not None else ''}{to_words(leg)}", longest=LONGEST),
        role="" if leg.role is None else {"STEPDOWN": "step-down"}.get(leg.role, leg.role),
        below=clean("; ".join(_below(leg)), longest=160),
        course=_course(leg),
        distance="" if leg.distance_nm is None else number(leg.distance_nm, 1),
        altitude=altitude_words(leg.altitude),
        turn=words,
        lead=lead_words(turn),
        time="" if brief is None or brief.time_s is None else minutes(brief.time_s),
        total=clock.after(leg, brief),
    )


def _course(leg: Leg) -> str:
    if leg.kind == "IF" or leg.hold is not None or leg.reversal is not None:
        return ""
    if leg.heading_deg_true is not None:
        return f"hdg {magnetic_or_true(leg.heading_deg_mag, leg.heading_deg_true)}"
    if leg.course_deg_true is not None:
        return magnetic_or_true(leg.course_deg_mag, leg.course_deg_true)
    return "direct" if leg.kind == "DF" else ""


def _below(leg: Leg) -> Iterator[str]:
    if leg.hold is not None:
        yield f"{hold_words(leg.hold)}, {hold_ends_words(leg)}"
    if leg.reversal is not None:
        yield reversal_words(leg.reversal)
    if leg.radius_nm is not None:
        yield arc_words(leg)
    elif leg.turn is not None and leg.hold is None and leg.reversal is None:
        yield f"turn {leg.turn} onto it"
    yield from filter(None, (glidepath_words(leg.altitude), speed_words(leg)))
