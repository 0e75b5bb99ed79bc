"""The other elements of a route's text: positions, bearing and distance, changes, rules; and any list of elements."""

from __future__ import annotations

import itertools
import math

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from legwise.errors import LegwiseError, PlanError
from legwise.geodesy.magnetic import declination_deg
from legwise.model.plan import Plan
from legwise.units import M_PER_NM
from plan.plan_world import AIRWAYS, DATE, STATIONS, WAYPOINTS, World, coded_fix, key_of, passed, plan_of

ELEMENTS = [
    *WAYPOINTS, *STATIONS, *AIRWAYS, "XTBN", "XSKH", "DUNOR1", "VECTR2", "GANDO3", "DCT", "VFR", "IFR", "4630N02800W",
    "46N028W", "SKH180010", "BRAKO090005", "CALDU/N0120A050", "ZZZZZ", "V99",
]  # fmt: skip


def test_a_point_by_bearing_and_distance_is_by_the_stations_own_declination() -> None:
    plan = plan_of("TBN SKH125020 XSKH")

    lat, lon, declination = STATIONS["SKH"]
    truth = Geodesic.WGS84.Direct(lat, lon, 125 + declination, 20 * M_PER_NM)
    fix = plan.fix("SKH125020")
    assert fix is not None
    assert (fix.lat_deg, fix.lon_deg) == pytest.approx((truth["lat2"], truth["lon2"]), abs=1e-9)
    assert "SKH125020: its bearing is magnetic by SKH's own variation, 12.0° west." in plan.notes


def test_a_point_by_bearing_and_distance_from_a_waypoint_is_by_the_model() -> None:
    plan = plan_of("TBN HOLMA360010 XSKH")

    lat, lon = WAYPOINTS["HOLMA"]
    truth = Geodesic.WGS84.Direct(lat, lon, 360 + declination_deg(lat, lon, DATE), 10 * M_PER_NM)
    fix = plan.fix("HOLMA360010")
    assert fix is not None
    assert (fix.lat_deg, fix.lon_deg) == pytest.approx((truth["lat2"], truth["lon2"]), abs=1e-9)


def test_of_two_stations_the_one_near_the_route_is_meant() -> None:
    fix = plan_of("TBN BRAKO090005 CALDU").fix("BRAKO090005")

    assert fix is not None
    assert fix.lat_deg == pytest.approx(46.5, abs=0.1)


@pytest.mark.parametrize(
    ("text", "message"),
    [("TBN QQQ125020 XSKH", "QQQ125020: the fix QQQ is unknown"), ("TBN SKH125000 XSKH", "the distance is 0 NM")],
)
def test_no_point_by_bearing_and_distance(text: str, message: str) -> None:
    with pytest.raises(PlanError) as caught:
        plan_of(text)

    assert message in caught.value.message
    assert caught.value.remedy.endswith(f"    {text}\n        ^^^^^^^^^")


def test_a_position_between_fixes() -> None:
    assert passed(plan_of("TBN 4630N02745W SKH")) == ["TBN", "4630N02745W", "SKH"]


def test_levels_speeds_and_rules_are_told() -> None:
    plan = plan_of("N0110A045 TBN IVARU/N0130A060 VFR CALDU IFR SKH", lesson={"route": {"altitude_ft": 5000}})

    assert plan.route_altitude_ft == 5000
    assert passed(plan) == ["TBN", "IVARU", "CALDU", "SKH"]
    told = "\n".join(plan.notes)
    for words in (
        "Planned is 110 kt true airspeed and 4,500 ft.",
        "From IVARU on 130 kt true airspeed and 6,000 ft is planned.",
        "From IVARU on the flight plan is VFR; the route's legs are the same for both.",
        "From CALDU on the flight plan is IFR",
        "The route's text plans 4,500 ft; the lesson's 5,000 ft was taken.",
    ):
        assert words in told


def test_no_leg_between_one_point_and_itself() -> None:
    with pytest.raises(PlanError, match="the leg from IVARU to IVARU has no length") as caught:
        plan_of("TBN IVARU DCT IVARU SKH")

    assert caught.value.remedy.endswith("    TBN IVARU DCT IVARU SKH\n                  ^^^^^")


def outcome(text: str) -> Plan | LegwiseError:
    try:
        return plan_of(text)
    except LegwiseError as error:
        return error


@given(st.lists(st.sampled_from(ELEMENTS), min_size=1, max_size=9))
def test_any_list_of_elements_resolves_or_is_refused_with_carets(elements: list[str]) -> None:
    plan = outcome(" ".join(elements))
    if isinstance(plan, LegwiseError):
        assert len(str(plan).split("\n")) <= 8
        assert plan.message == "the route holds no point" or set(plan.remedy.split("\n")[-1]) <= {" ", "^"}
        return

    for before, after in itertools.pairwise(plan.route):
        assert after.from_fix is None or before.to_fix is None or after.from_fix.ident == before.end_ident
    for leg in plan.route:
        assert leg.distance_nm is None or (math.isfinite(leg.distance_nm) and leg.distance_nm > 0)
        assert leg.course_deg_mag is None or 0.0 <= leg.course_deg_mag <= 360.0
    assert [leg.id for leg in plan.route] == [f"R{number}" for number in range(1, len(plan.route) + 1)]
    idents = [fix.ident for fix in plan.fixes]
    assert len(idents) == len(set(idents))


@given(st.sampled_from([way for ways in AIRWAYS.values() for way in ways]), st.data())
def test_distances_along_an_airway_add_up(way: list[str], data: st.DataObject) -> None:
    ident = next(name for name, ways in AIRWAYS.items() if way in ways)
    start = data.draw(st.integers(0, len(way) - 2))
    end = data.draw(st.integers(start + 1, len(way) - 1))

    def total(text: str) -> float:
        return sum(leg.distance_nm or 0.0 for leg in plan_of(text).route)

    whole = total(f"{way[start]} {ident} {way[end]}")
    assert whole == pytest.approx(total(f"{way[end]} {ident} {way[start]}"), abs=1e-9)
    middle = data.draw(st.integers(start, end))
    parts = [f"{way[a]} {ident} {way[b]}" for a, b in ((start, middle), (middle, end)) if a != b]
    assert whole == pytest.approx(sum(map(total, parts)), abs=1e-9)
    assert whole == pytest.approx(total(" ".join(way[start : end + 1])), abs=1e-9)


def test_a_route_of_hundreds_of_points() -> None:
    fixes = [coded_fix(key_of(f"P{number}"), 40 + number / 50, -28 + (number % 2) / 10) for number in range(330)]
    text = " ".join(fix.ident for fix in fixes)

    assert len(plan_of(text, World(*fixes)).route) == 329
