"""Navigation data that are no more than a list of fixes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from legwise.model.navdata import (
    CodedAirport,
    CodedAirway,
    CodedFix,
    CodedLocalizer,
    CodedPathPoint,
    CodedProcedure,
    CodedRunway,
    FixKey,
    NavDataSummary,
    ProcedureKind,
)
from legwise.navdata.nearest import nearest_in
from legwise.navdata.store import MemoryStore

_RUNWAY = "runway"


class ListedNavData:
    """Fixes by ident. An aerodrome of the list is a fix, and no more is known of it."""

    def __init__(self, fixes: Iterable[CodedFix], summary: NavDataSummary) -> None:
        self._summary = summary
        self._fixes: dict[str, list[CodedFix]] = {}
        for fix in fixes:
            self._fixes.setdefault(fix.ident, []).append(fix)
        names = [f"{kind}\t{ident}" for ident, same in self._fixes.items() for kind in {_kind_of(fix) for fix in same}]
        self._names = MemoryStore(dict.fromkeys(names, ()))

    @property
    def summary(self) -> NavDataSummary:
        """What was read."""
        return self._summary

    def fixes(self, ident: str) -> Sequence[CodedFix]:
        """Everything of that ident but runways, in the order of the list."""
        return tuple(fix for fix in self._fixes.get(ident, ()) if fix.kind != _RUNWAY)

    def fix(self, key: FixKey) -> CodedFix | None:
        """The first of that ident."""
        return next((fix for fix in self._fixes.get(key.ident, ()) if fix.key == key), None)

    def airport(self, ident: str) -> CodedAirport | None:
        """The first of that ident whose kind is airport."""
        return next((CodedAirport(fix=fix) for fix in self._fixes.get(ident, ()) if fix.kind == "airport"), None)

    def runway(self, airport: str, ident: str) -> CodedRunway | None:  # noqa: ARG002
        """None: a list has no runways of aerodromes."""
        return None

    def runways(self, airport: str) -> Sequence[CodedRunway]:  # noqa: ARG002
        """None."""
        return ()

    def localizer(self, airport: str, ident: str) -> CodedLocalizer | None:  # noqa: ARG002
        """None."""
        return None

    def path_point(self, airport: str, procedure: str) -> CodedPathPoint | None:  # noqa: ARG002
        """None."""
        return None

    def airways(self, ident: str) -> Sequence[CodedAirway]:  # noqa: ARG002
        """None."""
        return ()

    def procedure(self, airport: str, ident: str, kind: ProcedureKind) -> CodedProcedure | None:  # noqa: ARG002
        """None."""
        return None

    def procedures(self, airport: str, kind: ProcedureKind) -> Sequence[str]:  # noqa: ARG002
        """None."""
        return ()

    def nearest_idents(self, ident: str, kind: Literal["fix", "airport", "airway"], most: int = 3) -> Sequence[str]:
        """The idents of the list most like ``ident``, best first."""
        prefixes = ("fix\t", "airport\t") if kind == "fix" else (f"{kind}\t",)
        return tuple(nearest_in(self._names, prefixes, ident, most))


def _kind_of(fix: CodedFix) -> str:
    if fix.kind == _RUNWAY:
        return _RUNWAY
    return "airport" if fix.kind == "airport" else "fix"
