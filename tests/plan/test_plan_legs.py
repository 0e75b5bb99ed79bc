"""Legs against GeographicLib, official magnetic test values, and closed forms."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import AltitudeWindow, Leg, PlannedApproach
from legwise.plan import make_plan

DATE = dt.date(2026, 4, 18)
DEG = 1e-9  # degrees: two solutions of the same geodesic differ by rounding alone
NM = 1e-9
OFFICIAL_DEG = 0.006  # the test values are printed to 0.01°


def fix(ident: str, lat_deg: float, lon_deg: float, **more: Any) -> dict[str, Any]:
    return {"ident": ident, "lat_deg": lat_deg, "lon_deg": lon_deg, **more}


FIXES = [fix("AAAAA", 46.5, -28.0), fix("BBBBB", 46.9, -27.2), fix("CCCCC", 46.6, -26.8), fix("DDDDD", 46.7, -26.5)]


def approach_with(
    legs: list[dict[str, Any]], fixes: list[dict[str, Any]] | None = None, date: dt.date = DATE, **more: Any
) -> PlannedApproach:
    lesson = Lesson.model_validate(
        {"fix": FIXES if fixes is None else fixes, "approach": [{"airport": "XSKH", "leg": legs, **more}]}
    )
    return make_plan(lesson, date=date).approaches[0]


def route_with(*fixes: dict[str, Any], date: dt.date = DATE) -> tuple[Leg, ...]:
    lesson = Lesson.model_validate({"fix": fixes, "route": {"points": [item["ident"] for item in fixes]}})
    return make_plan(lesson, date=date).route


def geodesic(lat1: float, lon1: float, lat2: float, lon2: float) -> tuple[float, float, float]:
    """Distance [NM], course at the start and on arrival [deg true], by GeographicLib."""
    line = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2)
    return line["s12"] / 1852.0, line["azi1"] % 360.0, line["azi2"] % 360.0


@pytest.mark.parametrize(
    ("start", "end"),
    [
        ((46.5, -28.0), (46.9, -27.2)),
        ((-17.5, 179.2), (-17.1, -179.4)),  # over the date line, eastward
        ((52.0, -179.9), (52.0, 179.9)),  # and westward
        ((10.0, 180.0), (11.0, -180.0)),  # along it
        ((88.5, 10.0), (88.9, 150.0)),  # near the pole
        ((46.0, -28.0), (47.0, -28.0)),  # due north
    ],
)
def test_a_route_leg_is_the_geodesic(start: tuple[float, float], end: tuple[float, float]) -> None:
    distance, course, arrival = geodesic(*start, *end)

    (leg,) = route_with(fix("AAAAA", *start), fix("BBBBB", *end))

    assert leg.id == "R1"
    assert leg.kind == "TF"
    assert leg.distance_nm == pytest.approx(distance, abs=NM)
    assert leg.course_deg_true == pytest.approx(course, abs=DEG)
    assert leg.path is not None
    assert leg.path.end_course_deg_true == pytest.approx(arrival, abs=DEG)
    on_end = leg.path.measure(np.array([end[0]]), np.array([end[1]]))
    assert on_end.to_go_nm[0] == pytest.approx(0.0, abs=1e-7)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(
    st.floats(-75, 75),
    st.floats(-180, 180),
    st.floats(0, 360, exclude_max=True),
    st.floats(0.1, 250),
)
def test_any_route_leg_is_the_geodesic(lat: float, lon: float, course: float, distance: float) -> None:
    end = Geodesic.WGS84.Direct(lat, lon, course, distance * 1852.0)

    (leg,) = route_with(fix("AAAAA", lat, lon), fix("BBBBB", end["lat2"], end["lon2"]))

    assert leg.distance_nm == pytest.approx(distance, abs=1e-6)
    assert leg.course_deg_true is not None
    assert math.remainder(leg.course_deg_true - course, 360.0) == pytest.approx(0.0, abs=1e-4 / distance)


# WMM2025 test values (NOAA NCEI and British Geological Survey, 2024), declination at 0 km, east positive.
OFFICIAL = [
    (80.0, 0.0, dt.date(2025, 1, 1), 1.28),
    (0.0, 120.0, dt.date(2025, 1, 1), -0.16),
    (-80.0, 240.0 - 360.0, dt.date(2025, 1, 1), 68.78),
]


@pytest.mark.parametrize(("lat", "lon", "date", "east"), OFFICIAL)
def test_a_magnetic_course_becomes_true_by_the_model_at_the_fix(
    lat: float, lon: float, date: dt.date, east: float
) -> None:
    legs: list[dict[str, Any]] = [{"path": "CF", "fix": "FFFFF", "course_deg_mag": 350.0}]

    leg = approach_with(legs, [fix("FFFFF", lat, lon)], date).legs[0]

    assert leg.course_deg_mag == 350.0
    assert leg.course_deg_true == pytest.approx((350.0 + east) % 360.0, abs=OFFICIAL_DEG)


@pytest.mark.parametrize(("lat", "lon", "date", "east"), OFFICIAL)
def test_a_true_course_becomes_magnetic_by_the_model_at_the_fix(
    lat: float, lon: float, date: dt.date, east: float
) -> None:
    legs: list[dict[str, Any]] = [{"path": "CF", "fix": "FFFFF", "course_deg_true": 1.0}]

    leg = approach_with(legs, [fix("FFFFF", lat, lon)], date).legs[0]

    assert leg.course_deg_true == 1.0
    assert leg.course_deg_mag == pytest.approx((1.0 - east) % 360.0, abs=OFFICIAL_DEG)


def test_a_route_leg_has_its_magnetic_course_by_the_variation_at_its_start() -> None:
    start, end = fix("AAAAA", 80.0, 0.0), fix("BBBBB", 80.5, 1.0)

    (leg,) = route_with(start, end, date=dt.date(2025, 1, 1))

    assert leg.course_deg_mag is not None
    assert leg.course_deg_mag == pytest.approx(geodesic(80.0, 0.0, 80.5, 1.0)[1] - 1.28, abs=OFFICIAL_DEG)


@pytest.mark.parametrize(
    ("fixes", "more", "variation"),
    [
        ([fix("FFFFF", 46.5, -28.0, variation_deg=-10.0)], {}, -10.0),
        ([fix("FFFFF", 46.5, -28.0), fix("SKH", 46.6, -28.0, kind="vor", variation_deg=5.0)], {"navaid": "SKH"}, 5.0),
        (
            [fix("FFFFF", 46.5, -28.0, variation_deg=-10.0), fix("SKH", 46.6, -28.0, kind="vor", variation_deg=5.0)],
            {"navaid": "SKH"},
            5.0,
        ),
    ],
)
def test_a_station_has_its_own_variation(fixes: list[dict[str, Any]], more: dict[str, Any], variation: float) -> None:
    leg = approach_with([{"path": "CF", "fix": "FFFFF", "course_deg_mag": 100.0}], fixes, **more).legs[0]

    assert leg.course_deg_true == pytest.approx(100.0 + variation)


def test_a_leg_may_name_its_own_station() -> None:
    fixes = [fix("FFFFF", 46.5, -28.0), fix("ABC", 46.6, -28.0, kind="vor", variation_deg=-7.0)]
    leg = {"path": "CF", "fix": "FFFFF", "course_deg_mag": 3.0, "navaid": "ABC"}

    assert approach_with([leg], fixes).legs[0].course_deg_true == pytest.approx(356.0)


def test_a_course_to_a_fix_arrives_on_its_course_and_begins_abeam_the_fix_before() -> None:
    # The fix before stands 6 NM out on the reciprocal and 1 NM to the right of the line.
    out = Geodesic.WGS84.Direct(46.5, -28.0, 270.0, 6 * 1852.0)
    side = Geodesic.WGS84.Direct(out["lat2"], out["lon2"], out["azi2"] - 90.0, 1852.0)
    fixes = [fix("BEFOR", side["lat2"], side["lon2"]), fix("FFFFF", 46.5, -28.0)]
    legs: list[dict[str, Any]] = [
        {"path": "IF", "fix": "BEFOR"},
        {"path": "CF", "fix": "FFFFF", "course_deg_true": 90.0},
    ]

    leg = approach_with(legs, fixes).legs[1]

    assert leg.path is not None
    assert leg.course_deg_true == 90.0
    assert leg.path.end_course_deg_true == 90.0
    assert leg.path.length_nm == pytest.approx(6.0, abs=1e-4)
    assert leg.distance_nm == leg.path.length_nm
    assert leg.path.start_course_deg_true == pytest.approx((out["azi2"] - 180.0) % 360.0, abs=1e-4)
    before = leg.path.measure(np.array([side["lat2"]]), np.array([side["lon2"]]))
    # South of an eastbound line is right of it.
    assert side["lat2"] < 46.5
    assert before.cross_track_nm[0] == pytest.approx(1.0, abs=1e-4)


def test_a_course_back_to_the_fix_before_is_a_leg_without_a_start() -> None:
    legs: list[dict[str, Any]] = [
        {"path": "IF", "fix": "AAAAA"},
        {"path": "CF", "fix": "AAAAA", "course_deg_true": 262.0},
    ]

    leg = approach_with(legs).legs[1]

    assert leg.path is not None
    assert math.isinf(leg.path.length_nm)
    assert leg.distance_nm is None
    assert leg.from_fix is not None
    assert leg.from_fix.ident == "AAAAA"


def test_points_and_directs_owe_no_path() -> None:
    legs: list[dict[str, Any]] = [
        {"path": "IF", "fix": "AAAAA"},
        {"path": "DF", "fix": "BBBBB"},
        {"path": "TF", "fix": "CCCCC"},
    ]

    first, direct, track = approach_with(legs).legs

    assert first.path is None
    assert first.from_fix is None
    assert direct.path is None
    assert direct.course_deg_true is None
    assert direct.distance_nm is None
    assert track.from_fix is not None
    assert track.from_fix.ident == "BBBBB"


def test_ids_parts_and_what_a_leg_carries() -> None:
    legs: list[dict[str, Any]] = [
        {"path": "IF", "fix": "AAAAA", "role": "IAF", "altitude": {"at_or_above_ft": 3000}},
        {"path": "TF", "fix": "BBBBB", "role": "FAF", "altitude": {"at_or_above_ft": 2000, "at_or_below_ft": 4000}},
        {"path": "TF", "fix": "CCCCC", "altitude": {"at_ft": 138}, "role": "MAP", "speed_max_kt": 120, "turn": "left"},
    ]
    missed = [{"path": "DF", "fix": "AAAAA", "altitude": {"at_or_below_ft": 5000}, "fly_over": True}]

    approach = approach_with(legs, missed=missed)

    assert [leg.id for leg in (*approach.legs, *approach.missed)] == ["A1.1", "A1.2", "A1.3", "A1.M1"]
    assert [leg.part for leg in (*approach.legs, *approach.missed)] == ["approach"] * 3 + ["missed"]
    assert [leg.altitude for leg in approach.legs] == [
        AltitudeWindow(low_ft=3000),
        AltitudeWindow(low_ft=2000, high_ft=4000),
        AltitudeWindow(low_ft=138, high_ft=138),
    ]
    assert approach.missed[0].altitude == AltitudeWindow(high_ft=5000)
    assert approach.missed[0].from_fix is not None
    assert approach.missed[0].from_fix.ident == "CCCCC"
    assert approach.missed[0].fly_over
    last = approach.legs[2]
    assert (last.speed_max_kt, last.turn, last.role, last.approach) == (120, "left", "MAP", 0)
    # A missed approach point is passed over unless the lesson says otherwise.
    assert [leg.fly_over for leg in approach.legs] == [False, False, True]


def test_a_fly_over_fix_makes_its_leg_fly_over_unless_the_leg_says_otherwise() -> None:
    fixes = [fix("AAAAA", 46.5, -28.0), fix("BBBBB", 46.9, -27.2, fly_over=True), fix("CCCCC", 46.6, -26.8)]
    legs: list[dict[str, Any]] = [
        {"path": "IF", "fix": "AAAAA"},
        {"path": "TF", "fix": "BBBBB"},
        {"path": "TF", "fix": "CCCCC", "role": "MAP"},
        {"path": "TF", "fix": "BBBBB", "fly_over": False},
    ]

    assert [leg.fly_over for leg in approach_with(legs, fixes).legs] == [False, True, True, False]
    assert [leg.fly_over for leg in route_with(*fixes)] == [True, False]


def test_a_written_course_or_distance_that_its_fixes_contradict_is_told() -> None:
    distance, _course, arrival = geodesic(46.5, -28.0, 46.9, -27.2)
    agreeing = {"path": "TF", "fix": "BBBBB", "course_deg_true": arrival + 2, "distance_nm": round(distance, 1)}
    contradicting = {"path": "TF", "fix": "BBBBB", "course_deg_true": arrival + 20, "distance_nm": distance + 5}

    def notes(leg: dict[str, Any]) -> str:
        lesson = Lesson.model_validate(
            {"fix": FIXES, "approach": [{"airport": "XSKH", "leg": [{"path": "IF", "fix": "AAAAA"}, leg]}]}
        )
        return "\n".join(make_plan(lesson, date=DATE).notes)

    assert "written" not in notes(agreeing)
    assert "AAAAA to BBBBB: the written course" in notes(contradicting)
    assert "AAAAA to BBBBB: the written distance" in notes(contradicting)


@pytest.mark.parametrize(
    ("legs", "words"),
    [
        ([{"path": "TF", "fix": "AAAAA"}], r"\[\[approach\]\] 1 leg 1: a TF leg needs a fix before it"),
        (
            [{"path": "IF", "fix": "AAAAA"}, {"path": "TF", "fix": "AAAAA"}],
            r"\[\[approach\]\] 1 leg 2: the leg from AAAAA to AAAAA has no length",
        ),
        ([{"path": "CF", "fix": "AAAAA"}], "the CF leg has no course"),
        ([{"path": "DF"}], "names no fix"),
        ([], "no procedure and has no legs"),
    ],
)
def test_legs_that_can_not_be_made(legs: list[dict[str, Any]], words: str) -> None:
    with pytest.raises(PlanError, match=words):
        approach_with(legs)


def test_a_magnetic_course_beyond_the_models_years_is_refused_and_a_true_one_is_not() -> None:
    date = dt.date(2050, 1, 1)
    legs: list[dict[str, Any]] = [{"path": "IF", "fix": "AAAAA"}, {"path": "TF", "fix": "BBBBB"}]

    with pytest.raises(PlanError, match=r"leg 1: no magnetic variation at AAAAA"):
        approach_with([{"path": "CF", "fix": "AAAAA", "course_deg_mag": 10.0}], date=date)
    leg = approach_with(legs, date=date).legs[1]

    assert leg.course_deg_true is not None
    assert leg.course_deg_mag is None
