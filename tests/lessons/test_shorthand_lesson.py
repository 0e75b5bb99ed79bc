"""Shorthand added to a lesson: behind what its file says, checked with it, and named in messages as the file it is."""

from __future__ import annotations

import datetime as dt
import json
import pathlib
import re

import pytest

from legwise.cli import main
from legwise.errors import LessonError, PlanError
from legwise.lessons import lesson_toml, parse_lesson, read_shorthand, read_shorthand_file, with_said
from legwise.model.lesson import Lesson, LessonApproach
from legwise.pipeline import add_said, plan_for

ROOT = pathlib.Path(__file__).parents[2]
SAMPLE = ROOT / "sample_tracks" / "vectors_and_dip"
LESSON = """\
[lesson]
date = 2026-04-18
[[clearance]]
time = 13:12:40
heading_deg_mag = 250
[[altimeter]]
qnh_hpa = 1009
[[event]]
time = 13:15:00
what = "hood-on"
"""


def lesson_of(text: str = LESSON) -> Lesson:
    return parse_lesson(text, file="lesson.toml")


def test_what_was_said_stands_behind_what_the_lesson_says() -> None:
    said = read_shorthand("1319 D→CALDU\n1340 QNH 1011\n1358 rwy in sight\n! thank you", file="said.txt")

    lesson = with_said(lesson_of(), said)

    assert [(item.heading_deg_mag, item.direct) for item in lesson.clearance] == [(250, None), (None, "CALDU")]
    assert [setting.qnh_hpa for setting in lesson.altimeter] == [1009, 1011]
    assert [event.what for event in lesson.event] == ["hood-on", "visual"]
    assert [remark.text for remark in lesson.remark] == ["thank you"]
    assert lesson.where("[[clearance]] 1 time") == "lesson.toml, line 4, [[clearance]] 1 time"
    assert lesson.where("[[clearance]] 2 direct") == "said.txt, line 1"
    assert lesson.where("[[event]] 2 time") == "said.txt, line 3"


def test_it_is_written_back_as_a_lesson_file() -> None:
    lesson = with_said(lesson_of(), read_shorthand("1319 L D→CALDU\nQNH 1011\n! thank you", file="said.txt"))

    again = parse_lesson(lesson_toml(lesson), file="again.toml")

    assert again.clearance == lesson.clearance
    assert again.altimeter == lesson.altimeter
    assert again.remark == lesson.remark
    assert "elsewhere" not in lesson_toml(lesson)


def test_the_key_that_is_filled_in_here_is_none_of_the_file() -> None:
    with pytest.raises(LessonError, match="unknown table or key elsewhere"):
        lesson_of("[elsewhere]\nx = 'y'\n")


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("1310 H260", 1, "13:10 stands after 13:12:40 (line 4 of lesson.toml)"),
        ("\n1320 H260\nH270\n1316 D→CALDU", 4, "13:16 stands after 13:20 (line 2)"),
    ],
)
def test_times_that_run_backwards_name_both_files(text: str, line: int, words: str) -> None:
    with pytest.raises(LessonError) as caught:
        with_said(lesson_of(), read_shorthand(text, file="said.txt"))

    assert caught.value.where == f"said.txt, line {line}"
    assert words in caught.value.message


@pytest.mark.parametrize("text", ["1312 H260", "13:11:50 H260\n1312 H270", "2350 H260\n:05 H270\n0007 D→CALDU"])
def test_times_in_order_pass_over_midnight_too(text: str) -> None:
    said = read_shorthand(text, file="said.txt")

    assert len(with_said(lesson_of(), said).clearance) == 1 + len(said.clearance)


def test_more_than_a_lesson_holds_is_refused() -> None:
    said = read_shorthand("\n".join(["STD"] * 500), file="said.txt")

    with pytest.raises(LessonError, match="more than 500"):
        with_said(lesson_of(), said)


def test_a_fix_that_no_plan_knows_is_told_by_the_line_that_names_it(tmp_path: pathlib.Path) -> None:
    text = re.sub(r"(?ms)^\[\[clearance\]\].*?(?=^\[\[(?!clearance))", "", (SAMPLE / "lesson.toml").read_text("utf-8"))
    path = tmp_path / "said.txt"
    path.write_text("# as heard\n0937 dct CALDO\n", encoding="utf-8")
    lesson = add_said(parse_lesson(text, file="lesson.toml"), path)

    with pytest.raises(PlanError) as caught:
        plan_for(lesson, date=dt.date(2026, 4, 18))

    assert f"{path}, line 2" in str(caught.value)
    assert "CALDU" in str(caught.value)


@pytest.mark.parametrize("words", ["R27", "RNAV 27", "rnav rwy 27 apch", "LPV", "27", "apch", "XSKH RNAV", "GPS 27"])
def test_an_approach_written_out_is_found_by_what_is_said_of_it(tmp_path: pathlib.Path, words: str) -> None:
    path = tmp_path / "said.txt"
    path.write_text(f"clrd {words} maint 26 til est\n", encoding="utf-8")
    lesson = parse_lesson((SAMPLE / "lesson.toml").read_text("utf-8"), file="lesson.toml")

    assert read_shorthand_file(path, lesson).clearance[0].cleared == "XSKH/RW27"


def test_the_example_of_the_readme_says_what_it_says() -> None:
    section = (ROOT / "README.md").read_text("utf-8").split("## What was said, in shorthand")[1].split("\n## ")[0]
    blocks = re.findall(r"```text\n(.*?)```", section, flags=re.DOTALL)

    said = read_shorthand(blocks[0], file="README.md")

    assert [clearance.time for clearance in said.clearance] == [
        "13:12", "13:19", "13:31", dt.time(13, 47, 30), None, "13:52",
    ]  # fmt: skip
    assert said.clearance[-1].cleared == "XSKH/R27"
    assert [setting.qnh_hpa for setting in said.altimeter] == [1011]
    assert [event.what for event in said.event] == ["visual"]


# What says something only beside something else, and how it stands there.
BESIDE = {
    **dict.fromkeys(("200", "L", "R", "1min", "4nm", "@4000", "EFC 1345"), "hold CALDU {}"),
    **dict.fromkeys(("40-", "40"), "x CALDU {}"),
    "til est": "4000 {}",
    "vtf": "H310 {}",
}


def test_every_abbreviation_of_the_readme_is_understood() -> None:
    section = (ROOT / "README.md").read_text("utf-8").split("| write | means |")[1].split("\n\n")[0]
    rows = [row.split("|") for row in section.split("\n")[2:]]
    written = [item for row in rows for item in re.findall("`([^`]+)`", row[1])]
    approaches = [LessonApproach(airport="XSKH", procedure="R27"), LessonApproach(airport="XTBN", procedure="I27")]

    assert len(written) > 60
    for item in written:
        line = "1312 " + BESIDE.get(item, "{}").format(item)
        said = read_shorthand(line, file="README.md", approaches=approaches[: 1 if item == "clrd apch" else 2])
        assert len(said.clearance) + len(said.altimeter) + len(said.event) + len(said.remark) == 1, item


@pytest.fixture
def folder(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    monkeypatch.chdir(tmp_path)
    text = (SAMPLE / "lesson.toml").read_text("utf-8")
    blocks = re.split(r"(?m)^(?=\[)", text)
    kept = [block for block in blocks if not block.startswith(("[[clearance]]", "[[remark]]"))]
    (tmp_path / "lesson.toml").write_text("".join(kept), encoding="utf-8")
    (tmp_path / "said.txt").write_text(
        "09:32:23 H020 3000\n"
        "09:37:08 D→CALDU 5000\n"
        "09:57:42 3000\n"
        "10:04:17 R020\n"
        "10:06:28 L300 2600 vtf\n"
        "10:07:33 clrd RNAV 27 2600\n"
        "! Missed approach as planned: the runway was not to be seen.\n",
        encoding="utf-8",
    )
    return tmp_path


def test_a_debrief_by_shorthand_is_that_by_the_lesson_file(
    folder: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    track = str(SAMPLE / "track.csv")

    assert main(["debrief", track, "--lesson", "lesson.toml", "--said", "said.txt", "--out", "one", "--quiet"]) == 0
    assert main(["debrief", track, "--lesson", str(SAMPLE / "lesson.toml"), "--out", "two", "--quiet"]) == 0

    one, two = (json.loads((folder / name / "debrief.json").read_text("utf-8")) for name in ("one", "two"))
    assert one["clearances"] == two["clearances"]
    assert one["findings"] == two["findings"]
    capsys.readouterr()


@pytest.mark.usefixtures("folder")
def test_a_draft_writes_what_was_said_as_a_lesson_file(capsys: pytest.CaptureFixture[str]) -> None:
    track = str(SAMPLE / "track.csv")

    assert main(["draft", track, "--lesson", "lesson.toml", "--said", "said.txt", "--quiet"]) == 0

    drafted = parse_lesson(capsys.readouterr().out, file="draft.toml")
    given = parse_lesson((SAMPLE / "lesson.toml").read_text("utf-8"), file="lesson.toml")
    assert drafted.clearance == given.clearance
    assert drafted.remark == given.remark


@pytest.mark.parametrize("verb", ["debrief", "draft"])
@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1312 maintane 4000\n", ["said.txt, line 1", "maintane", "^^^^^^^^", "maintain"]),
        ("\n1312 visual\n", ["said.txt, line 2", "rwy in sight", "clrd visual"]),
        (None, ["said.txt", "no such file"]),
        (b"\xff\xfe1312", ["said.txt, line 1", "UTF-8"]),
        (b"x" * 600_000, ["said.txt", "0.5 MB"]),
    ],
)
def test_a_bad_file_ends_in_two_with_a_short_message(
    folder: pathlib.Path, capsys: pytest.CaptureFixture[str], verb: str, text: str | bytes | None, words: list[str]
) -> None:
    path = folder / "said.txt"
    path.unlink()
    if text is not None:
        path.write_bytes(text if isinstance(text, bytes) else text.encode())

    status = main([verb, str(SAMPLE / "track.csv"), "--lesson", "lesson.toml", "--said", "said.txt"])

    told = capsys.readouterr().err
    assert status == 2
    assert all(word in told for word in words), told
    assert told.count("\n") <= 10
    assert "Traceback" not in told
    assert not (folder / "reports").exists()


def test_without_a_lesson_the_shorthand_is_the_lesson(folder: pathlib.Path) -> None:
    (folder / "said.txt").write_text("0932 H020 3000\n", encoding="utf-8")

    assert add_said(None, folder / "said.txt").clearance[0].heading_deg_mag == 20


def test_the_approach_of_the_call_is_what_cleared_means(folder: pathlib.Path) -> None:
    (folder / "said.txt").write_text("clrd R27\n", encoding="utf-8")

    assert add_said(None, folder / "said.txt", approach="XSKH/R27").clearance[0].cleared == "XSKH/R27"
