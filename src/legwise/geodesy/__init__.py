"""Geometry on the WGS 84 ellipsoid: directions, lines, arcs, turns; variation, the atmosphere, glidepaths."""

from legwise.geodesy.angles import mean_direction_deg, turn_deg, wrap_180, wrap_360
from legwise.geodesy.arcs import ArcPath, arc_between
from legwise.geodesy.atmosphere import (
    altimeter_ft,
    isa_pressure_hpa,
    isa_temperature_deg_c,
    pressure_altitude_ft,
    qnh_altitude_ft,
    temperature_error_ft,
    true_altitude_ft,
)
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.lines import MIN_LEG_NM, GeodesicLine, line_between, line_to
from legwise.geodesy.magnetic import declination_deg
from legwise.geodesy.turns import FlyByTurn, anticipation_nm, fly_by_arc, turn_radius_nm
from legwise.geodesy.vertical import barometric_path_ft, path_origin_nm, straight_path_ft

__all__ = [
    "MIN_LEG_NM",
    "ArcPath",
    "FlyByTurn",
    "GeodesicLine",
    "altimeter_ft",
    "anticipation_nm",
    "arc_between",
    "barometric_path_ft",
    "declination_deg",
    "direct",
    "fly_by_arc",
    "inverse",
    "isa_pressure_hpa",
    "isa_temperature_deg_c",
    "line_between",
    "line_to",
    "mean_direction_deg",
    "path_origin_nm",
    "pressure_altitude_ft",
    "qnh_altitude_ft",
    "straight_path_ft",
    "temperature_error_ft",
    "true_altitude_ft",
    "turn_deg",
    "turn_radius_nm",
    "wrap_180",
    "wrap_360",
]
