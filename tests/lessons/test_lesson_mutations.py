"""Whatever is done to a lesson's text, reading it gives a lesson or a lesson error, never another exception."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LessonError
from legwise.lessons import parse_lesson
from legwise.model.lesson import Lesson

SETTINGS = settings(deadline=None, derandomize=True, max_examples=400)
LESSON = (Path(__file__).parent / "whole_lesson.toml").read_text(encoding="utf-8")
ROWS = LESSON.split("\n")
PIECES = st.sampled_from(
    [
        "[", "]", "{", "}", "=", '"', "'", '"""', "\n", "#", ".", ",", "true", "nan", "-inf", "1e400", "9" * 30, "-1",
        "13:31", "2026-04-18T25:00:00", "2026-04-18T10:00:00", "[[approach]]", "[clearance]", "{ at_ft = 1 }", "[]",
        "\\u0000", "É", "\x00", "direct = 'X'", "text = 'V7 BRAKO'", "0x10", "1_000",
    ]
)  # fmt: skip


def read_or_refuse(text: str) -> None:
    outcome: Lesson | str
    try:
        outcome = parse_lesson(text, file="flight.toml")
    except LessonError as error:
        outcome = str(error)
    if isinstance(outcome, str):
        assert outcome.startswith("flight.toml")
        assert len(outcome.splitlines()) <= 8


@SETTINGS
@given(st.integers(0, len(LESSON)), st.integers(0, 40), PIECES)
def test_a_piece_put_in_or_in_place_of_another(start: int, length: int, piece: str) -> None:
    read_or_refuse(LESSON[:start] + piece + LESSON[start + length :])


@SETTINGS
@given(st.lists(st.integers(0, len(ROWS) - 1), min_size=1, max_size=12), st.integers(0, 2))
def test_rows_left_out_or_repeated(numbers: list[int], copies: int) -> None:
    rows = list(ROWS)
    for number in numbers:
        rows[number] = "\n".join([rows[number]] * copies)

    read_or_refuse("\n".join(rows))


@SETTINGS
@given(st.integers(0, len(ROWS) - 1), PIECES)
def test_another_value_for_a_key(number: int, value: str) -> None:
    rows = list(ROWS)
    rows[number] = f"{rows[number].partition('=')[0]}= {value}"

    read_or_refuse("\n".join(rows))


@SETTINGS
@given(st.text(max_size=80))
def test_any_text(text: str) -> None:
    read_or_refuse(text)
