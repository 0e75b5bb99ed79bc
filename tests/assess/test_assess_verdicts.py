"""Verdict, doubt, time outside, excursions and correction, on series constructed to have them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from legwise.assess.judging import Rule, Series, judge
from legwise.model.alignment import GUIDANCE_CODE, PHASE_CODE, Guidance, Phase
from legwise.model.results import Verdict

Build = Callable[..., Any]
SECOND = 1.0


def series(
    values: Any, *, doubt: float = 0.0, low: float = -100.0, high: float = 100.0, interval_s: float = 1.0
) -> Series:
    value = np.asarray(values, dtype=np.float64)
    return Series(
        index=np.arange(value.size),
        time_s=np.asarray(np.arange(value.size) * interval_s, dtype=np.float64),
        value=value,
        doubt=np.full(value.size, doubt),
        low=np.full(value.size, low),
        high=np.full(value.size, high),
        part=np.zeros(value.size, dtype=np.int64),
    )


def verdict(values: Any, doubt: float, *, interval_s: float = 1.0) -> Verdict:
    return judge(series(values, doubt=doubt, interval_s=interval_s), Rule(), interval_s).verdict


@pytest.mark.parametrize(
    ("height", "doubt", "expected"),
    [
        (79.0, 20.0, Verdict.WITHIN),
        (80.0, 20.0, Verdict.WITHIN),
        (81.0, 20.0, Verdict.UNDECIDED),
        (119.0, 20.0, Verdict.UNDECIDED),
        (120.0, 20.0, Verdict.UNDECIDED),
        (121.0, 20.0, Verdict.OUTSIDE),
        (-121.0, 20.0, Verdict.OUTSIDE),
        (-81.0, 20.0, Verdict.UNDECIDED),
        # A steady offset inside the doubt of GNSS height can't be decided.
        (60.0, 75.0, Verdict.UNDECIDED),
    ],
)
def test_the_doubt_decides_near_the_limit(height: float, doubt: float, expected: Verdict) -> None:
    assert verdict(np.full(60, height), doubt) is expected


def test_one_noisy_sample_is_not_an_excursion() -> None:
    values = np.zeros(60)
    values[30] = 500.0
    judged = judge(series(values, doubt=20.0), Rule(), 1.0)
    assert judged.verdict is Verdict.UNDECIDED
    assert judged.excursions == 0
    assert judged.worst == 500.0


def test_a_finding_says_why_it_is_undecided(flight: Build) -> None:
    spike = np.where(np.arange(200) == 100, 5500.0, 5000.0)
    noisy = flight(altitude_ft=spike, assigned_ft=5000.0, doubt_ft=20.0).finding("altitude")
    close = flight(altitude_ft=5090.0, assigned_ft=5000.0, doubt_ft=20.0).finding("altitude")
    assert "too short a time" in noisy.reason
    assert "knows it to 20 ft" in close.reason


def test_two_samples_and_two_seconds_are() -> None:
    values = np.zeros(60)
    values[30:32] = 500.0
    assert verdict(values, 20.0) is Verdict.OUTSIDE
    fast = np.zeros(600)
    fast[300:310] = 500.0
    assert verdict(fast, 20.0, interval_s=0.1) is Verdict.UNDECIDED
    fast[300:325] = 500.0
    assert verdict(fast, 20.0, interval_s=0.1) is Verdict.OUTSIDE


def test_with_samples_far_apart_one_is_enough() -> None:
    values = np.zeros(60)
    values[30] = 500.0
    assert verdict(values, 20.0, interval_s=5.0) is Verdict.OUTSIDE


def test_time_outside_counts_the_limit_without_the_doubt() -> None:
    # Triangles of 1 ft/s from 60 ft: each is above 100 ft for 2 × 30 s when its peak is 130 ft.
    up = np.concatenate([np.arange(60.0, 130.0), np.arange(130.0, 60.0, -1.0)])
    judged = judge(series(np.concatenate([up, np.full(20, 60.0), -up]), doubt=5.0), Rule(), 1.0)
    assert judged.outside_s == pytest.approx(2 * 60, abs=2 * SECOND)
    assert judged.excursions == 2
    assert (judged.verdict, judged.limit) == (Verdict.OUTSIDE, 100.0)


def test_the_time_outside_does_not_depend_on_the_rate() -> None:
    for interval_s in (0.1, 1.0, 4.0):
        at_s = np.arange(0.0, 200.0, interval_s)
        judged = judge(
            series(np.where((at_s >= 50) & (at_s < 90), 150.0, 0.0), interval_s=interval_s), Rule(), interval_s
        )
        assert judged.outside_s == pytest.approx(40.0, abs=interval_s)


def test_excursions_nearer_than_three_seconds_are_one() -> None:
    values = np.zeros(100)
    values[20:30] = values[32:40] = 150.0
    values[60:70] = 150.0
    assert judge(series(values), Rule(), 1.0).excursions == 2


def test_correction_runs_from_the_limit_to_the_first_movement_back() -> None:
    # 2 ft/s past 100 ft for 25 s, 40 s held, then back.
    values = np.concatenate([np.arange(0.0, 150.0, 2.0), np.full(40, 150.0), np.arange(150.0, 0.0, -2.0)])
    judged = judge(series(values), Rule(), 1.0)
    assert judged.correcting_after_s == pytest.approx(25 + 40, abs=2 * SECOND)


def test_correction_is_seen_through_noise() -> None:
    noise = np.random.default_rng(7).normal(0.0, 0.4, 200)
    values = np.interp(np.arange(200), [0, 50, 75, 115, 190], [0, 100, 150, 150, 0]) + noise
    assert judge(series(values), Rule(), 1.0).correcting_after_s == pytest.approx(65.0, abs=6.0)


def test_never_corrected_is_none() -> None:
    assert judge(series(np.arange(0.0, 200.0, 2.0)), Rule(), 1.0).correcting_after_s is None
    assert judge(series(np.zeros(50)), Rule(), 1.0).correcting_after_s is None


def test_nothing_is_counted_across_a_gap(flight: Build) -> None:
    # Out of bounds on both sides of a gap of ten minutes: 20 s in two excursions, not ten minutes in one.
    times = np.concatenate([np.arange(100.0), np.arange(700.0, 800.0)])
    values = np.full(200, 5000.0)
    values[90:110] = 5150.0
    found = flight(times_s=times, gaps=((99, 100),), altitude_ft=values, assigned_ft=5000.0).finding("altitude")
    assert found.outside_s == pytest.approx(20.0, abs=2 * SECOND)
    assert found.excursions == 2


def test_what_was_not_recorded_is_never_a_pass(flight: Build) -> None:
    found = flight(assigned_ft=5000.0, altitude_kind=None).finding("altitude")
    assert found.verdict is Verdict.NOT_RECORDED
    assert (found.worst, found.at_worst) == (None, None)
    assert (found.from_.isoformat(), found.to.isoformat()) == ("2026-04-18T13:00:00+00:00", "2026-04-18T13:03:19+00:00")
    assert found.limit == 100.0
    assert "No altitude was recorded" in found.reason


def test_a_heading_that_was_not_recorded_makes_one_finding(flight: Build) -> None:
    owed = np.full(200, np.nan)
    owed[20:60], owed[80:140] = 250.0, 280.0
    found = flight(guidance=GUIDANCE_CODE[Guidance.VECTORS], heading_owed_deg_mag=owed).finding("heading")
    assert found.verdict is Verdict.NOT_RECORDED
    assert (found.to - found.from_).total_seconds() == 119


def test_a_heading_is_judged_once_the_turn_is_done(flight: Build) -> None:
    # A standard-rate turn through 90°, then 3° off: only the 3° count.
    error = np.full(200, 3.0)
    error[:30] = np.linspace(-90.0, 0.0, 30)
    found = flight(
        guidance=GUIDANCE_CODE[Guidance.VECTORS], heading_owed_deg_mag=250.0, heading_error_deg=error
    ).finding("heading")
    assert found.verdict is Verdict.WITHIN
    assert abs(found.worst) <= 10.0


def test_a_heading_never_turned_to_is_outside(flight: Build) -> None:
    found = flight(
        guidance=GUIDANCE_CODE[Guidance.VECTORS], heading_owed_deg_mag=250.0, heading_error_deg=-60.0
    ).finding("heading")
    assert found.verdict is Verdict.OUTSIDE
    # 60° at 3°/s and 15 s to react are not counted.
    assert found.outside_s == pytest.approx(200 - 35, abs=2 * SECOND)


def test_no_charge_stands_on_an_instruction_that_is_in_question(flight: Build, said: Callable[..., Any]) -> None:
    asked = said(0, altitude_ft=4000, doubt="Was 5,000 ft said?")
    parts = flight(altitude_ft=5000.0, assigned_ft=4000.0, instructions=(asked,))
    found = parts.finding("altitude")
    assert found.verdict is Verdict.UNDECIDED
    assert "Was 5,000 ft said?" in found.reason
    sure = flight(altitude_ft=5000.0, assigned_ft=4000.0, instructions=(said(0, altitude_ft=4000),))
    assert sure.finding("altitude").verdict is Verdict.OUTSIDE


def test_an_inferred_heading_is_not_held_against_the_flight_it_was_read_from(flight: Build, said: Build) -> None:
    parts = flight(
        guidance=GUIDANCE_CODE[Guidance.VECTORS],
        heading_owed_deg_mag=250.0,
        heading_error_deg=20.0,
        instructions=(said(0, heading_deg_mag=250, origin="inferred"),),
    )
    assert parts.findings("heading") == []


def test_nothing_is_owed_on_the_ground(flight: Build) -> None:
    parts = flight(altitude_ft=100.0, assigned_ft=5000.0, lateral_needle=3.0, phase=PHASE_CODE[Phase.GROUND])
    assert parts.assess().findings == ()


def test_each_assigned_altitude_is_a_finding_of_its_own(flight: Build) -> None:
    assigned = np.concatenate([np.full(100, 5000.0), np.full(100, 4000.0)])
    owed = np.ones(200, dtype=bool)
    owed[100:130] = False
    altitude = np.concatenate([np.full(100, 5010.0), np.linspace(5000, 4000, 30), np.full(70, 3980.0)])
    found = flight(altitude_ft=altitude, assigned_ft=assigned, altitude_owed=owed).findings("altitude")
    assert [(item.owed, item.worst, item.verdict) for item in found] == [
        (5000.0, 10.0, Verdict.WITHIN),
        (4000.0, -20.0, Verdict.WITHIN),
    ]
    assert [item.id for item in found] == ["F1", "F3"]


def test_the_level_off_is_no_deviation_from_the_level(flight: Build) -> None:
    # Owed from within 100 ft of it: 95, 85, ... 0 ft low on the way up, then level.
    altitude = np.concatenate([np.linspace(4905.0, 5000.0, 10), np.full(190, 5005.0)])
    speed = np.where(np.arange(200) < 10, 600.0, 0.0)
    found = flight(altitude_ft=altitude, vertical_speed_fpm=speed, assigned_ft=5000.0, doubt_ft=20.0).finding(
        "altitude"
    )
    assert (found.verdict, found.worst) == (Verdict.WITHIN, 5.0)


def test_a_descent_that_was_given_but_not_written_down_is_no_deviation(flight: Build) -> None:
    # Held until sample 180, then down at 600 ft/min; owed to within 100 ft of the altitude, nothing assigned after.
    altitude = np.interp(np.arange(200), [0, 180, 199], [4990.0, 4990.0, 4800.0])
    assigned = np.where(altitude >= 4900.0, 5000.0, np.nan)
    speed = np.where(np.arange(200) <= 180, 0.0, -600.0)
    found = flight(altitude_ft=altitude, vertical_speed_fpm=speed, assigned_ft=assigned, doubt_ft=20.0).finding(
        "altitude"
    )
    assert (found.verdict, found.worst) == (Verdict.WITHIN, -10.0)


def test_a_drift_away_from_an_altitude_that_stays_assigned_is_one(flight: Build) -> None:
    altitude = np.interp(np.arange(200), [0, 180, 199], [4990.0, 4990.0, 4800.0])
    speed = np.where(np.arange(200) <= 180, 0.0, -600.0)
    found = flight(altitude_ft=altitude, vertical_speed_fpm=speed, assigned_ft=5000.0, doubt_ft=20.0).finding(
        "altitude"
    )
    assert (found.verdict, found.worst) == (Verdict.OUTSIDE, -200.0)


def test_a_level_off_short_of_the_altitude_is_one(flight: Build) -> None:
    altitude = np.concatenate([np.linspace(4800.0, 4860.0, 10), np.full(190, 4860.0)])
    speed = np.where(np.arange(200) < 10, 600.0, 0.0)
    found = flight(altitude_ft=altitude, vertical_speed_fpm=speed, assigned_ft=5000.0, doubt_ft=20.0).finding(
        "altitude"
    )
    assert (found.verdict, found.worst) == (Verdict.OUTSIDE, -140.0)


def test_an_altitude_left_again_before_it_was_reached_is_no_finding(flight: Build) -> None:
    owed = np.arange(200) < 3
    altitude = np.linspace(2905.0, 4900.0, 200)
    parts = flight(
        altitude_ft=altitude, vertical_speed_fpm=600.0, assigned_ft=3000.0, altitude_owed=owed, doubt_ft=20.0
    )
    assert parts.findings("altitude") == []


def test_needle_doubt_is_the_position_doubt_on_the_scale(flight: Build) -> None:
    # 8 m across on 0.3 NM full scale: 8 / 1852 / 0.3 = 0.0144 of full scale.
    found = flight(lateral_needle=0.74, lateral_full_scale_nm=0.3, accuracy_nm=8 / 1852).finding("lateral needle")
    assert found.uncertainty == pytest.approx(0.0144, abs=1e-4)
    assert found.verdict is Verdict.UNDECIDED


VALUES = st.lists(st.floats(-200, 200), min_size=1, max_size=60)
COMMON = settings(deadline=None, derandomize=True, max_examples=200)


@COMMON
@given(VALUES, st.floats(0, 150), st.sampled_from([0.1, 1.0, 5.0]))
def test_the_mirrored_flight_gives_the_mirrored_worst_and_the_same_verdict(
    values: list[float], doubt: float, interval_s: float
) -> None:
    here = judge(series(values, doubt=doubt, interval_s=interval_s), Rule(), interval_s)
    there = judge(series(-np.asarray(values), doubt=doubt, interval_s=interval_s), Rule(), interval_s)
    assert here.worst is not None
    assert there.worst is not None
    assert there.worst == pytest.approx(-here.worst)
    assert (here.verdict, here.limit, here.at, here.excursions) == (
        there.verdict,
        there.limit,
        there.at,
        there.excursions,
    )
    assert here.outside_s == pytest.approx(there.outside_s)
    assert here.correcting_after_s == there.correcting_after_s


@COMMON
@given(VALUES, st.floats(0, 150), st.floats(0, 150), st.sampled_from([Rule(), Rule(brief=150.0, brief_s=5.0)]))
def test_widening_the_doubt_never_decides(values: list[float], doubt: float, more: float, rule: Rule) -> None:
    narrow = judge(series(values, doubt=doubt), rule, 1.0).verdict
    wide = judge(series(values, doubt=doubt + more), rule, 1.0).verdict
    assert wide in {narrow, Verdict.UNDECIDED}


@COMMON
@given(VALUES)
def test_the_worst_value_and_the_time_outside_can_be_counted_again(values: list[float]) -> None:
    judged = judge(series(values), Rule(), 1.0)
    assert judged.worst is not None
    # Beside a limit of 100, values apart by less than its last digit are the same.
    assert abs(judged.worst) == pytest.approx(max(abs(value) for value in values), abs=1e-9)
    assert judged.outside_s == pytest.approx(sum(abs(value) > 100.0 + 1e-9 for value in values))


def test_less_than_is_strict() -> None:
    # An older edition asked for "less than" three quarters.
    held = series(np.full(30, 0.75), low=-0.75, high=0.75)
    assert judge(held, Rule(strict=True), 1.0).verdict is Verdict.OUTSIDE
    assert judge(held, Rule(), 1.0).verdict is Verdict.WITHIN
