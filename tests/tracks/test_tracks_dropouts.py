"""Channels that stop, logs that begin in flight, stamps that beat, and tracks too smooth to have been flown."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from legwise.model.arrays import FloatArray, readonly_floats
from legwise.model.track import AltitudeKind, Channel, RawTrack, Track
from legwise.tracks import mend
from tracks.built_flight import KT, T0, Log, Part, built

RATES = [0.1, 1.0, 5.0]
SMOOTH = "positions without any noise"


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


def detail(track: Track, kind: str) -> str:
    return next(fault.detail for fault in track.faults if fault.kind == kind)


def notes(track: Track) -> str:
    return "\n".join(track.source.notes)


def with_altitude(raw: RawTrack, altitude_ft: FloatArray) -> RawTrack:
    samples = dataclasses.replace(raw.samples, altitudes_ft={AltitudeKind.INDICATED: readonly_floats(altitude_ft)})
    return dataclasses.replace(raw, samples=samples)


def blank(log: Log, values: FloatArray, start: float, stop: float) -> FloatArray:
    """``values`` without those from ``start`` to before ``stop`` seconds of the log."""
    inside = (log.time_s >= T0 + start - 1e-6) & (log.time_s < T0 + stop - 1e-6)
    return np.where(inside, np.nan, values)


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
def test_an_altitude_that_drops_out_is_told_with_its_spans(interval_s: float) -> None:
    log = built(interval_s=interval_s, noise_m=2.0)
    altitude = blank(log, blank(log, log.altitude_ft, 300.0, 340.0), 900.0, 960.0)
    track = mend(with_altitude(log.raw(), altitude))

    assert counts(track) == {"drop-out": 2}
    told = detail(track, "drop-out")
    assert told.startswith("altitude_indicated_ft is blank 2 times: 2026-04-18T13:05:00Z to 13:05:39")
    assert "13:15:00Z to 13:15:59" in told
    assert len(track) == len(log)


def test_a_drop_out_in_a_slow_log_is_ten_of_its_intervals() -> None:
    log = built(interval_s=5.0, noise_m=2.0)
    assert counts(mend(with_altitude(log.raw(), blank(log, log.altitude_ft, 300.0, 340.0)))) == {}
    assert counts(mend(with_altitude(log.raw(), blank(log, log.altitude_ft, 300.0, 360.0)))) == {"drop-out": 1}


def test_channels_are_told_each() -> None:
    log = built(noise_m=2.0)
    raw = log.raw(speed=blank(log, log.kt, 100.0, 130.0), channels={Channel.IAS_KT: blank(log, log.kt, 500.0, 520.0)})
    track = mend(raw)

    assert counts(track) == {"drop-out": 2}
    assert "groundspeed_kt is blank 1 time: 2026-04-18T13:01:40Z to 13:02:09Z" in detail(track, "drop-out")
    assert "ias_kt is blank 1 time" in detail(track, "drop-out")
    assert np.isfinite(track.motion.groundspeed_kt).all()


@pytest.mark.parametrize("interval_s", RATES)
def test_what_is_no_drop_out(interval_s: float) -> None:
    """A message a row; a channel that begins late or ends early; a track that a standing aircraft has not."""
    log = built((Part(200, 0.0), Part(60, 0.0, to_kt=100.0), Part(600)), interval_s=interval_s, noise_m=0.0)
    rows = np.arange(len(log))
    raw = log.raw(
        speed=np.where(rows % 3 == 0, log.kt, np.nan),
        track=np.where(log.kt < 3.0, np.nan, log.track_deg),
        channels={
            Channel.IAS_KT: np.where(rows % 3 == 1, log.kt, np.nan),
            Channel.BANK_DEG: blank(log, np.zeros(len(log)), 0.0, 500.0),
            Channel.PITCH_DEG: blank(log, np.zeros(len(log)), 500.0, 900.0),
        },
    )
    assert "drop-out" not in counts(mend(raw))


def test_records_that_are_missing_altogether_are_a_gap_and_no_drop_out() -> None:
    log = built(noise_m=2.0)
    keep = (np.arange(len(log)) < 300) | (np.arange(len(log)) >= 360)
    assert counts(mend(log.only(np.flatnonzero(keep)).raw(speed=log.kt[keep]))) == {"gap": 1}


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("recorded", [True, False])
def test_a_log_that_begins_in_flight_says_so(interval_s: float, recorded: bool) -> None:
    log = built(interval_s=interval_s, noise_m=1.0)
    track = mend(log.raw(speed=log.kt if recorded else None))
    assert "the log begins at 2026-04-18T13:00:00Z, the aircraft moving at " in notes(track)

    parked = built((Part(60, 0.0), Part(30, 0.0, to_kt=90.0), Part(600)), interval_s=interval_s)
    assert "the log begins" not in notes(mend(parked.raw(speed=parked.kt if recorded else None)))


@pytest.mark.parametrize("interval_s", RATES)
def test_a_track_without_noise_is_told(interval_s: float) -> None:
    track = mend(built(interval_s=interval_s).raw())
    assert f"{SMOOTH}: a simulator or a made-up track; measures of steadiness do not apply" in notes(track)


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("noise_m", [0.3, 1.0, 3.0])
def test_a_little_noise_is_noise(interval_s: float, noise_m: float) -> None:
    assert SMOOTH not in notes(mend(built(interval_s=interval_s, noise_m=noise_m).raw()))


@pytest.mark.parametrize("interval_s", RATES)
def test_a_hand_flown_track_through_a_smooth_receiver_is_not_without_noise(interval_s: float) -> None:
    """Accelerations of 0.2 m/s² that come and go over some seconds, as of a pilot in still air; no noise at all."""
    log = built(interval_s=interval_s)
    seconds = log.time_s - T0
    sway_m = sum(
        0.2 * (period / 2.0 / np.pi) ** 2 * np.sin(2.0 * np.pi * seconds / period + phase)
        for period, phase in ((7.0, 0.3), (11.0, 1.0), (17.0, 2.0))
    )
    lat = log.lat_deg + sway_m / 1852.0 / 60.0
    assert SMOOTH not in notes(mend(dataclasses.replace(log, lat_deg=lat).raw()))


def test_coarse_positions_tell_nothing_of_noise() -> None:
    log = built()
    coarse = dataclasses.replace(log, lat_deg=np.round(log.lat_deg, 5), lon_deg=np.round(log.lon_deg, 5))
    assert SMOOTH not in notes(mend(coarse.raw()))


def test_stamps_that_beat_make_no_speeds_that_do() -> None:
    """A record every 2.5 s, stamped with the whole second before: 3 s and 2 s by turns."""
    log = built(interval_s=2.5)
    track = mend(dataclasses.replace(log, time_s=np.floor(log.time_s + 1e-6)).raw())

    assert np.unique(np.diff(track.samples.time_s)).tolist() == [2.0, 3.0]
    # Half a second in ten, and in seven at the ends of the log; a single gap would make it one in two.
    assert np.abs(track.motion.groundspeed_kt - KT)[2:-2].max() < 0.051 * KT
    assert np.abs(track.motion.groundspeed_kt - KT).max() < 0.075 * KT
    assert "speeds from positions are taken over ten seconds" in notes(track)
    assert "ten seconds" not in notes(mend(log.raw()))
    assert "ten seconds" not in notes(mend(built(interval_s=2.0).raw()))


def test_two_samples_make_no_note_of_smoothness() -> None:
    log = built((Part(1),), interval_s=1.0)
    assert SMOOTH not in notes(mend(log.raw()))
