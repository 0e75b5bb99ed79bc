"""The plan: every leg that was to be flown, resolved to positions, true courses and altitude windows.

Made by :mod:`legwise.plan` from a lesson; nothing here depends on what was flown.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, Protocol

from legwise.model.arrays import FloatArray
from legwise.model.lesson import ApproachGuidance, FixKind, PathTerminator, Role, Turn


class Path(Protocol):
    """Something flown along, asked for arrays of positions (WGS 84 degrees, shape (n,)); a NaN position gives NaN.

    Distances are geodesic, within 0.1 m of the exact solution for legs to 250 NM and offsets to 10 NM.
    """

    @property
    def length_nm(self) -> float:
        """From the start of the path to its end. [nm] Infinite where it has no start or no end."""

    @property
    def start_course_deg_true(self) -> float:
        """Course of the path at its start. [deg true]"""

    @property
    def end_course_deg_true(self) -> float:
        """Course of the path at its end. [deg true]"""

    def measure(self, lat_deg: FloatArray, lon_deg: FloatArray) -> PathPosition:
        """Where positions stand on the path, extended past both its ends."""

    def point_at(self, to_go_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the path's points at distances to go to its end (negative past it). [deg]

        NaN where the path has no end to count from.
        """

    def point_along(self, along_track_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude of the path's points at distances from its start (negative before it). [deg]

        NaN where the path has no start to count from.
        """


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PathPosition:
    """Positions against a path: shape (n,) each.

    ``cross_track_nm`` right of the path positive; ``along_track_nm`` from the start of the path to the foot of the
    perpendicular, negative before it, NaN where the path has no start; ``to_go_nm`` from the foot to the end of the
    path, negative past it, NaN where it has no end; ``course_deg_true`` of the path at the foot.
    """

    cross_track_nm: FloatArray
    along_track_nm: FloatArray
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
    """Published altitudes at a fix: at or above ``low_ft``, at or below ``high_ft``; both equal for "at".

    ``glidepath_ft`` is where the glidepath (or the coded vertical angle) lies at the fix, which binds nobody (ARINC 424
    field 5.29, codes G, H, I, J, V, X, Y).
    """

    low_ft: float | None = None
    high_ft: float | None = None
    glidepath_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegEnd:
    """How a leg ends that does not end at a fix.

    ``altitude``: on reaching the leg's altitude. ``intercept``: where the next leg's path is met. ``distance``:
    ``distance_nm`` along the track from the leg's fix. ``dme``: ``distance_nm`` from ``station`` (horizontal geodesic).
    ``radial``: on ``radial_deg_true`` from ``station``. ``manual``: when air traffic control or the pilot says so.
    """

    kind: Literal["altitude", "intercept", "distance", "dme", "radial", "manual"]
    station: Fix | None = None
    distance_nm: float | None = None
    radial_deg_true: float | None = None
    radial_deg_mag: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A holding pattern as published: inbound course at the fix, side of the turns, length of a leg.

    ``leg_minutes`` or ``leg_nm`` (the published outbound length); None in both where neither is published, when the
    standard timing holds (FAA AIM 5-3-8 j4).
    """

    fix: Fix
    inbound_course_deg_true: float
    inbound_course_deg_mag: float | None
    turn: Turn
    leg_minutes: float | None = None
    leg_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reversal:
    """A course reversal that begins at a fix: outbound, a turn on the side it is drawn, back within ``limit_nm``.

    ``inbound_course_deg_true`` is the course back to the fix, ``turn`` the side of the outbound course on which the
    turn is drawn. ``kind`` "procedure-turn" is the 45°/180° turn of a PI leg; a hold in lieu is a :class:`Hold`.
    """

    fix: Fix
    kind: Literal["procedure-turn", "base-turn", "racetrack"]
    outbound_course_deg_true: float
    outbound_course_deg_mag: float | None
    inbound_course_deg_true: float
    turn: Turn
    limit_nm: float | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Leg:
    """One leg of the plan.

    ``id`` is unique in the plan ("R1", "A1.2", "A1.M1": route leg 1; leg 2 of approach 1; its first missed leg).
    ``path`` is None where no ground path is fixed before the flight: an IF is a point; a DF, CA, CI, CD or CR begins
    wherever the aircraft is (:func:`legwise.geodesy.begun_at` makes its path); on a VA, VD, VI, VM or VR a heading is
    owed and no track. ``to_fix`` is the fix that it leads to, None where it ends otherwise, as ``end`` says; a hold
    and a reversal lead back to the fix that they begin at. ``course_deg_true`` and ``course_deg_mag`` are at the start
    of the leg, for a CF and a hold's inbound course at the fix, for a PI outbound; ``heading_deg_true`` and
    ``heading_deg_mag`` are those of a heading leg. ``procedure`` names the departure, arrival, approach or transition
    that it is coded in, "" for the route between. ``vertical_angle_deg`` is coded for the leg, down negative.
    """

    id: str
    kind: PathTerminator
    part: LegPart
    approach: int | None
    from_fix: Fix | None
    to_fix: Fix | None
    path: Path | None
    course_deg_true: float | None
    course_deg_mag: float | None
    distance_nm: float | None
    heading_deg_true: float | None = None
    heading_deg_mag: float | None = None
    end: LegEnd | None = None
    hold: Hold | None = None
    reversal: Reversal | None = None
    centre: Fix | None = None
    radius_nm: float | None = None
    altitude: AltitudeWindow | None = None
    speed_max_kt: float | None = None
    speed_min_kt: float | None = None
    role: Role | None = None
    fly_over: bool = False
    turn: Turn | None = None
    procedure: str = ""
    vertical_angle_deg: float | None = None

    @property
    def end_ident(self) -> str:
        """The ident of the fix that it leads to, empty where it leads to none."""
        return self.to_fix.ident if self.to_fix is not None else ""

    @property
    def ends_at_fix(self) -> bool:
        """True where it runs to a fix over the ground or directly: no hold, no reversal, no point to start from."""
        return self.to_fix is not None and self.kind not in ("IF", "HA", "HF", "HM", "PI")


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
    ``procedure`` is the procedure's identifier or, where none was given, its title. ``alignment_nm`` is from the
    threshold to the flight path alignment point, where coded: an LPV's course narrows to 305 m beyond it, which may be
    well past the runway's far end.
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
    alignment_nm: float | None = None

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
