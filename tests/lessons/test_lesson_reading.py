"""Reading whole lessons: every key of the format, defaults, and files that are no lesson."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import get_args

import pytest

from legwise.errors import LessonError
from legwise.lessons import parse_lesson, read_lesson
from legwise.model.lesson import ColumnChoice, Lesson, PathTerminator


def test_every_key_of_the_format_is_read(whole_lesson: str) -> None:
    lesson = parse_lesson(whole_lesson, file="flight.toml")

    assert lesson.file == "flight.toml"
    assert lesson.lesson.date == dt.date(2026, 4, 18)
    assert lesson.lesson.objective[0].standard == "third inbound leg 60 s ± 10 s"
    assert lesson.altimetry.qnh_hpa == 1009.0
    assert lesson.altimeter[2].standard is True
    assert lesson.accuracy.altitude_ft == 40.0
    assert lesson.fix[1].variation_deg == -9.0
    assert lesson.navdata.arinc424 == "tarn_islands.dat"
    assert lesson.route.arrival_runway == "RW27"
    assert {leg.path for item in lesson.approach for leg in (*item.leg, *item.missed)} == set(get_args(PathTerminator))
    assert lesson.approach[2].procedure == "I27"
    assert lesson.approach[0].leg[1].altitude is not None
    assert lesson.approach[0].leg[1].altitude.at_or_below_ft == 4000
    assert lesson.approach[0].missed[0].course_deg_mag == 275
    assert [leg.path for leg in lesson.approach[0].leg] == ["IF", "TF", "TF"]
    assert lesson.clearance[2].hold is not None
    assert lesson.clearance[2].hold.efc == dt.time(13, 45)
    assert lesson.event[0].what == "visual"
    assert lesson.remark[0].time == dt.datetime(2026, 4, 18, 13, 36, 10, tzinfo=dt.UTC)
    assert lesson.columns["altitude_ft"] == ColumnChoice(heading="Alt", unit="m", kind="gnss-msl")
    assert lesson.columns["utc_offset"] == "-04:00"


def test_the_elements_of_a_route_text_are_kept_with_it(whole_lesson: str) -> None:
    route = parse_lesson(whole_lesson, file="flight.toml").route

    assert route.text == "XTBN BRAKO DCT CALDU XSKH"
    assert tuple(element.text for element in route.elements) == ("XTBN", "BRAKO", "DCT", "CALDU", "XSKH")


def test_a_lesson_dumps_to_what_json_holds(whole_lesson: str) -> None:
    dump = parse_lesson(whole_lesson, file="flight.toml").model_dump(mode="json", exclude_defaults=True)

    assert dump["clearance"][2]["time"] == "13:31"
    assert "file" not in dump
    assert "elements" not in dump["route"]


@pytest.mark.parametrize("text", ["", "\n# nothing yet\n", "\r\n"])
def test_an_empty_lesson_is_a_lesson(text: str) -> None:
    assert parse_lesson(text, file="empty.toml") == Lesson(file="empty.toml")


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("13:31:20", dt.time(13, 31, 20)),
        ("13:31:20.5", dt.time(13, 31, 20, 500_000)),
        ('"13:31"', "13:31"),
        ('"13:31Z"', "13:31"),
        ('"13:31:20"', dt.time(13, 31, 20)),
        ("2026-04-18T13:31:20Z", dt.datetime(2026, 4, 18, 13, 31, 20, tzinfo=dt.UTC)),
        ("2026-04-18 09:31:20-04:00", dt.datetime(2026, 4, 18, 13, 31, 20, tzinfo=dt.UTC)),
        ('"2026-04-18T13:31:20Z"', dt.datetime(2026, 4, 18, 13, 31, 20, tzinfo=dt.UTC)),
    ],
)
def test_times_in_every_form(written: str, read: object) -> None:
    lesson = parse_lesson(f'[[clearance]]\ntime = {written}\ndirect = "CALDU"\n', file="a.toml")

    assert lesson.clearance[0].time == read


def test_what_is_said_in_one_breath_may_stand_together() -> None:
    text = """
    [[clearance]]
    heading_deg_mag = 300
    turn = "left"
    altitude_ft = 2000
    cleared = "XSKH"
    [[clearance]]
    direct = "CALDU"
    hold = { fix = "CALDU" }
    speed_kt = 100
    [[clearance]]
    discontinue = true
    heading_deg_true = 180
    flight_level = 40
    [[clearance]]
    join = true
    cleared = "XSKH"
    """

    assert len(parse_lesson(text, file="a.toml").clearance) == 4


def test_a_fix_written_twice_at_one_place_is_one_fix() -> None:
    fix = '[[fix]]\nident = "A1"\nlat_deg = 1.5\nlon_deg = -180\n'

    assert len(parse_lesson(fix + fix.replace("-180", "180"), file="a.toml").fix) == 2


def test_reading_a_file_with_a_byte_order_mark_and_windows_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "flight.toml"
    path.write_bytes(b"\xef\xbb\xbf[lesson]\r\ntitle = 'x'\r\n[altimetry]\r\nqnh_hpa = 2000\r\n")

    with pytest.raises(LessonError, match=r"flight\.toml, line 4, \[altimetry\] qnh_hpa: found 2000"):
        read_lesson(path)


def test_the_lesson_keeps_the_name_of_its_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "flight.toml"
    path.write_text("[lesson]\ntitle = 'x'\n")

    assert read_lesson(path).file == "flight.toml"


def test_the_lesson_keeps_the_folder_from_which_its_files_are_found(tmp_path: Path) -> None:
    path = tmp_path / "flight.toml"
    path.write_text("[navdata]\narinc424 = 'x.dat'\n")

    assert read_lesson(path).folder == str(tmp_path)
    assert parse_lesson(path.read_text(), file=str(path)).folder == ""
    assert "folder" not in read_lesson(path).model_dump()


def test_a_text_with_many_full_stops_is_no_key() -> None:
    text = ".".join(str(number) for number in range(40))

    assert parse_lesson(f'[lesson]\ntitle = "{text}"\n', file="a.toml").lesson.title == text


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(LessonError, match=r"none\.toml: there is no such file"):
        read_lesson(tmp_path / "none.toml")


def test_a_directory(tmp_path: Path) -> None:
    with pytest.raises(LessonError, match="this is a directory"):
        read_lesson(tmp_path)


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")

    with pytest.raises(LessonError, match="no regular file"):
        read_lesson(tmp_path / "pipe")


def test_a_name_that_no_file_can_have() -> None:
    with pytest.raises(LessonError):
        read_lesson(Path("a\0b.toml"))


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * 2_000_001)

    with pytest.raises(LessonError, match="larger than 2 MB"):
        read_lesson(path)


def test_text_that_is_not_utf8_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes("[lesson]\ntitle = 'Übung'\n".encode("latin-1"))

    with pytest.raises(LessonError, match=r"latin\.toml, line 2: the text is not UTF-8"):
        read_lesson(path)


def test_a_lesson_knows_its_lines(whole_lesson: str) -> None:
    lesson = parse_lesson(whole_lesson, file="whole.toml")
    rows = whole_lesson.split("\n")

    for key, begins in {
        "[lesson] date": "date =",
        "[route] text": "text =",
        "[[approach]] 1 leg 3": '  { path = "TF", fix = "RW27"',
        "[[approach]] 1 missed 2": '  { path = "DF"',
        "[[clearance]] 3 hold.fix": "hold =",
        "[[clearance]] 6 cleared": 'cleared = "XSKH/R27"',
    }.items():
        assert rows[lesson.lines[key] - 1].startswith(begins)
    assert lesson.where("[lesson] date") == "whole.toml, line 3, [lesson] date"
    assert lesson.where("[[approach]] 1 leg 3 fly_by") == lesson.where("[[approach]] 1 leg 3") + " fly_by"
    assert Lesson().where("[route]") == "[route]"
    assert "lines" not in lesson.model_dump()
