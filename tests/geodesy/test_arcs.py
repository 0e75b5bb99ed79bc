from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from legwise.geodesy import ArcPath, arc_between, turn_deg
from legwise.model.lesson import Turn
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
MILLIMETRE_NM = 1e-3 / M_PER_NM
turns = st.sampled_from(["left", "right"])


def arc(turn: Turn = "right", **changes: float) -> ArcPath:
    shape = {"centre_lat_deg": 46.0, "centre_lon_deg": -28.0, "radius_nm": 10.0}
    bearings = {"start_bearing_deg": 300.0, "end_bearing_deg": 60.0}
    return ArcPath(turn=turn, **{**shape, **bearings, **changes})


def walked_nm(path: ArcPath, steps: int = 720) -> float:
    """Length of an arc: GeographicLib chords between points set out by bearing, extrapolated to no step."""

    def chords(count: int) -> float:
        sign = 1.0 if path.turn == "right" else -1.0
        spots = [
            EARTH.Direct(
                path.centre_lat_deg,
                path.centre_lon_deg,
                path.start_bearing_deg + sign * path.sweep_deg * step / count,
                path.radius_nm * M_PER_NM,
            )
            for step in range(count + 1)
        ]
        return sum(
            float(EARTH.Inverse(one["lat2"], one["lon2"], two["lat2"], two["lon2"])["s12"])
            for one, two in pairwise(spots)
        )

    return (4.0 * chords(steps) - chords(steps // 2)) / 3.0 / M_PER_NM


@pytest.mark.parametrize(("lat", "radius_nm"), [(0.0, 50.0), (46.0, 10.0), (46.0, 50.0), (-70.0, 30.0), (89.0, 20.0)])
def test_length_against_geographiclib_chords(lat: float, radius_nm: float) -> None:
    path = arc(centre_lat_deg=lat, radius_nm=radius_nm)

    assert path.length_nm == pytest.approx(walked_nm(path), abs=0.03 / M_PER_NM)


def test_sweep_goes_the_way_of_the_turn() -> None:
    assert arc("right").sweep_deg == pytest.approx(120.0)
    assert arc("left").sweep_deg == pytest.approx(240.0)


@given(
    lat=st.floats(-89.5, 89.5),
    lon=st.sampled_from([-180.0, -179.999, -28.0, 0.0, 179.999]),
    radius_nm=st.floats(0.3, 30.0),
    start=st.floats(0, 360),
    sweep=st.floats(5.0, 350.0),
    part=st.floats(0.0, 1.0),
    inside=st.floats(-0.25, 0.25),
    turn=turns,
)
def test_a_position_set_out_from_the_centre_is_found_there(
    lat: float, lon: float, radius_nm: float, start: float, sweep: float, part: float, inside: float, turn: Turn
) -> None:
    sign = 1.0 if turn == "right" else -1.0
    path = ArcPath(
        centre_lat_deg=lat,
        centre_lon_deg=lon,
        radius_nm=radius_nm,
        start_bearing_deg=start,
        end_bearing_deg=start + sign * sweep,
        turn=turn,
    )
    bearing = start + sign * sweep * part
    place = EARTH.Direct(lat, lon, bearing, radius_nm * (1.0 - inside) * M_PER_NM)
    foot = EARTH.Direct(lat, lon, bearing, radius_nm * M_PER_NM)

    got = path.measure(np.array([place["lat2"]]), np.array([place["lon2"]]))

    # Inside a right turn is right of the path, inside a left turn is left of it.
    assert float(got.cross_track_nm[0]) == pytest.approx(sign * inside * radius_nm, abs=MILLIMETRE_NM)
    assert float(got.to_go_nm[0]) == pytest.approx(path.length_nm * (1.0 - part), abs=MILLIMETRE_NM)
    assert float(turn_deg(got.course_deg_true[0], foot["azi2"] + sign * 90.0)) == pytest.approx(0.0, abs=1e-6)


@given(to_go_nm=st.floats(-5.0, 25.0), turn=turns)
def test_points_of_the_arc_are_on_it(to_go_nm: float, turn: Turn) -> None:
    path = arc(turn)

    got = path.measure(*path.point_at(np.array([to_go_nm])))

    assert float(got.cross_track_nm[0]) == pytest.approx(0.0, abs=MILLIMETRE_NM)
    assert float(got.to_go_nm[0]) == pytest.approx(to_go_nm, abs=MILLIMETRE_NM)


def test_it_goes_on_past_both_ends() -> None:
    path = arc()
    before = EARTH.Direct(46.0, -28.0, 290.0, 10.0 * M_PER_NM)
    after = EARTH.Direct(46.0, -28.0, 70.0, 10.0 * M_PER_NM)

    got = path.measure(np.array([before["lat2"], after["lat2"]]), np.array([before["lon2"], after["lon2"]]))

    ten_degrees_nm = math.radians(10.0) * 10.0
    assert got.to_go_nm == pytest.approx([path.length_nm + ten_degrees_nm, -ten_degrees_nm], abs=1e-5)


def test_an_arc_through_fixes_takes_their_mean_radius_or_the_published_one() -> None:
    start = EARTH.Direct(46.0, -28.0, 300.0, 10.0005 * M_PER_NM)
    end = EARTH.Direct(46.0, -28.0, 60.0, 9.9995 * M_PER_NM)
    ends = (46.0, -28.0, start["lat2"], start["lon2"], end["lat2"], end["lon2"])

    by_fixes = arc_between(*ends, "right")
    published = arc_between(*ends, "right", radius_nm=10.2)

    assert by_fixes is not None
    assert published is not None
    assert by_fixes.radius_nm == pytest.approx(10.0, abs=1e-6)
    assert published.radius_nm == 10.2
    assert by_fixes.start_bearing_deg == pytest.approx(300.0, abs=1e-6)
    assert by_fixes.end_bearing_deg == pytest.approx(60.0, abs=1e-6)
    assert by_fixes.start_course_deg_true == pytest.approx(float(start["azi2"] + 90.0) % 360.0, abs=1e-5)


def test_an_arc_without_length_or_radius_is_none() -> None:
    fix = EARTH.Direct(46.0, -28.0, 300.0, 10.0 * M_PER_NM)

    assert arc_between(46.0, -28.0, fix["lat2"], fix["lon2"], fix["lat2"], fix["lon2"], "right") is None
    assert arc_between(46.0, -28.0, 46.0, -28.0, fix["lat2"], fix["lon2"], "right") is None


def test_missing_positions_stay_missing() -> None:
    got = arc().measure(np.array([np.nan]), np.array([-28.0]))

    assert np.isnan([got.cross_track_nm[0], got.to_go_nm[0], got.course_deg_true[0]]).all()
