from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from legwise.geodesy import (
    ArcPath,
    horizontal_range_nm,
    lead_radial_deg,
    slant_cross_track_nm,
    slant_range_nm,
    straight_leg_error_nm,
    turn_radius_nm,
)
from legwise.model.lesson import Turn
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84


# Slant range sqrt(d^2 + h^2), DME by FAA AIM 5-3-8 j6; worked out by hand.
@pytest.mark.parametrize(
    ("horizontal_nm", "height_ft", "slant_nm"),
    [(10, 6000, 10.0486), (5, 6000, 5.0966), (1, 6000, 1.4054), (0, 6000, 0.9875), (15, 10_000, 15.0900)],
)
def test_slant_range_and_back(horizontal_nm: float, height_ft: float, slant_nm: float) -> None:
    assert float(slant_range_nm(horizontal_nm, height_ft)) == pytest.approx(slant_nm, abs=0.0005)
    # At the station itself 1e-4 NM of slant is a hundredth of a mile over the ground.
    assert float(horizontal_range_nm(slant_range_nm(horizontal_nm, height_ft), height_ft)) == pytest.approx(
        horizontal_nm, abs=1e-6
    )


def test_a_slant_range_shorter_than_the_height_is_nowhere_and_missing_stays_missing() -> None:
    assert np.isnan(horizontal_range_nm(0.5, 6000.0))
    assert np.isnan(slant_range_nm(np.nan, 6000.0))
    assert np.isnan(slant_range_nm(10.0, np.nan))


# asin(R / r) for a right-angled turn at 3 deg/s, computed on the plane.
@pytest.mark.parametrize(
    ("arc_nm", "leads_deg"),
    [(7, (3.9, 5.2, 6.5)), (10, (2.7, 3.7, 4.6)), (15, (1.8, 2.4, 3.0)), (20, (1.4, 1.8, 2.3))],
)
def test_lead_radials(arc_nm: float, leads_deg: tuple[float, float, float]) -> None:
    for speed_kt, lead_deg in zip((90, 120, 150), leads_deg, strict=True):
        assert lead_radial_deg(turn_radius_nm(speed_kt), arc_nm) == pytest.approx(lead_deg, abs=0.1)


def test_no_lead_where_the_turn_is_wider_than_the_arc() -> None:
    assert math.isnan(lead_radial_deg(2.0, 1.0))
    assert math.isnan(lead_radial_deg(0.0, 0.0))
    assert math.isnan(lead_radial_deg(float("nan"), 1.0))


def test_twenty_degrees_flown_straight_stray_a_mile_at_16_6_nm() -> None:
    # 16.58 computed; a notes site prints 16.6.
    assert straight_leg_error_nm(16.58, 20.0) == pytest.approx(1.0, abs=0.001)


@pytest.mark.parametrize(("turn", "side"), [("right", 1.0), ("left", -1.0)])
def test_cross_track_by_slant_range(turn: Turn, side: float) -> None:
    arc = ArcPath(
        centre_lat_deg=46.0,
        centre_lon_deg=-28.0,
        radius_nm=10.0,
        start_bearing_deg=300.0,
        end_bearing_deg=60.0,
        turn=turn,
    )
    on_it = EARTH.Direct(46.0, -28.0, 330.0, math.sqrt(100.0 - (6000.0 * 0.3048 / 1852.0) ** 2) * M_PER_NM)
    at_ten = EARTH.Direct(46.0, -28.0, 350.0, 10.0 * M_PER_NM)

    got = slant_cross_track_nm(
        arc,
        np.array([on_it["lat2"], at_ten["lat2"], at_ten["lat2"], np.nan]),
        np.array([on_it["lon2"], at_ten["lon2"], at_ten["lon2"], -28.0]),
        np.array([6000.0, 6000.0, np.nan, 6000.0]),
    )

    # DME shows 10.0486 over the ground ten miles: outside the arc, left of a right-hand one.
    assert got[:2] == pytest.approx([0.0, side * -0.0486], abs=0.0001)
    assert np.isnan(got[2:]).all()
