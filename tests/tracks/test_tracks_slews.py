"""Jumps that not every aircraft, but this flight can't make: slews and resets split it, stretches beside it go."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from legwise.model.track import AltitudeKind, Track
from legwise.tracks import mend
from tracks.built_flight import KT, T0, Log, Part, built

RATES = [0.1, 1.0, 5.0]
ALONG = (0.5 * np.sin(np.radians(30.0)), 0.5 * np.cos(np.radians(30.0)))
"""Half a mile along the first course of the flight."""


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


def detail(track: Track, kind: str) -> str:
    return next(fault.detail for fault in track.faults if fault.kind == kind)


def both(log: Log) -> tuple[Track, Track]:
    """Mended without a recorded speed, and with one."""
    return mend(log.raw()), mend(log.raw(speed=log.kt, track=log.track_deg))


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("noise_m", [0.0, 3.0])
@pytest.mark.parametrize(
    ("at_s", "east", "north"),
    [(600.0, 0.5, 0.0), (200.0, *ALONG), (430.0, 0.5, 0.0), (600.0, 10.0, 2.0), (600.0, 0.0, -1.0)],
    ids=["aside", "along", "in a turn", "far", "across"],
)
def test_a_slew_that_stays_splits_the_track(
    interval_s: float, noise_m: float, at_s: float, east: float, north: float
) -> None:
    log = built(interval_s=interval_s, noise_m=noise_m, offsets=[(at_s, np.inf, east, north)])
    for track in both(log):
        assert counts(track) == {"jump": 1}
        assert len(track) == len(log)
        place = log.at(at_s)
        assert track.breaks == (place,)
        assert track.gaps == ((place - 1, place),)
        assert "goes on elsewhere" in detail(track, "jump")
        near = np.abs(log.time_s - T0 - at_s) < 20.0
        assert np.abs(track.motion.groundspeed_kt[near] - KT).max() < 2.0 + 4.0 * noise_m


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
def test_a_slew_back_along_the_track_splits_it_too(interval_s: float) -> None:
    log = built(interval_s=interval_s, noise_m=2.0, offsets=[(200.0, np.inf, -ALONG[0], -ALONG[1])])
    for track in both(log):
        assert track.breaks == (log.at(200.0),)


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
@pytest.mark.parametrize("noise_m", [0.0, 3.0])
@pytest.mark.parametrize("seconds", [6.0, 30.0, 60.0])
@pytest.mark.parametrize("aside_nm", [0.15, 0.3, 2.0, 50.0])
def test_positions_beside_the_track_for_a_while_are_left_out(
    interval_s: float, noise_m: float, seconds: float, aside_nm: float
) -> None:
    log = built(interval_s=interval_s, noise_m=noise_m, offsets=[(600.0, seconds, aside_nm, 0.0)])
    away = (log.time_s >= T0 + 600.0 - 1e-6) & (log.time_s < T0 + 600.0 + seconds - 1e-6)
    for track in both(log):
        assert counts(track)["jump"] == away.sum()
        assert track.breaks == ()
        assert (track.samples.line - 2).tolist() == np.flatnonzero(~away).tolist()
        assert "left out" in detail(track, "jump")


def test_positions_beside_the_track_are_found_in_a_log_of_every_five_seconds() -> None:
    log = built(interval_s=5.0, offsets=[(600.0, 60.0, 2.0, 1.0)])
    for track in both(log):
        assert counts(track) == {"jump": 12, "gap": 1}


def test_however_long_they_are_beside_it_the_longer_rest_is_the_flight() -> None:
    log = built(offsets=[(600.0, 300.0, 20.0, 1.0)])
    for track in both(log):
        assert counts(track)["jump"] == 300
        assert len(track) == len(log) - 300


def test_a_far_place_where_the_position_stands_is_left_out_with_all_its_samples() -> None:
    """A receiver that is told it stands at an aerodrome far away, and is believed again after a minute and a half."""
    log = built()
    lat, lon = log.lat_deg.copy(), log.lon_deg.copy()
    lat[600:690], lon[600:690] = 47.5, -26.0
    track = mend(dataclasses.replace(log, lat_deg=lat, lon_deg=lon).raw())

    assert counts(track)["jump"] == 90
    assert track.breaks == ()
    assert not np.isin(track.samples.lat_deg, 47.5).any()


def test_an_approach_flown_again_from_a_saved_point_is_not_beside_the_track() -> None:
    """Twice put to a point ten miles back: what lies between two jumps is as much a flight as the rest."""
    log = built((Part(1200),), heading_deg=262.0)
    lat, lon = log.lat_deg.copy(), log.lon_deg.copy()
    for start in (400, 800):
        lat[start:], lon[start:] = log.lat_deg[: 1201 - start], log.lon_deg[: 1201 - start]
    track = mend(dataclasses.replace(log, lat_deg=lat, lon_deg=lon).raw())

    assert counts(track) == {"jump": 2}
    assert track.breaks == (400, 800)
    assert len(track) == len(log)


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
@pytest.mark.parametrize(("seconds", "kt"), [(8.0, 1800.0), (10.0, 400.0)])
def test_a_slew_that_takes_some_seconds_is_cut_out_with_what_it_passed(
    interval_s: float, seconds: float, kt: float
) -> None:
    log = built((Part(300), Part(seconds, kt), Part(300)), interval_s=interval_s)
    track = mend(log.raw())

    passed = round(seconds / interval_s) - 1
    assert counts(track)["jump"] == pytest.approx(passed + 1, abs=1 + 1.0 / interval_s)
    assert len(track.breaks) == 1
    assert np.abs(track.motion.groundspeed_kt - KT).max() < 1.0


def put_west(log: Log, west_nm: float, slewed_s: float, at_s: float = 300.0) -> Log:
    west = np.clip((log.time_s - T0 - at_s) / slewed_s, 0.0, 1.0) * west_nm
    return dataclasses.replace(log, lon_deg=log.lon_deg - west / 60.0 / np.cos(np.radians(46.0)))


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
@pytest.mark.parametrize(
    ("west_nm", "slewed_s"), [(0.6, 10.0), (0.8, 10.0), (1.2, 20.0), (1.6, 20.0), (1.0, 30.0), (1.0, 60.0)]
)
def test_a_slow_slew_to_one_side_splits_the_track_and_what_it_passed_was_not_flown(
    west_nm: float, slewed_s: float, interval_s: float
) -> None:
    """Less than 3 times as fast as the flight, but in another direction from one second to the next, and back."""
    log = built((Part(600),), interval_s=interval_s)
    slewed = put_west(log, west_nm, slewed_s)
    for track in (mend(slewed.raw()), mend(slewed.raw(speed=log.kt))):
        passed = len(log) - len(track)
        assert passed == pytest.approx(slewed_s / interval_s, abs=2)
        assert counts(track)["jump"] == passed + 1
        assert len(track.breaks) == 1
        assert track.breaks[0] in (log.at(300.0), log.at(300.0) + 1)
        assert np.abs(track.motion.groundspeed_kt - KT).max() < 1.0


@pytest.mark.parametrize("west_nm", [0.1, 0.3])
def test_a_drift_that_an_aircraft_could_fly_is_none(west_nm: float) -> None:
    track = mend(put_west(built((Part(600),)), west_nm, 30.0).raw())

    assert counts(track) == {}
    assert track.breaks == ()


def test_two_slews_aside_are_two_breaks() -> None:
    track = mend(put_west(put_west(built((Part(900),)), 1.0, 30.0), 1.0, 30.0, at_s=600.0).raw())

    assert len(track.breaks) == 2
    assert np.abs(track.motion.groundspeed_kt - KT).max() < 1.0


@pytest.mark.parametrize("dps", [15.0, -20.0])
def test_the_steepest_turn_is_no_slew(dps: float) -> None:
    log = built((Part(300), Part(120.0 / abs(dps), dps=dps), Part(300)))
    assert counts(mend(log.raw())) == {}


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
@pytest.mark.parametrize("turned_deg", [90.0, 180.0, -120.0])
def test_a_heading_put_elsewhere_splits_the_track(interval_s: float, turned_deg: float) -> None:
    before = built((Part(300),), interval_s=interval_s)
    after = built((Part(300),), interval_s=interval_s, heading_deg=30.0 + turned_deg)
    moved = dataclasses.replace(
        after,
        time_s=after.time_s + 300.0,
        lat_deg=after.lat_deg - after.lat_deg[0] + before.lat_deg[-1],
        lon_deg=after.lon_deg - after.lon_deg[0] + before.lon_deg[-1],
    )
    log = before.then(moved.only(slice(1, None)))
    track = mend(log.raw())

    assert counts(track) == {"jump": 1}
    assert abs(track.breaks[0] - len(before)) <= 1
    assert np.abs(track.motion.track_rate_dps).max() < 0.1


@pytest.mark.parametrize("interval_s", [0.1, 1.0])
@pytest.mark.parametrize("step_ft", [3000.0, -2500.0])
def test_an_altitude_put_elsewhere_splits_the_track_and_stays_as_recorded(interval_s: float, step_ft: float) -> None:
    log = built(interval_s=interval_s)
    altitude = log.altitude_ft + np.where(log.time_s >= T0 + 800.0 - 1e-6, step_ft, 0.0)
    track = mend(dataclasses.replace(log, altitude_ft=altitude).raw())

    assert counts(track) == {"jump": 1}
    assert f"{step_ft:+,.0f} ft" in detail(track, "jump")
    assert track.breaks == (log.at(800.0),)
    assert track.samples.altitudes_ft[AltitudeKind.INDICATED].tolist() == altitude.tolist()


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize(
    "parts",
    [
        (Part(300, 120.0), Part(36, 120.0, dps=20.0), Part(300, 120.0)),
        (Part(300, 65.0), Part(240, 65.0, dps=16.0), Part(300, 65.0)),
        (Part(200, 140.0), Part(300, 140.0, to_kt=450.0), Part(600, 450.0)),
        (Part(300, 0.0), Part(25, 0.0, to_kt=70.0), Part(300, 90.0)),
        (Part(200, 100.0), Part(60, dps=-3.0), Part(60, dps=3.0), Part(300, fpm=-1500.0)),
    ],
    ids=["steep turn", "thermal", "gathering speed", "take-off", "turns and a descent"],
)
def test_what_can_be_flown_is_no_jump(interval_s: float, parts: tuple[Part, ...]) -> None:
    for noise_m in (0.0, 3.0):
        for track in both(built(parts, interval_s=interval_s, noise_m=noise_m, start_ft=9000.0)):
            assert "jump" not in counts(track)
            assert track.breaks == ()


@pytest.mark.parametrize("step_ft", [1000.0, -1500.0])
def test_a_smaller_step_of_altitude_is_a_setting(step_ft: float) -> None:
    log = built()
    altitude = log.altitude_ft + np.where(log.time_s >= T0 + 800.0, step_ft, 0.0)
    assert counts(mend(dataclasses.replace(log, altitude_ft=altitude).raw())) == {}


def test_an_altitude_of_nothing_on_the_ground_is_no_reset() -> None:
    log = built()
    altitude = np.where(log.time_s < T0 + 300.0, 0.0, log.altitude_ft)
    assert "jump" not in counts(mend(dataclasses.replace(log, altitude_ft=altitude).raw()))


def test_an_altitude_source_that_errs_and_errs_again_resets_nothing() -> None:
    log = built()
    altitude = log.altitude_ft + np.where((np.arange(len(log)) // 100) % 2, 5000.0, 0.0)
    track = mend(dataclasses.replace(log, altitude_ft=altitude).raw())
    assert track.breaks == ()


def test_a_receiver_network_gives_positions_early_and_late() -> None:
    """Leaps of up to 7 s of flight, twenty of them: a network's, and no slew among them."""
    rng = np.random.default_rng(5)
    log = built((Part(4000, 180.0),))
    late = np.zeros(len(log))
    for start in rng.integers(50, 3900, 20):
        late[start : start + rng.integers(5, 30)] = rng.uniform(3.0, 7.0)
    place = np.interp(log.flown_s - late, log.flown_s, np.arange(len(log)))
    lat, lon = (np.interp(place, np.arange(len(log)), column) for column in (log.lat_deg, log.lon_deg))
    for track in both(dataclasses.replace(log, lat_deg=lat, lon_deg=lon)):
        assert track.breaks == ()
        assert len(track) == len(log)


def test_a_slew_is_found_among_the_leaps_of_a_network() -> None:
    log = built((Part(4000, 100.0),))
    lat, lon = log.lat_deg.copy(), log.lon_deg.copy()
    for start in range(100, 3900, 200):
        lat[start : start + 10], lon[start : start + 10] = log.lat_deg[start - 5], log.lon_deg[start - 5]
    lon[2050:] += 2.0 / 60.0 / np.cos(np.radians(46.0))
    track = mend(dataclasses.replace(log, lat_deg=lat, lon_deg=lon).raw())

    assert track.breaks == (2050,)


def test_a_log_that_leaps_all_the_time_has_no_parts() -> None:
    log = built((Part(3040),))
    east = 2.0 * np.cumsum(np.arange(len(log)) % 50 == 49) / 60.0 / np.cos(np.radians(46.0))
    track = mend(dataclasses.replace(log, lon_deg=log.lon_deg + east).raw())

    assert counts(track) == {"jump": 60}
    assert track.breaks == ()
    assert len(track.gaps) == 60
