"""When what was said took effect: in the order of the file, and what the times themselves give to ask."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from legwise.align.flight import Flight, Stretch
from legwise.align.lateral import lateral_kind
from legwise.align.refine import turn_that_begins
from legwise.align.states import Kind
from legwise.align.words import clock
from legwise.model.alignment import Fact, Instruction
from legwise.model.plan import LegPart

SLIP_ALIKE_S = 15.0
SLIP_LEAST = 3
"""Three instructions all off by about the same are a clock or a habit of writing, not three late turns."""
_TURNED_LEAST_DEG = 10.0


def in_order(flight: Flight, stretches: list[Stretch], effects: Mapping[int, float]) -> dict[int, float]:
    """The effect of every instruction [s]: those without a time never before the one before them in the file, nor
    after the one after, nor after the landing."""
    placed: dict[int, float] = {}
    previous_s = float(flight.time_s[0])
    last_s = _landed_s(flight)
    for index, said in enumerate(flight.said):
        effect_s = effects.get(index, said.time_s)
        if said.time_s is None:
            later = [effects.get(i, s.time_s) for i, s in enumerate(flight.said) if i > index and s.time_s is not None]
            until_s = min([last_s, *(each for each in later if each is not None)])
            sought_s = _obeyed_s(flight, stretches, lateral_kind(said), previous_s, effect_s)
            effect_s = min(max(sought_s if sought_s is not None else previous_s, previous_s), max(until_s, previous_s))
        placed[index] = effect_s if effect_s is not None else previous_s
        # Read from the top, neither the effects nor the times noted may go back.
        previous_s = placed[index] if said.time_s is None else max(placed[index], said.time_s)
    return placed


def _landed_s(flight: Flight) -> float:
    in_air = np.flatnonzero(~flight.flying.on_ground)
    return float(flight.time_s[in_air[-1]]) if in_air.size else float(flight.time_s[-1])


def _obeyed_s(
    flight: Flight, stretches: list[Stretch], kind: str | None, after_s: float, effect_s: float | None
) -> float | None:
    """Where an instruction without a time is obeyed, from the one before it on; None where nothing shows it."""
    later = [(place, s) for place, s in enumerate(stretches) if float(flight.time_s[s.start]) >= after_s]
    if kind in ("cleared", "join"):
        for place, stretch in later:
            before = stretches[place - 1] if place > 0 else None
            from_vectors = before is not None and flight.states[before.state].kind is Kind.VECTORS
            if flight.states[stretch.state].part is LegPart.APPROACH:
                return float(flight.time_s[stretch.start]) if from_vectors else None
        return None
    if kind == "missed":
        return next((float(flight.time_s[s.start]) for _, s in later if s.missed), None)
    return None if kind in ("resume", "circle") else effect_s


def slip_question(instructions: list[Instruction], begun: Mapping[int, float], flight: Flight) -> str:
    """One question where several instructions were obeyed about as long before or after the times noted; else
    empty.

    ``begun`` holds the turn or level change that obeys each, by index of what was said. [s]
    """
    said = [item for item in instructions if item.origin == "said"]
    lags = [
        begun[index] - item.time_s
        for index, item in enumerate(said)
        if index in begun and flight.said[index].time_s is not None
    ]
    if len(lags) < SLIP_LEAST:
        return ""
    lag_s = float(np.median(lags))
    late = [lag for lag in lags if abs(lag - lag_s) <= SLIP_ALIKE_S]
    accuracy_s = max(said.accuracy_s for said in flight.said if said.time_s is not None)
    if abs(lag_s) <= accuracy_s or len(late) < max(SLIP_LEAST, 0.75 * len(lags)):
        return ""
    way = "before" if lag_s < 0.0 else "after"
    noted = "late" if lag_s < 0.0 else "early"
    return (
        f"The turns and level changes begin about {abs(lag_s):.0f} s {way} the times noted for them, {len(late)} of "
        f"{len(lags)}: were the times written down {noted}, or was the clock off?"
    )


def wrong_turns(flight: Flight, stretches: list[Stretch]) -> tuple[list[Fact], list[str]]:
    """Turns made the other way round than was said: facts, and a question for each."""
    facts: list[Fact] = []
    questions: list[str] = []
    for place in range(1, len(stretches)):
        before, following = stretches[place - 1], stretches[place]
        epoch = flight.epochs[following.epoch]
        if before.epoch == following.epoch or epoch.said < 0 or flight.states[following.state].kind is not Kind.VECTORS:
            continue
        words = flight.said[epoch.said].clearance
        turn = turn_that_begins(flight, before, following) if words.turn is not None else None
        if turn is None or abs(turn.change_deg) < _TURNED_LEAST_DEG:
            continue
        turned = "right" if turn.change_deg > 0.0 else "left"
        heading = words.heading_deg_mag if words.heading_deg_mag is not None else words.heading_deg_true
        if heading is not None and turned != words.turn:
            told = f"Told to turn {words.turn} to heading {heading:03.0f}, turned {turned} at {clock(turn.start_s)}"
            facts.append(Fact(time_s=turn.start_s, text=f"{told}."))
            questions.append(f"{told}: which way was said?")
    return facts, questions
