"""What air traffic control said: the truth of it, and what an instructor's notes make of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from builders.flights.world import START, Chance

MODES = ("complete", "partly", "missing", "minute", "minute-wrong", "untimed", "slip")


@dataclass
class Instruction:
    """One instruction: when it was said, what, and when it took effect (seconds from the start of the log)."""

    t: float
    values: dict[str, Any]
    effect: float | None = None
    written: bool = True

    @property
    def kind(self) -> str:
        """The contract's word for it."""
        for key, word in (("heading_deg_mag", "heading"), ("direct", "direct"), ("hold", "hold")):
            if key in self.values:
                return word
        for word in ("join", "cleared", "resume", "missed", "circle", "across", "discontinue"):
            if word in self.values:
                return word
        return "altitude"


@dataclass
class Truth:
    """What happened, as events; times are seconds from the start of the log."""

    instructions: list[Instruction] = field(default_factory=list)
    planted: list[dict[str, Any]] = field(default_factory=list)
    holds: list[dict[str, Any]] = field(default_factory=list)
    turns: list[dict[str, Any]] = field(default_factory=list)
    outcomes: list[dict[str, Any]] = field(default_factory=list)


@dataclass
class Notes:
    """The lesson's ``[[clearance]]`` tables, and what was changed in them (``slip``: index, said and written)."""

    tables: list[dict[str, Any]] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)


def clock(t: float) -> dt.datetime:
    """The time of a moment of the log."""
    return START + dt.timedelta(seconds=t)


def local_time(t: float) -> dt.time:
    """The same as the lesson writes it: to the second."""
    return clock(round(t)).time().replace(microsecond=0)


def notes_of(instructions: list[Instruction], mode: str, chance: Chance) -> Notes:
    """What the instructor wrote down, in one of ``MODES``."""
    notes = Notes()
    for instruction in instructions:
        if not instruction.written:
            continue
        if mode == "missing" or (mode == "partly" and chance.happens(0.4)):
            notes.changed.append(f"not written: {instruction.kind} at {local_time(instruction.t)}")
            continue
        table: dict[str, Any] = {"time": local_time(instruction.t), **instruction.values}
        if mode == "untimed":
            del table["time"]
        elif mode in ("minute", "minute-wrong"):
            off = 60.0 * chance.sign() if mode == "minute-wrong" and chance.happens(0.4) else 0.0
            table["time"] = f"{clock(max(instruction.t + off, 0.0)):%H:%M}"
        notes.tables.append(table)
    if mode == "minute-wrong":
        _in_order(notes.tables)
    if mode == "slip":
        _slip(notes, chance)
    return notes


def _in_order(tables: list[dict[str, Any]]) -> None:
    """A wrong minute must not put the notes out of order, which the lesson file refuses."""
    latest = ""
    for table in tables:
        table["time"] = latest = max(latest, str(table["time"]))


def _slip(notes: Notes, chance: Chance) -> None:
    """One heading with a wrong digit: 080 for 180."""
    headings = [table for table in notes.tables if "heading_deg_mag" in table]
    if not headings:
        return
    table = headings[min(int(chance.between(0, len(headings))), len(headings) - 1)]
    true = int(table["heading_deg_mag"])
    slips = [h for h in (true - 100, true + 100) if 0 < h <= 360] or [true - 100 if true > 100 else true + 100]
    table["heading_deg_mag"] = slips[0]
    notes.changed.append(f"slip: {true:03d} written {slips[0]:03d} at {table.get('time')}")
