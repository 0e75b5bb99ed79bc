"""The plan: every leg that was to be flown, resolved to positions, true courses and altitude windows.

Made by :mod:`legwise.plan` from a lesson; nothing here depends on what was flown.
"""

from __future__ import annotations

import re
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

    ``cross_track_nm`` right of the path positive; ``to_go_nm`` from the foot of the perpendicular to the end of the
    path, negative past it; ``course_deg_true`` of the path at the foot.
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

    ``final_path`` is the final approach course line, ending at the runway threshold (or at the missed approach point
    where there is no runway); positive to go before it. ``faf_to_go_nm`` is where the final approach fix lies on it.
    ``procedure`` is the procedure's identifier or, where none was given, its title.
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

    ``route`` holds the legs between the route's points; ``notes`` says, in words, what was assumed or chosen
    (variation, runway length, a leg superseded by the approach). ``source`` says where the route came from: "lesson",
    "--route", "track file" or "none". ``fixes`` holds every fix by its ident, each ident once.
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

    def approaches_named(self, cleared: str) -> tuple[PlannedApproach, ...]:
        """The approaches that ``cleared`` of an instruction may mean, in the lesson's order.

        AIRPORT, AIRPORT/PROCEDURE or AIRPORT/runway ident; case does not count, "RWY 27" and "27" stand for "RW27".
        Several where only the airport or the runway was said and there are several to it: which one is meant shows
        from what was flown already.
        """
        airport, _, rest = cleared.strip().casefold().partition("/")
        there = tuple(approach for approach in self.approaches if approach.airport.casefold() == airport)
        if not rest:
            return there
        by_name = tuple(item for item in there if rest in (item.procedure.casefold(), item.title.casefold()))
        return by_name or tuple(item for item in there if _is_to_runway(item, rest))

    def approach_named(self, cleared: str) -> PlannedApproach | None:
        """The first of :meth:`approaches_named`, or None."""
        return next(iter(self.approaches_named(cleared)), None)


_RUNWAY = re.compile(r"(?:rw|rwy|runway)? ?([0-9]{1,2})([lrc]?)")
_CODED_PROCEDURE = re.compile(r"([a-z])([0-9]{2}[lrc]?)(?:-?[a-z])?")
# The letter of a coded procedure identifier (ARINC 424, route type; from memory): R27 is an RNAV approach to runway 27.
_CODED_GUIDANCE: dict[str, tuple[ApproachGuidance, ...]] = {
    "r": ("LPV", "LP", "LNAV/VNAV", "LNAV"),
    "h": ("LPV", "LP", "LNAV/VNAV", "LNAV"),
    "i": ("ILS",),
    "j": ("GLS",),
    "l": ("LOC",),
    "x": ("LDA",),
    "u": ("SDF",),
    "v": ("VOR",),
    "s": ("VOR",),
    "d": ("VOR",),
    "n": ("NDB",),
    "q": ("NDB",),
}
_COORDINATES = re.compile(
    r"(?P<lat>[0-9]{2})(?P<lat_min>[0-9]{2})?(?P<lat_s>[0-9]{2})?(?P<ns>[NS])"
    r"(?P<lon>[0-9]{3})(?P<lon_min>[0-9]{2})?(?P<lon_s>[0-9]{2})?(?P<ew>[EW])"
)


def _is_to_runway(approach: PlannedApproach, said: str) -> bool:
    """Whether ``said`` names the approach's runway, or is the coded identifier of its kind of approach to it."""
    if approach.runway is None:
        return False
    runway = _bare_runway(approach.runway.ident)
    coded = _CODED_PROCEDURE.fullmatch(said)
    if coded and (approach.guidance is None or approach.guidance in _CODED_GUIDANCE.get(coded[1], ())):
        return _bare_runway(coded[2]) == runway
    return _bare_runway(said) == runway


def _bare_runway(ident: str) -> str:
    match = _RUNWAY.fullmatch(ident.casefold())
    return f"{int(match[1])}{match[2]}" if match else ident.casefold()


def coordinates_of(text: str) -> tuple[float, float] | None:
    """Latitude and longitude [deg] of a position in flight-plan form, or None where ``text`` is no such position.

    Degrees and minutes (``4630N02800W``) as in the flight plan's item 15 (FAA AIM, appendix 4); degrees alone
    (``46N028W``) and seconds as well (``463000N0280000W``). Both halves must have the same parts; minutes and seconds
    lie below 60.
    """
    match = _COORDINATES.fullmatch(text)
    if match is None:
        return None
    halves = []
    for degrees, minutes, seconds in (("lat", "lat_min", "lat_s"), ("lon", "lon_min", "lon_s")):
        parts = [match[degrees], match[minutes] or "0", match[seconds] or "0"]
        if int(parts[1]) >= 60 or int(parts[2]) >= 60:
            return None
        halves.append(int(parts[0]) + int(parts[1]) / 60.0 + int(parts[2]) / 3600.0)
    same_form = (match["lat_min"] is None) == (match["lon_min"] is None)
    same_form = same_form and (match["lat_s"] is None) == (match["lon_s"] is None)
    if not same_form or halves[0] > 90 or halves[1] > 180:
        return None
    return (halves[0] if match["ns"] == "N" else -halves[0], halves[1] if match["ew"] == "E" else -halves[1])
