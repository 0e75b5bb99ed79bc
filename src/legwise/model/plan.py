"""The plan: every leg that was to be flown, resolved to positions, true courses and altitude windows.

Made by :mod:`legwise.plan` from a lesson; nothing here depends on what was flown.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from legwise.model.arrays import FloatArray
from legwise.model.lesson import ApproachGuidance, FixKind, PathTerminator, Role, Turn


class Path(Protocol):
    """Something flown along, asked for arrays of positions (WGS 84 degrees, shape (n,)); a NaN position gives NaN.

    Distances are geodesic, within 0.1 m of the exact solution for legs to 250 NM and offsets to 10 NM.
    """

    @property
    def length_nm(self) -> float:
        """From the start of the path to its end. [nm] Infinite where it has no start."""

    @property
    def start_course_deg_true(self) -> float:
        """Course of the path at its start. [deg true]"""

    @property
    def end_course_deg_true(self) -> float:
        """Course of the path at its end. [deg true]"""

    def measure(self, lat_deg: FloatArray, lon_deg: FloatArray) -> PathPosition:
        """Where positions stand on the path, extended past both its ends."""

    def point_at(self, to_go_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the path's points at distances to go to its end (negative past it). [deg]"""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PathPosition:
    """Positions against a path: shape (n,) each.

    ``cross_track_nm`` right of the path positive; ``to_go_nm`` from the foot of the perpendicular to the end of the path,
    negative past it; ``course_deg_true`` of the path at the foot.
    """

    cross_track_nm: FloatArray
    to_go_nm: FloatArray
    course_deg_true: FloatArray


class LegPart(StrEnum):
    """Which part of the plan a leg belongs to."""

    ROUTE = "route"
    APPROACH = "approach"
    MISSED = "missed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """A named position. ``variation_deg`` is a station's own, east positive, where it differs from the model."""

    ident: str
    lat_deg: float
    lon_deg: float
    kind: FixKind = "waypoint"
    elevation_ft: float | None = None
    fly_over: bool = False
    variation_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AltitudeWindow:
    """Published altitudes at a fix: at or above ``low_ft``, at or below ``high_ft``; both equal for "at"."""

    low_ft: float | None = None
    high_ft: float | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Leg:
    """One leg of the plan.

    ``id`` is unique in the plan ("R1", "A1.2", "A1.M1": route leg 1; leg 2 of approach 1; its first missed leg).
    ``path`` is None where no ground path is fixed before the flight (IF: a point; DF: from wherever the aircraft is).
    ``course_deg_true`` and ``course_deg_mag`` are at the start of the leg, for a CF at the fix.
    """

    id: str
    kind: PathTerminator
    part: LegPart
    approach: int | None
    from_fix: Fix | None
    to_fix: Fix
    path: Path | None
    course_deg_true: float | None
    course_deg_mag: float | None
    distance_nm: float | None
    altitude: AltitudeWindow | None = None
    speed_max_kt: float | None = None
    role: Role | None = None
    fly_over: bool = False
    turn: Turn | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRunway:
    """The landing runway: threshold (the landing threshold point), final course there, and its far end.

    ``length_ft`` is the given one or the default that ``length_assumed`` says was taken.
    """

    ident: str
    lat_deg: float
    lon_deg: float
    elevation_ft: float
    course_deg_true: float
    length_ft: float
    length_assumed: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlannedApproach:
    """An approach: its legs in order (the first is usually an IF), its missed approach, its guidance and minima.

    ``final_path`` is the final approach course line, ending at the runway threshold (or at the missed approach point where
    there is no runway); positive to go before it. ``faf_to_go_nm`` is where the final approach fix lies on it. ``name`` is the procedure
    identifier or title.
    """

    index: int
    airport: str
    procedure: str
    title: str
    guidance: ApproachGuidance | None
    selected_final_only: bool
    stepped: bool
    navaid: Fix | None
    runway: PlannedRunway | None
    glidepath_deg: float | None
    threshold_crossing_height_ft: float
    half_width_at_threshold_ft: float
    da_ft: float | None
    mda_ft: float | None
    flown_da_ft: float | None
    flown_mda_ft: float | None
    legs: tuple[Leg, ...]
    missed: tuple[Leg, ...]
    final_path: Path | None
    faf_to_go_nm: float | None

    @property
    def minima_ft(self) -> float | None:
        """The published minimum that binds, above mean sea level. [ft]"""
        return self.da_ft if self.da_ft is not None else self.mda_ft

    @property
    def has_glidepath(self) -> bool:
        """True where the vertical path is guidance and is judged; an advisory path under an MDA is not."""
        return self.guidance in ("LPV", "LNAV/VNAV", "ILS", "GLS") and self.glidepath_deg is not None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Plan:
    """Everything owed before anything was said.

    ``route`` holds the legs between the route's points; ``notes`` says, in words, what was assumed or chosen (variation,
    runway length, a leg superseded by the approach). ``source`` says where the route came from: "lesson", "--route", "track file" or "none".
    """

    source: str
    departure: Fix | None
    destination: Fix | None
    route: tuple[Leg, ...]
    route_altitude_ft: float | None
    approaches: tuple[PlannedApproach, ...]
    fixes: tuple[Fix, ...]
    notes: tuple[str, ...] = ()

    def fix(self, ident: str) -> Fix | None:
        """The fix of that ident, or None."""
        return next((fix for fix in self.fixes if fix.ident == ident), None)
