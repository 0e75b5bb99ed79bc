"""Several navigation data as one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from difflib import SequenceMatcher
from typing import Literal, TypeVar

from legwise.model.navdata import (
    CodedAirport,
    CodedAirway,
    CodedFix,
    CodedLocalizer,
    CodedPathPoint,
    CodedProcedure,
    CodedRunway,
    FixKey,
    NavData,
    NavDataSummary,
    ProcedureKind,
    RecordProblem,
)

_T = TypeVar("_T")


def combined(first: NavData, *others: NavData) -> NavData:
    """All of them as one: every candidate of each, in the order given; of what can only be one, the first that has it.

    The cycle is that of the first that has one; ``summary.problems`` name the file of each.
    """
    return CombinedNavData((first, *others)) if others else first


class CombinedNavData:
    """As :func:`combined` says."""

    def __init__(self, parts: Sequence[NavData]) -> None:
        self._parts = tuple(parts)
        self._summary = _summary([part.summary for part in parts])

    @property
    def summary(self) -> NavDataSummary:
        """What was read."""
        return self._summary

    def fixes(self, ident: str) -> Sequence[CodedFix]:
        """Everything of that ident in each."""
        return tuple(fix for part in self._parts for fix in part.fixes(ident))

    def fix(self, key: FixKey) -> CodedFix | None:
        """The fix that a record names."""
        return self._first(lambda part: part.fix(key))

    def airport(self, ident: str) -> CodedAirport | None:
        """The aerodrome of that ident."""
        return self._first(lambda part: part.airport(ident))

    def runway(self, airport: str, ident: str) -> CodedRunway | None:
        """A runway end of an aerodrome."""
        return self._first(lambda part: part.runway(airport, ident))

    def runways(self, airport: str) -> Sequence[CodedRunway]:
        """The runway ends of an aerodrome, from the first that has any."""
        return self._first(lambda part: part.runways(airport) or None) or ()

    def localizer(self, airport: str, ident: str) -> CodedLocalizer | None:
        """A localizer of an aerodrome by its ident."""
        return self._first(lambda part: part.localizer(airport, ident))

    def path_point(self, airport: str, procedure: str) -> CodedPathPoint | None:
        """The final approach segment data of a procedure."""
        return self._first(lambda part: part.path_point(airport, procedure))

    def airways(self, ident: str) -> Sequence[CodedAirway]:
        """The stretches of an airway in each."""
        return tuple(airway for part in self._parts for airway in part.airways(ident))

    def procedure(self, airport: str, ident: str, kind: ProcedureKind) -> CodedProcedure | None:
        """A procedure of an aerodrome by its coded ident."""
        return self._first(lambda part: part.procedure(airport, ident, kind))

    def procedures(self, airport: str, kind: ProcedureKind) -> Sequence[str]:
        """The idents of an aerodrome's procedures of a kind, sorted."""
        return tuple(sorted({ident for part in self._parts for ident in part.procedures(airport, kind)}))

    def nearest_idents(self, ident: str, kind: Literal["fix", "airport", "airway"], most: int = 3) -> Sequence[str]:
        """The known idents most like ``ident``, best first."""
        found = {near for part in self._parts for near in part.nearest_idents(ident, kind, most)}
        return tuple(sorted(found, key=lambda near: (-SequenceMatcher(None, ident, near).ratio(), near))[:most])

    def _first(self, ask: Callable[[NavData], _T | None]) -> _T | None:
        answers = (ask(part) for part in self._parts)
        return next((answer for answer in answers if answer is not None), None)


def _summary(parts: Sequence[NavDataSummary]) -> NavDataSummary:
    dated = next((part for part in parts if part.cycle), parts[0])
    counts: dict[str, int] = {}
    for part in parts:
        for section, count in part.counts.items():
            counts[section] = counts.get(section, 0) + count
    return NavDataSummary(
        file=" and ".join(dict.fromkeys(part.file for part in parts)),
        cycle=dated.cycle,
        effective_from=dated.effective_from,
        effective_to=dated.effective_to,
        counts=counts,
        problem_count=sum(part.problem_count for part in parts),
        problems=tuple(
            RecordProblem(line=problem.line, message=f"{part.file}: {problem.message}")
            for part in parts
            for problem in part.problems
        ),
        newest_change=next((part.newest_change for part in parts if part.newest_change), ""),
        notes=tuple(f"{part.file}: {note}" for part in parts for note in part.notes),
    )
