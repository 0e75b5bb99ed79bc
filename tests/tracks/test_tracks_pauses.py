"""Time that stood and positions that were held: found where they are, told apart, and never taken for standing."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import Track
from legwise.tracks import mend
from tracks.built_flight import KT, T0, Log, Part, built

RATES = [0.1, 1.0, 5.0]


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


def detail(track: Track, kind: str) -> str:
    return next(fault.detail for fault in track.faults if fault.kind == kind)


def flown_s(track: Track) -> float:
    """How long the whole log was flown, by the seconds flown in each of its seconds."""
    seconds = np.diff(track.samples.time_s)
    return float(seconds.sum() if track.time_factor is None else (seconds * track.time_factor[1:]).sum())


def between(log: Log, start: float, stop: float) -> BoolArray:
    """Records after ``start`` seconds of the log, up to ``stop``."""
    return (log.time_s > T0 + start + 1e-6) & (log.time_s <= T0 + stop + 1e-6)


def held(track: Track) -> BoolArray:
    return np.zeros(len(track), dtype=bool) if track.held is None else track.held


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("noise_m", [0.0, 3.0])
@pytest.mark.parametrize("recorded", ["nothing", "the speed kept", "no speed"])
def test_a_pause_is_held_and_no_time_of_it_is_flown(interval_s: float, noise_m: float, recorded: str) -> None:
    log = built(interval_s=interval_s, noise_m=noise_m, warps=[(600.0, 120.0, 0.0)])
    paused = between(log, 600.0, 720.0)
    speed: FloatArray | None = None
    if recorded != "nothing":
        speed = np.where(paused & (recorded == "no speed"), 0.0, log.kt)
    track = mend(log.raw(speed=speed))

    assert counts(track) == {"frozen-position": 1}
    assert "13:10:00Z to 13:12:00Z" in detail(track, "frozen-position")
    assert "the flight stands and goes on from the same place (a pause), 120 s in all" in detail(
        track, "frozen-position"
    )
    assert len(track) == len(log)
    assert held(track).tolist() == paused.tolist()
    assert flown_s(track) == pytest.approx(1400.0)
    first, last = (int(row) for row in np.flatnonzero(paused)[[0, -1]])
    assert track.gaps == ((first - 1, first), (last, last + 1))
    motion = track.motion
    assert np.isnan(motion.groundspeed_kt[paused]).all()
    assert np.isnan(motion.track_rate_dps[paused]).all()
    beside = ~paused & (np.abs(log.time_s - T0 - 660.0) < 75.0)
    assert motion.groundspeed_kt[beside] == pytest.approx(np.full(beside.sum(), KT), rel=0.01 + 0.02 * noise_m)
    assert np.abs(motion.track_rate_dps[beside]).max() < 0.05 + 0.5 * noise_m


@pytest.mark.parametrize("interval_s", RATES)
def test_a_turn_goes_on_after_a_pause_as_if_there_were_none(interval_s: float) -> None:
    log = built(interval_s=interval_s, warps=[(430.0, 20.0, 0.0)])
    track = mend(log.raw())

    paused = between(log, 430.0, 450.0)
    assert held(track).tolist() == paused.tolist()
    # Beside the pause, as beside a gap, a track is made of the positions of one side alone.
    near_s = 2.0 * interval_s + 4.0
    inside = (log.flown_s > 412.0) & (log.flown_s < 448.0) & (np.abs(log.flown_s - 430.0) > near_s)
    assert inside.any()
    assert track.motion.track_rate_dps[inside] == pytest.approx(np.full(inside.sum(), 3.0), abs=0.3)


GROUND = (
    Part(300, 0.0),
    Part(30, 0.0, to_kt=15.0),
    Part(60, 15.0),
    Part(10, 15.0, to_kt=0.0),
    Part(60, 0.0),
    Part(25, 0.0, to_kt=60.0),
    Part(20, 60.0, to_kt=100.0, fpm=300.0),
    Part(600),
    Part(60, 100.0, to_kt=60.0, fpm=-300.0),
    Part(20, 60.0, to_kt=0.0),
    Part(300, 0.0),
)
HOVER = (Part(300), Part(30, 100.0, to_kt=0.0), Part(120, 0.0), Part(30, 0.0, to_kt=100.0), Part(300))
STOP_AND_GO = (Part(300, 60.0), Part(15, 60.0, to_kt=0.0), Part(10, 0.0), Part(20, 0.0, to_kt=60.0), Part(300, 70.0))


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("recorded", [True, False])
@pytest.mark.parametrize(
    ("parts", "stands"), [(GROUND, 3), (HOVER, 1), (STOP_AND_GO, 0)], ids=["parked", "hover", "stop and go"]
)
def test_who_slows_down_to_stand_stands(
    interval_s: float, recorded: bool, parts: tuple[Part, ...], stands: int
) -> None:
    log = built(parts, interval_s=interval_s)
    track = mend(log.raw(speed=log.kt if recorded else None))

    assert counts(track) == ({"standing-still": stands} if stands else {})
    assert track.held is None
    assert track.time_factor is None


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("recorded", [True, False])
def test_a_position_that_the_receiver_holds_is_held_and_the_time_is_flown(interval_s: float, recorded: bool) -> None:
    log = built(interval_s=interval_s, holds=[(600.0, 30.0)])
    track = mend(log.raw(speed=log.kt if recorded else None))

    old = (log.time_s > T0 + 600.0 + 1e-6) & (log.time_s < T0 + 630.0 - 1e-6)
    assert counts(track) == {"frozen-position": 1}
    assert f"in {old.sum()} samples" in detail(track, "frozen-position")
    assert held(track).tolist() == old.tolist()
    assert track.time_factor is None
    assert track.breaks == ()
    # Thirty seconds unseen are a gap as others are.
    first, last = (int(row) for row in np.flatnonzero(old)[[0, -1]])
    assert track.gaps == ((first - 1, first), (last, last + 1))
    # In turns a chord is shorter than its arc: by 1.2 % over ten seconds.
    assert np.nanmax(np.abs(track.motion.groundspeed_kt - KT)) < 1.5


def test_a_position_given_ahead_of_its_time_is_held_until_the_aircraft_is_there() -> None:
    """As receiver networks give some: a leap of 5 s ahead, and no new position for 5 s."""
    log = built()
    ahead = np.arange(600, 605)
    lat, lon = log.lat_deg.copy(), log.lon_deg.copy()
    lat[ahead], lon[ahead] = lat[605], lon[605]
    track = mend(dataclasses.replace(log, lat_deg=lat, lon_deg=lon).raw(speed=log.kt, track=log.track_deg))

    assert counts(track) == {"frozen-position": 1}
    assert np.flatnonzero(held(track)).tolist() == [600, 601, 602, 603, 604]
    assert track.time_factor is None
    assert track.gaps == ()


@pytest.mark.parametrize("recorded", [True, False])
def test_a_source_with_new_positions_every_five_seconds_makes_no_pauses(recorded: bool) -> None:
    log = built()
    every = np.arange(len(log)) // 5 * 5
    slow = dataclasses.replace(log, lat_deg=log.lat_deg[every], lon_deg=log.lon_deg[every])
    track = mend(slow.raw(speed=log.kt if recorded else None))

    assert counts(track) == {"frozen-position": 280}
    assert held(track).tolist() == (every != np.arange(len(log))).tolist()
    assert track.time_factor is None
    assert track.gaps == ()
    assert np.nanmax(np.abs(track.motion.groundspeed_kt - KT)) < 1.5
    assert flown_s(track) == 1400.0
    turning = ~held(track) & (log.flown_s > 415.0) & (log.flown_s < 445.0)
    assert track.motion.track_rate_dps[turning] == pytest.approx(np.full(turning.sum(), 3.0), abs=0.3)


@pytest.mark.parametrize("interval_s", RATES)
def test_a_log_that_ends_in_a_pause(interval_s: float) -> None:
    log = built(interval_s=interval_s, warps=[(1390.0, 300.0, 0.0)])
    log = log.only(slice(0, log.at(1680.0) + 1))
    track = mend(log.raw())

    assert counts(track) == {"frozen-position": 1}
    assert held(track).tolist() == between(log, 1390.0, 1690.0).tolist()
    assert flown_s(track) == pytest.approx(1390.0)


def test_a_log_that_ends_while_the_receiver_holds_a_position() -> None:
    log = built(holds=[(1380.0, 300.0)])
    track = mend(log.raw(speed=log.kt))

    assert counts(track) == {"frozen-position": 1}
    assert track.time_factor is None
    assert held(track).sum() == 20


@pytest.mark.parametrize("interval_s", RATES)
def test_frozen_at_one_place_and_put_to_another_is_a_pause_and_a_jump(interval_s: float) -> None:
    log = built(
        interval_s=interval_s, warps=[(600.0, 60.0, 0.0)], offsets=[(660.0 + interval_s / 2.0, np.inf, 10.0, 0.0)]
    )
    track = mend(log.raw())

    assert counts(track) == {"frozen-position": 1, "jump": 1}
    assert held(track).tolist() == between(log, 600.0, 660.0).tolist()
    assert track.breaks == (log.at(660.0) + 1,)


def test_a_position_that_is_frozen_while_the_altitude_runs_on_is_told_so() -> None:
    log = built(warps=[(600.0, 60.0, 0.0)])
    altitude = log.altitude_ft + np.clip(log.time_s - T0 - 600.0, 0.0, 60.0) * 5.0
    track = mend(dataclasses.replace(log, altitude_ft=altitude).raw())

    assert counts(track) == {"frozen-position": 1}
    assert "the position stands though altitudes run on" in detail(track, "frozen-position")
    assert held(track).sum() == 60


def with_jitter(log: Log, metres: float) -> Log:
    """White noise on every latitude."""
    noise = np.random.default_rng(5).normal(0.0, metres / 1852.0 / 60.0, len(log))
    return dataclasses.replace(log, lat_deg=log.lat_deg + noise)


@pytest.mark.parametrize("interval_s", RATES)
def test_a_pause_with_jitter_in_the_last_decimals_is_a_pause(interval_s: float) -> None:
    log = with_jitter(built(interval_s=interval_s, warps=[(600.0, 120.0, 0.0)]), 0.02)
    track = mend(log.raw(speed=log.kt))

    assert counts(track) == {"frozen-position": 1}
    assert "a pause), 120 s in all" in detail(track, "frozen-position")
    assert held(track).tolist() == between(log, 600.0, 720.0).tolist()
    assert flown_s(track) == pytest.approx(1400.0)


def test_a_slow_walk_in_a_fast_log_is_no_pause() -> None:
    """At 3 kt ten samples a second lie 15 cm apart."""
    log = built((Part(120, 3.0), Part(40, 3.0, to_kt=100.0), Part(300)), interval_s=0.1)
    assert "frozen-position" not in counts(mend(log.raw(speed=log.kt)))
    # And so where a speed is recorded that was never flown.
    wrong = mend(log.raw(speed=np.maximum(log.kt, 60.0)))
    assert "frozen-position" not in counts(wrong)


def test_two_pauses_are_counted_and_each_is_cut_out() -> None:
    log = built(warps=[(300.0, 40.0, 0.0), (900.0, 200.0, 0.0)])
    track = mend(log.raw(speed=log.kt))

    assert counts(track) == {"frozen-position": 2}
    assert "240 s in all" in detail(track, "frozen-position")
    assert flown_s(track) == pytest.approx(1400.0)
    assert len(track.gaps) == 4
