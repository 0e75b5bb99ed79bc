"""Geometry on the WGS 84 ellipsoid: directions, lines, arcs, turns, holds; variation, the atmosphere, glidepaths."""

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
from legwise.geodesy.begun import begun_at
from legwise.geodesy.captures import arc_from, fly_over_capture
from legwise.geodesy.chains import ChainPath
from legwise.geodesy.dme import (
    horizontal_range_nm,
    lead_radial_deg,
    slant_cross_track_nm,
    slant_range_nm,
    straight_leg_error_nm,
)
from legwise.geodesy.fly_by_bands import FlyByBand, fly_by_band
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.hold_entries import EntryName, HoldEntry, hold_entry
from legwise.geodesy.hold_entry_paths import hold_entry_path
from legwise.geodesy.holding_rules import (
    Authority,
    Category,
    holding_leg_minutes,
    holding_rate_dps,
    max_holding_speed_kt,
)
from legwise.geodesy.holds import HoldingPattern, holding_pattern
from legwise.geodesy.lines import MIN_LEG_NM, GeodesicLine, line_between, line_from, line_to
from legwise.geodesy.magnetic import declination_deg
from legwise.geodesy.meeting import Meeting, meets_circle, meets_path, meets_radial
from legwise.geodesy.rays import GeodesicRay, ray_from
from legwise.geodesy.reversals import (
    ProcedureTurn,
    ReversalPath,
    base_turn_minutes,
    procedure_turn_leg_s,
    reversal_path,
)
from legwise.geodesy.turns import (
    FlyByTurn,
    anticipation_nm,
    bank_for_rate_deg,
    fly_by_arc,
    pans_ops_rate_dps,
    turn_radius_nm,
    turn_rate_dps,
)
from legwise.geodesy.vertical import barometric_path_ft, path_origin_nm, straight_path_ft

__all__ = [
    "MIN_LEG_NM",
    "ArcPath",
    "Authority",
    "Category",
    "ChainPath",
    "EntryName",
    "FlyByBand",
    "FlyByTurn",
    "GeodesicLine",
    "GeodesicRay",
    "HoldEntry",
    "HoldingPattern",
    "Meeting",
    "ProcedureTurn",
    "ReversalPath",
    "altimeter_ft",
    "anticipation_nm",
    "arc_between",
    "arc_from",
    "bank_for_rate_deg",
    "barometric_path_ft",
    "base_turn_minutes",
    "begun_at",
    "declination_deg",
    "direct",
    "fly_by_arc",
    "fly_by_band",
    "fly_over_capture",
    "hold_entry",
    "hold_entry_path",
    "holding_leg_minutes",
    "holding_pattern",
    "holding_rate_dps",
    "horizontal_range_nm",
    "inverse",
    "isa_pressure_hpa",
    "isa_temperature_deg_c",
    "lead_radial_deg",
    "line_between",
    "line_from",
    "line_to",
    "max_holding_speed_kt",
    "mean_direction_deg",
    "meets_circle",
    "meets_path",
    "meets_radial",
    "pans_ops_rate_dps",
    "path_origin_nm",
    "pressure_altitude_ft",
    "procedure_turn_leg_s",
    "qnh_altitude_ft",
    "ray_from",
    "reversal_path",
    "slant_cross_track_nm",
    "slant_range_nm",
    "straight_leg_error_nm",
    "straight_path_ft",
    "temperature_error_ft",
    "true_altitude_ft",
    "turn_deg",
    "turn_radius_nm",
    "turn_rate_dps",
    "wrap_180",
    "wrap_360",
]
