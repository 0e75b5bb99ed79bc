"""A made approach, end to end: positions square to the course, set out with GeographicLib, through the public call.

Threshold 40 N 100 W, 1,000 ft, course 090 true there, runway 6,000 ft, half width 106.75 m, crossing height 50 ft,
3 deg.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from legwise.measure import judge_altitude, measure
from legwise.measure.glidepath import full_scale_ft
from legwise.model.alignment import Alignment
from legwise.model.deviations import Deviations
from legwise.model.lesson import ApproachGuidance, Lesson, Navigation
from legwise.model.plan import Plan, PlannedApproach
from legwise.model.track import AltitudeKind, Track
from legwise.units import M_PER_NM

# before NM, position, altitude ft | cross-track m, LPV full scale m, needle, angle at the apex deg
LATERAL = [
    (7.0, 40.0044037, -100.1518240, 3279.0, -500.0, 555.6, -0.900, -1.8968),
    (5.0, 39.9981480, -100.1084358, 2700.0, 200.0, 555.6, 0.360, 1.0056),
    (5.0, 40.0017505, -100.1084415, 2500.0, -200.0, 555.6, -0.360, -1.0056),
    (1.0, 39.9995477, -100.0216876, 1368.4, 50.0, 199.4, 0.251, 0.7187),
    (0.0, 39.9990386, -100.0000000, 1050.0, 106.75, 106.75, 1.000, 2.8640),
]
# constant angle: path ft, deviation ft, needle of 0.7 deg, needle of 0.75 deg
BAROMETRIC = [
    (3279.1, -0.1, 0.000, 0.000),
    (2642.2, 57.8, 0.151, 0.141),
    (2642.2, -142.2, -0.371, -0.346),
    (1368.4, 0.0, 0.000, 0.000),
    (1050.0, 0.0, 0.000, 0.000),
]
# straight line in space: path ft, deviation ft, needle of 0.75 deg capped at 150 m
STRAIGHT = [
    (3322.3, -43.3, -0.088),
    (2664.3, 35.7, 0.087),
    (2664.3, -164.3, -0.400),
    (1369.3, -0.9, -0.010),
    (1050.0, 0.0, 0.000),
]
METRES, NEEDLE, FEET, SCALE_M = 0.1, 0.002, 0.5, 0.1

Fly = Callable[..., tuple[Track, Alignment]]


@pytest.fixture
def deviations(
    make_approach: Callable[..., PlannedApproach],
    make_plan: Callable[..., Plan],
    make_track: Callable[..., Track],
    fly_final: Fly,
) -> Callable[..., Deviations]:
    def fly(guidance: ApproachGuidance, *, vertical: str = "sbas") -> Deviations:
        approach = make_approach(guidance)
        rows = LATERAL
        _track, alignment = fly_final(approach, [row[0] for row in rows])
        track = make_track(
            [row[1] for row in rows],
            [row[2] for row in rows],
            altitudes_ft={AltitudeKind.GNSS_MSL: [row[3] for row in rows]},
        )
        lesson = Lesson(navigation=Navigation(vertical="baro" if vertical == "baro" else "sbas"))
        return measure(track, make_plan(approach), lesson, alignment, judge_altitude(track, lesson))

    return fly


def test_lpv_lateral(deviations: Callable[..., Deviations]) -> None:
    got = deviations("LPV")

    assert got.cross_track_nm * M_PER_NM == pytest.approx([row[4] for row in LATERAL], abs=METRES)
    # The 7 NM row is as far as the ramp outside the fix, where the full scale of the table does not hold.
    assert got.lateral_full_scale_nm[1:] * M_PER_NM == pytest.approx([row[5] for row in LATERAL[1:]], abs=SCALE_M)
    assert got.lateral_needle[1:] == pytest.approx([row[6] for row in LATERAL[1:]], abs=NEEDLE)
    assert got.lateral_full_scale_nm[0] == pytest.approx(1.0, abs=1e-6)


def test_lpv_at_7_nm_inside_a_fix_farther_out(
    make_approach: Callable[..., PlannedApproach], make_plan: Callable[..., Plan], fly_final: Fly
) -> None:
    shape = make_approach("LPV")
    approach = make_approach("LPV", legs=(shape.legs[0], shape.legs[2]), faf_to_go_nm=9.0)
    track, alignment = fly_final(shape, [7.0], -500.0 / M_PER_NM)

    got = measure(track, make_plan(approach), Lesson(), _all_on(alignment), judge_altitude(track, Lesson()))

    assert got.lateral_needle == pytest.approx([-0.900], abs=NEEDLE)


def _all_on(alignment: Alignment) -> Alignment:
    """The same samples, all on the leg that ends at the threshold."""
    import dataclasses

    return dataclasses.replace(alignment, leg=np.ones_like(alignment.leg))


def test_ils_lateral_is_the_angle_at_the_antenna(deviations: Callable[..., Deviations]) -> None:
    got = deviations("ILS")

    # The table's apex lies 305 m beyond the stop end, an antenna 304.8 m. Angles against the linear scale: 0.001.
    by_angle = [row[7] / 2.8640 for row in LATERAL]
    assert got.lateral_needle == pytest.approx(by_angle, abs=NEEDLE)


def test_lpv_vertical_is_a_straight_line_in_space(deviations: Callable[..., Deviations]) -> None:
    got = deviations("LPV")

    assert got.vertical_path_ft == pytest.approx([row[0] for row in STRAIGHT], abs=FEET)
    assert got.vertical_deviation_ft == pytest.approx([row[1] for row in STRAIGHT], abs=FEET)
    assert got.vertical_needle == pytest.approx([row[2] for row in STRAIGHT], abs=NEEDLE)


@pytest.mark.parametrize("guidance", ["ILS", "GLS", "LNAV/VNAV"])
def test_so_is_every_glidepath_but_the_barometric_one(
    guidance: ApproachGuidance, deviations: Callable[..., Deviations]
) -> None:
    assert deviations(guidance).vertical_path_ft == pytest.approx([row[0] for row in STRAIGHT], abs=FEET)


def test_barometric_vertical_is_a_constant_angle(
    deviations: Callable[..., Deviations], make_approach: Callable[..., PlannedApproach]
) -> None:
    got = deviations("LNAV/VNAV", vertical="baro")
    before = np.array([row[0] for row in LATERAL])
    high = got.vertical_deviation_ft >= 0.0

    assert got.vertical_path_ft == pytest.approx([row[0] for row in BAROMETRIC], abs=FEET)
    assert got.vertical_deviation_ft == pytest.approx([row[1] for row in BAROMETRIC], abs=FEET)
    by_ils = got.vertical_deviation_ft / full_scale_ft(make_approach("ILS"), before, high)
    by_sbas = got.vertical_deviation_ft / full_scale_ft(make_approach("LPV"), before, high)
    assert by_ils == pytest.approx([row[2] for row in BAROMETRIC], abs=NEEDLE)
    assert by_sbas == pytest.approx([row[3] for row in BAROMETRIC], abs=NEEDLE)
    # The display's own scale is linear and the maker's: 150 ft here.
    assert got.vertical_needle == pytest.approx(got.vertical_deviation_ft / 150.0, abs=1e-9)


# 0.7 deg about 3 deg, at distances from where the path meets the ground: path ft, full scale up and down ft.
@pytest.mark.parametrize(
    ("distance_nm", "up_ft", "down_ft"),
    [(0.5, 37.2, 37.2), (1, 74.5, 74.4), (2, 149.0, 148.8), (3, 223.5, 223.2), (5, 372.4, 372.0), (10, 744.9, 743.9)],
)
def test_ils_glidepath_full_scale(
    distance_nm: float, up_ft: float, down_ft: float, make_approach: Callable[..., PlannedApproach]
) -> None:
    approach = make_approach("ILS", threshold_crossing_height_ft=0.0)

    up = float(full_scale_ft(approach, np.array(distance_nm), np.array(True)))
    down = float(full_scale_ft(approach, np.array(distance_nm), np.array(False)))

    assert up == pytest.approx(up_ft, abs=0.06)
    assert down == pytest.approx(down_ft, abs=0.06)


@pytest.mark.parametrize(
    ("guidance", "distance_nm", "metres"),
    [
        ("LPV", 1, 24.3),
        ("LPV", 2, 48.7),
        ("LPV", 3, 73.0),
        ("LPV", 5, 121.6),
        ("LPV", 6.19, 150.0),
        ("LPV", 9, 150.0),
        ("LPV", 0.62, 15.0),
        ("LPV", 0.1, 15.0),
        ("LNAV/VNAV", 1.86, 45.0),
        ("LNAV/VNAV", 0.5, 45.0),
    ],
)
def test_sbas_vertical_full_scale_with_its_cap_and_floors(
    guidance: ApproachGuidance, distance_nm: float, metres: float, make_approach: Callable[..., PlannedApproach]
) -> None:
    approach = make_approach(guidance, threshold_crossing_height_ft=0.0)

    scale = float(full_scale_ft(approach, np.array(distance_nm), np.array(True)))

    # The distances of cap and floors are printed to 0.01 NM, 0.25 m of full scale.
    assert scale * 0.3048 == pytest.approx(metres, abs=0.25 if distance_nm in (6.19, 1.86, 0.62) else 0.1)


def test_the_vertical_needle_ends_soon_past_the_threshold(
    make_approach: Callable[..., PlannedApproach], make_plan: Callable[..., Plan], fly_final: Fly
) -> None:
    approach = make_approach("ILS")
    track, alignment = fly_final(approach, [0.01, -0.1], 0.0, 1050.0)

    got = measure(track, make_plan(approach), Lesson(), alignment, judge_altitude(track, Lesson()))

    assert math.isfinite(got.vertical_needle[0])
    assert math.isnan(got.vertical_needle[1])
    assert np.isfinite(got.lateral_needle).all()
