from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import ArcPath, Meeting, line_to, meets_circle, meets_path, meets_radial, ray_from
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
TENTH_OF_A_METRE_NM = 0.1 / M_PER_NM

latitudes = st.floats(-85, 85)
longitudes = st.sampled_from([-28.0, 0.0, 179.999, -179.9, 91.0])
courses = st.one_of(st.floats(0, 360), st.sampled_from([0.0, 90.0, 180.0, 270.0, 359.999_999]))
distances = st.floats(0.3, 200.0)


def metres_to(found: Meeting | None, place: dict[str, float]) -> float:
    assert found is not None
    return float(EARTH.Inverse(found.lat_deg, found.lon_deg, place["lat2"], place["lon2"])["s12"])


@settings(deadline=None, derandomize=True)
@given(
    lat=latitudes,
    lon=longitudes,
    course=courses,
    along_nm=distances,
    beside_deg=st.floats(-80, 80),
    part=st.floats(0.02, 0.9),
)
def test_a_course_meets_a_circle_where_it_was_drawn_through(
    lat: float, lon: float, course: float, along_nm: float, beside_deg: float, part: float
) -> None:
    # The station lies ahead of the meeting, so the course enters its circle there.
    met = EARTH.Direct(lat, lon, course, along_nm * M_PER_NM)
    radius_nm = min(60.0, part * along_nm)
    station = EARTH.Direct(met["lat2"], met["lon2"], met["azi2"] + beside_deg, radius_nm * M_PER_NM)

    found = meets_circle(ray_from(lat, lon, course), station["lat2"], station["lon2"], radius_nm)

    assert found is not None
    assert found.along_track_nm == pytest.approx(along_nm, abs=TENTH_OF_A_METRE_NM)
    assert metres_to(found, met) < 0.1


@settings(deadline=None, derandomize=True)
@given(lat=latitudes, lon=longitudes, course=courses, radius_nm=st.floats(0.5, 60.0), bearing=courses)
def test_a_course_from_inside_a_circle_leaves_it(
    lat: float, lon: float, course: float, radius_nm: float, bearing: float
) -> None:
    start = EARTH.Direct(lat, lon, bearing, 0.4 * radius_nm * M_PER_NM)

    found = meets_circle(ray_from(start["lat2"], start["lon2"], course), lat, lon, radius_nm)

    assert found is not None
    assert EARTH.Inverse(lat, lon, found.lat_deg, found.lon_deg)["s12"] / M_PER_NM == pytest.approx(
        radius_nm, abs=TENTH_OF_A_METRE_NM
    )
    assert 0.6 * radius_nm <= found.along_track_nm + 1e-3
    assert found.along_track_nm <= 1.4 * radius_nm + 1e-3


@pytest.mark.parametrize("half_chord_nm", [0.02, 0.06, 0.2])
def test_a_course_that_only_cuts_the_edge_of_a_circle_meets_it_too(half_chord_nm: float) -> None:
    abeam = EARTH.Direct(46.0, -28.0, 70.0, 12.13 * M_PER_NM)
    offset_nm = 7.0 * math.cos(half_chord_nm / 7.0)
    station = EARTH.Direct(abeam["lat2"], abeam["lon2"], abeam["azi2"] + 90.0, offset_nm * M_PER_NM)

    found = meets_circle(ray_from(46.0, -28.0, 70.0), station["lat2"], station["lon2"], 7.0)

    # Near the edge a millimetre across is metres along: a chord by the plane is within 2 m here.
    assert found is not None
    assert found.along_track_nm == pytest.approx(12.13 - half_chord_nm, abs=2.0 / M_PER_NM)
    assert EARTH.Inverse(station["lat2"], station["lon2"], found.lat_deg, found.lon_deg)["s12"] == pytest.approx(
        7.0 * M_PER_NM, abs=0.1
    )


def test_a_circle_that_is_missed_by_ten_metres_or_lies_behind_is_not_met() -> None:
    abeam = EARTH.Direct(46.0, -28.0, 70.0, 12.0 * M_PER_NM)
    beside = EARTH.Direct(abeam["lat2"], abeam["lon2"], abeam["azi2"] + 90.0, 7.0 * M_PER_NM + 10.0)
    behind = EARTH.Direct(46.0, -28.0, 250.0, 20.0 * M_PER_NM)
    ray = ray_from(46.0, -28.0, 70.0)

    assert meets_circle(ray, beside["lat2"], beside["lon2"], 7.0) is None
    assert meets_circle(ray, behind["lat2"], behind["lon2"], 7.0) is None


def test_a_meeting_beyond_the_bound_is_none() -> None:
    ray = ray_from(46.0, -28.0, 70.0)

    assert meets_circle(ray, 46.0, -28.0, 301.0) is None
    assert meets_circle(ray, 46.0, -28.0, 299.0) is not None
    assert meets_circle(ray, 46.0, -28.0, 20.0, within_nm=19.0) is None


def test_a_course_that_begins_on_the_circle_meets_it_at_once() -> None:
    start = EARTH.Direct(46.0, -28.0, 70.0, 10.0 * M_PER_NM)

    outward = meets_circle(ray_from(start["lat2"], start["lon2"], 70.0), 46.0, -28.0, 10.0)

    assert outward is not None
    assert outward.along_track_nm == pytest.approx(0.0, abs=TENTH_OF_A_METRE_NM)


@settings(deadline=None, derandomize=True)
@given(
    lat=latitudes,
    lon=longitudes,
    course=courses,
    along_nm=distances,
    across_deg=st.one_of(st.floats(10, 170), st.floats(-170, -10)),
    out_nm=st.floats(1.0, 100.0),
)
def test_a_course_meets_a_radial_where_it_was_drawn_through(
    lat: float, lon: float, course: float, along_nm: float, across_deg: float, out_nm: float
) -> None:
    met = EARTH.Direct(lat, lon, course, along_nm * M_PER_NM)
    station = EARTH.Direct(met["lat2"], met["lon2"], met["azi2"] + across_deg, out_nm * M_PER_NM)
    radial = EARTH.Inverse(station["lat2"], station["lon2"], met["lat2"], met["lon2"])["azi1"]

    found = meets_radial(ray_from(lat, lon, course), station["lat2"], station["lon2"], radial)

    assert found is not None
    assert metres_to(found, met) < 0.1


def test_the_reciprocal_of_a_radial_does_not_count() -> None:
    station = EARTH.Direct(46.0, -28.0, 90.0, 10.0 * M_PER_NM)
    ray = ray_from(45.8, -28.0, 0.0)

    assert meets_radial(ray, station["lat2"], station["lon2"], 270.0) is not None
    assert meets_radial(ray, station["lat2"], station["lon2"], 90.0) is None


@settings(deadline=None, derandomize=True)
@given(
    lat=latitudes,
    lon=longitudes,
    course=courses,
    along_nm=distances,
    across_deg=st.one_of(st.floats(15, 165), st.floats(-165, -15)),
    on_nm=st.floats(0.5, 100.0),
)
def test_a_course_meets_a_course_to_a_fix_where_both_were_drawn_through(
    lat: float, lon: float, course: float, along_nm: float, across_deg: float, on_nm: float
) -> None:
    met = EARTH.Direct(lat, lon, course, along_nm * M_PER_NM)
    fix = EARTH.Direct(met["lat2"], met["lon2"], met["azi2"] + across_deg, on_nm * M_PER_NM)
    onto = line_to(fix["lat2"], fix["lon2"], fix["azi2"])

    found = meets_path(ray_from(lat, lon, course), onto)

    assert found is not None
    assert metres_to(found, met) < 0.1


def test_only_what_lies_between_the_ends_of_the_other_path_is_met() -> None:
    arc = ArcPath(
        centre_lat_deg=46.0,
        centre_lon_deg=-28.0,
        radius_nm=10.0,
        start_bearing_deg=60.0,
        end_bearing_deg=120.0,
        turn="right",
    )
    start = EARTH.Direct(46.0, -28.0, 270.0, 20.0 * M_PER_NM)
    toward = EARTH.Inverse(start["lat2"], start["lon2"], 46.0, -28.0)["azi1"]

    # The circle is crossed at 10 NM too, but the arc lies on its far side.
    found = meets_path(ray_from(start["lat2"], start["lon2"], toward), arc)

    assert found is not None
    assert found.along_track_nm == pytest.approx(30.0, abs=TENTH_OF_A_METRE_NM)


def test_a_fix_on_a_course_that_is_passed_ends_it_where_it_is_met_only_before_the_fix() -> None:
    onto = line_to(46.0, -28.0, 90.0)

    assert meets_path(ray_from(45.8, -28.2, 0.0), onto) is not None
    assert meets_path(ray_from(45.8, -27.8, 0.0), onto) is None


def test_an_arc_meets_the_course_that_it_leads_to() -> None:
    arc = ArcPath(
        centre_lat_deg=46.0,
        centre_lon_deg=-28.0,
        radius_nm=10.0,
        start_bearing_deg=300.0,
        end_bearing_deg=40.0,
        turn="right",
    )

    found = meets_radial(arc, 46.0, -28.0, 10.0)

    assert found is not None
    assert metres_to(found, EARTH.Direct(46.0, -28.0, 10.0, 10.0 * M_PER_NM)) < 0.1


def test_a_path_without_a_start_meets_nothing() -> None:
    assert meets_circle(line_to(46.0, -28.0, 90.0), 46.0, -28.0, 10.0) is None


def test_positions_that_are_missing_meet_nothing() -> None:
    assert meets_radial(ray_from(46.0, -28.0, 90.0), float("nan"), -28.0, 10.0) is None
    assert np.isnan(ray_from(float("nan"), -28.0, 90.0).point_along(np.array([1.0]))).all()
