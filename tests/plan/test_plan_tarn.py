"""Plans by the invented navigation data of the Tarn Islands: limits where procedures meet, holds reached by a direct,
whose variation went to which legs. What is expected is read off the records or worked out with GeographicLib.
"""

from __future__ import annotations

import datetime as dt
import math
import pathlib
from functools import cache
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic

from legwise.errors import PlanError
from legwise.lessons import split_route_text
from legwise.model.briefing import Briefing
from legwise.model.lesson import Lesson
from legwise.model.navdata import NavData
from legwise.model.plan import AltitudeWindow, Fix, Leg, Plan
from legwise.navdata import open_navdata
from legwise.plan import GivenRoute, make_plan
from legwise.plan.briefing.brief import brief
from legwise.plan.legs.limits import with_both_limits
from report.hand_made_legs import SKH, other_leg

DATE = dt.date(2026, 5, 1)
WGS84 = Geodesic.WGS84


@cache
def tarn() -> NavData:
    return open_navdata(pathlib.Path(__file__).resolve().parents[2] / "sample_tracks" / "tarn_islands.dat")


def lesson_of(**tables: Any) -> Lesson:
    return Lesson.model_validate({"route": {"speed_kt": 100.0}, **tables})


def planned(text: str, **tables: Any) -> tuple[Plan, Briefing]:
    lesson = lesson_of(**tables)
    given = GivenRoute(text=text, elements=split_route_text(text, where="--route"), source="--route")
    plan = make_plan(lesson, date=DATE, route=given, navdata=tarn())
    return plan, brief(plan, lesson)


def approach(procedure: str, transition: str | None = None, **more: Any) -> dict[str, Any]:
    return {"approach": [{"airport": "XSKH", "procedure": procedure, "transition": transition, **more}]}


def leg_to(plan: Plan, ident: str) -> Leg:
    return next(leg for leg in plan.route if leg.end_ident == ident)


# SELKA1, common part: SELKA "B 07000 05000", 250 kt; then VINDA at or below 5,000 ft, at most 210 kt.
@pytest.mark.parametrize(
    "text",
    ["XTBN VANDO T12 SELKA SELKA1 XSKH", "XTBN DCT SELKA SELKA1 XSKH", "XTBN SELKA SELKA1 XSKH",
     "SELKA SELKA1 XSKH"],
)  # fmt: skip
def test_what_an_arrival_asks_for_where_it_begins_binds_the_leg_that_leads_there(text: str) -> None:
    plan, _ = planned(text)
    leg = leg_to(plan, "SELKA")

    assert leg.altitude == AltitudeWindow(low_ft=5000.0, high_ft=7000.0)
    assert leg.speed_max_kt == 250.0
    assert [item.id for item in plan.route] == [f"R{number}" for number in range(1, len(plan.route) + 1)]


def test_an_arrival_joined_on_its_way_keeps_what_it_asks_for_there() -> None:
    leg = leg_to(planned("XTBN VINDA SELKA1 XSKH")[0], "VINDA")

    assert (leg.altitude, leg.speed_max_kt) == (AltitudeWindow(high_ft=5000.0), 210.0)


def test_two_procedures_that_meet_at_a_fix_bind_to_what_satisfies_both() -> None:
    # OSTRA1: CALDU at or below 9,000 ft, 250 kt; CALDU1: CALDU at 5,000 ft.
    leg = leg_to(planned("XSKH OSTRA1 CALDU CALDU1 XTBN")[0], "CALDU")

    assert leg.altitude == AltitudeWindow(low_ft=5000.0, high_ft=5000.0)
    assert leg.speed_max_kt == 250.0


def test_a_departure_without_a_runway_keeps_what_it_asks_for_where_it_is_left() -> None:
    assert leg_to(planned("XTBN BRAKO1 BRAKO")[0], "BRAKO").altitude == AltitudeWindow(low_ft=3000.0)


def test_limits_that_contradict_each_other_are_told_and_the_first_stays() -> None:
    leg = other_leg("R1", "TF", to_fix=SKH, altitude=AltitudeWindow(high_ft=4000.0), speed_max_kt=180.0)
    begins = other_leg("R2", "IF", to_fix=SKH, altitude=AltitudeWindow(low_ft=5000.0), procedure="CALDU1")
    bound, note = with_both_limits(leg, begins)

    assert bound.altitude == AltitudeWindow(high_ft=4000.0)
    assert bound.speed_max_kt == 180.0
    assert note == (
        "SKH: the leg to it asks for at or below 4,000 ft, CALDU1 for at or above 5,000 ft, which contradict each "
        "other; the first was taken."
    )


def entry_at(inbound: float, turn: str, arriving: float) -> str:
    """FAA AIM 5-3-8 j3: the sectors by the 70 degree line, here as bearings of the heading off the inbound course."""
    off = (arriving - inbound + 540.0) % 360.0 - 180.0
    off = off if turn == "right" else -off
    # A heading within 70 of the inbound course on the holding side, and within 110 on the other, is direct.
    if -70.0 < off - 0.0 < 110.0 or off in (-70.0, 110.0):
        return "direct"
    return "teardrop" if 110.0 < off <= 180.0 else "parallel"


def test_a_hold_reached_by_a_direct_after_a_climb_has_the_entry_that_every_climb_gives() -> None:
    plan, briefing = planned("XSKH OSTRA1 NORVI", route={"speed_kt": 100.0, "departure_runway": "RW09"})
    climb, hold = plan.route[0], briefing.holds[0]
    start, skh = climb.from_fix, hold.hold.fix
    assert start is not None
    assert start.elevation_ft is not None
    assert climb.course_deg_true is not None
    found = set()
    for fpm in range(300, 801, 50):
        distance_nm = (700.0 - start.elevation_ft) / (fpm / (100.0 / 60.0)) + 0.8
        end = WGS84.Direct(start.lat_deg, start.lon_deg, climb.course_deg_true, distance_nm * 1852.0)
        arrival = WGS84.Inverse(end["lat2"], end["lon2"], skh.lat_deg, skh.lon_deg)["azi2"]
        found.add(entry_at(hold.hold.inbound_course_deg_true, hold.hold.turn, arrival))
        middle, within = hold.arrival_course_deg_true, hold.arrival_within_deg
        assert middle is not None
        assert within is not None
        assert abs((arrival - middle + 540.0) % 360.0 - 180.0) <= within

    assert found == {"direct"}
    assert (hold.entries, hold.entry_depends) == (("direct",), False)


def test_a_hold_reached_by_a_direct_from_a_radial_is_entered_as_from_there() -> None:
    # D09, missed: from NESSA on 087 until the radial 037 of TBN (8 west), then right to SELKA.
    plan, briefing = planned("XTBN XSKH", **approach("D09", "SUNDO"))
    missed, hold = plan.approaches[0].missed, briefing.holds[-1]
    nessa, selka = missed[0].from_fix, hold.hold.fix
    end = missed[0].end
    assert nessa is not None
    assert end is not None
    assert end.station is not None
    course = missed[0].course_deg_true
    assert course is not None
    place, tbn = (nessa.lat_deg, nessa.lon_deg), (end.station.lat_deg, end.station.lon_deg)

    def off_radial(distance_nm: float) -> float:
        at = WGS84.Direct(*place, course, distance_nm * 1852.0)
        bearing = float(WGS84.Inverse(*tbn, at["lat2"], at["lon2"])["azi1"])
        return (bearing - (37.0 - 8.0) + 540.0) % 360.0 - 180.0

    low, high = 0.0, 60.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if (off_radial(middle) < 0.0) == (off_radial(low) < 0.0) else (low, middle)
    at = WGS84.Direct(*place, course, low * 1852.0)
    straight = WGS84.Inverse(at["lat2"], at["lon2"], selka.lat_deg, selka.lon_deg)["azi2"] % 360.0

    # After a right turn of radius 100 / (60 pi) NM the course is a little to the right of the straight one.
    assert selka.ident == "SELKA"
    assert hold.arrival_course_deg_true is not None
    assert 0.0 <= hold.arrival_course_deg_true - straight < 5.0
    assert set(hold.entries) == {entry_at(hold.hold.inbound_course_deg_true, "right", straight)}


def test_a_bearing_is_told_by_the_variation_of_the_station_that_it_counts_from() -> None:
    plan, _ = planned("XTBN DCT TBN040010 DCT CALDU")

    assert "TBN040010: its bearing is magnetic by TBN's own variation, 8.0° west." in plan.notes
    assert not any("20.0°" in note for note in plan.notes)


def test_a_conventional_procedure_goes_by_the_variation_of_the_vor_that_a_track_leads_to() -> None:
    # SKH is 9.0 west, the localizer ISKH 8.3 west.
    plan, _ = planned("XTBN XSKH", **approach("I27", "OSTRA"))
    to_skh = plan.approaches[0].legs[1]
    assert to_skh.course_deg_true is not None
    assert to_skh.course_deg_mag is not None

    assert to_skh.end_ident == "SKH"
    assert to_skh.course_deg_mag - to_skh.course_deg_true == pytest.approx(9.0, abs=1e-6)
    (note,) = [note for note in plan.notes if note.startswith("I27: its magnetic courses")]
    assert "SKH 9.0° west (to SKH, from SKH," in note
    assert "ISKH 8.3° west (to HOLMA, to FERNU, to RW27" in note


def test_an_approach_may_be_named_in_small_letters() -> None:
    small, _ = planned("XTBN XSKH", approach=[{"airport": "xskh", "procedure": "r27", "transition": "holma"}])
    capitals, _ = planned("XTBN XSKH", **approach("R27", "HOLMA"))

    assert [leg.end_ident for leg in small.approaches[0].legs] == [leg.end_ident for leg in capitals.approaches[0].legs]
    assert small.approaches[0].airport == "XSKH"


def test_the_nearest_approach_is_named_first() -> None:
    with pytest.raises(PlanError) as caught:
        planned("XTBN XSKH", **approach("R72"))
    assert caught.value.remedy.startswith("The nearest are R27, ")


# A quarter of a circle of 10 NM about C, from due west of it round by the north to due north, between tangents.
def arc_lesson(turn: str, path: str = "RF", radius_nm: float | None = None, round_deg: float = 90.0) -> dict[str, Any]:
    def away(lat: float, lon: float, bearing: float, nm: float) -> tuple[float, float]:
        there = WGS84.Direct(lat, lon, bearing, nm * 1852.0)
        return there["lat2"], there["lon2"]

    centre = (46.5, -28.0)
    west, north = away(*centre, 270.0, 10.0), away(*centre, 270.0 + round_deg, 10.0)
    places = {
        "CENTR": centre, "WESTT": west, "NORTT": north, "BEGIN": away(*west, 180.0, 8.0), "ENDDD": away(*north, 90, 8),
    }  # fmt: skip
    arc = {"path": path, "fix": "NORTT", "centre": "CENTR", "turn": turn}
    return {
        "fix": [{"ident": ident, "lat_deg": lat, "lon_deg": lon} for ident, (lat, lon) in places.items()],
        "approach": [
            {
                "airport": "XSKH",
                "title": "ARC",
                "leg": [
                    {"path": "IF", "fix": "BEGIN"},
                    {"path": "TF", "fix": "WESTT"},
                    arc if radius_nm is None else {**arc, "radius_nm": radius_nm},
                    {"path": "TF", "fix": "ENDDD"},
                ],
            }
        ],
    }


def test_an_arc_turned_against_both_its_neighbours_is_refused() -> None:
    assert make_plan(lesson_of(**arc_lesson("right")), date=DATE).approaches[0].legs[2].distance_nm == pytest.approx(
        10.0 * math.pi / 2.0, rel=1e-4
    )
    with pytest.raises(PlanError, match="runs against the legs before and after it") as caught:
        make_plan(lesson_of(**arc_lesson("left")), date=DATE)
    assert "the arc turns left and so is 47.1 NM long; to the right it would be 15.7 NM" in caught.value.message


def test_a_dme_arc_that_both_its_fixes_contradict_is_refused() -> None:
    with pytest.raises(PlanError) as caught:
        make_plan(lesson_of(**arc_lesson("right", "AF", 11.0)), date=DATE)
    assert caught.value.message == ("WESTT lies 10.00 NM and NORTT 10.00 NM from CENTR: neither is on the arc of 11 NM")


def test_a_radial_ends_a_leg_only_of_a_station_that_has_radials() -> None:
    fixes = [Fix(ident="BRAVO", lat_deg=46.5, lon_deg=-28.0), Fix(ident="PLAIN", lat_deg=46.6, lon_deg=-27.9)]
    lesson = lesson_of(
        fix=[{"ident": fix.ident, "lat_deg": fix.lat_deg, "lon_deg": fix.lon_deg} for fix in fixes],
        approach=[
            {
                "airport": "XSKH",
                "title": "RADIAL",
                "leg": [
                    {"path": "IF", "fix": "BRAVO"},
                    {"path": "CR", "course_deg_true": 90.0, "navaid": "PLAIN", "radial_deg_true": 180.0},
                    {"path": "DF", "fix": "PLAIN"},
                ],
            }
        ],
    )
    with pytest.raises(PlanError, match="PLAIN is a waypoint, which has none") as caught:
        make_plan(lesson, date=DATE)
    assert "VOR or an NDB" in caught.value.remedy


def test_a_lead_longer_than_its_leg_is_told() -> None:
    # 0.5 NM between the two points (a 10 degree chord at 3 NM): no turn of 80 degrees at 100 kt has room there.
    _, briefing = planned("XTBN SKH020003 DCT SKH030003 DCT CALDU")
    turns = [leg.turn for leg in briefing.legs if leg.turn is not None]

    assert [turn.no_room for turn in turns] == [True, True]
    assert not any(leg.turn.no_room for leg in planned("XTBN BRAKO CALDU XSKH")[1].legs if leg.turn is not None)


def test_a_dme_arc_the_long_way_round_is_told() -> None:
    short, long = (make_plan(lesson_of(**arc_lesson(turn, "AF", 10.0, 45.0)), date=DATE) for turn in ("right", "left"))

    # 45 of 360 degrees of a circle of 10 NM, and the other 315.
    words = "WESTT to NORTT: the arc turns left and so is 55.0 NM long; to the right it would be 7.9 NM."
    assert words in long.notes
    assert not any("the arc turns" in note for note in short.notes)
