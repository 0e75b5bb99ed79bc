"""A lesson file's text to a :class:`Lesson`: TOML, then the model's ranges, then the checks across keys."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import Any

from pydantic import ValidationError

from legwise.errors import LessonError
from legwise.lessons.checks import cross_checks
from legwise.lessons.lines import Place, line_map
from legwise.lessons.messages import problem_of
from legwise.lessons.problems import Problem, error_for, line_of
from legwise.lessons.route_text import split_route_text
from legwise.lessons.text_file import read_text
from legwise.lessons.words import key_words, plain, trimmed
from legwise.model.lesson import Lesson

MAX_BYTES = 2_000_000
"""No lesson needs more; a larger file is something else."""

MAX_VALUES = 60_000
"""Keys, tables and list items together; a lesson with 5,000 fixes has half of that."""

_MOST_WORDED = 20
_FILLED_IN = ("file", "folder", "lines", "elsewhere")
"""Fields of the model that the file itself may not set."""
_SYNTAX_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_UNQUOTED_MINUTE = re.compile(r"=\s*([0-2][0-9]:[0-5][0-9])\s*(?:[,}#]|$)")
_ENDLESS_NUMBER = re.compile(r"(?<![\w\"'.])[+-]?[0-9][0-9_]{4000,}")
# The parser's work grows with the square of a dotted key's parts: such a key is refused before it is parsed.
_ENDLESS_KEY = re.compile(
    r"""(?:^|[\[{,])[ \t]*+(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){20}""", re.MULTILINE
)


def read_lesson(path: Path) -> Lesson:
    """The lesson in the file at ``path``; the files that it names are found from its ``folder``.

    Raises
    ------
    LessonError
        The file is missing, is no regular file, is larger than ``MAX_BYTES`` or not UTF-8; or see :func:`parse_lesson`.
    """
    text = read_text(path, what="lesson file", kind="lesson file (TOML)", most_bytes=MAX_BYTES)
    return parse_lesson(text, file=str(path)).model_copy(update={"folder": str(path.parent)})


def parse_lesson(text: str, *, file: str) -> Lesson:
    """The lesson that ``text`` holds; ``file`` names it in messages. Its ``folder`` is left empty.

    Raises
    ------
    LessonError
        Naming the file, the line, the key, what was found and what is expected: for TOML that can't be parsed, an
        unknown key, a value out of its range, or keys that contradict each other.
    NotYetError
        For what the lesson format knows and this version does not read.
    """
    data = _parsed(text, file=file)
    if not data:
        return Lesson(file=PurePath(file).name)
    lines = line_map(text)
    if len(lines) > MAX_VALUES:
        raise LessonError(
            f"the file holds more than {MAX_VALUES:,} values", where=file, remedy="A lesson file is a short text."
        )
    lesson, problems = _validated(data, lines, file=file)
    problems = problems or cross_checks(lesson, lines)
    if problems:
        raise error_for(problems, file=file, data=data, lines=lines)
    lesson = lesson.model_copy(update={"lines": _lines_in_words(lines, data)})
    return _with_route_elements(lesson, where=file, line=lines.get(("route", "text")))


def _parsed(text: str, *, file: str) -> dict[str, object]:
    endless = _ENDLESS_KEY.search(text)
    if endless:
        line = text.count("\n", 0, endless.start()) + 1
        raise LessonError(
            "a key of more than 20 parts", where=f"{file}, line {line}", remedy="No key of a lesson needs that many."
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(str(error), text, file=file) from None
    except RecursionError:
        raise LessonError(
            "lists or tables are nested too deeply", where=file, remedy="No table of a lesson needs that."
        ) from None
    except ValueError:
        # The one thing that is well-formed and not read: Python has an upper end for the digits of a whole number.
        raise _endless_number(text, file=file) from None


def _endless_number(text: str, *, file: str) -> LessonError:
    number = _ENDLESS_NUMBER.search(text)
    line = f", line {text.count(chr(10), 0, number.start()) + 1}" if number else ""
    return LessonError(
        "a number of thousands of digits", where=f"{file}{line}", remedy="No value of a lesson needs that many."
    )


def _lines_in_words(lines: Mapping[Place, int], data: Mapping[str, object]) -> dict[str, int]:
    """The line of each place that later stages may have to name; the many fixes are checked here for good."""
    return {key_words(place, data): line for place, line in lines.items() if place and place[0] != "fix"}


def _syntax_error(words: str, text: str, *, file: str) -> LessonError:
    """The parser's message with its line, and a remedy where the slip is a usual one."""
    place = _SYNTAX_PLACE.search(words)
    rows = text.split("\n")
    number = int(place[1]) if place and place[1] else len(rows)
    what = words[: place.start()] if place else words
    row = rows[min(number, len(rows)) - 1]
    remedy = "The line reads: " + plain(row.strip()) if row.strip() else "Something before the end is not closed."
    minute = _UNQUOTED_MINUTE.search(row)
    if minute:
        remedy = f'A time to the minute stands in quotes: "{minute[1]}".'
    return LessonError(
        f"this is not TOML: {plain(what[:1].lower() + what[1:])}", where=f"{file}, line {number}", remedy=remedy
    )


def _validated(data: Mapping[str, object], lines: Mapping[Place, int], *, file: str) -> tuple[Lesson, list[Problem]]:
    """The lesson and no problem, or an empty lesson and what is wrong."""
    # Fields of the model that the file itself may not set.
    errors: list[dict[str, Any]] = [
        {"type": "extra_forbidden", "loc": place, "input": None} for place in _keys_of_our_own(data)
    ]
    given = {key: value for key, value in data.items() if key not in _FILLED_IN}
    lesson = Lesson()
    try:
        lesson = Lesson.model_validate({**given, "file": PurePath(file).name})
    except ValidationError as error:
        errors += [dict(item) for item in error.errors(include_url=False)]
    # Words are found for the first ones alone: there may be hundreds of thousands.
    errors.sort(key=lambda item: (item["type"] == "missing", line_of(trimmed(item["loc"], data), lines)))
    problems = [problem_of(item, data) for item in errors[:_MOST_WORDED]]
    problems += [Problem(place=trimmed(item["loc"], data), message="", weight=2) for item in errors[_MOST_WORDED:]]
    return lesson, problems


def _keys_of_our_own(data: Mapping[str, object]) -> list[Place]:
    places: list[Place] = [(key,) for key in _FILLED_IN if key in data]
    route = data.get("route")
    return [*places, ("route", "elements")] if isinstance(route, Mapping) and "elements" in route else places


def _with_route_elements(lesson: Lesson, *, where: str, line: int | None) -> Lesson:
    """``lesson`` with the elements of its route text, if it has one."""
    if lesson.route.text is None:
        return lesson
    known = {fix.ident for fix in lesson.fix}
    for approach in lesson.approach:
        known.add(approach.airport)
        if approach.runway is not None:
            known.add(approach.runway.ident)
    place = f"{where}, line {line}, [route] text" if line else f"{where}, [route] text"
    elements = split_route_text(lesson.route.text, where=place, known=known)
    return lesson.model_copy(update={"route": lesson.route.model_copy(update={"elements": elements})})
