"""Approaches: the final course line, where the final approach fix lies on it, what is assumed and said."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan, PlannedApproach
from legwise.plan import make_plan

DATE = dt.date(2026, 4, 18)
# The threshold of a constructed approach: 40 N 100 W, final course 090° true at the threshold.
THRESHOLD = (40.0, -100.0)
COURSE = 90.0


def on_final(distance_nm: float, right_nm: float = 0.0) -> dict[str, float]:
    """A point ``distance_nm`` before the threshold and square to the course there, by GeographicLib."""
    point = Geodesic.WGS84.Direct(*THRESHOLD, COURSE + 180.0, distance_nm * 1852.0)
    course = point["azi2"] + 180.0
    side = Geodesic.WGS84.Direct(point["lat2"], point["lon2"], course + 90.0, right_nm * 1852.0)
    return {"lat_deg": side["lat2"], "lon_deg": side["lon2"]}


RUNWAY = {
    "ident": "RW09",
    "lat_deg": THRESHOLD[0],
    "lon_deg": THRESHOLD[1],
    "elevation_ft": 1000,
    "course_deg_true": COURSE,
    "length_ft": 6000,
}
LEGS = [
    {"path": "IF", "fix": "START"},
    {"path": "TF", "fix": "FINAL", "role": "FAF"},
    {"path": "TF", "fix": "RW09", "role": "MAP"},
]


def plan_of(
    *, runway: dict[str, Any] | None = RUNWAY, legs: list[dict[str, Any]] = LEGS, faf: dict[str, float] | None = None,
    **more: Any,
) -> Plan:  # fmt: skip
    fixes = [
        {"ident": "START", **on_final(11.0)},
        {"ident": "FINAL", **(faf or on_final(5.0))},
        {"ident": "STEPS", **on_final(3.0)},
        {"ident": "ATMAP", **on_final(0.5)},
    ]
    approach = {"airport": "XSKH", "leg": legs, **more}
    if runway is not None:
        approach["runway"] = runway
    return make_plan(Lesson.model_validate({"fix": fixes, "approach": [approach]}), date=DATE)


def approach_of(**more: Any) -> PlannedApproach:
    return plan_of(**more).approaches[0]


def without(runway: dict[str, Any], *keys: str, **more: Any) -> dict[str, Any]:
    return {key: value for key, value in runway.items() if key not in keys} | more


def test_the_final_course_line_ends_at_the_threshold_on_the_runways_course() -> None:
    approach = approach_of()

    assert approach.faf_to_go_nm == pytest.approx(5.0, abs=1e-6)
    path = approach.final_path
    assert path is not None
    assert path.length_nm == approach.faf_to_go_nm
    assert path.end_course_deg_true == COURSE
    faf = Geodesic.WGS84.Inverse(*on_final(5.0).values(), *THRESHOLD)
    assert path.start_course_deg_true == pytest.approx(faf["azi1"], abs=1e-6)


# Points of a constructed approach, 200 m and 50 m square to the course: position, distance [NM], offset [m, right +].
POINTS = [
    (39.9981480, -100.1084358, 5.0, 200.0),
    (40.0017505, -100.1084415, 5.0, -200.0),
    (39.9995477, -100.0216876, 1.0, 50.0),
]


@pytest.mark.parametrize(("lat", "lon", "to_go_nm", "right_m"), POINTS)
def test_positions_against_the_final_course_line(lat: float, lon: float, to_go_nm: float, right_m: float) -> None:
    path = approach_of().final_path
    assert path is not None

    found = path.measure(np.array([lat]), np.array([lon]))

    assert found.cross_track_nm[0] * 1852.0 == pytest.approx(right_m, abs=0.1)
    assert found.to_go_nm[0] * 1852.0 == pytest.approx(to_go_nm * 1852.0, abs=0.1)


def test_a_magnetic_runway_course_is_made_true_by_the_stations_variation() -> None:
    lesson = Lesson.model_validate(
        {
            "fix": [
                {"ident": "FINAL", **on_final(5.0)},
                {"ident": "IXX", "lat_deg": 40.0, "lon_deg": -99.97, "kind": "dme", "variation_deg": 7.0},
            ],
            "approach": [
                {
                    "airport": "XSKH",
                    "navaid": "IXX",
                    "guidance": "LOC",
                    "runway": without(RUNWAY, "course_deg_true", course_deg_mag=83.0),
                    "leg": [{"path": "IF", "fix": "FINAL", "role": "FAF"}, {"path": "TF", "fix": "RW09"}],
                }
            ],
        }
    )

    approach = make_plan(lesson, date=DATE).approaches[0]

    assert approach.runway is not None
    assert approach.runway.course_deg_true == pytest.approx(90.0)
    assert approach.navaid is not None
    assert approach.faf_to_go_nm == pytest.approx(5.0, abs=1e-6)


def test_without_a_course_the_last_leg_gives_it() -> None:
    approach = approach_of(runway=without(RUNWAY, "course_deg_true"))

    assert approach.runway is not None
    assert approach.runway.course_deg_true == pytest.approx(COURSE, abs=1e-6)
    assert approach.faf_to_go_nm == pytest.approx(5.0, abs=1e-6)


def test_a_last_leg_that_ends_before_the_threshold_is_drawn_on_to_it() -> None:
    legs = [*LEGS[:2], {"path": "TF", "fix": "ATMAP", "role": "MAP"}]

    approach = approach_of(runway=without(RUNWAY, "course_deg_true"), legs=legs)

    assert approach.faf_to_go_nm == pytest.approx(5.0, abs=1e-5)
    path = approach.final_path
    assert path is not None
    end = path.measure(np.array([THRESHOLD[0]]), np.array([THRESHOLD[1]]))
    assert end.to_go_nm[0] == pytest.approx(0.0, abs=1e-5)
    assert end.cross_track_nm[0] == pytest.approx(0.0, abs=1e-4)


def test_without_a_runway_the_line_ends_at_the_missed_approach_point() -> None:
    legs = [*LEGS[:2], {"path": "TF", "fix": "ATMAP", "role": "MAP"}]

    approach = approach_of(runway=None, legs=legs, guidance="VOR")

    assert approach.runway is None
    assert approach.faf_to_go_nm == pytest.approx(4.5, abs=1e-6)
    assert approach.final_path is not None
    assert approach.final_path.end_course_deg_true == pytest.approx(COURSE, abs=0.01)


def test_a_final_approach_fix_beside_the_line_is_told_with_its_side() -> None:
    notes = "\n".join(plan_of(faf=on_final(5.0, right_nm=0.3)).notes)

    assert "FINAL lies 0.30 NM right of the final course line" in notes


def test_the_course_of_the_other_end_is_refused() -> None:
    with pytest.raises(PlanError, match=r"final approach fix FINAL lies behind the threshold(.|\n)*other end"):
        plan_of(runway=without(RUNWAY, course_deg_true=270.0))


def test_what_is_not_given_is_assumed_and_said() -> None:
    plan = plan_of(guidance="LPV", runway=without(RUNWAY, "length_ft"), minima={"da_ft": 1250})
    approach, notes = plan.approaches[0], "\n".join(plan.notes)

    assert (approach.glidepath_deg, approach.threshold_crossing_height_ft) == (3.0, 50.0)
    assert approach.half_width_at_threshold_ft == 350.0
    assert approach.runway is not None
    assert (approach.runway.length_ft, approach.runway.length_assumed) == (6000.0, True)
    for words in ("glidepath was taken as 3.00°", "crossing height was taken as 50 ft", "350 ft", "taken as 6,000 ft"):
        assert words in notes
    assert approach.has_glidepath
    assert approach.minima_ft == 1250


def test_what_is_given_is_taken_and_nothing_is_said() -> None:
    plan = plan_of(
        guidance="LPV",
        title="RNAV RWY 9",
        glidepath_deg=3.5,
        threshold_crossing_height_ft=45,
        course_half_width_at_threshold_ft=400,
        minima={"da_ft": 1250},
        flown_minima={"da_ft": 1290},
        selected="final-only",
    )
    approach = plan.approaches[0]

    assert (approach.glidepath_deg, approach.threshold_crossing_height_ft) == (3.5, 45.0)
    assert approach.half_width_at_threshold_ft == 400.0
    assert approach.runway is not None
    assert not approach.runway.length_assumed
    assert (approach.da_ft, approach.flown_da_ft, approach.mda_ft) == (1250, 1290, None)
    assert approach.selected_final_only
    assert (approach.procedure, approach.title) == ("RNAV RWY 9", "RNAV RWY 9")
    assert not any("taken" in note for note in plan.notes)


def test_an_advisory_glidepath_is_kept_and_does_not_guide() -> None:
    approach = approach_of(guidance="LNAV", glidepath_deg=3.0, minima={"mda_ft": 1500}, technique="stepped")

    assert approach.glidepath_deg == 3.0
    assert not approach.has_glidepath
    assert approach.minima_ft == 1500
    assert approach.stepped


def test_an_approach_without_guidance_has_no_glidepath() -> None:
    approach = approach_of()

    assert approach.guidance is None
    assert approach.glidepath_deg is None
    assert approach.title == "RW09"


def test_a_glidepath_without_a_runway_has_no_place() -> None:
    legs = [*LEGS[:2], {"path": "TF", "fix": "ATMAP"}]
    plan = plan_of(runway=None, legs=legs, guidance="ILS")

    assert not plan.approaches[0].has_glidepath
    assert any("no runway is given" in note for note in plan.notes)


@pytest.mark.parametrize(
    ("legs", "roles"),
    [
        (
            [{"path": "IF", "fix": "START"}, {"path": "TF", "fix": "FINAL"}, {"path": "TF", "fix": "RW09"}],
            [None, "FAF", "MAP"],
        ),
        (
            [
                {"path": "IF", "fix": "START"},
                {"path": "TF", "fix": "FINAL"},
                {"path": "TF", "fix": "STEPS", "role": "STEPDOWN"},
                {"path": "TF", "fix": "RW09"},
            ],
            [None, "FAF", "STEPDOWN", "MAP"],
        ),
        ([{"path": "IF", "fix": "FINAL", "role": "IF"}, {"path": "TF", "fix": "RW09"}], ["FAF", "MAP"]),
        ([{"path": "CF", "fix": "RW09", "course_deg_true": 90.0}], ["MAP"]),
    ],
)
def test_roles_that_are_not_said_are_assumed(legs: list[dict[str, Any]], roles: list[str | None]) -> None:
    plan = plan_of(legs=legs)
    approach = plan.approaches[0]

    assert [leg.role for leg in approach.legs] == roles
    assert any("RW09 was taken as the missed approach point" in note for note in plan.notes)
    assert (approach.faf_to_go_nm is not None) == ("FAF" in roles)


def test_a_final_course_line_without_a_final_approach_fix_has_no_start() -> None:
    approach = approach_of(legs=[{"path": "CF", "fix": "RW09", "course_deg_true": 90.0}])

    assert approach.faf_to_go_nm is None
    assert approach.final_path is not None
    assert np.isinf(approach.final_path.length_nm)


def test_directs_alone_give_no_final_course() -> None:
    plan = plan_of(runway=None, legs=[{"path": "IF", "fix": "FINAL"}, {"path": "DF", "fix": "ATMAP"}])

    assert plan.approaches[0].final_path is None
    assert any("no final course line is known" in note for note in plan.notes)
