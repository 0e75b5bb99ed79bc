"""Columns of ARINC 424 records, counted from 1 as the standard counts them, and the forms of the values in them."""

from __future__ import annotations

from dataclasses import dataclass

from builders.tarn.earth import Point

WIDTH = 132
CYCLE = "2604"
_NUMBER_FIRST, _NUMBER_LAST = 124, 128


def record(*pieces: tuple[int, str], cycle: str = CYCLE) -> str:
    """A record of 132 columns with each text from its first column on, blank elsewhere; the record number is left 0.

    A text that would cover another or run past the record is an error: columns can't be got wrong in silence.
    """
    columns = [" "] * WIDTH
    taken: set[int] = set()
    for first, text in (*pieces, (_NUMBER_FIRST, "00000"), (129, cycle)):
        for column, character in enumerate(text, start=first):
            if column in taken or not 1 <= column <= WIDTH:
                raise ValueError(f"column {column} is not free for {text!r}")
            taken.add(column)
            columns[column - 1] = character
    return "".join(columns)


def numbered(records: list[str], start: int = 1) -> list[str]:
    """The records with file record numbers (columns 124-128), which start again at 0 after 99999."""
    return [
        f"{text[: _NUMBER_FIRST - 1]}{number % 100_000:05d}{text[_NUMBER_LAST:]}"
        for number, text in enumerate(records, start=start)
    ]


def cell(text: str, width: int) -> str:
    """A text of exactly ``width`` columns, blanks behind; too long is an error."""
    if len(text) > width:
        raise ValueError(f"{text!r} does not fit {width} columns")
    return text.ljust(width)


def number(value: float | None, digits: int, scale: float = 1.0) -> str:
    """A value as ``digits`` digits in units of 1 / scale, blank where None; too large or negative is an error."""
    if value is None:
        return " " * digits
    coded = round(value * scale)
    if not 0 <= coded < 10**digits:
        raise ValueError(f"{value} does not fit {digits} digits")
    return f"{coded:0{digits}d}"


def signed(value: float, digits: int, scale: float = 1.0) -> str:
    """A sign and ``digits`` digits."""
    return ("-" if value < 0 else "+") + number(abs(value), digits, scale)


def degrees(angle_deg: float | None) -> str:
    """A direction in tenths of a degree, 4 digits, north 3600 as 0000."""
    return "    " if angle_deg is None else f"{round(angle_deg * 10) % 3600:04d}"


def variation(east_deg: float) -> str:
    """A magnetic variation or station declination: W0083."""
    return ("W" if east_deg < 0 else "E") + number(abs(east_deg), 4, 10)


def altitude(value: float | str | None) -> str:
    """An altitude in feet, or a text such as FL240 as it is."""
    return cell(value, 5) if isinstance(value, str) else number(value, 5)


def _sexagesimal(angle_deg: float, degree_digits: int, per_second: int, step: int) -> str:
    """Degrees, minutes and seconds without marks, in units of 1 / per_second, rounded to ``step`` of them."""
    units = round(abs(angle_deg) * 3600 * per_second / step) * step
    minutes, rest = divmod(units, 60 * per_second)
    whole, minutes = divmod(minutes, 60)
    return f"{whole:0{degree_digits}d}{minutes:02d}{rest:0{len(str(per_second)) + 1}d}"


def latitude(lat_deg: float) -> str:
    """N46540000: to 0.01 seconds."""
    return ("S" if lat_deg < 0 else "N") + _sexagesimal(lat_deg, 2, 100, 1)


def longitude(lon_deg: float) -> str:
    """W027060000: to 0.01 seconds."""
    return ("W" if lon_deg < 0 else "E") + _sexagesimal(lon_deg, 3, 100, 1)


def fine_latitude(lat_deg: float) -> str:
    """N4654000000: to 0.0005 seconds, as in path point records."""
    return ("S" if lat_deg < 0 else "N") + _sexagesimal(lat_deg, 2, 10_000, 5)


def fine_longitude(lon_deg: float) -> str:
    """W02706000000: to 0.0005 seconds, as in path point records."""
    return ("W" if lon_deg < 0 else "E") + _sexagesimal(lon_deg, 3, 10_000, 5)


def as_coded(point: Point) -> Point:
    """The point that is read back from its columns: to 0.01 seconds, 0.3 m."""
    return Point(round(point.lat_deg * 360_000) / 360_000, round(point.lon_deg * 360_000) / 360_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Something with a position that other records name: section ("D ", "DB", "PN", "EA", "PC", "PG", "PA", "PI").

    ``variation_deg`` east positive: a station's declination, an aerodrome's variation of record, the model's at a
    waypoint. ``has_dme`` also where it is coded with a localizer.
    """

    ident: str
    section: str
    point: Point
    variation_deg: float
    region: str = "XT"
    area: str = "TRN"
    airport: str = ""
    has_dme: bool = False
    elevation_ft: float | None = None

    @property
    def reference(self) -> str:
        """Ident, region and section, 9 columns, as a leg names its fix."""
        return cell(self.ident, 5) + self.region + self.section
