"""Motion over the ground against flights constructed with GeographicLib: straight and turning, slow and fast logs."""

from __future__ import annotations

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import Channel, RawTrack, Samples, Track, TrackSource
from legwise.tracks import mend
from legwise.units import M_PER_NM, S_PER_H

WGS84 = Geodesic.WGS84
T0 = 1.776e9
RATES_HZ = (0.1, 0.2, 1.0, 5.0, 10.0)


def track_of(
    time_s: FloatArray, lat: FloatArray, lon: FloatArray, channels: dict[Channel, FloatArray] | None = None
) -> Track:
    count = len(time_s)
    samples = Samples(
        time_s=readonly_floats(time_s),
        lat_deg=readonly_floats(lat),
        lon_deg=readonly_floats((np.asarray(lon) + 180.0) % 360.0 - 180.0),
        channels={name: readonly_floats(values) for name, values in (channels or {}).items()},
        segment=readonly_ints(np.zeros(count)),
        line=readonly_ints(np.arange(count)),
    )
    return mend(RawTrack(samples=samples, source=TrackSource(file="f", format="CSV", sha256="")))


def turning(rate_hz: float, rate_dps: float, speed_kt: float, lat: float, lon: float) -> tuple[FloatArray, ...]:
    """A circle about a centre: time, position and track (a right angle from the bearing of the centre)."""
    seconds = np.arange(0.0, 240.0, 1.0 / rate_hz)
    radius_m = speed_kt * M_PER_NM / S_PER_H / np.radians(abs(rate_dps))
    bearing = 300.0 + rate_dps * seconds
    points = [WGS84.Direct(lat, lon, angle, radius_m) for angle in bearing]
    side = 90.0 if rate_dps > 0 else -90.0
    track = np.array([(point["azi2"] + side) % 360.0 for point in points])
    return T0 + seconds, np.array([p["lat2"] for p in points]), np.array([p["lon2"] for p in points]), track


def off(one: FloatArray, other: FloatArray) -> FloatArray:
    difference: FloatArray = np.abs((one - other + 180.0) % 360.0 - 180.0)
    return difference


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize(("lat", "lon", "course"), [(46.0, -28.0, 2.0), (-12.0, 179.99, 90.0), (71.0, 10.0, 355.0)])
def test_a_straight_flight(rate_hz: float, lat: float, lon: float, course: float) -> None:
    seconds = np.arange(0.0, 300.0, 1.0 / rate_hz)
    line = WGS84.Line(lat, lon, course)
    points = [line.Position(110.0 * M_PER_NM / S_PER_H * second) for second in seconds]
    track = track_of(T0 + seconds, np.array([p["lat2"] for p in points]), np.array([p["lon2"] for p in points]))

    assert track.faults == ()
    assert track.motion.groundspeed_kt == pytest.approx(np.full(len(seconds), 110.0), rel=1e-4)
    assert off(track.motion.track_deg_true, np.array([p["azi2"] for p in points])).max() < 0.02
    assert np.abs(track.motion.track_rate_dps).max() < 0.01


@pytest.mark.parametrize("rate_hz", RATES_HZ[1:])
@pytest.mark.parametrize("rate_dps", [3.0, -3.0, 1.5])
def test_a_steady_turn_right_positive(rate_hz: float, rate_dps: float) -> None:
    time_s, lat, lon, course = turning(rate_hz, rate_dps, 100.0, 46.0, -28.0)
    motion = track_of(time_s, lat, lon).motion

    inside = slice(2, -2) if rate_hz < 1 else slice(int(3 * rate_hz), -int(3 * rate_hz))
    # A chord over 5 s (two intervals of a slow log) is shorter than its arc: at most 1.2 % here.
    assert motion.groundspeed_kt[inside] == pytest.approx(np.full(len(lat), 100.0)[inside], rel=0.013)
    assert off(motion.track_deg_true, course)[inside].max() < 0.1
    wide = slice(4, -4) if rate_hz < 1 else slice(int(7 * rate_hz), -int(7 * rate_hz))
    assert motion.track_rate_dps[wide] == pytest.approx(np.full(len(lat), rate_dps)[wide], abs=0.03)


def test_noise_of_positions_makes_little_rate() -> None:
    time_s, lat, lon, _course = turning(1.0, 3.0, 100.0, 46.0, -28.0)
    noise = np.random.default_rng(7).normal(0.0, 1.0 / 111_000.0, (2, len(lat)))
    motion = track_of(time_s, lat + noise[0], lon + noise[1] * 1.44).motion

    assert np.abs(motion.track_rate_dps[8:-8] - 3.0).max() < 1.0
    assert float(np.std(motion.track_rate_dps[8:-8])) < 0.3


def test_recorded_motion_is_taken_and_holes_are_filled() -> None:
    time_s, lat, lon, course = turning(1.0, 3.0, 100.0, 46.0, -28.0)
    speed = np.full(len(lat), 101.0)
    speed[50:60] = np.nan
    course = course.copy()
    recorded = course.copy()
    recorded[70:75] = np.nan
    track = track_of(time_s, lat, lon, {Channel.GROUNDSPEED_KT: speed, Channel.TRACK_DEG_TRUE: recorded})

    assert track.motion.groundspeed_kt[49] == 101.0
    assert track.motion.groundspeed_kt[50:60] == pytest.approx(np.full(10, 100.0), rel=0.005)
    assert off(track.motion.track_deg_true, course).max() < 0.1
    assert any("10 samples" in note for note in track.source.notes)
    assert np.isnan(track.samples.channels[Channel.GROUNDSPEED_KT][50])


def test_a_magnetic_track_is_not_used_as_a_true_one() -> None:
    time_s, lat, lon, course = turning(1.0, 3.0, 100.0, 46.0, -28.0)
    track = track_of(time_s, lat, lon, {Channel.TRACK_DEG_MAG: (course + 12.0) % 360.0})

    assert off(track.motion.track_deg_true, course)[5:-5].max() < 0.1


@pytest.mark.parametrize(
    ("channel", "scale", "shift"),
    [(Channel.TRACK_DEG_TRUE, 1.0, 12.0), (Channel.GROUNDSPEED_KT, 0.514, 0.0), (Channel.GROUNDSPEED_KT, 1.852, 0.0)],
)
def test_a_channel_that_the_positions_contradict_is_told_and_not_used(
    channel: Channel, scale: float, shift: float
) -> None:
    time_s, lat, lon, course = turning(1.0, 3.0, 100.0, 46.0, -28.0)
    true = course if channel is Channel.TRACK_DEG_TRUE else np.full(len(lat), 100.0)
    wrong = (true * scale + shift) % 360.0
    track = track_of(time_s, lat, lon, {channel: wrong})

    assert [fault.kind for fault in track.faults] == ["contradicted-channel"]
    assert channel.value in track.faults[0].detail
    assert track.motion.groundspeed_kt[10:-10] == pytest.approx(np.full(len(lat) - 20, 100.0), rel=0.005)
    assert off(track.motion.track_deg_true, course)[5:-5].max() < 0.1
    assert track.samples.channels[channel].tolist() == wrong.tolist()


def test_one_wrong_recorded_track_makes_no_turn() -> None:
    seconds = np.arange(120.0)
    recorded = np.full(120, 359.0)
    recorded[60] = 180.0
    lat = 46.0 + seconds / 1800.0
    track = track_of(T0 + seconds, lat, np.full(120, -28.0), {Channel.TRACK_DEG_TRUE: recorded})

    assert np.abs(track.motion.track_rate_dps).max() < 0.01


def test_nothing_is_derived_across_a_gap() -> None:
    seconds = np.concatenate([np.arange(60.0), np.arange(200.0, 260.0)])
    north = 46.0 + np.minimum(seconds, 60.0) / 1800.0
    east = -28.0 + np.maximum(seconds - 200.0, 0.0) / 1800.0
    track = track_of(T0 + seconds, north, east)

    assert track.gaps == ((59, 60),)
    assert off(track.motion.track_deg_true[:60], np.zeros(60)).max() < 0.01
    assert off(track.motion.track_deg_true[60:], np.full(60, 90.0)).max() < 0.05
    assert np.abs(track.motion.track_rate_dps).max() < 0.01
