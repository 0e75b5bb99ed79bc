"""What can't be resolved is named with its file and its line, where the lesson knows its lines."""

from __future__ import annotations

import datetime as dt

import pytest

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.plan import make_plan
from plan.plan_world import given_route

LINES = {
    "[route]": 3,
    "[route] text": 4,
    "[[approach]]": 6,
    "[[approach]] 1": 6,
    "[[approach]] 1 leg": 8,
    "[[approach]] 1 leg 2": 10,
    "[[approach]] 1 runway": 12,
    "[[clearance]] 1": 20,
    "[[clearance]] 1 hold": 21,
    "[[clearance]] 1 cleared": 22,
}
FIXES = [{"ident": "HOLMA", "lat_deg": 46.9, "lon_deg": -26.8}, {"ident": "FERNU", "lat_deg": 46.9, "lon_deg": -27.0}]


def lesson_of(**tables: object) -> Lesson:
    lesson = Lesson.model_validate({"fix": FIXES, **tables})
    return lesson.model_copy(update={"file": "flight.toml", "lines": LINES})


def leg(fix: str) -> dict[str, str]:
    return {"path": "TF", "fix": fix}


@pytest.mark.parametrize(
    ("tables", "where"),
    [
        (
            {"route": {"text": "HOLMA FERNO", "elements": given_route("HOLMA FERNO").elements}},
            "flight.toml, line 4, [route] text",
        ),
        (
            {"route": {"text": "HOLMA HOLMA", "elements": given_route("HOLMA HOLMA").elements}},
            "flight.toml, line 4, [route] text",
        ),
        ({"route": {"points": ["HOLMA", "FERNO"]}}, "flight.toml, line 3, [route] points 2"),
        ({"route": {"points": ["HOLMA", "DCT", "HOLMA"]}}, "flight.toml, line 3, [route] points 3"),
        (
            {"approach": [{"airport": "X", "leg": [{"path": "IF", "fix": "HOLMA"}, leg("FERNO")]}]},
            "flight.toml, line 10, [[approach]] 1 leg 2",
        ),
        (
            {"approach": [{"airport": "X", "navaid": "SKX", "leg": [{"path": "IF", "fix": "HOLMA"}]}]},
            "flight.toml, line 6, [[approach]] 1 navaid",
        ),
        ({"clearance": [{"hold": {"fix": "FERNO"}}]}, "flight.toml, line 21, [[clearance]] 1 hold.fix"),
        ({"clearance": [{"cleared": "XSKH"}]}, "flight.toml, line 22, [[clearance]] 1 cleared"),
        ({"clearance": [{"direct": "FERNO"}]}, "flight.toml, line 20, [[clearance]] 1 direct"),
    ],
)
def test_the_line_is_that_of_the_key_or_of_what_holds_it(tables: dict[str, object], where: str) -> None:
    with pytest.raises(PlanError) as caught:
        make_plan(lesson_of(**tables), date=dt.date(2026, 4, 18))

    assert caught.value.where == where


def test_a_place_outside_the_lesson_has_no_line() -> None:
    with pytest.raises(PlanError) as caught:
        make_plan(lesson_of(), date=dt.date(2026, 4, 18), route=given_route("HOLMA FERNO"))

    assert caught.value.where == "--route"
