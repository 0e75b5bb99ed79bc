"""Needles on an approach by guidance, receiver and how the final course was selected."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import numpy as np
import pytest

from legwise.geodesy import line_between
from legwise.measure import judge_altitude, measure
from legwise.model.alignment import Alignment, FlownLeg, Phase
from legwise.model.deviations import Deviations
from legwise.model.lesson import ApproachGuidance, Lesson, Navigation
from legwise.model.plan import Fix, Plan, PlannedApproach
from legwise.model.track import AltitudeKind, Track

ApproachMaker = Callable[..., PlannedApproach]
Fly = Callable[..., tuple[Track, Alignment]]
Needles = Callable[..., Deviations]


@pytest.fixture
def needles(make_plan: Callable[..., Plan], fly_final: Fly) -> Needles:
    def fly(
        approach: PlannedApproach,
        before_nm: list[float],
        right_nm: float = 0.1,
        altitude_ft: float = 2000.0,
        *,
        lesson: Lesson | None = None,
        kind: AltitudeKind = AltitudeKind.GNSS_MSL,
        phase: Phase = Phase.APPROACH,
    ) -> Deviations:
        lesson = lesson or Lesson()
        track, alignment = fly_final(approach, before_nm, right_nm, altitude_ft, kind=kind, phase=phase)
        return measure(track, make_plan(approach), lesson, alignment, judge_altitude(track, lesson))

    return fly


@pytest.mark.parametrize("receiver", ["sbas", "gps"])
def test_lnav_ramps_from_2_nm_before_the_faf(receiver: str, make_approach: ApproachMaker, needles: Needles) -> None:
    # The fix is 5 NM out: 1 NM until 7, linear to 0.3 at it, 0.3 to the end (FAA AIM 1-1-17 b5(e)(5)).
    lesson = Lesson(navigation=Navigation(receiver="gps" if receiver == "gps" else "sbas"))

    got = needles(make_approach("LNAV"), [9.0, 7.0, 6.5, 6.0, 5.5, 5.0001, 4.9, 0.0], lesson=lesson)

    assert got.lateral_full_scale_nm == pytest.approx([1.0, 1.0, 0.825, 0.65, 0.475, 0.3, 0.3, 0.3], abs=0.001)
    assert got.lateral_needle == pytest.approx(0.1 / got.lateral_full_scale_nm, abs=1e-4)


def test_lpv_ramps_to_its_capped_splay(make_approach: ApproachMaker, needles: Needles) -> None:
    got = needles(make_approach("LPV"), [8.0, 6.0, 5.0001, 4.0, 1.0])

    # Splay of a 6,000 ft runway: 570 m at 5 NM, so the cap of 0.3 NM holds there; 477.4 m at 4 NM, 199.4 m at 1 NM.
    assert got.lateral_full_scale_nm == pytest.approx([1.0, 0.65, 0.3, 477.4 / 1852, 199.4 / 1852], abs=0.0005)


def test_a_short_final_segment_ramps_to_the_splay_itself(make_approach: ApproachMaker, needles: Needles) -> None:
    approach = make_approach("LPV", faf_to_go_nm=3.0)

    got = needles(approach, [5.0001])

    # 384.7 m at 3 NM.
    assert got.lateral_full_scale_nm == pytest.approx([384.7 / 1852], abs=0.0005)


def test_final_only_is_1_nm_until_the_splay_is_as_wide(make_approach: ApproachMaker, needles: Needles) -> None:
    # FAA AIM 1-1-18 d4: whatever the distance to the final approach fix, and no cap of 0.3 NM.
    approach = make_approach("LPV", selected_final_only=True)
    lnav = make_approach("LNAV", selected_final_only=True)

    got = needles(approach, [9.9, 7.0, 5.0, 1.0])

    assert got.lateral_full_scale_nm == pytest.approx(np.array([1024.0, 755.3, 570.0, 199.4]) / 1852, abs=0.001)
    assert needles(lnav, [5.0, 1.0]).lateral_full_scale_nm == pytest.approx([570.0 / 1852, 0.3], abs=0.001)
    far = make_approach("LPV", selected_final_only=True, half_width_at_threshold_ft=500.0)
    assert float(needles(far, [18.0]).lateral_full_scale_nm[0]) == 1.0


@pytest.mark.parametrize("guidance", ["ILS", "LOC", "LDA", "SDF", "GLS"])
def test_a_localizer_needle_is_angular_outside_the_faf_too_and_has_no_cap(
    guidance: ApproachGuidance, make_approach: ApproachMaker, needles: Needles
) -> None:
    # w (D + d) / D with 350 ft and D = 7,000 ft.
    approach = make_approach(guidance, half_width_at_threshold_ft=350.0)

    got = needles(approach, [9.0, 5.0, 1.0])

    feet = [350.0 * (7000.0 + distance * 1852 / 0.3048) / 7000.0 for distance in (9.0, 5.0, 1.0)]
    assert got.lateral_full_scale_nm * 1852 / 0.3048 == pytest.approx(feet, abs=1.0)


def test_a_localizer_antenna_given_as_the_station_is_the_origin(make_approach: ApproachMaker, needles: Needles) -> None:
    plain = make_approach("LOC", half_width_at_threshold_ft=350.0)
    assert plain.final_path is not None
    lat, lon = plain.final_path.point_at(np.array([-1.5]))
    station = Fix(ident="ITB", lat_deg=float(lat[0]), lon_deg=float(lon[0]))

    got = needles(dataclasses.replace(plain, navaid=station), [3.0])

    assert got.lateral_full_scale_nm * 1852 / 0.3048 == pytest.approx([350.0 * 4.5 / 1.5], abs=0.5)


def test_before_the_final_course_a_localizer_approach_is_flown_by_area_navigation(
    make_approach: ApproachMaker,
    make_plan: Callable[..., Plan],
    make_track: Callable[..., Track],
    make_flown: Callable[..., FlownLeg],
    make_alignment: Callable[..., Alignment],
) -> None:
    approach = make_approach("ILS")
    far = approach.legs[0].to_fix
    assert far is not None
    base = line_between(far.lat_deg + 0.1, far.lon_deg, far.lat_deg, far.lon_deg)
    leg = dataclasses.replace(approach.legs[1], id="A1.1", path=base, to_fix=far)
    approach = dataclasses.replace(approach, legs=(leg, *approach.legs[1:]))
    track = make_track([far.lat_deg + 0.05], [far.lon_deg + 0.001])
    alignment = make_alignment(1, [make_flown(base, 0, 1, planned=leg)], phase=Phase.APPROACH)

    got = measure(track, make_plan(approach), Lesson(), alignment, judge_altitude(track, Lesson()))

    assert got.lateral_full_scale_nm == pytest.approx([1.0])
    assert np.isnan(got.vertical_needle).all()


def test_a_vor_needle_goes_by_the_bearing_from_its_station(make_approach: ApproachMaker, needles: Needles) -> None:
    # The station at the threshold, 1,000 ft up: 0.658 NM off at 5 NM is 7.5 of 10 deg.
    station = Fix(ident="TBN", lat_deg=40.0, lon_deg=-100.0, kind="vor", elevation_ft=1000.0)
    approach = make_approach("VOR", navaid=station)

    got = needles(approach, [5.0001, 5.0], 0.6583, altitude_ft=2500.0)

    assert got.lateral_needle == pytest.approx([0.75, 0.75], abs=0.001)
    # 1,500 ft above it the cone of 50 deg reaches 0.294 NM.
    over = needles(approach, [0.35, 0.25], 0.0, altitude_ft=2500.0)
    assert np.isfinite(over.lateral_full_scale_nm[0])
    assert np.isnan(over.lateral_full_scale_nm[1])


@pytest.mark.parametrize(("guidance", "word"), [("NDB", "NDB"), (None, "not given"), ("VOR", "station is not given")])
def test_where_no_needle_is_known_the_distance_stays_and_it_is_said(
    guidance: ApproachGuidance | None, word: str, make_approach: ApproachMaker, needles: Needles
) -> None:
    got = needles(make_approach(guidance), [6.0, 3.0])

    assert np.isnan(got.lateral_needle).all()
    assert got.cross_track_nm == pytest.approx([0.1, 0.1], abs=1e-5)
    assert any(word in note for note in got.notes)


def test_an_lpv_without_a_runway_has_no_known_width(make_approach: ApproachMaker, needles: Needles) -> None:
    got = needles(make_approach("LPV", runway=None), [3.0])

    assert np.isnan(got.lateral_needle).all()
    assert np.isnan(got.vertical_path_ft).all()
    assert any("without a runway" in note for note in got.notes)


@pytest.mark.parametrize("guidance", ["LNAV", "LP", "LOC", "VOR"])
def test_without_a_glidepath_nothing_vertical_is_judged(
    guidance: ApproachGuidance, make_approach: ApproachMaker, needles: Needles
) -> None:
    got = needles(make_approach(guidance, mda_ft=1500.0, da_ft=None), [6.0, 3.0])

    for column in (got.vertical_path_ft, got.vertical_deviation_ft, got.vertical_full_scale_ft, got.vertical_needle):
        assert np.isnan(column).all()


def test_the_glidepath_needle_reaches_10_nm_or_2_nm_beyond_the_faf(
    make_approach: ApproachMaker, needles: Needles
) -> None:
    near, far = make_approach("ILS"), make_approach("ILS", faf_to_go_nm=11.0)

    assert np.isfinite(needles(near, [10.5, 9.9]).vertical_needle).tolist() == [False, True]
    assert np.isfinite(needles(far, [13.5, 12.9]).vertical_needle).tolist() == [False, True]


def test_high_is_positive_and_the_mirror_image_has_the_opposite_needle(
    make_approach: ApproachMaker, needles: Needles
) -> None:
    approach = make_approach("ILS")
    right = needles(approach, [4.0, 2.0], 0.05, altitude_ft=2500.0)
    left = needles(approach, [4.0, 2.0], -0.05, altitude_ft=2500.0)

    assert (right.lateral_needle > 0).all()
    assert left.lateral_needle == pytest.approx(-right.lateral_needle, abs=1e-4)
    assert right.vertical_needle[1] > 0
    assert right.vertical_deviation_ft == pytest.approx(2500.0 - right.vertical_path_ft)


def test_once_missed_the_scale_is_1_nm_and_there_is_no_glidepath(
    make_approach: ApproachMaker, needles: Needles
) -> None:
    got = needles(make_approach("LPV"), [3.0, 1.0], phase=Phase.MISSED)

    assert got.lateral_full_scale_nm == pytest.approx([1.0, 1.0])
    assert np.isnan(got.vertical_needle).all()


@pytest.mark.parametrize(("receiver", "expected_nm"), [("sbas", 0.3), ("gps", 1.0)])
def test_a_missed_approach_straight_on_keeps_0_3_nm_with_sbas(
    receiver: str,
    expected_nm: float,
    make_approach: ApproachMaker,
    make_plan: Callable[..., Plan],
    make_track: Callable[..., Track],
    make_flown: Callable[..., FlownLeg],
    make_alignment: Callable[..., Alignment],
) -> None:
    # FAA AIM 1-1-18 d5: the first leg a TF within 3 deg of the inbound course.
    approach = make_approach("LPV")
    first = approach.missed[0]
    away = dataclasses.replace(first, id="A1.M2")
    track = make_track([40.0, 40.0], [-99.97, -99.95])
    legs = [make_flown(first.path, 0, 1, planned=first), make_flown(first.path, 1, 2, planned=away)]
    lesson = Lesson(navigation=Navigation(receiver="gps" if receiver == "gps" else "sbas"))

    got = measure(
        track,
        make_plan(approach),
        lesson,
        make_alignment(2, legs, phase=Phase.MISSED),
        judge_altitude(track, lesson),
    )

    assert got.lateral_full_scale_nm == pytest.approx([expected_nm, 1.0])


def test_a_barometric_glidepath_is_compared_with_the_altimeter_and_its_doubt(
    make_approach: ApproachMaker, make_plan: Callable[..., Plan], fly_final: Fly
) -> None:
    approach = make_approach("LNAV/VNAV")
    track, alignment = fly_final(approach, [3.0])
    samples = dataclasses.replace(
        track.samples,
        altitudes_ft={AltitudeKind.INDICATED: np.array([2000.0]), AltitudeKind.GNSS_MSL: np.array([2080.0])},
    )
    track = dataclasses.replace(track, samples=samples)

    def flown(vertical: str) -> Deviations:
        lesson = Lesson(navigation=Navigation(vertical="baro" if vertical == "baro" else "sbas"))
        return measure(track, make_plan(approach), lesson, alignment, judge_altitude(track, lesson))

    baro, sbas = flown("baro"), flown("sbas")

    # 1,000 + 50 + 3 NM tan 3 deg = 2,005.3 ft; the straight line 8.0 ft higher.
    assert baro.vertical_deviation_ft == pytest.approx([2000.0 - 2005.3], abs=0.1)
    assert sbas.vertical_deviation_ft == pytest.approx([2080.0 - 2013.3], abs=0.1)
    assert baro.judged.against_glidepath_ft == pytest.approx([20.0])
    assert sbas.judged.against_glidepath_ft == pytest.approx([15.0 / 0.3048])


def test_missing_altitude_has_a_path_but_no_needle(make_approach: ApproachMaker, needles: Needles) -> None:
    got = needles(make_approach("ILS"), [3.0], altitude_ft=math.nan)

    assert np.isfinite(got.vertical_path_ft).all()
    assert np.isnan(got.vertical_needle).all()
    assert np.isnan(got.vertical_full_scale_ft).all()
