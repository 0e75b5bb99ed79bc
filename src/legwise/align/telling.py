"""The story told, what the track contradicts in it taken out, and told again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from legwise.align import grammar
from legwise.align.contradictions import contradictions
from legwise.align.decode import Problem, Story, cheapest
from legwise.align.epochs import build_problem
from legwise.align.flight import Flight, Stretch
from legwise.align.loops import circuits_over
from legwise.align.orders import epochs_of
from legwise.align.refine import refined, stretches_of
from legwise.align.states import Kind, State
from legwise.align.surprise import Thinned, surprise_of
from legwise.align.thin import thin
from legwise.model.alignment import Fact
from legwise.model.plan import Fix

MOST_ROUNDS: Final = 6
"""Every round takes something out; what is still contradicted after these stands as it was told."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Told:
    """The story and all it rests on. ``doubts`` are questions by index of what was said."""

    flight: Flight
    thinned: Thinned
    problem: Problem
    story: Story
    stretches: list[Stretch]
    doubts: Mapping[int, str]
    facts: tuple[Fact, ...]


def told_of(flight: Flight) -> Told:
    """The cheapest story that the track does not contradict."""
    thinned = thin(flight)
    has_legs = any(state.kind is Kind.LEG for state in flight.states)
    said = {state.end_ident for state in flight.states if state.kind is Kind.HOLD}
    fixes = {
        state.end_ident: state.fix for state in flight.states if state.kind is Kind.DIRECT and state.fix is not None
    }
    circled = circuits_over(thinned, [fix for ident, fix in fixes.items() if ident not in said])
    held = [State(kind=Kind.HOLD, fix=fixes[ident]) for ident in circled]
    flight = replace(flight, states=(*flight.states, *held))
    surprise = surprise_of(flight.states, thinned, flight.fields, has_legs=has_legs, circled=circled)
    doubts: dict[int, str] = {}
    facts: list[Fact] = []
    not_flown: set[int] = set()
    instead: dict[int, Fix] = {}
    for number in range(MOST_ROUNDS):
        problem = build_problem(flight.states, flight.epochs, surprise, thinned, has_legs=has_legs)
        story = cheapest(problem)
        stretches = refined(flight, stretches_of(flight, thinned, story))
        found = contradictions(flight, stretches)
        if not found or number == MOST_ROUNDS - 1:
            break
        doubts.update(found.not_flown)
        not_flown.update(found.not_flown)
        facts += found.facts
        for index, (fix, question) in found.instead.items():
            doubts[index], instead[index] = question, fix
        for state, start, stop in found.forbidden:
            inside = (thinned.index >= start) & (thinned.index < stop)
            surprise[inside, state] = np.maximum(surprise[inside, state], grammar.IMPOSSIBLE)
        epochs = epochs_of(flight.said, flight.plan, flight.track, not_flown=not_flown, flown_instead=instead)
        flight = replace(flight, epochs=epochs)
    return Told(
        flight=flight,
        thinned=thinned,
        problem=problem,
        story=story,
        stretches=stretches,
        doubts=doubts,
        facts=tuple(facts),
    )
