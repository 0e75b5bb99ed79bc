"""The alignment put together: what was cleared and what was flown, from a track and a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from legwise.align import grammar
from legwise.align.airborne import fields_of, flying
from legwise.align.altitudes import Altitudes, altitudes
from legwise.align.arcs_flown import flown_arcs
from legwise.align.confidence import confidence_of
from legwise.align.flight import Flight, Stretch, stretch_kind
from legwise.align.flown import flown_legs
from legwise.align.holds_flown import flown_holds
from legwise.align.instructions import (
    heading_owed,
    inferred_from,
    is_inferred,
    lateral_effects,
    said_instructions,
)
from legwise.align.missed import approaches_flown
from legwise.align.moments import said_in_order
from legwise.align.orders import epochs_of, fix_named
from legwise.align.phases import phases
from legwise.align.profile import turns_in, vertical_rate_fpm
from legwise.align.reversals_flown import flown_reversals
from legwise.align.states import Kind, states_of
from legwise.align.telling import Told, told_of
from legwise.align.timing import in_order, slip_question, wrong_turns
from legwise.align.turns import flown_turns
from legwise.align.words import clock, feet
from legwise.model.alignment import Alignment, Instruction
from legwise.model.arrays import readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import JudgedAltitude
from legwise.model.lesson import Clearance, Lesson
from legwise.model.plan import Plan
from legwise.model.track import Track


def align(track: Track, plan: Plan, lesson: Lesson, judged: JudgedAltitude) -> Alignment:
    """Decide for every sample what was navigated by and on which leg; a pure function of its arguments.

    What the lesson says was said is obeyed: each instruction takes effect at the turn or level change that obeys it,
    near
    its time. Where nothing was said, vectors and directs are inferred from the track, marked so, with a confidence
    and a
    question. Altitudes in ``judged`` may be all NaN. The cheapest story under the prices of
    :mod:`legwise.align.grammar` is found exactly on
    the thinned track, its boundaries at the full rate.
    """
    told = told_of(_gather(track, plan, lesson, judged))
    flight = told.flight
    stretches, approaches = approaches_flown(flight, told.stretches)
    legs = flown_legs(flight, stretches)
    turns = flown_turns(flight, stretches, legs)
    held = flown_holds(flight, stretches)
    missed = np.zeros(len(track), dtype=np.bool_)
    for stretch in stretches:
        if stretch.missed:
            missed[stretch.start : stretch.stop] = True
    phase, approach, established = phases(flight, stretches, legs, approaches, missed)
    lateral = lateral_effects(flight, stretches, told.doubts)
    heights = altitudes(flight, lateral.effects, established, missed)
    effects = in_order(flight, stretches, {**heights.effects, **lateral.effects})
    instructions = said_instructions(flight, effects, {**heights.doubts, **lateral.doubts})
    slip = slip_question(instructions, {**heights.begun, **lateral.begun}, flight)
    turned, which_way = wrong_turns(flight, stretches)
    instructions += _inferred(told, stretches)
    instructions += _inferred_altitude(flight, heights)
    return Alignment(
        leg=readonly_ints(legs.leg),
        guidance=readonly_ints(legs.guidance),
        phase=readonly_ints(phase),
        approach=readonly_ints(approach),
        in_turn=readonly_bools(turns.in_turn),
        turn=readonly_ints(turns.turn),
        assigned_altitude_ft=heights.assigned_ft,
        altitude_owed=heights.owed,
        heading_owed_deg_mag=readonly_floats(heading_owed(flight, stretches)),
        established=readonly_bools(established),
        legs=legs.legs,
        turns=turns.turns,
        approaches=approaches,
        instructions=tuple(sorted(instructions, key=lambda item: item.effect_s)),
        questions=(*_questions(flight, stretches, instructions), *([slip] if slip else []), *which_way),
        facts=(*told.facts, *turned, *held.facts),
        notes=(*_notes(flight), *held.notes),
        holds=held.holds,
        reversals=flown_reversals(flight, legs.legs),
        arcs=flown_arcs(flight, legs.legs),
    )


def _gather(track: Track, plan: Plan, lesson: Lesson, judged: JudgedAltitude) -> Flight:
    fields = fields_of(plan)
    said = said_in_order(lesson, track)
    epochs = epochs_of(said, plan, track)
    return Flight(
        track=track,
        plan=plan,
        altitude_ft=judged.altitude_ft,
        climb_fpm=vertical_rate_fpm(track, judged.altitude_ft),
        flying=flying(track, judged.altitude_ft, fields),
        fields=fields,
        turns=turns_in(track),
        said=said,
        epochs=epochs,
        states=states_of(
            plan,
            [epoch.direct for epoch in epochs if epoch.direct is not None],
            [epoch.hold for epoch in epochs if epoch.hold is not None],
        ),
    )


def _inferred(told: Told, stretches: list[Stretch]) -> list[Instruction]:
    """Everything read from the track alone; what goes on through something that was said stands once."""
    flight = told.flight
    found: list[Stretch] = []
    for place, stretch in enumerate(stretches):
        if stretch_kind(flight, stretch) not in (Kind.VECTORS, Kind.DIRECT, Kind.HOLD) or stretch.missed:
            continue
        if not is_inferred(flight, stretches, place):
            continue
        goes_on = found and not flight.begins_part(stretch.start)
        if goes_on and (found[-1].state, found[-1].stop) == (stretch.state, stretch.start):
            found[-1] = replace(found[-1], stop=stretch.stop)
        else:
            found.append(stretch)
    return [
        item
        for stretch in found
        for item in inferred_from(flight, stretch, confidence_of(told.problem, told.story, told.thinned, stretch))
    ]


def _inferred_altitude(flight: Flight, heights: Altitudes) -> list[Instruction]:
    """The altitude filed was left for good and nothing was said of altitudes: one instruction that asks."""
    filed = flight.plan.route_altitude_ft
    if heights.left is None or filed is None:
        return []
    time_s = float(flight.time_s[heights.left])
    later = flight.altitude_ft[heights.left :]
    later = later[np.isfinite(later)]
    climbs = bool(later.size and float(np.median(later[: max(1, later.size // 4)])) > filed)
    way = "climb" if climbs else "descent"
    return [
        Instruction(
            origin="inferred",
            kind="altitude",
            clearance=Clearance(),
            time_s=time_s,
            time_accuracy_s=0.0,
            effect_s=time_s,
            text=f"{way} from {feet(filed)}",
            confidence=0.5,
            doubt=f"Left {feet(filed)} at {clock(time_s)}: was a {way} given, and to what altitude?",
        )
    ]


def _questions(flight: Flight, stretches: list[Stretch], instructions: Sequence[Instruction]) -> tuple[str, ...]:
    questions = [
        f"“{item.text}” was said. {item.doubt}" if item.origin == "said" else item.doubt
        for item in sorted(instructions, key=lambda item: item.time_s)
        if item.doubt
    ]
    last = flight.epochs[stretches[-1].epoch]
    landed = stretch_kind(flight, stretches[-1]) is Kind.GROUND and len(stretches) > 1
    if landed and last.kind == "heading" and flight.plan.approaches:
        questions.append("Landed while a heading was the last thing said: was an approach clearance given, and when?")
    return tuple(questions)


def _notes(flight: Flight) -> tuple[str, ...]:
    notes: list[str] = []
    if not np.isfinite(flight.altitude_ft).any():
        notes.append(
            "The log holds no altitude: take-off and landing are told by groundspeed alone, missed approaches by the "
            "legs flown."
        )
    said_headings = [epoch for epoch in flight.epochs if epoch.kind == "heading"]
    if any(not np.isfinite(epoch.heading_deg_true) for epoch in said_headings):
        notes.append("No magnetic model covers the date: assigned headings are not compared with the track.")
    unknown = [
        said.clearance.direct for said in flight.said
        if said.clearance.direct is not None and fix_named(said.clearance.direct, flight.plan) is None
    ]  # fmt: skip
    notes += [
        f"Direct {ident}: this fix is in no part of the plan, so nothing is measured against it." for ident in unknown
    ]
    if grammar.UNSAID_THOUGH_OTHERS_WERE and any(epoch.said >= 0 for epoch in flight.epochs):
        notes.append(
            "Vectors and directs that were not said are inferred only where the track leaves no other reading."
        )
    return tuple(notes)
