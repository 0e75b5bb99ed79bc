"""An invented land for a flight: two aerodromes, a route between, an approach with its missed approach.

Not for navigation: every name and place is made up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from builders.flights.flyer import glide_ft, turn_radius_nm
from builders.flights.plane import Line, direction, unit, wrap
from builders.flights.world import Chance, World

FAF_NM = 5.2
_FIRST, _THIRD, _VOWELS = "BCDFGHJKLMNPRSTVZ", "BDGKLMNRSTV", "AEIOU"


@dataclass
class Fix:
    """A named place."""

    ident: str
    place: complex
    kind: str = "waypoint"
    elevation_ft: float | None = None
    fly_over: bool = False


@dataclass
class Approach:
    """An approach as the lesson writes it: its legs and missed legs as tables, and its figures."""

    airport: str
    runway: str
    threshold: complex
    course: float
    elevation_ft: float
    guidance: str = "LPV"
    minima_ft: float = 0.0
    title: str = ""
    legs: list[dict[str, Any]] = field(default_factory=list)
    missed: list[dict[str, Any]] = field(default_factory=list)
    extra: dict[str, Any] = field(default_factory=dict)

    @property
    def has_glidepath(self) -> bool:
        """Whether the vertical path is guidance."""
        return self.guidance in ("LPV", "ILS", "LNAV/VNAV")

    def path_ft(self, to_go_nm: float) -> float:
        """Height of the glidepath (or of a steady descent) above mean sea level."""
        return glide_ft(self.elevation_ft, to_go_nm)


class Land:
    """The fixes by name, the route in order, the approaches."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.fixes: dict[str, Fix] = {}
        self.route: list[str] = []
        self.approaches: list[Approach] = []
        self.departure_course = 0.0
        self.cruise_ft = 0.0
        self.extra: dict[str, dict[str, Any]] = {}
        self.coded: list[str] = []
        """Lines of the lesson in place of fixes, route and approaches, where these are in navigation data."""
        self._names = Chance(world.kind, world.seed, "names")

    def name(self) -> str:
        """A name of five letters that is unlike all others by two letters at least."""
        chance = self._names
        while True:
            ident = "".join(chance.one_of(tuple(letters)) for letters in (_FIRST, _VOWELS, _THIRD, _FIRST, _VOWELS))
            if all(sum(a != b for a, b in zip(ident, other, strict=False)) > 2 for other in self.fixes):
                return ident

    def aerodrome(self, place: complex, elevation_ft: float) -> str:
        """A new aerodrome."""
        ident = "X" + self.name()[:3]
        while ident in self.fixes:
            ident = "X" + self.name()[:3]
        self.fixes[ident] = Fix(ident, place, "airport", elevation_ft)
        return ident

    def fix(self, place: complex, *, ident: str = "", kind: str = "waypoint", fly_over: bool = False) -> str:
        """A new fix."""
        ident = ident or self.name()
        self.fixes[ident] = Fix(ident, place, kind, fly_over=fly_over)
        return ident

    def at(self, ident: str) -> complex:
        """Where a fix is."""
        return self.fixes[ident].place

    def line(self, start: str, end: str) -> Line:
        """The line between two fixes."""
        return Line(self.at(start), self.at(end))

    def mag(self, grid_deg: float, place: complex) -> float:
        """A grid direction as the lesson writes it: magnetic, to a tenth."""
        return round(self.world.plane.mag_of(grid_deg, place), 1) % 360.0

    def course_of(self, grid_deg: float, place: complex) -> float:
        """A grid direction as a true one, to a hundredth."""
        return round(self.world.plane.true_of(grid_deg, place), 2) % 360.0


def runway_ident(world: World, course: float, place: complex) -> str:
    """RW and the magnetic course in tens."""
    tens = round(world.plane.mag_of(course, place) / 10.0) % 36
    return f"RW{tens or 36:02d}"


def leg_nm(world: World) -> float:
    """A leg of four to six minutes in cruise, and long enough for the turns at its ends."""
    minutes = world.chance.between(3.6, 5.5)
    return max(world.cruise_kt * minutes / 60.0, 6.0 * turn_radius_nm(world.cruise_kt))


def route(land: Land, *, fixes: int = 4, most_turn_deg: float = 75.0, least_turn_deg: float = 18.0) -> float:
    """Departure aerodrome and fixes of a route; gives the last leg's course. The destination is appended later."""
    world, chance = land.world, land.world.chance
    course = chance.between(0.0, 360.0)
    place = -0.5 * fixes * world.cruise_kt * 4.5 / 60.0 * unit(course)
    elevation = float(round(chance.between(0.0, 1500.0)))
    land.route = [land.aerodrome(place, elevation)]
    land.departure_course = (course + chance.between(-50.0, 50.0)) % 360.0
    side = chance.sign()
    for number in range(fixes):
        if number:
            side = -side if chance.happens(0.6) else side
            course = (course + side * chance.between(least_turn_deg, most_turn_deg)) % 360.0
        place += leg_nm(world) * unit(course)
        land.route.append(land.fix(place))
    land.cruise_ft = float(500 * round((elevation + chance.between(3000.0, 5500.0)) / 500.0))
    return course


def ending(
    land: Land, faf: str, final: float, *, guidance: str = "LPV", missed: str = "CF-DF-HM", filed: bool = True
) -> Approach:
    """A runway 5.2 NM beyond a final approach fix, with its missed approach; its last leg only.

    ``missed``: "CF-DF-HM" or "CA-DF-HM". ``filed``: the aerodrome ends the route.
    """
    world, chance = land.world, land.world.chance
    threshold = land.at(faf) + FAF_NM * unit(final)
    elevation = float(round(chance.between(0.0, 1500.0)))
    airport = land.aerodrome(threshold + 0.4 * unit(final), elevation)
    if filed:
        land.route.append(airport)
    made = Approach(airport, runway_ident(world, final, threshold), threshold, final, elevation, guidance)
    made.minima_ft = elevation + (250.0 if made.has_glidepath else 460.0)
    made.title = f"{'RNAV (GPS)' if guidance in ('LPV', 'LNAV') else guidance} RWY {made.runway[2:]}"
    made.legs = [{"path": "TF", "fix": made.runway, "role": "MAP", "fly_over": True}]
    made.missed = _missed(land, made, missed)
    land.approaches.append(made)
    land.cruise_ft = max(land.cruise_ft, elevation + 3500.0)
    return made


def faf_ft(made: Approach) -> float:
    """The altitude published at the final approach fix."""
    return float(100 * int(made.path_ft(FAF_NM) / 100.0))


def to_faf(made: Approach, faf: str, path: str = "TF", **more: Any) -> dict[str, Any]:
    """The leg to the final approach fix."""
    return {"path": path, "fix": faf, "role": "FAF", "altitude": {"at_or_above_ft": faf_ft(made)}, **more}


def first_fix(made: Approach, fix: str, role: str = "IF") -> dict[str, Any]:
    """Where the approach begins."""
    return {"path": "IF", "fix": fix, "role": role, "altitude": {"at_or_above_ft": faf_ft(made) + 1000.0}}


def approach(
    land: Land,
    course_in: float,
    *,
    guidance: str = "LPV",
    turn_deg: float | None = None,
    missed: str = "CF-DF-HM",
    initial: str = "",
    filed: bool = True,
    least_nm: float = 5.0,
) -> Approach:
    """An approach from the route's last fix (or ``initial``): IF, FAF, runway."""
    world, chance = land.world, land.world.chance
    start = initial or land.route[-1]
    turn = chance.sign() * chance.between(10.0, 80.0) if turn_deg is None else turn_deg
    final = (course_in + turn) % 360.0
    length = max(chance.between(least_nm, 1.5 * least_nm), 5.0 * turn_radius_nm(world.approach_kt))
    faf = land.fix(land.at(start) + length * unit(final))
    made = ending(land, faf, final, guidance=guidance, missed=missed, filed=filed)
    made.legs = [first_fix(made, start), to_faf(made, faf), *made.legs]
    return made


def _missed(land: Land, made: Approach, shape: str) -> list[dict[str, Any]]:
    chance = land.world.chance
    beyond = made.threshold + chance.between(4.5, 6.5) * unit(made.course)
    turned = (made.course + chance.sign() * chance.between(60.0, 130.0)) % 360.0
    holding_at = land.fix(beyond + max(8.0, 5.0 * turn_radius_nm(land.world.cruise_kt)) * unit(turned))
    climb = {"at_or_above_ft": made.elevation_ft + 3000.0}
    legs: list[dict[str, Any]]
    if shape == "CA-DF-HM":
        legs = [
            {
                "path": "CA", "course_deg_mag": land.mag(made.course, made.threshold),
                "altitude": {"at_or_above_ft": made.elevation_ft + 900.0},
            }
        ]  # fmt: skip
    else:
        ident = land.fix(beyond, fly_over=True)
        legs = [
            {"path": "CF", "fix": ident, "course_deg_mag": land.mag(made.course, beyond), "fly_over": True},
        ]
    legs.append({"path": "DF", "fix": holding_at, "altitude": climb})
    came_from = direction(land.at(holding_at) - beyond)
    hold_course = (came_from + chance.between(-170.0, 170.0)) % 360.0
    legs.append(
        {
            "path": "HM", "fix": holding_at, "inbound_course_deg_mag": land.mag(hold_course, land.at(holding_at)),
            "turn": chance.one_of(("left", "right")), "leg_minutes": 1.0, "altitude": climb,
        }
    )  # fmt: skip
    return legs


def between(a: float, b: float) -> float:
    """The size of the angle between two courses. [deg]"""
    return abs(wrap(b - a))
