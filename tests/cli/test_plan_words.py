"""``legwise plan`` on the terminal: every leg in words, in columns that stay readable."""

from __future__ import annotations

import dataclasses

import pytest

from legwise.cli.plan_words import WIDTH, plan_lines
from legwise.model.lesson import Lesson, Route
from legwise.model.plan import Fix, Plan
from legwise.plan.briefing.brief import brief
from report.hand_made_legs import every_kind, lesson_with, plan_with, square_route, usual, usual_approach, usual_route


def told(plan: Plan, lesson: Lesson) -> list[str]:
    return list(plan_lines(plan, brief(plan, lesson)))


@pytest.fixture(scope="module")
def every() -> str:
    plan = plan_with(every_kind(), notes=("Variation from the model.",))
    return "\n".join(told(plan, lesson_with(route=Route(speed_kt=90))))


@pytest.mark.parametrize(
    "words",
    [
        "VA", "to 900 ft", "hdg 050.0°", "until the next leg", "to 12.0 DME SKH", "on radial 142 of SKH", "vectors",
        "for 3.0 NM", "right on the 12.0 NM arc about SKH", "2,000 to 4,000 ft", "glidepath 2,478 ft", "at most 210 kt",
        "procedure turn, drawn left, outbound 245°, within 10 NM of ARVIK", "back on 065°",
        "left turns, inbound 180°, 4 NM outbound, once round", "at or below 5,000 ft", "turn right onto it",
        "then right 40°", "note: Variation from the model.", "planned speed: 90 kt groundspeed ([route] speed_kt)",
        "together 12.0 NM, 8 min 00 s, without 8 legs whose length the flight decides",
    ],
)  # fmt: skip
def test_every_kind_of_leg_is_told_in_words(every: str, words: str) -> None:
    assert words in every


def test_a_turn_is_told_with_its_band_of_leads() -> None:
    text = "\n".join(told(plan_with(square_route()), lesson_with(route=Route(speed_kt=90))))

    # R tan(45 deg): at 3 deg/s the published 0.4775 NM, at 2 deg/s half as much again.
    assert "then right 90°, lead 0.48 to 0.72 NM" in text
    assert "6:00" in text


def test_an_approach_is_told_with_its_minima_its_descent_and_its_missed_approach() -> None:
    text = "\n".join(told(*usual()))

    assert "approach XSKH RNAV (GPS) RWY 27, LPV, glidepath 3.00°, DA 612 ft, RW27, threshold 88 ft" in text
    assert "final: 3.00°, 478 ft/min at 90 kt" in text
    assert "missed approach\n" in text
    assert "right turns, inbound 180°, 1 min, until told otherwise" in text


def test_without_a_glidepath_the_time_to_the_missed_approach_point_is_told() -> None:
    approach = dataclasses.replace(usual_approach(), guidance="LOC", glidepath_deg=None, da_ft=None, mda_ft=700.0)
    text = " ".join(" ".join(told(plan_with(usual_route(), (approach,)), lesson_with())).split())

    assert "final approach fix to missed approach point 4 min 00 s" in text
    assert "2.92° from the fix to the threshold" in text


def test_no_line_is_longer_than_a_hundred_characters(every: str) -> None:
    lines = [*every.splitlines(), *told(*usual())]

    assert max(map(len, lines)) <= WIDTH == 100


def test_columns_are_aligned() -> None:
    rows = [line for line in told(*usual()) if line.startswith(("  leg", "  R", "  A1"))]
    ends = {row.index("°") for row in rows if "°" in row}

    assert len(ends) == 1


def test_names_that_could_steer_a_terminal_or_never_end_are_tamed() -> None:
    first, second = square_route()
    bad = Fix(ident="X\x1b[31m" + "Y" * 500, lat_deg=46.0, lon_deg=-28.0)
    text = "\n".join(told(plan_with((dataclasses.replace(first, to_fix=bad), second)), lesson_with()))

    assert "\x1b" not in text
    assert "Y" * 30 not in text


def test_an_empty_plan_is_told_in_few_words() -> None:
    assert (
        told(dataclasses.replace(plan_with(()), source="none", route_altitude_ft=None), Lesson())[0] == "route (none)"
    )
