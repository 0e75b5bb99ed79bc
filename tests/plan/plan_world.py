"""A small invented world of coded navigation data for the plan's tests. Not for navigation.

Two aerodromes of the Tarn Islands; airways that share one fix and more; idents at several places; a departure with two
runways and two transitions, an arrival with the same; a departure and an arrival that end with vectors.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any, Literal

from legwise.lessons import split_route_text
from legwise.model.lesson import FixKind, Lesson, PathTerminator
from legwise.model.navdata import (
    AirwayPoint,
    CodedAirport,
    CodedAirway,
    CodedFix,
    CodedLeg,
    CodedLocalizer,
    CodedPathPoint,
    CodedProcedure,
    CodedRunway,
    FixKey,
    NavDataSummary,
    ProcedureKind,
    ProcedurePart,
    Section,
)
from legwise.model.plan import Plan
from legwise.plan import GivenRoute, make_plan

DATE = dt.date(2026, 4, 18)
REGION, FAR_REGION = "XA", "XB"
Direction = Literal["forward", "backward"] | None
Part = Literal["runway", "common", "fix", "final"]
Leg = tuple[PathTerminator, str]

WAYPOINTS = {
    "BRAKO": (46.51, -28.00),
    "CALDU": (46.70, -27.50),
    "DELSO": (46.85, -27.20),
    "EMKIR": (46.95, -26.60),
    "FOSSA": (46.20, -27.60),
    "GANDO": (47.10, -27.40),
    "HOLMA": (46.93, -26.85),
    "IVARU": (46.60, -27.75),
    "JOLKA": (46.30, -28.30),
}
FAR_WAYPOINTS = {"BRAKO": (41.0, -20.0), "CALDU": (52.0, -35.0)}
STATIONS = {"SKH": (46.92, -27.05, -12.0), "TBN": (46.42, -28.45, -13.5)}
AIRPORTS = {"XTBN": (46.40, -28.50, 120.0), "XSKH": (46.90, -27.11, 88.0)}
RUNWAYS = {("XTBN", "RW09"): (46.40, -28.52), ("XTBN", "RW27"): (46.40, -28.48), ("XSKH", "RW27"): (46.90, -27.10)}
AIRWAYS: dict[str, list[list[str]]] = {
    "V7": [["TBN", "BRAKO", "IVARU", "CALDU", "DELSO", "SKH"]],
    "V12": [["FOSSA", "CALDU", "GANDO"]],
    "V9": [["JOLKA", "BRAKO", "IVARU", "GANDO"]],
    "T5": [["TBN", "FOSSA", "SKH"]],
    "V30": [["JOLKA", "FOSSA"], ["GANDO", "EMKIR"]],
}


def key_of(ident: str, region: str = REGION) -> FixKey:
    """The key of a fix of this world by its ident."""
    if ident in STATIONS:
        return FixKey(ident=ident, region=region, section=Section.VHF_NAVAID)
    if ident in AIRPORTS:
        return FixKey(ident=ident, region=region, section=Section.AIRPORT, airport=ident)
    return FixKey(ident=ident, region=region, section=Section.WAYPOINT)


def coded_fix(key: FixKey, lat_deg: float, lon_deg: float, kind: FixKind = "waypoint", **more: Any) -> CodedFix:
    """A record's fix."""
    return CodedFix(key=key, kind=kind, name="", lat_deg=lat_deg, lon_deg=lon_deg, line=1, **more)


def coded_leg(path: PathTerminator, ident: str, sequence: int = 10, **more: Any) -> CodedLeg:
    """A leg with what is given and nothing else; "" for no fix."""
    values: dict[str, Any] = {
        "line": sequence, "sequence": sequence, "path": path, "fix": key_of(ident) if ident else None,
        "fly_over": False, "role": None, "is_missed": False, "turn": None, "rnp_nm": None, "navaid": None,
        "centre": None, "radius_nm": None, "theta_deg": None, "rho_nm": None, "course_deg": None, "is_true": False,
        "distance_nm": None, "minutes": None, "altitude_code": "", "altitude": None, "speed_kt": None,
        "speed_limit": None, "vertical_angle_deg": None,
    }  # fmt: skip
    return CodedLeg(**{**values, **more})


def procedure(
    airport: str, ident: str, kind: ProcedureKind, *parts: tuple[Part, str, list[Leg]], runway: str = ""
) -> CodedProcedure:
    """A procedure of parts (place, transition, legs)."""
    made = []
    for place, transition, legs in parts:
        coded = tuple(
            coded_leg(path, fix, 10 * number, **({"course_deg": 90.0} if path in ("VM", "FM", "CF") else {}))
            for number, (path, fix) in enumerate(legs, start=1)
        )
        made.append(ProcedurePart(place=place, route_type="", transition=transition, legs=coded))
    return CodedProcedure(
        airport=airport, ident=ident, kind=kind, route_type="", runway=runway, levels=(), parts=tuple(made)
    )


def airway(ident: str, fixes: Sequence[FixKey], directions: Sequence[Direction] = ()) -> CodedAirway:
    """A stretch of an airway."""
    points = tuple(
        AirwayPoint(
            fix=fix,
            sequence=10 * number,
            line=number + 1,
            direction=directions[number] if number < len(directions) else None,
            ends_segment=number == len(fixes) - 1,
            minimum_ft=None,
            maximum_ft=None,
        )
        for number, fix in enumerate(fixes)
    )
    return CodedAirway(ident=ident, points=points)


PROCEDURES = (
    procedure(
        "XTBN", "DUNOR1", ProcedureKind.DEPARTURE,
        ("runway", "RW09", [("DF", "JOLKA")]),
        ("runway", "RW27", [("DF", "TBN"), ("TF", "JOLKA")]),
        ("common", "", [("IF", "JOLKA"), ("TF", "FOSSA")]),
        ("fix", "BRAKO", [("IF", "FOSSA"), ("TF", "BRAKO")]),
        ("fix", "CALDU", [("IF", "FOSSA"), ("TF", "CALDU")]),
    ),
    procedure("XTBN", "VECTR2", ProcedureKind.DEPARTURE, ("runway", "ALL", [("VM", "")])),
    procedure(
        "XSKH", "GANDO3", ProcedureKind.ARRIVAL,
        ("fix", "CALDU", [("IF", "CALDU"), ("TF", "GANDO")]),
        ("fix", "IVARU", [("IF", "IVARU"), ("TF", "GANDO")]),
        ("common", "", [("IF", "GANDO"), ("TF", "EMKIR")]),
        ("runway", "RW27", [("IF", "EMKIR"), ("TF", "HOLMA")]),
        ("runway", "RW09", [("IF", "EMKIR"), ("TF", "DELSO"), ("FM", "DELSO")]),
    ),
)  # fmt: skip


class World:
    """Navigation data held in memory; what is given is added to the world above."""

    def __init__(
        self, *fixes: CodedFix, airways: Sequence[CodedAirway] = (), procedures: Sequence[CodedProcedure] = ()
    ) -> None:
        made = [coded_fix(key_of(ident), *place) for ident, place in WAYPOINTS.items()]
        made += [coded_fix(key_of(ident, FAR_REGION), *place) for ident, place in FAR_WAYPOINTS.items()]
        made += [
            coded_fix(key_of(ident), lat, lon, "vor", variation_deg=variation)
            for ident, (lat, lon, variation) in STATIONS.items()
        ]
        self._airports = {
            ident: CodedAirport(fix=coded_fix(key_of(ident), lat, lon, "airport", elevation_ft=elevation))
            for ident, (lat, lon, elevation) in AIRPORTS.items()
        }
        made += [field.fix for field in self._airports.values()]
        self._runways = {
            (airport, ident): CodedRunway(
                fix=coded_fix(
                    FixKey(ident=ident, region=REGION, section=Section.RUNWAY, airport=airport), *place, "runway"
                ),
                course_deg=None,
                is_true=False,
                length_ft=None,
                threshold_elevation_ft=None,
                threshold_crossing_height_ft=None,
                displaced_ft=None,
            )
            for (airport, ident), place in RUNWAYS.items()
        }
        self._fixes = [*made, *fixes]
        runways = [runway.fix for runway in self._runways.values()]
        self._by_key = {fix.key: fix for fix in (*self._fixes, *runways)}
        self._airways = [airway(ident, list(map(key_of, way))) for ident, ways in AIRWAYS.items() for way in ways]
        self._airways += airways
        self._procedures = [*PROCEDURES, *procedures]

    @property
    def summary(self) -> NavDataSummary:
        return NavDataSummary(
            file="world", cycle="2604", effective_from=None, effective_to=None, counts={}, problem_count=0, problems=()
        )

    def fixes(self, ident: str) -> Sequence[CodedFix]:
        return [fix for fix in self._fixes if fix.ident == ident]

    def fix(self, key: FixKey) -> CodedFix | None:
        return self._by_key.get(key)

    def airport(self, ident: str) -> CodedAirport | None:
        return self._airports.get(ident)

    def runway(self, airport: str, ident: str) -> CodedRunway | None:
        return self._runways.get((airport, ident))

    def runways(self, airport: str) -> Sequence[CodedRunway]:
        return [runway for (where, _), runway in self._runways.items() if where == airport]

    def localizer(self, airport: str, ident: str) -> CodedLocalizer | None:  # noqa: ARG002
        return None

    def path_point(self, airport: str, procedure: str) -> CodedPathPoint | None:  # noqa: ARG002
        return None

    def airways(self, ident: str) -> Sequence[CodedAirway]:
        return [way for way in self._airways if way.ident == ident]

    def procedure(self, airport: str, ident: str, kind: ProcedureKind) -> CodedProcedure | None:
        wanted = (airport, ident, kind)
        return next((item for item in self._procedures if (item.airport, item.ident, item.kind) == wanted), None)

    def procedures(self, airport: str, kind: ProcedureKind) -> Sequence[str]:
        return [item.ident for item in self._procedures if (item.airport, item.kind) == (airport, kind)]

    def nearest_idents(self, ident: str, kind: Literal["fix", "airport", "airway"], most: int = 3) -> Sequence[str]:
        known = {
            "fix": [fix.ident for fix in self._fixes],
            "airport": list(self._airports),
            "airway": [way.ident for way in self._airways],
        }[kind]
        return get_close_matches(ident, list(dict.fromkeys(known)), n=most)


def given_route(text: str) -> GivenRoute:
    """A route's text as the command line gives it."""
    return GivenRoute(text=text, elements=split_route_text(text, where="--route"), source="--route")


def plan_of(text: str, navdata: World | None = None, lesson: dict[str, Any] | None = None) -> Plan:
    """The plan of a route's text in this world, or in another."""
    return make_plan(
        Lesson.model_validate(lesson or {}), date=DATE, route=given_route(text), navdata=navdata or World()
    )


def passed(plan: Plan) -> list[str]:
    """The fixes of the route's legs in order; "" where a leg leads to none."""
    if not plan.route:
        return []
    first = plan.route[0].from_fix
    return [*([first.ident] if first is not None else []), *(leg.end_ident for leg in plan.route)]
