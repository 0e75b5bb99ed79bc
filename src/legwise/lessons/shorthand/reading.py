"""Lines of shorthand to what was said: instructions, altimeter settings, events and remarks, in the order written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from legwise.errors import LessonError
from legwise.lessons.shorthand.line import Context, hear
from legwise.lessons.shorthand.scanning import Row
from legwise.model.lesson import AltimeterSetting, Clearance, Event, LessonApproach, Remark, Time

Item = TypeVar("Item")

MAX_CHARACTERS = 500_000
MAX_LINES = 5_000
LONGEST_LINE = 4_000
"""No flight has more to say; a longer text is something else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said, in order, as the tables of a lesson file hold it.

    ``lines`` are the lines of ``file`` by what they say: ("clearance", 0) for the first of ``clearance``.
    """

    clearance: tuple[Clearance, ...] = ()
    altimeter: tuple[AltimeterSetting, ...] = ()
    event: tuple[Event, ...] = ()
    remark: tuple[Remark, ...] = ()
    file: str = ""
    lines: dict[tuple[str, int], int] = field(default_factory=dict)


def read_shorthand(
    text: str, *, file: str, known_fixes: Iterable[str] = (), approaches: Iterable[LessonApproach] = ()
) -> Said:
    """What ``text`` says: an instruction a line, blank lines and what follows a ``#`` left out.

    Parameters
    ----------
    file
        Names the text in messages.
    known_fixes
        Idents as the lesson writes them. Others are read as well: navigation data may know them.
    approaches
        Those of the lesson, by which "clrd R27" or "cleared ILS 27" is understood.

    Raises
    ------
    LessonError
        A word that is not understood, could mean two things, or stands where it makes no sense: with file, line, a
        caret under the word, what was expected, and the nearest known word. A text that is too long.
    """
    if len(text) > MAX_CHARACTERS:
        raise LessonError(
            f"the text is longer than {MAX_CHARACTERS:,} characters",
            where=file,
            remedy="Shorthand is a line for each instruction of a flight.",
        )
    # Not splitlines(), which parts a line at characters that an editor does not count by.
    rows = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(rows) > MAX_LINES:
        raise LessonError(
            f"more than {MAX_LINES:,} lines", where=file, remedy="Shorthand is a line for each instruction of a flight."
        )
    fixes = {ident.casefold(): ident for ident in known_fixes}
    known = tuple(approaches)
    taken = _Taken()
    for number, row_text in enumerate(rows, start=1):
        row = Row(text=row_text.rstrip(), where=f"{file}, line {number}")
        if len(row.text) > LONGEST_LINE:
            raise row.refused(
                f"the line is longer than {LONGEST_LINE:,} characters", "Write an instruction a line.", 0, 1
            )
        taken.line(number, row, Context(fixes=fixes, approaches=known, before=taken.before))
    return taken.said(file)


class _Taken:
    """What the lines so far have said."""

    def __init__(self) -> None:
        self.before: Time | None = None
        self._clearance: list[Clearance] = []
        self._altimeter: list[AltimeterSetting] = []
        self._event: list[Event] = []
        self._remark: list[Remark] = []
        self._lines: dict[tuple[str, int], int] = {}

    def line(self, number: int, row: Row, context: Context) -> None:
        """Take down one line."""
        heard = hear(row, context)
        clearance, setting, remark = heard.clearance(), heard.altimeter(), heard.remarked()
        events = heard.happened()
        if clearance is not None:
            self._note("clearance", self._clearance, clearance, number)
        if setting is not None:
            self._note("altimeter", self._altimeter, setting, number)
        for event in events:
            self._note("event", self._event, event, number)
        if remark is not None:
            self._note("remark", self._remark, remark, number)
        self.before = heard.clock.time or self.before

    def _note(self, table: str, items: list[Item], item: Item, number: int) -> None:
        self._lines[table, len(items)] = number
        items.append(item)

    def said(self, file: str) -> Said:
        """All of it."""
        return Said(
            clearance=tuple(self._clearance),
            altimeter=tuple(self._altimeter),
            event=tuple(self._event),
            remark=tuple(self._remark),
            file=file,
            lines=self._lines,
        )
