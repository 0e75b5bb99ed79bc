"""What was planted, measured on the true state: ``truth.toml`` of a sample."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from builders.tarn.air import Air
from builders.tarn.flight import Flight, Second
from builders.tarn.recorder import iso

Value = str | float | bool | dt.datetime | list[str]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Seconds in a row navigated by one thing; ``start`` included, ``end`` not."""

    start: dt.datetime
    end: dt.datetime
    guidance: str
    leg: str


@dataclass(slots=True)
class Truth:
    """A sample's truth, filled by its script."""

    planted: list[dict[str, Value]] = field(default_factory=list)
    outcome: dict[str, Value] = field(default_factory=dict)

    def plant(self, kind: str, **values: Value) -> None:
        """Note something planted."""
        self.planted.append({"kind": kind, **values})


def stretches(log: Sequence[Second]) -> list[Stretch]:
    """The flight cut where the guidance or the leg changes."""
    found: list[Stretch] = []
    first = log[0]
    for second in log[1:]:
        if (second.guidance, second.leg) != (first.guidance, first.leg):
            found.append(Stretch(first.time, second.time, first.guidance, first.leg))
            first = second
    return [*found, Stretch(first.time, log[-1].time + dt.timedelta(seconds=1), first.guidance, first.leg)]


def _written(value: Value) -> str:
    if isinstance(value, dt.datetime):
        return iso(value)
    if isinstance(value, bool | str | list):
        return json.dumps(value)
    return f"{value:g}" if isinstance(value, int) else repr(round(value, 4))


def _table(head: str, values: Mapping[str, Value]) -> list[str]:
    return ["", head, *(f"{key.rstrip('_')} = {_written(value)}" for key, value in values.items())]


def truth_text(name: str, flight: Flight, truth: Truth, *, aircraft: str) -> str:
    """``truth.toml``: the flight, what was navigated by when, what was planted, how it ended."""
    lines = [
        "# What was really flown, from the state before any noise was added. Times UTC; a stretch ends before its end.",
        "# leg is FROM-TO; a direct has no FROM; vectors and the ground have no leg. Signs: right and high positive.",
    ]
    lines += _table(
        "[flight]", {"name": name, "seed": flight.seed, "wind": _wind_words(flight.air), "aircraft": aircraft}
    )
    for stretch in stretches(flight.log):
        lines += _table(
            "[[stretch]]",
            {"start": stretch.start, "end": stretch.end, "guidance": stretch.guidance, "leg": stretch.leg},
        )
    for planted in truth.planted:
        lines += _table("[[planted]]", planted)
    for turn in flight.turns:
        lines += _table(
            "[[turn]]",
            {"fix": turn.fix, "begun": turn.start, "lead_nm": turn.lead_nm, "expected_lead_nm": turn.expected_lead_nm},
        )
    lines += _table("[outcome]", truth.outcome)
    return "\n".join(lines) + "\n"


def _wind_words(air: Air) -> list[str]:
    return [f"{w.from_deg_true:03.0f} true at {w.speed_kt:.0f} kt, {w.altitude_ft:.0f} ft" for w in air.winds]
