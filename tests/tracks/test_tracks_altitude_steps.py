"""Steps of 25 and 100 ft are a transponder's, as the recordings' README, 14 CFR 91.215 and 91.217 say."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from legwise.model.track import AltitudeKind, Track
from legwise.tracks import mend, read_raw_track
from legwise.tracks.altitude.steps import step_ft
from tracks.altitude_logs import FEET_PER_METRE, climb, log_with, rounded

RECORDINGS = sorted((Path(__file__).parents[1] / "data" / "adsb").glob("*.csv.gz"))
Mended = Callable[..., Track]


def kinds(track: Track) -> list[AltitudeKind]:
    return list(track.samples.altitudes_ft)


def said(track: Track) -> str:
    return " ".join(track.source.notes)


@pytest.mark.parametrize("path", RECORDINGS, ids=lambda path: path.name.removesuffix(".csv.gz"))
def test_the_recordings_of_transponders_are_pressure_altitude(path: Path) -> None:
    raw = read_raw_track(path)
    track = mend(raw)

    assert list(raw.samples.altitudes_ft) == [AltitudeKind.UNKNOWN]
    assert kinds(track) == [AltitudeKind.PRESSURE]
    assert track.altitude.plain is AltitudeKind.PRESSURE
    assert "steps of 25 ft, as transponders encode pressure altitude" in said(track)


def test_there_are_recordings() -> None:
    assert len(RECORDINGS) == 7


def test_steps_of_25_ft_are_pressure_altitude(mended: Mended) -> None:
    track = mended(log_with({"Altitude ft": rounded(climb(), 25.0)}))

    assert kinds(track) == [AltitudeKind.PRESSURE]
    assert track.altitude.is_barometric
    assert track.samples.altitudes_ft[AltitudeKind.PRESSURE].max() == rounded(climb(), 25.0).max()


@pytest.mark.parametrize("decimals", [0, 1, 2, 4])
def test_steps_of_25_ft_are_known_in_metres_too(decimals: int, mended: Mended) -> None:
    metres = rounded(climb(), 25.0) / FEET_PER_METRE

    assert kinds(mended(log_with({"Altitude m": metres}, decimals=decimals))) == [AltitudeKind.PRESSURE]


def test_steps_of_100_ft_are_pressure_altitude_in_other_words(mended: Mended) -> None:
    track = mended(log_with({"Altitude ft": rounded(climb(), 100.0)}))

    assert kinds(track) == [AltitudeKind.PRESSURE]
    assert "steps of 100 ft" in said(track)


@pytest.mark.parametrize("step", [0.1, 1.0, 5.0, 10.0, 20.0, 50.0, FEET_PER_METRE, 10.0 * FEET_PER_METRE, 200.0, 500.0])
def test_other_steps_tell_nothing(step: float, mended: Mended) -> None:
    track = mended(log_with({"Altitude ft": rounded(climb(), step)}))

    assert kinds(track) == [AltitudeKind.UNKNOWN]
    assert "the log does not say; there is no other altitude to compare" in said(track)


def test_values_between_the_steps_by_a_receivers_smoothing_hide_nothing(mended: Mended) -> None:
    values = rounded(climb(), 25.0)
    values[::4] = np.round((values[::4] + np.roll(values, 1)[::4]) / 2.0)

    assert kinds(mended(log_with({"Altitude ft": values}))) == [AltitudeKind.PRESSURE]


def test_values_that_lie_mostly_between_the_steps_tell_nothing(mended: Mended) -> None:
    values = rounded(climb(), 25.0)
    between = np.arange(len(values)) % 10 < 7
    values[between] = rounded(climb(), 1.0)[between]

    assert kinds(mended(log_with({"Altitude ft": values}))) == [AltitudeKind.UNKNOWN]


def test_a_flight_that_is_level_at_3000_ft_tells_nothing(mended: Mended) -> None:
    level = np.full(1_800, 3_000.0)
    with_a_little = level + rounded(climb(300.0, foot_ft=0.0), 25.0)

    for values in (level, with_a_little):
        assert kinds(mended(log_with({"Altitude ft": values}))) == [AltitudeKind.UNKNOWN]


@pytest.mark.parametrize(("fpm", "step_s"), [(1_500.0, 1.0), (500.0, 3.0), (300.0, 5.0)])
def test_a_climb_worked_out_with_25_ft_for_each_record_tells_nothing(fpm: float, step_s: float, mended: Mended) -> None:
    climbing = np.arange(0.0, 5_000.0, fpm * step_s / 60.0)
    values = np.concatenate([climbing, np.full(300, 5_000.0), climbing[::-1]])

    assert kinds(mended(log_with({"Altitude ft": values}, step_s=step_s))) == [AltitudeKind.UNKNOWN]


def test_a_table_by_hand_in_hundreds_tells_nothing(mended: Mended) -> None:
    by_hand = np.array([100, 600, 1200, 1800, 2500, 3000, 3000, 3100, 3000, 4000, 5000, 5000, 4200, 3500, 2700, 1900,
                        1300, 700, 200, 100], dtype=float)  # fmt: skip

    assert kinds(mended(log_with({"Altitude ft": by_hand}, step_s=60.0))) == [AltitudeKind.UNKNOWN]


@pytest.mark.parametrize("heading", ["Altitude indicated ft", "Altitude GPS MSL ft"])
def test_what_the_heading_says_stands(heading: str, mended: Mended) -> None:
    track = mended(log_with({heading: rounded(climb(), 25.0)}))

    assert AltitudeKind.PRESSURE not in kinds(track)
    assert track.altitude.plain is None


def test_what_columns_say_stands(log: Callable[..., Path]) -> None:
    path = log(log_with({"Alt": rounded(climb(), 25.0)}))
    said_by_hand = {"altitude_indicated_ft": "Alt"}

    assert kinds(mend(read_raw_track(path, columns=said_by_hand))) == [AltitudeKind.INDICATED]


@settings(deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 10_000),
    top_ft=st.floats(2_500.0, 12_000.0),
    foot_ft=st.floats(-500.0, 1_000.0),
    seconds=st.integers(900, 4_000),
    every=st.integers(1, 5),
)
def test_any_flight_in_steps_of_25_ft_is_told_from_the_same_flight_in_feet(
    seed: int, top_ft: float, foot_ft: float, seconds: int, every: int
) -> None:
    # At just one or more steps a record a climb can't be told from one that was worked out. It takes 0.3 of the time.
    steps = (top_ft - foot_ft) / (0.3 * seconds) * every / 25.0
    assume(steps < 0.8 or abs(steps - round(steps)) > 0.2)
    flown = climb(top_ft, foot_ft=foot_ft, seconds=seconds, seed=seed)[::every]

    assert step_ft(rounded(flown, 25.0)) == 25.0
    for step in (1.0, 5.0, 10.0, FEET_PER_METRE):
        assert step_ft(rounded(flown, step)) is None


@settings(deadline=None, derandomize=True)
@given(st.lists(st.one_of(st.floats(-2_000.0, 100_000.0), st.just(float("nan"))), max_size=200))
def test_any_values_are_told_or_left(values: list[float]) -> None:
    assert step_ft(np.array(values, dtype=np.float64)) in (None, 25.0, 100.0)
