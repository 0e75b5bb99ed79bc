"""Departures and arrivals in a route: their runway's part, the common one, the transition by the route's neighbour."""

from __future__ import annotations

from typing import Any

import pytest

from legwise.errors import PlanError
from legwise.model.navdata import FixKey, ProcedureKind, Section
from legwise.model.plan import Plan
from plan.plan_world import RUNWAYS, World, airway, coded_fix, key_of, passed, plan_of, procedure

APPROACH = {
    "airport": "XSKH",
    "title": "RNAV RWY 27",
    "runway": {"ident": "RW27", "lat_deg": 46.9, "lon_deg": -27.1, "elevation_ft": 88},
    "leg": [{"path": "IF", "fix": "HOLMA"}, {"path": "TF", "fix": "DELSO"}, {"path": "TF", "fix": "RW27"}],
}


def on(departure: str | None = None, arrival: str | None = None, **more: Any) -> dict[str, Any]:
    route = {"departure_runway": departure, "arrival_runway": arrival}
    return {"route": {key: value for key, value in route.items() if value is not None}, **more}


def kinds(plan: Plan) -> list[str]:
    return [leg.kind for leg in plan.route]


def refused(text: str, world: World | None = None, lesson: dict[str, Any] | None = None) -> PlanError:
    with pytest.raises(PlanError) as caught:
        plan_of(text, world, lesson)
    return caught.value


@pytest.mark.parametrize(
    ("runway", "fixes"), [("RW27", ["TBN", "JOLKA", "FOSSA", "BRAKO"]), ("9", ["JOLKA", "FOSSA", "BRAKO"])]
)
def test_a_departure_by_runway_common_part_and_transition(runway: str, fixes: list[str]) -> None:
    plan = plan_of("XTBN DUNOR1 BRAKO XSKH", lesson=on(runway))

    assert [leg.end_ident for leg in plan.route] == [*fixes, "XSKH"]
    assert [leg.procedure for leg in plan.route] == ["DUNOR1"] * len(fixes) + [""]
    assert [leg.id for leg in plan.route] == [f"R{number}" for number in range(1, len(fixes) + 2)]
    assert kinds(plan)[0] == "DF"


def test_the_transition_is_the_one_to_the_next_point() -> None:
    assert [leg.end_ident for leg in plan_of("XTBN DUNOR1 CALDU XSKH", lesson=on("RW09")).route][:3] == [
        "JOLKA", "FOSSA", "CALDU",
    ]  # fmt: skip
    # No transition ends there: the common part, then direct.
    assert [leg.end_ident for leg in plan_of("XTBN DUNOR1 GANDO XSKH", lesson=on("RW09")).route] == [
        "JOLKA", "FOSSA", "GANDO", "XSKH",
    ]  # fmt: skip
    # The fix where the common part ends is no transition.
    assert [leg.end_ident for leg in plan_of("XTBN DUNOR1 FOSSA XSKH", lesson=on("RW09")).route] == [
        "JOLKA", "FOSSA", "XSKH",
    ]  # fmt: skip


def test_the_transition_is_the_one_to_the_airway() -> None:
    # BRAKO and CALDU are both on V7; so the route has to say which.
    error = refused("XTBN DUNOR1 V7 SKH", lesson=on("RW09"))

    assert error.message == "DUNOR1 ends at more than one fix of V7: BRAKO, CALDU"
    assert error.remedy.endswith("         ^^^^^^")
    # FOSSA, where the common part ends, is on V12, and so is CALDU: without a transition comes first.
    assert [leg.end_ident for leg in plan_of("XTBN DUNOR1 V12 GANDO", lesson=on("RW09")).route] == [
        "JOLKA", "FOSSA", "CALDU", "GANDO",
    ]  # fmt: skip
    assert (
        "no fix where DUNOR1 ends is on the airway V31"
        in refused(
            "XTBN DUNOR1 V31 GANDO", World(airways=[airway("V31", [key_of("EMKIR"), key_of("GANDO")])]), on("RW09")
        ).message
    )


def test_without_a_runway_the_common_part_is_taken_and_that_is_said() -> None:
    plan = plan_of("XTBN DUNOR1 BRAKO XSKH")

    assert passed(plan) == ["XTBN", "JOLKA", "FOSSA", "BRAKO", "XSKH"]
    assert (plan.route[0].kind, plan.route[0].procedure) == ("TF", "")
    (note,) = [note for note in plan.notes if "no runway is said" in note]
    assert "DUNOR1 of XTBN has parts for RW09, RW27" in note
    assert "[route] departure_runway" in note


def test_a_runway_that_the_departure_does_not_serve() -> None:
    error = refused("XTBN DUNOR1 BRAKO", lesson=on("RW18"))

    assert error.message == "DUNOR1 of XTBN has no part for runway RW18"
    assert "RW09, RW27" in error.remedy


def test_a_departure_that_ends_with_vectors_is_followed_by_a_direct_from_wherever_the_aircraft_is() -> None:
    plan = plan_of("XTBN VECTR2 BRAKO XSKH", lesson=on("RW27"))

    assert kinds(plan) == ["VM", "DF", "TF"]
    direct = plan.route[1]
    assert (direct.from_fix, direct.path, direct.end_ident) == (None, None, "BRAKO")


@pytest.mark.parametrize(
    ("text", "fixes"),
    [
        ("XTBN CALDU GANDO3 XSKH", ["XTBN", "CALDU", "GANDO", "EMKIR", "HOLMA", "XSKH"]),
        ("XTBN IVARU GANDO3 XSKH", ["XTBN", "IVARU", "GANDO", "EMKIR", "HOLMA", "XSKH"]),
        ("XTBN BRAKO GANDO3 XSKH", ["XTBN", "BRAKO", "GANDO", "EMKIR", "HOLMA", "XSKH"]),
        ("XTBN FOSSA V12 GANDO3 XSKH", ["XTBN", "FOSSA", "CALDU", "GANDO", "EMKIR", "HOLMA", "XSKH"]),
        ("XTBN BRAKO V9 GANDO GANDO3 XSKH", ["XTBN", "BRAKO", "IVARU", "GANDO", "EMKIR", "HOLMA", "XSKH"]),
    ],
)
def test_an_arrival_by_transition_common_part_and_runway(text: str, fixes: list[str]) -> None:
    assert passed(plan_of(text, lesson=on(arrival="RW27"))) == fixes


def test_a_departure_left_on_its_way_and_an_arrival_joined_on_its_way() -> None:
    plan = plan_of("XTBN DUNOR1 JOLKA EMKIR GANDO3 XSKH", lesson=on("RW27", "RW27"))

    assert [leg.end_ident for leg in plan.route] == ["TBN", "JOLKA", "EMKIR", "HOLMA", "XSKH"]
    assert {"DUNOR1 is left at JOLKA, on its way.", "GANDO3 is joined at EMKIR, on its way."} <= set(plan.notes)


def test_departure_and_arrival_in_one_route() -> None:
    plan = plan_of("N0120A050 XTBN DUNOR1 CALDU GANDO3 XSKH", lesson=on("RW09", "RW27"))

    assert [leg.end_ident for leg in plan.route] == [
        "JOLKA", "FOSSA", "CALDU", "GANDO", "EMKIR", "HOLMA", "XSKH",
    ]  # fmt: skip
    assert plan.route_altitude_ft == 5000
    assert plan.departure is not None
    assert plan.destination is not None
    assert (plan.departure.ident, plan.departure.elevation_ft) == ("XTBN", 120.0)
    assert (plan.destination.ident, plan.destination.elevation_ft) == ("XSKH", 88.0)
    assert "Planned is 120 kt true airspeed and 5,000 ft." in plan.notes


def test_an_arrival_that_ends_with_vectors_leads_no_further() -> None:
    plan = plan_of("XTBN CALDU GANDO3 XSKH", lesson=on(arrival="RW09"))

    assert kinds(plan)[-1] == "FM"
    assert any("GANDO3 ends with vectors, so no leg from it to XSKH is owed" in note for note in plan.notes)
    assert plan.destination is not None
    assert plan.destination.ident == "XSKH"


def test_the_runway_of_the_arrival_is_that_of_the_approach() -> None:
    plan = plan_of("XTBN CALDU GANDO3 XSKH", lesson={"approach": [APPROACH]})

    assert passed(plan) == ["XTBN", "CALDU", "GANDO", "EMKIR", "HOLMA"]
    assert "The arrival was taken for RW27, the runway of the approach." in plan.notes
    assert any("From HOLMA on the approach (RNAV RWY 27) is owed, not the route to XSKH" in note for note in plan.notes)


def test_the_approach_takes_over_from_an_arrival_that_ends_with_vectors() -> None:
    approach = {**APPROACH, "leg": [{"path": "IF", "fix": "DELSO"}, {"path": "TF", "fix": "RW27"}]}

    plan = plan_of("XTBN CALDU GANDO3 XSKH", lesson={"approach": [approach], **on(arrival="RW09")})

    assert passed(plan)[-1] == "DELSO"
    assert "FM" not in kinds(plan)


def test_a_fix_of_the_approach_elsewhere_of_the_same_ident_does_not_take_over() -> None:
    far = {**APPROACH, "leg": [{"path": "IF", "fix": "4630N02830W"}, {"path": "TF", "fix": "RW27"}]}

    assert passed(plan_of("XTBN HOLMA XSKH", lesson={"approach": [far]})) == ["XTBN", "HOLMA", "XSKH"]


def test_a_departure_begins_at_the_runways_threshold() -> None:
    own = procedure("XTBN", "STRGT1", ProcedureKind.DEPARTURE, ("runway", "RW27", [("TF", "JOLKA")]))

    start = plan_of("XTBN STRGT1 JOLKA XSKH", World(procedures=[own])).route[0].from_fix

    assert start is not None
    assert (start.ident, start.kind) == ("RW27", "runway")
    assert (start.lat_deg, start.lon_deg) == RUNWAYS["XTBN", "RW27"]


def test_a_name_of_seven_characters_is_coded_in_six() -> None:
    coded = procedure("XTBN", "BRAK1A", ProcedureKind.DEPARTURE, ("common", "", [("IF", "JOLKA"), ("TF", "BRAKO")]))

    assert passed(plan_of("XTBN BRAKO1A BRAKO XSKH", World(procedures=[coded]))) == ["XTBN", "JOLKA", "BRAKO", "XSKH"]


@pytest.mark.parametrize(
    ("text", "message", "near", "caret"),
    [
        ("XTBN DUNOR2 BRAKO", "DUNOR2 is no fix and no airway and no departure of XTBN", "DUNOR1", "     ^^^^^^"),
        ("BRAKO GANDO4 XSKH", "GANDO4 is no fix and no airway and no arrival of XSKH", "GANDO3", "      ^^^^^^"),
    ],
)
def test_an_unknown_procedure_is_named_with_its_aerodrome_and_the_nearest(
    text: str, message: str, near: str, caret: str
) -> None:
    error = refused(text)

    assert error.message.startswith(message)
    assert error.remedy.startswith(f"The nearest known: {near}")
    assert error.remedy.endswith(caret)


def test_a_procedure_that_stands_in_the_middle_is_none() -> None:
    assert "DUNOR1 is no fix and no airway" in refused("XTBN BRAKO DUNOR1 CALDU XSKH").message


def test_a_leg_of_a_procedure_that_can_not_be_resolved_points_at_the_procedure() -> None:
    lost = procedure("XTBN", "LOSTT1", ProcedureKind.DEPARTURE, ("common", "", [("IF", "LACKS"), ("TF", "BRAKO")]))

    error = refused("XTBN LOSTT1 BRAKO", World(procedures=[lost]))

    assert "LACKS" in error.message
    assert error.remedy.endswith("    XTBN LOSTT1 BRAKO\n         ^^^^^^")


def test_the_waypoints_of_the_aerodromes_own_procedures_are_meant_before_those_of_others() -> None:
    own = coded_fix(FixKey(ident="ROLVA", region="XA", section=Section.TERMINAL_WAYPOINT, airport="XSKH"), 46.95, -27.0)
    other = coded_fix(
        FixKey(ident="ROLVA", region="XA", section=Section.TERMINAL_WAYPOINT, airport="XQQQ"), 46.94, -27.02
    )

    plan = plan_of("XTBN BRAKO ROLVA XSKH", World(own, other))

    fix = plan.fix("ROLVA")
    assert fix is not None
    assert fix.lat_deg == 46.95
