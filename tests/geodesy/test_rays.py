from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import MIN_LEG_NM, line_from, line_to, ray_from, turn_deg
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
CENTIMETRE_NM = 0.01 / M_PER_NM
METRES = 0.1


# Positions of COMPUTED type: foot of the perpendicular found by iteration with GeographicLib 2.1. [m, right +]
@pytest.mark.parametrize(
    ("start", "ahead", "position", "along_m", "cross_m"),
    [
        ((40, -100), (41, -100), (40.5, -99.983333333), 55_519.85, 1412.796),
        ((40, -100), (40, -99), (40.0, -99.5), 42_696.70, 119.754),
        ((-33.95, 151.18), (-35.31, 149.19), (-34.6, 150.3), 108_417.02, -3337.166),
        ((52, 179.5), (52.2, -179.3), (52.15, -179.9), 44_091.09, -5182.219),
    ],
)
def test_a_ray_through_a_second_position_measures_as_the_leg_to_it(
    start: tuple[float, float],
    ahead: tuple[float, float],
    position: tuple[float, float],
    along_m: float,
    cross_m: float,
) -> None:
    course = float(EARTH.Inverse(*start, *ahead)["azi1"])

    got = ray_from(*start, course).measure(np.array([position[0]]), np.array([position[1]]))

    assert float(got.cross_track_nm[0]) * M_PER_NM == pytest.approx(cross_m, abs=METRES)
    assert float(got.along_track_nm[0]) * M_PER_NM == pytest.approx(along_m, abs=METRES)


@settings(deadline=None, derandomize=True)
@given(
    lat=st.floats(-89.9, 89.9),
    lon=st.one_of(st.floats(-180, 180), st.floats(179.9, 180), st.floats(-180, -179.9)),
    course=st.one_of(st.floats(0, 360), st.floats(-1e-6, 1e-6)),
    along_nm=st.floats(-50, 250),
    offset_nm=st.floats(-10, 10),
)
def test_a_position_set_square_to_a_ray_is_found_there(
    lat: float, lon: float, course: float, along_nm: float, offset_nm: float
) -> None:
    foot = EARTH.Direct(lat, lon, course, along_nm * M_PER_NM)
    place = EARTH.Direct(foot["lat2"], foot["lon2"], foot["azi2"] + 90.0, offset_nm * M_PER_NM)

    got = ray_from(lat, lon, course).measure(np.array([place["lat2"]]), np.array([place["lon2"]]))

    assert float(got.cross_track_nm[0]) == pytest.approx(offset_nm, abs=CENTIMETRE_NM)
    assert float(got.along_track_nm[0]) == pytest.approx(along_nm, abs=CENTIMETRE_NM)
    assert float(turn_deg(got.course_deg_true[0], foot["azi2"])) == pytest.approx(0.0, abs=2e-3)


def test_a_ray_has_no_end_to_count_from() -> None:
    ray = ray_from(46.0, -28.0, 370.0)

    got = ray.measure(np.array([46.5, np.nan]), np.array([-28.0, -28.0]))
    lat, lon = ray.point_at(np.array([0.0, 1.0]))

    assert math.isinf(ray.length_nm)
    assert ray.start_course_deg_true == ray.end_course_deg_true == 10.0
    assert np.isnan(got.to_go_nm).all()
    assert np.isfinite(got.along_track_nm[0])
    assert np.isnan([got.cross_track_nm[1], got.along_track_nm[1], got.course_deg_true[1]]).all()
    assert np.isnan(lat).all()
    assert np.isnan(lon).all()


def test_points_along_a_ray_lie_where_geographiclib_sets_them_out() -> None:
    lat, lon = ray_from(46.0, 179.9, 80.0).point_along(np.array([-3.0, 0.0, 60.0]))

    for number, along_nm in enumerate((-3.0, 0.0, 60.0)):
        place = EARTH.Direct(46.0, 179.9, 80.0, along_nm * M_PER_NM)
        miss = EARTH.Inverse(place["lat2"], place["lon2"], float(lat[number]), float(lon[number]))
        assert miss["s12"] < 1e-3


@pytest.mark.parametrize("length_nm", [0.01, 3.0, 60.0, 250.0])
def test_a_line_of_a_length_ends_where_geographiclib_ends_it(length_nm: float) -> None:
    line = line_from(46.0, -28.0, 123.0, length_nm)
    end = EARTH.Direct(46.0, -28.0, 123.0, length_nm * M_PER_NM)

    assert line is not None
    assert EARTH.Inverse(line.end_lat_deg, line.end_lon_deg, end["lat2"], end["lon2"])["s12"] < 1e-3
    assert line.length_nm == length_nm
    assert line.start_course_deg_true == 123.0
    assert float(turn_deg(line.end_course_deg_true, end["azi2"])) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("length_nm", [0.0, -1.0, MIN_LEG_NM / 2.0, float("nan")])
def test_no_line_of_no_length(length_nm: float) -> None:
    assert line_from(46.0, -28.0, 123.0, length_nm) is None


def test_points_along_a_line_are_counted_from_its_start_and_from_nothing_where_it_has_none() -> None:
    line = line_from(46.0, -28.0, 90.0, 20.0)
    assert line is not None

    lat, lon = line.point_along(np.array([0.0, 5.0, 25.0]))

    for number, along_nm in enumerate((0.0, 5.0, 25.0)):
        place = EARTH.Direct(46.0, -28.0, 90.0, along_nm * M_PER_NM)
        assert EARTH.Inverse(place["lat2"], place["lon2"], float(lat[number]), float(lon[number]))["s12"] < 1e-3
    assert np.isnan(line_to(46.0, -28.0, 90.0).point_along(np.array([1.0]))).all()
    assert np.isnan(line_to(46.0, -28.0, 90.0).measure(np.array([46.0]), np.array([-28.1])).along_track_nm).all()
