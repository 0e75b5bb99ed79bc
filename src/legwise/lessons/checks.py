"""Checks across keys: what each key alone allows and together makes no sense."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import combinations

from pydantic import BaseModel

from legwise.lessons.check_approach import approach_problems
from legwise.lessons.check_clearance import clearance_problems
from legwise.lessons.check_order import order_problems
from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem, line_of
from legwise.lessons.words import nearest, plain, shown
from legwise.model.lesson import AltitudeLimit, Crossing, Lesson, LessonFix, Minima
from legwise.standards import KNOWN_STANDARDS, is_own_standard

# About a centimetre: the same place written twice may differ in its last digit.
_SAME_PLACE_DEG = 1e-7
_OFFSET = re.compile(r"[+-](0[0-9]|1[0-4]):[0-5][0-9]")


def cross_checks(lesson: Lesson, lines: Mapping[Place, int]) -> list[Problem]:
    """Everything in a valid lesson that contradicts itself or says nothing; ``lines`` are those of its file."""
    problems = [problem for place, table in _tables(lesson, ()) for problem in _in_table(place, table)]
    problems += _pressure_settings(lesson)
    problems += _fixes_at_two_places(lesson)
    problems += _route(lesson)
    problems += _navdata(lesson)
    problems += _columns(lesson)
    problems += _standard(lesson)
    problems += order_problems(lesson, lambda place: line_of(place, lines))
    has_navdata = lesson.navdata.arinc424 is not None
    for number, approach in enumerate(lesson.approach):
        problems += approach_problems(("approach", number), approach, has_navdata=has_navdata)
    for number, clearance in enumerate(lesson.clearance):
        problems += clearance_problems(("clearance", number), clearance)
    return problems


def _tables(table: BaseModel, place: Place) -> Iterator[tuple[Place, BaseModel]]:
    """Every table of the lesson with its place."""
    yield place, table
    for name in type(table).model_fields:
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            yield from _tables(value, (*place, name))
        elif isinstance(value, tuple):
            for number, item in enumerate(value):
                if isinstance(item, BaseModel):
                    yield from _tables(item, (*place, name, number))


def _in_table(place: Place, table: BaseModel) -> Iterator[Problem]:
    for name in type(table).model_fields:
        if name.endswith("_deg_mag") and getattr(table, name) is not None:
            twin = name.removesuffix("_deg_mag") + "_deg_true"
            if getattr(table, twin, None) is not None:
                yield Problem(
                    place=(*place, twin),
                    message=f"{name} and {twin} are both given",
                    remedy="Keep the one that is published.",
                )
    if isinstance(table, AltitudeLimit | Crossing):
        yield from _altitude_window(place, table)
    if isinstance(table, Minima):
        if table.da_ft is not None and table.mda_ft is not None:
            yield Problem(
                place=(*place, "mda_ft"),
                message="da_ft and mda_ft are both given",
                remedy="An approach is flown to a DA or to an MDA: keep the one that was briefed.",
            )
        if table.da_ft is None and table.mda_ft is None:
            yield Problem(
                place=place, message="the minima are empty", remedy="Give da_ft or mda_ft, or leave them out."
            )


def _altitude_window(place: Place, limit: AltitudeLimit | Crossing) -> Iterator[Problem]:
    low, high = limit.at_or_above_ft, limit.at_or_below_ft
    if limit.at_ft is None and low is None and high is None:
        yield Problem(
            place=place, message="no altitude is given", remedy="Give at_ft, at_or_above_ft, at_or_below_ft or both."
        )
    if limit.at_ft is not None and (low is not None or high is not None):
        yield Problem(
            place=(*place, "at_ft"),
            message="at_ft stands beside at_or_above_ft or at_or_below_ft",
            remedy="Give at_ft alone, or the other one or two.",
        )
    if low is not None and high is not None and low > high:
        yield Problem(
            place=(*place, "at_or_above_ft"),
            message=f"the window is upside down: at or above {low:g} ft and at or below {high:g} ft",
            remedy="Exchange the two altitudes.",
        )


def _pressure_settings(lesson: Lesson) -> Iterator[Problem]:
    both = "Keep one: they are the same setting in two units."
    if lesson.altimetry.qnh_hpa is not None and lesson.altimetry.altimeter_inhg is not None:
        yield Problem(
            place=("altimetry", "altimeter_inhg"), message="qnh_hpa and altimeter_inhg are both given", remedy=both
        )
    for number, setting in enumerate(lesson.altimeter):
        given = [setting.qnh_hpa is not None, setting.altimeter_inhg is not None, bool(setting.standard)]
        if sum(given) == 0:
            yield Problem(
                place=("altimeter", number),
                message="no setting is given",
                remedy="Give qnh_hpa, altimeter_inhg or standard = true.",
            )
        if sum(given) > 1:
            yield Problem(place=("altimeter", number), message="more than one setting is given", remedy="Keep one.")


def _fixes_at_two_places(lesson: Lesson) -> Iterator[Problem]:
    # Idents are spoken and charted without small letters: one that differs in them alone is the same.
    seen: dict[str, tuple[int, LessonFix]] = {}
    for number, fix in enumerate(lesson.fix):
        first, other = seen.setdefault(fix.ident.upper(), (number, fix))
        lat, lon = other.lat_deg, other.lon_deg
        apart = max(abs(fix.lat_deg - lat), abs((fix.lon_deg - lon + 180.0) % 360.0 - 180.0))
        if apart > _SAME_PLACE_DEG:
            written = "" if fix.ident == other.ident else f" (as {plain(other.ident)})"
            yield Problem(
                place=("fix", number, "ident"),
                message=f"{plain(fix.ident)} stands at two places: here and in [[fix]] {first + 1}{written}",
                remedy=f"Here {fix.lat_deg:g}, {fix.lon_deg:g}; there {lat:g}, {lon:g}. Keep the right one.",
            )
    runways = ((number, item.airport, item.runway) for number, item in enumerate(lesson.approach) if item.runway)
    for (one, airport, runway), (two, other_airport, another) in combinations(runways, 2):
        apart = max(abs(runway.lat_deg - another.lat_deg), abs(runway.lon_deg - another.lon_deg))
        # Thresholds of two procedures to one runway may be coded some metres apart.
        if (airport, runway.ident) == (other_airport, another.ident) and apart > 0.001:
            yield Problem(
                place=("approach", two, "runway", "ident"),
                message=f"{plain(another.ident)} of {plain(airport)} stands at two places: here and in [[approach]] "
                f"{one + 1}",
                remedy="Keep the right threshold.",
            )


def _route(lesson: Lesson) -> Iterator[Problem]:
    if lesson.route.text is not None and lesson.route.points is not None:
        yield Problem(place=("route", "points"), message="text and points are both given", remedy="Keep one of them.")
    if lesson.route.points is not None and not lesson.route.points:
        yield Problem(place=("route", "points"), message="the route has no points", remedy="Name them or leave it out.")


def _navdata(lesson: Lesson) -> Iterator[Problem]:
    for key in ("arinc424", "fixes"):
        name = getattr(lesson.navdata, key)
        if name is not None and not name.isprintable():
            yield Problem(
                place=("navdata", key),
                message=f"found {shown(name)}, expected the name of a file, beside this one or with its folder",
                remedy="The name holds a control character.",
            )


def _columns(lesson: Lesson) -> Iterator[Problem]:
    offset = lesson.columns.get("utc_offset")
    if offset is not None and not (isinstance(offset, str) and _OFFSET.fullmatch(offset)):
        found = plain(offset) if isinstance(offset, str) else "a table"
        yield Problem(
            place=("columns", "utc_offset"),
            message=f"found {found}, expected an offset from UTC",
            remedy='Write it like "-04:00".',
        )


def _standard(lesson: Lesson) -> Iterator[Problem]:
    """The published standards are known by name; one of one's own is a file."""
    name = lesson.lesson.standard
    if name in KNOWN_STANDARDS:
        return
    known = f"Known are {', '.join(KNOWN_STANDARDS)}."
    if is_own_standard(name):
        yield Problem(
            place=("lesson", "standard"),
            message=f"a standard of one's own ({plain(name)}) is not read yet",
            remedy=known,
            later=True,
        )
        return
    close = nearest(name, list(KNOWN_STANDARDS))
    yield Problem(
        place=("lesson", "standard"),
        message=f"there is no standard called {plain(name)}",
        remedy=f"The nearest known is {close}." if close else known,
    )
