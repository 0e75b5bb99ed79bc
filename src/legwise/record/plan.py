"""A resolved plan as JSON: what ``legwise plan --json`` prints."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from legwise.model.plan import Fix, Leg, Plan, PlannedApproach, PlannedRunway
from legwise.record.document import json_text
from legwise.record.schema import Entry
from legwise.record.values import Degrees, Feet, MaybeDegrees, MaybeFeet, MaybeNm, MaybeNumber, PositionDegrees, Text


class FixEntry(Entry):
    """A named position."""

    ident: Text
    lat_deg: PositionDegrees
    lon_deg: PositionDegrees
    kind: Text
    elevation_ft: MaybeFeet
    fly_over: bool
    variation_deg: MaybeNumber


class WindowEntry(Entry):
    """Altitudes at the end of a leg: at or above ``low_ft``, at or below ``high_ft``."""

    low_ft: MaybeFeet
    high_ft: MaybeFeet


class PlannedLegEntry(Entry):
    """A leg that was to be flown; ``distance_nm`` is null where it depends on the flight."""

    id: Text
    kind: Text
    part: Text
    from_: Text = Field(serialization_alias="from")
    to: Text
    course_deg_true: MaybeDegrees
    course_deg_mag: MaybeDegrees
    distance_nm: MaybeNm
    altitude: WindowEntry | None
    speed_max_kt: MaybeNumber
    role: Text | None
    fly_over: bool
    turn: Text | None


class RunwayEntry(Entry):
    """The landing runway."""

    ident: Text
    lat_deg: PositionDegrees
    lon_deg: PositionDegrees
    elevation_ft: Feet
    course_deg_true: Degrees
    length_ft: Feet
    length_assumed: bool


class PlannedApproachEntry(Entry):
    """An approach with its legs, its missed approach, its path and its minima."""

    airport: Text
    procedure: Text
    title: Text
    guidance: Text | None
    selected: Literal["full", "final-only"]
    runway: RunwayEntry | None
    glidepath_deg: MaybeNumber
    threshold_crossing_height_ft: Feet
    course_half_width_at_threshold_ft: Feet
    da_ft: MaybeFeet
    mda_ft: MaybeFeet
    flown_da_ft: MaybeFeet
    flown_mda_ft: MaybeFeet
    faf_to_go_nm: MaybeNm
    legs: tuple[PlannedLegEntry, ...]
    missed: tuple[PlannedLegEntry, ...]


class PlanFile(Entry):
    """A resolved plan."""

    schema_: Literal["legwise.plan/1"] = Field(default="legwise.plan/1", serialization_alias="schema")
    source: Text
    departure: Text | None
    destination: Text | None
    route_altitude_ft: MaybeFeet
    route: tuple[PlannedLegEntry, ...]
    approaches: tuple[PlannedApproachEntry, ...]
    fixes: tuple[FixEntry, ...]
    notes: tuple[Text, ...]


def plan_json(plan: Plan) -> str:
    """The resolved plan as JSON text."""
    return json_text(
        PlanFile(
            source=plan.source,
            departure=_ident(plan.departure),
            destination=_ident(plan.destination),
            route_altitude_ft=plan.route_altitude_ft,
            route=tuple(map(_leg, plan.route)),
            approaches=tuple(map(_approach, plan.approaches)),
            fixes=tuple(map(FixEntry.model_validate, plan.fixes)),
            notes=plan.notes,
        )
    )


def _ident(fix: Fix | None) -> str | None:
    return fix.ident if fix else None


def _leg(leg: Leg) -> PlannedLegEntry:
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
    )


def _runway(runway: PlannedRunway | None) -> RunwayEntry | None:
    return RunwayEntry.model_validate(runway) if runway else None


def _approach(approach: PlannedApproach) -> PlannedApproachEntry:
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
        legs=tuple(map(_leg, approach.legs)),
        missed=tuple(map(_leg, approach.missed)),
    )
