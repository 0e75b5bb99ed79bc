from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from legwise.geodesy import GeodesicLine, line_between, line_to, turn_deg
from legwise.model.arrays import FloatArray
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
METRES = 0.1


def line(lat1: float, lon1: float, lat2: float, lon2: float) -> GeodesicLine:
    made = line_between(lat1, lon1, lat2, lon2)
    assert made is not None
    return made


# Legs and positions of COMPUTED type: foot of the perpendicular found by iteration with GeographicLib 2.1. [m, right +]
TABLE = [
    ((40, -100, 41, -100), (40.5, -99.983333333), 111_044.261, 55_519.85, 1412.796),
    ((40, -100, 40, -99), (40.0, -99.5), 85_393.409, 42_696.70, 119.754),
    ((40, -100, 40, -99), (40.016666667, -99.5), 85_393.409, 42_696.70, -1730.826),
    ((0, 10, 0, 11), (-0.016666667, 10.25), 111_319.491, 27_829.87, 1842.905),
    ((45, 7, 45.5, 8), (45.3, 7.4), 96_178.763, 44_970.71, -8871.843),
    ((-33.95, 151.18, -35.31, 149.19), (-34.6, 150.3), 236_759.110, 108_417.02, -3337.166),
    ((52, 179.5, 52.2, -179.3), (52.15, -179.9), 85_186.785, 44_091.09, -5182.219),
]


@pytest.mark.parametrize(("ends", "position", "length_m", "along_m", "cross_m"), TABLE)
def test_cross_track_and_distance_to_go(
    ends: tuple[float, float, float, float],
    position: tuple[float, float],
    length_m: float,
    along_m: float,
    cross_m: float,
) -> None:
    leg = line(*ends)

    got = leg.measure(np.array([position[0]]), np.array([position[1]]))

    assert leg.length_nm * M_PER_NM == pytest.approx(length_m, abs=METRES)
    assert float(got.cross_track_nm[0]) * M_PER_NM == pytest.approx(cross_m, abs=METRES)
    assert float(got.to_go_nm[0]) * M_PER_NM == pytest.approx(length_m - along_m, abs=METRES)


def test_two_hundred_positions_against_geographiclib(crosstrack_lines: FloatArray) -> None:
    # Legs to 270 NM, offsets to 21 NM; positions stand to 1e-6 deg, so the values hold for them as written.
    for lat1, lon1, lat2, lon2, lat, lon, length_m, along_m, cross_m in crosstrack_lines:
        got = line(lat1, lon1, lat2, lon2).measure(np.array([lat]), np.array([lon]))

        assert float(got.cross_track_nm[0]) * M_PER_NM == pytest.approx(cross_m, abs=METRES)
        assert float(got.to_go_nm[0]) * M_PER_NM == pytest.approx(length_m - along_m, abs=METRES)


@given(
    lat=st.floats(-89.9, 89.9),
    lon=st.one_of(st.floats(-180, 180), st.floats(179.9, 180), st.floats(-180, -179.9)),
    course=st.one_of(st.floats(0, 360), st.floats(-1e-6, 1e-6)),
    length_nm=st.floats(0.1, 250),
    part=st.floats(-0.5, 1.5),
    offset_nm=st.floats(-10, 10),
)
def test_a_position_set_square_to_a_leg_is_found_there(
    lat: float, lon: float, course: float, length_nm: float, part: float, offset_nm: float
) -> None:
    # The position is constructed with GeographicLib: along the leg, then square to it.
    end = EARTH.Direct(lat, lon, course, length_nm * M_PER_NM)
    foot = EARTH.Direct(lat, lon, course, part * length_nm * M_PER_NM)
    place = EARTH.Direct(foot["lat2"], foot["lon2"], foot["azi2"] + 90.0, offset_nm * M_PER_NM)
    leg = line(lat, lon, end["lat2"], end["lon2"])

    got = leg.measure(np.array([place["lat2"]]), np.array([place["lon2"]]))

    assert float(got.cross_track_nm[0]) == pytest.approx(offset_nm, abs=0.01 / M_PER_NM)
    assert float(got.to_go_nm[0]) == pytest.approx(length_nm * (1.0 - part), abs=0.01 / M_PER_NM)
    # A course near the pole turns fast along the leg: 0.01 m of place is 1e-4 deg of course 6 NM from it.
    assert float(turn_deg(got.course_deg_true[0], foot["azi2"])) == pytest.approx(0.0, abs=2e-3)


@given(lat=st.floats(-80, 80), course=st.floats(0, 360), part=st.floats(-0.2, 1.2), offset_nm=st.floats(0.01, 10))
def test_the_mirror_image_of_a_flight_has_the_opposite_sign(
    lat: float, course: float, part: float, offset_nm: float
) -> None:
    end = EARTH.Direct(lat, 10.0, course, 30 * M_PER_NM)
    foot = EARTH.Direct(lat, 10.0, course, part * 30 * M_PER_NM)
    place = EARTH.Direct(foot["lat2"], foot["lon2"], foot["azi2"] + 90.0, offset_nm * M_PER_NM)

    here = line(lat, 10.0, end["lat2"], end["lon2"]).measure(np.array([place["lat2"]]), np.array([place["lon2"]]))
    east = line(lat, -10.0, end["lat2"], -end["lon2"]).measure(np.array([place["lat2"]]), np.array([-place["lon2"]]))
    south = line(-lat, 10.0, -end["lat2"], end["lon2"]).measure(np.array([-place["lat2"]]), np.array([place["lon2"]]))

    assert float(here.cross_track_nm[0]) == pytest.approx(offset_nm, abs=1e-5)
    assert float(east.cross_track_nm[0]) == pytest.approx(-offset_nm, abs=1e-5)
    assert float(south.cross_track_nm[0]) == pytest.approx(-offset_nm, abs=1e-5)


@given(to_go_nm=st.floats(-50, 300), course=st.floats(0, 360), lat=st.floats(-85, 85))
def test_points_of_the_line_are_on_it(to_go_nm: float, course: float, lat: float) -> None:
    endless = line_to(lat, 179.99, course)

    got = endless.measure(*endless.point_at(np.array([to_go_nm])))

    assert float(got.cross_track_nm[0]) == pytest.approx(0.0, abs=1e-6)
    assert float(got.to_go_nm[0]) == pytest.approx(to_go_nm, abs=1e-6)


def test_distance_to_go_is_negative_past_the_end_and_missing_positions_stay_missing() -> None:
    leg = line(46.0, -28.0, 46.0, -27.0)

    got = leg.measure(np.array([46.0, np.nan, 46.0]), np.array([-26.9, -27.5, np.nan]))

    assert float(got.to_go_nm[0]) < 0.0
    for column in (got.cross_track_nm, got.to_go_nm, got.course_deg_true):
        assert np.isfinite(column[0])
        assert np.isnan(column[1:]).all()


def test_fixes_on_top_of_each_other_make_no_line() -> None:
    assert line_between(46.0, -28.0, 46.0, -28.0) is None
    assert line_between(46.0, -28.0, 46.00005, -28.0) is None


def test_a_line_to_a_fix_has_no_start_and_arrives_on_its_course() -> None:
    endless = line_to(46.0, -28.0, 370.0)

    assert math.isinf(endless.length_nm)
    assert endless.end_course_deg_true == 10.0


def test_no_positions_give_no_values() -> None:
    got = line(46.0, -28.0, 46.0, -27.0).measure(np.array([]), np.array([]))

    assert got.cross_track_nm.size == got.to_go_nm.size == got.course_deg_true.size == 0
