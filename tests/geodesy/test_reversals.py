from __future__ import annotations

import math
from typing import Literal

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import (
    Authority,
    Category,
    ProcedureTurn,
    ReversalPath,
    base_turn_minutes,
    holding_pattern,
    procedure_turn_leg_s,
    reversal_path,
    turn_deg,
)
from legwise.model.lesson import Turn
from legwise.model.plan import Fix, Hold, Reversal
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
METRE_NM = 1.0 / M_PER_NM
Kind = Literal["procedure-turn", "base-turn", "racetrack"]
# At 90 kt and 3 deg/s: a minute is 1.5 NM, the radius 1.5 / pi.
MINUTE_NM = 1.5
RADIUS_NM = 1.5 / math.pi
FIX = Fix(ident="CALDU", lat_deg=46.0, lon_deg=-28.0)


def reversal(
    kind: Kind = "procedure-turn",
    turn: Turn = "left",
    *,
    outbound: float = 0.0,
    inbound: float = 180.0,
    limit_nm: float | None = None,
    fix: Fix = FIX,
) -> Reversal:
    return Reversal(
        fix=fix,
        kind=kind,
        outbound_course_deg_true=outbound,
        outbound_course_deg_mag=None,
        inbound_course_deg_true=inbound,
        turn=turn,
        limit_nm=limit_nm,
    )


def flown(
    drawn: Reversal,
    tas_kt: float = 90.0,
    *,
    wind: tuple[float, float] = (0.0, 0.0),
    authority: Authority = "FAA",
    category: Category = "A",
    procedure_turn: ProcedureTurn = "45/180",
    outbound_minutes: float | None = None,
) -> ReversalPath:
    made = reversal_path(
        drawn,
        tas_kt=tas_kt,
        wind_from_deg_true=wind[0],
        wind_kt=wind[1],
        authority=authority,
        category=category,
        procedure_turn=procedure_turn,
        outbound_minutes=outbound_minutes,
    )
    assert made is not None
    return made


def off_nm(made: ReversalPath, east: float, north: float) -> float:
    """How far the path passes from a place east and north of the fix. [NM]"""
    place = EARTH.Direct(46.0, -28.0, math.degrees(math.atan2(east, north)), math.hypot(east, north) * M_PER_NM)
    return abs(float(made.path.measure(np.array([place["lat2"]]), np.array([place["lon2"]])).cross_track_nm[0]))


# 1 min for A and B, 1 min 15 s for C to E (ICAO Doc 8168), 1 min (FAA handbook): from memory.
@pytest.mark.parametrize(
    ("authority", "category", "seconds"),
    [
        ("ICAO", "A", 60),
        ("ICAO", "B", 60),
        ("ICAO", "C", 75),
        ("ICAO", "D", 75),
        ("ICAO", "E", 75),
        ("FAA", "A", 60),
        ("FAA", "D", 60),
    ],
)
def test_the_time_on_the_leg_aside(authority: Authority, category: Category, seconds: float) -> None:
    assert procedure_turn_leg_s(authority, category) == seconds


@pytest.mark.parametrize(("turn", "side"), [("left", -1.0), ("right", 1.0)])
@pytest.mark.parametrize("authority", ["FAA", "ICAO"])
def test_a_45_180_procedure_turn_by_the_plane(authority: Authority, turn: Turn, side: float) -> None:
    made = flown(reversal(turn=turn), authority=authority)

    # A minute out, 45 deg aside, a minute from wings level (FAA) or from the start of the turn, 15 s of it (ICAO).
    slant = math.sqrt(0.5)
    aside_nm = MINUTE_NM if authority == "FAA" else 0.75 * MINUTE_NM
    turned = (RADIUS_NM * (1.0 - slant), MINUTE_NM + RADIUS_NM * slant)
    rolled = (turned[0] + aside_nm * slant, turned[1] + aside_nm * slant)
    # Back round the other way about a centre R square to the leg, ahead of it on the course's side.
    centre = (rolled[0] - RADIUS_NM * slant, rolled[1] + RADIUS_NM * slant)
    for east, north in (
        (0.0, MINUTE_NM),
        turned,
        rolled,
        (centre[0] - RADIUS_NM * slant, centre[1] + RADIUS_NM * slant),
    ):
        assert off_nm(made, side * east, north) < METRE_NM
    # The farthest point of that circle as seen from the fix lies on the turn.
    assert made.farthest_nm == pytest.approx(math.hypot(*centre) + RADIUS_NM, abs=METRE_NM)
    assert made.outbound_s == 60.0


def test_an_80_260_procedure_turn_by_the_plane() -> None:
    made = flown(reversal(turn="right"), procedure_turn="80/260")

    # 80 deg to the right about a centre R to the right, then 260 deg to the left about one on the other side.
    turned = (RADIUS_NM * (1.0 - math.cos(math.radians(80))), MINUTE_NM + RADIUS_NM * math.sin(math.radians(80)))
    centre = (
        turned[0] - RADIUS_NM * math.cos(math.radians(80)),
        turned[1] + RADIUS_NM * math.sin(math.radians(80)),
    )
    assert off_nm(made, *turned) < METRE_NM
    assert off_nm(made, centre[0], centre[1] + RADIUS_NM) < METRE_NM
    assert made.farthest_nm == pytest.approx(math.hypot(*centre) + RADIUS_NM, abs=METRE_NM)


# 36 / angle to 170 kt, 0.215 TAS / angle above (ICAO Doc 8168, from memory).
@pytest.mark.parametrize(
    ("apart_deg", "tas_kt", "minutes"), [(36, 90, 1.0), (18, 90, 2.0), (12, 170, 3.0), (21.5, 200, 2.0), (43, 200, 1.0)]
)
def test_base_turn_times(apart_deg: float, tas_kt: float, minutes: float) -> None:
    assert base_turn_minutes(340.0, 340.0 + apart_deg - 180.0, tas_kt) == pytest.approx(minutes)
    assert base_turn_minutes(20.0, 20.0 - apart_deg - 180.0, tas_kt) == pytest.approx(minutes)


def test_a_base_turn_without_an_angle_has_no_time_of_its_own() -> None:
    assert base_turn_minutes(0.0, 180.0, 90.0) is None
    assert base_turn_minutes(0.0, 185.0, 90.0) is None
    assert flown(reversal("base-turn")).outbound_s == 60.0


def test_a_base_turn_at_its_time_comes_out_on_its_course() -> None:
    # 18 deg left of the course back, two minutes out; the turn of 198 deg to the right is 2 R wide and some.
    made = flown(reversal("base-turn", "right", outbound=342.0, inbound=180.0))

    out = (3.0 * math.sin(math.radians(-18)), 3.0 * math.cos(math.radians(-18)))
    centre = (out[0] + RADIUS_NM * math.cos(math.radians(18)), out[1] + RADIUS_NM * math.sin(math.radians(18)))
    assert off_nm(made, *out) < METRE_NM
    assert off_nm(made, centre[0], centre[1] + RADIUS_NM) < METRE_NM
    # How near the rule of 36 comes: the turn ends R (1 + cos 18) across, within a tenth of a mile of the course.
    assert abs(centre[0] + RADIUS_NM) < 0.1
    assert made.outbound_s == 120.0


@pytest.mark.parametrize("turn", ["left", "right"])
def test_a_racetrack_is_flown_as_a_hold_timed_outbound(turn: Turn) -> None:
    made = flown(reversal("racetrack", turn), 110.0, wind=(150.0, 14.0), authority="ICAO")
    pattern = holding_pattern(
        Hold(fix=FIX, inbound_course_deg_true=180.0, inbound_course_deg_mag=None, turn=turn),
        tas_kt=110.0,
        altitude_ft=4000.0,
        wind_from_deg_true=150.0,
        wind_kt=14.0,
        authority="ICAO",
    )

    assert pattern is not None
    assert made.path.length_nm == pytest.approx(pattern.circuit.length_nm, abs=METRE_NM)


def test_the_limit_is_answered() -> None:
    near, far = flown(reversal(limit_nm=10.0)), flown(reversal(limit_nm=10.0), 180.0, outbound_minutes=3.0)

    assert near.within_limit is True
    assert far.within_limit is False
    assert far.farthest_nm > 10.0
    assert flown(reversal()).within_limit is None


@settings(deadline=None, derandomize=True, max_examples=40)
@given(
    lat=st.floats(-85, 85),
    lon=st.sampled_from([-28.0, 180.0]),
    outbound=st.floats(0, 360),
    turn=st.sampled_from(["left", "right"]),
    kind=st.sampled_from(["45/180", "80/260", "base-turn", "racetrack"]),
    tas_kt=st.floats(70, 180),
    wind_from=st.floats(0, 360),
    wind_part=st.sampled_from([0.0, 0.05]),
    authority=st.sampled_from(["FAA", "ICAO"]),
)
def test_every_reversal_leads_from_the_fix_back_to_it_on_the_inbound_course(
    lat: float,
    lon: float,
    outbound: float,
    turn: Turn,
    kind: Literal["45/180", "80/260", "base-turn", "racetrack"],
    tas_kt: float,
    wind_from: float,
    wind_part: float,
    authority: Authority,
) -> None:
    # A base turn's outbound course lies 20 deg off, on the side that its turn comes back from.
    aside = (20.0 if turn == "right" else -20.0) if kind == "base-turn" else 0.0
    drawn = reversal(
        "procedure-turn" if kind in ("45/180", "80/260") else "base-turn" if kind == "base-turn" else "racetrack",
        turn,
        outbound=outbound,
        inbound=outbound + 180.0 + aside,
        fix=Fix(ident="CALDU", lat_deg=lat, lon_deg=lon),
    )
    made = flown(
        drawn,
        tas_kt,
        wind=(wind_from, wind_part * tas_kt),
        authority=authority,
        procedure_turn="80/260" if kind == "80/260" else "45/180",
        outbound_minutes=2.0,
    )

    first, last = made.path.point_along(np.zeros(1)), made.path.point_at(np.zeros(1))
    assert EARTH.Inverse(lat, lon, float(first[0][0]), float(first[1][0]))["s12"] < 0.1
    assert EARTH.Inverse(lat, lon, float(last[0][0]), float(last[1][0]))["s12"] < 0.1
    assert float(turn_deg(made.path.end_course_deg_true, drawn.inbound_course_deg_true)) == pytest.approx(0, abs=0.01)
    if kind != "racetrack":
        assert float(turn_deg(made.path.start_course_deg_true, outbound)) == pytest.approx(0.0, abs=0.01)
    lats, lons = made.path.point_along(np.linspace(0.0, made.path.length_nm, 200))
    away = [EARTH.Inverse(lat, lon, float(one), float(two))["s12"] for one, two in zip(lats, lons, strict=True)]
    assert max(away) / M_PER_NM <= made.farthest_nm + METRE_NM
    assert max(away) / M_PER_NM == pytest.approx(made.farthest_nm, abs=0.01)


@settings(deadline=None, derandomize=True, max_examples=20)
@given(outbound=st.floats(0, 360), wind_from=st.floats(0, 360), wind_kt=st.floats(0.5, 15.0))
def test_drawn_on_the_other_side_it_is_the_mirror_image(outbound: float, wind_from: float, wind_kt: float) -> None:
    fix = Fix(ident="CALDU", lat_deg=46.0, lon_deg=0.0)
    left = flown(reversal(turn="left", outbound=outbound, inbound=outbound + 180.0, fix=fix), wind=(wind_from, wind_kt))
    right = flown(
        reversal(turn="right", outbound=-outbound, inbound=-outbound - 180.0, fix=fix), wind=(-wind_from, wind_kt)
    )

    assert right.farthest_nm == pytest.approx(left.farthest_nm, abs=METRE_NM)
    assert right.path.length_nm == pytest.approx(left.path.length_nm, abs=METRE_NM)


@pytest.mark.parametrize("kind", ["procedure-turn", "base-turn", "racetrack"])
def test_no_reversal_in_a_wind_that_lets_none_and_none_without_an_airspeed(kind: Kind) -> None:
    drawn = reversal(kind)

    assert reversal_path(drawn, tas_kt=90.0, wind_from_deg_true=90.0, wind_kt=95.0) is None
    assert reversal_path(drawn, tas_kt=float("nan")) is None
    assert reversal_path(drawn, tas_kt=90.0, outbound_minutes=1e6) is None
    assert reversal_path(reversal(kind, outbound=float("nan")), tas_kt=90.0) is None
