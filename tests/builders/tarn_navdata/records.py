"""One function for each kind of ARINC 424 record, laid out as in the excerpts of the US government's coded procedures.

Each gives a record of 132 columns with number 0; :func:`builders.tarn_navdata.columns.numbered` numbers a file's.
Values are in feet, NM, degrees; courses magnetic, as coded. The layouts are held to real records by a test.
"""

from __future__ import annotations

from builders.tarn.earth import Point
from builders.tarn_navdata.columns import (
    CYCLE,
    Place,
    altitude,
    cell,
    degrees,
    fine_latitude,
    fine_longitude,
    latitude,
    longitude,
    number,
    record,
    signed,
    variation,
)

DATUM = "WGE"


def _position(first: int, point: Point) -> tuple[tuple[int, str], tuple[int, str]]:
    return (first, latitude(point.lat_deg)), (first + 9, longitude(point.lon_deg))


def airport(
    place: Place,
    name: str,
    *,
    longest_runway_ft: float,
    transition_ft: int = 18000,
    iata: str = "",
    datum: str = DATUM,
    cycle: str = CYCLE,
) -> str:
    """PA: an aerodrome's reference point, elevation and variation of record."""
    return record(
        (1, f"S{place.area}P {cell(place.ident, 4)}{place.region}A{cell(iata or place.ident[-3:], 3)}"),
        (22, "0"),
        (28, number(longest_runway_ft // 100, 3)),
        (31, "YH"),
        *_position(33, place.point),
        (52, variation(place.variation_deg)),
        (57, number(place.elevation_ft, 5)),
        (71, number(transition_ft, 5) * 2),
        (81, "C"),
        (86, "M" + datum),
        (94, cell(name, 30)),
        cycle=cycle,
    )


def runway(
    place: Place,
    *,
    length_ft: float,
    course_deg_mag: float,
    crossing_height_ft: float,
    width_ft: float = 100,
    ellipsoid_m: float | None = None,
    displaced_ft: float = 0,
    localizer: str = "",
    crossing_height_from: str = "I",
    cycle: str = CYCLE,
) -> str:
    """PG: a runway end by its landing threshold. ``localizer`` is ident and category ("ISKH1")."""
    return record(
        (1, f"S{place.area}P {cell(place.airport, 4)}{place.region}G{cell(place.ident, 5)}"),
        (22, "0" + number(length_ft, 5) + degrees(course_deg_mag)),
        *_position(33, place.point),
        (61, "      " if ellipsoid_m is None else signed(ellipsoid_m, 5, 10)),
        (67, number(place.elevation_ft, 5) + number(displaced_ft, 4) + number(crossing_height_ft, 2)),
        (78, number(width_ft, 3) + crossing_height_from + localizer),
        cycle=cycle,
    )


def waypoint(
    place: Place, *, kind: str = "W  ", usage: str = "", name: str = "", datum: str = DATUM, cycle: str = CYCLE
) -> str:
    """EA or PC: a waypoint with the variation there. ``usage``: H, L or B airways, blank at an aerodrome."""
    enroute = place.section == "EA"
    head = "EAENRT   " if enroute else f"P {cell(place.airport, 4)}{place.region}C"
    return record(
        (1, f"S{place.area}{head}{cell(place.ident, 5)} {place.region}0"),
        (27, kind),
        (31, cell(usage, 1)),
        *_position(33, place.point),
        (75, variation(place.variation_deg)),
        (85, datum),
        (99, cell(name or place.ident, 25)),
        cycle=cycle,
    )


def vhf_navaid(
    place: Place,
    name: str,
    *,
    frequency_mhz: float,
    kind: str = "VDLW ",
    dme: Place | None = None,
    datum: str = DATUM,
    cycle: str = CYCLE,
) -> str:
    """D: a VOR, VOR/DME or DME. ``dme`` stands alone where ``kind`` has no V (a localizer's DME: kind " ITW ")."""
    alone = not kind.startswith("V")
    dme = dme or (place if place.has_dme else None)
    return record(
        (1, f"S{place.area}D {cell(place.airport, 4)}{place.region if place.airport else '  '} {cell(place.ident, 4)}"),
        (20, place.region + "0" + number(frequency_mhz, 5, 100) + kind),
        *(() if alone else _position(33, place.point)),
        *(() if dme is None else _position(56, dme.point)),
        *(((52, cell(place.ident, 4)),) if alone else ()),
        (75, variation(place.variation_deg)),
        *(() if dme is None else ((80, number(dme.elevation_ft, 5)),)),
        (85, "0" if alone else "1"),
        (91, datum),
        (94, cell(name, 30)),
        cycle=cycle,
    )


def ndb(
    place: Place, name: str, *, frequency_khz: float, kind: str = "HO W ", datum: str = DATUM, cycle: str = CYCLE
) -> str:
    """DB or PN: an NDB en route or at an aerodrome."""
    return record(
        (1, f"S{place.area}{place.section}{cell(place.airport, 4)}{place.region if place.airport else '  '} "),
        (14, cell(place.ident, 4)),
        (20, place.region + "0" + number(frequency_khz, 5, 10) + kind),
        *_position(33, place.point),
        (75, variation(place.variation_deg)),
        (91, datum),
        (94, cell(name, 30)),
        cycle=cycle,
    )


def localizer(
    place: Place,
    *,
    category: str,
    frequency_mhz: float,
    runway_ident: str,
    course_deg_mag: float,
    glide_slope: Point,
    beyond_far_end_ft: float,
    inside_threshold_ft: float,
    width_deg: float,
    glide_slope_deg: float,
    crossing_height_ft: float,
    glide_slope_elevation_ft: float,
    cycle: str = CYCLE,
) -> str:
    """PI: a localizer with its glide slope."""
    return record(
        (1, f"S{place.area}P {cell(place.airport, 4)}{place.region}I{cell(place.ident, 4)}{category}"),
        (22, "0" + number(frequency_mhz, 5, 100) + cell(runway_ident, 5)),
        *_position(33, place.point),
        (52, degrees(course_deg_mag)),
        *_position(56, glide_slope),
        (75, number(beyond_far_end_ft, 4)),
        (80, number(inside_threshold_ft, 4) + number(width_deg, 4, 100) + number(glide_slope_deg, 3, 100)),
        (91, variation(place.variation_deg) + number(crossing_height_ft, 2) + number(glide_slope_elevation_ft, 5)),
        cycle=cycle,
    )


def path_point(
    runway_end: Place,
    procedure: str,
    *,
    reference: str,
    ellipsoid_m: float,
    orthometric_m: float,
    glidepath_deg: float,
    alignment: Point,
    half_width_m: float,
    length_offset_m: float,
    crossing_height_ft: float,
    channel: int,
    suffix: str = " ",
    vertical_limit_m: float = 50.0,
    checksum: str = "00000000",
    cycle: str = CYCLE,
) -> list[str]:
    """PP: the final approach segment's data and its continuation (application type E) with the level LPV.

    The checksum of the data block is not computed: an invented block is none to be flown.
    """
    head = f"S{runway_end.area}P {cell(runway_end.airport, 4)}{runway_end.region}P{cell(procedure, 6)}"
    head += cell(runway_end.ident, 5) + "00"
    threshold = runway_end.point
    return [
        record(
            (1, f"{head}1{suffix}0000{reference}0"),
            (38, fine_latitude(threshold.lat_deg) + fine_longitude(threshold.lon_deg)),
            (61, signed(ellipsoid_m, 5, 10) + number(glidepath_deg, 4, 100)),
            (71, fine_latitude(alignment.lat_deg) + fine_longitude(alignment.lon_deg)),
            (94, number(half_width_m, 5, 100) + number(length_offset_m, 4) + number(crossing_height_ft, 6, 10) + "F"),
            (110, "400" + number(vertical_limit_m, 3, 10) + checksum),
            cycle=cycle,
        ),
        record(
            (1, f"{head}2E"),
            (35, signed(orthometric_m, 5, 10) * 2 + cell("LPV", 10) + number(channel, 5)),
            cycle=cycle,
        ),
    ]


def airway_point(
    airway: str,
    sequence: int,
    fix: Place,
    *,
    ends: bool = False,
    kind: str = "O",
    direction: str = "",
    outbound_deg_mag: float | None = None,
    distance_nm: float | None = None,
    inbound_deg_mag: float | None = None,
    minimum_ft: float | None = None,
    maximum_ft: float | None = None,
    cycle: str = CYCLE,
) -> str:
    """ER: a fix on an airway with course and distance to the next. ``kind`` O or R; ``direction`` F, B or blank."""
    letter = {"D ": "V", "DB": "N"}.get(fix.section, "E")
    return record(
        (1, f"S{fix.area}ER       {cell(airway, 5)}"),
        (26, number(sequence, 4) + fix.reference + "0" + letter + ("E" if ends else " ")),
        (45, kind + "L" + direction),
        (71, degrees(outbound_deg_mag) + number(distance_nm, 4, 10) + degrees(inbound_deg_mag)),
        (84, altitude(minimum_ft)),
        (94, altitude(maximum_ft)),
        cycle=cycle,
    )


def safe_altitude(centre: Place, airport_ident: str, *, altitude_ft: int, cycle: str = CYCLE) -> str:
    """PS: a minimum safe altitude all round, within 25 NM."""
    return record(
        (1, f"S{centre.area}P {cell(airport_ident, 4)}{centre.region}S{centre.reference}"),
        (39, "0"),
        (43, "180180" + number(altitude_ft // 100, 3) + "25"),
        (119, "M"),
        cycle=cycle,
    )
