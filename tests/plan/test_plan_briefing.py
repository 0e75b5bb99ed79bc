"""Turns and their leads, times, the final descent and the entries of holds, before anything is flown."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.model.briefing import PlannedTurn, Wind
from legwise.model.lesson import Aircraft, Lesson, Route
from legwise.model.plan import LegEnd, LegPart
from legwise.model.route_text import RouteElement
from legwise.plan.briefing.brief import brief
from legwise.plan.briefing.speeds import wind_triangle_kt
from report.hand_made_legs import (
    SKH,
    XTBN,
    approach_of,
    away,
    course_leg,
    every_kind,
    heading_leg,
    hold_at,
    hold_leg,
    lesson_with,
    line_leg,
    magnetic,
    other_leg,
    plan_with,
    square_route,
    usual,
    usual_approach,
    usual_route,
)

FT_PER_MIN = 1.0
SECOND = 0.5


def turn_at_end(route: tuple[object, ...], lesson: Lesson, leg_id: str = "R1") -> PlannedTurn | None:
    leg = brief(plan_with(route), lesson).leg(leg_id)  # type: ignore[arg-type]
    assert leg is not None
    return leg.turn


# Standards sheet, section 5: turn anticipation at 3 deg/s, R tan(turn / 2).
@pytest.mark.parametrize(
    ("kt", "degrees", "lead_nm"),
    [
        (90, 30, 0.1279), (90, 60, 0.2757), (90, 90, 0.4775), (90, 120, 0.8270),
        (120, 45, 0.2637), (150, 90, 0.7958),
    ],
)  # fmt: skip
def test_the_lead_of_a_turn_is_the_published_one_and_lies_in_its_band(
    kt: float, degrees: float, lead_nm: float
) -> None:
    turn = turn_at_end(square_route(turn_deg=degrees), lesson_with(route=Route(speed_kt=kt)))

    assert turn is not None
    assert turn.turn_deg == pytest.approx(degrees, abs=1e-6)
    assert (turn.onto, turn.fix, turn.fly_over) == ("R2", "BRAKO", False)
    assert turn.lead_nm == pytest.approx(lead_nm, abs=0.0002)
    assert turn.lead_nm is not None
    assert turn.lead_least_nm is not None
    assert turn.lead_largest_nm is not None
    assert turn.lead_least_nm <= turn.lead_nm < turn.lead_largest_nm


def test_a_turn_to_the_left_is_negative() -> None:
    turn = turn_at_end(square_route(turn_deg=-60.0), lesson_with(route=Route(speed_kt=90)))

    assert turn is not None
    assert turn.turn_deg == pytest.approx(-60.0, abs=1e-6)
    assert turn.lead_nm == pytest.approx(0.2757, abs=0.0002)


def test_without_a_planned_speed_there_is_a_turn_and_no_lead_and_no_time() -> None:
    briefing = brief(plan_with(square_route()), lesson_with())
    leg = briefing.leg("R1")

    assert leg is not None
    assert leg.turn is not None
    assert leg.turn.turn_deg == pytest.approx(90.0, abs=1e-6)
    assert leg.turn.lead_nm is None
    assert leg.time_s is None
    assert "not said" in briefing.speeds[0]


def test_over_a_fly_over_fix_there_is_no_lead() -> None:
    first, second = square_route()
    over = dataclasses.replace(first, fly_over=True)
    turn = turn_at_end((over, second), lesson_with(route=Route(speed_kt=90)))

    assert turn is not None
    assert turn.fly_over
    assert turn.lead_nm is None


def test_a_turn_too_sharp_for_a_fly_by_has_no_lead() -> None:
    turn = turn_at_end(square_route(turn_deg=160.0), lesson_with(route=Route(speed_kt=90)))

    assert turn is not None
    assert turn.lead_nm is None


def test_the_side_that_is_published_is_the_side_of_the_turn() -> None:
    first, second = square_route()
    turn = turn_at_end((first, dataclasses.replace(second, turn="left")), lesson_with())

    assert turn is not None
    assert turn.turn_deg == pytest.approx(-270.0, abs=1e-6)


def test_a_heading_leg_turns_onto_the_course_that_it_meets() -> None:
    first, second = square_route()
    heading = heading_leg("R0", "VI", magnetic(first.course_deg_true or 0.0) - 30.0, end=LegEnd(kind="intercept"))
    turn = turn_at_end((heading, first, second), lesson_with(route=Route(speed_kt=90)), "R0")

    assert turn is not None
    assert turn.turn_deg == pytest.approx(30.0, abs=1e-6)
    assert turn.lead_nm == pytest.approx(0.1279, abs=0.0002)


def test_onto_a_direct_and_into_a_hold_no_turn_can_be_told() -> None:
    first, second = square_route()
    direct = other_leg("R3", "DF", to_fix=SKH)
    hold = hold_leg("R4", "HM", hold_at(SKH, 180.0))
    briefing = brief(plan_with((first, second, direct, hold)), lesson_with())

    assert [leg.turn is None for leg in briefing.legs] == [False, True, True, True]


def test_the_route_turns_onto_the_approach_and_the_approach_onto_its_missed() -> None:
    plan, lesson = usual()
    briefing = brief(plan, lesson)
    last, final = briefing.leg("R5"), briefing.leg("A1.3")

    assert last is not None
    assert last.turn is not None
    assert last.turn.onto == "A1.2"
    assert final is not None
    assert final.turn is not None
    assert (final.turn.onto, final.turn.fly_over) == ("A1.M1", True)


def test_times_add_up_at_the_planned_speed() -> None:
    briefing = brief(plan_with(square_route(leg_nm=9.0)), lesson_with(route=Route(speed_kt=90)))
    total = briefing.total(LegPart.ROUTE)

    assert [leg.time_s for leg in briefing.legs] == pytest.approx([360.0, 360.0], abs=SECOND)
    assert total is not None
    assert total.distance_nm == pytest.approx(18.0, abs=1e-4)
    assert total.time_s == pytest.approx(720.0, abs=SECOND)
    assert total.unmeasured == 0


def test_what_the_flight_decides_is_counted_and_not_added() -> None:
    total = brief(plan_with(every_kind()), lesson_with(route=Route(speed_kt=90))).total(LegPart.ROUTE)

    assert total is not None
    assert total.distance_nm == pytest.approx(12.0)
    assert total.time_s == pytest.approx(480.0)
    assert total.unmeasured == 8


def test_the_final_is_flown_at_the_approach_speed_and_what_comes_before_at_the_route_s() -> None:
    plan, lesson = usual(speed_kt=120.0)
    briefing = brief(plan, lesson)
    speeds = {leg.leg_id: leg.groundspeed_kt for leg in briefing.legs}

    assert speeds["R1"] == speeds["A1.2"] == speeds["A1.M1"] == 120.0
    assert speeds["A1.3"] == 90.0
    assert "from the final approach fix 90 kt" in briefing.speeds[1]


def test_with_an_approach_speed_alone_the_approach_has_times_and_the_route_has_none() -> None:
    plan, lesson = usual(speed_kt=None)
    speeds = {leg.leg_id: leg.groundspeed_kt for leg in brief(plan, lesson).legs}

    assert speeds["R1"] is None
    assert speeds["A1.2"] == speeds["A1.3"] == 90.0


def test_the_speed_of_the_route_s_text_holds_until_it_says_another() -> None:
    elements = (
        RouteElement(text="N0120", start=0, stop=5, form="change", speed_kt=120.0),
        RouteElement(text="XTBN", start=6, stop=10),
        RouteElement(text="BRAKO", start=11, stop=27, speed_kt=100.0),
        RouteElement(text="CALDU", start=28, stop=33),
    )
    lesson = lesson_with(route=Route(text="N0120 XTBN BRAKO/N0100A050 CALDU", elements=elements))
    briefing = brief(plan_with(square_route()), lesson)

    assert [leg.groundspeed_kt for leg in briefing.legs] == [120.0, 100.0]
    assert briefing.speeds[0].startswith("120, then 100 kt (the route's text)")


# Standards sheet, section 9.2: exact rates of descent, groundspeed horizontal, tan.
@pytest.mark.parametrize(
    ("kt", "degrees", "fpm"), [(90, 3.0, 478), (120, 3.0, 637), (90, 3.5, 557), (100, 2.75, 486), (140, 4.0, 991)]
)
def test_the_rate_of_descent_is_the_published_one(kt: float, degrees: float, fpm: float) -> None:
    approach = dataclasses.replace(usual_approach(), glidepath_deg=degrees)
    lesson = lesson_with(aircraft=Aircraft(approach_ias_kt=kt))
    final = brief(plan_with(usual_route(), (approach,)), lesson).final(0)

    assert final is not None
    assert final.descent_fpm == pytest.approx(fpm, abs=FT_PER_MIN)
    assert not final.computed
    assert final.distance_nm == pytest.approx(6.0, abs=1e-4)
    assert final.time_s == pytest.approx(6.0 / kt * 3600, abs=SECOND)


def test_without_a_glidepath_the_angle_is_that_from_the_faf_to_the_threshold() -> None:
    # 2,000 ft at 6 NM down to 88 + 50 ft: atan(1862 / (6 x 6076.115)) = 2.9242 deg, a closed form.
    approach = dataclasses.replace(usual_approach(), glidepath_deg=None, guidance="LOC", da_ft=None, mda_ft=700.0)
    final = brief(plan_with((), (approach,)), lesson_with()).final(0)

    assert final is not None
    assert final.computed
    assert final.angle_deg == pytest.approx(2.9242, abs=0.0005)


def test_no_angle_is_made_up_where_the_altitude_at_the_faf_is_not_known() -> None:
    legs = tuple(dataclasses.replace(leg, altitude=None) for leg in usual_approach().legs)
    final = brief(plan_with((), (approach_of(legs, (), glidepath_deg=None, guidance="VOR"),)), lesson_with()).final(0)

    assert final is not None
    assert final.angle_deg is None
    assert final.descent_fpm is None


def test_without_a_faf_there_is_no_time_to_the_missed_approach_point() -> None:
    legs = tuple(dataclasses.replace(leg, role=None) for leg in usual_approach().legs)
    final = brief(plan_with((), (approach_of(legs, ()),)), lesson_with()).final(0)

    assert final is not None
    assert final.distance_nm is None
    assert final.time_s is None


# A head or tail wind takes or gives its speed; from abeam V^2 = TAS^2 - W^2 (closed forms).
@pytest.mark.parametrize(
    ("wind", "kt"),
    [(Wind(from_deg_true=0, speed_kt=20), 80.0), (Wind(from_deg_true=180, speed_kt=20), 120.0),
     (Wind(from_deg_true=90, speed_kt=60), 80.0), (Wind(from_deg_true=270, speed_kt=60), 80.0),
     (Wind(from_deg_true=90, speed_kt=100), None), (Wind(from_deg_true=0, speed_kt=130), None)],
)  # fmt: skip
def test_the_wind_makes_the_groundspeed(wind: Wind, kt: float | None) -> None:
    assert wind_triangle_kt(100.0, 0.0, wind) == (None if kt is None else pytest.approx(kt))


def test_the_wind_works_on_airspeeds_and_not_on_a_groundspeed_that_was_said() -> None:
    plan, lesson = usual(speed_kt=120.0)
    final = plan.approaches[0].legs[-1]
    assert final.course_deg_true is not None
    briefing = brief(plan, lesson, wind=Wind(from_deg_true=final.course_deg_true, speed_kt=15.0))
    speeds = {leg.leg_id: leg.groundspeed_kt for leg in briefing.legs}

    assert speeds["R1"] == 120.0
    assert speeds["A1.3"] == pytest.approx(75.0)


# Standards sheet, section 6: entries by the 70 degree line.
@pytest.mark.parametrize(
    ("inbound", "turn", "arriving", "entries"),
    [
        (360, "right", 100, {"direct"}), (360, "right", 150, {"teardrop"}), (360, "right", 200, {"parallel"}),
        (90, "right", 60, {"direct"}), (90, "right", 230, {"teardrop"}), (90, "right", 300, {"parallel"}),
        (270, "left", 120, {"teardrop"}), (270, "left", 30, {"parallel"}), (270, "left", 200, {"direct"}),
        (360, "right", 112, {"direct", "teardrop"}),
    ],
)  # fmt: skip
def test_the_entry_is_that_of_the_course_of_arrival(
    inbound: float, turn: str, arriving: float, entries: set[str]
) -> None:
    course = course_leg("R1", "CF", arriving, to_fix=SKH)
    hold = hold_leg("R2", "HM", hold_at(SKH, inbound, turn), LegPart.ROUTE)
    briefing = brief(plan_with((course, hold)), lesson_with())

    assert set(briefing.holds[0].entries) == entries
    assert briefing.holds[0].arrival_course_deg_mag == pytest.approx(arriving)


def test_a_direct_from_a_fix_arrives_on_the_course_from_there() -> None:
    start = away(SKH, "BRAKO", 180.0, 10.0)
    direct = other_leg("R1", "DF", from_fix=start, to_fix=SKH)
    briefing = brief(plan_with((direct, hold_leg("R2", "HM", hold_at(SKH, 180.0), LegPart.ROUTE))), lesson_with())

    arrival = briefing.holds[0].arrival_course_deg_true
    assert arrival is not None
    assert (arrival + 180.0) % 360.0 == pytest.approx(180.0, abs=1e-6)


def test_a_direct_after_a_climb_arrives_between_the_courses_from_the_steepest_climb_and_the_shallowest() -> None:
    plan, lesson = usual()
    hold = brief(plan, lesson).holds[0]

    # OSTRA was put 12 NM on the bearing of 222 from the runway, the climb leads west on 267 true. From 88 ft at 200
    # ft/NM 900 ft come after 4.1 NM, and a runway before it: from there OSTRA bears some 200; inbound 180 magnetic, 172
    # true: r = 352 - 200 = 152, direct, and so for all courses up to that from the runway itself.
    assert hold.hold.fix.ident == "OSTRA"
    middle, within = hold.arrival_course_deg_true, hold.arrival_within_deg
    assert middle is not None
    assert within is not None
    assert 196.0 < middle - within < 206.0
    assert 222.0 < middle + within < 230.0
    assert not hold.entry_depends
    assert hold.arrival_estimated
    assert hold.entries == ("direct",)


def test_from_nowhere_known_there_is_no_entry() -> None:
    direct = other_leg("R1", "DF", to_fix=SKH)
    hold = brief(plan_with((direct, hold_leg("R2", "HM", hold_at(SKH, 180.0), LegPart.ROUTE))), lesson_with()).holds[0]

    assert hold.arrival_course_deg_true is None
    assert not hold.arrival_estimated
    assert hold.entries == ()


def test_an_empty_plan_has_an_empty_briefing() -> None:
    briefing = brief(plan_with(()), Lesson())

    assert (briefing.legs, briefing.totals, briefing.finals, briefing.holds) == ((), (), (), ())
    assert XTBN.ident not in " ".join(briefing.speeds)


def test_a_route_of_one_leg_has_no_turn() -> None:
    leg = line_leg("R1", XTBN, SKH)

    assert turn_at_end((leg,), lesson_with(route=Route(speed_kt=90))) is None


@settings(deadline=None, derandomize=True, max_examples=60)
@given(
    kt=st.floats(min_value=40, max_value=400), degrees=st.floats(min_value=2, max_value=149),
    course=st.floats(min_value=0, max_value=359.9),
)  # fmt: skip
def test_leads_lie_in_order_and_left_mirrors_right(kt: float, degrees: float, course: float) -> None:
    lesson = lesson_with(route=Route(speed_kt=kt))
    brako = away(XTBN, "BRAKO", course, 20.0)
    first = line_leg("R1", XTBN, brako)
    assert first.path is not None
    turns = []
    for side in (1, -1):
        after = away(brako, "CALDU", first.path.end_course_deg_true + side * degrees, 20.0)
        turns.append(turn_at_end((first, line_leg("R2", brako, after)), lesson))
    right, left = turns

    assert right is not None
    assert left is not None
    assert right.turn_deg == pytest.approx(-left.turn_deg, abs=1e-6)
    assert right.turn_deg > 0
    assert right.lead_nm == pytest.approx(left.lead_nm, abs=1e-9)
    assert right.lead_least_nm is not None
    assert right.lead_nm is not None
    assert right.lead_largest_nm is not None
    assert 0 < right.lead_least_nm <= right.lead_nm <= right.lead_largest_nm
