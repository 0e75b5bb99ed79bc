"""Every procedure of files of real records, resolved: which resolve, and how far each leg is from what is coded for it.

Shared by ``test_real_procedures.py`` and ``tests/benchmarks/real_procedures.py``. The coded values are the outside
truth: courses to 0.1 degree, magnetic by a variation of record, distances to 0.1 NM.
"""

from __future__ import annotations

import datetime as dt
import pathlib
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from geographiclib.geodesic import Geodesic

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.navdata import CodedLeg, CodedProcedure, NavData, ProcedureKind
from legwise.model.plan import Fix, Leg, LegPart, PlannedApproach
from legwise.navdata import open_navdata
from legwise.plan.approaches.approach import planned_approach
from legwise.plan.approaches.naming import SATELLITE
from legwise.plan.fixes.book import FixBook
from legwise.plan.legs.coded import coded_legs
from legwise.plan.legs.maker import LegMaker
from legwise.plan.variation import Variation

COURSE_DEG = 1.0
DISTANCE_NM = 0.2
"""Issue 4: how many agree within 1 degree and 0.2 NM."""

_DAY = dt.date(2021, 1, 28)
"""The first day of cycle 2101; only where nothing is coded does a variation go by it."""
_CYCLE = re.compile(r"_([0-9]{4})_")


@dataclass(frozen=True, kw_only=True)
class Compared:
    """A coded value beside the computed one. ``off`` is computed less coded; a course wraps."""

    leg: str
    what: str
    coded: float
    computed: float

    @property
    def off(self) -> float:
        if self.what.endswith("distance"):
            return self.computed - self.coded
        return (self.computed - self.coded + 180.0) % 360.0 - 180.0

    @property
    def agrees(self) -> bool:
        return abs(self.off) <= (DISTANCE_NM if self.what.endswith("distance") else COURSE_DEG)


@dataclass(kw_only=True)
class Tally:
    """What became of every procedure: names of those resolved, why the others were not, values compared, paths made."""

    resolved: list[str] = field(default_factory=list)
    failed: dict[str, str] = field(default_factory=dict)
    compared: list[Compared] = field(default_factory=list)
    approaches: dict[str, PlannedApproach] = field(default_factory=dict)
    legs: dict[str, tuple[Leg, ...]] = field(default_factory=dict)
    notes: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def differing(self) -> list[Compared]:
        """The values that do not agree."""
        return [item for item in self.compared if not item.agrees]


def grouped(files: Iterable[pathlib.Path], folder: pathlib.Path) -> list[pathlib.Path]:
    """Files of one cycle put together in ``folder``: the records of an aerodrome name those of the en-route file."""
    cycles: dict[str, list[bytes]] = {}
    for file in sorted(files):
        match = _CYCLE.search(file.name)
        cycles.setdefault(match[1] if match else file.stem, []).append(file.read_bytes())
    made = []
    for cycle, contents in cycles.items():
        place = folder / f"cycle_{cycle}.dat"
        place.write_bytes(b"".join(content if content.endswith(b"\n") else content + b"\n" for content in contents))
        made.append(place)
    return made


def tally(files: Iterable[pathlib.Path]) -> Tally:
    """Every procedure of the files: each transition of an approach, vectors to it, each part of the others."""
    result = Tally()
    for file in files:
        navdata = open_navdata(file)
        for airport, kind, ident in _procedures(file, navdata):
            procedure = navdata.procedure(airport, ident, kind)
            assert procedure is not None
            _each_part(result, navdata, procedure)
            if kind is ProcedureKind.APPROACH:
                _each_transition(result, navdata, procedure)
    return result


def _procedures(file: pathlib.Path, navdata: NavData) -> Iterator[tuple[str, ProcedureKind, str]]:
    lines = file.read_bytes().decode("ascii", "replace").splitlines()
    airports = sorted({line[6:10].strip() for line in lines if line[4:5] == "P" and line[12:13] in ("D", "E", "F")})
    for airport in airports:
        for kind in ProcedureKind:
            for ident in navdata.procedures(airport, kind):
                yield airport, kind, ident


def _each_transition(result: Tally, navdata: NavData, procedure: CodedProcedure) -> None:
    """The approach as a lesson names it, by each of its transitions, by none, and on vectors."""
    for transition in (None, "vectors", *procedure.transitions()):
        name = f"{procedure.airport} {procedure.ident} via {transition or 'nothing'}"
        named = {"airport": procedure.airport, "procedure": procedure.ident, "transition": transition}
        lesson = Lesson.model_validate({"approach": [named]})
        book = FixBook(lesson, (), navdata)
        try:
            planned, notes = planned_approach(
                0, lesson.approach[0], book=book, variation=Variation(_DAY), where="[[approach]] 1"
            )
        except PlanError as error:
            result.failed[name] = error.message
            continue
        result.resolved.append(name)
        result.approaches[name] = planned
        result.notes[name] = notes


def _courses_back(name: str, procedure: CodedProcedure, made: Sequence[Leg]) -> Iterator[Compared]:
    """The course out of a procedure turn, as its 45 degree leg codes it, against the final course that it leads to."""
    final = procedure.part("final")
    courses = [leg.course_deg for leg in (final.legs if final else ()) if leg.path == "CF" and leg.course_deg]
    for leg in made:
        out = leg.reversal.outbound_course_deg_mag if leg.reversal is not None else None
        if out is not None and courses:
            yield Compared(leg=f"{name} PI", what="course back", coded=courses[0], computed=(out + 180.0) % 360.0)


def _each_part(result: Tally, navdata: NavData, procedure: CodedProcedure) -> None:
    """Each part as it is coded, leg by leg against what is coded for it."""
    for part in procedure.parts:
        name = f"{procedure.airport} {procedure.ident} {part.place} {part.transition}".strip()
        book = FixBook(Lesson(), (), navdata)
        result.compared += _by_station(name, part.legs, navdata)
        try:
            start = _start(procedure, part.place, book)
            made, notes = _made(procedure, part.legs, start, book, navdata)
        except PlanError as error:
            result.failed[name] = error.message
            result.compared += _compared_in_runs(name, procedure, part.legs, book, navdata)
            continue
        result.resolved.append(name)
        result.legs[name] = made
        result.notes[name] = notes
        result.compared += _compared(name, part.legs, made)
        result.compared += _courses_back(name, procedure, made)


def _by_station(name: str, legs: Sequence[CodedLeg], navdata: NavData) -> Iterator[Compared]:
    """Bearing and distance of a leg's fix from its recommended station: positions and variation of record alone."""
    for leg in legs:
        station = navdata.fix(leg.navaid) if leg.navaid is not None else None
        fix = navdata.fix(leg.fix) if leg.fix is not None else None
        if station is None or fix is None or leg.path in ("RF", "AF", "PI", "FD") or not leg.rho_nm:
            continue
        label = f"{name} {leg.sequence:03d} {leg.path} {fix.ident}"
        line = Geodesic.WGS84.Inverse(station.lat_deg, station.lon_deg, fix.lat_deg, fix.lon_deg)
        yield Compared(leg=label, what="station distance", coded=leg.rho_nm, computed=line["s12"] / 1852.0)
        if leg.theta_deg is not None and station.variation_deg is not None:
            bearing = (line["azi1"] - station.variation_deg) % 360.0
            yield Compared(leg=label, what="bearing", coded=leg.theta_deg, computed=bearing)


def _made(
    procedure: CodedProcedure, legs: Sequence[CodedLeg], start: Fix | None, book: FixBook, navdata: NavData
) -> tuple[tuple[Leg, ...], tuple[str, ...]]:
    airport = navdata.airport(procedure.airport)
    maker = LegMaker(part=LegPart.APPROACH, prefix="", book=book, variation=Variation(_DAY))
    made = coded_legs(
        maker,
        legs,
        start,
        procedure=procedure.ident,
        airport_variation_deg=airport.fix.variation_deg if airport is not None else None,
        by_station=procedure.kind is ProcedureKind.APPROACH and procedure.route_type not in SATELLITE,
    )
    return made, tuple(maker.notes)


def _compared_in_runs(
    name: str, procedure: CodedProcedure, legs: Sequence[CodedLeg], book: FixBook, navdata: NavData
) -> Iterator[Compared]:
    """What can be compared in a part of which a fix is missing. A stretch that can't be made alone holds nothing."""
    for start, run in _runs(legs, book):
        try:
            made, _notes = _made(procedure, run, start, book, navdata)
        except PlanError:
            continue
        yield from _compared(name, run, made)


def _runs(legs: Sequence[CodedLeg], book: FixBook) -> Iterator[tuple[Fix | None, list[CodedLeg]]]:
    """Stretches of a part whose fixes are all held, each with the fix that it goes on from: for comparing alone."""
    run: list[CodedLeg] = []
    start: Fix | None = None
    for leg in (*legs, None):
        if leg is not None and _held(leg, book):
            if not run and start is None and leg.path in ("TF", "RF", "AF"):
                start = book.coded(leg.fix, where="") if leg.fix is not None else None
            else:
                run.append(leg)
            continue
        if run:
            yield start, run
        run, start = [], None


def _held(leg: CodedLeg, book: FixBook) -> bool:
    try:
        for key in (leg.fix, leg.centre, leg.navaid):
            if key is not None:
                book.coded(key, where="")
    except PlanError:
        return False
    return True


def _start(procedure: CodedProcedure, place: str, book: FixBook) -> Fix | None:
    """Where a part of a departure or an arrival goes on from: the last fix of the part before it, if there is one."""
    order = ("runway", "common", "fix") if procedure.kind is ProcedureKind.DEPARTURE else ("fix", "common", "runway")
    if place not in order:
        return None
    for before in reversed(order[: order.index(place)]):
        part = procedure.part(before)
        if part is None:
            continue
        keys = [leg.fix for leg in part.legs[-1:] if leg.fix is not None]
        return book.coded(keys[0], where="the part before") if keys else None
    return None


def _compared(name: str, coded: Sequence[CodedLeg], made: Sequence[Leg]) -> Iterator[Compared]:
    for number, (record, leg) in enumerate(zip(coded, made, strict=True)):
        label = f"{name} {record.sequence:03d} {leg.kind} {leg.end_ident}".strip()
        variation = _variation_of(leg)
        if leg.kind in ("TF", "CF", "RF", "AF") and record.distance_nm is not None and leg.distance_nm is not None:
            yield Compared(leg=label, what="distance", coded=record.distance_nm, computed=leg.distance_nm)
        if record.course_deg is None or leg.path is None:
            continue
        shift = 0.0 if record.is_true else variation
        if leg.kind in ("TF", "RF") and shift is not None:
            course = leg.path.end_course_deg_true - shift
            yield Compared(leg=label, what="course", coded=record.course_deg, computed=course % 360.0)
        if leg.kind == "RF" and record.theta_deg is not None and shift is not None:
            course = leg.path.start_course_deg_true - shift
            yield Compared(leg=label, what="first course", coded=record.theta_deg, computed=course % 360.0)
        if leg.kind == "CF" and number and shift is not None:
            yield from _course_between(label, record.course_deg, made[number - 1], leg, shift)
        if leg.kind == "AF" and leg.centre is not None and leg.from_fix is not None and variation is not None:
            yield from _radials(label, record, leg)


def _course_between(label: str, coded: float, before: Leg, leg: Leg, shift: float) -> Iterator[Compared]:
    """The course of a CF against the one between its fixes, where the leg before it ends at another fix."""
    if not before.ends_at_fix and before.kind != "IF":
        return
    if leg.from_fix is None or leg.to_fix is None:
        return
    line = Geodesic.WGS84.Inverse(leg.from_fix.lat_deg, leg.from_fix.lon_deg, leg.to_fix.lat_deg, leg.to_fix.lon_deg)
    yield Compared(leg=label, what="course", coded=coded, computed=(line["azi2"] - shift) % 360.0)


def _radials(label: str, record: CodedLeg, leg: Leg) -> Iterator[Compared]:
    """An arc's fixes by their radials and distance from its station."""
    centre = leg.centre
    if centre is None or leg.from_fix is None or leg.to_fix is None:
        return
    station = centre.variation_deg
    for what, coded, fix in (
        ("radial", record.course_deg, leg.from_fix),
        ("last radial", record.theta_deg, leg.to_fix),
    ):
        line = Geodesic.WGS84.Inverse(centre.lat_deg, centre.lon_deg, fix.lat_deg, fix.lon_deg)
        if coded is not None and station is not None:
            yield Compared(leg=label, what=what, coded=coded, computed=(line["azi1"] - station) % 360.0)
        if record.rho_nm is not None:
            yield Compared(leg=label, what="distance", coded=record.rho_nm, computed=line["s12"] / 1852.0)


def _variation_of(leg: Leg) -> float | None:
    if leg.course_deg_true is None or leg.course_deg_mag is None:
        return None
    return float((leg.course_deg_true - leg.course_deg_mag + 180.0) % 360.0 - 180.0)


def largest_gap_nm(legs: Sequence[Leg]) -> float:
    """The largest distance from the end of a path to its own fix. [NM]"""
    gaps = [0.0]
    for leg in legs:
        if leg.path is not None and leg.to_fix is not None and np.isfinite(leg.path.point_at(np.zeros(1))[0][0]):
            lat, lon = leg.path.point_at(np.zeros(1))
            line = Geodesic.WGS84.Inverse(float(lat[0]), float(lon[0]), leg.to_fix.lat_deg, leg.to_fix.lon_deg)
            gaps.append(line["s12"] / 1852.0)
    return max(gaps)
