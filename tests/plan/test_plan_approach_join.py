"""How the parts of a coded approach become one chain, in the invented world: what the real records do not show."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pytest

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.navdata import CodedLeg, CodedProcedure, ProcedureKind, ProcedurePart, RecordProblem
from legwise.model.plan import Plan
from legwise.plan import make_plan
from plan.plan_world import World, coded_leg

DATE = dt.date(2026, 4, 18)


def leg(path: Any, ident: str, sequence: int, **more: Any) -> CodedLeg:
    return coded_leg(path, ident, sequence, **more)


FINAL = (
    leg("IF", "GANDO", 10, role="IF"),
    leg("TF", "DELSO", 20, role="FAF"),
    leg("TF", "SKH", 30, role="MAP"),
    leg("CA", "", 40, course_deg=180.0, is_missed=True),
)


def plan_of(
    transition: tuple[CodedLeg, ...], final: tuple[CodedLeg, ...] = FINAL[:3], name: str = "ENTRY", **more: Any
) -> Plan:
    coded = CodedProcedure(
        airport="XSKH", ident="VOR-A", kind=ProcedureKind.APPROACH, route_type="V", runway="", levels=(),
        parts=(
            ProcedurePart(place="fix", route_type="A", transition="ENTRY", legs=transition),
            ProcedurePart(place="final", route_type="V", transition="", legs=final),
        ),
        **more,
    )  # fmt: skip
    lesson = Lesson.model_validate({"approach": [{"airport": "XSKH", "procedure": "VOR-A", "transition": name}]})
    return make_plan(lesson, date=DATE, navdata=World(procedures=[coded]))


def chain(plan: Plan) -> list[str]:
    return [f"{item.kind} {item.end_ident}".strip() for item in plan.approaches[0].legs]


def test_an_intercept_leads_onto_the_course_through_the_first_fix_of_the_final_part() -> None:
    plan = plan_of((leg("IF", "CALDU", 10), leg("CI", "", 20, course_deg=30.0)))
    first = plan.approaches[0].legs[2]

    assert chain(plan) == ["IF CALDU", "CI", "CF GANDO", "TF DELSO", "TF SKH"]
    assert first.path is not None
    onward = plan.approaches[0].legs[3].path
    assert onward is not None
    assert math.isinf(first.path.length_nm)
    assert first.path.end_course_deg_true == pytest.approx(onward.start_course_deg_true)
    assert first.role == "IF"


@pytest.mark.parametrize(
    ("fix", "onward"),
    [
        ("GANDO", ["CF GANDO", "TF DELSO", "TF SKH"]),  # at the beginning of the final part
        ("DELSO", ["CF DELSO", "TF SKH"]),  # at the final approach fix: what lies farther out is not passed
        ("SKH", ["CF DELSO", "TF SKH"]),  # at the missed approach point: back by way of the final approach fix
        ("FOSSA", ["CF DELSO", "TF SKH"]),  # beside the final part
    ],
)
def test_a_procedure_turn_leads_back_to_the_first_fix_that_is_passed(fix: str, onward: list[str]) -> None:
    turn = leg("PI", fix, 10, course_deg=45.0, turn="left", distance_nm=10.0)

    assert chain(plan_of((turn,))) == [f"PI {fix}", *onward]


def test_a_hold_at_the_final_approach_fix_is_followed_by_the_course_back_to_it() -> None:
    final = (leg("IF", "DELSO", 10, role="FAF"), leg("TF", "SKH", 20, role="MAP"))
    plan = plan_of((leg("HF", "DELSO", 10, course_deg=60.0, turn="right"),), final)

    assert chain(plan) == ["HF DELSO", "CF DELSO", "TF SKH"]
    assert [item.role for item in plan.approaches[0].legs] == [None, "FAF", "MAP"]


def test_a_transition_that_ends_elsewhere_leaves_a_gap_that_is_said() -> None:
    plan = plan_of((leg("IF", "BRAKO", 10), leg("TF", "CALDU", 20)))

    assert chain(plan) == ["IF BRAKO", "TF CALDU", "IF GANDO", "TF DELSO", "TF SKH"]
    assert any("ends at CALDU and its final part begins at GANDO, unjoined" in note for note in plan.notes)


def test_a_final_part_without_a_final_approach_fix_is_joined_before_its_first_leg() -> None:
    final = (leg("IF", "GANDO", 10), leg("CF", "SKH", 20, course_deg=125.0, role="MAP"))

    assert chain(plan_of((leg("IF", "BRAKO", 10),), final, name="vectors")) == ["CF SKH"]


def test_the_missed_approach_goes_on_from_the_missed_approach_point() -> None:
    plan = plan_of((leg("IF", "GANDO", 10),), (*FINAL[:3], leg("TF", "EMKIR", 40, is_missed=True)))
    missed = plan.approaches[0].missed[0]

    assert missed.from_fix is not None
    assert (missed.from_fix.ident, missed.end_ident) == ("SKH", "EMKIR")


def test_what_is_wrong_with_a_procedures_records_is_said() -> None:
    broken = RecordProblem(line=7, message="a leg was left out")

    assert any("a leg was left out (line 7)" in note for note in plan_of(FINAL[:1], problems=(broken,)).notes)


def test_a_part_without_measure_is_refused() -> None:
    legs = tuple(leg("CI", "", number, course_deg=10.0) for number in range(400))

    with pytest.raises(PlanError, match="VOR-A has 400 legs in one part"):
        plan_of(legs)
