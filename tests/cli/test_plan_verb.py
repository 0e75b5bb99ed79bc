"""``legwise plan`` as it is called: JSON, the wind, and where a briefing sheet may be written."""

from __future__ import annotations

import json
import os
import pathlib
import re
from collections.abc import Callable
from typing import Any

import pytest

from legwise.model.lesson import Route
from legwise.model.plan import Plan
from legwise.plan.briefing.brief import brief
from legwise.record import plan_json
from legwise.report.sheet_page import SHEET_HEAD, SHEET_MARK
from report.hand_made_legs import every_kind, lesson_with, plan_with, usual

Run = Callable[..., Any]
LESSONS = pathlib.Path(__file__).parents[1] / "data" / "lessons"
SAMPLE = pathlib.Path(__file__).parents[2] / "sample_tracks" / "clean_lpv" / "lesson.toml"


@pytest.fixture
def lesson(tmp_path: pathlib.Path) -> pathlib.Path:
    path = tmp_path / "lesson.toml"
    text = SAMPLE.read_text(encoding="utf-8")
    path.write_text(text.replace("altitude_ft = 5000", "altitude_ft = 5000\nspeed_kt = 120", 1), encoding="utf-8")
    return path


def as_json(plan: Plan, **tables: Any) -> dict[str, Any]:
    text: dict[str, Any] = json.loads(plan_json(plan, brief(plan, lesson_with(**tables))))
    return text


def test_json_carries_the_turn_the_time_and_the_total(legwise: Run, lesson: pathlib.Path) -> None:
    done = legwise("plan", lesson, "--json")
    plan = json.loads(done.out)
    first = plan["route"][0]

    assert done.status == 0
    assert plan["schema"] == "legwise.plan/1"
    assert first["turn_at_end"]["turn_deg"] < 0
    assert first["turn_at_end"]["lead_least_nm"] < first["turn_at_end"]["lead_largest_nm"]
    assert first["time_s"] == pytest.approx(first["distance_nm"] / 120 * 3600, abs=0.01)
    assert [total["part"] for total in plan["totals"]] == ["route", "approach", "missed"]
    assert plan["approaches"][0]["final"]["descent_fpm"] == pytest.approx(478, abs=1)  # standards sheet 9.2
    assert plan["planned_speeds"][0].startswith("120 kt")


def test_json_carries_every_kind_of_leg() -> None:
    route = as_json(plan_with(every_kind()), route=Route(speed_kt=90))["route"]
    by_kind = {leg["kind"]: leg for leg in route}

    assert by_kind["VA"]["heading_deg_mag"] == 50.0
    assert by_kind["VA"]["end"]["kind"] == "altitude"
    assert by_kind["CD"]["end"] == {
        "kind": "dme", "station": "SKH", "distance_nm": 12.0, "radial_deg_true": None, "radial_deg_mag": None,
    }  # fmt: skip
    assert by_kind["CR"]["end"]["radial_deg_mag"] == 142.0
    assert by_kind["AF"]["centre"] == "SKH"
    assert by_kind["AF"]["radius_nm"] == 12.0
    assert by_kind["AF"]["altitude"] == {"low_ft": 2000.0, "high_ft": 4000.0, "glidepath_ft": 2478.0}
    assert by_kind["PI"]["reversal"]["limit_nm"] == 10.0
    assert by_kind["PI"]["reversal"]["turn"] == "left"
    assert by_kind["HF"]["hold"]["leg_nm"] == 4.0
    assert by_kind["HF"]["hold"]["leg_minutes"] is None
    assert by_kind["DF"]["time_s"] is None


def test_without_a_briefing_what_needs_a_speed_is_null() -> None:
    plan = json.loads(plan_json(usual()[0]))

    assert plan["route"][0]["turn_at_end"] is None
    assert plan["approaches"][0]["final"] is None
    assert plan["totals"] == []
    assert plan["wind"] is None


def test_the_wind_is_taken_into_the_final(legwise: Run, lesson: pathlib.Path) -> None:
    still = json.loads(legwise("plan", lesson, "--json").out)
    windy = json.loads(legwise("plan", lesson, "--json", "--wind", "262/15").out)

    assert windy["wind"] == {"from_deg_true": 262.0, "speed_kt": 15.0}
    assert still["approaches"][0]["final"]["groundspeed_kt"] == 90.0
    assert windy["approaches"][0]["final"]["groundspeed_kt"] == pytest.approx(75.0, abs=0.01)


@pytest.mark.parametrize("wind", ["", "240", "400/15", "24/15", "240/1e3", "abc/de", "240/-5", "\x1b[31m"])
def test_what_is_no_wind_is_refused(legwise: Run, lesson: pathlib.Path, wind: str) -> None:
    done = legwise("plan", lesson, f"--wind={wind}")

    assert done.status == 2
    assert "--wind" in done.err
    assert "\x1b" not in done.err


@pytest.mark.parametrize("name", ["coded_r27", "coded_arc", "coded_procedure_turn"])
def test_coded_lessons_are_told_and_sheeted(legwise: Run, tmp_path: pathlib.Path, name: str) -> None:
    done = legwise("plan", LESSONS / f"{name}.toml", "--sheet", "sheet.html")

    assert (done.status, done.err) == (0, "")
    assert max(map(len, done.out.splitlines())) <= 100
    assert done.out.endswith("briefing sheet: sheet.html\n")
    assert (tmp_path / "sheet.html").read_text(encoding="utf-8").startswith(SHEET_HEAD)


def test_a_sheet_replaces_an_older_sheet_and_nothing_else(legwise: Run, lesson: pathlib.Path) -> None:
    sheet = lesson.parent / "sheet.html"
    assert legwise("plan", lesson, "--sheet", sheet).status == 0
    first = sheet.read_bytes()
    assert legwise("plan", lesson, "--sheet", sheet).status == 0

    assert sheet.read_bytes() == first
    assert sorted(path.name for path in lesson.parent.iterdir()) == ["lesson.toml", "sheet.html"]


def test_with_json_standard_output_is_json_alone(legwise: Run, lesson: pathlib.Path) -> None:
    done = legwise("plan", lesson, "--json", "--sheet", "sheet.html")

    assert json.loads(done.out)["schema"] == "legwise.plan/1"
    assert (lesson.parent / "sheet.html").exists()


def test_quiet_with_a_sheet_says_nothing(legwise: Run, lesson: pathlib.Path) -> None:
    assert legwise("plan", lesson, "--sheet", "sheet.html", "--quiet").out == ""


def test_what_is_not_a_sheet_is_never_replaced(legwise: Run, lesson: pathlib.Path) -> None:
    mine = lesson.parent / "mine.html"
    mine.write_text("<p>mine</p>", encoding="utf-8")
    (lesson.parent / "folder").mkdir()
    (lesson.parent / "link.html").symlink_to("mine.html")
    os.mkfifo(lesson.parent / "pipe")
    before = {path.name for path in lesson.parent.iterdir()}
    text = lesson.read_text(encoding="utf-8")
    for place in ("mine.html", "lesson.toml", "folder", "link.html", "pipe", "missing/sheet.html"):
        done = legwise("plan", lesson, "--sheet", place)

        assert done.status == 2, place
        assert done.out == ""
        assert re.match(rf"legwise: {re.escape(place)}: ", done.err)
        assert "--out" not in done.err
    assert mine.read_text(encoding="utf-8") == "<p>mine</p>"
    assert lesson.read_text(encoding="utf-8") == text
    assert {path.name for path in lesson.parent.iterdir()} == before


@pytest.mark.parametrize(
    "text",
    [
        f"Our sheets begin with {SHEET_MARK}\n",
        f"{SHEET_MARK}\n",
        f"\n{SHEET_HEAD}",
        f"<!-- {SHEET_HEAD}",
        SHEET_HEAD[:-1],
        SHEET_HEAD.lower(),
    ],
)
def test_a_text_that_quotes_the_mark_of_a_sheet_is_never_replaced(
    legwise: Run, lesson: pathlib.Path, text: str
) -> None:
    mine = lesson.parent / "mine.html"
    mine.write_text(text, encoding="utf-8")
    done = legwise("plan", lesson, "--sheet", "mine.html")

    assert done.status == 2
    assert "was not made by Legwise as a briefing sheet" in done.err
    assert mine.read_text(encoding="utf-8") == text


def test_a_sheet_is_not_written_to_standard_output_nor_to_a_file_of_that_name(
    legwise: Run, lesson: pathlib.Path
) -> None:
    done = legwise("plan", lesson, "--sheet", "-")

    assert (done.status, done.out) == (2, "")
    assert "--sheet: “-” names no file" in done.err
    assert [path.name for path in lesson.parent.iterdir()] == ["lesson.toml"]


def test_a_lesson_that_is_wrong_leaves_no_sheet(legwise: Run, tmp_path: pathlib.Path) -> None:
    (tmp_path / "lesson.toml").write_text("[route]\ntext = 'NOWHERE ATALL'\n", encoding="utf-8")
    done = legwise("plan", "lesson.toml", "--sheet", "sheet.html")

    assert done.status == 2
    assert [path.name for path in tmp_path.iterdir()] == ["lesson.toml"]
