"""A resolved plan as JSON: what ``legwise plan --json`` prints. Keys are added, never renamed or dropped.

What is not known, and what a leg does not have, is null.
"""

from __future__ import annotations

from collections.abc import Iterable

from legwise.model.briefing import Briefing, HoldBriefing, PlannedTurn
from legwise.model.plan import Fix, Hold, Leg, LegEnd, Plan, PlannedApproach, PlannedRunway, Reversal
from legwise.record.document import json_text
from legwise.record.plan_entries import (
    EndEntry,
    FinalEntry,
    FixEntry,
    PlanFile,
    PlannedApproachEntry,
    PlannedHoldEntry,
    PlannedLegEntry,
    PlannedReversalEntry,
    PlannedTurnEntry,
    RunwayEntry,
    TotalEntry,
    WindEntry,
    WindowEntry,
)


def plan_json(plan: Plan, briefing: Briefing | None = None) -> str:
    """The resolved plan as JSON text; what depends on the planned speeds is null without its briefing."""
    return json_text(
        PlanFile(
            source=plan.source,
            departure=_ident(plan.departure),
            destination=_ident(plan.destination),
            route_altitude_ft=plan.route_altitude_ft,
            route=_legs(plan.route, briefing),
            approaches=tuple(_approach(approach, briefing) for approach in plan.approaches),
            fixes=tuple(map(FixEntry.model_validate, plan.fixes)),
            notes=plan.notes,
            totals=_totals(briefing),
            planned_speeds=briefing.speeds if briefing else (),
            wind=WindEntry.model_validate(briefing.wind) if briefing and briefing.wind else None,
        )
    )


def _ident(fix: Fix | None) -> str | None:
    return fix.ident if fix else None


def _legs(legs: Iterable[Leg], briefing: Briefing | None) -> tuple[PlannedLegEntry, ...]:
    return tuple(_leg(leg, briefing) for leg in legs)


def _leg(leg: Leg, briefing: Briefing | None) -> PlannedLegEntry:
    brief = briefing.leg(leg.id) if briefing else None
    return PlannedLegEntry(
        id=leg.id,
        kind=leg.kind,
        part=leg.part,
        from_=_ident(leg.from_fix) or "",
        to=leg.end_ident,
        course_deg_true=leg.course_deg_true,
        course_deg_mag=leg.course_deg_mag,
        distance_nm=leg.distance_nm,
        altitude=WindowEntry.model_validate(leg.altitude) if leg.altitude else None,
        speed_max_kt=leg.speed_max_kt,
        role=leg.role,
        fly_over=leg.fly_over,
        turn=leg.turn,
        heading_deg_true=leg.heading_deg_true,
        heading_deg_mag=leg.heading_deg_mag,
        speed_min_kt=leg.speed_min_kt,
        end=_end(leg.end),
        hold=_hold(leg.hold, briefing.hold(leg.id) if briefing else None),
        reversal=_reversal(leg.reversal),
        centre=_ident(leg.centre),
        radius_nm=leg.radius_nm,
        procedure=leg.procedure,
        vertical_angle_deg=leg.vertical_angle_deg,
        groundspeed_kt=brief.groundspeed_kt if brief else None,
        time_s=brief.time_s if brief else None,
        turn_at_end=_turn(brief.turn if brief else None),
    )


def _end(end: LegEnd | None) -> EndEntry | None:
    if end is None:
        return None
    return EndEntry(
        kind=end.kind,
        station=_ident(end.station),
        distance_nm=end.distance_nm,
        radial_deg_true=end.radial_deg_true,
        radial_deg_mag=end.radial_deg_mag,
    )


def _hold(hold: Hold | None, brief: HoldBriefing | None) -> PlannedHoldEntry | None:
    if hold is None:
        return None
    return PlannedHoldEntry(
        fix=hold.fix.ident,
        inbound_course_deg_true=hold.inbound_course_deg_true,
        inbound_course_deg_mag=hold.inbound_course_deg_mag,
        turn=hold.turn,
        leg_minutes=hold.leg_minutes,
        leg_nm=hold.leg_nm,
        arrival_course_deg_true=brief.arrival_course_deg_true if brief else None,
        arrival_course_deg_mag=brief.arrival_course_deg_mag if brief else None,
        arrival_estimated=brief.arrival_estimated if brief else False,
        entries=brief.entries if brief else (),
        arrival_within_deg=brief.arrival_within_deg if brief else None,
        entry_depends=brief.entry_depends if brief else False,
    )


def _reversal(reversal: Reversal | None) -> PlannedReversalEntry | None:
    if reversal is None:
        return None
    return PlannedReversalEntry(
        fix=reversal.fix.ident,
        kind=reversal.kind,
        outbound_course_deg_true=reversal.outbound_course_deg_true,
        outbound_course_deg_mag=reversal.outbound_course_deg_mag,
        inbound_course_deg_true=reversal.inbound_course_deg_true,
        turn=reversal.turn,
        limit_nm=reversal.limit_nm,
    )


def _turn(turn: PlannedTurn | None) -> PlannedTurnEntry | None:
    return PlannedTurnEntry.model_validate(turn) if turn else None


def _totals(briefing: Briefing | None) -> tuple[TotalEntry, ...]:
    return tuple(map(TotalEntry.model_validate, briefing.totals)) if briefing else ()


def _final(briefing: Briefing | None, approach: int) -> FinalEntry | None:
    final = briefing.final(approach) if briefing else None
    if final is None:
        return None
    return FinalEntry(
        groundspeed_kt=final.groundspeed_kt,
        angle_deg=final.angle_deg,
        angle_computed=final.computed,
        descent_fpm=final.descent_fpm,
        distance_nm=final.distance_nm,
        time_s=final.time_s,
    )


def _runway(runway: PlannedRunway | None) -> RunwayEntry | None:
    return RunwayEntry.model_validate(runway) if runway else None


def _approach(approach: PlannedApproach, briefing: Briefing | None) -> PlannedApproachEntry:
    return PlannedApproachEntry(
        airport=approach.airport,
        procedure=approach.procedure,
        title=approach.title,
        guidance=approach.guidance,
        selected="final-only" if approach.selected_final_only else "full",
        runway=_runway(approach.runway),
        glidepath_deg=approach.glidepath_deg,
        threshold_crossing_height_ft=approach.threshold_crossing_height_ft,
        course_half_width_at_threshold_ft=approach.half_width_at_threshold_ft,
        da_ft=approach.da_ft,
        mda_ft=approach.mda_ft,
        flown_da_ft=approach.flown_da_ft,
        flown_mda_ft=approach.flown_mda_ft,
        faf_to_go_nm=approach.faf_to_go_nm,
        legs=_legs(approach.legs, briefing),
        missed=_legs(approach.missed, briefing),
        final=_final(briefing, approach.index),
    )
