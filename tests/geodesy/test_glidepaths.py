from __future__ import annotations

import numpy as np
import pytest

from legwise.geodesy import barometric_path_ft, path_origin_nm, straight_path_ft
from legwise.units import FT_PER_NM

SEA_LEVEL = {"threshold_elevation_ft": 0.0, "crossing_height_ft": 50.0, "glidepath_deg": 3.0}


# d tan 3 deg above a 50 ft crossing height, and how much higher a straight beam is: d^2 / 2R, R 20,890,537 ft.
@pytest.mark.parametrize(
    ("distance_nm", "flat_ft", "beam_ft"),
    [(1, 368.4, 0.9), (2, 686.9, 3.5), (3, 1005.3, 8.0), (5, 1642.2, 22.1), (7, 2279.0, 43.3), (10, 3234.4, 88.4)],
)
def test_constant_angle_and_straight_line(distance_nm: float, flat_ft: float, beam_ft: float) -> None:
    barometric = float(barometric_path_ft(distance_nm, **SEA_LEVEL))
    straight = float(straight_path_ft(distance_nm, **SEA_LEVEL))

    assert barometric == pytest.approx(flat_ft, abs=0.06)
    assert straight - barometric == pytest.approx(beam_ft, abs=0.1)


@pytest.mark.parametrize(("distance_nm", "extra_ft"), [(15, 198.8), (20, 353.5)])
def test_far_out_the_earth_falls_away(distance_nm: float, extra_ft: float) -> None:
    difference = straight_path_ft(distance_nm, **SEA_LEVEL) - barometric_path_ft(distance_nm, **SEA_LEVEL)

    # The two radii of the earth differ by 6e-4.
    assert float(difference) == pytest.approx(extra_ft, rel=7e-4)


def test_the_path_meets_the_ground_past_the_threshold() -> None:
    # 50 ft at 3 deg: 954.06 ft past the threshold.
    origin = path_origin_nm(50.0, 3.0)

    assert origin * FT_PER_NM == pytest.approx(954.06, abs=0.01)
    assert float(barometric_path_ft(-origin, **SEA_LEVEL)) == pytest.approx(0.0, abs=1e-9)


def test_a_decision_height_of_200_ft_is_met_0_471_nm_out() -> None:
    assert float(barometric_path_ft(0.471, **SEA_LEVEL)) == pytest.approx(200.0, abs=0.2)


def test_missing_distances_stay_missing_and_arrays_stay_arrays() -> None:
    path = straight_path_ft(np.array([0.0, np.nan]), **SEA_LEVEL)

    assert path[0] == 50.0
    assert np.isnan(path[1])
