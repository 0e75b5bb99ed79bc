"""Clocks that were set, that stood, and that went back with the flight: nothing is mixed, what was moved is said."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest

from legwise.model.arrays import FloatArray
from legwise.model.track import RawTrack, Track
from legwise.tracks import mend
from tracks.built_flight import KT, T0, Log, Part, built

RATES = [0.1, 1.0, 5.0]
FINAL = 262.0


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


def detail(track: Track, kind: str) -> str:
    return next(fault.detail for fault in track.faults if fault.kind == kind)


def with_times(log: Log, time_s: FloatArray) -> Log:
    return dataclasses.replace(log, time_s=time_s)


def order(track: Track) -> list[int]:
    """The records of the file, as the track has them."""
    return [int(line) - 2 for line in track.samples.line]


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("by_s", [120.0, 3600.0, 86_400.0])
def test_a_clock_set_back_in_flight_was_wrong_before(interval_s: float, by_s: float) -> None:
    log = built(interval_s=interval_s, noise_m=2.0)
    place = log.at(700.0)
    track = mend(with_times(log, log.time_s + np.where(np.arange(len(log)) < place, by_s, 0.0)).raw())

    assert counts(track) == {"clock-step": 1}
    told = detail(track, "clock-step")
    assert f"back by {by_s:.0f} s" in told
    assert f"(line {place + 2})" in told
    assert f"{by_s:.0f} s are taken off the times of the {place} records before it" in told
    assert order(track) == list(range(len(log)))
    assert track.samples.time_s == pytest.approx(log.time_s, abs=1e-6)
    assert (track.breaks, track.gaps) == ((), ())
    assert (track.first_time_s, track.last_time_s) == pytest.approx((T0, log.time_s[-1]))


@pytest.mark.parametrize("interval_s", RATES)
def test_a_day_wrong_in_the_middle_is_put_right(interval_s: float) -> None:
    log = built(interval_s=interval_s)
    wrong = slice(log.at(500.0), log.at(800.0))
    time_s = log.time_s.copy()
    time_s[wrong] += 86_400.0
    track = mend(with_times(log, time_s).raw())

    assert counts(track) == {"clock-step": 1}
    assert f"the times of the {wrong.stop - wrong.start} records before it" in detail(track, "clock-step")
    assert order(track) == list(range(len(log)))
    assert track.samples.time_s == pytest.approx(log.time_s, abs=1e-6)


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("by_s", [300.0, 1800.0, 3600.0, 7200.0, 20_700.0, 39_600.0, 86_400.0])
def test_a_clock_set_on_keeps_its_times_and_parts_no_flight(interval_s: float, by_s: float) -> None:
    log = built(interval_s=interval_s, noise_m=2.0)
    time_s = log.time_s + np.where(log.time_s >= T0 + 700.0 - 1e-6, by_s, 0.0)
    track = mend(with_times(log, time_s).raw())

    assert counts(track) == {"gap": 1, "clock-step": 1}
    assert "the clock went on" in detail(track, "clock-step")
    assert ("another time zone or summer time" in detail(track, "clock-step")) is (by_s >= 1800.0)
    assert track.samples.time_s.tolist() == time_s.tolist()
    assert len(track.flights) == 1


def test_a_flight_an_hour_later_from_elsewhere_is_another() -> None:
    log = built((Part(300, 0.0), Part(60, 0.0, to_kt=90.0), Part(600), Part(60, 90.0, to_kt=0.0), Part(60, 0.0)))
    later = dataclasses.replace(log, time_s=log.time_s + 3600.0 + 1080.0)
    track = mend(log.then(later).raw())

    assert len(track.flights) == 2
    assert "clock-step" not in counts(track)


@pytest.mark.parametrize("by_s", [-1.0, 1.0])
def test_a_second_more_or_less_is_no_jump(by_s: float) -> None:
    log = built()
    track = mend(with_times(log, log.time_s + np.where(log.time_s >= T0 + 700.0, by_s, 0.0)).raw())

    assert counts(track) == ({"repeated-time": 1} if by_s < 0 else {})
    assert track.breaks == ()


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("standing_nm", [0.0, 0.02])
def test_a_receiver_that_is_told_the_time_on_the_apron(interval_s: float, standing_nm: float) -> None:
    log = built((Part(200, 0.0), Part(60, 0.0, to_kt=90.0), Part(600)), interval_s=interval_s)
    place = log.at(60.0)
    time_s = log.time_s + np.where(np.arange(len(log)) < place, 180.0, 0.0)
    lat = log.lat_deg + np.where(np.arange(len(log)) < place, standing_nm / 60.0, 0.0)
    track = mend(dataclasses.replace(log, time_s=time_s, lat_deg=lat).raw())

    assert counts(track).get("clock-step") == 1
    assert order(track) == list(range(len(log)))
    assert track.samples.time_s == pytest.approx(log.time_s, abs=1e-6)


def attempts(interval_s: float, aside_nm: float = 0.3) -> tuple[Log, int]:
    """An approach of ten minutes, and the same again from its beginning, its clock gone back with it."""
    first = built((Part(600),), interval_s=interval_s, heading_deg=FINAL)
    again = built((Part(800),), interval_s=interval_s, heading_deg=FINAL)
    again = dataclasses.replace(again, lat_deg=again.lat_deg + aside_nm / 60.0, time_s=again.time_s + 40.0)
    return first.then(again), len(first)


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("aside_nm", [0.05, 1.0])
def test_an_approach_repeated_with_its_clock_follows_in_the_order_of_the_file(
    interval_s: float, aside_nm: float
) -> None:
    log, place = attempts(interval_s, aside_nm)
    track = mend(log.raw())

    # Back by 560 s; moved on by whole seconds, so that it begins at least an interval after the first.
    added = float(np.ceil(560.0 + interval_s))
    assert counts(track) == {"clock-step": 1}
    told = detail(track, "clock-step")
    assert f"the clock was set back by 560 s at 2026-04-18T13:10:00Z (line {place + 2})" in told
    assert f"from that line on {added:.0f} s are added" in told
    assert order(track) == list(range(len(log)))
    assert track.samples.time_s[:place] == pytest.approx(log.time_s[:place], abs=1e-6)
    assert track.samples.time_s[place:] == pytest.approx(log.time_s[place:] + added, abs=1e-6)
    assert track.breaks == (place,)
    assert (place - 1, place) in track.gaps
    assert np.abs(track.motion.groundspeed_kt - KT).max() < 1.0


def test_three_attempts_are_three_parts() -> None:
    log, first = attempts(1.0)
    third = dataclasses.replace(log.only(slice(first, None)), lat_deg=log.lat_deg[first:] + 0.02)
    track = mend(log.then(third).raw())

    assert counts(track) == {"clock-step": 2}
    assert track.breaks == (first, len(log))
    assert order(track) == list(range(len(log) + len(third)))
    assert np.all(np.diff(track.samples.time_s) > 0)


@pytest.mark.parametrize("interval_s", RATES)
def test_an_approach_repeated_while_the_clock_goes_on_is_a_jump(interval_s: float) -> None:
    log, place = attempts(interval_s)
    track = mend(with_times(log, T0 + np.arange(float(len(log))) * interval_s).raw())

    assert counts(track) == {"jump": 1}
    assert track.breaks == (place,)


def twice(log: Log) -> Log:
    return log.then(log)


def two_receivers(log: Log) -> Log:
    other = built(interval_s=round(float(log.time_s[1] - log.time_s[0]), 1), noise_m=3.0)
    return log.then(with_times(other, log.time_s))


def halves_swapped(log: Log) -> Log:
    middle = len(log) // 2
    return log.only(np.concatenate([np.arange(middle, len(log)), np.arange(middle)]))


def backwards(log: Log) -> Log:
    return log.only(np.arange(len(log))[::-1])


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("muddled", [twice, two_receivers, halves_swapped, backwards])
def test_one_flight_out_of_order_is_put_in_order(interval_s: float, muddled: Callable[[Log], Log]) -> None:
    log = built(interval_s=interval_s)
    track = mend(muddled(log).raw())

    assert set(counts(track)) <= {"out-of-order", "repeated-time"}
    assert track.samples.time_s.tolist() == log.time_s.tolist()
    assert (track.breaks, track.gaps) == ((), ())


@pytest.mark.parametrize("interval_s", RATES)
@pytest.mark.parametrize("goes_on", [True, False])
def test_a_clock_that_stood_while_the_positions_ran_on(interval_s: float, goes_on: bool) -> None:
    log = built(interval_s=interval_s)
    first, stop = log.at(700.0), log.at(740.0)
    time_s = log.time_s.copy()
    time_s[first:stop] = time_s[first]
    if goes_on:
        time_s[stop:] -= time_s[stop] - time_s[first] - interval_s
    track = mend(with_times(log, time_s).raw())

    repeats = stop - first - 1
    assert counts(track)["repeated-time"] == repeats
    assert "jump" not in counts(track)
    assert track.gaps == ((first, first + 1),)
    assert np.nanmax(np.abs(track.motion.groundspeed_kt - KT)) < 1.5
    told = detail(track, "repeated-time")
    if goes_on:
        # The aircraft flew on unseen, and is not elsewhere: the leg goes on.
        assert f"the clock stood for {repeats} records from 2026-04-18T13:11:40Z (line {first + 2})" in told
        assert track.breaks == ()
    else:
        assert "stood" not in told


def test_whole_seconds_ten_times_a_second_are_no_clock_that_stood() -> None:
    log = built(interval_s=0.1)
    track = mend(with_times(log, np.floor(log.time_s + 1e-6)).raw())

    assert counts(track) == {"repeated-time": len(log) - 1401}
    assert "stood" not in detail(track, "repeated-time")
    assert np.abs(track.motion.groundspeed_kt - KT).max() < 1.0


@pytest.mark.parametrize("interval_s", [1.0, 5.0])
def test_a_clock_set_on_that_a_format_of_its_own_gives(interval_s: float, read: Callable[..., RawTrack]) -> None:
    """The same in a GPX file: what is done to a clock does not hang on the format."""
    log = built(interval_s=interval_s)
    time_s = np.round(log.time_s + np.where(log.time_s >= T0 + 700.0, 3600.0, 0.0)).astype("datetime64[s]")
    points = "".join(
        f'<trkpt lat="{lat:.8f}" lon="{lon:.8f}"><time>{when}Z</time></trkpt>'
        for lat, lon, when in zip(log.lat_deg, log.lon_deg, time_s.astype(str), strict=True)
    )
    raw = read(f'<gpx version="1.1" creator="x"><trk><trkseg>{points}</trkseg></trk></gpx>')
    track = mend(raw)

    assert counts(track) == {"gap": 1, "clock-step": 1}
    assert len(track.flights) == 1
