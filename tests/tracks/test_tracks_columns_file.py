"""The [columns] table said in a file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from legwise.errors import LegwiseError
from legwise.model.lesson import ColumnChoice
from legwise.tracks import read_columns_file

Log = Callable[..., Path]


def test_the_contract_s_example(log: Log) -> None:
    columns, offset = read_columns_file(
        log(
            '[columns]\ntime = "When"\nlat_deg = "Latitude"\nlon_deg = "Longitude"\n'
            'altitude_ft = { heading = "Alt", unit = "m", kind = "gnss-msl" }\nutc_offset = "-04:00"\n'
        )
    )

    assert offset == "-04:00"
    assert columns == {
        "time": "When",
        "lat_deg": "Latitude",
        "lon_deg": "Longitude",
        "altitude_ft": ColumnChoice(heading="Alt", unit="m", kind="gnss-msl"),
    }


def test_a_lesson_file_serves(log: Log) -> None:
    columns, offset = read_columns_file(log('[lesson]\ntitle = "x"\n[columns]\ntime = "When"\n'))
    assert (dict(columns), offset) == ({"time": "When"}, None)


@pytest.mark.parametrize(
    ("text", "message", "remedy"),
    [
        ('[colums]\ntime = "x"', "no table “colums”", "“columns”"),
        ("", "no table [columns]", "time"),
        ('[columns]\nlattitude = "x"', "no key “lattitude”", "Did you mean"),
        ('[columns]\nlat_degs = "x"', "no key “lat_degs”", "“lat_deg”"),
        ("[columns]\ntime = 4", "neither a heading nor a table", "time ="),
        ('[columns]\ntime = { haeding = "x" }', "columns.time", "heading"),
        ('[columns]\nutc_offset = "4"', "offset from UTC", "±HH:MM"),
        ("[columns]\nutc_offset = 4", "no text", "±HH:MM"),
        ("[columns", "no TOML", "[columns]"),
        (b"\xff\xfe\x00", "no TOML: the text is not UTF-8", "UTF-8"),
        ('[columns]\nqzx = "a"', "no key “qzx”", "The keys are time, date, lat_deg"),
        ('[qzx]\na = "a"', "no table “qzx”", "[columns]"),
        ("[columns]\ntime = " + "9" * 5000, "a number of thousands of digits", "[columns]"),
        ("[columns]\ntime = " + "[" * 100_000, "nested too deeply", "[columns]"),
        ("[" + "a." * 100_000 + "b]", "a key of more than 20 parts", "[columns]"),
        ("[columns]\n" + '"a b" . ' * 100_000 + "b = 1", "a key of more than 20 parts", "[columns]"),
        ("[columns]\n" + '"\\"".' * 100_000 + "b = 1", "a key of more than 20 parts", "[columns]"),
        ('[columns]\ntime = "a"\ntime = "b"', "Cannot overwrite a value", "[columns]"),
        ("[[columns]]", "no table [columns]", "[columns]"),
        ('[columns]\n"a\\nb\\u202e" = "x"', "no key “a·b·”", "The keys are"),
        ("<!DOCTYPE html>\n", "Invalid statement", "[columns]"),
    ],
)
def test_what_is_wrong_is_named(text: str | bytes, message: str, remedy: str, log: Log) -> None:
    with pytest.raises(LegwiseError) as caught:
        read_columns_file(log(text))
    assert message in caught.value.message
    assert remedy in caught.value.remedy
    assert len(str(caught.value)) < 500


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(LegwiseError, match="no such file"):
        read_columns_file(tmp_path / "none.toml")


@pytest.mark.parametrize(
    ("text", "line"), [('[columns]\ntime = "H\xf6he"', 2), ("[columns]\n\ntime = ", 3), ("a.b = 1\n" * 30, 2)]
)
def test_the_line_is_named(text: str, line: int, log: Log) -> None:
    with pytest.raises(LegwiseError) as caught:
        read_columns_file(log(text.encode("cp1252")))
    assert caught.value.where.endswith(f", line {line}")
