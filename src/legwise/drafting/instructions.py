"""The instructions of a draft: said ones as they were said, inferred ones with what the track shows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from legwise.geodesy import turn_deg
from legwise.lessons import lesson_toml
from legwise.model.alignment import GUIDANCE_CODE, FlownApproach, Guidance, Instruction
from legwise.model.instants import instant
from legwise.model.lesson import Clearance, Lesson
from legwise.model.plan import PlannedApproach
from legwise.model.results import DebriefResult

DOUBTFUL_BELOW: Final = 0.9
"""An inferred instruction less sure than this is written as a comment, the others as not confirmed."""
_TURNED_WITHIN_S: Final = 60.0
_A_TURN_DEG: Final = 10.0


@dataclass(frozen=True, slots=True)
class DraftedInstruction:
    """An instruction of the draft: ``clearance`` None where only the comment stands."""

    at_s: float
    clearance: Clearance | None
    comment: str
    is_doubtful: bool = False
    time: dt.time | dt.datetime | None = None

    def text(self) -> str:
        """Its ``[[clearance]]`` with the comment above it, all of it a comment where it is doubtful."""
        if self.clearance is None:
            time = "" if self.time is None else f"time = {toml_time(self.time)}\n"
            return as_comment(f"{self.comment}\n[[clearance]]\n{time}altitude_ft = 3000")
        block = lesson_toml(Lesson(clearance=(self.clearance,)), {"[[clearance]]": self.comment}).rstrip("\n")
        return as_comment(block) if self.is_doubtful else block


def toml_time(time: dt.time | dt.datetime) -> str:
    """A time as TOML has it."""
    return time.isoformat().replace("+00:00", "Z")


def as_comment(text: str) -> str:
    """Every line of ``text`` as a comment of TOML; those that are one stay."""
    return "\n".join(row if row.startswith("#") or not row else f"# {row}" for row in text.split("\n"))


def drafted_instructions(result: DebriefResult, date: dt.date) -> list[DraftedInstruction]:
    """What was said and what was inferred, in the order of time, with what a draft must add so that it is obeyed."""
    found: list[DraftedInstruction] = []
    for item in result.alignment.instructions:
        if item.origin == "said":
            found.append(DraftedInstruction(item.time_s, item.clearance, ""))
        else:
            found.append(_inferred(result, item, date))
    stands = any(item.clearance is not None and not item.is_doubtful for item in found)
    if stands:
        found += _resumed(result)
        found += _cleared(result)
    return sorted(found, key=lambda item: item.at_s)


def _inferred(result: DebriefResult, item: Instruction, date: dt.date) -> DraftedInstruction:
    sure = "not sure" if item.confidence is None else f"{round(item.confidence * 100)} % sure"
    seen = item.doubt or item.text
    if item.kind == "heading":
        seen = f"{_turned(result, item)}{item.text.removeprefix('vectors: ').split(' (')[0]} from {_clock(item.time_s)}"
    elif item.kind == "direct":
        seen = f"{item.text}: the track leads straight there from {_clock(item.time_s)}"
    when = instant(round(item.time_s))
    time = when.time() if when.date() == date else when
    read = {"time": time, "confirmed": False}
    clearance = item.clearance.model_copy(update=read) if item.clearance.model_fields_set else None
    doubtful = item.confidence is None or item.confidence < DOUBTFUL_BELOW
    return DraftedInstruction(item.time_s, clearance, f"Inferred, {sure}: {seen}.".replace("?.", "?"), doubtful, time)


def _turned(result: DebriefResult, item: Instruction) -> str:
    """``"turned right, "`` where the track turned within a minute."""
    track = result.track
    index = int(np.searchsorted(track.samples.time_s, item.time_s))
    later = int(np.searchsorted(track.samples.time_s, item.time_s + _TURNED_WITHIN_S))
    if not 0 < index < len(track) or not index < later < len(track):
        return ""
    degrees = track.motion.track_deg_true
    change = float(turn_deg(degrees[index - 1], degrees[later]))
    if not abs(change) >= _A_TURN_DEG:
        return ""
    return f"turned {'right' if change > 0 else 'left'}, "


def _clock(time_s: float) -> str:
    return instant(round(time_s)).strftime("%H:%M:%S")


def _resumed(result: DebriefResult) -> Iterator[DraftedInstruction]:
    """Own navigation after vectors that nothing ended in words: without it the heading would stay owed."""
    alignment = result.alignment
    vectors = alignment.guidance == GUIDANCE_CODE[Guidance.VECTORS]
    ends = np.flatnonzero(vectors[:-1] & ~vectors[1:]) + 1
    said = [item.time_s for item in alignment.instructions if item.origin == "said" and item.kind != "altitude"]
    for end in ends:
        time_s = float(result.track.samples.time_s[end])
        on_leg = alignment.guidance[end] == GUIDANCE_CODE[Guidance.LEG] and alignment.approach[end] < 0
        if on_leg and not any(abs(time_s - other) < _TURNED_WITHIN_S for other in said):
            leg = alignment.legs[alignment.leg[end]] if alignment.leg[end] >= 0 else None
            to = f" to {leg.to_ident}" if leg is not None and leg.to_ident else ""
            yield DraftedInstruction(
                time_s,
                Clearance(resume=True, confirmed=False),
                f"Inferred: on the filed route{to} again at {_clock(time_s)}.",
            )


def _cleared(result: DebriefResult) -> Iterator[DraftedInstruction]:
    """The clearance for each approach that was flown, where none was said: once anything is said, it counts no more."""
    if any(item.origin == "said" and item.clearance.cleared for item in result.alignment.instructions):
        return
    for flown in result.alignment.approaches:
        approach = result.plan.approaches[flown.approach]
        time_s = float(result.track.samples.time_s[_joined(flown)])
        yield DraftedInstruction(
            time_s,
            Clearance(cleared=_name(approach), confirmed=False),
            f"Inferred: established at {_clock(time_s)}; the clearance came before. What altitude was to be kept?",
        )


def _joined(flown: FlownApproach) -> int:
    return flown.start if flown.joined is None else flown.joined


def _name(approach: PlannedApproach) -> str:
    """How the approach is named in a clearance, as an ident may be."""
    runway = approach.runway.ident if approach.runway is not None else ""
    name = runway if approach.procedure == approach.title and runway else approach.procedure
    return f"{approach.airport}/{name}" if name and len(name) < 50 else approach.airport
