"""The instructions of the flight: what was said with when it took effect, and what the track was read as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from legwise.align.altitudes import assigned_altitude_ft
from legwise.align.flight import Flight, Stretch, variation_deg
from legwise.align.lateral import Epoch, lateral_kind
from legwise.align.moments import Said
from legwise.align.profile import Turning
from legwise.align.refine import turn_that_begins
from legwise.align.states import Kind, start_ident
from legwise.align.variants import heading_doubts
from legwise.align.words import clock, in_words
from legwise.geodesy import inverse, mean_direction_deg, turn_deg, wrap_360
from legwise.model.alignment import Instruction
from legwise.model.arrays import FloatArray
from legwise.model.lesson import Clearance, HoldInstruction
from legwise.model.plan import LegPart

OBEYED_WITHIN_S = 120.0
"""A heading not turned to within two minutes was not heard, not given, or written down wrong: asked, not charged."""
_APPROACH_BEGUN_S = 300.0
_OFF_HEADING_DEG = 30.0
_ASKED = ("heading", "direct", "hold")
UNCONFIRMED = 0.5
"""How sure an instruction is that a draft wrote down and nobody confirmed: as good one way as the other."""
_STRAIGHT_LEAST_S = 30.0
_STRAIGHT_DPS = 1.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LateralEffects:
    """When each lateral instruction took effect, by index of what was said [s]; ``begun`` only where a turn obeys it;
    and doubts about it by the same index."""

    effects: dict[int, float]
    begun: dict[int, float]
    doubts: dict[int, str]


def lateral_effects(flight: Flight, stretches: list[Stretch], known_doubts: Mapping[int, str]) -> LateralEffects:
    """The effect of each lateral instruction: the turn that obeys it, else its time."""
    effects: dict[int, float] = {}
    begun: dict[int, float] = {}
    doubts = {**heading_doubts(flight, stretches), **known_doubts}
    reached = {stretch.epoch for stretch in stretches}
    for place, epoch in enumerate(flight.epochs):
        if epoch.said < 0:
            continue
        if place not in reached:
            effects[epoch.said] = epoch.time_s if epoch.time_s is not None else float(flight.time_s[-1])
            if not flight.time_s[0] <= effects[epoch.said] <= flight.time_s[-1]:
                doubts[epoch.said] = "Said outside the time of the log."
            if epoch.time_s is None and epoch.kind in ("heading", "direct", "hold", "missed", "discontinue"):
                doubts[epoch.said] = "Nothing in the track shows it: was it given, and when?"
            continue
        number = next(i for i, stretch in enumerate(stretches) if stretch.epoch == place)
        first = stretches[number]
        entered_s = float(flight.time_s[first.start])
        turned = None
        if number > 0 and epoch.kind in ("heading", "direct", "resume"):
            turned = turn_that_begins(flight, stretches[number - 1], first)
        vectors = next((s for s in stretches if s.epoch == place and _vectors(flight, s)), None)
        if epoch.kind == "heading" and vectors is not None and flight.flying.on_ground[first.start]:
            # Said before take-off: it takes effect with the first turn, else with the take-off.
            effects[epoch.said] = float(flight.time_s[vectors.start])
        elif turned is not None:
            effects[epoch.said] = begun[epoch.said] = entered_s
        else:
            effects[epoch.said] = epoch.time_s if epoch.time_s is not None else entered_s
            doubt = _doubt(flight, first, epoch) or _not_followed(flight, stretches, number)
            if doubt:
                doubts.setdefault(epoch.said, doubt)
    return LateralEffects(effects=effects, begun=begun, doubts=doubts)


def _vectors(flight: Flight, stretch: Stretch) -> bool:
    return flight.states[stretch.state].kind is Kind.VECTORS


def _doubt(flight: Flight, first: Stretch, epoch: Epoch) -> str:
    """A question where the track does not show that an instruction was obeyed within two minutes; else empty."""
    if flight.flying.on_ground[first.start]:
        return ""
    until = min(flight.at(float(flight.time_s[first.start]) + OBEYED_WITHIN_S) + 1, flight.part(first.start)[1])
    here = slice(first.start, until)
    if epoch.kind == "heading" and np.isfinite(epoch.heading_deg_true):
        target, what = np.full(until - first.start, epoch.heading_deg_true), "turn to this heading"
    elif epoch.kind == "direct" and epoch.direct is not None:
        samples = flight.track.samples
        to = epoch.direct
        target = inverse(samples.lat_deg[here], samples.lon_deg[here], to.lat_deg, to.lon_deg)[1]
        what = "turn toward this fix"
    else:
        return ""
    off = np.abs(turn_deg(flight.track.motion.track_deg_true[here], target))
    off = off[np.isfinite(off)]
    if off.size == 0 or off.min() <= _OFF_HEADING_DEG:
        return ""
    return f"The track shows no {what} within two minutes: was it given then, and was it this one?"


def _not_followed(flight: Flight, stretches: list[Stretch], number: int) -> str:
    """A question where what was said of an approach is not what was flown after it; else empty."""
    first, later = stretches[number], stretches[number:]
    kind = flight.epochs[first.epoch].kind
    parts = [flight.states[s.state].part for s in later]
    landed = flight.states[later[-1].state].kind is Kind.GROUND
    left_s = float(flight.time_s[-1] - flight.time_s[first.start])
    if kind in ("cleared", "join") and LegPart.APPROACH not in parts:
        over = landed or (parts[0] is LegPart.MISSED and left_s >= _APPROACH_BEGUN_S)
        return "No approach is flown after it: was it given then?" if over else ""
    if kind == "missed" and landed and not any(s.missed for s in later):
        return "The track shows no missed approach: was it given then?"
    goes_on_s = float(flight.time_s[first.stop - 1] - flight.time_s[first.start])
    if kind == "discontinue" and parts[0] is LegPart.APPROACH and goes_on_s >= OBEYED_WITHIN_S:
        return "The track goes on along the approach: was it given then?"
    return ""


def said_instructions(flight: Flight, effects: Mapping[int, float], doubts: Mapping[int, str]) -> list[Instruction]:
    """Every clearance of the lesson, in order, with its effect [s] and the question it raises, both by index."""
    return [_said(said, effects[index], doubts.get(index, "")) for index, said in enumerate(flight.said)]


def _said(said: Said, effect_s: float, doubt: str) -> Instruction:
    """What was said; written as not confirmed it stays what it is: read from a track, and a question."""
    kind = lateral_kind(said) or _other_kind(said.clearance)
    text = in_words(said.clearance)
    unconfirmed = said.clearance.confirmed is False
    if unconfirmed and not doubt and kind in _ASKED:
        doubt = f"“{text}” was read from the track and is not confirmed: was it given?"
    return Instruction(
        origin="inferred" if unconfirmed else "said",
        kind=kind,
        clearance=said.clearance,
        time_s=said.time_s if said.time_s is not None else effect_s,
        time_accuracy_s=said.accuracy_s,
        effect_s=effect_s,
        text=text,
        confidence=UNCONFIRMED if unconfirmed else None,
        doubt=doubt,
        assigned_altitude_ft=assigned_altitude_ft(said.clearance),
    )


def _other_kind(clearance: Clearance) -> str:
    present = {
        "altitude": clearance.altitude_ft is not None or clearance.flight_level is not None,
        "across": bool(clearance.across),
        "crossing": clearance.crossing is not None,
        "speed": clearance.speed_kt is not None,
    }
    return next((kind for kind, is_there in present.items() if is_there), "other")


def is_inferred(flight: Flight, stretches: list[Stretch], place: int) -> bool:
    """Whether a stretch of vectors, a direct or a hold stands on the track alone: nothing that was said leads to it."""
    stretch = stretches[place]
    state, epoch = flight.states[stretch.state], flight.epochs[stretch.epoch]
    before = stretches[place - 1] if place > 0 and not flight.begins_part(stretch.start) else None
    if before is not None and before.state == stretch.state and before.epoch != stretch.epoch:
        carried = epoch.kind in ("cleared", "join", "resume", "missed", "circle")
        if carried and not is_inferred(flight, stretches, place - 1):
            return False
    if state.kind is Kind.VECTORS:
        return epoch.kind not in ("heading", "discontinue")
    if state.kind is Kind.HOLD:
        return all(item.hold is None or item.hold.ident != state.end_ident for item in flight.epochs)
    return state.kind is Kind.DIRECT and state.fix is not None and _is_direct_unsaid(flight, epoch, state.fix.ident)


def _is_direct_unsaid(flight: Flight, epoch: Epoch, ident: str) -> bool:
    named = {fix.ident for fix in (epoch.direct, epoch.hold) if fix is not None}
    if ident in named or epoch.kind == "resume":
        return False
    if epoch.kind == "cleared":
        firsts = {start_ident(s.leg) for s in flight.states if s.leg is not None and s.part is LegPart.APPROACH}
        return ident not in firsts
    return True


def inferred_from(flight: Flight, stretch: Stretch, confidence: float) -> list[Instruction]:
    """What a stretch is read as: one instruction for each straight part of vectors, one direct, one hold."""
    state = flight.states[stretch.state]
    start_s = float(flight.time_s[stretch.start])
    if state.kind is Kind.HOLD and state.fix is not None:
        return [_hold(state.fix.ident, start_s, confidence)]
    if state.kind is Kind.DIRECT and state.fix is not None:
        ident = state.fix.ident
        return [
            Instruction(
                origin="inferred",
                kind="direct",
                clearance=Clearance(direct=ident),
                time_s=start_s,
                time_accuracy_s=0.0,
                effect_s=start_s,
                text=f"direct {ident}",
                confidence=confidence,
                doubt=f"From {clock(start_s)} the track leads straight to {ident}: was direct {ident} given?",
            )
        ]
    return [_heading(flight, first, last, begun, confidence) for begun, first, last in _straight_parts(flight, stretch)]


def _hold(ident: str, start_s: float, confidence: float) -> Instruction:
    return Instruction(
        origin="inferred",
        kind="hold",
        clearance=Clearance(hold=HoldInstruction(fix=ident)),
        time_s=start_s,
        time_accuracy_s=0.0,
        effect_s=start_s,
        text=f"hold at {ident}",
        confidence=confidence,
        doubt=f"From {clock(start_s)} the aircraft circled {ident}: was a hold there given, and how?",
    )


def _straight_parts(flight: Flight, stretch: Stretch) -> list[tuple[int, int, int]]:
    """Straight parts of a stretch of vectors: where the turn to each began, its first and last sample (exclusive)."""
    inside: list[Turning] = [t for t in flight.turns if t.stop > stretch.start and t.start < stretch.stop]
    parts: list[tuple[int, int, int]] = []
    begun, first = stretch.start, stretch.start
    for turn in inside:
        if turn.start > first and flight.flown_s[turn.start] - flight.flown_s[first] >= _STRAIGHT_LEAST_S:
            parts.append((begun, first, turn.start))
            begun = turn.start
        elif not parts:
            begun = stretch.start
        first = min(turn.stop, stretch.stop)
    end = stretch.stop
    if end > first and flight.flown_s[end - 1] - flight.flown_s[first] >= _STRAIGHT_LEAST_S:
        parts.append((begun, first, end))
    return parts or [(stretch.start, stretch.start, stretch.stop)]


def _heading(flight: Flight, first: int, last: int, begun: int, confidence: float) -> Instruction:
    track = mean_direction_deg(flight.track.motion.track_deg_true[first:last])
    start_s = float(flight.time_s[begun])
    lat, lon = flight.position(first)
    variation = variation_deg(lat, lon, start_s)
    if np.isfinite(variation):
        degrees = float(np.round(wrap_360(track - variation))) % 360.0 or 360.0
        clearance, words = Clearance(heading_deg_mag=degrees), f"{degrees:03.0f} magnetic"
    else:
        degrees = float(np.round(track)) % 360.0 or 360.0
        clearance, words = Clearance(heading_deg_true=degrees), f"{degrees:03.0f} true"
    return Instruction(
        origin="inferred",
        kind="heading",
        clearance=clearance,
        time_s=start_s,
        time_accuracy_s=0.0,
        effect_s=start_s,
        text=f"vectors: track {words} (the heading itself is not known from a track)",
        confidence=confidence,
        doubt=f"From {clock(start_s)} the track of {words} leads to no fix of the plan: which heading was given?",
    )


def heading_owed(flight: Flight, stretches: list[Stretch]) -> FloatArray:
    """The assigned heading, magnetic, from the end of the turn onto it; NaN elsewhere. Shape (n,). [deg]

    Where no turn is seen it is owed from as much later as the turn would take at 3 deg/s, and 20 s to begin it.
    """
    owed = np.full(len(flight.track), np.nan)
    for place, stretch in enumerate(stretches):
        epoch = flight.epochs[stretch.epoch]
        if flight.states[stretch.state].kind is not Kind.VECTORS or not np.isfinite(epoch.heading_deg_true):
            continue
        lat, lon = flight.position(stretch.start)
        said = flight.said[epoch.said].clearance
        degrees = said.heading_deg_mag
        if degrees is None:
            variation = variation_deg(lat, lon, float(flight.time_s[stretch.start]))
            if not np.isfinite(variation):
                continue
            degrees = float(wrap_360(epoch.heading_deg_true - variation))
        before = stretches[place - 1] if place > 0 else None
        first = stretch.start
        if before is not None and before.stop == stretch.start and before.epoch != stretch.epoch:
            first = _rolled_out(flight, before, stretch, epoch.heading_deg_true)
        owed[first : stretch.stop] = degrees
    return owed


def _rolled_out(flight: Flight, before: Stretch, stretch: Stretch, heading_deg_true: float) -> int:
    turn = turn_that_begins(flight, before, stretch)
    if turn is not None and turn.stop > stretch.start:
        return min(turn.stop, stretch.stop)
    track = float(flight.track.motion.track_deg_true[stretch.start])
    change = abs(float(turn_deg(track, heading_deg_true))) if np.isfinite(track) else 0.0
    return min(flight.at(float(flight.time_s[stretch.start]) + change / 3.0 + 20.0), stretch.stop)
