from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import ChainPath, EntryName, hold_entry, hold_entry_path, holding_pattern, turn_deg
from legwise.model.lesson import Turn
from legwise.model.plan import Fix, Hold
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
METRE_NM = 1.0 / M_PER_NM
# At 90 kt and 3 deg/s: a minute is 1.5 NM, the radius 1.5 / pi.
RADIUS_NM = 1.5 / math.pi
FIX = Fix(ident="CALDU", lat_deg=46.0, lon_deg=-28.0)


def hold(turn: Turn = "right", inbound: float = 360.0, *, fix: Fix = FIX, leg_nm: float | None = None) -> Hold:
    return Hold(fix=fix, inbound_course_deg_true=inbound, inbound_course_deg_mag=None, turn=turn, leg_nm=leg_nm)


def entered(holding: Hold, entry: EntryName, heading: float, wind: tuple[float, float] = (0.0, 0.0)) -> ChainPath:
    path = hold_entry_path(
        holding,
        entry,
        heading_deg_true=heading,
        tas_kt=90.0,
        altitude_ft=4000.0,
        wind_from_deg_true=wind[0],
        wind_kt=wind[1],
    )
    assert path is not None
    return path


def places(path: ChainPath) -> tuple[np.ndarray, np.ndarray]:
    """East and north of the fix [NM], every hundredth of a mile along a path, set out with GeographicLib."""
    lat, lon = path.point_along(np.arange(0.0, path.length_nm, 0.01))
    lines = [EARTH.Inverse(46.0, -28.0, float(one), float(two)) for one, two in zip(lat, lon, strict=True)]
    east = [line["s12"] / M_PER_NM * math.sin(math.radians(line["azi1"])) for line in lines]
    north = [line["s12"] / M_PER_NM * math.cos(math.radians(line["azi1"])) for line in lines]
    return np.array(east), np.array(north)


def nearest_nm(path: ChainPath, east: float, north: float) -> float:
    """How far the path passes from a place. [NM]"""
    place = EARTH.Direct(46.0, -28.0, math.degrees(math.atan2(east, north)), math.hypot(east, north) * M_PER_NM)
    got = path.measure(np.array([place["lat2"]]), np.array([place["lon2"]]))
    return abs(float(got.cross_track_nm[0]))


def test_a_direct_entry_straight_in_is_the_first_circuit() -> None:
    path = entered(hold(), "direct", 0.0)
    pattern = holding_pattern(hold(), tas_kt=90.0, altitude_ft=4000.0)

    assert pattern is not None
    assert path.length_nm == pytest.approx(pattern.circuit.length_nm, abs=METRE_NM)
    assert path.length_nm == pytest.approx(6.0, abs=METRE_NM)


def test_a_teardrop_flown_thirty_degrees_off_for_a_minute() -> None:
    # The heading on arrival is the teardrop's own: 150, no turn at the fix.
    path = entered(hold(), "teardrop", 150.0)

    # After a minute: 1.5 NM on 150; then 210 deg to the right about a centre R to the right of that.
    out = (1.5 * math.sin(math.radians(150)), 1.5 * math.cos(math.radians(150)))
    centre = (out[0] + RADIUS_NM * math.sin(math.radians(240)), out[1] + RADIUS_NM * math.cos(math.radians(240)))
    assert nearest_nm(path, *out) < METRE_NM
    assert nearest_nm(path, centre[0], centre[1] - RADIUS_NM) < METRE_NM
    # 2 R is less than the minute's 0.75 NM plus the bulge of the turn by little: it comes back on the course.
    east, _north = places(path)
    assert float(east.max()) == pytest.approx(centre[0] + RADIUS_NM, abs=0.001)


def test_a_parallel_entry_is_flown_beside_the_course_and_turned_back_through_the_holding_side() -> None:
    # Arriving on 200: 20 deg to the left onto 180, a minute, then left round past 360 and right onto the course.
    path = entered(hold(), "parallel", 200.0)

    east = -RADIUS_NM * (1.0 - math.cos(math.radians(20)))
    south = -RADIUS_NM * math.sin(math.radians(20))
    assert nearest_nm(path, east, south) < METRE_NM
    assert nearest_nm(path, east, south - 1.5) < METRE_NM
    # The turn back bulges to the holding side, the east, to 2 R from the outbound track.
    reached, _north = places(path)
    assert float(reached.min()) == pytest.approx(east, abs=0.001)
    assert float(reached.max()) == pytest.approx(east + 2.0 * RADIUS_NM, abs=0.001)
    turns = [segment.turn for segment in path.segments if hasattr(segment, "turn")]
    assert turns == ["left", "left", "right"]


@pytest.mark.parametrize(("turn", "side"), [("right", 1.0), ("left", -1.0)])
def test_the_way_out_of_a_teardrop_lies_on_the_holding_side_and_that_of_a_parallel_does_not(
    turn: Turn, side: float
) -> None:
    teardrop = places(entered(hold(turn), "teardrop", 180.0 - side * 30.0))[0]
    parallel = places(entered(hold(turn), "parallel", 180.0 + side * 60.0))[0]

    assert float((side * teardrop[:140]).min()) > -1e-6
    assert float((side * parallel[:140]).max()) < 1e-6


def test_an_entry_by_miles_turns_at_the_miles() -> None:
    path = entered(hold(leg_nm=4.0), "parallel", 180.0)

    _east, north = places(path)
    assert float(north.min()) == pytest.approx(-4.0 - RADIUS_NM, abs=0.001)


@settings(deadline=None, derandomize=True, max_examples=40)
@given(
    lat=st.floats(-85, 85),
    lon=st.sampled_from([-28.0, 180.0]),
    inbound=st.floats(0, 360),
    turn=st.sampled_from(["left", "right"]),
    heading=st.floats(0, 360),
    wind_from=st.floats(0, 360),
    wind_kt=st.sampled_from([0.0, 8.0]),
)
def test_every_entry_leads_from_the_fix_back_to_it_on_the_inbound_course(
    lat: float, lon: float, inbound: float, turn: Turn, heading: float, wind_from: float, wind_kt: float
) -> None:
    holding = hold(turn, inbound, fix=Fix(ident="CALDU", lat_deg=lat, lon_deg=lon))
    entry = hold_entry(inbound, turn, heading).name

    path = entered(holding, entry, heading, (wind_from, wind_kt))

    first, last = path.point_along(np.zeros(1)), path.point_at(np.zeros(1))
    assert EARTH.Inverse(lat, lon, float(first[0][0]), float(first[1][0]))["s12"] < 0.1
    assert EARTH.Inverse(lat, lon, float(last[0][0]), float(last[1][0]))["s12"] < 0.1
    assert float(turn_deg(path.end_course_deg_true, inbound)) == pytest.approx(0.0, abs=0.01)
    if wind_kt == 0.0:
        assert float(turn_deg(path.start_course_deg_true, heading)) == pytest.approx(0.0, abs=0.01)
    assert np.isfinite(path.point_along(np.linspace(0.0, path.length_nm, 50))).all()


def test_a_wind_that_blows_it_past_any_intercept_sends_it_straight_back_to_the_fix() -> None:
    # From 225 at 20 kt a parallel entry's minute outbound is too short to meet the course again before the fix.
    path = entered(hold(), "parallel", 220.0, (225.0, 20.0))

    last = path.point_at(np.zeros(1))
    assert EARTH.Inverse(46.0, -28.0, float(last[0][0]), float(last[1][0]))["s12"] < 0.1
    straight = path.segments[-1]
    lat, lon = straight.point_along(np.zeros(1))
    toward = EARTH.Inverse(float(lat[0]), float(lon[0]), 46.0, -28.0)["azi1"]
    assert float(turn_deg(straight.start_course_deg_true, toward)) == pytest.approx(0.0, abs=0.01)
    assert straight.length_nm > 0.3


@pytest.mark.parametrize("entry", ["direct", "teardrop", "parallel"])
def test_no_entry_in_a_wind_that_lets_none_and_none_without_an_airspeed(entry: EntryName) -> None:
    for tas_kt, wind_kt in ((90.0, 95.0), (0.0, 0.0)):
        path = hold_entry_path(
            hold(),
            entry,
            heading_deg_true=170.0,
            tas_kt=tas_kt,
            altitude_ft=4000.0,
            wind_from_deg_true=90.0,
            wind_kt=wind_kt,
        )
        assert path is None
