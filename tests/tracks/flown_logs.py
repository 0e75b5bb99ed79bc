"""Logs flown step by step for the tests of flights: where one stands, taxis, flies, and what was not recorded.

Positions are worked out on a plane about the Tarn Islands, good to a few metres over the distances that matter here.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from legwise.model.arrays import readonly_floats, readonly_ints
from legwise.model.instants import epoch_s
from legwise.model.track import AltitudeKind, RawTrack, Samples, TrackSource

HOME = (46.2, -27.6)
T0 = epoch_s(dt.datetime(2026, 4, 18, 9, 0, 0, tzinfo=dt.UTC))
FIELD_FT = 50.0
_BRAKING_KT_S = 3.0


@dataclass
class Log:
    """A log in the making, one record each ``step_s``. Speeds change by no more than 3 kt each second."""

    time_s: float = T0
    lat_deg: float = HOME[0]
    lon_deg: float = HOME[1]
    altitude_ft: float = FIELD_FT
    kt: float = 0.0
    course: float = 250.0
    step_s: float = 1.0
    rows: list[tuple[float, float, float, float]] = field(default_factory=list)

    def go(self, seconds: float, kt: float, *, turn_dps: float = 0.0, fpm: float = 0.0, wind_kt: float = 0.0) -> Log:
        """Move on for a while at a speed through the air (wind from the west), turning and climbing."""
        for _ in range(round(seconds / self.step_s)):
            self.kt += max(-_BRAKING_KT_S * self.step_s, min(_BRAKING_KT_S * self.step_s, kt - self.kt))
            self._move(self.step_s, self.kt, wind_kt)
            self.course += turn_dps * self.step_s
            self.altitude_ft += fpm / 60.0 * self.step_s
            self._record()
        return self

    def to_altitude(self, feet: float, kt: float, fpm: float = 700.0) -> Log:
        """Climb or descend there."""
        seconds = abs(feet - self.altitude_ft) / fpm * 60.0
        return self.go(seconds, kt, fpm=math.copysign(fpm, feet - self.altitude_ft))

    def stand(self, seconds: float) -> Log:
        """Brake, then stand."""
        while self.kt > 0.0:
            self.go(self.step_s, 0.0)
        return self.go(seconds, 0.0)

    def unseen(self, seconds: float, kt: float = 0.0) -> Log:
        """Nothing is recorded; the aircraft goes on along its course at a speed."""
        self._move(seconds, kt, 0.0)
        return self

    def held(self, seconds: float, *, catches_up: bool = False) -> Log:
        """The position stays the same in flight: a pause, or one that catches up afterwards."""
        place = (self.lat_deg, self.lon_deg)
        for _ in range(round(seconds / self.step_s)):
            self.time_s += self.step_s
            self._record()
        if catches_up:
            self.time_s -= seconds
            self._move(seconds, self.kt, 0.0)
        else:
            self.lat_deg, self.lon_deg = place
        return self

    def put(self, lat_deg: float, lon_deg: float, altitude_ft: float, course: float) -> Log:
        """Put elsewhere from one record to the next, as in a simulator."""
        self.lat_deg, self.lon_deg, self.altitude_ft, self.course = lat_deg, lon_deg, altitude_ft, course
        return self

    def take_off(self, up_to_ft: float = 1000.0) -> Log:
        """Roll and climb."""
        return self.go(25, 75).to_altitude(up_to_ft, 80)

    def circuit(self, feet: float = 1000.0) -> Log:
        """Take off, fly a left-hand circuit of some six minutes, come down to the field."""
        self.take_off(feet)
        for _ in range(4):
            self.go(30, 90, turn_dps=-3.0).go(40, 90)
        return self.to_altitude(FIELD_FT, 75)

    def flight(self, minutes: float = 20.0, feet: float = 3000.0) -> Log:
        """A minute on the stand, taxi, a flight, taxi; the aircraft still rolls."""
        self.stand(60).go(120, 12).take_off(feet).go(minutes * 60.0, 100).to_altitude(FIELD_FT, 75)
        return self.go(20, 12).go(120, 12)

    def _move(self, seconds: float, kt: float, wind_kt: float) -> None:
        east = kt * math.sin(math.radians(self.course)) + wind_kt
        north = kt * math.cos(math.radians(self.course))
        self.lat_deg += north * seconds / 3600.0 / 60.0
        self.lon_deg += east * seconds / 3600.0 / 60.0 / math.cos(math.radians(self.lat_deg))
        self.time_s += seconds

    def _record(self) -> None:
        self.rows.append((self.time_s, self.lat_deg, self.lon_deg, self.altitude_ft))

    def raw(self, *, with_altitude: bool = True, change: Callable[[np.ndarray], np.ndarray] | None = None) -> RawTrack:
        """The records as found; ``change`` may alter them (columns: time, latitude, longitude, altitude)."""
        return raw_of(np.array(self.rows) if change is None else change(np.array(self.rows)), with_altitude)


def raw_of(rows: np.ndarray, with_altitude: bool = True, names: list[str] | None = None) -> RawTrack:
    """Records as a reader would give them; ``names`` are the aircraft of each."""
    time_s, lat, lon, altitude = np.asarray(rows, dtype=np.float64).reshape(-1, 4).T
    aircraft = tuple(dict.fromkeys(names or []))
    return RawTrack(
        samples=Samples(
            time_s=readonly_floats(time_s),
            lat_deg=readonly_floats(lat),
            lon_deg=readonly_floats(lon),
            altitudes_ft={AltitudeKind.INDICATED: readonly_floats(altitude)} if with_altitude else {},
            segment=readonly_ints(np.zeros(len(time_s))),
            line=readonly_ints(np.arange(len(time_s)) + 2),
        ),
        source=TrackSource(file="log.csv", format="CSV", sha256="0" * 64),
        aircraft=aircraft,
        aircraft_index=readonly_ints([aircraft.index(name) for name in names]) if names else None,
    )
