"""Decoded records of one line each as the types of the model: fixes, aerodromes, runways, localizers, path points."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from legwise.model.lesson import FixKind
from legwise.model.navdata import (
    CodedAirport,
    CodedFix,
    CodedLocalizer,
    CodedPathPoint,
    CodedRunway,
    FixKey,
    Section,
)

Values = Mapping[str, Any]
"""The fields of a record by name, as :func:`legwise.navdata.columns.decode` gives them."""
_EN_ROUTE = "ENRT"
_DME_FACILITIES = frozenset("DTIMNP")
"""Second letter of a VHF facility that measures distance: DME, TACAN, ILS or MLS with DME (N and P from memory)."""
_NO_COURSE = (None, False)


def fix_of(section: str, values: Values, line: int) -> CodedFix | None:
    """The fix of a navaid, waypoint, aerodrome, runway or localizer record; None where it has no position."""
    if section == Section.VHF_NAVAID:
        return _vhf_navaid(values, line)
    variation_deg, is_true = values.get("declination") or _NO_COURSE
    return CodedFix(
        key=FixKey(
            ident=values["ident"],
            region=values["region"],
            section=Section(section),
            airport=_airport_of(section, values),
        ),
        kind=_KINDS[section],
        name=values.get("name", ""),
        lat_deg=values["lat"],
        lon_deg=values["lon"],
        line=line,
        elevation_ft=values.get("elevation"),
        variation_deg=variation_deg,
        is_true=is_true or values.get("alignment") == "T",
        frequency=values.get("frequency") or "",
    )


_KINDS: Mapping[str, FixKind] = {
    "DB": "ndb", "PN": "ndb", "EA": "waypoint", "PC": "waypoint", "PA": "airport", "PG": "runway", "PI": "waypoint",
}  # fmt: skip


def _airport_of(section: str, values: Values) -> str:
    airport: str = values.get("airport", "")
    return "" if airport == _EN_ROUTE or section in ("EA", "DB", "PA") else airport


def _vhf_navaid(values: Values, line: int) -> CodedFix | None:
    own = (values["lat"], values["lon"])
    dme = (values["dme_lat"], values["dme_lon"])
    place = own if None not in own else dme
    if None in place:
        return None
    facility: str = values["facility"]
    stands_apart = None not in dme and dme != own
    variation_deg, is_true = values["declination"] or _NO_COURSE
    return CodedFix(
        key=FixKey(
            ident=values["ident"], region=values["region"], section=Section.VHF_NAVAID, airport=values["airport"]
        ),
        kind="vor" if facility[0] == "V" else "dme",
        name=values["name"],
        lat_deg=place[0],
        lon_deg=place[1],
        line=line,
        elevation_ft=values["elevation"],
        variation_deg=variation_deg,
        is_true=is_true,
        has_dme=facility[1] in _DME_FACILITIES,
        dme_lat_deg=dme[0] if stands_apart else None,
        dme_lon_deg=dme[1] if stands_apart else None,
        frequency=values["frequency"] or "",
    )


def airport_of(values: Values, line: int) -> CodedAirport | None:
    """An aerodrome."""
    fix = fix_of(Section.AIRPORT, values, line)
    if fix is None:
        return None
    return CodedAirport(
        fix=fix,
        transition_altitude_ft=values["transition_altitude"],
        transition_level_ft=values["transition_level"],
    )


def runway_of(values: Values, line: int) -> CodedRunway | None:
    """A runway end."""
    fix = fix_of(Section.RUNWAY, values, line)
    if fix is None:
        return None
    course_deg, is_true = values["course"] or _NO_COURSE
    return CodedRunway(
        fix=fix,
        course_deg=course_deg,
        is_true=is_true,
        length_ft=values["length"],
        threshold_elevation_ft=values["elevation"],
        threshold_crossing_height_ft=values["crossing_height"],
        displaced_ft=values["displaced"],
        localizer=values["localizer"],
    )


def localizer_of(values: Values, line: int) -> CodedLocalizer | None:
    """A localizer with its glide slope."""
    fix = fix_of(Section.LOCALIZER, values, line)
    if fix is None:
        return None
    course_deg, is_true = values["course"] or _NO_COURSE
    return CodedLocalizer(
        fix=fix,
        runway=values["runway"],
        category=values["category"],
        course_deg=course_deg,
        is_true=is_true,
        width_deg=values["width"],
        glide_slope_lat_deg=values["glide_slope_lat"],
        glide_slope_lon_deg=values["glide_slope_lon"],
        glide_slope_deg=values["glide_slope"],
        glide_slope_elevation_ft=values["glide_slope_elevation"],
        threshold_crossing_height_ft=values["crossing_height"],
    )


def path_point_of(values: Values, line: int) -> CodedPathPoint | None:
    """The final approach segment of a procedure."""
    return CodedPathPoint(
        airport=values["airport"],
        procedure=values["procedure"],
        runway=values["runway"],
        threshold_lat_deg=values["threshold_lat"],
        threshold_lon_deg=values["threshold_lon"],
        threshold_ellipsoid_m=values["threshold_ellipsoid"],
        alignment_lat_deg=values["alignment_lat"],
        alignment_lon_deg=values["alignment_lon"],
        glidepath_deg=values["glidepath"],
        course_half_width_at_threshold_m=values["half_width"],
        length_offset_m=values["length_offset"],
        threshold_crossing_height_ft=values["crossing_height"],
        line=line,
    )


POINT_MAKERS: Mapping[str, Callable[[Values, int], object | None]] = {
    "PA": airport_of, "PG": runway_of, "PI": localizer_of, "PP": path_point_of,
    "D ": lambda values, line: fix_of("D ", values, line), "DB": lambda values, line: fix_of("DB", values, line),
    "PN": lambda values, line: fix_of("PN", values, line), "EA": lambda values, line: fix_of("EA", values, line),
    "PC": lambda values, line: fix_of("PC", values, line),
}  # fmt: skip
"""What makes the value of a record of one line, by section."""
