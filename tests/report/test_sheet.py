"""The briefing sheet: what stands on it, in words; what it escapes; the sketch of a hold."""

from __future__ import annotations

import dataclasses
import html
import math
import re
from html.parser import HTMLParser

import pytest

from legwise.geodesy import hold_entry
from legwise.look.leg_words import missed_line
from legwise.model.briefing import FinalBriefing, HoldBriefing
from legwise.model.lesson import Lesson, LessonHead, Route, Turn
from legwise.model.plan import Fix, LegPart, Plan
from legwise.plan.briefing.brief import brief
from legwise.report.sheet import sheet_view
from legwise.report.sheet_content import SheetView
from legwise.report.sheet_descent import descent_words, timing_words
from legwise.report.sheet_hold import hold_sketch
from legwise.report.sheet_page import SHEET_MARK, render_sheet, sheet_html
from report.hand_made_legs import (
    SKH,
    course_leg,
    every_kind,
    hold_at,
    hold_leg,
    lesson_with,
    plan_with,
    square_route,
    usual,
    usual_approach,
    usual_route,
)

HOSTILE = "</style><script>alert(1)</script><b>&\"'<img src=x onerror=alert(1)>"


def view_of(plan: Plan, lesson: Lesson) -> SheetView:
    return sheet_view(plan, lesson, brief(plan, lesson))


def facts_of(view: SheetView, approach: int = 0) -> dict[str, str]:
    return {fact.label: fact.text for fact in view.approaches[approach].facts}


class Tags(HTMLParser):
    """Every tag with its attributes, and whether each that was opened was closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.seen: list[str] = []
        self.attributes: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        self.attributes += [name for name, _ in attrs]
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        self.attributes += [name for name, _ in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_head_says_whose_flight_it_is_and_leaves_blanks() -> None:
    view = view_of(*usual())

    assert view.title == "Lesson 9: from a hold to an LPV"
    assert {fact.label: fact.text for fact in view.facts} == {
        "Date": "2026-04-18",
        "Student": "S-014",
        "Instructor": "I-03",
        "Aircraft": "approach 90 kt IAS, holding 95 kt IAS, category A",
    }
    assert view.qnh == "1009 hPa"
    assert view.temperature == ""


def test_a_row_has_course_distance_turn_lead_and_the_sum_of_times() -> None:
    view = view_of(plan_with(square_route(leg_nm=9.0)), lesson_with(route=Route(speed_kt=90)))
    first, second = view.groups[0].rows

    assert (first.to, first.course, first.distance, first.turn) == ("BRAKO", "048°", "9.0", "right 90°")
    assert first.lead == "lead 0.48 to 0.72 NM"
    assert (first.time, first.total, second.time, second.total) == ("6:00", "6:00", "6:00", "12:00")
    assert view.groups[0].foot == "18.0 NM, 12 min 00 s"


def test_a_sum_that_lacks_a_leg_says_so() -> None:
    rows = view_of(plan_with(every_kind()), lesson_with(route=Route(speed_kt=90))).groups[0].rows

    assert [row.total for row in rows if row.total] == ["2:00+", "8:00+"]


def test_where_the_route_ends_at_the_approach_s_first_fix_both_stand_in_one_row() -> None:
    route, approach = view_of(*usual()).groups

    assert (route.rows[-1].to, route.rows[-1].role, route.rows[-1].altitude) == ("HOLMA", "IAF", "at or above 3,000 ft")
    assert [row.to for row in approach.rows] == ["FERNU", "RW27"]


def test_an_approach_is_briefed() -> None:
    view = view_of(*usual())
    facts = facts_of(view)

    assert facts["Guidance"] == "LPV"
    assert facts["Final course"] == "270°"
    assert facts["FAF"] == "FERNU, at or above 2,000 ft, 6.0 NM to go"
    assert facts["Glidepath"] == "3.00°, 50 ft over the threshold"
    assert facts["Minima"] == "DA 612 ft (524 ft above threshold)"
    assert facts["Descent"].startswith("478 ft/min at 90 kt (425 at 80, 531 at 100), 318 ft/NM")  # standards sheet 9.2
    assert "FAF to MAP" not in facts
    assert view.approaches[0].missed == (
        "Course 275° to 900 ft, then turn left, direct OSTRA at or above 3,000 ft, "
        "then hold at OSTRA (right turns, inbound 180°, 1 min)."
    )


def test_without_a_glidepath_the_time_from_the_faf_is_briefed() -> None:
    approach = dataclasses.replace(usual_approach(), guidance="LOC", glidepath_deg=None, da_ft=None, mda_ft=700.0)
    facts = facts_of(view_of(plan_with(usual_route(), (approach,)), lesson_with()))

    assert facts["FAF to MAP"] == "6.0 NM: 4 min 00 s at 90 kt (4:30 at 80, 3:36 at 100)"
    assert facts["MAP"] == "RW27"
    assert facts["Minima"] == "MDA 700 ft (612 ft above threshold)"
    assert "computed" in facts["Descent"]


def test_minima_that_are_not_known_stay_blank() -> None:
    approach = dataclasses.replace(usual_approach(), da_ft=None)

    assert facts_of(view_of(plan_with((), (approach,)), lesson_with()))["Minima"] == ""


def test_without_a_planned_speed_the_descent_is_told_for_several() -> None:
    words = descent_words(
        FinalBriefing(
            approach=0, groundspeed_kt=None, angle_deg=3.0, computed=False, descent_fpm=None, distance_nm=None,
            time_s=None,
        )
    )  # fmt: skip

    assert words == "ft/min: 425 at 80 kt, 478 at 90 kt, 531 at 100 kt, 637 at 120 kt, 318 ft/NM"


def test_a_hold_does_not_repeat_the_altitude_that_leads_to_it() -> None:
    approach = usual_approach()
    window = approach.missed[1].altitude
    missed = (*approach.missed[:2], dataclasses.replace(approach.missed[2], altitude=window))

    assert missed_line(missed).count("at or above 3,000 ft") == 1
    assert missed_line(missed).endswith("inbound 180°, 1 min).")


def test_without_a_planned_speed_the_timing_is_told_for_several() -> None:
    final = FinalBriefing(
        approach=0, groundspeed_kt=None, angle_deg=None, computed=False, descent_fpm=None, distance_nm=6.0, time_s=None
    )

    assert timing_words(final) == "6.0 NM; min: 4:30 at 80 kt, 4:00 at 90 kt, 3:36 at 100 kt, 3:00 at 120 kt"


def test_one_hold_is_drawn_once() -> None:
    approach = usual_approach()
    twice = dataclasses.replace(approach, legs=(*approach.legs, dataclasses.replace(approach.missed[-1], id="A1.4")))

    assert len(view_of(plan_with((), (twice,)), lesson_with()).approaches[0].holds) == 1


def test_the_entry_stands_in_words() -> None:
    # Inbound 180, right turns, arriving on 330: r = 360 - 330 = 30, teardrop (standards sheet, section 6).
    missed = (course_leg("A1.M1", "CF", 330.0, to_fix=SKH), hold_leg("A1.M2", "HM", hold_at(SKH, 180.0)))
    approach = dataclasses.replace(usual_approach(), missed=missed)
    hold = view_of(plan_with((), (approach,)), lesson_with()).approaches[0].holds[0]

    assert hold.entry == (
        "Arriving on 330°: teardrop: over the fix to 330° for 1 min, then turn right to the inbound course."
    )


def test_everything_that_a_file_could_say_is_escaped() -> None:
    plan, lesson = usual()
    bad = Fix(ident=HOSTILE[:60], lat_deg=46.9, lon_deg=-27.1)
    hold = hold_leg("A1.M3", "HM", hold_at(bad, 180.0))
    approach = dataclasses.replace(
        plan.approaches[0], airport=HOSTILE[:60], title=HOSTILE, procedure=HOSTILE[:60], navaid=bad, missed=(hold,)
    )
    route = tuple(dataclasses.replace(leg, to_fix=bad, from_fix=bad) for leg in plan.route)
    lesson = lesson.model_copy(update={"lesson": LessonHead(title=HOSTILE, student=HOSTILE, instructor=HOSTILE)})
    plan = dataclasses.replace(plan, route=route, approaches=(approach,), notes=(HOSTILE,), departure=bad)
    text = sheet_html(plan, lesson, brief(plan, lesson))
    tags = Tags(text)

    assert "<img" not in text
    assert "script" not in tags.seen
    assert not any(name.startswith("on") for name in tags.attributes)
    assert tags.open == []


def test_the_page_fetches_nothing_and_is_the_same_every_time() -> None:
    plan, lesson = usual()
    text = sheet_html(plan, lesson, brief(plan, lesson))

    assert text == sheet_html(plan, lesson, brief(plan, lesson))
    assert "default-src 'none'" in html.unescape(text)
    assert re.findall(r"(?:src|href)=|url\(|@import|https?:", text) == []
    assert SHEET_MARK in text[:400]
    assert "\r" not in text
    assert "training aid, not for navigation" in text
    assert "licensed instructor" in text


def test_control_and_direction_characters_are_taken_out() -> None:
    plan, lesson = usual()
    lesson = lesson.model_copy(update={"lesson": LessonHead(title="a\x00b\u202ec\x1b[31m" + "x" * 900)})
    view = view_of(plan, lesson)

    assert view.title.startswith("abc[31m")
    assert len(view.title) <= 160


def test_a_lesson_that_says_nothing_still_has_a_sheet_with_blanks() -> None:
    plan = dataclasses.replace(plan_with(()), departure=None, route_altitude_ft=None)
    text = render_sheet(view_of(plan, Lesson()))

    assert "<h1>Briefing sheet</h1>" in text
    assert "Checked against the chart" in text
    assert Tags(text).open == []


def sketch_point(sketch: str, at: int) -> tuple[float, float]:
    numbers = [float(number) for number in re.findall(r"-?[0-9.]+", sketch)]
    return numbers[at], numbers[at + 1]


@pytest.mark.parametrize("turn", ["right", "left"])
@pytest.mark.parametrize("inbound", [0, 45, 90, 137, 180, 270, 333])
def test_the_sketch_lies_on_the_holding_side_of_the_inbound_course(inbound: float, turn: Turn) -> None:
    brief_of = HoldBriefing(
        leg_id="X", hold=hold_at(SKH, inbound, turn), arrival_course_deg_true=None, arrival_course_deg_mag=None,
        arrival_estimated=False, entries=(),
    )  # fmt: skip
    sketch = hold_sketch(brief_of)
    # The path's data: the fix, the first turn (radii, flags) to abeam, the outbound leg's far end.
    abeam, far = sketch_point(sketch.track, 7), sketch_point(sketch.track, 9)
    side = {"right": 90.0, "left": -90.0}[turn]
    bearing = math.degrees(math.atan2(abeam[0] - sketch.fix[0], sketch.fix[1] - abeam[1]))
    outbound = math.degrees(math.atan2(far[0] - abeam[0], abeam[1] - far[1]))

    assert math.cos(math.radians(bearing - inbound - side)) == pytest.approx(1.0, abs=1e-3)
    assert math.cos(math.radians(outbound - inbound - 180.0)) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("turn", ["right", "left"])
@pytest.mark.parametrize("inbound", [0, 45, 90, 137, 180, 270, 333])
def test_each_sector_is_named_where_its_entries_come_from(inbound: float, turn: Turn) -> None:
    brief_of = HoldBriefing(
        leg_id="X", hold=hold_at(SKH, inbound, turn), arrival_course_deg_true=None, arrival_course_deg_mag=None,
        arrival_estimated=False, entries=(),
    )  # fmt: skip
    names = [text for text in hold_sketch(brief_of).texts if text.css == "name"]

    assert {name.text for name in names} == {"direct", "teardrop", "parallel"}
    for name in names:
        bearing = math.degrees(math.atan2(name.x, -name.y))
        assert hold_entry(float(inbound), turn, (bearing + 180.0) % 360.0).acceptable == (name.text,)


def test_a_sketch_says_in_words_what_it_shows() -> None:
    sketch = view_of(*usual()).approaches[0].holds[0].sketch

    assert sketch.title == "Hold at OSTRA: right turns, inbound 180°, 1 min"
    assert "North is up." in sketch.description


def test_the_parts_of_the_plan_are_those_of_the_sheet() -> None:
    plan, lesson = usual()

    assert [leg.part for leg in plan.route] == [LegPart.ROUTE] * 5
    assert [len(group.rows) for group in view_of(plan, lesson).groups] == [5, 2]
