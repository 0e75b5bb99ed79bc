"""The formulas of full scale against the values worked out for the published rules (FAA AIM 1-1-17, 1-1-18, 1-1-9)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from legwise.measure import scales
from legwise.units import FT_PER_NM, M_PER_NM

HALF_WIDTH_NM = 106.75 / M_PER_NM


def runway_nm(feet: float) -> float:
    return feet / FT_PER_NM


@pytest.mark.parametrize(("to_faf_nm", "expected_nm"), [(2, 1.0), (1.5, 0.825), (1, 0.65), (0.5, 0.475), (0, 0.3)])
def test_the_older_class_ramps_to_0_3_nm_at_the_faf(to_faf_nm: float, expected_nm: float) -> None:
    assert float(scales.ramp_nm(np.array(to_faf_nm), 0.3)) == pytest.approx(expected_nm, abs=0.001)


def test_the_ramp_ends_on_both_sides() -> None:
    assert scales.ramp_nm(np.array([9.0, -3.0]), 0.3) == pytest.approx([1.0, 0.3])


@pytest.mark.parametrize(("before_nm", "metres"), [(0, 106.75), (1, 199.4), (3, 384.7), (5, 570.0), (7, 755.3)])
def test_lpv_splay_on_a_6000_ft_runway(before_nm: float, metres: float) -> None:
    splay = float(scales.gnss_splay_nm(np.array(before_nm), HALF_WIDTH_NM, runway_nm(6000)))

    assert splay * M_PER_NM == pytest.approx(metres, abs=0.1)


@pytest.mark.parametrize(
    ("length_ft", "half_angle_deg", "cap_met_nm"),
    [
        (6000, 2.864, 4.84),
        (4000, 4.006, 3.46),
        (5000, 3.340, 4.15),
        (8000, 2.228, 6.23),
        (10000, 1.824, 7.61),
        (12000, 1.543, 9.00),
    ],
)
def test_lpv_angle_and_where_0_3_nm_is_met(length_ft: float, half_angle_deg: float, cap_met_nm: float) -> None:
    at_one, at_two = scales.gnss_splay_nm(np.array([1.0, 2.0]), HALF_WIDTH_NM, runway_nm(length_ft))
    at_cap = float(scales.gnss_splay_nm(np.array(cap_met_nm), HALF_WIDTH_NM, runway_nm(length_ft)))

    assert math.degrees(math.atan(at_two - at_one)) == pytest.approx(half_angle_deg, abs=0.001)
    assert at_cap == pytest.approx(0.3, abs=0.001)


def test_lpv_is_no_narrower_past_the_threshold() -> None:
    assert float(scales.gnss_splay_nm(np.array(-0.5), HALF_WIDTH_NM, 1.0)) == pytest.approx(HALF_WIDTH_NM)


# Antenna 1,000 ft beyond the stop end, 350 ft half width: the tailored half angle.
@pytest.mark.parametrize(
    ("length_ft", "half_angle_deg"),
    [(4000, 4.004), (5000, 3.338), (6000, 2.862), (8000, 2.227), (10000, 1.822), (12000, 1.542), (13000, 1.432)],
)
def test_localizer_half_angle(length_ft: float, half_angle_deg: float) -> None:
    antenna = runway_nm(length_ft) + scales.LOCALIZER_BEYOND_RUNWAY_NM
    at_threshold, far = scales.localizer_nm(np.array([0.0, 10.0]), runway_nm(350), antenna)

    assert at_threshold * FT_PER_NM == pytest.approx(350.0)
    assert math.degrees(math.atan(at_threshold / antenna)) == pytest.approx(half_angle_deg, abs=0.001)
    assert math.degrees(math.atan(far / (antenna + 10.0))) == pytest.approx(half_angle_deg, abs=0.001)


def test_behind_the_localizer_antenna_there_is_no_needle() -> None:
    assert np.isnan(scales.localizer_nm(np.array(-2.0), runway_nm(350), 1.15))


@pytest.mark.parametrize(
    ("from_station_nm", "full_nm", "three_quarters_nm"),
    [(5, 0.882, 0.658), (10, 1.763, 1.317), (20, 3.527, 2.633), (30, 5.290, 3.950), (60, 10.580, 7.899)],
)
def test_a_vor_needle_goes_by_bearing(from_station_nm: float, full_nm: float, three_quarters_nm: float) -> None:
    cross = np.array([full_nm, three_quarters_nm])

    needle = cross / scales.vor_nm(cross, np.full(2, from_station_nm), np.full(2, 0.3))

    # The distances are printed to 0.001 NM, which at 5 NM is 0.0012 of full scale.
    assert needle == pytest.approx([1.0, 0.75], abs=0.0012)


def test_a_vor_on_course_and_either_side_of_the_station() -> None:
    scale = scales.vor_nm(np.zeros(2), np.array([6.0, -6.0]), np.zeros(2))

    assert scale == pytest.approx(6.0 * math.radians(10.0))


def test_a_vor_has_no_needle_in_the_cone_above_it() -> None:
    # 3,000 ft above the station the cone of 50 deg reaches 3,575 ft out.
    height = np.full(2, 3000.0 / FT_PER_NM)
    scale = scales.vor_nm(np.zeros(2), np.array([3500.0, 3700.0]) / FT_PER_NM, height)

    assert np.isnan(scale[0])
    assert np.isfinite(scale[1])
