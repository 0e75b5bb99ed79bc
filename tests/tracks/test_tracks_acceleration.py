"""Time that a simulator ran faster or slower: found by the recorded groundspeed, which is believed."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from legwise.model.track import Channel, Track
from legwise.tracks import mend
from tracks.built_flight import KT, T0, Log, Part, built

RATES = [0.1, 1.0, 5.0]
TOUR = (Part(400), Part(120, dps=1.5), Part(2000))
"""Twice as fast a turn again at 1.5 deg/s, a hundred seconds from the beginning of the hurry."""


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


def detail(track: Track, kind: str) -> str:
    return next(fault.detail for fault in track.faults if fault.kind == kind)


def hurried(interval_s: float, factor: float, noise_m: float = 0.0, seconds: float = 100.0) -> Log:
    """From 300 s of the log on its time runs ``factor`` times as fast, for so many of its seconds."""
    return built(TOUR, interval_s=interval_s, noise_m=noise_m, warps=[(300.0, seconds, factor)])


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("noise_m", [0.0, 3.0])
@pytest.mark.parametrize("factor", [2.0, 4.0, 8.0, 16.0])
@pytest.mark.parametrize("with_track", [True, False])
def test_accelerated_time_is_told_and_what_was_flown_in_it(
    interval_s: float, noise_m: float, factor: float, with_track: bool
) -> None:
    log = hurried(interval_s, factor, noise_m)
    track = mend(log.raw(speed=log.kt, track=log.track_deg if with_track else None))

    assert counts(track) == {"time-acceleration": 1}
    told = detail(track, "time-acceleration")
    assert f"{factor:g} times from 2026-04-18T13:05:00Z to 13:06:40Z" in told
    assert len(track) == len(log)
    assert track.samples.time_s.tolist() == log.time_s.tolist()
    assert track.time_factor is not None
    fast = (log.time_s > T0 + 300.0 + 1e-6) & (log.time_s < T0 + 400.0 + 1e-6)
    assert track.time_factor.tolist() == np.where(fast, factor, 1.0).tolist()
    assert track.motion.groundspeed_kt.tolist() == log.kt.tolist()
    assert (track.held, track.breaks, track.gaps) == (None, (), ())


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
@pytest.mark.parametrize("factor", [2.0, 4.0])
def test_the_rate_of_turn_is_the_one_flown(interval_s: float, factor: float) -> None:
    log = hurried(interval_s, factor)
    track = mend(log.raw(speed=log.kt, track=log.track_deg))

    near_s = 4.0 + 2.0 * interval_s * factor
    turning = (log.flown_s > 400.0 + near_s) & (log.flown_s < 520.0 - near_s)
    assert track.motion.track_rate_dps[turning] == pytest.approx(np.full(turning.sum(), 1.5), abs=0.1)
    assert np.nanmax(np.abs(track.motion.track_rate_dps)) < 1.7


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
def test_slow_motion_likewise(interval_s: float) -> None:
    log = hurried(interval_s, 0.5, 2.0)
    track = mend(log.raw(speed=log.kt, track=log.track_deg))

    assert counts(track) == {"time-acceleration": 1}
    assert track.time_factor is not None
    assert float((np.diff(log.time_s) * track.time_factor[1:]).sum()) == pytest.approx(2520.0)


def test_two_stretches_with_a_pause_between_them() -> None:
    log = built(TOUR, warps=[(300.0, 60.0, 4.0), (500.0, 100.0, 0.0), (700.0, 60.0, 8.0)])
    track = mend(log.raw(speed=log.kt, track=log.track_deg))

    assert counts(track) == {"time-acceleration": 2, "frozen-position": 1}
    assert track.time_factor is not None
    assert np.unique(track.time_factor).tolist() == [0.0, 1.0, 4.0, 8.0]
    assert float((np.diff(log.time_s) * track.time_factor[1:]).sum()) == pytest.approx(2520.0)


def test_a_whole_log_at_four_times() -> None:
    log = built((Part(4000),), warps=[(0.0, 1000.0, 4.0)])
    track = mend(log.raw(speed=log.kt))

    assert counts(track) == {"time-acceleration": 1}
    assert track.motion.groundspeed_kt.tolist() == log.kt.tolist()


@pytest.mark.parametrize("scale", [0.514, 1.852, 0.869, 1.151])
def test_a_wrong_unit_is_no_acceleration(scale: float) -> None:
    """Metres a second, kilometres and miles an hour taken for knots: 1.94 and 0.54 are near 2 and a half."""
    log = built(TOUR, noise_m=2.0)
    track = mend(log.raw(speed=log.kt * scale))

    assert "time-acceleration" not in counts(track)
    assert track.time_factor is None


@pytest.mark.parametrize("interval_s", RATES)
def test_a_few_seconds_are_no_acceleration(interval_s: float) -> None:
    log = hurried(interval_s, 2.0, seconds=10.0)
    assert "time-acceleration" not in counts(mend(log.raw(speed=log.kt)))


def test_a_speed_that_was_recorded_before_is_no_acceleration() -> None:
    """The recorded speed and track stand for two minutes, as from a receiver network, while the aircraft goes on."""
    log = built((Part(300, 60.0), Part(60, 60.0, to_kt=125.0, dps=2.0), Part(600, 125.0)))
    speed, course = log.kt.copy(), log.track_deg.copy()
    speed[300:480], course[300:480] = speed[300], course[300]
    track = mend(log.raw(speed=speed, track=course))
    assert "time-acceleration" not in counts(track)


def test_holes_filled_with_straight_lines_are_no_slow_motion() -> None:
    """Half a circle unseen for a minute: its chord is 0.64 of it, two thirds of a circle's 0.41."""
    for turned_s in (60, 80):
        log = built((Part(300), Part(90, dps=3.0), Part(300)))
        lat, lon = log.lat_deg.copy(), log.lon_deg.copy()
        hole = slice(300, 301 + turned_s)
        lat[hole] = np.linspace(lat[300], lat[300 + turned_s], turned_s + 1)
        lon[hole] = np.linspace(lon[300], lon[300 + turned_s], turned_s + 1)
        filled = dataclasses.replace(log, lat_deg=lat, lon_deg=lon)
        assert mend(filled.raw(speed=log.kt, track=log.track_deg)).time_factor is None


@pytest.mark.parametrize("channel", [Channel.TAS_KT, Channel.IAS_KT])
@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("factor", [2.0, 4.0, 8.0])
def test_an_airspeed_that_stays_where_the_positions_hurry_tells_it(
    channel: Channel, interval_s: float, factor: float
) -> None:
    log = hurried(interval_s, factor, noise_m=2.0)
    track = mend(log.raw(channels={channel: log.kt * 0.9}))

    assert counts(track) == {"time-acceleration": 1}
    assert f"{factor:g} times from 2026-04-18T13:05:00Z to 13:06:40Z" in detail(track, "time-acceleration")
    assert track.time_factor is not None
    fast = (log.time_s > T0 + 300.0 + 1e-6) & (log.time_s < T0 + 400.0 + 1e-6)
    assert track.time_factor.tolist() == np.where(fast, factor, 1.0).tolist()
    assert np.median(np.abs(track.motion.groundspeed_kt - KT)) < 2.0


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("factor", [2.0, 4.0, 8.0])
def test_without_any_speed_it_is_asked_at_each_edge(interval_s: float, factor: float) -> None:
    log = hurried(interval_s, factor, noise_m=2.0)
    track = mend(log.raw())

    assert counts(track) == {"sudden-speed": 2}
    assert len(track) == len(log)
    assert track.time_factor is None
    told = detail(track, "sudden-speed")
    assert f"was the time run at {factor:g} times?" in told
    assert "at 2026-04-18T13:05:00Z and stays until 2026-04-18T13:06:40Z" in told


@pytest.mark.parametrize("interval_s", RATES)
def test_an_aircraft_that_gathers_speed_asks_nothing(interval_s: float) -> None:
    """From 60 to 120 kt in twelve seconds, 5 kt a second, and back: as fast as an aeroplane may."""
    log = built(
        (Part(300, 60.0), Part(12, 60.0, to_kt=120.0), Part(200, 120.0), Part(12, 120.0, to_kt=60.0), Part(300, 60.0)),
        interval_s=interval_s,
        noise_m=2.0,
    )
    assert counts(mend(log.raw())) == {}
    assert counts(mend(log.raw(channels={Channel.IAS_KT: np.full(len(log), 100.0)}))) == {}


def test_a_hole_filled_with_a_straight_line_asks_nothing() -> None:
    """Turns of 105° to both sides are unseen: the line through them is half as fast, and then the speed is back."""
    log = built((Part(300), Part(35, dps=3.0), Part(70, dps=-3.0), Part(35, dps=3.0), Part(300)))
    lat, lon = log.lat_deg.copy(), log.lon_deg.copy()
    lat[300:441], lon[300:441] = np.linspace(lat[300], lat[440], 141), np.linspace(lon[300], lon[440], 141)
    assert counts(mend(dataclasses.replace(log, lat_deg=lat, lon_deg=lon).raw())) == {}


@pytest.mark.parametrize("channel", [Channel.TAS_KT, Channel.IAS_KT])
def test_by_an_airspeed_alone_it_is_asked(channel: Channel) -> None:
    """The whole log is at four times: nothing leaps."""
    log = built((Part(4000),), warps=[(0.0, 1000.0, 4.0)])
    track = mend(log.raw(channels={channel: log.kt}))

    assert counts(track) == {}
    assert track.time_factor is None
    assert any("was time accelerated there?" in note for note in track.source.notes)


def test_wind_alone_asks_nothing() -> None:
    log = built((Part(900, 180.0),))
    track = mend(log.raw(channels={Channel.IAS_KT: log.kt * 0.5}))
    assert not any("accelerated" in note for note in track.source.notes)
    assert KT == 100.0


def test_a_factor_between_is_given_as_it_is_and_nothing_else_is_touched() -> None:
    """A simulator that can't keep up: 3.6 times where 4 were asked for."""
    log = hurried(0.1, 3.6)
    track = mend(log.raw(speed=log.kt))

    assert "3.6 times from" in detail(track, "time-acceleration")
    assert track.time_factor is not None
    assert np.unique(track.time_factor) == pytest.approx([1.0, 3.6], abs=0.01)
    assert len(np.unique(track.time_factor)) == 2
