"""What a caller of ``read_track`` gives that can't be: told in words, by the name of the argument."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

import legwise
from legwise import ReadLimits
from legwise.errors import CallError, ColumnError, TrackFormatError
from legwise.model.lesson import ColumnChoice

Log = Callable[..., Path]

FLIGHT = "time,lat,lon,alt ft\n" + "".join(
    f"2026-04-18T10:00:{second:02}Z,46.{second:04},-28.0,2500\n" for second in range(30)
)


@pytest.mark.parametrize("name", list(ReadLimits.__dataclass_fields__))
@pytest.mark.parametrize("value", [0, -1, 2.5, float("nan"), "5", None, True, [], 10**3 + 0.0])
def test_a_limit_is_a_whole_number_of_at_least_1(name: str, value: object) -> None:
    with pytest.raises(CallError, match=f"{name} is no whole number of at least 1") as caught:
        ReadLimits(**{name: value})  # type: ignore[arg-type]

    assert caught.value.where == f"limits.{name}"
    assert f"{ReadLimits.__dataclass_fields__[name].default:,}" in caught.value.remedy


def test_the_least_limit_is_one() -> None:
    assert ReadLimits(max_rows=1, max_bytes=10**30).max_rows == 1


@pytest.mark.parametrize(
    ("argument", "value", "message"),
    [
        ("columns", 5, "columns: an object of the type “int” is not a mapping"),
        ("columns", ["time"], "“list” is not a mapping"),
        ("columns", "time", "“time” is not a mapping"),
        ("columns", {5: "When"}, "“int” is not a key of [columns]"),
        ("columns", {"time": 5}, "columns[“time”]: an object of the type “int” is not a heading"),
        ("columns", {"time": ""}, "“” is not a heading"),
        ("columns", {"time": None}, "“NoneType” is not a heading"),
        ("columns", {"time": {"heading": "When"}}, "“dict” is not a heading"),
        ("columns", {"time": ColumnChoice(heading="")}, "“ColumnChoice” is not a heading"),
        ("columns", {"utc_offset": 4}, "columns[“utc_offset”]: an object of the type “int” is not a text"),
        ("utc_offset", 4, "utc_offset: an object of the type “int” is not a text"),
        ("utc_offset", dt.timedelta(hours=4), "“timedelta” is not a text"),
        ("utc_offset", "4", "the offset from UTC “4” is none"),
        ("limits", 5, "limits: an object of the type “int” is not limits"),
        ("limits", {"max_rows": 5}, "“dict” is not limits"),
        ("date", "2026-04-18", "date: “2026-04-18” is not a date"),
        ("date", 20260418, "“int” is not a date"),
        ("flight", "2", "flight: “2” is not the number of a flight"),
        ("flight", 2.0, "“float” is not the number of a flight"),
        ("flight", True, "“bool” is not the number of a flight"),
        ("between", 5, "between: between is no pair of times"),
        ("between", ["10:00", "10:10"], "no pair of times"),
        ("between", ("10:00",), "no pair of times"),
        ("between", (5, None), "between[0]: “5” is neither an instant nor a time of day"),
        ("between", (None, dt.date(2026, 4, 18)), "between[1]: “2026-04-18” is neither an instant nor a time of day"),
        ("lesson", "lesson.toml", "lesson: “lesson.toml” is not a lesson"),
    ],
)
def test_an_argument_of_another_kind_is_told(argument: str, value: object, message: str, log: Log) -> None:
    with pytest.raises(CallError) as caught:
        legwise.read_track(log(FLIGHT), **{argument: value})  # type: ignore[arg-type]

    text = str(caught.value)
    assert message in text
    assert caught.value.remedy
    assert len(text) < 300
    assert text.count("\n") == 1


@pytest.mark.parametrize("path", [5, None, b"log.csv", ["log.csv"]])
def test_a_path_is_a_path(path: object) -> None:
    with pytest.raises(CallError, match="is not a path"):
        legwise.read_track(path)  # type: ignore[arg-type]


def test_a_date_with_a_time_of_day_is_a_date(log: Log) -> None:
    text = FLIGHT.replace("2026-04-18T", "").replace("Z", "")
    track = legwise.read_track(log(text), date=dt.datetime(2026, 4, 18, 9, tzinfo=dt.UTC), utc_offset="Z")

    assert track.first_time_s == dt.datetime(2026, 4, 18, 10, tzinfo=dt.UTC).timestamp()


def test_an_unknown_key_of_columns_is_named(log: Log) -> None:
    with pytest.raises(ColumnError, match="no key “when”"):
        legwise.read_track(log(FLIGHT), columns={"when": "time"})


def test_a_name_of_several_lines_is_shown_on_one(log: Log) -> None:
    track = legwise.read_track(log(FLIGHT, "a\nb\u202ec\x1b.csv"))

    assert track.source.file == "a·b·c·.csv"
    with pytest.raises(TrackFormatError) as caught:
        legwise.read_track(log("nothing", "a\nb\u202e.csv"))
    assert caught.value.where.endswith("a·b·.csv")
