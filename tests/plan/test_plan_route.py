"""Routes: where they come from, which legs they give, and where an approach takes over."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.model.track import RoutePoint
from legwise.plan import make_plan
from plan.plan_world import given_route

DATE = dt.date(2026, 4, 18)
PLACES = {
    "XTBN": (46.40, -28.50),
    "BRAKO": (46.51, -28.00),
    "CALDU": (46.70, -27.50),
    "HOLMA": (46.93, -26.85),
    "FERNU": (46.91, -26.98),
    "XSKH": (46.90, -27.11),
}
FIXES = [{"ident": ident, "lat_deg": lat, "lon_deg": lon} for ident, (lat, lon) in PLACES.items()]
APPROACH = {
    "airport": "XSKH",
    "title": "RNAV RWY 27",
    "runway": {"ident": "RW27", "lat_deg": 46.9, "lon_deg": -27.1, "elevation_ft": 88},
    "leg": [
        {"path": "IF", "fix": "HOLMA"},
        {"path": "TF", "fix": "FERNU", "role": "FAF"},
        {"path": "TF", "fix": "RW27", "role": "MAP"},
    ],
}


def plan_of(*points: str, approaches: list[dict[str, Any]] | None = None, **call: Any) -> Plan:
    route = {"points": list(points)} if points else {}
    return make_plan(
        Lesson.model_validate({"fix": FIXES, "route": route, "approach": approaches or []}), date=DATE, **call
    )


def ends(plan: Plan) -> list[tuple[str, str, str]]:
    return [(leg.id, leg.from_fix.ident if leg.from_fix else "", leg.end_ident) for leg in plan.route]


def track_route(*places: tuple[str, float, float]) -> tuple[RoutePoint, ...]:
    return tuple(RoutePoint(ident=ident, lat_deg=lat, lon_deg=lon) for ident, lat, lon in places)


def test_legs_between_the_points_of_the_lesson() -> None:
    plan = plan_of("XTBN", "BRAKO", "CALDU")

    assert plan.source == "lesson"
    assert ends(plan) == [("R1", "XTBN", "BRAKO"), ("R2", "BRAKO", "CALDU")]


def test_the_points_of_a_route_text_come_with_the_lesson() -> None:
    lesson = Lesson.model_validate(
        {
            "fix": FIXES,
            "route": {
                "text": "XTBN DCT BRAKO",
                "elements": given_route("XTBN DCT BRAKO").elements,
                "altitude_ft": 5000,
            },
        }
    )

    plan = make_plan(lesson, date=DATE)

    assert ends(plan) == [("R1", "XTBN", "BRAKO")]
    assert plan.route_altitude_ft == 5000


def test_a_route_given_with_the_call_wins() -> None:
    plan = plan_of("XTBN", "BRAKO", route=given_route("BRAKO CALDU"))

    assert plan.source == "--route"
    assert ends(plan) == [("R1", "BRAKO", "CALDU")]


def test_a_route_between_positions() -> None:
    plan = make_plan(Lesson(), date=DATE, route=given_route("4630N02800W 4600N02800W"))

    assert [fix.ident for fix in plan.fixes] == ["4630N02800W", "4600N02800W"]
    assert plan.route[0].to_fix is not None
    assert plan.route[0].to_fix.lat_deg == 46.0
    assert plan.route[0].course_deg_true == pytest.approx(180.0)


def test_the_track_files_route_where_there_is_no_other() -> None:
    route = track_route(("", 46.0, -28.0), ("WP1", 46.5, -28.0), ("", 47.0, -28.0))

    plan = make_plan(Lesson(), date=DATE, track_route=route)

    assert plan.source == "track file"
    assert ends(plan) == [("R1", "P1", "WP1"), ("R2", "WP1", "P3")]
    assert [fix.ident for fix in plan.fixes] == ["P1", "WP1", "P3"]


def test_the_lessons_route_wins_over_the_track_files() -> None:
    plan = plan_of("XTBN", "BRAKO", track_route=track_route(("A", 1, 1), ("B", 2, 2)))

    assert plan.source == "lesson"


def test_a_repeated_place_in_the_track_files_route_is_left_out_and_told() -> None:
    route = track_route(("A", 46.0, -28.0), ("A", 46.0, -28.0), ("B", 46.5, -28.0))

    plan = make_plan(Lesson(), date=DATE, track_route=route)

    assert ends(plan) == [("R1", "A", "B")]
    assert any("1 point of the track file's route repeated" in note for note in plan.notes)


def test_an_ident_at_two_places_in_the_track_files_route_is_told() -> None:
    route = track_route(("A", 46.0, -28.0), ("B", 46.2, -28.0), ("A", 46.5, -28.0))

    plan = make_plan(Lesson(), date=DATE, track_route=route)

    assert ends(plan) == [("R1", "A", "B"), ("R2", "B", "A")]
    assert any("route A stands at more than one place; each point was taken where it" in note for note in plan.notes)


def test_a_track_files_route_that_comes_back_is_nothing_to_tell() -> None:
    route = track_route(("A", 46.0, -28.0), ("B", 46.2, -28.0), ("A", 46.0, -28.0))

    assert not [note for note in make_plan(Lesson(), date=DATE, track_route=route).notes if "place" in note]


def test_no_route_at_all_is_told() -> None:
    plan = make_plan(Lesson(), date=DATE)

    assert plan.source == "none"
    assert plan.route == ()
    assert (plan.departure, plan.destination) == (None, None)
    assert any("No route" in note for note in plan.notes)


def test_a_single_point_gives_no_leg() -> None:
    plan = plan_of("XTBN")

    assert plan.route == ()
    assert any("one point, XTBN" in note for note in plan.notes)


def test_a_leg_of_no_length_is_refused() -> None:
    with pytest.raises(PlanError, match=r"\[route\] points 3: the leg from BRAKO to BRAKO has no length"):
        plan_of("XTBN", "BRAKO", "BRAKO")


def test_a_route_text_that_nobody_took_apart_is_refused() -> None:
    with pytest.raises(PlanError, match="not taken apart"):
        make_plan(Lesson.model_validate({"route": {"text": "XTBN BRAKO"}}), date=DATE)


def test_the_approach_takes_over_from_its_first_fix_on_the_route() -> None:
    plan = plan_of("XTBN", "CALDU", "HOLMA", "XSKH", approaches=[APPROACH])

    assert ends(plan) == [("R1", "XTBN", "CALDU"), ("R2", "CALDU", "HOLMA")]
    assert any("From HOLMA on the approach" in note for note in plan.notes)


def test_the_approach_takes_over_from_a_later_fix_where_the_first_is_not_on_the_route() -> None:
    plan = plan_of("XTBN", "CALDU", "FERNU", "XSKH", approaches=[APPROACH])

    assert ends(plan) == [("R1", "XTBN", "CALDU"), ("R2", "CALDU", "FERNU")]


def test_several_legs_that_coincide_are_all_the_approachs() -> None:
    plan = plan_of("XTBN", "HOLMA", "FERNU", "XSKH", approaches=[APPROACH])

    assert ends(plan) == [("R1", "XTBN", "HOLMA")]


def test_without_a_common_fix_the_route_stays_whole() -> None:
    plan = plan_of("XTBN", "CALDU", "XSKH", approaches=[APPROACH])

    assert ends(plan) == [("R1", "XTBN", "CALDU"), ("R2", "CALDU", "XSKH")]


def test_a_route_that_passes_a_fix_of_the_approach_and_goes_elsewhere_stays_whole() -> None:
    plan = plan_of("XTBN", "HOLMA", "CALDU", "BRAKO", approaches=[APPROACH])

    assert len(plan.route) == 3


def test_the_approach_to_the_end_of_the_route_takes_over_not_another() -> None:
    other = {
        "airport": "XTBN",
        "leg": [{"path": "IF", "fix": "CALDU"}, {"path": "TF", "fix": "BRAKO"}, {"path": "TF", "fix": "XTBN"}],
    }

    plan = plan_of("XTBN", "CALDU", "HOLMA", "XSKH", approaches=[other, APPROACH])

    assert ends(plan)[-1] == ("R2", "CALDU", "HOLMA")


def test_departure_and_destination_are_the_ends_of_the_route() -> None:
    plan = plan_of("XTBN", "BRAKO", "XSKH", approaches=[APPROACH])

    assert plan.departure is not None
    assert plan.departure.ident == "XTBN"
    assert plan.destination is not None
    assert (plan.destination.ident, plan.destination.lon_deg) == ("XSKH", -27.11)


def test_the_destination_is_else_the_threshold_of_the_approach() -> None:
    lesson = Lesson.model_validate(
        {"fix": FIXES[1:-1], "route": {"points": ["BRAKO", "CALDU"]}, "approach": [APPROACH]}
    )

    plan = make_plan(lesson, date=DATE)

    assert plan.departure is None
    assert plan.destination is not None
    assert (plan.destination.ident, plan.destination.kind) == ("XSKH", "airport")
    assert (plan.destination.lat_deg, plan.destination.elevation_ft) == (46.9, 88)


def test_the_aerodrome_at_the_end_of_the_route_needs_no_fix_where_its_runway_is_given() -> None:
    lesson = Lesson.model_validate(
        {"fix": FIXES[:-1], "route": {"points": ["XTBN", "CALDU", "XSKH"]}, "approach": [APPROACH]}
    )

    leg = make_plan(lesson, date=DATE).route[-1]

    assert leg.to_fix is not None
    assert (leg.end_ident, leg.to_fix.lat_deg, leg.to_fix.lon_deg) == ("XSKH", 46.9, -27.1)


def test_a_route_over_the_date_line_goes_the_short_way() -> None:
    places = track_route(("A", -17.5, 179.5), ("B", -17.5, -179.5))

    (leg,) = make_plan(Lesson(), date=DATE, track_route=places).route

    assert leg.distance_nm == pytest.approx(57.3, abs=0.1)  # one degree of longitude: 60 NM by cos 17.5°
    assert leg.course_deg_true == pytest.approx(90.15, abs=0.02)  # half of 1° by sin 17.5°, on the southern side
