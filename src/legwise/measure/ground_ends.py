"""Where a log begins and ends on the ground at a known elevation, and what an altitude shows there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.geodesy import inverse
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.lesson import Lesson
from legwise.model.track import Channel, Track

# Our own choices, no published source.
_SLOW_KT = 30.0
"""No aeroplane flies so slowly over the ground or through the air, but in wind that keeps lessons on the ground."""
_NEAR_NM = 2.0
_LAST_S = 60.0
"""The minute next to the flight is taken: the altimeter is set by then, and not yet set anew."""
_LEVEL_FT = 100.0
"""An altitude that changes by more while the aircraft stands was not recorded on the ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Elevation:
    """A place on the ground whose elevation above mean sea level is known; ``name`` is its aerodrome's."""

    name: str
    lat_deg: float
    lon_deg: float
    elevation_ft: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundEnd:
    """An end of the log on the ground: samples ``start`` to before ``stop``, at the elevation of the place nearest."""

    name: str
    elevation_ft: float
    start: int
    stop: int

    def over_elevation_ft(self, altitude_ft: FloatArray) -> float:
        """How far an altitude lies above the elevation there; NaN where it was not measured on the ground. [ft]

        Nought all the while is what receivers of transponders write for an aircraft on the ground.
        """
        there = altitude_ft[self.start : self.stop]
        there = there[np.isfinite(there)]
        if not there.size or not there.any() or np.ptp(there) > _LEVEL_FT:
            return float("nan")
        return float(np.median(there)) - self.elevation_ft


def elevations_of(lesson: Lesson) -> tuple[Elevation, ...]:
    """The aerodromes and runways whose elevation the lesson tells."""
    fixes = [
        Elevation(name=fix.ident, lat_deg=fix.lat_deg, lon_deg=fix.lon_deg, elevation_ft=fix.elevation_ft)
        for fix in lesson.fix
        if fix.kind in {"airport", "runway"} and fix.elevation_ft is not None
    ]
    runways = [
        Elevation(
            name=approach.airport,
            lat_deg=approach.runway.lat_deg,
            lon_deg=approach.runway.lon_deg,
            elevation_ft=approach.runway.elevation_ft,
        )
        for approach in lesson.approach
        if approach.runway is not None
    ]
    return (*fixes, *runways)


def ground_ends(track: Track, elevations: Sequence[Elevation]) -> tuple[GroundEnd, ...]:
    """The first and the last minute on the ground next to the flight, where a known elevation is within 2 NM.

    None at an end where the log begins or ends in the air, and none at all where nothing was flown.
    """
    flying = np.flatnonzero(~_is_slow(track))
    if not flying.size or not elevations:
        return ()
    time_s = track.samples.time_s
    first, last = int(flying[0]), int(flying[-1])
    ends = []
    if first > 0:
        from_s = float(time_s[first - 1]) - _LAST_S
        ends.append((int(np.searchsorted(time_s, from_s)), first))
    if last + 1 < len(track):
        to_s = float(time_s[last + 1]) + _LAST_S
        ends.append((last + 1, int(np.searchsorted(time_s, to_s, side="right"))))
    found = (_at(track, start, stop, elevations) for start, stop in ends)
    return tuple(end for end in found if end is not None)


def _is_slow(track: Track) -> BoolArray:
    """Where nothing that was recorded or derived moves as in flight; a position held in flight is not standing."""
    slow: BoolArray = track.motion.groundspeed_kt < _SLOW_KT
    for channel in (Channel.GROUNDSPEED_KT, Channel.IAS_KT, Channel.TAS_KT):
        recorded = track.samples.channels.get(channel)
        if recorded is not None:
            slow &= ~(recorded >= _SLOW_KT)
    return slow if track.held is None else slow & ~track.held


def _at(track: Track, start: int, stop: int, elevations: Sequence[Elevation]) -> GroundEnd | None:
    middle = (start + stop) // 2
    lat, lon = track.samples.lat_deg[middle], track.samples.lon_deg[middle]
    distance_nm, _course, _arrival = inverse(
        np.full(len(elevations), lat),
        np.full(len(elevations), lon),
        np.array([place.lat_deg for place in elevations]),
        np.array([place.lon_deg for place in elevations]),
    )
    nearest = int(np.argmin(distance_nm))
    if distance_nm[nearest] > _NEAR_NM:
        return None
    place = elevations[nearest]
    return GroundEnd(name=place.name, elevation_ft=place.elevation_ft, start=start, stop=stop)
