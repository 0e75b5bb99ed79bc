"""Coded navigation data: what a file of ARINC 424 records holds, decoded, and the questions a plan asks of it.

Made by :mod:`legwise.navdata`, asked by :mod:`legwise.plan`. Positions are WGS 84; altitudes above mean sea level;
magnetic values as coded. What a record leaves blank is None. ``line`` is the number of the record in its file, from 1.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, Protocol

from legwise.model.lesson import FixKind, PathTerminator, Turn
from legwise.model.plan import AltitudeWindow


class Section(StrEnum):
    """Where a coded fix stands: the section and subsection of its record (ARINC 424 fields 5.4 and 5.5)."""

    VHF_NAVAID = "D "
    NDB = "DB"
    TERMINAL_NDB = "PN"
    WAYPOINT = "EA"
    TERMINAL_WAYPOINT = "PC"
    AIRPORT = "PA"
    RUNWAY = "PG"
    LOCALIZER = "PI"
    LIST = "L "
    """Not of the standard: a fix of a plain list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FixKey:
    """What a record names another by: ident, region, section, and the aerodrome that a terminal fix belongs to."""

    ident: str
    region: str
    section: Section
    airport: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedFix:
    """A position that can be named.

    ``variation_deg`` is a station's declination, an aerodrome's variation of record or what is coded with a waypoint,
    east positive. ``dme_lat_deg`` and ``dme_lon_deg`` are given where a station's DME stands apart from it or alone.
    ``is_true`` where the station is aligned to true north, not to magnetic.
    """

    key: FixKey
    kind: FixKind
    name: str
    lat_deg: float
    lon_deg: float
    line: int
    elevation_ft: float | None = None
    variation_deg: float | None = None
    is_true: bool = False
    has_dme: bool = False
    dme_lat_deg: float | None = None
    dme_lon_deg: float | None = None
    frequency: str = ""

    @property
    def ident(self) -> str:
        """Its ident."""
        return self.key.ident


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedAirport:
    """An aerodrome: its reference point, and the altitude [ft] and level where settings change."""

    fix: CodedFix
    transition_altitude_ft: float | None = None
    transition_level_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedRunway:
    """A runway end: its landing threshold, and what leads to it. ``course_deg`` is magnetic unless ``is_true``."""

    fix: CodedFix
    course_deg: float | None
    is_true: bool
    length_ft: float | None
    threshold_elevation_ft: float | None
    threshold_crossing_height_ft: float | None
    displaced_ft: float | None
    localizer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedLocalizer:
    """A localizer or the like with its glide slope. ``fix`` stands at the localizer's antenna; its variation is coded.

    ``width_deg`` is the full angle of the course, edge to edge.
    """

    fix: CodedFix
    runway: str
    category: str
    course_deg: float | None
    is_true: bool
    width_deg: float | None
    glide_slope_lat_deg: float | None
    glide_slope_lon_deg: float | None
    glide_slope_deg: float | None
    glide_slope_elevation_ft: float | None
    threshold_crossing_height_ft: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedPathPoint:
    """The final approach segment data of a procedure with satellite-based vertical guidance.

    ``course_half_width_at_threshold_m`` is full scale to one side; heights above the ellipsoid in metres.
    """

    airport: str
    procedure: str
    runway: str
    threshold_lat_deg: float
    threshold_lon_deg: float
    threshold_ellipsoid_m: float | None
    alignment_lat_deg: float
    alignment_lon_deg: float
    glidepath_deg: float | None
    course_half_width_at_threshold_m: float | None
    length_offset_m: float | None
    threshold_crossing_height_ft: float | None
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedLeg:
    """A leg of a procedure, decoded.

    ``course_deg`` is the coded magnetic course (heading on a V leg, inbound on a hold), true where ``is_true``;
    ``theta_deg`` and ``rho_nm`` are bearing (magnetic) and distance from the recommended navaid. ``distance_nm`` or
    ``minutes`` is the coded length. ``altitude`` is None where none is coded; ``speed_kt`` goes with ``speed_limit``.
    ``is_missed`` from the first leg of the missed approach on.
    """

    line: int
    sequence: int
    path: PathTerminator
    fix: FixKey | None
    fly_over: bool
    role: Literal["IAF", "IF", "FAF", "STEPDOWN", "MAP"] | None
    is_missed: bool
    turn: Turn | None
    rnp_nm: float | None
    navaid: FixKey | None
    centre: FixKey | None
    radius_nm: float | None
    theta_deg: float | None
    rho_nm: float | None
    course_deg: float | None
    is_true: bool
    distance_nm: float | None
    minutes: float | None
    altitude_code: str
    altitude: AltitudeWindow | None
    speed_kt: float | None
    speed_limit: Literal["at", "max", "min"] | None
    vertical_angle_deg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordProblem:
    """A record that could not be used: its line and what is wrong with it."""

    line: int
    message: str


class ProcedureKind(StrEnum):
    """What kind of procedure."""

    DEPARTURE = "departure"
    ARRIVAL = "arrival"
    APPROACH = "approach"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedurePart:
    """A part of a procedure: legs in order. ``transition`` is as coded: a fix, a runway ("RW27", "RW04B"), "ALL" or "".

    ``place``: "runway" a runway's transition, "common" what all share, "fix" a transition from or to a fix en route
    (for an approach: from an initial fix), "final" an approach from its first common fix through the missed approach.
    """

    place: Literal["runway", "common", "fix", "final"]
    route_type: str
    transition: str
    legs: tuple[CodedLeg, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedProcedure:
    """A procedure with all its parts. ``route_type`` is that of its common or final part (ARINC 424 field 5.7).

    ``levels`` are the lines of minima that its records name ("LPV", "LNAV/VNAV", "LNAV", "LP"), where they name any.
    ``problems`` are those of its own records: a leg or a value may be missing from it.
    """

    airport: str
    ident: str
    kind: ProcedureKind
    route_type: str
    runway: str
    levels: tuple[str, ...]
    parts: tuple[ProcedurePart, ...]
    problems: tuple[RecordProblem, ...] = ()

    def transitions(self) -> tuple[str, ...]:
        """The names of its transitions from or to a fix."""
        return tuple(part.transition for part in self.parts if part.place == "fix")

    def part(self, place: str, transition: str | None = None) -> ProcedurePart | None:
        """The first part at that place, of that transition if one is named."""
        return next(
            (p for p in self.parts if p.place == place and transition in (None, p.transition)),
            None,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AirwayPoint:
    """A fix on an airway, in the order coded. ``direction``: the way it may be flown from here, None both ways.

    ``ends_segment`` where no leg of the airway leads on from here.
    """

    fix: FixKey
    sequence: int
    line: int
    direction: Literal["forward", "backward"] | None
    ends_segment: bool
    minimum_ft: float | None
    maximum_ft: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CodedAirway:
    """An airway: one stretch of fixes that are joined each to the next. One ident may have several (regions, gaps)."""

    ident: str
    points: tuple[AirwayPoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NavDataSummary:
    """What a file of navigation data is: for messages, and for the check against the date of the flight.

    ``cycle`` is the file's ("2609"); ``effective_from`` and ``effective_to`` its days, both counted in. ``counts`` are
    records by section ("PF": 288); ``problem_count`` counts them all, of which ``problems`` holds the first.
    ``newest_change`` is the newest cycle in which a record was changed, which is not the file's; ``notes`` say in words
    what was chosen or left unread.
    """

    file: str
    cycle: str
    effective_from: dt.date | None
    effective_to: dt.date | None
    counts: dict[str, int]
    problem_count: int
    problems: tuple[RecordProblem, ...]
    newest_change: str = ""
    notes: tuple[str, ...] = ()


class NavData(Protocol):
    """Navigation data as a plan asks for it. Nothing raises for what is not there: it gives None or nothing."""

    @property
    def summary(self) -> NavDataSummary:
        """What was read."""

    def fixes(self, ident: str) -> Sequence[CodedFix]:
        """Everything of that ident that can be a point of a route: aerodromes, navaids, waypoints, no runways."""

    def fix(self, key: FixKey) -> CodedFix | None:
        """The fix that a record names, runways and localizers too."""

    def airport(self, ident: str) -> CodedAirport | None:
        """The aerodrome of that ident."""

    def runway(self, airport: str, ident: str) -> CodedRunway | None:
        """A runway end of an aerodrome: "RW27"."""

    def runways(self, airport: str) -> Sequence[CodedRunway]:
        """All runway ends of an aerodrome."""

    def localizer(self, airport: str, ident: str) -> CodedLocalizer | None:
        """A localizer of an aerodrome by its ident."""

    def path_point(self, airport: str, procedure: str) -> CodedPathPoint | None:
        """The final approach segment data of a procedure."""

    def airways(self, ident: str) -> Sequence[CodedAirway]:
        """The stretches of an airway."""

    def procedure(self, airport: str, ident: str, kind: ProcedureKind) -> CodedProcedure | None:
        """A procedure of an aerodrome by its coded ident."""

    def procedures(self, airport: str, kind: ProcedureKind) -> Sequence[str]:
        """The idents of an aerodrome's procedures of a kind."""

    def nearest_idents(self, ident: str, kind: Literal["fix", "airport", "airway"], most: int = 3) -> Sequence[str]:
        """The known idents most like ``ident``, best first: for messages."""
