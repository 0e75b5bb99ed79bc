"""The columns of every clean primary record against those that an independent viewer of the format cuts out."""

from __future__ import annotations

import pytest
from arinc424.record import Record

from legwise.navdata.columns import LAYOUTS
from navdata.coded_lines import EVERY_EXCERPT, lines_of

# Our field: the viewer's. Left out: what it has no field of its own for, and the second region of a leg, which it cuts
# one column short. It gives texts as they stand.
LEG = {
    "airport": "Airport Identifier", "procedure": "SID/STAR/Approach Identifier", "route_type": "Route Type",
    "transition": "Transition Identifier", "sequence": "Sequence Number", "fix": "Fix Identifier",
    "fix_region": "ICAO Code (2)", "fix_section": "Section Code (2)", "description": "Waypoint Description Code",
    "turn": "Turn Direction", "rnp": "RNP", "path": "Path and Termination", "navaid": "Recommended Navaid",
    "radius": "Arc Radius", "theta": "Theta", "rho": "Rho", "course": "Magnetic Course",
    "altitude_code": "Altitude Description", "altitude_1": "Altitude", "altitude_2": "Altitude (2)",
    "navaid_region": "ICAO Code (3)", "navaid_section": "Recommended Navaid (2)",
    "length": "Route / Holding Distance or Time", "centre": "Center Fix or TAA Procedure Turn Indicator",
    "centre_section": "Section Code (3)", "speed_code": "Speed Limit Description", "speed": "Speed Limit",
    "vertical_angle": "Vertical Angle",
}  # fmt: skip
NAMES = {
    "D ": {
        "ident": "VOR Identifier", "region": "ICAO Code (2)", "frequency": "Frequency", "facility": "Class",
        "lat": "VOR Latitude", "lon": "VOR Longitude", "dme_lat": "DME Latitude", "dme_lon": "DME Longitude",
        "declination": "Station Declination", "elevation": "DME Elevation", "name": "VOR Name",
    },
    "DB": {
        "ident": "NDB Identifier", "region": "ICAO Code (2)", "frequency": "NDB Frequency", "lat": "NDB Latitude",
        "lon": "NDB Longitude", "declination": "Magnetic Variation", "name": "NDB Name",
    },
    "EA": {
        "ident": "Waypoint Identifier", "region": "ICAO Code (2)", "lat": "Waypoint Latitude",
        "lon": "Waypoint Longitude", "declination": "Dynamic Mag. Variation", "name": "Waypoint Name / Desc",
    },
    "PA": {
        "ident": "Airport ICAO Identifier", "lat": "Airport Reference Pt. Latitude",
        "lon": "Airport Reference Pt. Longitude", "declination": "Magnetic Variation",
        "elevation": "Airport Elevation", "transition_altitude": "Transition Altitude",
        "transition_level": "Transition Level", "alignment": "Magnetic/True Indicator", "name": "Airport Name",
    },
    "PG": {
        "ident": "Runway Identifier", "length": "Runway Length", "course": "Runway Magnetic Bearing",
        "lat": "Runway Latitude", "lon": "Runway Longitude", "elevation": "Landing Threshold Elevation",
        "displaced": "Displaced Threshold Dist", "crossing_height": "Threshold Crossing Height",
        "localizer": "Localizer/MLS/GLS Ref Path Ident",
    },
    "PI": {
        "ident": "Localizer Identifier", "category": "ILS Category", "frequency": "Localizer Frequency",
        "runway": "Runway Identifier", "lat": "Localizer Latitude", "lon": "Localizer Longitude",
        "course": "Localizer Bearing", "glide_slope_lat": "Glide Slope Latitude",
        "glide_slope_lon": "Glide Slope Longitude", "width": "Localizer Width", "glide_slope": "Glide Slope Angle",
        "declination": "Station Declination", "crossing_height": "Glide Slope Height at Landing Threshold",
        "glide_slope_elevation": "Glide Slope Elevation",
    },
    "PP": {
        "procedure": "Approach Procedure Ident", "runway": "Runway or Helipad Ident",
        "threshold_lat": "Landing Threshold Point Latitude", "threshold_lon": "Landing Threshold Point Longitude",
        "glidepath": "Glide Path Angle", "alignment_lat": "Flight Path Alignment Point Latitude",
        "alignment_lon": "Flight Path Alignment Point Longitude", "half_width": "Course Width at Threshold Note 4",
        "length_offset": "Length Offset",
    },
    "ER": {
        "ident": "Route Identifier", "sequence": "Sequence Number", "fix": "Fix Identifier",
        "fix_region": "ICAO Code", "fix_section": "Section Code (2)", "description": "Waypoint Desc Code",
        "direction": "Direction Restriction", "distance": "Route Distance From", "minimum": "Minimum Altitude",
        "maximum": "Maximum Altitude",
    },
    "PF": LEG,
}  # fmt: skip
NAMES |= {"PN": NAMES["DB"], "PC": NAMES["EA"], "PD": LEG, "PE": LEG}


def cut_by_the_viewer(line: str) -> tuple[str, dict[str, str]] | None:
    record = Record()
    if not record.read(line) or not record.primary():
        return None
    return record.ident, {field.name: field.value for field in record.fields}


@pytest.mark.parametrize("name", EVERY_EXCERPT)
def test_columns_are_those_of_an_independent_viewer(name: str) -> None:
    compared = 0
    for line in lines_of(name):
        cut = cut_by_the_viewer(line)
        if cut is None or cut[0] not in LAYOUTS:
            continue
        section, theirs = cut
        ours = {field.name: line[field.first - 1 : field.last] for field in LAYOUTS[section].fields}
        for field, their_name in NAMES[section].items():
            assert ours[field] == theirs[their_name], (section, field, line)
            compared += 1

    assert compared >= len(lines_of(name)) // 2
