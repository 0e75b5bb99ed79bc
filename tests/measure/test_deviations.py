"""Deviations of constructed flights: positions set out with GeographicLib, so far along and so far off."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from legwise.geodesy import ArcPath, GeodesicLine, line_between
from legwise.measure import judge_altitude, measure
from legwise.model.alignment import PHASE_CODE, Alignment, FlownLeg, FlownTurn, Phase
from legwise.model.arrays import readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import Deviations
from legwise.model.lesson import Accuracy, Lesson, Navigation
from legwise.model.plan import Plan
from legwise.model.track import AltitudeKind, Channel, Track
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
TrackMaker = Callable[..., Track]
AlignmentMaker = Callable[..., Alignment]
FlownMaker = Callable[..., FlownLeg]
PlanMaker = Callable[..., Plan]


def deviations(track: Track, plan: Plan, alignment: Alignment, lesson: Lesson | None = None) -> Deviations:
    lesson = lesson or Lesson()
    return measure(track, plan, lesson, alignment, judge_altitude(track, lesson))


def leg_east() -> GeodesicLine:
    made = line_between(46.0, -28.0, 46.2, -27.0)
    assert made is not None
    return made


def beside(path: GeodesicLine, to_go_nm: float, right_nm: float) -> tuple[float, float]:
    lat, lon = path.point_at(np.array([to_go_nm]))
    course = path.measure(lat, lon).course_deg_true[0]
    place = EARTH.Direct(float(lat[0]), float(lon[0]), float(course) + 90.0, right_nm * M_PER_NM)
    return float(place["lat2"]), float(place["lon2"])


def test_each_leg_is_measured_against_its_own_path(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    east, back = leg_east(), line_between(46.2, -27.0, 46.0, -28.0)
    assert back is not None
    places = [beside(east, 20.0, 0.4), beside(east, 5.0, -0.2), beside(back, 30.0, 0.3), beside(east, -1.0, 0.1)]
    track = make_track(*zip(*places, strict=True), track_deg_true=75.0)
    legs = [make_flown(east, 0, 2), make_flown(back, 2, 3), make_flown(east, 3, 4)]

    got = deviations(track, make_plan(), make_alignment(4, legs))

    assert got.cross_track_nm * M_PER_NM == pytest.approx(np.array([0.4, -0.2, 0.3, 0.1]) * M_PER_NM, abs=0.05)
    assert got.along_track_to_go_nm == pytest.approx([20.0, 5.0, 30.0, -1.0], abs=2e-5)
    # Flying 075 on a course of about 074 is a degree right of it, on the way back the same track is nearly opposite.
    assert got.track_error_deg[:2] == pytest.approx(75.0 - got.course_deg_true[:2])
    assert abs(got.track_error_deg[2]) > 170.0
    assert (np.abs(got.track_error_deg) <= 180.0).all()


def test_where_no_path_is_owed_nothing_is_measured(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    track = make_track([46.0, 46.05, 46.1], [-28.0, -27.9, -27.8])
    legs = [make_flown(leg_east(), 0, 1), make_flown(None, 1, 2)]

    got = deviations(track, make_plan(), make_alignment(3, legs))

    columns = (
        got.cross_track_nm,
        got.along_track_to_go_nm,
        got.track_error_deg,
        got.lateral_full_scale_nm,
        got.lateral_needle,
    )
    for column in columns:
        assert np.isfinite(column[0])
        assert np.isnan(column[1:]).all()


def test_inside_a_fly_by_turn_the_path_owed_is_the_turn(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    arc = ArcPath(
        centre_lat_deg=46.0,
        centre_lon_deg=-28.0,
        radius_nm=0.7,
        start_bearing_deg=270.0,
        end_bearing_deg=0.0,
        turn="right",
    )
    inside = EARTH.Direct(46.0, -28.0, 315.0, 0.6 * M_PER_NM)
    leg = line_between(45.8, -28.0168, 46.0117, -28.0168)
    assert leg is not None
    turn = FlownTurn(
        fix="BRAKO",
        at_s=0.0,
        from_course_deg_true=0.0,
        to_course_deg_true=90.0,
        lead_nm=0.7,
        expected_lead_nm=0.7,
        start_s=0.0,
        end_s=1.0,
        start=0,
        stop=1,
        path=arc,
    )
    track = make_track([inside["lat2"]] * 2, [inside["lon2"]] * 2, track_deg_true=50.0)
    alignment = make_alignment(
        2,
        [make_flown(leg, 0, 2)],
        turns=(turn,),
        turn=readonly_ints([0, -1]),
        in_turn=readonly_bools([True, False]),
    )

    got = deviations(track, make_plan(), alignment)

    assert got.cross_track_nm[0] == pytest.approx(0.1, abs=1e-6)
    assert got.track_error_deg[0] == pytest.approx(5.0, abs=0.01)
    assert got.cross_track_nm[1] > 0.2
    # Distance to go runs to the fix of the leg, in the turn as outside it.
    assert got.along_track_to_go_nm[0] == got.along_track_to_go_nm[1]


@pytest.mark.parametrize(
    ("receiver", "phase", "expected_nm"),
    [
        ("sbas", Phase.EN_ROUTE, 2.0),
        ("gps", Phase.EN_ROUTE, 5.0),
        ("sbas", Phase.TERMINAL, 1.0),
        ("gps", Phase.TERMINAL, 1.0),
        ("sbas", Phase.DEPARTURE, 1.0),
        ("sbas", Phase.MISSED, 1.0),
        ("gps", Phase.MISSED, 1.0),
    ],
)
def test_full_scale_by_phase_and_receiver(
    receiver: str,
    phase: Phase,
    expected_nm: float,
    make_track: TrackMaker,
    make_flown: FlownMaker,
    make_alignment: AlignmentMaker,
    make_plan: PlanMaker,
) -> None:
    # FAA AIM 1-1-17 b5(e)(3), 1-1-18 d4; 2 NM from two published guides.
    track = make_track(*zip(beside(leg_east(), 10.0, -0.5), strict=True))
    lesson = Lesson(navigation=Navigation(receiver="gps" if receiver == "gps" else "sbas"))

    got = deviations(track, make_plan(), make_alignment(1, [make_flown(leg_east(), 0, 1)], phase=phase), lesson)

    assert got.lateral_full_scale_nm == pytest.approx([expected_nm])
    assert got.lateral_needle == pytest.approx([-0.5 / expected_nm], abs=1e-4)


def test_on_the_ground_there_is_no_needle(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    track = make_track(*zip(beside(leg_east(), 10.0, -0.5), strict=True))

    got = deviations(track, make_plan(), make_alignment(1, [make_flown(leg_east(), 0, 1)], phase=Phase.GROUND))

    assert np.isnan(got.lateral_needle).all()


def test_altitude_error_is_flown_less_assigned_only_where_owed(
    make_track: TrackMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    track = make_track(
        [46.0] * 4,
        [-28.0, -27.99, -27.98, -27.97],
        altitudes_ft={AltitudeKind.INDICATED: [4100.0, 3900.0, 3500.0, np.nan]},
    )
    alignment = make_alignment(
        4,
        [],
        assigned_altitude_ft=readonly_floats([4000.0, 4000.0, 3000.0, 3000.0]),
        altitude_owed=readonly_bools([True, True, False, True]),
    )

    got = deviations(track, make_plan(), alignment)

    assert got.altitude_error_ft[:2] == pytest.approx([100.0, -100.0])
    assert np.isnan(got.altitude_error_ft[2:]).all()
    assert got.assigned_altitude_ft == pytest.approx([4000.0, 4000.0, 3000.0, 3000.0])


def test_heading_error_is_wrapped_and_only_where_assigned_and_recorded(
    make_track: TrackMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    owed = readonly_floats([350.0, 10.0, np.nan, 90.0])
    track = make_track(
        [46.0] * 4,
        [-28.0, -27.99, -27.98, -27.97],
        channels={Channel.HEADING_DEG_MAG: [5.0, 355.0, 90.0, np.nan]},
    )

    got = deviations(track, make_plan(), make_alignment(4, [], heading_owed_deg_mag=owed))

    assert got.heading_error_deg[:2] == pytest.approx([15.0, -15.0])
    assert np.isnan(got.heading_error_deg[2:]).all()


def test_a_true_heading_becomes_magnetic_by_the_model(
    make_track: TrackMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    # Near 46 N 28 W in April 2026 the variation of WMM2025 is 8.5 deg west: magnetic = true + 8.5.
    track = make_track([46.0] * 100, np.linspace(-28.0, -27.9, 100), channels={Channel.HEADING_DEG_TRUE: [90.0] * 100})
    owed = readonly_floats(np.full(100, 100.0))

    got = deviations(track, make_plan(), make_alignment(100, [], heading_owed_deg_mag=owed))

    assert got.heading_error_deg == pytest.approx(np.full(100, -1.5), abs=0.1)


def test_no_heading_recorded_is_no_heading_error(
    make_track: TrackMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    track = make_track([46.0] * 2, [-28.0, -27.9])

    got = deviations(track, make_plan(), make_alignment(2, [], heading_owed_deg_mag=readonly_floats([90.0, 90.0])))

    assert np.isnan(got.heading_error_deg).all()


@pytest.mark.parametrize(
    ("lesson", "channels", "metres"),
    [
        (Lesson(), {}, 8.0),
        (Lesson(), {Channel.HORIZONTAL_ACCURACY_M: [3.0, 3.0]}, 3.0),
        (Lesson(accuracy=Accuracy(horizontal_m=25.0)), {Channel.HORIZONTAL_ACCURACY_M: [3.0, 3.0]}, 25.0),
    ],
    ids=["usual", "recorded", "said"],
)
def test_how_well_the_log_knows_the_position(
    lesson: Lesson,
    channels: dict[Channel, list[float]],
    metres: float,
    make_track: TrackMaker,
    make_alignment: AlignmentMaker,
    make_plan: PlanMaker,
) -> None:
    track = make_track([46.0] * 2, [-28.0, -27.9], channels=channels)

    got = deviations(track, make_plan(), make_alignment(2, []), lesson)

    assert got.horizontal_accuracy_nm * M_PER_NM == pytest.approx(metres)
    assert f"{metres:g}" in got.horizontal_words


def test_a_flight_flown_in_the_mirror_has_the_opposite_cross_track(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    west = line_between(46.0, 28.0, 46.2, 27.0)
    assert west is not None
    lat, lon = zip(*(beside(leg_east(), to_go, 0.3) for to_go in (30.0, 10.0, 0.0)), strict=True)
    there = deviations(make_track(lat, lon), make_plan(), make_alignment(3, [make_flown(leg_east(), 0, 3)]))
    mirrored = deviations(
        make_track(lat, [-value for value in lon]), make_plan(), make_alignment(3, [make_flown(west, 0, 3)])
    )

    assert mirrored.cross_track_nm == pytest.approx(-there.cross_track_nm, abs=1e-7)
    assert mirrored.lateral_needle == pytest.approx(-there.lateral_needle, abs=1e-7)


def test_a_direct_and_phases_are_told_per_sample(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    places = [beside(leg_east(), to_go, 0.1) for to_go in (40.0, 20.0)]
    alignment = make_alignment(2, [make_flown(leg_east(), 0, 2)])
    phases = readonly_ints([PHASE_CODE[Phase.EN_ROUTE], PHASE_CODE[Phase.TERMINAL]])

    got = deviations(make_track(*zip(*places, strict=True)), make_plan(), dataclasses.replace(alignment, phase=phases))

    assert got.lateral_full_scale_nm == pytest.approx([2.0, 1.0])


def test_a_path_is_owed_only_from_where_it_is_judged(
    make_track: TrackMaker, make_flown: FlownMaker, make_alignment: AlignmentMaker, make_plan: PlanMaker
) -> None:
    east = leg_east()
    places = [beside(east, to_go, 0.4) for to_go in (20.0, 19.0, 18.0, 17.0)]
    track = make_track(*zip(*places, strict=True), track_deg_true=75.0)
    leg = dataclasses.replace(make_flown(east, 0, 4), judged_from=2)

    got = deviations(track, make_plan(), make_alignment(4, [leg]))

    for column in (
        got.cross_track_nm,
        got.along_track_to_go_nm,
        got.course_deg_true,
        got.track_error_deg,
        got.lateral_full_scale_nm,
        got.lateral_needle,
    ):
        assert np.isnan(column[:2]).all()
        assert np.isfinite(column[2:]).all()
    assert got.cross_track_nm[2:] == pytest.approx(0.4, abs=1e-4)
