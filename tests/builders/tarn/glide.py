"""The needles of a final approach that is straight in space, as the receiver would draw them.

Angular full scale: lateral w (D + d) / D with D from the threshold to an apex 305 m past the stop end, at most 0.3 NM
(FAA AIM 1-1-18); vertical a quarter of the glidepath angle, between 15 m and 150 m (common practice, no published
source).
"""

from __future__ import annotations

import math

from builders.tarn.earth import FT_PER_NM, M_PER_FT
from builders.tarn.places import Final

MEAN_RADIUS_FT = 6_371_009.0 / M_PER_FT
_APEX_FT = 305.0 / M_PER_FT


def path_ft(final: Final, to_go_nm: float) -> float:
    """Height above mean sea level of the straight path: the earth falls away from it by d²/2R."""
    d_ft = to_go_nm * FT_PER_NM
    origin_ft = final.runway.elevation_ft + final.threshold_crossing_height_ft
    return origin_ft + d_ft * math.tan(math.radians(final.glidepath_deg)) + d_ft * d_ft / (2.0 * MEAN_RADIUS_FT)


def slope(final: Final, to_go_nm: float) -> float:
    """Feet down for each foot along."""
    return math.tan(math.radians(final.glidepath_deg)) + to_go_nm * FT_PER_NM / MEAN_RADIUS_FT


def vertical_full_scale_ft(final: Final, to_go_nm: float) -> float:
    """Centre to full deflection, an angle seen from where the path meets the ground, past the threshold. [ft]"""
    steeper, path = math.radians(1.25 * final.glidepath_deg), math.radians(final.glidepath_deg)
    from_origin_ft = to_go_nm * FT_PER_NM + final.threshold_crossing_height_ft / math.tan(path)
    angular_ft = from_origin_ft * (math.tan(steeper) - math.tan(path))
    return min(max(angular_ft, 15.0 / M_PER_FT), 150.0 / M_PER_FT)


def lateral_full_scale_nm(final: Final, to_go_nm: float) -> float:
    """Centre to full deflection, inside the final approach fix. [nm]"""
    apex_ft = final.runway.length_ft + _APEX_FT
    width_ft = final.half_width_ft * (apex_ft + max(to_go_nm, 0.0) * FT_PER_NM) / apex_ft
    return min(width_ft / FT_PER_NM, 0.3)
