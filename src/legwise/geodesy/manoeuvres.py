"""Turns and straights flown at an airspeed in a wind, set out about a fix: what holds and reversals are made of.

Worked out on the plane whose distances and directions from the fix are true (azimuthal equidistant): within 15 NM of
the fix its other lengths are right to 4 parts in a million, (d / R)^2 / 6. A turn has a constant rate in the air, and
the air moves with the wind; in still air it is laid out as an arc, in wind as geodesics for every ``_STEP_DEG`` of
turn, which stray from it by R (1 - cos 2.5 deg): 1.8 m at 1 NM of radius.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from legwise.geodesy.arcs import ArcPath
from legwise.geodesy.chains import ChainPath
from legwise.geodesy.geodesics import direct, inverse
from legwise.geodesy.lines import GeodesicLine
from legwise.model.arrays import FloatArray
from legwise.model.plan import Path
from legwise.units import S_PER_H

_STEP_DEG = 5.0
_ROUNDING = 1e-6
_NO_LENGTH_NM = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """How an aircraft moves: true airspeed [kt], rate of turn [deg/s], and where the wind carries it [kt]."""

    tas_kt: float
    rate_dps: float
    drift_east_kt: float = 0.0
    drift_north_kt: float = 0.0

    @property
    def is_still(self) -> bool:
        """True where there is no wind."""
        return self.drift_east_kt == 0.0 and self.drift_north_kt == 0.0

    @property
    def radius_nm(self) -> float:
        """Radius of its turns through the air. [NM]"""
        return self.tas_kt / S_PER_H / math.radians(self.rate_dps)

    def velocity_kt(self, heading_deg: float) -> tuple[float, float]:
        """Speed over the ground to the east and to the north on a heading. [kt]"""
        heading = math.radians(heading_deg)
        return (
            self.tas_kt * math.sin(heading) + self.drift_east_kt,
            self.tas_kt * math.cos(heading) + self.drift_north_kt,
        )

    def heading_for_deg(self, track_deg: float) -> float | None:
        """The heading that makes good a track; None where the wind lets none. [deg]"""
        track = math.radians(track_deg)
        across = self.drift_east_kt * math.cos(track) - self.drift_north_kt * math.sin(track)
        with_it = self.drift_east_kt * math.sin(track) + self.drift_north_kt * math.cos(track)
        if abs(across) >= self.tas_kt or math.sqrt(self.tas_kt**2 - across**2) + with_it <= 0.0:
            return None
        return track_deg - math.degrees(math.asin(across / self.tas_kt))


def air(tas_kt: float, rate_dps: float, wind_from_deg_true: float, wind_kt: float) -> Air:
    """The air of a wind that comes from a direction. A wind of no strength may come from anywhere, NaN too."""
    if wind_kt == 0.0:
        return Air(tas_kt=tas_kt, rate_dps=rate_dps)
    toward = math.radians(wind_from_deg_true + 180.0)
    return Air(
        tas_kt=tas_kt,
        rate_dps=rate_dps,
        drift_east_kt=wind_kt * math.sin(toward),
        drift_north_kt=wind_kt * math.cos(toward),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A turn through ``sweep_deg`` (right positive), or a straight flown for ``seconds`` where that is 0."""

    east_nm: float
    north_nm: float
    heading_deg: float
    sweep_deg: float
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Manoeuvre:
    """What was flown so far from the fix, and where that has led: place [NM from the fix], heading, time."""

    air: Air
    heading_deg: float
    east_nm: float = 0.0
    north_nm: float = 0.0
    seconds: float = 0.0
    pieces: tuple[Piece, ...] = ()

    def turned(self, sweep_deg: float) -> Manoeuvre:
        """With a turn through an angle, right positive."""
        seconds = abs(sweep_deg) / self.air.rate_dps
        before, after = math.radians(self.heading_deg), math.radians(self.heading_deg + sweep_deg)
        radius, hours = math.copysign(self.air.radius_nm, sweep_deg), seconds / S_PER_H
        # As _turned_nm, a number at a time: solving for an intercept asks for thousands.
        east_nm = radius * (math.cos(before) - math.cos(after)) + self.air.drift_east_kt * hours
        north_nm = radius * (math.sin(after) - math.sin(before)) + self.air.drift_north_kt * hours
        return self._with(sweep_deg, seconds, east_nm, north_nm)

    def flown(self, seconds: float) -> Manoeuvre:
        """With a straight on the heading it has."""
        east_kt, north_kt = self.air.velocity_kt(self.heading_deg)
        return self._with(0.0, seconds, east_kt * seconds / S_PER_H, north_kt * seconds / S_PER_H)

    def against(self, course_deg: float) -> tuple[float, float]:
        """Distance past the fix along a course through it, and right of that course. [NM]"""
        course = math.radians(course_deg)
        along = self.east_nm * math.sin(course) + self.north_nm * math.cos(course)
        return along, self.east_nm * math.cos(course) - self.north_nm * math.sin(course)

    def _with(self, sweep_deg: float, seconds: float, east_nm: float, north_nm: float) -> Manoeuvre:
        piece = Piece(
            east_nm=self.east_nm,
            north_nm=self.north_nm,
            heading_deg=self.heading_deg,
            sweep_deg=sweep_deg,
            seconds=seconds,
        )
        return replace(
            self,
            heading_deg=self.heading_deg + sweep_deg,
            east_nm=self.east_nm + east_nm,
            north_nm=self.north_nm + north_nm,
            seconds=self.seconds + seconds,
            pieces=(*self.pieces, piece),
        )


def laid_out(air: Air, pieces: tuple[Piece, ...], lat_deg: float, lon_deg: float) -> ChainPath | None:
    """The ground path of what was flown about a fix at a position [deg]; None where it has no length."""
    segments: list[Path] = []
    for piece in pieces:
        segments.extend(_ground(air, piece, lat_deg, lon_deg))
    return ChainPath(tuple(segments)) if segments else None


def _ground(air: Air, piece: Piece, lat_deg: float, lon_deg: float) -> list[Path]:
    if piece.sweep_deg == 0.0:
        east_kt, north_kt = air.velocity_kt(piece.heading_deg)
        hours = np.array([0.0, piece.seconds / S_PER_H])
        east_nm, north_nm = east_kt * hours, north_kt * hours
    else:
        count = max(2, math.ceil(abs(piece.sweep_deg) / _STEP_DEG - _ROUNDING) + 1)
        east_nm, north_nm = _turned_nm(air, piece.heading_deg, np.linspace(0.0, piece.sweep_deg, count))
    lat, lon = _places(piece.east_nm + east_nm, piece.north_nm + north_nm, lat_deg, lon_deg)
    if piece.sweep_deg != 0.0 and air.is_still:
        return _arc(air, piece, (lat_deg, lon_deg), lat[[0, -1]], lon[[0, -1]])
    length, course, arrival = inverse(lat[:-1], lon[:-1], lat[1:], lon[1:])
    return [
        GeodesicLine(
            end_lat_deg=float(lat[at + 1]),
            end_lon_deg=float(lon[at + 1]),
            end_course_deg_true=float(arrival[at]),
            length_nm=float(length[at]),
            start_course_deg_true=float(course[at]),
        )
        for at in range(length.size)
        if length[at] > _NO_LENGTH_NM
    ]


def _arc(air: Air, piece: Piece, fix: tuple[float, float], lat: FloatArray, lon: FloatArray) -> list[Path]:
    if math.radians(abs(piece.sweep_deg)) * air.radius_nm <= _NO_LENGTH_NM:
        return []
    side = math.copysign(1.0, piece.sweep_deg)
    inward = math.radians(piece.heading_deg + side * 90.0)
    centre_lat, centre_lon = _places(
        np.array([piece.east_nm + air.radius_nm * math.sin(inward)]),
        np.array([piece.north_nm + air.radius_nm * math.cos(inward)]),
        *fix,
    )
    distance_nm, bearing, _arrival = inverse(centre_lat, centre_lon, lat, lon)
    arc = ArcPath(
        centre_lat_deg=float(centre_lat[0]),
        centre_lon_deg=float(centre_lon[0]),
        radius_nm=float(distance_nm.mean()),
        start_bearing_deg=float(bearing[0]),
        end_bearing_deg=float(bearing[1]),
        turn="right" if side > 0 else "left",
    )
    return [arc]


def _turned_nm(air: Air, heading_deg: float, sweep_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How far to the east and to the north turns of those angles lead, with the wind. [NM]"""
    before, after = math.radians(heading_deg), np.radians(heading_deg + sweep_deg)
    radius = np.where(sweep_deg < 0.0, -air.radius_nm, air.radius_nm)
    hours = np.abs(sweep_deg) / air.rate_dps / S_PER_H
    east: FloatArray = radius * (math.cos(before) - np.cos(after)) + air.drift_east_kt * hours
    north: FloatArray = radius * (np.sin(after) - math.sin(before)) + air.drift_north_kt * hours
    return east, north


def _places(east_nm: FloatArray, north_nm: FloatArray, lat_deg: float, lon_deg: float) -> tuple[FloatArray, FloatArray]:
    lat, lon, _course = direct(lat_deg, lon_deg, np.degrees(np.arctan2(east_nm, north_nm)), np.hypot(east_nm, north_nm))
    return lat, lon


def sweep_to_deg(from_deg: float, to_deg: float, side: float) -> float:
    """The turn from one heading to another the way of ``side`` (+1 right, -1 left), signed, less than 360 deg."""
    sweep = side * (to_deg - from_deg) % 360.0
    # Rounding must not make a whole circle of no turn at all.
    return 0.0 if sweep > 360.0 - 1e-6 else side * sweep
