"""The view of the briefing sheet: every string as it stands on paper."""

from __future__ import annotations

from dataclasses import dataclass

from legwise.report.sheet_hold import HoldSketch


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFact:
    """A label and what stands beside it."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """A leg in the table; ``below`` stands in small type under where it leads."""

    to: str
    role: str
    below: str
    course: str
    distance: str
    altitude: str
    turn: str
    lead: str
    time: str
    total: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetGroup:
    """The legs of one part under their heading."""

    title: str
    rows: tuple[SheetRow, ...]
    foot: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetHold:
    """A published hold: in words, its entry, and the sketch."""

    title: str
    words: str
    entry: str
    sketch: HoldSketch


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetApproach:
    """What is briefed of one approach."""

    title: str
    facts: tuple[SheetFact, ...]
    missed: str
    holds: tuple[SheetHold, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetView:
    """Everything on the briefing sheet. ``qnh`` and ``temperature`` are those of the lesson, empty to be written in.

    ``roomy``: there are so few legs that they may stand in larger type and still fit the page.
    """

    title: str
    facts: tuple[SheetFact, ...]
    groups: tuple[SheetGroup, ...]
    approaches: tuple[SheetApproach, ...]
    qnh: str
    temperature: str
    speeds: str
    notes: tuple[str, ...]
    caution: str
    version: str
    roomy: bool
