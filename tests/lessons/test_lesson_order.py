"""Instructions stand in the order they were said: their times may not run backwards by more than their doubt."""

from __future__ import annotations

import pytest

from legwise.errors import LessonError
from legwise.lessons import parse_lesson


def lesson_of(*times: str) -> str:
    """An instruction for each of ``times``, four lines each; one without a time where it is empty."""
    lines = ["[lesson]", "date = 2026-04-18"]
    for number, time in enumerate(times):
        said, _, accuracy = time.partition(" ± ")
        lines += [
            "[[clearance]]",
            f"time = {said}" if said else "",
            f"time_accuracy_s = {accuracy}" if accuracy else "",
            f"heading_deg_mag = {number}",
        ]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    "times",
    [
        ("09:33:42", "09:37:08"),
        ("09:37:08", "09:37:08"),
        ("09:37:08", "09:36:08"),  # both to 30 s
        ("09:37:08 ± 200", "09:33:42 ± 6"),
        ('"09:37"', "09:35:30"),  # 60 s and 30 s
        ('"09:37"', '"09:35"'),
        ("23:58:00", "00:03:00"),
        ('"23:58"', "", "00:03:00", "00:09:00"),
        ("2026-04-18T23:58:00Z", "2026-04-19T00:03:00Z"),
        ("2026-04-18T23:58:00Z", "00:03:00"),
        ("2026-04-18T19:58:00-04:00", "00:03:00"),
        ("05:00:00", "19:00:00"),
    ],
)
def test_times_that_may_run_forward_are_read(times: tuple[str, ...]) -> None:
    assert len(parse_lesson(lesson_of(*times), file="flight.toml").clearance) == len(times)


@pytest.mark.parametrize(
    ("times", "line", "words"),
    [
        (("09:37:08", "09:33:42"), 8, "09:33:42 stands after 09:37:08 (line 4)"),
        (("09:37:08", "09:36:07"), 8, "09:36:07 stands after 09:37:08 (line 4)"),
        (("09:37:08", "", "09:33:42"), 12, "09:33:42 stands after 09:37:08 (line 4)"),
        # Each a minute before the last, which two of 30 s allow; together they can't be in order.
        (("09:37:08", "09:36:10", "09:35:12"), 12, "09:35:12 stands after 09:37:08 (line 4)"),
        (("09:37:08 ± 5", "09:36:57 ± 5"), 8, "09:36:57 stands after 09:37:08 (line 4)"),
        (('"09:37"', '"09:34"'), 8, "09:34 stands after 09:37 (line 4)"),
        (("23:58:00", "00:03:00", "00:01:00"), 12, "00:01:00 stands after 00:03:00 (line 8)"),
        (("2026-04-18T09:37:08Z", "2026-04-17T09:38:00Z"), 8, "2026-04-17T09:38:00+00:00 stands after"),
        (("2026-04-18T09:37:08Z", "09:33:42"), 8, "09:33:42 stands after 2026-04-18T09:37:08+00:00 (line 4)"),
    ],
)
def test_times_that_run_backwards_are_refused_with_both_lines(times: tuple[str, ...], line: int, words: str) -> None:
    with pytest.raises(LessonError) as caught:
        parse_lesson(lesson_of(*times), file="flight.toml")

    assert f"flight.toml, line {line}, [[clearance]]" in caught.value.where
    assert words in caught.value.message
    assert "the order they were said" in caught.value.remedy
