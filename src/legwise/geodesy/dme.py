"""Distance measuring equipment: slant range, lead radials, and what is lost by flying an arc in straight pieces."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from legwise.geodesy.arcs import ArcPath
from legwise.model.arrays import FloatArray
from legwise.units import FT_PER_NM


def slant_range_nm(horizontal_nm: npt.ArrayLike, height_ft: npt.ArrayLike) -> FloatArray:
    """What DME shows: the straight distance to a station ``height_ft`` lower. [NM] NaN gives NaN.

    On the plane, sqrt(d^2 + h^2). Source: DME measures slant range, FAA AIM 5-3-8 j6.
    """
    slant: FloatArray = np.hypot(
        np.asarray(horizontal_nm, dtype=np.float64), np.asarray(height_ft, dtype=np.float64) / FT_PER_NM
    )
    return slant


def horizontal_range_nm(slant_nm: npt.ArrayLike, height_ft: npt.ArrayLike) -> FloatArray:
    """The distance over the ground at which DME shows ``slant_nm``, ``height_ft`` above the station. [NM]

    The inverse of :func:`slant_range_nm`; NaN where the height alone is more than the slant range.
    """
    slant = np.asarray(slant_nm, dtype=np.float64)
    height = np.asarray(height_ft, dtype=np.float64) / FT_PER_NM
    square = slant**2 - height**2
    horizontal: FloatArray = np.sqrt(np.where(square >= 0.0, square, np.nan))
    return horizontal


def slant_cross_track_nm(
    arc: ArcPath, lat_deg: FloatArray, lon_deg: FloatArray, height_ft: npt.ArrayLike
) -> FloatArray:
    """Cross-track of positions against a DME arc flown by slant range. [NM, right positive]

    ``height_ft`` is the height above the station, one for all or one for each position. The arc's radius is then what
    the DME shows on it, so the ground track that has no cross-track is a little inside the arc.
    """
    side = 1.0 if arc.turn == "right" else -1.0
    horizontal_nm = arc.radius_nm - side * arc.measure(lat_deg, lon_deg).cross_track_nm
    return side * (arc.radius_nm - slant_range_nm(horizontal_nm, height_ft))


def lead_radial_deg(turn_radius_nm: float, arc_radius_nm: float) -> float:
    """Angle at the station by which a right-angled turn off an arc must lead its radial. [deg]

    asin(R / r): the turn's centre then lies R abeam the radial (on the plane; near 60 R / r). NaN where the turn is
    wider than the arc. The Instrument Flying Handbook's rule of half a mile up to 150 kt, or 0.5 % of groundspeed, is
    from memory.
    """
    if not 0.0 <= turn_radius_nm <= arc_radius_nm or arc_radius_nm == 0.0:
        return float("nan")
    return math.degrees(math.asin(turn_radius_nm / arc_radius_nm))


def straight_leg_error_nm(arc_radius_nm: float, angle_deg: float) -> float:
    """How far a straight piece strays from an arc over ``angle_deg`` at the station: r (1 - cos angle). [NM]

    On the plane. A chord over twice that angle comes as far inside as this; 20 deg reach 1 NM at r = 16.58 NM.
    """
    return arc_radius_nm * (1.0 - math.cos(math.radians(angle_deg)))
