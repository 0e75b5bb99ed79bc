"""A flat picture of the land around a flight: azimuthal equidistant on WGS 84, in NM, as complex numbers.

Real is east and imaginary north in the middle of the picture. A line between two fixes here stays within a few metres
of the geodesic for everything a flight of an hour can reach. Directions are "grid" degrees, by the picture's own north.
"""

from __future__ import annotations

import cmath
import functools
import math

import numpy as np
from numpy.typing import NDArray
from pygeomag import GeoMag
from pyproj import Proj

M_PER_NM = 1852.0
FT_PER_NM = 1852.0 / 0.3048
FloatArray = NDArray[np.float64]


def wrap(angle_deg: float) -> float:
    """An angle in [-180, 180). [deg]"""
    return (angle_deg + 180.0) % 360.0 - 180.0


def unit(grid_deg: float) -> complex:
    """The unit step in a direction."""
    return cmath.rect(1.0, math.radians(90.0 - grid_deg))


def direction(step: complex) -> float:
    """The direction of a step. [grid deg]"""
    return (90.0 - math.degrees(cmath.phase(step))) % 360.0


@functools.cache
def _model() -> GeoMag:
    return GeoMag(coefficients_file="wmm/WMM_2025.COF")


def declination(lat_deg: float, lon_deg: float, year: float) -> float:
    """Magnetic variation by the World Magnetic Model, east positive. [deg]"""
    return float(_model().calculate(glat=lat_deg, glon=(lon_deg + 180.0) % 360.0 - 180.0, alt=0.0, time=year).d)


class Plane:
    """The picture about ``lat_deg``, ``lon_deg``; variation and the turn of north as smooth surfaces over it."""

    REACH_NM = 110.0

    def __init__(self, lat_deg: float, lon_deg: float, year: float) -> None:
        self.lat_deg, self.lon_deg = lat_deg, lon_deg
        self._proj = Proj(proj="aeqd", ellps="WGS84", lat_0=lat_deg, lon_0=lon_deg, units="m")
        side = np.linspace(-self.REACH_NM, self.REACH_NM, 7)
        east, north = (grid.ravel() for grid in np.meshgrid(side, side))
        lat, lon = self.positions(east, north)
        up_east, up_north = (np.asarray(v) / M_PER_NM for v in self._proj(lon, lat + 1e-3))
        turned = np.degrees(np.arctan2(up_east - east, up_north - north))
        variation = np.array([declination(float(a), float(o), year) for a, o in zip(lat, lon, strict=True)])
        terms = self._terms(east, north)
        self._turned: FloatArray = np.linalg.lstsq(terms, turned, rcond=None)[0].astype(np.float64)
        self._variation: FloatArray = np.linalg.lstsq(terms, variation, rcond=None)[0].astype(np.float64)
        self.greatest_variation_deg = float(np.abs(variation).max())

    @staticmethod
    def _terms(east: FloatArray, north: FloatArray) -> FloatArray:
        x, y = east / 100.0, north / 100.0
        return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3], axis=-1)

    def _at(self, surface: FloatArray, place: complex) -> float:
        terms = self._terms(np.array([place.real]), np.array([place.imag]))
        return float(terms[0] @ surface)

    def positions(self, east_nm: FloatArray, north_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Latitude and longitude, the latter in [-180, 180). [deg]"""
        lon, lat = self._proj(east_nm * M_PER_NM, north_nm * M_PER_NM, inverse=True)
        return np.asarray(lat), (np.asarray(lon) + 180.0) % 360.0 - 180.0

    def position(self, place: complex) -> tuple[float, float]:
        """Latitude and longitude of one place. [deg]"""
        lat, lon = self.positions(np.array([place.real]), np.array([place.imag]))
        return float(lat[0]), float(lon[0])

    def place(self, lat_deg: float, lon_deg: float) -> complex:
        """A position as a place in the picture."""
        east, north = self._proj(lon_deg, lat_deg)
        return complex(east, north) / M_PER_NM

    def variation_deg(self, place: complex) -> float:
        """Magnetic variation at a place, east positive."""
        return self._at(self._variation, place)

    def true_of(self, grid_deg: float, place: complex) -> float:
        """A grid direction as a true one."""
        return (grid_deg - self._at(self._turned, place)) % 360.0

    def mag_of(self, grid_deg: float, place: complex) -> float:
        """A grid direction as a magnetic one."""
        return (self.true_of(grid_deg, place) - self.variation_deg(place)) % 360.0

    def grid_of_mag(self, mag_deg: float, place: complex) -> float:
        """A magnetic direction as a grid one."""
        return (mag_deg + self.variation_deg(place) + self._at(self._turned, place)) % 360.0


class Line:
    """From ``a`` to ``b``, extended past both; cross-track right positive. [NM]"""

    def __init__(self, a: complex, b: complex) -> None:
        self.a, self.b = a, b
        self.length_nm = abs(b - a)
        self.u = (b - a) / self.length_nm
        self.course = direction(self.u)

    def off(self, place: complex) -> float:
        """Right of the line. [NM]"""
        return -((place - self.a) * self.u.conjugate()).imag

    def to_go(self, place: complex) -> float:
        """From abeam the place to the end; negative past it. [NM]"""
        return self.length_nm - ((place - self.a) * self.u.conjugate()).real

    def course_at(self, place: complex) -> float:  # noqa: ARG002  # the same everywhere on a line
        """Course here. [grid deg]"""
        return self.course

    @property
    def end_course(self) -> float:
        """Course at the end. [grid deg]"""
        return self.course


def inbound(b: complex, course_grid: float, length_nm: float = 10.0) -> Line:
    """The line that arrives at ``b`` on a course."""
    return Line(b - length_nm * unit(course_grid), b)


class Arc:
    """About ``centre`` from the bearing of ``a`` to that of ``b``; clockwise or not. Cross-track right positive."""

    def __init__(self, centre: complex, a: complex, b: complex, *, clockwise: bool, radius_nm: float = 0.0) -> None:
        self.centre, self.a, self.b, self.clockwise = centre, a, b, clockwise
        self.radius_nm = radius_nm or abs(a - centre)
        self._sense = 1.0 if clockwise else -1.0
        self.end_course = self.course_at(b)
        self.course = self.course_at(a)

    def off(self, place: complex) -> float:
        """Right of the arc: inside it when clockwise. [NM]"""
        return self._sense * (self.radius_nm - abs(place - self.centre))

    def to_go(self, place: complex) -> float:
        """Along the arc to its end, negative past it. [NM]"""
        swept = wrap(direction(self.b - self.centre) - direction(place - self.centre)) * self._sense
        return math.radians(swept) * self.radius_nm

    def course_at(self, place: complex) -> float:
        """The tangent here. [grid deg]"""
        return (direction(place - self.centre) + 90.0 * self._sense) % 360.0


Owed = Line | Arc
