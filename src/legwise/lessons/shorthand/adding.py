"""What was said in a file of shorthand, added to a lesson after what the lesson file says."""

from __future__ import annotations

from pathlib import Path

from legwise.errors import LessonError
from legwise.lessons.check_order import order_problems
from legwise.lessons.lines import Place
from legwise.lessons.shorthand.reading import Said, read_shorthand
from legwise.lessons.text_file import read_text
from legwise.model.lesson import Lesson

MAX_BYTES = 500_000
_TABLES = ("clearance", "altimeter", "event", "remark")
_MOST = {"clearance": 2000, "altimeter": 500, "event": 2000, "remark": 2000}
"""As many as a lesson file holds of each."""


def read_shorthand_file(path: Path, lesson: Lesson) -> Said:
    """What the file at ``path`` says, understood by the fixes and approaches that ``lesson`` names.

    Raises
    ------
    LessonError
        The file is missing, no regular file, too large or not UTF-8; or see :func:`read_shorthand`.
    """
    text = read_text(path, what="shorthand file", kind="file of shorthand (text)", most_bytes=MAX_BYTES)
    return read_shorthand(text, file=str(path), known_fixes=_fixes_named(lesson), approaches=lesson.approach)


def _fixes_named(lesson: Lesson) -> list[str]:
    """The idents that a lesson writes: those of its route and approaches, then its own fixes, whose spelling wins."""
    named = [element.text for element in lesson.route.elements if element.form == "name"]
    named += lesson.route.points or ()
    for approach in lesson.approach:
        named += [leg.fix for leg in (*approach.leg, *approach.missed) if leg.fix is not None]
    return [*named, *(fix.ident for fix in lesson.fix)]


def with_said(lesson: Lesson, said: Said) -> Lesson:
    """``lesson`` with what was said behind what its own file says; messages about it name the file it came from.

    Raises
    ------
    LessonError
        The times of all instructions together run backwards, or there are more than a lesson holds.
    """
    first = {table: len(getattr(lesson, table)) for table in _TABLES}
    added = {table: (*getattr(lesson, table), *getattr(said, table)) for table in _TABLES}
    for table, items in added.items():
        if len(items) > _MOST[table]:
            raise LessonError(
                f"more than {_MOST[table]:,} of [[{table}]] together with the lesson's",
                where=said.file,
                remedy="No flight has so many: is it the right file?",
            )
    elsewhere = {
        f"[[{table}]] {first[table] + number + 1}": f"{said.file}, line {line}"
        for (table, number), line in said.lines.items()
    }
    merged = lesson.model_copy(update={**added, "elsewhere": {**lesson.elsewhere, **elsewhere}})

    def line_of(place: Place) -> str:
        number = int(place[1]) - first["clearance"]
        if number >= 0:
            return str(said.lines.get(("clearance", number), 1))
        holder = f"[[clearance]] {place[1] + 1 if isinstance(place[1], int) else place[1]}"
        line = lesson.lines.get(f"{holder} time", lesson.lines.get(holder))
        return f"{line} of {lesson.file}" if line is not None else f"{holder} of the lesson"

    for problem in order_problems(merged, line_of):
        raise LessonError(problem.message, where=f"{said.file}, line {line_of(problem.place)}", remedy=problem.remedy)
    return merged
