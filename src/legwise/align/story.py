"""The alignment put together: what was cleared and what was flown, from a track and a plan."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from legwise.align import grammar
from legwise.align.airborne import fields_of, flying
from legwise.align.altitudes import Altitudes, altitudes
from legwise.align.confidence import confidence_of
from legwise.align.decode import Problem, Story, cheapest
from legwise.align.epochs import build_problem
from legwise.align.flight import Flight, Stretch, stretch_kind, variation_deg
from legwise.align.flown import flown_legs
from legwise.align.instructions import (
    heading_owed,
    inferred_from,
    is_inferred,
    lateral_effects,
    said_instructions,
)
from legwise.align.lateral import Epoch, lateral_kind
from legwise.align.missed import approaches_flown
from legwise.align.moments import Said, said_in_order
from legwise.align.phases import phases
from legwise.align.profile import turns_in, vertical_rate_fpm
from legwise.align.refine import refined, stretches_of
from legwise.align.states import Kind, states_of
from legwise.align.surprise import Thinned, surprise_of
from legwise.align.thin import thin
from legwise.align.turns import flown_turns
from legwise.align.words import clock, feet
from legwise.model.alignment import Alignment, Instruction
from legwise.model.arrays import readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import JudgedAltitude
from legwise.model.lesson import Clearance, Lesson
from legwise.model.plan import Fix, Plan
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
    flight = _gather(track, plan, lesson, judged)
    thinned = thin(flight)
    has_legs = any(state.kind is Kind.LEG for state in flight.states)
    surprise = surprise_of(flight.states, thinned, flight.fields, has_legs=has_legs)
    problem = build_problem(flight.states, flight.epochs, surprise, thinned, has_legs=has_legs)
    story = cheapest(problem)
    rough = stretches_of(flight, thinned, story)
    stretches, approaches = approaches_flown(flight, refined(flight, rough))
    legs = flown_legs(flight, stretches)
    turns = flown_turns(flight, stretches, legs)
    missed = np.zeros(len(track), dtype=np.bool_)
    for stretch in stretches:
        if stretch.missed:
            missed[stretch.start : stretch.stop] = True
    phase, approach, established = phases(flight, stretches, legs, approaches, missed)
    lateral = lateral_effects(flight, stretches)
    heights = altitudes(flight, lateral.effects, established, missed)
    instructions = said_instructions(flight, lateral, heights.effects)
    instructions += _inferred(flight, stretches, problem, story, thinned)
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
        questions=_questions(flight, stretches, instructions),
        notes=_notes(flight),
    )


def _gather(track: Track, plan: Plan, lesson: Lesson, judged: JudgedAltitude) -> Flight:
    fields = fields_of(plan)
    said = said_in_order(lesson, track)
    epochs = _epochs(said, plan, track)
    return Flight(
        track=track,
        plan=plan,
        altitude_ft=judged.altitude_ft,
        climb_fpm=vertical_rate_fpm(track.samples.time_s, judged.altitude_ft, track.gaps),
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


def _epochs(said: Sequence[Said], plan: Plan, track: Track) -> tuple[Epoch, ...]:
    """Before anything was said, then one epoch for each lateral instruction."""
    everything = frozenset(approach.index for approach in plan.approaches)
    named = any(s.clearance.cleared is not None or s.clearance.join for s in said)
    # With no clearance said, the approaches of the lesson count as cleared.
    cleared = frozenset[int]() if named else everything
    epochs = [Epoch(said=-1, kind="", cleared=cleared)]
    for index, item in enumerate(said):
        kind = lateral_kind(item)
        if kind is None:
            continue
        words = item.clearance
        if words.cleared is not None:
            # The plan has refused a name that means none of its approaches.
            cleared = frozenset(approach.index for approach in plan.approaches_named(words.cleared))
        elif words.join:
            cleared = everything
        elif kind in ("heading", "hold", "discontinue", "missed") and named:
            cleared = frozenset()
        epochs.append(
            Epoch(
                said=index,
                kind=kind,
                time_s=item.time_s,
                accuracy_s=item.accuracy_s,
                heading_deg_true=_heading_true(item, track),
                direct=_fix(words.direct, plan),
                hold=_fix(words.hold.fix if words.hold is not None else None, plan),
                cleared=cleared,
            )
        )
    return tuple(epochs)


def _heading_true(said: Said, track: Track) -> float:
    words = said.clearance
    if words.heading_deg_true is not None:
        return words.heading_deg_true
    if words.heading_deg_mag is None:
        return float("nan")
    time_s = track.samples.time_s
    near = len(track) // 2
    if said.time_s is not None:
        near = min(int(np.searchsorted(time_s, said.time_s)), len(track) - 1)
    variation = variation_deg(
        float(track.samples.lat_deg[near]), float(track.samples.lon_deg[near]), float(time_s[near])
    )
    return (words.heading_deg_mag + variation) % 360.0


def _fix(ident: str | None, plan: Plan) -> Fix | None:
    if ident is None:
        return None
    known = plan.fix(ident)
    if known is not None:
        return known
    legs = [*plan.route]
    for approach in plan.approaches:
        legs += [*approach.legs, *approach.missed]
    ends = (fix for leg in legs for fix in (leg.to_fix, leg.from_fix) if fix is not None)
    return next((fix for fix in ends if fix.ident == ident), None)


def _inferred(
    flight: Flight, stretches: list[Stretch], problem: Problem, story: Story, thinned: Thinned
) -> list[Instruction]:
    found: list[Instruction] = []
    for place, stretch in enumerate(stretches):
        if stretch_kind(flight, stretch) not in (Kind.VECTORS, Kind.DIRECT) or stretch.missed:
            continue
        if is_inferred(flight, stretches, place):
            found += inferred_from(flight, stretch, confidence_of(problem, story, thinned, stretch))
    return found


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
        f"{item.text}: {item.doubt}" if item.origin == "said" else item.doubt for item in instructions if item.doubt
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
        if said.clearance.direct is not None and _fix(said.clearance.direct, flight.plan) is None
    ]  # fmt: skip
    notes += [
        f"Direct {ident}: this fix is in no part of the plan, so nothing is measured against it." for ident in unknown
    ]
    if grammar.UNSAID_THOUGH_OTHERS_WERE and len(flight.epochs) > 1:
        notes.append(
            "Vectors and directs that were not said are inferred only where the track leaves no other reading."
        )
    return tuple(notes)
