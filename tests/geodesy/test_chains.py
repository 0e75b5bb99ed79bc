from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import ArcPath, ChainPath, arc_from, inverse, line_from, line_to, ray_from
from legwise.model.plan import Path
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
METRE_NM = 1.0 / M_PER_NM


def line(lat: float, lon: float, course: float, length_nm: float) -> Path:
    made = line_from(lat, lon, course, length_nm)
    assert made is not None
    return made


def end_of(path: Path) -> tuple[float, float, float]:
    lat, lon = path.point_at(np.zeros(1))
    return float(lat[0]), float(lon[0]), path.end_course_deg_true


def flown(lat: float, lon: float, course: float) -> ChainPath:
    """Five miles, a quarter to the right of 2 NM radius, four miles, a half to the left of 1 NM, three miles."""
    first = line(lat, lon, course, 5.0)
    right = arc_from(*end_of(first), "right", 2.0, 90.0)
    second = line(*end_of(right), 4.0)
    left = arc_from(*end_of(second), "left", 1.0, 180.0)
    return ChainPath((first, right, second, left, line(*end_of(left), 3.0)))


def corner(turn: float) -> ChainPath:
    first = line(46.0, -28.0, 90.0, 10.0)
    lat, lon, course = end_of(first)
    return ChainPath((first, line(lat, lon, course + turn, 10.0)))


def beside(path: Path, along_nm: float, offset_nm: float) -> tuple[float, float]:
    """A position set square to a path with GeographicLib."""
    lat, lon = path.point_along(np.array([along_nm]))
    course = path.measure(lat, lon).course_deg_true[0]
    place = EARTH.Direct(float(lat[0]), float(lon[0]), float(course) + 90.0, offset_nm * M_PER_NM)
    return float(place["lat2"]), float(place["lon2"])


def test_lengths_add_up_and_ends_are_those_of_the_first_and_the_last() -> None:
    chain = flown(46.0, -28.0, 350.0)

    # On the plane; the ellipsoid takes millimetres off the arcs.
    assert chain.length_nm == pytest.approx(12.0 + math.pi / 2.0 * 2.0 + math.pi, abs=METRE_NM)
    assert chain.start_course_deg_true == 350.0
    # A quarter right, a half left: 350 + 90 - 180, and some for the meridians' convergence.
    assert chain.end_course_deg_true == pytest.approx(260.0, abs=0.2)


@settings(deadline=None, derandomize=True)
@given(
    lat=st.floats(-85, 85),
    lon=st.sampled_from([-28.0, 179.99, -179.99, 0.0]),
    course=st.floats(0, 360),
    along_nm=st.floats(-5.0, 19.0),
    offset_nm=st.floats(-0.45, 0.45),
)
def test_a_position_beside_the_chain_is_found_there(
    lat: float, lon: float, course: float, along_nm: float, offset_nm: float
) -> None:
    chain = flown(lat, lon, course)
    place = beside(chain, along_nm, offset_nm)

    got = chain.measure(np.array([place[0]]), np.array([place[1]]))

    assert float(got.cross_track_nm[0]) == pytest.approx(offset_nm, abs=0.1 * METRE_NM)
    assert float(got.along_track_nm[0]) == pytest.approx(along_nm, abs=0.1 * METRE_NM)
    assert float(got.to_go_nm[0]) == pytest.approx(chain.length_nm - along_nm, abs=0.1 * METRE_NM)


@settings(deadline=None, derandomize=True)
@given(lat=st.floats(-85, 85), lon=st.sampled_from([-28.0, 180.0]), course=st.floats(0, 360))
def test_segments_are_joined_and_points_by_either_end_are_the_same(lat: float, lon: float, course: float) -> None:
    chain = flown(lat, lon, course)
    along = np.linspace(-3.0, chain.length_nm + 3.0, 400)

    one, two = chain.point_along(along), chain.point_at(chain.length_nm - along)
    apart_nm, _course, _arrival = inverse(one[0], one[1], two[0], two[1])
    step_nm, _course, _arrival = inverse(one[0][:-1], one[1][:-1], one[0][1:], one[1][1:])

    assert float(apart_nm.max()) < 0.1 * METRE_NM
    # Nothing along it is further than the way flown.
    assert float(step_nm.max()) <= float(np.diff(along).max()) + 0.1 * METRE_NM


def test_outside_a_corner_the_corner_is_the_foot() -> None:
    chain = corner(90.0)
    outward = EARTH.Direct(*end_of(chain.segments[0])[:2], 45.0, 2.0 * M_PER_NM)

    got = chain.measure(np.array([outward["lat2"]]), np.array([outward["lon2"]]))

    # Left of a right turn, two miles from the corner.
    assert float(got.cross_track_nm[0]) == pytest.approx(-2.0, abs=1e-6)
    assert float(got.along_track_nm[0]) == pytest.approx(10.0, abs=1e-6)
    assert float(got.to_go_nm[0]) == pytest.approx(10.0, abs=1e-6)


def test_inside_a_corner_the_nearer_segment_counts() -> None:
    chain = corner(90.0)
    lat, lon, course = end_of(chain.segments[0])
    before = EARTH.Direct(lat, lon, course + 130.0, 2.0 * M_PER_NM)
    after = EARTH.Direct(lat, lon, course + 140.0, 2.0 * M_PER_NM)

    got = chain.measure(np.array([before["lat2"], after["lat2"]]), np.array([before["lon2"], after["lon2"]]))

    # By the plane: 130 deg right of the inbound course is nearer to the second segment, 140 deg to the first.
    across, along = 2.0 * math.sin(math.radians(40.0)), 2.0 * math.cos(math.radians(40.0))
    assert got.cross_track_nm == pytest.approx([across, across], abs=METRE_NM)
    assert got.along_track_nm == pytest.approx([10.0 + along, 10.0 - along], abs=METRE_NM)


def test_a_position_as_near_to_two_segments_belongs_to_the_earlier() -> None:
    out = line(46.0, -28.0, 90.0, 10.0)
    chain = ChainPath((out, line(*end_of(out)[:2], float(end_of(out)[2]) + 180.0, 10.0)))
    lat, lon = out.point_along(np.linspace(0.0, 9.9, 100))

    got = chain.measure(lat, lon)

    assert got.along_track_nm == pytest.approx(np.linspace(0.0, 9.9, 100), abs=1e-6)


def test_it_runs_on_before_its_start_and_past_its_end() -> None:
    chain = corner(30.0)
    lat, lon = chain.point_along(np.array([-4.0, 24.0]))

    got = chain.measure(lat, lon)

    assert got.along_track_nm == pytest.approx([-4.0, 24.0], abs=1e-6)
    assert got.to_go_nm == pytest.approx([24.0, -4.0], abs=1e-6)
    assert got.cross_track_nm == pytest.approx([0.0, 0.0], abs=1e-6)


def test_a_chain_may_lack_a_start_or_an_end() -> None:
    onto = line_to(46.0, -28.0, 90.0)
    away = ray_from(46.0, -28.0, 120.0)
    place = EARTH.Direct(46.0, -28.0, 270.0, 5.0 * M_PER_NM)
    past = EARTH.Direct(46.0, -28.0, 120.0, 7.0 * M_PER_NM)
    lat, lon = np.array([place["lat2"], past["lat2"]]), np.array([place["lon2"], past["lon2"]])

    no_start = ChainPath((onto, line(46.0, -28.0, 120.0, 10.0))).measure(lat, lon)
    no_end = ChainPath((line(place["lat2"], place["lon2"], place["azi2"] + 180.0, 5.0), away)).measure(lat, lon)

    assert no_start.to_go_nm == pytest.approx([15.0, 3.0], abs=1e-3)
    assert np.isnan(no_start.along_track_nm).all()
    assert no_end.along_track_nm == pytest.approx([0.0, 12.0], abs=1e-3)
    assert np.isnan(no_end.to_go_nm).all()
    assert math.isinf(ChainPath((onto, away)).length_nm)


def test_a_chain_without_an_end_has_points_by_its_start_alone() -> None:
    chain = ChainPath((line(46.0, -28.0, 90.0, 5.0), ray_from(46.1, -27.9, 120.0)))

    assert np.isfinite(chain.point_along(np.array([-1.0, 3.0, 5.0, 80.0]))).all()
    assert np.isnan(chain.point_at(np.array([-1.0, 3.0]))).all()


def test_missing_positions_stay_missing_and_none_give_none() -> None:
    chain = flown(46.0, -28.0, 0.0)

    got = chain.measure(np.array([np.nan, 46.0, 46.0]), np.array([-28.0, np.nan, -28.0]))
    none = chain.measure(np.array([]), np.array([]))

    assert np.isnan(got.cross_track_nm[:2]).all()
    assert np.isfinite([got.cross_track_nm[2], got.along_track_nm[2], got.to_go_nm[2], got.course_deg_true[2]]).all()
    assert none.cross_track_nm.size == 0
    assert np.isnan(chain.point_along(np.array([np.nan]))).all()
    assert np.isnan(chain.point_at(np.array([np.nan]))).all()


def test_a_chain_needs_a_segment() -> None:
    with pytest.raises(ValueError, match="at least one"):
        ChainPath(())


def test_every_position_belongs_to_the_segment_that_is_nearest_of_all() -> None:
    chain = flown(46.0, -28.0, 350.0)
    lat, lon = np.meshgrid(np.linspace(45.9, 46.3, 25), np.linspace(-28.3, -27.6, 25))
    along = np.linspace(0.0, chain.length_nm, 4000)
    points = chain.point_along(along)

    got = chain.measure(lat.ravel(), lon.ravel())

    inside = (got.along_track_nm >= 0.0) & (got.to_go_nm >= 0.0)
    for at in np.flatnonzero(inside):
        distance_nm, _course, _arrival = inverse(lat.ravel()[at], lon.ravel()[at], *points)
        # The nearest of points 0.005 NM apart is never nearer than the foot, and hardly further.
        assert abs(float(got.cross_track_nm[at])) <= float(distance_nm.min()) + 1e-6
        assert abs(float(got.cross_track_nm[at])) == pytest.approx(float(distance_nm.min()), abs=0.003)


def test_an_arc_leaves_a_position_on_its_course() -> None:
    arc = arc_from(46.0, -28.0, 75.0, "left", 2.0, 100.0)

    lat, lon = arc.point_along(np.zeros(1))

    assert isinstance(arc, ArcPath)
    assert EARTH.Inverse(46.0, -28.0, float(lat[0]), float(lon[0]))["s12"] < 1e-3
    assert arc.start_course_deg_true == pytest.approx(75.0, abs=1e-6)
    assert arc.sweep_deg == pytest.approx(100.0)
