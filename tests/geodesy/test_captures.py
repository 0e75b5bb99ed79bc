from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import arc_between, fly_by_arc, fly_over_capture, line_between, line_from, line_to, ray_from
from legwise.geodesy import turn_deg as change_deg
from legwise.model.lesson import Turn
from legwise.model.plan import Path
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
TENTH_OF_A_METRE_NM = 0.1 / M_PER_NM


def legs(lat: float, lon: float, course: float, turn: float, out_nm: float = 30.0) -> tuple[Path, Path]:
    """Two legs that meet at a fix, set out with GeographicLib."""
    start = EARTH.Direct(lat, lon, course + 180.0, 20.0 * M_PER_NM)
    end = EARTH.Direct(lat, lon, course + turn, out_nm * M_PER_NM)
    inbound = line_between(start["lat2"], start["lon2"], lat, lon)
    outbound = line_between(lat, lon, end["lat2"], end["lon2"])
    assert inbound is not None
    assert outbound is not None
    return inbound, outbound


@settings(deadline=None, derandomize=True)
@given(
    lat=st.floats(-85, 85),
    lon=st.sampled_from([-28.0, 180.0, -179.9999]),
    course=st.floats(0, 360),
    turn=st.one_of(st.floats(1.5, 179.0), st.floats(-179.0, -1.5)),
    radius=st.floats(0.2, 2.0),
)
def test_it_begins_over_the_fix_and_ends_on_the_next_leg_without_a_corner(
    lat: float, lon: float, course: float, turn: float, radius: float
) -> None:
    inbound, outbound = legs(lat, lon, course, turn)

    capture = fly_over_capture(inbound, outbound, radius)

    assert capture is not None
    first, last = capture.point_along(np.zeros(1)), capture.point_at(np.zeros(1))
    assert EARTH.Inverse(lat, lon, float(first[0][0]), float(first[1][0]))["s12"] < 0.1
    joined = outbound.measure(*last)
    assert float(joined.cross_track_nm[0]) == pytest.approx(0.0, abs=TENTH_OF_A_METRE_NM)
    assert float(change_deg(capture.start_course_deg_true, inbound.end_course_deg_true)) == pytest.approx(0.0, abs=1e-6)
    assert float(change_deg(capture.end_course_deg_true, joined.course_deg_true[0])) == pytest.approx(0.0, abs=1e-3)
    for one, two in zip(capture.segments, capture.segments[1:], strict=False):
        before, after = one.point_at(np.zeros(1)), two.point_along(np.zeros(1))
        assert EARTH.Inverse(float(before[0][0]), float(before[1][0]), float(after[0][0]), float(after[1][0]))[
            "s12"
        ] == pytest.approx(0.0, abs=0.1)
        assert float(change_deg(one.end_course_deg_true, two.start_course_deg_true)) == pytest.approx(0.0, abs=1e-3)


def test_a_right_angle_intercepts_at_thirty_degrees() -> None:
    inbound, outbound = legs(46.0, -28.0, 90.0, 90.0)

    capture = fly_over_capture(inbound, outbound, 0.6366)

    # On the plane: 120 deg round, straight until R (1 - cos 30) is left, 30 deg back. Beside the leg after the first
    # turn by R (cos 90 - cos 30), along it by R (sin 90 + sin 30).
    assert capture is not None
    beside, along = 0.6366 * math.cos(math.radians(30)), 0.6366 * 1.5
    straight = (beside - 0.6366 * (1.0 - math.cos(math.radians(30)))) / math.sin(math.radians(30))
    assert [segment.length_nm for segment in capture.segments] == pytest.approx(
        [0.6366 * math.radians(120), straight, 0.6366 * math.radians(30)], abs=1e-4
    )
    on_leg = float(outbound.measure(*capture.point_at(np.zeros(1))).along_track_nm[0])
    assert on_leg == pytest.approx(along + straight * math.cos(math.radians(30)) + 0.6366 * 0.5, abs=1e-4)


def test_it_swings_out_to_the_far_side() -> None:
    inbound, outbound = legs(46.0, -28.0, 90.0, 90.0)
    capture = fly_over_capture(inbound, outbound, 1.0)
    assert capture is not None

    beside = outbound.measure(*capture.point_along(np.linspace(0.0, capture.length_nm, 100))).cross_track_nm

    # Left of the leg after a turn to the right, never right of it.
    assert float(beside.min()) == pytest.approx(-1.0, abs=0.01)
    assert float(beside.max()) < 1e-4


def test_the_long_way_round_where_the_turn_is_coded() -> None:
    inbound, outbound = legs(46.0, -28.0, 90.0, 90.0)

    left = fly_over_capture(inbound, outbound, 0.5, turn="left")

    assert left is not None
    # 270 deg and 30 more to the left, then back to the right.
    assert left.segments[0].length_nm == pytest.approx(0.5 * math.radians(300.0), abs=1e-4)


def test_onto_a_course_to_a_fix_a_ray_and_an_arc() -> None:
    inbound, _outbound = legs(46.0, -28.0, 0.0, 90.0)
    ahead = EARTH.Direct(46.0, -28.0, 90.0, 12.0 * M_PER_NM)
    station = EARTH.Direct(46.0, -28.0, 0.0, 10.0 * M_PER_NM)
    end = EARTH.Direct(station["lat2"], station["lon2"], 90.0, 10.0 * M_PER_NM)
    arc = arc_between(station["lat2"], station["lon2"], 46.0, -28.0, end["lat2"], end["lon2"], "left")
    assert arc is not None

    for outbound in (line_to(ahead["lat2"], ahead["lon2"], ahead["azi2"]), ray_from(46.0, -28.0, 90.0), arc):
        capture = fly_over_capture(inbound, outbound, 0.6)
        assert capture is not None
        on_it = outbound.measure(*capture.point_at(np.zeros(1)))
        assert float(on_it.cross_track_nm[0]) == pytest.approx(0.0, abs=TENTH_OF_A_METRE_NM)
        assert float(change_deg(capture.end_course_deg_true, on_it.course_deg_true[0])) == pytest.approx(0.0, abs=1e-2)


def test_a_fly_by_turn_onto_a_ray() -> None:
    inbound, _outbound = legs(46.0, -28.0, 0.0, 90.0)

    fly_by = fly_by_arc(inbound, ray_from(46.0, -28.0, 90.0), 0.6366)

    assert fly_by is not None
    assert fly_by.exit_nm == pytest.approx(0.6366, abs=1e-3)
    end = EARTH.Direct(46.0, -28.0, 90.0, fly_by.exit_nm * M_PER_NM)
    lat, lon = fly_by.path.point_at(np.zeros(1))
    assert EARTH.Inverse(end["lat2"], end["lon2"], float(lat[0]), float(lon[0]))["s12"] < 0.1


@pytest.mark.parametrize("turn", [0.0, 0.5, -0.9])
def test_no_capture_where_there_is_hardly_a_turn(turn: float) -> None:
    assert fly_over_capture(*legs(46.0, -28.0, 350.0, turn), 0.6) is None


@pytest.mark.parametrize("turn", ["left", "right"])
def test_no_capture_where_the_leg_is_too_short_or_the_turn_has_no_radius(turn: Turn) -> None:
    change = 90.0 if turn == "right" else -90.0

    assert fly_over_capture(*legs(46.0, -28.0, 10.0, change, out_nm=1.5), 0.6366) is None
    assert fly_over_capture(*legs(46.0, -28.0, 10.0, change, out_nm=2.5), 0.6366) is not None
    assert fly_over_capture(*legs(46.0, -28.0, 10.0, change), 0.0) is None
    assert fly_over_capture(*legs(46.0, -28.0, 10.0, change), float("nan")) is None


def test_no_capture_of_a_leg_that_lies_elsewhere() -> None:
    inbound, _outbound = legs(46.0, -28.0, 0.0, 90.0)
    far = line_from(47.5, -28.0, 90.0, 30.0)
    assert far is not None

    assert fly_over_capture(inbound, far, 0.6) is None
