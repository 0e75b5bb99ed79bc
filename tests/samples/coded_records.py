"""A small decoder of ARINC 424 records for tests, of its own: columns counted from 1, geometry by GeographicLib."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from geographiclib.geodesic import Geodesic

M_PER_NM = 1852.0
FT_PER_NM = M_PER_NM / 0.3048
AREA_NAVIGATION = "456RH"
"""Route types of area navigation, whose courses go by the aerodrome's variation."""
_WGS84 = Geodesic.WGS84
NavFix = tuple[str, str, str, str]
"""Ident, region, section, aerodrome (blank en route)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A position. [deg]"""

    lat: float
    lon: float


def columns(line: str, first: int, last: int) -> str:
    return line[first - 1 : last]


def tenths(text: str) -> float | None:
    return int(text) / 10 if text.strip() else None


def angle(text: str) -> float:
    """N46540000 or N4654000000: seconds from the last whole pair on are a fraction. [deg]"""
    digits = text[1:]
    whole = 2 if text[0] in "NS" else 3
    seconds = int(digits[whole + 2 :]) / 10.0 ** (len(digits) - whole - 4)
    value: float = int(digits[:whole]) + int(digits[whole : whole + 2]) / 60 + seconds / 3600
    return -value if text[0] in "SW" else value


def spot(line: str, first: int = 33) -> Spot:
    return Spot(angle(columns(line, first, first + 8)), angle(columns(line, first + 9, first + 18)))


def east(text: str) -> float:
    """A variation: W0083 is -8.3."""
    return int(text[1:]) / 10 * (-1 if text[0] == "W" else 1)


def inverse(start: Spot, end: Spot) -> tuple[float, float, float]:
    """Distance [NM], course at the start and at the end [deg true]."""
    found = _WGS84.Inverse(start.lat, start.lon, end.lat, end.lon)
    return found["s12"] / M_PER_NM, found["azi1"] % 360.0, found["azi2"] % 360.0


def ahead(start: Spot, course_deg: float, distance_nm: float) -> Spot:
    found = _WGS84.Direct(start.lat, start.lon, course_deg, distance_nm * M_PER_NM)
    return Spot(found["lat2"], found["lon2"])


def turned(one_deg: float, other_deg: float) -> float:
    """From the first direction to the second, in [-180, 180)."""
    return (other_deg - one_deg + 180.0) % 360.0 - 180.0


def off_line(place: Spot, end: Spot, course_at_end: float) -> tuple[float, float]:
    """Cross-track (right positive) and distance to go [NM] of a place on the line that arrives at ``end``.

    In a plane through ``end``: to some metres within 30 NM, which is all that the checks with it ask for.
    """
    distance, from_end, _ = inverse(end, place)
    bearing = math.radians(turned(course_at_end + 180.0, from_end))
    return -distance * math.sin(bearing), distance * math.cos(bearing)


def first_at(start: Spot, course_deg: float, reached: Callable[[Spot], float], limit_nm: float = 40.0) -> Spot | None:
    """The first place along a course where ``reached`` changes its sign, to 0.001 NM; None within the limit."""
    step, before = 0.05, reached(start)
    for number in range(1, round(limit_nm / step)):
        if before * reached(ahead(start, course_deg, number * step)) <= 0:
            low, high = (number - 1) * step, number * step
            while high - low > 0.001:
                middle = (low + high) / 2
                if before * reached(ahead(start, course_deg, middle)) <= 0:
                    high = middle
                else:
                    low = middle
            return ahead(start, course_deg, high)
    return None


@dataclass(frozen=True, slots=True)
class Coded:
    """A primary leg record by its columns."""

    line: str

    def text(self, first: int, last: int) -> str:
        return columns(self.line, first, last)

    @property
    def path(self) -> str:
        return self.text(48, 49)

    @property
    def procedure(self) -> str:
        return f"{self.text(7, 10)} {self.text(14, 19).strip()}"

    @property
    def part(self) -> str:
        return self.text(7, 25)

    @property
    def fix(self) -> NavFix | None:
        if not self.text(30, 34).strip():
            return None
        section = self.text(37, 38)
        return self.text(30, 34).strip(), self.text(35, 36), section, self._home(section)

    @property
    def centre(self) -> NavFix | None:
        if not self.text(107, 111).strip():
            return None
        section = self.text(115, 116)
        return self.text(107, 111).strip(), self.text(113, 114), section, self._home(section)

    @property
    def navaid(self) -> NavFix | None:
        if not self.text(51, 54).strip():
            return None
        section = self.text(79, 80)
        return self.text(51, 54).strip(), self.text(55, 56), section, self._home(section)

    def _home(self, section: str) -> str:
        return self.text(7, 10) if section in ("PC", "PG", "PI", "PN") else ""

    theta = property(lambda self: tenths(self.text(63, 66)))
    rho = property(lambda self: tenths(self.text(67, 70)))
    course = property(lambda self: tenths(self.text(71, 74)))

    @property
    def distance(self) -> float | None:
        return None if "T" in self.text(75, 78) else tenths(self.text(75, 78))

    @property
    def radius(self) -> float:
        return int(self.text(57, 62)) / 1000


@dataclass
class CodedFile:
    """The records of a file, sorted."""

    header: list[str] = field(default_factory=list)
    records: list[str] = field(default_factory=list)
    spots: dict[NavFix, Spot] = field(default_factory=dict)
    variations: dict[NavFix, float] = field(default_factory=dict)
    legs: list[Coded] = field(default_factory=list)
    continuations: list[str] = field(default_factory=list)

    def section(self, name: str) -> list[str]:
        """The records of a section: "D ", "DB", "EA", "ER", "PN", "PA", ..."""
        return [line for line in self.records if section_of(line) == name]

    def parts(self) -> list[list[Coded]]:
        """The legs of each part of each procedure."""
        found: dict[str, list[Coded]] = {}
        for item in self.legs:
            found.setdefault(item.part, []).append(item)
        return list(found.values())

    def of(self, procedure: str, transition: str) -> list[Coded]:
        """The legs of a part: "XSKH R27", "HOLMA"; blank for the final part."""
        return [leg for leg in self.legs if leg.procedure == procedure and leg.text(21, 25).strip() == transition]


def section_of(line: str) -> str:
    aerodrome = columns(line, 5, 6) == "P "
    return "P" + columns(line, 13, 13) if aerodrome else columns(line, 5, 6)


def read(path: Path) -> CodedFile:
    found = CodedFile()
    for line in path.read_text(encoding="ascii").splitlines():
        if line.startswith("HDR"):
            found.header.append(line)
            continue
        found.records.append(line)
        section = section_of(line)
        if section in ("PD", "PE", "PF"):
            if columns(line, 39, 39) in "01":
                found.legs.append(Coded(line))
            else:
                found.continuations.append(line)
        elif section in ("D ", "DB", "PN", "EA", "PC", "PA", "PG", "PI"):
            _place(found, line, section)
    return found


def _place(found: CodedFile, line: str, section: str) -> None:
    if section == "PA":
        key = (columns(line, 7, 10).strip(), columns(line, 11, 12), section, "")
    elif section in ("PG", "PI"):
        width = 18 if section == "PG" else 17
        key = (columns(line, 14, width).strip(), columns(line, 11, 12), section, columns(line, 7, 10))
    else:
        home = columns(line, 7, 10) if section in ("PC", "PN") else ""
        key = (columns(line, 14, 18).strip(), columns(line, 20, 21), section, home)
    alone = section == "D " and not columns(line, 33, 33).strip()
    found.spots[key] = spot(line, 56 if alone else 33)
    first = {"PA": 52, "PI": 91}.get(section, 75)
    if section != "PG":
        found.variations[key] = east(columns(line, first, first + 4))


def of(ident: str, section: str, home: str = "", region: str = "XT") -> NavFix:
    return ident, region, section, home


def declinations(part: list[Coded], data: CodedFile) -> list[float]:
    """Whose variation each leg's course goes by: the station's that it or the last leg named, else the aerodrome's."""
    declination = data.variations[of(part[0].text(7, 10), "PA")]
    found = []
    for leg in part:
        if leg.navaid is not None and leg.text(20, 20) not in AREA_NAVIGATION:
            declination = data.variations[leg.navaid]
        found.append(declination)
    return found


def true_course(leg: Coded, part: list[Coded], data: CodedFile) -> float:
    return float(leg.course) + declinations(part, data)[part.index(leg)]


def enroute_place(line: str) -> tuple[str, str, str]:
    return columns(line, 35, 36), columns(line, 37, 38), ""
