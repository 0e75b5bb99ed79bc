"""A record as it is kept: its line number and its text; and what is wrong with records, gathered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from legwise.model.navdata import RecordProblem
from legwise.navdata.columns import LAYOUTS, WIDTH, Decoded, decode, section_of

PROBLEMS_KEPT: Final = 1000
"""Of more problems no more than the count is kept."""


class Record(NamedTuple):
    """A line of the file, from 1, and its text without trailing blanks."""

    line: int
    text: str

    @property
    def columns(self) -> str:
        """The text at its full width."""
        return self.text.ljust(WIDTH)


def entry_of(line: int, text: str) -> str:
    """A record as it is filed: one string, of which a country has hundreds of thousands."""
    return f"{line} {text}"


def records_of(entries: Iterable[str]) -> list[Record]:
    """Filed records.

    Raises
    ------
    ValueError
        An entry is none that :func:`entry_of` made.
    """
    split = (entry.partition(" ") for entry in entries)
    return [Record(_line(number), text) for number, _, text in split]


def _line(number: str) -> int:
    if not (number.isascii() and number.isdigit() and len(number) < 10):
        raise ValueError("an entry has no line number")
    return int(number)


class Problems:
    """What is wrong with records: all are counted, those of the first lines kept."""

    def __init__(self) -> None:
        self.count = 0
        self._found: list[RecordProblem] = []

    def add(self, line: int, messages: Iterable[str]) -> None:
        """One problem of a line; nothing where ``messages`` is empty."""
        words = "; ".join(messages)
        if words:
            self.count += 1
            self._keep(RecordProblem(line=line, message=words))

    def take(self, others: Problems) -> None:
        """The problems of a part of the records."""
        self.count += others.count
        for problem in others.kept():
            self._keep(problem)

    def kept(self) -> tuple[RecordProblem, ...]:
        """Those of the first lines, in the order of the file."""
        return tuple(sorted(self._found, key=lambda problem: problem.line)[:PROBLEMS_KEPT])

    def _keep(self, problem: RecordProblem) -> None:
        self._found.append(problem)
        # A file of nothing but broken records must not fill the memory.
        if len(self._found) > 20 * PROBLEMS_KEPT:
            self._found = list(self.kept())


def is_primary(section: str, columns: str) -> bool:
    """Whether a record of a known section stands for itself; the others continue one."""
    return columns[LAYOUTS[section].continuation - 1] in "01"


def decoded_records(records: Sequence[Record], problems: Problems) -> Iterator[tuple[str, Record, Decoded]]:
    """Section, record and fields of the primary records that can be used; of all, what is wrong goes to ``problems``.

    A record that says what an earlier one says already, column for column up to its file record number, is passed over.
    """
    seen: set[str] = set()
    for record in records:
        columns = record.columns
        section = section_of(columns)
        if not is_primary(section, columns) or columns[:123] in seen:
            continue
        seen.add(columns[:123])
        decoded = decode(section, columns)
        if decoded.is_usable:
            yield section, record, decoded
        else:
            problems.add(record.line, ("record not used: " + "; ".join(decoded.faults),))


def left_out(faults: Sequence[str]) -> list[str]:
    """Faults of a record that is used all the same."""
    return [f"{fault}; left out" for fault in faults]
