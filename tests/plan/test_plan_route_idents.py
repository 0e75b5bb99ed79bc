"""One ident at several places: the region of its neighbours, then the shortest route; and the choice is told."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.navdata import CodedFix, FixKey, Section
from legwise.model.plan import Plan
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.nearness import OTHER_REGION_NM
from legwise.units import M_PER_NM
from plan.plan_world import World, airway, coded_fix, key_of, plan_of


def at(ident: str, lat_deg: float, lon_deg: float, region: str = "XA", airport: str = "") -> CodedFix:
    section = Section.TERMINAL_WAYPOINT if airport else Section.WAYPOINT
    return coded_fix(FixKey(ident=ident, region=region, section=section, airport=airport), lat_deg, lon_deg)


def places(plan: Plan) -> list[tuple[float, float]]:
    fixes = [plan.route[0].from_fix, *(leg.to_fix for leg in plan.route)]
    return [(fix.lat_deg, fix.lon_deg) for fix in fixes if fix is not None]


def note_on(plan: Plan, ident: str) -> str:
    (note,) = [note for note in plan.notes if note.startswith(f"{ident}:")]
    return note


def test_of_two_the_one_near_the_route_is_taken_and_the_other_told() -> None:
    plan = plan_of("TBN BRAKO CALDU XSKH")

    assert places(plan)[1:3] == [(46.51, -28.00), (46.70, -27.50)]
    assert note_on(plan, "BRAKO") == (
        "BRAKO: the waypoint of region XA was taken, the nearest to the route; there is also a waypoint 479 NM "
        "south-east of it (region XB)."
    )


def test_distance_and_direction_of_the_other_are_true() -> None:
    truth = Geodesic.WGS84.Inverse(46.51, -28.0, 41.0, -20.0)

    assert round(truth["s12"] / M_PER_NM) == 479
    assert 112.5 < truth["azi1"] < 157.5  # south-east


def test_the_region_of_the_neighbours_comes_before_nearness() -> None:
    # 20 NM aside in their own region, against 1 NM aside in another.
    world = World(at("ZEBRA", 46.9, -28.0), at("ZEBRA", 46.52, -27.9, "XB"))

    assert (46.9, -28.0) in places(plan_of("TBN ZEBRA IVARU", world))


def test_a_region_is_worth_a_detour_of_no_more_than_so_much() -> None:
    far = Geodesic.WGS84.Direct(46.55, -27.9, 0.0, 2 * OTHER_REGION_NM * M_PER_NM)
    world = World(at("ZEBRA", far["lat2"], far["lon2"]), at("ZEBRA", 46.52, -27.9, "XB"))

    assert (46.52, -27.9) in places(plan_of("TBN ZEBRA IVARU", world))


def test_several_together_make_the_shortest_route() -> None:
    # Each pair lies closely together; one from each pair would be farther.
    world = World(at("ZEBRA", 10, 10), at("ZEBRA", 50, 10), at("YACHT", 10.5, 10), at("YACHT", 50.5, 10))

    assert places(plan_of("ZEBRA YACHT 5030N01100E", world))[:2] == [(50, 10), (50.5, 10)]
    assert places(plan_of("1000N01100E ZEBRA YACHT", world))[1:] == [(10, 10), (10.5, 10)]


@settings(max_examples=60)
@given(
    st.lists(
        st.lists(st.tuples(st.integers(-60, 60), st.integers(-170, 170)), min_size=1, max_size=3, unique=True),
        min_size=2,
        max_size=5,
    )
)
def test_the_choice_is_the_shortest_of_all(points: list[list[tuple[int, int]]]) -> None:
    fixes = [at(f"ZZ{number}", lat, lon) for number, places in enumerate(points) for lat, lon in places]
    assume(not any(set(one) & set(other) for one, other in itertools.pairwise(points)))
    plan = plan_of(" ".join(f"ZZ{number}" for number in range(len(points))), World(*fixes))

    def length(way: Any) -> float:
        return sum(float(Geodesic.WGS84.Inverse(*a, *b)["s12"]) for a, b in itertools.pairwise(way))

    assert length(places(plan)) == pytest.approx(min(map(length, itertools.product(*points))), abs=0.01)


def test_a_single_ident_at_two_places_takes_the_first_and_says_so() -> None:
    assert "the first of them, since nothing else of the route tells" in note_on(plan_of("BRAKO"), "BRAKO")


def test_records_of_one_place_are_one_fix() -> None:
    plan = plan_of("TBN ZEBRA IVARU", World(at("ZEBRA", 46.5, -28.1), at("ZEBRA", 46.5001, -28.1, airport="XTBN")))

    assert not [note for note in plan.notes if note.startswith("ZEBRA")]


def test_the_airway_decides_before_region_and_nearness() -> None:
    way = airway("V99", [key_of("BRAKO", "XB"), key_of("EMKIR")])

    plan = plan_of("TBN BRAKO V99 EMKIR", World(airways=[way]))

    assert places(plan)[1] == (41.0, -20.0)
    assert "the one on V99; there is also a waypoint" in note_on(plan, "BRAKO")


def test_a_fix_of_the_lesson_wins_and_is_nothing_to_tell() -> None:
    plan = plan_of("TBN BRAKO CALDU", lesson={"fix": [{"ident": "BRAKO", "lat_deg": 45.0, "lon_deg": -28.0}]})

    assert places(plan)[1] == (45.0, -28.0)
    assert not [note for note in plan.notes if note.startswith("BRAKO")]


def test_an_instruction_means_the_fix_of_the_route() -> None:
    way = airway("V99", [key_of("BRAKO", "XB"), key_of("EMKIR")])

    plan = plan_of("BRAKO V99 EMKIR", World(airways=[way]), {"clearance": [{"direct": "BRAKO"}]})

    fix = plan.fix("BRAKO")
    assert fix is not None
    assert fix.lat_deg == 41.0
    assert len([note for note in plan.notes if note.startswith("BRAKO")]) == 1


def test_an_instruction_names_a_fix_beside_the_route_the_nearest_of_several() -> None:
    plan = plan_of("TBN IVARU", lesson={"clearance": [{"direct": "BRAKO"}]})

    fix = plan.fix("BRAKO")
    assert fix is not None
    assert fix.lat_deg == 46.51
    assert "the nearest to the route" in note_on(plan, "BRAKO")


def test_a_fix_inside_an_approach_is_the_aerodromes_own() -> None:
    world = World(at("ZEBRA", 46.91, -27.0, airport="XSKH"), at("ZEBRA", 46.5, -28.1))
    lesson = {"approach": [{"airport": "XSKH", "leg": [{"path": "IF", "fix": "ZEBRA"}, {"path": "TF", "fix": "RW27"}]}]}

    legs = plan_of("TBN IVARU", world, lesson).approaches[0].legs

    assert [leg.to_fix.lat_deg for leg in legs if leg.to_fix is not None] == [46.91, 46.9]


def test_many_choices_are_told_by_name() -> None:
    idents = [f"P{number}" for number in range(50)]
    near = [at(ident, 40 + number / 10, -28.0) for number, ident in enumerate(idents)]
    far = [at(ident, -40 + number / 10, 100.0, "XB") for number, ident in enumerate(idents)]

    plan = plan_of(" ".join(["TBN", *idents]), World(*near, *far))

    assert len([note for note in plan.notes if "there is also a waypoint" in note]) == 20
    (rest,) = [note for note in plan.notes if note.startswith("30 more idents")]
    assert rest.endswith("P48, P49.")


def test_hundreds_of_one_ident_are_refused() -> None:
    world = World(*(at("ZEBRA", number / 10, 0.0) for number in range(201)))

    with pytest.raises(PlanError, match="the navigation data has 201 fixes called ZEBRA") as caught:
        plan_of("TBN ZEBRA", world)
    assert caught.value.remedy.endswith("        ^^^^^")


def test_the_book_gives_what_a_record_names() -> None:
    book = FixBook(Lesson(), (), World())

    station = book.coded(key_of("SKH"), where="here")
    assert (station.kind, station.variation_deg) == ("vor", -12.0)
    field = book.coded(key_of("XSKH"), where="here")
    assert (field.kind, field.elevation_ft, field.variation_deg) == ("airport", 88.0, None)
    with pytest.raises(PlanError, match="names the fix LACKS of region XA, and does not hold it"):
        book.coded(key_of("LACKS"), where="here")


def test_a_station_aligned_to_true_north_has_no_declination() -> None:
    key = FixKey(ident="TRU", region="XA", section=Section.VHF_NAVAID)

    book = FixBook(Lesson(), (), World(coded_fix(key, 46.6, -28.0, "vor", variation_deg=None, is_true=True)))

    assert book.coded(key, where="here").variation_deg == 0.0
