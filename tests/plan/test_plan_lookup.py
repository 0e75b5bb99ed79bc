"""Fixes and approaches that are named must be known; the message says where the name stands and what is near it."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan, coordinates_of
from legwise.model.track import RoutePoint
from legwise.plan import make_plan
from plan.plan_world import given_route

DATE = dt.date(2026, 4, 18)
FIXES = [
    {"ident": "BRAKO", "lat_deg": 46.51, "lon_deg": -28.0},
    {"ident": "CALDU", "lat_deg": 46.7, "lon_deg": -27.5},
    {"ident": "HOLMA", "lat_deg": 46.93, "lon_deg": -26.85},
]


def approach(airport: str, runway: str, lat_deg: float, **more: Any) -> dict[str, Any]:
    return {
        "airport": airport,
        "runway": {"ident": runway, "lat_deg": lat_deg, "lon_deg": -27.1, "elevation_ft": 88},
        "leg": [{"path": "IF", "fix": "HOLMA"}, {"path": "TF", "fix": runway}],
        **more,
    }


def plan_of(call: dict[str, Any] | None = None, **tables: Any) -> Plan:
    lesson = Lesson.model_validate({"fix": FIXES, **tables}).model_copy(update={"file": "flight.toml"})
    return make_plan(lesson, date=DATE, **(call or {}))


def place_of(plan: Plan, ident: str) -> tuple[float, float]:
    fix = plan.fix(ident)
    assert fix is not None
    return fix.lat_deg, fix.lon_deg


@pytest.mark.parametrize(
    ("tables", "where"),
    [
        ({"route": {"points": ["BRAKO", "CALDO"]}}, r"flight\.toml, \[route\] points 2"),
        ({"approach": [{"airport": "X", "leg": [{"path": "IF", "fix": "CALDO"}]}]}, r"\[\[approach\]\] 1 leg 1"),
        (
            {"approach": [approach("X", "RW27", 46.9, missed=[{"path": "DF", "fix": "CALDO"}])]},
            r"\[\[approach\]\] 1 missed 1",
        ),
        ({"approach": [approach("X", "RW27", 46.9, navaid="CALDO")]}, r"\[\[approach\]\] 1 navaid"),
        ({"clearance": [{"join": True}, {"direct": "CALDO"}]}, r"\[\[clearance\]\] 2 direct"),
        ({"clearance": [{"hold": {"fix": "CALDO"}}]}, r"\[\[clearance\]\] 1 hold\.fix"),
        ({"clearance": [{"crossing": {"fix": "CALDO", "at_ft": 1}}]}, r"\[\[clearance\]\] 1 crossing\.fix"),
    ],
)
def test_an_unknown_fix_is_named_with_its_place_and_the_nearest(tables: dict[str, Any], where: str) -> None:
    with pytest.raises(PlanError, match=where) as caught:
        plan_of(**tables)

    assert "the fix CALDO is unknown" in str(caught.value)
    assert "CALDU" in caught.value.remedy
    assert "[[fix]]" in caught.value.remedy


def test_without_any_fix_the_remedy_is_to_write_one() -> None:
    with pytest.raises(PlanError, match=r"--route: the fix XTBN is unknown\n  Write it into the lesson"):
        make_plan(Lesson(), date=DATE, route=given_route("XTBN XSKH"))


def test_fixes_of_the_lesson_win_over_the_track_files() -> None:
    waypoints = (RoutePoint(ident="BRAKO", lat_deg=1, lon_deg=1), RoutePoint(ident="WPT", lat_deg=46.6, lon_deg=-28.0))

    plan = plan_of({"waypoints": waypoints}, route={"points": ["BRAKO", "WPT"]})

    assert place_of(plan, "BRAKO") == (46.51, -28.0)
    assert place_of(plan, "WPT") == (46.6, -28.0)


def test_an_ident_at_two_places_of_the_track_file_is_refused_where_it_is_needed() -> None:
    twice = (RoutePoint(ident="WPT", lat_deg=1, lon_deg=1), RoutePoint(ident="WPT", lat_deg=2, lon_deg=1))
    same = (RoutePoint(ident="WPT", lat_deg=1, lon_deg=1), RoutePoint(ident="WPT", lat_deg=1, lon_deg=1))

    with pytest.raises(PlanError, match="the fix WPT stands at 2 places in the track file"):
        plan_of({"waypoints": twice}, clearance=[{"direct": "WPT"}])
    assert place_of(plan_of({"waypoints": same}, clearance=[{"direct": "WPT"}]), "WPT") == (1, 1)
    plan_of({"waypoints": twice})


def test_an_ident_at_thousands_of_places_of_the_track_file() -> None:
    waypoints = tuple(RoutePoint(ident="WPT", lat_deg=n / 1000, lon_deg=0) for n in range(20_000))

    with pytest.raises(PlanError, match="the fix WPT stands at 20 or more places in the track file"):
        plan_of({"waypoints": waypoints}, clearance=[{"direct": "WPT"}])


def test_a_runway_is_a_fix_inside_its_own_approach() -> None:
    plan = plan_of(approach=[approach("XSKH", "RW27", 46.9), approach("XTBN", "RW27", 46.4)])

    ends = [item.legs[-1].to_fix for item in plan.approaches]
    assert [(end.lat_deg, end.kind) for end in ends if end is not None] == [(46.9, "runway"), (46.4, "runway")]


def test_a_runway_may_be_named_outside_its_approach_where_no_fix_has_the_ident() -> None:
    plan = plan_of(approach=[approach("XSKH", "RW27", 46.9)], clearance=[{"direct": "RW27"}])

    assert place_of(plan, "RW27") == (46.9, -27.1)


@pytest.mark.parametrize(
    ("cleared", "index"),
    [
        ("XSKH", 0),
        ("xskh/rw27", 0),
        ("XSKH/RWY 27", 0),
        ("XSKH/27", 0),
        ("XSKH/R27", 0),
        ("XSKH/RNAV (GPS) RWY 27", 0),
        ("XSKH/I09L", 1),
        ("XSKH/RW09L", 1),
        ("XSKH/9L", 1),
        ("XTBN/V18", 2),
    ],
)
def test_the_approach_that_is_cleared(cleared: str, index: int) -> None:
    plan = plan_of(
        approach=[
            approach("XSKH", "RW27", 46.9, title="RNAV (GPS) RWY 27", guidance="LPV"),
            approach("XSKH", "RW09L", 46.9, procedure="I09L", guidance="ILS"),
            approach("XTBN", "RW18", 46.4, guidance="VOR"),
        ],
        clearance=[{"cleared": cleared}],
    )

    found = plan.approach_named(cleared)

    assert found is not None
    assert found.index == index


def test_all_approaches_that_may_be_meant() -> None:
    plan = plan_of(approach=[approach("XSKH", "RW27", 46.9), approach("XSKH", "RW27", 46.9)])

    assert [item.index for item in plan.approaches_named("XSKH/RW27")] == [0, 1]
    assert plan.approaches_named("XTBN") == ()


@pytest.mark.parametrize("cleared", ["XTBN", "XSKH/RW09", "XSKH/I27", "XSKH/X"])
def test_an_approach_that_the_lesson_does_not_hold(cleared: str) -> None:
    with pytest.raises(PlanError, match=rf"\[\[clearance\]\] 1 cleared: cleared for {cleared}") as caught:
        plan_of(
            approach=[approach("XSKH", "RW27", 46.9, guidance="LPV")],
            clearance=[{"cleared": cleared}],
        )

    assert "XSKH/RW27" in caught.value.remedy


def test_an_approach_where_the_lesson_holds_none() -> None:
    with pytest.raises(PlanError, match=r"Write the approach into the lesson as an \[\[approach\]\]"):
        plan_of(clearance=[{"cleared": "XSKH"}])


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("46N028W", (46.0, -28.0)),
        ("4630N02845W", (46.5, -28.75)),
        ("463036S0284500E", (-46.51, 28.75)),
        ("90N180E", (90.0, 180.0)),
        ("4660N02800W", None),
        ("91N028W", None),
        ("46N181W", None),
        ("4630N028W", None),
        ("BRAKO", None),
        ("٤٦N028W", None),
    ],
)
def test_positions_in_flight_plan_form(text: str, place: tuple[float, float] | None) -> None:
    assert coordinates_of(text) == (None if place is None else pytest.approx(place, abs=1e-12))
