"""Parts of a lesson file that the flights share: the islands' fixes, the route, the approach to Skarholm."""

from __future__ import annotations

from builders.tarn.flight import Flight
from builders.tarn.places import ELEVATION_FT, FIXES, SKARHOLM_LPV

ROUTE = "XTBN BRAKO CALDU NORVI SELKA HOLMA XSKH"
MISSED_COURSE_DEG_MAG = 270.7
_ROUTE_FIXES = ("XTBN", "BRAKO", "CALDU", "NORVI", "SELKA", "HOLMA", "FERNU", "TOVIK", "OSTRA", "XSKH")


def fixes_text(fly_over: tuple[str, ...] = ()) -> str:
    """Every ``[[fix]]``; an aerodrome with its elevation, the named ones to be flown over."""
    parts = []
    for ident in _ROUTE_FIXES:
        point = FIXES[ident]
        part = f'[[fix]]\nident = "{ident}"\nlat_deg = {point.lat_deg:.6f}\nlon_deg = {point.lon_deg:.6f}\n'
        if ident in ELEVATION_FT:
            part += f'kind = "airport"\nelevation_ft = {ELEVATION_FT[ident]:.0f}\n'
        if ident in fly_over:
            part += "fly_over = true\n"
        parts.append(part)
    return "\n".join(parts)


def route_text(altitude_ft: int) -> str:
    """``[route]``."""
    return f"""# The route as filed; HOLMA is where the approach begins, so from there the approach is owed.
[route]
text = "{ROUTE}"
altitude_ft = {altitude_ft}
"""


def approach_text() -> str:
    """``[[approach]]``: the LPV to runway 27 at Skarholm, written out leg by leg."""
    runway = SKARHOLM_LPV.runway
    return f"""# The approach, leg by leg: no navigation data are needed.
[[approach]]
airport = "XSKH"
title = "RNAV (GPS) RWY 27"
guidance = "LPV"
runway = {{ ident = "RW27", lat_deg = {runway.threshold.lat_deg:.6f}, lon_deg = {runway.threshold.lon_deg:.6f}, \
elevation_ft = 88, course_deg_true = 262.4, length_ft = 5200 }}
glidepath_deg = 3.00
threshold_crossing_height_ft = 50
minima = {{ da_ft = 612 }}
leg = [
  {{ path = "IF", fix = "HOLMA", role = "IAF", altitude = {{ at_or_above_ft = 3000 }} }},
  {{ path = "TF", fix = "FERNU", role = "FAF", altitude = {{ at_or_above_ft = 2000 }} }},
  {{ path = "TF", fix = "RW27", role = "MAP", altitude = {{ at_ft = 138 }}, fly_over = true }},
]
missed = [    # straight ahead to TOVIK, then direct to OSTRA, climbing to 3000 ft
  {{ path = "CF", fix = "TOVIK", course_deg_mag = {MISSED_COURSE_DEG_MAG}, altitude = {{ at_or_above_ft = 900 }}, \
fly_over = true }},
  {{ path = "DF", fix = "OSTRA", altitude = {{ at_or_above_ft = 3000 }} }},
]
"""


def said_at(flight: Flight, key: str) -> str:
    """The time of something said, as TOML's local time: read as UTC on the lesson's date."""
    return f"{flight.said[key]:%H:%M:%S}"
