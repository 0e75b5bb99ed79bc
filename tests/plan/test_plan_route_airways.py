"""Airways in a route: every fix between, both ways, crossings, directions, and what can't be joined."""

from __future__ import annotations

import pytest
from geographiclib.geodesic import Geodesic

from legwise.errors import PlanError
from legwise.geodesy.magnetic import declination_deg
from legwise.model.lesson import Lesson
from legwise.model.plan import Leg, Plan
from legwise.plan import make_plan
from legwise.plan.route.airways import is_by_stations
from legwise.units import M_PER_NM
from plan.plan_world import DATE, STATIONS, World, airway, coded_fix, given_route, key_of, passed, plan_of


def leg_to(plan: Plan, ident: str) -> Leg:
    return next(leg for leg in plan.route if leg.end_ident == ident)


def refused(text: str, world: World | None = None) -> PlanError:
    with pytest.raises(PlanError) as caught:
        plan_of(text, world)
    return caught.value


def test_an_airway_is_every_fix_between_joining_and_leaving() -> None:
    plan = plan_of("XTBN BRAKO V7 DELSO XSKH")

    assert passed(plan) == ["XTBN", "BRAKO", "IVARU", "CALDU", "DELSO", "XSKH"]
    assert [leg.id for leg in plan.route] == ["R1", "R2", "R3", "R4", "R5"]
    assert {leg.kind for leg in plan.route} == {"TF"}


def test_the_other_way_is_its_mirror() -> None:
    there, back = plan_of("BRAKO V7 SKH"), plan_of("SKH V7 BRAKO")

    assert passed(back) == passed(there)[::-1]
    lengths = [leg.distance_nm for leg in back.route]
    assert lengths == pytest.approx([leg.distance_nm for leg in reversed(there.route)], abs=1e-9)


def test_courses_and_distances_are_geodesic() -> None:
    for leg in plan_of("TBN V7 SKH").route:
        one, other = leg.from_fix, leg.to_fix
        assert one is not None
        assert other is not None
        truth = Geodesic.WGS84.Inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)
        assert leg.distance_nm == pytest.approx(truth["s12"] / M_PER_NM, abs=1e-6)
        assert leg.course_deg_true == pytest.approx(truth["azi1"] % 360, abs=1e-6)


def test_magnetic_courses_are_the_stations_at_a_station_and_the_models_elsewhere() -> None:
    plan = plan_of("TBN V7 SKH")

    first, second, last = plan.route[0], plan.route[1], plan.route[-1]
    for leg, variation in ((first, STATIONS["TBN"][2]), (last, STATIONS["SKH"][2])):
        assert leg.course_deg_true is not None
        assert leg.course_deg_mag == pytest.approx((leg.course_deg_true - variation) % 360, abs=1e-9)
    at = second.from_fix
    assert at is not None
    assert second.course_deg_true is not None
    model = declination_deg(at.lat_deg, at.lon_deg, DATE)
    assert second.course_deg_mag == pytest.approx((second.course_deg_true - model) % 360, abs=1e-9)
    (note,) = [note for note in plan.notes if "own declination" in note]
    assert "TBN (13.5° west), SKH (12.0° west)" in note


def test_an_rnav_route_has_no_radials() -> None:
    plan = plan_of("TBN T5 SKH")

    leg = plan.route[0]
    at = leg.from_fix
    assert at is not None
    assert leg.course_deg_true is not None
    model = declination_deg(at.lat_deg, at.lon_deg, DATE)
    assert leg.course_deg_mag == pytest.approx((leg.course_deg_true - model) % 360, abs=1e-9)
    assert not [note for note in plan.notes if "own declination" in note]


@pytest.mark.parametrize(
    ("ident", "by_stations"),  # ICAO Annex 11, appendix 1, from memory
    [("V7", True), ("J2", True), ("A1", True), ("B46", True), ("UG1", True), ("Q19", False), ("T341", False),
     ("L602", False), ("UL602", False), ("UN857", False), ("Y25", False), ("Z1", False)],
)  # fmt: skip
def test_which_airways_are_made_of_radials(ident: str, by_stations: bool) -> None:
    assert is_by_stations(ident) is by_stations


def test_from_one_airway_to_another_at_the_one_fix_that_both_have() -> None:
    plan = plan_of("BRAKO V7 V12 GANDO")

    assert passed(plan) == ["BRAKO", "IVARU", "CALDU", "GANDO"]
    assert "V7 is left for V12 at CALDU, the fix that both have." in plan.notes


def test_two_airways_with_several_common_fixes_are_refused_and_the_fixes_named() -> None:
    error = refused("TBN V7 V9 GANDO")

    assert error.message == "the airways V7 and V9 have more than one fix in common: BRAKO, IVARU"
    assert error.remedy.endswith("    TBN V7 V9 GANDO\n           ^^")


def test_a_fix_between_says_which() -> None:
    assert passed(plan_of("TBN V7 BRAKO V9 GANDO")) == ["TBN", "BRAKO", "IVARU", "GANDO"]


def test_of_several_common_fixes_only_those_count_that_lead_on() -> None:
    # Joined at BRAKO, V7 can't be left there: IVARU is the one crossing.
    assert passed(plan_of("BRAKO V7 V9 GANDO")) == ["BRAKO", "IVARU", "GANDO"]


def test_airways_that_never_meet() -> None:
    error = refused("TBN V7 V30 JOLKA")

    assert "the airways V7 and V30 have no fix in common" in error.message


def test_a_fix_that_is_not_on_the_airway_is_pointed_at_with_the_nearest_that_are() -> None:
    error = refused("BRAKO V7 EMKIR XSKH")

    assert error.where == "--route"
    assert error.message == "EMKIR, where the airway V7 is left, is not on it"
    assert error.remedy.startswith("Its fixes nearest to there: SKH, DELSO, CALDU.")
    assert error.remedy.endswith("    BRAKO V7 EMKIR XSKH\n             ^^^^^")
    assert "JOLKA, where the airway V12 is joined" in refused("JOLKA V12 GANDO").message


def test_two_stretches_of_one_airway_do_not_join() -> None:
    assert passed(plan_of("JOLKA V30 FOSSA DCT GANDO V30 EMKIR")) == ["JOLKA", "FOSSA", "GANDO", "EMKIR"]
    assert "does not lead from JOLKA to EMKIR" in refused("JOLKA V30 EMKIR").message


@pytest.mark.parametrize(
    ("text", "message", "caret"),
    [
        ("V7 CALDU", "the airway V7 is joined at no fix", "^^"),
        ("BRAKO V7", "the airway V7 is left at no fix", "      ^^"),
        ("BRAKO DCT V7 CALDU", "the airway V7 is joined at no fix", "          ^^"),
        ("BRAKO V7 DCT CALDU", "the airway V7 is left at no fix", "      ^^"),
        ("BRAKO V8 CALDU", "V8 is no fix and no airway in the lesson or the navigation data", "      ^^"),
    ],
)
def test_airways_that_lead_nowhere(text: str, message: str, caret: str) -> None:
    error = refused(text)

    assert error.message == message
    assert error.remedy.endswith(f"    {text}\n    {caret}")


def test_the_nearest_airways_are_named() -> None:
    assert "The nearest known: V7" in refused("BRAKO V77 CALDU").remedy


def test_an_ident_that_is_an_airway_and_a_fix_is_an_airway_only_where_it_is_one() -> None:
    world = World(coded_fix(key_of("T5"), 46.5, -27.9))

    assert passed(plan_of("TBN T5 SKH", world)) == ["TBN", "FOSSA", "SKH"]
    assert passed(plan_of("BRAKO T5 CALDU", world)) == ["BRAKO", "T5", "CALDU"]


def test_the_lessons_own_fix_is_no_airway() -> None:
    lesson = {"fix": [{"ident": "V7", "lat_deg": 46.5, "lon_deg": -27.9}]}

    assert passed(plan_of("BRAKO V7 CALDU", lesson=lesson)) == ["BRAKO", "V7", "CALDU"]


@pytest.mark.parametrize(("text", "against"), [("BRAKO V99 EMKIR", False), ("EMKIR V99 BRAKO", True)])
def test_an_airway_against_its_direction_is_taken_as_filed_and_told(text: str, against: bool) -> None:
    way = airway("V99", [key_of("BRAKO"), key_of("CALDU"), key_of("EMKIR")], [None, "forward", None])

    notes = plan_of(text, World(airways=[way])).notes

    assert (
        any("V99 is published one way, against the route, between EMKIR and CALDU" in note for note in notes) is against
    )


def test_an_airway_through_a_fix_that_the_data_does_not_hold() -> None:
    way = airway("V99", [key_of("BRAKO"), key_of("LACKS"), key_of("EMKIR")])

    error = refused("BRAKO V99 EMKIR", World(airways=[way]))

    assert "V99: the navigation data names the fix LACKS of region XA, and does not hold it" in error.message
    assert error.remedy.endswith("          ^^^")


def test_the_lessons_own_fix_stands_for_one_of_the_airway() -> None:
    lesson = {"fix": [{"ident": "IVARU", "lat_deg": 46.61, "lon_deg": -27.75}]}

    plan = plan_of("BRAKO V7 CALDU", lesson=lesson)

    assert leg_to(plan, "IVARU").to_fix == plan.fix("IVARU")
    assert any("IVARU: the lesson's own fix was taken, 0.6 NM from the waypoint" in note for note in plan.notes)


def test_without_navigation_data_an_airway_says_what_it_needs() -> None:
    fixes = [
        {"ident": "BRAKO", "lat_deg": 46.5, "lon_deg": -28.0},
        {"ident": "CALDU", "lat_deg": 46.7, "lon_deg": -27.5},
    ]
    with pytest.raises(PlanError) as caught:
        make_plan(Lesson.model_validate({"fix": fixes}), date=DATE, route=given_route("BRAKO V7 CALDU"))

    assert "V7 is no fix of the lesson; as an airway, departure or arrival it needs navigation data" in str(
        caught.value
    )
    assert "[navdata] arinc424" in caught.value.remedy
    assert caught.value.remedy.endswith("          ^^")


def test_an_airway_of_thousands_of_fixes_is_refused() -> None:
    idents = [f"P{number}" for number in range(2500)]
    fixes = [coded_fix(key_of(ident), 40 + number / 100, -28.0) for number, ident in enumerate(idents)]
    way = airway("V99", [key_of(ident) for ident in idents])

    error = refused("P0 V99 P2499", World(*fixes, airways=[way]))

    assert "the route has more than 2,000 legs" in error.message


def test_an_airway_in_hundreds_of_pieces_is_refused() -> None:
    way = airway("V99", [key_of("BRAKO"), key_of("CALDU")])

    assert "501 stretches of the airway V99" in refused("BRAKO V99 CALDU", World(airways=[way] * 501)).message


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("BRAKO V7 V7 CALDU", "the airway V7 stands twice in a row"),
        ("CALDU V7 CALDU", "the airway V7 is joined and left at CALDU"),
    ],
)
def test_an_airway_that_goes_nowhere(text: str, message: str) -> None:
    assert refused(text).message == message
