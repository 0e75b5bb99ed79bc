"""The compass check on the runway: rolls on runway 09 of the made approach, variation by pygeomag (WMM2025)."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from pygeomag import GeoMag

from legwise.measure import judge_altitude, measure
from legwise.model.alignment import Alignment
from legwise.model.arrays import FloatArray, readonly_floats
from legwise.model.deviations import Deviations
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan, PlannedApproach
from legwise.model.track import Channel, Motion, Track

VARIATION = float(GeoMag(base_year=2025).calculate(glat=40.0, glon=-100.0, alt=0, time=2026.3).d)
# Beyond the runway's end the roll goes on for nothing: 20 s from 12 to 62 kt, 2.5 kt more each second.
SPEED = np.concatenate([[0.0, 5.0], np.arange(12.0, 62.0, 2.5)])
SECONDS = len(SPEED)
AWAY = 30
"""Samples of the flight between two rolls, far from the runway, at 100 kt."""

Measured = Callable[..., Deviations]


def roll(*, landing: bool, aside_m: float = 0.0) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Latitude, longitude and groundspeed along the runway from its threshold, faster and faster or slower."""
    speed = SPEED[::-1] if landing else SPEED
    along_m = 60.0 + np.concatenate([[0.0], np.cumsum(speed[:-1])]) * 1852.0 / 3600.0
    places = []
    for along in along_m:
        foot = Geodesic.WGS84.Direct(40.0, -100.0, 90.0, along)
        place = Geodesic.WGS84.Direct(foot["lat2"], foot["lon2"], foot["azi2"] + 90.0, aside_m)
        places.append((place["lat2"], place["lon2"]))
    lat, lon = np.array(places).T
    return lat, lon, speed


@pytest.fixture
def measured(
    make_track: Callable[..., Track],
    make_plan: Callable[..., Plan],
    make_approach: Callable[..., PlannedApproach],
    make_alignment: Callable[..., Alignment],
) -> Measured:
    """A take-off, a flight on assigned heading 090 recorded as 090, and a landing; each roll with its own bias."""

    def fly(take_off: float | None, landing: float | None, *, runway_deg: float = 90.0, **changes: float) -> Deviations:
        pieces: list[tuple[FloatArray, FloatArray, FloatArray, FloatArray]] = []
        for bias, is_landing in ((take_off, False), (None, False), (landing, True)):
            if bias is not None:
                lat, lon, speed = roll(landing=is_landing, **changes)
                pieces.append((lat, lon, speed, np.full(SECONDS, 90.0 - VARIATION + bias)))
            elif not pieces or len(pieces[-1][0]) != AWAY:
                pieces.append(
                    (np.full(AWAY, 41.0), np.linspace(-100.0, -99.997, AWAY), np.full(AWAY, 100.0), np.full(AWAY, 90.0))
                )
        lat, lon, speed, heading = (np.concatenate(column) for column in zip(*pieces, strict=True))
        track = make_track(lat, lon, channels={Channel.HEADING_DEG_MAG: heading}, track_deg_true=runway_deg)
        motion = Motion(
            groundspeed_kt=readonly_floats(speed),
            track_deg_true=track.motion.track_deg_true,
            track_rate_dps=track.motion.track_rate_dps,
        )
        track = dataclasses.replace(track, motion=motion)
        owed = make_alignment(len(track), [], heading_owed_deg_mag=readonly_floats(np.full(len(track), 90.0)))
        lesson = Lesson()
        return measure(track, make_plan(make_approach()), lesson, owed, judge_altitude(track, lesson))

    return fly


def in_flight(got: Deviations) -> float:
    """The heading error of the flight between the rolls."""
    return float(np.median(got.heading_error_deg[SECONDS : SECONDS + AWAY]))


@pytest.mark.parametrize("bias", [3.0, -2.5, 12.0])
def test_two_rolls_that_agree_correct_the_heading_and_say_so(bias: float, measured: Measured) -> None:
    got = measured(bias, bias + 0.4)

    assert in_flight(got) == pytest.approx(-(bias + 0.2), abs=0.05)
    assert any("corrected" in note and f"{abs(bias + 0.2):.1f}°" in note for note in got.notes)


@pytest.mark.parametrize("bias", [0.0, 0.8, -0.9])
def test_within_1_degree_nothing_is_said(bias: float, measured: Measured) -> None:
    got = measured(bias, bias)

    assert in_flight(got) == pytest.approx(0.0)
    assert not any("heading" in note for note in got.notes)


def test_one_roll_is_told_and_corrects_nothing(measured: Measured) -> None:
    got = measured(3.0, None)

    assert in_flight(got) == pytest.approx(0.0)
    assert any("seen once, so nothing is corrected" in note for note in got.notes)


@pytest.mark.parametrize(
    ("biases", "changes"),
    [
        ((3.0, 5.0), {}),
        ((3.0, 3.0), {"aside_m": 200.0}),
        ((3.0, 3.0), {"runway_deg": 94.0}),
        ((3.0, 3.0), {"runway_deg": 97.0}),
    ],
    ids=["rolls that differ", "a taxiway beside", "an offset course", "not along it"],
)
def test_what_is_not_certain_corrects_nothing(
    biases: tuple[float, float], changes: dict[str, float], measured: Measured
) -> None:
    assert in_flight(measured(*biases, **changes)) == pytest.approx(0.0)
