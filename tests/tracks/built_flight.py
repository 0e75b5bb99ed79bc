"""Flights built in closed form, logged as simulators and receivers log: paused, hurried, put elsewhere, held.

A flight is a list of parts, each straight or a steady turn at a steady speed. What a log makes of it is said beside it:
``warps`` let the flight's time run at another rate than the log's (0: a pause), ``offsets`` displace positions for a
while or for good, ``holds`` repeat the last position while the aircraft flies on. On a plane near 46 N 028 W, which is
good to 0.3 %.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from legwise.model.arrays import FloatArray, IntArray, readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, RawTrack, Samples, TrackSource

T0 = 1_776_517_200.0
"""2026-04-18T13:00:00Z."""

FINE_S = 0.05
KT = 100.0


@dataclass(frozen=True)
class Part:
    """``seconds`` at ``kt``, turning at ``dps`` (right positive), climbing at ``fpm``; to ``to_kt`` by its end."""

    seconds: float
    kt: float = KT
    dps: float = 0.0
    fpm: float = 0.0
    to_kt: float | None = None


LESSON = (Part(400), Part(60, dps=3.0, fpm=300.0), Part(500), Part(30, dps=-3.0), Part(410))
"""Straight and level, a turn, straight, a turn, straight: 1,400 s at 100 kt."""


@dataclass(frozen=True)
class Log:
    """A log in the making: arrays of shape (n,), the truth beside them; ``recorded`` channels as they are written."""

    time_s: FloatArray
    flown_s: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    altitude_ft: FloatArray
    kt: FloatArray
    track_deg: FloatArray

    def __len__(self) -> int:
        return len(self.time_s)

    def only(self, rows: IntArray | slice) -> Log:
        """Some of its records, in the order of ``rows``."""
        return Log(**{field.name: getattr(self, field.name)[rows] for field in dataclasses.fields(self)})

    def then(self, other: Log) -> Log:
        """This log and ``other`` in one file."""
        return Log(
            **{
                field.name: np.concatenate([getattr(self, field.name), getattr(other, field.name)])
                for field in dataclasses.fields(self)
            }
        )

    def at(self, seconds: float) -> int:
        """The first record at or after so many seconds of the log."""
        return int(np.searchsorted(self.time_s, T0 + seconds - 1e-6))

    def raw(
        self,
        *,
        speed: FloatArray | None = None,
        track: FloatArray | None = None,
        altitude: bool = True,
        channels: dict[Channel, FloatArray] | None = None,
    ) -> RawTrack:
        """As a file gives it, with the channels named."""
        recorded = dict(channels or {})
        if speed is not None:
            recorded[Channel.GROUNDSPEED_KT] = speed
        if track is not None:
            recorded[Channel.TRACK_DEG_TRUE] = track
        altitudes = {AltitudeKind.INDICATED: readonly_floats(self.altitude_ft)} if altitude else {}
        return RawTrack(
            samples=Samples(
                time_s=readonly_floats(self.time_s),
                lat_deg=readonly_floats(self.lat_deg),
                lon_deg=readonly_floats(self.lon_deg),
                altitudes_ft=MappingProxyType(altitudes),
                channels=MappingProxyType({name: readonly_floats(values) for name, values in recorded.items()}),
                segment=readonly_ints(np.zeros(len(self))),
                line=readonly_ints(np.arange(len(self)) + 2),
            ),
            source=TrackSource(file="flight.csv", format="CSV", sha256="0" * 64),
        )


def built(
    parts: Sequence[Part] = LESSON,
    *,
    interval_s: float = 1.0,
    warps: Sequence[tuple[float, float, float]] = (),
    offsets: Sequence[tuple[float, float, float, float]] = (),
    holds: Sequence[tuple[float, float]] = (),
    noise_m: float = 0.0,
    start_ft: float = 3000.0,
    heading_deg: float = 30.0,
) -> Log:
    """Fly the parts and log them.

    Parameters
    ----------
    warps
        (from, seconds, factor): what the flight's time does while the log's runs. 0 is a pause.
    offsets
        (from, seconds, east NM, north NM): positions put elsewhere, for good where the seconds are infinite.
    holds
        (from, seconds): the receiver repeats the position it had.
    noise_m
        Of each coordinate, white; none where the position stands.
    """
    flown_s, east, north, altitude, kt, track = _truth(parts, start_ft, heading_deg)
    total = flown_s[-1] + sum(seconds * (1.0 - factor) for _from, seconds, factor in warps)
    time_s = np.arange(0.0, total + 1e-6, interval_s)
    tau = time_s.copy()
    for start, seconds, factor in warps:
        inside = np.clip(time_s - start, 0.0, seconds)
        tau += inside * (factor - 1.0)
    place_s = tau.copy()
    for start, seconds in holds:
        held = (time_s >= start - 1e-6) & (time_s < start + seconds - 1e-6)
        place_s[held] = place_s[np.flatnonzero(held)[:1]]
    x, y = np.interp(place_s, flown_s, east), np.interp(place_s, flown_s, north)
    rng = np.random.default_rng(11)
    noise = rng.normal(0.0, noise_m / 1852.0, (2, len(time_s)))
    stands = np.concatenate([[False], np.diff(place_s) == 0.0])
    noise = noise[:, np.maximum.accumulate(np.where(stands, 0, np.arange(len(stands))))]
    x, y = x + noise[0], y + noise[1]
    for start, seconds, by_east, by_north in offsets:
        away = (time_s >= start - 1e-6) & (time_s < start + seconds - 1e-6)
        x[away] += by_east
        y[away] += by_north
    return Log(
        time_s=T0 + time_s,
        flown_s=tau,
        lat_deg=np.round(46.0 + y / 60.0, 8),
        lon_deg=np.round(-28.0 + x / 60.0 / np.cos(np.radians(46.0)), 8),
        altitude_ft=np.round(np.interp(tau, flown_s, altitude), 1),
        kt=np.interp(tau, flown_s, kt),
        track_deg=np.interp(tau, flown_s, track) % 360.0,
    )


def _truth(parts: Sequence[Part], start_ft: float, heading_deg: float) -> tuple[FloatArray, ...]:
    speeds: list[FloatArray] = []
    rates: list[FloatArray] = []
    climbs: list[FloatArray] = []
    for part in parts:
        count = round(part.seconds / FINE_S)
        speeds.append(np.linspace(part.kt, part.kt if part.to_kt is None else part.to_kt, count))
        rates.append(np.full(count, part.dps))
        climbs.append(np.full(count, part.fpm))
    kt: FloatArray = np.concatenate(speeds)
    dps: FloatArray = np.concatenate(rates)
    fpm: FloatArray = np.concatenate(climbs)
    track: FloatArray = heading_deg + np.concatenate([[0.0], np.cumsum(dps) * FINE_S])
    middle = np.radians((track[:-1] + track[1:]) / 2.0)
    step_nm = kt * FINE_S / 3600.0
    east: FloatArray = np.concatenate([[0.0], np.cumsum(step_nm * np.sin(middle))])
    north: FloatArray = np.concatenate([[0.0], np.cumsum(step_nm * np.cos(middle))])
    altitude: FloatArray = start_ft + np.concatenate([[0.0], np.cumsum(fpm) * FINE_S / 60.0])
    flown_s: FloatArray = np.arange(float(len(track))) * FINE_S
    return flown_s, east, north, altitude, np.append(kt, kt[-1]), track
