"""The types of a resolved plan as JSON. Keys are added, never renamed or dropped; what is not known is null."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

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
    """Altitudes at the end of a leg: at or above ``low_ft``, at or below ``high_ft``.

    ``glidepath_ft`` is where the glidepath lies there, which binds nobody.
    """

    low_ft: MaybeFeet
    high_ft: MaybeFeet
    glidepath_ft: MaybeFeet = None


class EndEntry(Entry):
    """How a leg ends that does not end at a fix: "altitude", "intercept", "distance", "dme", "radial", "manual"."""

    kind: Text
    station: Text | None
    distance_nm: MaybeNm
    radial_deg_true: MaybeDegrees
    radial_deg_mag: MaybeDegrees


class PlannedHoldEntry(Entry):
    """A holding pattern as published; ``leg_minutes`` and ``leg_nm`` are null where the standard timing holds.

    ``entries`` are those for the arrival course, two near the line between two sectors, none without that course.
    ``arrival_estimated``: a direct leads there, whose course lies within ``arrival_within_deg`` of the one that is
    given. ``entry_depends``: no one entry is good for all of these; ``entries`` are those that may be asked for.
    """

    fix: Text
    inbound_course_deg_true: Degrees
    inbound_course_deg_mag: MaybeDegrees
    turn: Text
    leg_minutes: MaybeNumber
    leg_nm: MaybeNm
    arrival_course_deg_true: MaybeDegrees = None
    arrival_course_deg_mag: MaybeDegrees = None
    arrival_estimated: bool = False
    entries: tuple[Text, ...] = ()
    arrival_within_deg: MaybeDegrees = None
    entry_depends: bool = False


class PlannedReversalEntry(Entry):
    """A course reversal as published; ``turn`` is the side of the outbound course on which it is drawn."""

    fix: Text
    kind: Text
    outbound_course_deg_true: Degrees
    outbound_course_deg_mag: MaybeDegrees
    inbound_course_deg_true: Degrees
    turn: Text
    limit_nm: MaybeNm


class PlannedTurnEntry(Entry):
    """The turn at the end of a leg: right positive, onto leg ``onto``; leads are null for a turn over the fix.

    ``no_room``: the lead is longer than there is room for on one of the two legs.
    """

    turn_deg: Degrees
    onto: Text
    fix: Text
    fly_over: bool
    lead_nm: MaybeNm
    lead_least_nm: MaybeNm
    lead_largest_nm: MaybeNm
    no_room: bool = False


class PlannedLegEntry(Entry):
    """A leg that was to be flown; ``distance_nm`` is null where it depends on the flight.

    ``groundspeed_kt`` is the planned one, ``time_s`` the time that the leg takes at it, ``turn_at_end`` the turn onto
    the leg after it.
    """

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
    heading_deg_true: MaybeDegrees
    heading_deg_mag: MaybeDegrees
    speed_min_kt: MaybeNumber
    end: EndEntry | None
    hold: PlannedHoldEntry | None
    reversal: PlannedReversalEntry | None
    centre: Text | None
    radius_nm: MaybeNm
    procedure: Text
    vertical_angle_deg: MaybeDegrees
    groundspeed_kt: MaybeNumber
    time_s: MaybeNumber
    turn_at_end: PlannedTurnEntry | None


class RunwayEntry(Entry):
    """The landing runway."""

    ident: Text
    lat_deg: PositionDegrees
    lon_deg: PositionDegrees
    elevation_ft: Feet
    course_deg_true: Degrees
    length_ft: Feet
    length_assumed: bool


class FinalEntry(Entry):
    """The final approach at its planned groundspeed, from the final approach fix to the missed approach point.

    ``angle_computed`` tells an angle that is not published: it is that of the line from the altitude of the final
    approach fix to the threshold crossing height.
    """

    groundspeed_kt: MaybeNumber
    angle_deg: MaybeDegrees
    angle_computed: bool
    descent_fpm: MaybeNumber
    distance_nm: MaybeNm
    time_s: MaybeNumber


class TotalEntry(Entry):
    """The legs of a part together; ``unmeasured`` counts those whose length depends on the flight, left out of it."""

    part: Text
    approach: int | None
    distance_nm: MaybeNm
    time_s: MaybeNumber
    unmeasured: int


class WindEntry(Entry):
    """The wind that was planned with."""

    from_deg_true: Degrees
    speed_kt: MaybeNumber


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
    final: FinalEntry | None


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
    totals: tuple[TotalEntry, ...]
    planned_speeds: tuple[Text, ...]
    wind: WindEntry | None
