from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from legwise.geodesy import (
    GeodesicLine,
    anticipation_nm,
    arc_between,
    fly_by_arc,
    line_between,
    line_to,
    turn_deg,
    turn_radius_nm,
)
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
METRE_NM = 1.0 / M_PER_NM


# R = V / omega and V^2 / (g tan bank), worked out by hand; from 180 kt on the 25 deg bank binds. [kt, NM]
@pytest.mark.parametrize(
    ("speed_kt", "expected_nm"),
    [
        (60, 0.3183),
        (90, 0.4775),
        (100, 0.5305),
        (120, 0.6366),
        (160, 0.8488),
        (180, 1.0125),
        (200, 1.2500),
        (250, 1.9531),
    ],
)
def test_radius_is_the_wider_of_standard_rate_and_25_deg_of_bank(speed_kt: float, expected_nm: float) -> None:
    assert turn_radius_nm(speed_kt) == pytest.approx(expected_nm, abs=5e-5)


@pytest.mark.parametrize(
    ("speed_kt", "bank_deg", "expected_nm"),
    [(120, 15, 0.7831), (120, 20, 0.5765), (140, 30, 0.4947), (200, 15, 2.1753), (60, 30, 0.0909)],
)
def test_radius_by_bank_alone(speed_kt: float, bank_deg: float, expected_nm: float) -> None:
    assert turn_radius_nm(speed_kt, rate_dps=360.0, bank_deg=bank_deg) == pytest.approx(expected_nm, abs=5e-5)


def test_published_radius_at_45_and_60_deg_of_bank() -> None:
    # A training page's worked examples at 100 kt: 269 m and 156 m.
    assert turn_radius_nm(100, rate_dps=360.0, bank_deg=45.0) * M_PER_NM == pytest.approx(269.0, abs=1.0)
    assert turn_radius_nm(100, rate_dps=360.0, bank_deg=60.0) * M_PER_NM == pytest.approx(156.0, abs=1.0)


def test_the_two_rules_cross_at_169_8_kt() -> None:
    below, above = turn_radius_nm(169.7), turn_radius_nm(169.9)

    assert below == pytest.approx(169.7 / (60.0 * math.pi), rel=1e-9)
    assert above > 169.9 / (60.0 * math.pi)


@pytest.mark.parametrize(
    ("speed_kt", "turn", "expected_nm"),
    [(90, 30, 0.1279), (90, 90, 0.4775), (120, 45, 0.2637), (120, -120, 1.1027), (150, 60, 0.4594), (180, 30, 0.2559)],
)
def test_turn_anticipation_at_standard_rate(speed_kt: float, turn: float, expected_nm: float) -> None:
    radius = turn_radius_nm(speed_kt, bank_deg=89.0)

    assert anticipation_nm(radius, turn) == pytest.approx(expected_nm, abs=2e-4)


def legs(
    lat: float, lon: float, course: float, turn: float, in_nm: float = 20.0, out_nm: float = 20.0
) -> tuple[GeodesicLine, GeodesicLine]:
    """Two legs that meet at a fix, set out with GeographicLib."""
    start = EARTH.Direct(lat, lon, course + 180.0, in_nm * M_PER_NM)
    end = EARTH.Direct(lat, lon, course + turn, out_nm * M_PER_NM)
    inbound = line_between(start["lat2"], start["lon2"], lat, lon)
    outbound = line_between(lat, lon, end["lat2"], end["lon2"])
    assert inbound is not None
    assert outbound is not None
    return inbound, outbound


@given(
    lat=st.floats(-89.8, 89.8),
    lon=st.sampled_from([-28.0, 180.0, -179.9999]),
    course=st.floats(0, 360),
    turn=st.floats(1.5, 149.0),
    left=st.booleans(),
    radius=st.floats(0.2, 2.0),
)
def test_the_arc_joins_both_legs_without_a_corner(
    lat: float, lon: float, course: float, turn: float, left: bool, radius: float
) -> None:
    turn = -turn if left else turn
    inbound, outbound = legs(lat, lon, course, turn)

    fly_by = fly_by_arc(inbound, outbound, radius)

    assert fly_by is not None
    assert fly_by.turn_deg == pytest.approx(turn, abs=1e-6)
    # The plane's lead is within a metre on the ellipsoid, whose sphere differs by (lead / R)^2.
    assert fly_by.lead_nm == pytest.approx(anticipation_nm(radius, turn), abs=METRE_NM)
    assert fly_by.exit_nm == pytest.approx(fly_by.lead_nm, abs=METRE_NM)
    for leg, arc_to_go, leg_to_go, arc_course in (
        (inbound, fly_by.path.length_nm, fly_by.lead_nm, fly_by.path.start_course_deg_true),
        (outbound, 0.0, outbound.length_nm - fly_by.exit_nm, fly_by.path.end_course_deg_true),
    ):
        joint = leg.measure(*fly_by.path.point_at(np.array([arc_to_go])))
        assert float(joint.cross_track_nm[0]) == pytest.approx(0.0, abs=0.01 * METRE_NM)
        assert float(joint.to_go_nm[0]) == pytest.approx(leg_to_go, abs=0.01 * METRE_NM)
        assert float(turn_deg(arc_course, joint.course_deg_true[0])) == pytest.approx(0.0, abs=1e-3)


def test_the_arc_cuts_the_corner_on_the_inside() -> None:
    inbound, outbound = legs(46.0, -28.0, 0.0, 90.0)

    fly_by = fly_by_arc(inbound, outbound, 0.6366)

    assert fly_by is not None
    at_fix = fly_by.path.measure(np.array([46.0]), np.array([-28.0]))
    # The fix lies outside a right turn, left of it, by R (1/cos 45 - 1).
    assert float(at_fix.cross_track_nm[0]) == pytest.approx(-0.6366 * (math.sqrt(2.0) - 1.0), abs=1e-5)
    # The along-track cut 2 R tan(turn/2) - R turn.
    assert fly_by.lead_nm + fly_by.exit_nm - fly_by.path.length_nm == pytest.approx(
        0.6366 * (2.0 - math.pi / 2.0), abs=1e-5
    )


@pytest.mark.parametrize("turn", [0.0, 0.5, -0.9, 151.0, -170.0, 180.0])
def test_no_arc_for_hardly_a_turn_or_nearly_a_reversal(turn: float) -> None:
    assert fly_by_arc(*legs(46.0, -28.0, 350.0, turn), 0.6) is None


def test_no_arc_where_a_leg_is_too_short_for_it() -> None:
    assert fly_by_arc(*legs(46.0, -28.0, 10.0, 90.0, in_nm=0.5), 0.6) is None
    assert fly_by_arc(*legs(46.0, -28.0, 10.0, 90.0, out_nm=0.5), 0.6) is None
    assert fly_by_arc(*legs(46.0, -28.0, 10.0, 90.0, out_nm=0.7), 0.6) is not None


def test_a_turn_onto_a_course_without_a_start() -> None:
    inbound, _outbound = legs(46.0, -28.0, 0.0, 90.0)
    ahead = EARTH.Direct(46.0, -28.0, 90.0, 8.0 * M_PER_NM)
    onto = line_to(ahead["lat2"], ahead["lon2"], float(ahead["azi2"]) % 360.0)

    fly_by = fly_by_arc(inbound, onto, 0.6366)

    assert fly_by is not None
    assert fly_by.exit_nm == pytest.approx(0.6366, abs=1e-3)


def test_a_turn_off_an_arc() -> None:
    centre = (46.0, -28.0)
    start = EARTH.Direct(*centre, 300.0, 10.0 * M_PER_NM)
    end = EARTH.Direct(*centre, 0.0, 10.0 * M_PER_NM)
    arc = arc_between(*centre, start["lat2"], start["lon2"], end["lat2"], end["lon2"], "right")
    radial = line_between(end["lat2"], end["lon2"], *centre)
    assert arc is not None
    assert radial is not None

    fly_by = fly_by_arc(arc, radial, 0.6)

    assert fly_by is not None
    # Inside the arc, R = 10: the centre of the turn lies 9.4 from the station and 0.6 abeam the radial.
    assert fly_by.exit_nm == pytest.approx(10.0 - math.sqrt(9.4**2 - 0.6**2), abs=1e-4)
