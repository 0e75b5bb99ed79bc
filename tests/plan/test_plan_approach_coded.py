"""Approaches of navigation data: found by name, joined, and filled in from their records. Real records throughout."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan, PlannedApproach
from legwise.plan import make_plan
from plan.real_data import cycle

DAY_2609 = dt.date(2026, 9, 10)
DAY_2101 = dt.date(2021, 2, 1)


def plan_of(airport: str, procedure: str, transition: str | None = None, **more: Any) -> Plan:
    named = {"airport": airport, "procedure": procedure, "transition": transition, **more}
    lesson = Lesson.model_validate({"approach": [named]})
    recent = airport == "KBTV"
    return make_plan(lesson, date=DAY_2609 if recent else DAY_2101, navdata=cycle("2609" if recent else "2101"))


def approach_of(airport: str, procedure: str, transition: str | None = None, **more: Any) -> PlannedApproach:
    return plan_of(airport, procedure, transition, **more).approaches[0]


def chain(approach: PlannedApproach) -> list[str]:
    return [f"{leg.kind} {leg.end_ident}".strip() for leg in approach.legs]


def test_transition_and_final_part_are_one_chain_and_the_repeated_fix_stands_once() -> None:
    approach = approach_of("KBTV", "I15", "WULEB")

    assert chain(approach) == ["IF WULEB", "TF STAEV", "CF FOVES", "CF RW15"]
    assert [leg.role for leg in approach.legs] == ["IAF", "IF", "FAF", "MAP"]
    assert [f"{leg.kind} {leg.end_ident}".strip() for leg in approach.missed] == [
        "CA",
        "DF BTV",
        "CF WINLA",
        "HM WINLA",
    ]
    assert [leg.id for leg in approach.legs] == ["A1.1", "A1.2", "A1.3", "A1.4"]
    assert [leg.id for leg in approach.missed] == ["A1.M1", "A1.M2", "A1.M3", "A1.M4"]
    # Record 010 of the final part: J, 3300, 2000: at or above 3,300 ft, the glide slope met at 2,000.
    window = approach.legs[1].altitude
    assert window is not None
    assert (window.low_ft, window.high_ft, window.glidepath_ft) == (3300.0, None, 2000.0)
    assert all(leg.procedure == "I15" for leg in (*approach.legs, *approach.missed))


def test_a_hold_in_lieu_stands_before_the_final_part() -> None:
    approach = approach_of("KBTV", "I15", "STAEV")
    hold = approach.legs[0].hold

    assert chain(approach) == ["HF STAEV", "CF FOVES", "CF RW15"]
    assert hold is not None
    # STAEV 010: right turns, 145.8 inbound, T010; the localizer's variation of record is 15 west.
    assert (hold.turn, hold.inbound_course_deg_mag, hold.leg_minutes) == ("right", 145.8, 1.0)
    assert hold.inbound_course_deg_true == pytest.approx(130.8)


def test_a_procedure_turn_is_followed_by_the_course_back_to_its_fix() -> None:
    approach = approach_of("KBTV", "S01", "JRVIS")
    turn, back = approach.legs[2], approach.legs[3]

    assert chain(approach) == ["IF JRVIS", "TF BTV", "PI BTV", "CF BTV", "CF OTYIJ"]
    assert turn.reversal is not None
    # 261.0 with a left turn codes an outbound course of 216; the final is 036.0.
    assert turn.reversal.outbound_course_deg_mag == pytest.approx(216.0)
    assert turn.reversal.inbound_course_deg_true == pytest.approx(36.0 - 15.0, abs=0.1)
    assert back.distance_nm is None
    assert back.course_deg_mag == pytest.approx(36.0, abs=0.1)
    assert back.role == "FAF"


def test_a_hold_at_a_beacon_beside_the_final_approach_fix_leads_on_from_there() -> None:
    """KISO I05 holds at the locator IS, which stands at STALS; its final part begins farther out."""
    assert chain(approach_of("KISO", "I05", "ISO")) == ["IF ISO", "TF IS", "HF IS", "CF STALS", "CF RW05"]


def test_after_an_intercept_the_final_course_is_owed_from_wherever_it_is_met() -> None:
    """KJFK I22L from DPK flies 283.4 for 13.1 NM and then a course to ROSLY."""
    approach = approach_of("KJFK", "I22L", "DPK")

    assert chain(approach) == ["FC", "CF ROSLY", "CF ZALPO", "CF RW22L"]
    assert approach.legs[1].path is not None
    assert math.isinf(approach.legs[1].path.length_nm)


@pytest.mark.parametrize(("procedure", "course"), [("I15", 145.8 - 15.0), ("R15", 130.8)])
def test_with_vectors_the_final_course_reaches_as_far_out_as_it_is_joined(procedure: str, course: float) -> None:
    approach = approach_of("KBTV", procedure, "vectors")
    first = approach.legs[0]

    assert (first.kind, first.end_ident, first.role) == ("CF", "FOVES", "FAF")
    assert first.path is not None
    assert math.isinf(first.path.length_nm)
    assert first.path.end_course_deg_true == pytest.approx(course, abs=0.2)


def test_without_a_transition_the_final_part_alone_is_owed_and_said() -> None:
    plan = plan_of("KBTV", "I15")

    assert chain(plan.approaches[0]) == ["IF STAEV", "CF FOVES", "CF RW15"]
    assert any("no transition is named" in note and "STAEV, WULEB, YUNUD" in note for note in plan.notes)


def test_an_ils_takes_runway_glide_slope_and_width_from_its_records() -> None:
    """KBTV PI IBTV and PG RW15: 44 28 50.43 N 073 09 57.16 W, 306 ft, 8319 ft; 3.00, TCH 51, width 4.50."""
    approach = approach_of("KBTV", "I15", minima={"da_ft": 506})
    threshold = (44 + 28 / 60 + 50.43 / 3600, -(73 + 9 / 60 + 57.16 / 3600))
    antenna = (44 + 27 / 60 + 52.77 / 3600, -(73 + 8 / 60 + 23.95 / 3600))
    line = Geodesic.WGS84.Inverse(*threshold, *antenna)

    assert (approach.title, approach.guidance, approach.da_ft) == ("ILS RWY 15", "ILS", 506)
    assert approach.runway is not None
    assert (approach.runway.ident, approach.runway.elevation_ft, approach.runway.length_ft) == ("RW15", 306.0, 8319.0)
    assert approach.runway.course_deg_true == pytest.approx(line["azi1"], abs=1e-6)
    assert (approach.glidepath_deg, approach.threshold_crossing_height_ft) == (3.0, 51.0)
    expected_ft = line["s12"] / 0.3048 * math.tan(math.radians(2.25))
    assert approach.half_width_at_threshold_ft == pytest.approx(expected_ft, abs=0.01)
    assert approach.navaid is not None
    assert approach.navaid.ident == "IBTV"
    # FOVES lies 5.2 NM before the threshold (its record says so).
    assert approach.faf_to_go_nm == pytest.approx(5.2, abs=0.05)


def test_an_lpv_takes_course_and_width_from_its_path_point() -> None:
    """KBTV PP R33-Z: threshold, alignment point, 3.20, 106.75 m, 55.2 ft. Half width 350.23 ft (standards 3.2)."""
    approach = approach_of("KBTV", "R33-Z", "JANUD", minima={"da_ft": 700})
    threshold = (44 + 27 / 60 + 59.9565 / 3600, -(73 + 8 / 60 + 35.5625 / 3600))
    alignment = (44 + 28 / 60 + 58.1985 / 3600, -(73 + 10 / 60 + 9.7330 / 3600))
    line = Geodesic.WGS84.Inverse(*threshold, *alignment)

    assert (approach.title, approach.guidance) == ("RNAV (GPS) Z RWY 33", "LPV")
    assert approach.runway is not None
    assert approach.runway.course_deg_true == pytest.approx(line["azi1"] % 360.0, abs=1e-6)
    assert (approach.runway.lat_deg, approach.runway.lon_deg) == pytest.approx(threshold, abs=1e-9)
    assert approach.alignment_nm == pytest.approx(line["s12"] / 1852.0, abs=1e-6)
    assert approach.half_width_at_threshold_ft == pytest.approx(350.23, abs=0.01)
    assert (approach.glidepath_deg, approach.threshold_crossing_height_ft) == (3.2, 55.2)


@pytest.mark.parametrize(
    ("airport", "procedure", "more", "guidance", "words"),
    [
        ("KBTV", "R33-Z", {"minima": {"da_ft": 700}}, "LPV", "its minimum is a DA"),
        ("KBTV", "R33-Z", {"minima": {"mda_ft": 1100}}, "LNAV", "its minimum is an MDA"),
        ("KBTV", "R33-Z", {"minima": {"da_ft": 1000}, "guidance": "LNAV/VNAV"}, "LNAV/VNAV", None),
        ("KBTV", "R33-Z", {}, "LPV", "no minima are given"),
        ("KBTV", "R33-Y", {"minima": {"mda_ft": 1100}}, "LNAV", None),
        ("KHTO", "R28-Y", {"minima": {"mda_ft": 500}}, "LP", "its minimum is an MDA"),
        ("KBTV", "I15", {"minima": {"mda_ft": 700}}, "LOC", "flown by the localizer alone"),
        ("KBTV", "L15", {}, "LOC", None),
        ("KBTV", "S01", {}, "VOR", None),
        ("KCHS", "H15-Z", {}, "LNAV/VNAV", None),
    ],
)
def test_guidance_follows_the_minima_and_a_choice_is_said(
    airport: str, procedure: str, more: dict[str, Any], guidance: str, words: str | None
) -> None:
    plan = plan_of(airport, procedure, "vectors", **more)

    assert plan.approaches[0].guidance == guidance
    told = [note for note in plan.notes if "taken as" in note and guidance in note]
    assert any(words in note for note in told) if words is not None else not told


@pytest.mark.parametrize(
    ("airport", "procedure", "title"),
    [
        ("KBTV", "L15", "LOC RWY 15"),
        ("KBTV", "S01", "VOR RWY 01"),
        ("KBTV", "R33-Y", "RNAV (GPS) Y RWY 33"),
        ("KJFK", "R22LX", "RNAV (GPS) X RWY 22L"),
        ("KJFK", "H22LZ", "RNAV (RNP) Z RWY 22L"),
        ("KJFK", "R027", "COPTER RNAV (GPS) 027°"),
    ],
)
def test_a_title_is_made_in_words(airport: str, procedure: str, title: str) -> None:
    assert approach_of(airport, procedure, "vectors").title == title


def test_what_the_lesson_says_itself_is_kept() -> None:
    approach = approach_of("KBTV", "I15", "vectors", glidepath_deg=3.5, title="Our ILS", navaid="BTV")

    assert (approach.glidepath_deg, approach.title) == (3.5, "Our ILS")
    assert approach.navaid is not None
    assert approach.navaid.ident == "BTV"


def test_a_final_course_that_is_no_straight_in_ends_at_its_missed_approach_point() -> None:
    """KJFK VOR 13L arrives on 041 for a runway of 134: the last part is flown by sight."""
    plan = plan_of("KJFK", "S13L")
    approach = plan.approaches[0]

    assert approach.runway is None
    assert approach.final_path is not None
    assert approach.final_path.end_course_deg_true == pytest.approx(41.0 - 11.0, abs=0.1)
    assert any("off RW13L and ends at the missed approach point" in note for note in plan.notes)


@pytest.mark.parametrize(
    ("named", "words"),
    [
        (("KBTV", "I16", None), r"procedure: KBTV has no approach I16 .*\n.* I15, I33"),
        (("KBTV", "I15", "WULEC"), r"transition: KBTV I15 has no transition WULEC\n  There are WULEB, STAEV, YUNUD\."),
        (("KBTW", "I15", None), r"airport: the aerodrome KBTW is not in the navigation data"),
        (("KALW", "R02", None), "has no final part in the navigation data"),
        (("KCHS", "D03", "CURTA"), r"D03 leg 050 \(line [0-9]+ of .*\): .*GINNE"),
    ],
)
def test_what_is_not_there_is_refused_with_what_there_is(named: tuple[str, str, str | None], words: str) -> None:
    airport, procedure, transition = named
    lesson = {"approach": [{"airport": airport, "procedure": procedure, "transition": transition}]}
    data = cycle("2609" if airport.startswith("KBT") else "2101")
    with pytest.raises(PlanError, match=words):
        make_plan(Lesson.model_validate(lesson), date=DAY_2101, navdata=data)


def test_a_procedure_without_navigation_data_says_what_is_missing() -> None:
    lesson = Lesson.model_validate({"approach": [{"airport": "KBTV", "procedure": "I15"}]})

    with pytest.raises(PlanError, match=r"looked up in navigation data, and none is named\n.*arinc424"):
        make_plan(lesson, date=DAY_2609)
