from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import (
    ArcPath,
    Authority,
    ChainPath,
    GeodesicLine,
    HoldingPattern,
    holding_pattern,
    line_to,
    turn_deg,
)
from legwise.model.lesson import Turn
from legwise.model.plan import Fix, Hold
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
METRE_NM = 1.0 / M_PER_NM
AUTHORITIES: tuple[Authority, ...] = ("FAA", "ICAO")


def hold(
    inbound: float = 360.0,
    turn: Turn = "right",
    *,
    lat: float = 46.0,
    lon: float = -28.0,
    leg_minutes: float | None = None,
    leg_nm: float | None = None,
) -> Hold:
    return Hold(
        fix=Fix(ident="CALDU", lat_deg=lat, lon_deg=lon),
        inbound_course_deg_true=inbound,
        inbound_course_deg_mag=None,
        turn=turn,
        leg_minutes=leg_minutes,
        leg_nm=leg_nm,
    )


def flown(
    holding: Hold,
    tas_kt: float = 100.0,
    wind: tuple[float, float] = (0.0, 0.0),
    authority: Authority = "FAA",
    altitude_ft: float = 4000.0,
) -> HoldingPattern:
    pattern = holding_pattern(
        holding,
        tas_kt=tas_kt,
        altitude_ft=altitude_ft,
        wind_from_deg_true=wind[0],
        wind_kt=wind[1],
        authority=authority,
    )
    assert pattern is not None
    return pattern


def walked(
    start: tuple[float, float], heading: float, sweep: float, seconds: float, tas_kt: float, wind: tuple[float, float]
) -> tuple[float, float, list[tuple[float, float]]]:
    """An aircraft walked with GeographicLib in steps of a second, turning evenly through ``sweep``."""
    lat, lon = start
    steps = max(1, math.ceil(seconds))
    places = []
    for step in range(steps):
        now = math.radians(heading + sweep * (step + 0.5) / steps)
        toward = math.radians(wind[0] + 180.0)
        east = tas_kt * math.sin(now) + wind[1] * math.sin(toward)
        north = tas_kt * math.cos(now) + wind[1] * math.cos(toward)
        metres = math.hypot(east, north) * seconds / steps / 3600.0 * M_PER_NM
        place = EARTH.Direct(lat, lon, math.degrees(math.atan2(east, north)), metres)
        lat, lon = place["lat2"], place["lon2"]
        places.append((lat, lon))
    return lat, lon, places


def ends(path: ChainPath) -> tuple[tuple[float, float], tuple[float, float]]:
    first, last = path.point_along(np.zeros(1)), path.point_at(np.zeros(1))
    return (float(first[0][0]), float(first[1][0])), (float(last[0][0]), float(last[1][0]))


def metres(one: tuple[float, float], two: tuple[float, float]) -> float:
    return float(EARTH.Inverse(*one, *two)["s12"])


@pytest.mark.parametrize("authority", AUTHORITIES)
def test_in_still_air_it_is_two_half_circles_and_two_lines(authority: Authority) -> None:
    pattern = flown(hold(), 90.0, authority=authority)

    kinds = [type(segment) for segment in pattern.circuit.segments]
    assert kinds == [ArcPath, GeodesicLine, ArcPath, GeodesicLine]
    # Four minutes at 90 kt: 1.5 NM a part.
    assert pattern.circuit.length_nm == pytest.approx(6.0, abs=METRE_NM)
    for part in (pattern.outbound_turn, pattern.outbound, pattern.inbound_turn, pattern.inbound):
        assert part is not None
        assert part.length_nm == pytest.approx(1.5, abs=METRE_NM)
    assert pattern.outbound_s == pattern.outbound_timed_s == pytest.approx(60.0, abs=1e-3)
    assert pattern.inbound_s == pytest.approx(60.0, abs=1e-3)
    assert pattern.inbound_heading_deg_true % 360.0 == pytest.approx(0.0, abs=1e-9)
    assert pattern.outbound_heading_deg_true == pytest.approx(180.0, abs=1e-9)


@settings(deadline=None, derandomize=True, max_examples=30)
@given(
    lat=st.floats(-85, 85),
    lon=st.sampled_from([-28.0, 180.0, -179.99]),
    inbound=st.floats(0, 360),
    turn=st.sampled_from(["left", "right"]),
    tas_kt=st.floats(60, 250),
    wind_from=st.floats(0, 360),
    wind_part=st.sampled_from([0.0, 0.1, 0.25]),
    authority=st.sampled_from(AUTHORITIES),
)
def test_a_circuit_begins_and_ends_at_the_fix_and_holds_together(
    lat: float,
    lon: float,
    inbound: float,
    turn: Turn,
    tas_kt: float,
    wind_from: float,
    wind_part: float,
    authority: Authority,
) -> None:
    holding = hold(inbound, turn, lat=lat, lon=lon)
    pattern = holding_pattern(
        holding,
        tas_kt=tas_kt,
        altitude_ft=4000.0,
        wind_from_deg_true=wind_from,
        wind_kt=wind_part * tas_kt,
        authority=authority,
    )
    # A quarter of the airspeed from behind leaves ICAO's minute too short to come back in.
    if pattern is None:
        assert wind_part == 0.25
        return

    begin, end = ends(pattern.circuit)
    assert metres(begin, (lat, lon)) < 0.1
    assert metres(end, (lat, lon)) < 0.1
    parts = [
        part
        for part in (pattern.outbound_turn, pattern.outbound, pattern.inbound_turn, pattern.inbound)
        if part is not None
    ]
    for one, two in pairwise(parts):
        assert metres(ends(one)[1], ends(two)[0]) < 0.1
    for segment, following in pairwise(pattern.circuit.segments):
        assert metres(ends(ChainPath((segment,)))[1], ends(ChainPath((following,)))[0]) < 0.1
    assert sum(part.length_nm for part in parts) == pytest.approx(pattern.circuit.length_nm)
    assert float(turn_deg(pattern.circuit.end_course_deg_true, inbound)) == pytest.approx(0.0, abs=0.01)
    # All of it lies before the fix or abeam it by a turn, and on the holding side but for an overshoot.
    if wind_part == 0.0:
        side = 1.0 if turn == "right" else -1.0
        place = line_to(lat, lon, inbound).measure(*pattern.circuit.point_along(np.linspace(0.0, 3.0, 50)))
        assert float((side * place.cross_track_nm).min()) > -1e-3


@settings(deadline=None, derandomize=True, max_examples=25)
@given(inbound=st.floats(0, 360), wind_from=st.floats(0, 360), wind_kt=st.floats(1.0, 25.0))
def test_a_left_hand_hold_is_the_mirror_image_of_a_right_hand_one(
    inbound: float, wind_from: float, wind_kt: float
) -> None:
    right = flown(hold(inbound, "right", lon=0.0), 110.0, (wind_from, wind_kt))
    left = flown(hold(-inbound, "left", lon=0.0), 110.0, (-wind_from, wind_kt))
    along = np.linspace(0.0, right.circuit.length_nm, 60)

    here, there = right.circuit.point_along(along), left.circuit.point_along(along)

    assert left.circuit.length_nm == pytest.approx(right.circuit.length_nm, abs=0.1 * METRE_NM)
    assert there[0] == pytest.approx(here[0], abs=1e-7)
    assert -there[1] == pytest.approx(here[1], abs=1e-7)


def test_three_times_the_drift_correction_outbound() -> None:
    # The AIM's example: 8 deg left inbound, 24 deg right outbound. Wind square from the left, V sin 8.
    pattern = flown(hold(), 100.0, (270.0, 100.0 * math.sin(math.radians(8.0))))

    assert pattern.inbound_heading_deg_true == pytest.approx(352.0, abs=1e-6)
    assert pattern.outbound_heading_deg_true == pytest.approx(204.0, abs=1e-6)


@pytest.mark.parametrize("wind", [(0.0, 15.0), (45.0, 20.0), (90.0, 12.0), (180.0, 15.0), (270.0, 12.0), (300.0, 20.0)])
@pytest.mark.parametrize("turn", ["left", "right"])
def test_the_inbound_leg_lasts_its_minute_for_the_faa(turn: Turn, wind: tuple[float, float]) -> None:
    pattern = flown(hold(30.0, turn), 100.0, wind)

    assert pattern.inbound_s == pytest.approx(60.0, abs=0.01)
    # Checked by groundspeed: airspeed along the course less headwind.
    wind_from = math.radians(wind[0] - 30.0)
    along_kt = math.sqrt(100.0**2 - (wind[1] * math.sin(wind_from)) ** 2) - wind[1] * math.cos(wind_from)
    assert pattern.inbound is not None
    assert pattern.inbound.length_nm == pytest.approx(along_kt / 60.0, abs=1e-3)


def test_the_outbound_leg_is_timed_from_abeam_or_wings_level_for_icao() -> None:
    head = flown(hold(), 100.0, (0.0, 20.0), "ICAO")
    tail = flown(hold(), 100.0, (180.0, 10.0), "ICAO")

    # Headwind inbound: a minute's turn drifts back past abeam, so wings level is the later.
    assert head.outbound_s == head.outbound_timed_s == pytest.approx(60.0)
    # Tailwind inbound: drifted a sixth of a mile ahead, 90 kt back to abeam.
    assert tail.outbound_timed_s == pytest.approx(60.0)
    assert tail.outbound_s == pytest.approx(60.0 + 10.0 / 60.0 / 90.0 * 3600.0, abs=1e-3)


@pytest.mark.parametrize("wind", [(0.0, 20.0), (60.0, 15.0), (200.0, 10.0), (270.0, 12.0)])
@pytest.mark.parametrize("turn", ["left", "right"])
@pytest.mark.parametrize("authority", AUTHORITIES)
def test_the_drifted_turn_is_followed_within_ten_metres(
    authority: Authority, turn: Turn, wind: tuple[float, float]
) -> None:
    pattern = flown(hold(45.0, turn), 120.0, wind, authority)
    side = 1.0 if turn == "right" else -1.0
    sweep = (side * (pattern.outbound_heading_deg_true - pattern.inbound_heading_deg_true)) % 360.0

    lat, lon, places = walked((46.0, -28.0), pattern.inbound_heading_deg_true, side * sweep, sweep / 3.0, 120.0, wind)
    turned = ends(pattern.outbound_turn)[1]
    got = pattern.outbound_turn.measure(np.array([at[0] for at in places]), np.array([at[1] for at in places]))

    assert metres((lat, lon), turned) < 2.0
    assert float(np.abs(got.cross_track_nm).max()) * M_PER_NM < 10.0
    lat, lon, places = walked((lat, lon), pattern.outbound_heading_deg_true, 0.0, pattern.outbound_s, 120.0, wind)
    # The walker steers by the meridian where it is, the pattern by that of the fix: 3 m at 3 NM.
    assert metres((lat, lon), ends(pattern.inbound_turn)[0]) < 10.0


def test_hardly_any_wind_is_nearly_none() -> None:
    still, moved = flown(hold()), flown(hold(), wind=(70.0, 0.01))
    got = moved.circuit.measure(*still.circuit.point_along(np.linspace(0.05, still.circuit.length_nm - 0.05, 200)))

    assert float(np.abs(got.cross_track_nm).max()) * M_PER_NM < 10.0


# FAA AIM 5-3-8 figures 5-3-5 and 5-3-6: where the inbound turn begins by DME.
@pytest.mark.parametrize(("fix_dme", "leg_nm", "toward", "turn_dme"), [(10.0, 5.0, 1.0, 15.0), (28.0, 8.0, -1.0, 20.0)])
@pytest.mark.parametrize("wind", [(0.0, 0.0), (20.0, 15.0)])
def test_a_hold_by_dme(
    fix_dme: float, leg_nm: float, toward: float, turn_dme: float, wind: tuple[float, float]
) -> None:
    pattern = flown(hold(360.0, leg_nm=leg_nm), wind=wind)
    assert pattern.outbound is not None
    lat, lon = ends(pattern.outbound)[1]

    # Inbound toward the station the fix lies beyond it; abeam the inbound course, as the figures draw it.
    station = EARTH.Direct(46.0, -28.0, 0.0, toward * fix_dme * M_PER_NM)
    along = line_to(station["lat2"], station["lon2"], station["azi2"]).measure(np.array([lat]), np.array([lon]))

    assert abs(float(along.to_go_nm[0])) == pytest.approx(turn_dme, abs=0.001)


def test_published_minutes_rule_over_the_standard_ones() -> None:
    assert flown(hold(leg_minutes=1.5)).inbound_s == pytest.approx(90.0, abs=0.01)
    assert flown(hold(), altitude_ft=15_000.0).inbound_s == pytest.approx(90.0, abs=0.01)


@pytest.mark.parametrize("wind", [(0.0, 100.0), (0.0, 120.0), (90.0, 55.0), (90.0, 100.0), (180.0, 99.0)])
@pytest.mark.parametrize("authority", AUTHORITIES)
def test_a_wind_that_lets_no_such_pattern_gives_none(authority: Authority, wind: tuple[float, float]) -> None:
    assert (
        holding_pattern(
            hold(),
            tas_kt=100.0,
            altitude_ft=4000.0,
            wind_from_deg_true=wind[0],
            wind_kt=wind[1],
            authority=authority,
        )
        is None
    )


@pytest.mark.parametrize("tas_kt", [0.0, -10.0, float("nan"), float("inf")])
def test_no_pattern_without_an_airspeed(tas_kt: float) -> None:
    assert holding_pattern(hold(), tas_kt=tas_kt, altitude_ft=4000.0) is None


@pytest.mark.parametrize("authority", AUTHORITIES)
def test_no_pattern_of_what_is_missing_or_endless(authority: Authority) -> None:
    for holding in (hold(float("nan")), hold(leg_nm=1e6), hold(leg_nm=float("nan")), hold(leg_minutes=1e6)):
        assert holding_pattern(holding, tas_kt=100.0, altitude_ft=4000.0, authority=authority) is None
    assert holding_pattern(hold(), tas_kt=100.0, altitude_ft=4000.0, wind_kt=float("nan")) is None
    assert (
        holding_pattern(hold(), tas_kt=100.0, altitude_ft=4000.0, wind_from_deg_true=float("nan"), wind_kt=9.0) is None
    )


def test_a_strong_headwind_inbound_leaves_no_time_outbound() -> None:
    pattern = flown(hold(), 100.0, (0.0, 45.0))

    assert pattern.outbound_s == 0.0
    assert pattern.outbound is None
    assert pattern.inbound_s > 60.0
