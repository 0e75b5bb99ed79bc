from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.measure import judge_altitude
from legwise.model.arrays import FloatArray
from legwise.model.lesson import Lesson
from legwise.model.track import AltitudeKind, Channel, Track

TrackMaker = Callable[..., Track]


def vertical_speed(make_track: TrackMaker, altitude_ft: FloatArray | list[float], **more: object) -> FloatArray:
    count = len(altitude_ft)
    track = make_track(
        np.full(count, 46.0),
        np.linspace(-28.0, -27.9, count),
        altitudes_ft={AltitudeKind.INDICATED: altitude_ft},
        **more,
    )
    return judge_altitude(track, Lesson()).vertical_speed_fpm


def test_a_steady_climb(make_track: TrackMaker) -> None:
    seconds = np.arange(60.0)

    got = vertical_speed(make_track, 1000.0 + seconds * 500.0 / 60.0)

    assert got == pytest.approx(np.full(60, 500.0), abs=0.01)


def test_uneven_times_are_taken_as_they_are(make_track: TrackMaker) -> None:
    times = np.cumsum(np.tile([1.0, 0.2, 3.0, 0.5], 20))

    got = vertical_speed(make_track, 3000.0 - times * 10.0, time_s=times)

    assert got == pytest.approx(np.full(80, -600.0), abs=0.01)


def test_twelve_hours_at_ten_a_second_lose_nothing(make_track: TrackMaker) -> None:
    times = np.arange(432_000) * 0.1
    altitude = 4000.0 + 300.0 * np.sin(times / 60.0)

    got = vertical_speed(make_track, altitude, time_s=times, step_s=0.1)

    # The slope of a line over 8 s of a sine differs from its rate by (4/60)^2 / 10; at the ends the fit is one-sided.
    error = np.abs(got - 300.0 * np.cos(times / 60.0))
    assert float(error[50:-50].max()) < 0.5
    assert float(error.max()) < 15.0


def test_nothing_is_claimed_across_a_gap(make_track: TrackMaker) -> None:
    times = np.concatenate([np.arange(10.0), [13.0], np.arange(60.0, 70.0)])
    altitude = np.where(times < 20.0, 1000.0, 5000.0)

    got = vertical_speed(make_track, altitude, time_s=times, gaps=((9, 10), (10, 11)))

    assert got[:10] == pytest.approx(np.zeros(10), abs=1e-6)
    assert np.isnan(got[10])
    assert got[11:] == pytest.approx(np.zeros(10), abs=1e-6)


def test_sparse_samples_reach_their_neighbours(make_track: TrackMaker) -> None:
    times = np.arange(20.0) * 10.0

    got = vertical_speed(make_track, times * 5.0, time_s=times, step_s=10.0)

    assert got == pytest.approx(np.full(20, 300.0), abs=0.01)


def test_missing_altitudes_are_left_out(make_track: TrackMaker) -> None:
    altitude = 1000.0 + np.arange(40.0) * 5.0
    altitude[5] = np.nan
    altitude[20:32] = np.nan

    got = vertical_speed(make_track, altitude)

    assert got[5] == pytest.approx(300.0, abs=0.01)
    assert np.isnan(got[25])


def test_what_was_recorded_is_kept(make_track: TrackMaker) -> None:
    recorded = [-700.0] * 10 + [float("nan")] * 10

    got = vertical_speed(make_track, np.arange(20.0) * 5.0, channels={Channel.VERTICAL_SPEED_FPM: recorded})

    assert got[:10] == pytest.approx(np.full(10, -700.0))
    assert got[10:] == pytest.approx(np.full(10, 300.0), abs=0.01)


def test_a_log_with_weeks_between_its_flights_keeps_its_rates(make_track: TrackMaker) -> None:
    flight = np.arange(0.0, 3600.0, 1.0)
    times = np.concatenate([flight + week * 604_800.0 for week in range(4)])
    altitude = 2000.0 + np.tile(flight, 4) * 2.0

    got = vertical_speed(make_track, altitude, time_s=times)

    assert float(np.abs(got - 120.0).max()) < 0.5
