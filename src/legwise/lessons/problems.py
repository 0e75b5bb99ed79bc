"""One thing that is wrong in a lesson file, and the error that is raised for all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from legwise.errors import LessonError, NotYetError
from legwise.lessons.lines import Place
from legwise.lessons.words import key_words

_MOST_LINES_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What is wrong at a place, in one sentence, and what would put it right.

    ``later`` marks what the contract names and this version does not read yet. ``weight`` orders problems: the lower is
    the likelier cause of the others (a misspelt key before the key that is missing for it).
    """

    place: Place
    message: str
    remedy: str = ""
    later: bool = False
    weight: int = 0


def error_for(
    problems: Sequence[Problem], *, file: str, data: Mapping[str, object], lines: Mapping[Place, int]
) -> LessonError:
    """The first problem in full, and where the others are."""
    ordered = sorted(problems, key=lambda problem: (problem.weight, line_of(problem.place, lines)))
    first = ordered[0]
    where = ", ".join(
        part for part in (file, f"line {line_of(first.place, lines)}", key_words(first.place, data)) if part
    )
    more = _more_words([line_of(problem.place, lines) for problem in ordered[1:]])
    remedy = "\n  ".join(part for part in (first.remedy, more) if part)
    return (NotYetError if first.later else LessonError)(first.message, where=where, remedy=remedy)


def line_of(place: Place, lines: Mapping[Place, int]) -> int:
    """The line of a place, or of the nearest table around it that has one."""
    while place not in lines and place:
        place = place[:-1]
    return lines.get(place, 1)


def _more_words(lines: Sequence[int]) -> str:
    if not lines:
        return ""
    named = sorted(set(lines))
    words = ", ".join(str(line) for line in named[:_MOST_LINES_NAMED]) + (
        ", ..." if len(named) > _MOST_LINES_NAMED else ""
    )
    noun = "problem" if len(lines) == 1 else "problems"
    return f"{len(lines)} more {noun} in this file (line{'s' if len(named) > 1 else ''} {words})."
