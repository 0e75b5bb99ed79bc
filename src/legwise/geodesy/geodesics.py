"""The inverse and the direct geodesic problem on the WGS 84 ellipsoid, for arrays.

The only place that knows pyproj: it wants longitude first, metres, and arrays of one shape, and gives the azimuth
at the far end pointing back. Accuracy is that of Karney's algorithm (C. F. F. Karney, "Algorithms for geodesics",
J. Geodesy 87, 2013).
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from legwise.geodesy.angles import wrap_180, wrap_360
from legwise.model.arrays import FloatArray
from legwise.units import M_PER_NM

if TYPE_CHECKING:
    from pyproj import Geod


@cache
def _wgs84() -> Geod:
    # Imported here: pyproj takes 0.1 s to load and many calls never need it.
    from pyproj import Geod

    return Geod(ellps="WGS84")


def inverse(
    lat1_deg: npt.ArrayLike, lon1_deg: npt.ArrayLike, lat2_deg: npt.ArrayLike, lon2_deg: npt.ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Distance and courses between positions.

    Arguments broadcast against each other; NaN gives NaN. Returns the distance [NM], the course at the first
    position and the course on arrival at the second [deg true, in 0..360). Coincident positions give distance 0 and
    no meaningful course.
    """
    lat1, lon1, lat2, lon2 = np.broadcast_arrays(
        *(np.asarray(value, dtype=np.float64) for value in (lat1_deg, lon1_deg, lat2_deg, lon2_deg))
    )
    shape = lat1.shape
    course, back, metres = _wgs84().inv(_flat(lon1), _flat(lat1), _flat(lon2), _flat(lat2))
    distance_nm: FloatArray = np.asarray(metres, dtype=np.float64).reshape(shape) / M_PER_NM
    return (
        distance_nm,
        wrap_360(np.asarray(course).reshape(shape)),
        wrap_360(np.asarray(back).reshape(shape) + 180.0),
    )


def direct(
    lat_deg: npt.ArrayLike, lon_deg: npt.ArrayLike, course_deg_true: npt.ArrayLike, distance_nm: npt.ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The position at a course and distance, and the course on arrival there.

    Arguments broadcast; a negative distance goes backwards along the geodesic. Returns latitude, longitude in
    [-180, 180) and the course on arrival [deg true, in 0..360).
    """
    lat, lon, course, distance = np.broadcast_arrays(
        *(np.asarray(value, dtype=np.float64) for value in (lat_deg, lon_deg, course_deg_true, distance_nm))
    )
    shape = lat.shape
    lon2, lat2, back = _wgs84().fwd(_flat(lon), _flat(lat), _flat(course), _flat(distance * M_PER_NM))
    return (
        np.asarray(lat2, dtype=np.float64).reshape(shape),
        wrap_180(np.asarray(lon2).reshape(shape)),
        wrap_360(np.asarray(back).reshape(shape) + 180.0),
    )


def _flat(values: FloatArray) -> FloatArray:
    """A one-dimensional copy of its own memory: pyproj wants that, not a broadcast view."""
    return np.array(values.ravel(), dtype=np.float64)
