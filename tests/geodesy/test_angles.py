from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from legwise.geodesy import mean_direction_deg, turn_deg, wrap_180, wrap_360

angles = st.floats(min_value=-1e4, max_value=1e4)


@pytest.mark.parametrize(
    ("from_deg", "to_deg", "expected"),
    [(350, 10, 20), (10, 350, -20), (0, 180, -180), (90, 90, 0), (1, 359, -2), (180, 0, -180)],
)
def test_a_turn_goes_the_short_way_and_right_is_positive(from_deg: float, to_deg: float, expected: float) -> None:
    assert float(turn_deg(from_deg, to_deg)) == expected


@given(angles)
def test_wrapped_angles_lie_in_their_range_and_name_the_same_direction(angle: float) -> None:
    short, long = float(wrap_180(angle)), float(wrap_360(angle))

    assert -180.0 <= short < 180.0
    assert 0.0 <= long < 360.0
    assert np.cos(np.radians(short)) == pytest.approx(np.cos(np.radians(angle)), abs=1e-9)
    assert np.sin(np.radians(long)) == pytest.approx(np.sin(np.radians(angle)), abs=1e-9)


def test_a_tiny_negative_direction_is_north_and_not_360() -> None:
    assert float(wrap_360(-1e-17)) == 0.0


def test_missing_directions_stay_missing() -> None:
    assert np.isnan(wrap_180(np.nan))
    assert np.isnan(turn_deg(np.nan, 10.0))


def test_the_mean_of_directions_about_north_is_north_and_opposite_ones_have_none() -> None:
    assert mean_direction_deg([350.0, 10.0, np.nan]) % 360.0 == pytest.approx(0.0, abs=1e-9)
    assert np.isnan(mean_direction_deg([90.0, 270.0]))
    assert np.isnan(mean_direction_deg([]))
