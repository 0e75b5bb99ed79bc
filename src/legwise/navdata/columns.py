"""The column table of coded records: which field stands in which columns, and what reads it.

Columns are 1-based and both counted in, as the standard writes them; they become slices in one place here. Layout of
ARINC 424-18, the columns checked on the public records that the tests read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from operator import itemgetter
from typing import Any, Final, NamedTuple

from legwise.navdata import converters as to
from legwise.navdata.wording import shown

WIDTH: Final = 132
"""Columns of a record."""


@dataclass(frozen=True, slots=True)
class Field:
    """A field: columns from ``first`` to ``last``; ``needed`` where the record is of no use without it."""

    name: str
    first: int
    last: int
    convert: Callable[[str], Any]
    needed: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """The fields of a kind of record, and the column of its continuation number."""

    what: str
    continuation: int
    fields: tuple[Field, ...]

    def slices(self) -> tuple[tuple[Field, slice], ...]:
        """Each field with its slice of a line: the one place that counts from 0."""
        return tuple((field, slice(field.first - 1, field.last)) for field in self.fields)


_POSITION = (Field("lat", 33, 41, to.latitude, needed=True), Field("lon", 42, 51, to.longitude, needed=True))
_AIRPORT = Field("airport", 7, 10, to.text, needed=True)
_NAME = Field("name", 94, 123, to.text)

_VHF = Layout(
    "VHF navaid",
    22,
    (
        Field("airport", 7, 10, to.text),
        Field("ident", 14, 17, to.text, needed=True),
        Field("region", 20, 21, to.text),
        Field("frequency", 23, 27, to.vhf_frequency),
        Field("facility", 28, 29, to.raw),
        Field("lat", 33, 41, to.latitude),
        Field("lon", 42, 51, to.longitude),
        Field("dme_lat", 56, 64, to.latitude),
        Field("dme_lon", 65, 74, to.longitude),
        Field("declination", 75, 79, to.declination),
        Field("elevation", 80, 84, to.whole),
        _NAME,
    ),
)
_NDB = Layout(
    "NDB",
    22,
    (
        Field("airport", 7, 10, to.text),
        Field("ident", 14, 17, to.text, needed=True),
        Field("region", 20, 21, to.text),
        Field("frequency", 23, 27, to.ndb_frequency),
        *_POSITION,
        Field("declination", 75, 79, to.declination),
        _NAME,
    ),
)
_WAYPOINT = Layout(
    "waypoint",
    22,
    (
        Field("airport", 7, 10, to.text),
        Field("ident", 14, 18, to.text, needed=True),
        Field("region", 20, 21, to.text),
        *_POSITION,
        Field("declination", 75, 79, to.declination),
        Field("name", 99, 123, to.text),
    ),
)
_AERODROME = Layout(
    "airport",
    22,
    (
        Field("ident", 7, 10, to.text, needed=True),
        Field("region", 11, 12, to.text),
        *_POSITION,
        Field("declination", 52, 56, to.declination),
        Field("elevation", 57, 61, to.whole),
        Field("transition_altitude", 71, 75, to.altitude),
        Field("transition_level", 76, 80, to.altitude),
        Field("alignment", 86, 86, to.text),
        _NAME,
    ),
)
_RUNWAY = Layout(
    "runway",
    22,
    (
        _AIRPORT,
        Field("region", 11, 12, to.text),
        Field("ident", 14, 18, to.text, needed=True),
        Field("length", 23, 27, to.whole),
        Field("course", 28, 31, to.course),
        *_POSITION,
        Field("elevation", 67, 71, to.whole),
        Field("displaced", 72, 75, to.whole),
        Field("crossing_height", 76, 77, to.whole),
        Field("localizer", 82, 85, to.text),
    ),
)
_LOCALIZER = Layout(
    "localizer",
    22,
    (
        _AIRPORT,
        Field("region", 11, 12, to.text),
        Field("ident", 14, 17, to.text, needed=True),
        Field("category", 18, 18, to.text),
        Field("frequency", 23, 27, to.vhf_frequency),
        Field("runway", 28, 32, to.text),
        *_POSITION,
        Field("course", 52, 55, to.course),
        Field("glide_slope_lat", 56, 64, to.latitude),
        Field("glide_slope_lon", 65, 74, to.longitude),
        Field("width", 84, 87, to.hundredths),
        Field("glide_slope", 88, 90, to.hundredths),
        Field("declination", 91, 95, to.declination),
        Field("crossing_height", 96, 97, to.whole),
        Field("glide_slope_elevation", 98, 102, to.whole),
    ),
)
_PATH_POINT = Layout(
    "path point",
    27,
    (
        _AIRPORT,
        Field("procedure", 14, 19, to.text, needed=True),
        Field("runway", 20, 24, to.text),
        Field("threshold_lat", 38, 48, to.latitude, needed=True),
        Field("threshold_lon", 49, 60, to.longitude, needed=True),
        Field("threshold_ellipsoid", 61, 66, to.tenths),
        Field("glidepath", 67, 70, to.hundredths),
        Field("alignment_lat", 71, 81, to.latitude, needed=True),
        Field("alignment_lon", 82, 93, to.longitude, needed=True),
        Field("half_width", 94, 98, to.hundredths),
        Field("length_offset", 99, 102, to.whole),
        Field("crossing_height", 103, 109, to.crossing_height),
    ),
)
_LEG = Layout(
    "procedure leg",
    39,
    (
        _AIRPORT,
        Field("procedure", 14, 19, to.text, needed=True),
        Field("route_type", 20, 20, to.text, needed=True),
        Field("transition", 21, 25, to.text),
        Field("sequence", 27, 29, to.whole, needed=True),
        Field("fix", 30, 34, to.text),
        Field("fix_region", 35, 36, to.text),
        Field("fix_section", 37, 38, to.raw),
        Field("description", 40, 43, to.raw),
        Field("turn", 44, 44, to.text),
        Field("rnp", 45, 47, to.navigation_performance),
        Field("path", 48, 49, to.text, needed=True),
        Field("navaid", 51, 54, to.text),
        Field("navaid_region", 55, 56, to.text),
        Field("radius", 57, 62, to.radius),
        Field("theta", 63, 66, to.bearing),
        Field("rho", 67, 70, to.tenths),
        Field("course", 71, 74, to.course),
        Field("length", 75, 78, to.distance_or_time),
        Field("navaid_section", 79, 80, to.raw),
        Field("altitude_code", 83, 83, to.text),
        Field("altitude_1", 85, 89, to.altitude),
        Field("altitude_2", 90, 94, to.altitude),
        Field("speed", 100, 102, to.whole),
        Field("vertical_angle", 103, 106, to.vertical_angle),
        Field("centre", 107, 111, to.text),
        Field("centre_region", 113, 114, to.text),
        Field("centre_section", 115, 116, to.raw),
        Field("speed_code", 118, 118, to.text),
    ),
)
_AIRWAY = Layout(
    "airway point",
    39,
    (
        Field("area", 2, 4, to.text),
        Field("ident", 14, 18, to.text, needed=True),
        Field("sequence", 26, 29, to.whole, needed=True),
        Field("fix", 30, 34, to.text, needed=True),
        Field("fix_region", 35, 36, to.text),
        Field("fix_section", 37, 38, to.raw),
        Field("description", 40, 43, to.raw),
        Field("direction", 47, 47, to.text),
        Field("distance", 75, 78, to.tenths),
        Field("minimum", 84, 88, to.altitude),
        Field("maximum", 94, 98, to.altitude),
    ),
)
LAYOUTS: Final[Mapping[str, Layout]] = {
    "D ": _VHF, "DB": _NDB, "PN": _NDB, "EA": _WAYPOINT, "PC": _WAYPOINT, "PA": _AERODROME, "PG": _RUNWAY,
    "PI": _LOCALIZER, "PP": _PATH_POINT, "PD": _LEG, "PE": _LEG, "PF": _LEG, "ER": _AIRWAY,
}  # fmt: skip
"""By section and subsection. What is not here is counted and not read."""


class _Reader:
    """A layout made ready: a country has millions of fields, most of them blank, and hardly one that can't be read."""

    def __init__(self, layout: Layout) -> None:
        self.fields = layout.slices()
        self.blanks = {field.name: field.convert(_blank(place)) for field, place in self.fields}
        self.cut: Callable[[str], tuple[str, ...]] = itemgetter(*(place for _field, place in self.fields))
        self.steps = tuple((field.name, field.convert, _blank(place), field.needed) for field, place in self.fields)


def _blank(place: slice) -> str:
    width: int = place.stop - place.start
    return " " * width


_READERS: Final = {section: _Reader(layout) for section, layout in LAYOUTS.items()}

LEVELS_OF_SERVICE: Final = ((41, 42, 51), (52, 53, 62), (63, 64, 73))
"""In a leg's continuation of application type W: the column that says A (authorised) or N, and those of the name."""


class Decoded(NamedTuple):
    """The values of a record by the names of its fields, and what could not be read; unusable without a needed one."""

    values: Mapping[str, Any]
    faults: tuple[str, ...]
    is_usable: bool


def section_of(line: str) -> str:
    """Section and subsection: the subsection stands in column 6, at airports and heliports in 13 (PN: in 6)."""
    section, inner, outer = line[4], line[5], line[12]
    return section + (outer if section in "PH" and inner == " " else inner)


def decode(section: str, line: str) -> Decoded:
    """The fields of a primary record; ``line`` is :data:`WIDTH` characters long."""
    reader = _READERS[section]
    values = reader.blanks.copy()
    try:
        for figures, (name, convert, blank, needed) in zip(reader.cut(line), reader.steps, strict=True):
            if figures != blank:
                values[name] = convert(figures)
            elif needed:
                return _decoded_in_part(reader, line)
    except to.UnreadableError:
        return _decoded_in_part(reader, line)
    return Decoded(values, (), True)


def _decoded_in_part(reader: _Reader, line: str) -> Decoded:
    """The fields that can be read, and what is wrong with each of the others."""
    values = reader.blanks.copy()
    faults: list[str] = []
    is_usable = True
    for field, place in reader.fields:
        figures = line[place]
        if figures == _blank(place):
            if field.needed:
                faults.append(f"{_named(field)} is blank")
                is_usable = False
            continue
        try:
            values[field.name] = field.convert(figures)
        except to.UnreadableError as error:
            faults.append(f"{_named(field)} {shown(figures)} {error}")
            is_usable = is_usable and not field.needed
    return Decoded(values, tuple(faults), is_usable)


def _named(field: Field) -> str:
    columns = f"column {field.first}" if field.first == field.last else f"columns {field.first}–{field.last}"
    return f"{field.name.replace('_', ' ')} ({columns})"
