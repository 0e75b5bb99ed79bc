"""Where the track contradicts what was said, or what was read from it: found once a first story is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from legwise.align.flight import Flight, Stretch
from legwise.align.instructions import OBEYED_WITHIN_S, is_inferred
from legwise.align.lateral import Epoch
from legwise.align.runs import duration_s
from legwise.align.states import Kind, State
from legwise.align.words import clock
from legwise.geodesy import inverse, turn_deg
from legwise.model.alignment import Fact
from legwise.model.arrays import FloatArray
from legwise.model.plan import Fix

DIRECT_BIAS_DEG = 3.0
DIRECT_PASSES_NM = 0.5
DIRECT_PASSES_DEG = 1.5
"""A direct points at its fix: the track within 3 deg of its bearing in the median, its line carried on within half a
mile of it, or 1.5 deg where it was broken off far away. Common practice, no published source."""
NOT_TOWARD_DEG = 30.0
OTHER_FIX_DEG = 5.0
"""A direct said is contradicted where the track leads 5 deg or more past its fix, and straight to another."""
HOLD_NEAR_NM = 3.0
GHOST_SAMPLES, GHOST_S, GHOST_NM = 3, 10.0, 1.0
GHOST_ABOUT_S = 120.0
"""A leg flown takes three samples and some seconds, or having been near it; nor was it flown a moment sooner or
later."""
_ON_COURSE_DEG = 8.0
_CLOSE_NM = 1.0
_LEAST_S = 60.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Contradictions:
    """``not_flown``: instructions (by index of what was said) with the question each raises. ``instead``: the fix flown
    to in place of the one said, with its question. ``forbidden``: a state and the samples where it can't have been."""

    not_flown: Mapping[int, str]
    instead: Mapping[int, tuple[Fix, str]]
    forbidden: tuple[tuple[int, int, int], ...]
    facts: tuple[Fact, ...]

    def __bool__(self) -> bool:
        return bool(self.not_flown or self.instead or self.forbidden)


def contradictions(flight: Flight, stretches: list[Stretch]) -> Contradictions:
    """What of a story the track contradicts."""
    not_flown: dict[int, str] = {}
    instead: dict[int, tuple[Fix, str]] = {}
    facts: list[Fact] = []
    for place, epoch in enumerate(flight.epochs):
        span = _span(flight, stretches, place)
        if span is None or epoch.said < 0:
            continue
        start, stop = span
        if epoch.kind == "direct" and epoch.direct is not None:
            other = _other_fix(flight, epoch.direct, start, stop)
            when = clock(epoch.time_s if epoch.time_s is not None else float(flight.time_s[start]))
            if other is not None and other.kind is Kind.LEG:
                not_flown[epoch.said] = f"The track goes on to {other.end_ident}: was it given then, and this one?"
            elif other is not None and other.fix is not None:
                told = f"Cleared direct {epoch.direct.ident} at {when}; the track leads to {other.end_ident}."
                instead[epoch.said] = (other.fix, f"The track leads straight to {other.end_ident}: which fix was said?")
                facts.append(Fact(time_s=float(flight.time_s[start]), text=told))
            elif not _toward(flight, epoch.direct, start, stop):
                not_flown[epoch.said] = "The track shows no turn toward this fix: was it given then, and this one?"
        elif epoch.kind == "hold" and epoch.hold is not None and not _held(flight, epoch, start, stop):
            not_flown[epoch.said] = "The track never leads to this fix: was the hold given then, and at this fix?"
    return Contradictions(
        not_flown=not_flown, instead=instead, forbidden=tuple(_forbidden(flight, stretches)), facts=tuple(facts)
    )


def _span(flight: Flight, stretches: list[Stretch], place: int) -> tuple[int, int] | None:
    """Airborne samples from an epoch's beginning to the next instruction that leads elsewhere; None where none are."""
    mine = [s for s in stretches if s.epoch == place]
    if not mine:
        return None
    leads_on = ("cleared", "resume", "join", "circle", "visual")
    later = [s for s in stretches if s.epoch > place and flight.epochs[s.epoch].kind not in leads_on]
    start, stop = mine[0].start, later[0].start if later else len(flight.track)
    in_air = np.flatnonzero(~flight.flying.on_ground[start:stop])
    if not in_air.size:
        return None
    return start + int(in_air[0]), stop


def _off_deg(flight: Flight, fix: Fix, start: int, stop: int) -> tuple[FloatArray, FloatArray]:
    """Track less the bearing of a fix [deg] and the distance to it [NM], samples ``start`` to ``stop``."""
    samples = flight.track.samples
    away, bearing, _ = inverse(samples.lat_deg[start:stop], samples.lon_deg[start:stop], fix.lat_deg, fix.lon_deg)
    return turn_deg(bearing, flight.track.motion.track_deg_true[start:stop]), away


def _toward(flight: Flight, fix: Fix, start: int, stop: int) -> bool:
    """Whether the track pointed at a fix, more or less, within two minutes; true where there was no time for it."""
    until = min(stop, flight.at(float(flight.time_s[start]) + OBEYED_WITHIN_S) + 1)
    off, away = _off_deg(flight, fix, start, until)
    known = np.abs(off[np.isfinite(off)])
    short = flight.flown_s[until - 1] - flight.flown_s[start] < _LEAST_S
    return short or not known.size or bool(known.min() <= NOT_TOWARD_DEG) or bool(away.min() <= _CLOSE_NM)


def _other_fix(flight: Flight, said: Fix, start: int, stop: int) -> State | None:
    """What the track leads straight to in place of the fix that was said: a direct, or a leg owed that is one."""
    best: tuple[float, State] | None = None
    for state in flight.states:
        fix = _direct_to(state)
        if fix is None or fix.ident == said.ident:
            continue
        reach = _reach(flight, fix, start, stop)
        bias = straight_to(flight, fix, start, reach) if reach is not None else None
        if reach is None or bias is None:
            continue
        off, away = _off_deg(flight, said, start, reach)
        far = np.isfinite(off) & (away > _CLOSE_NM)
        past = far.any() and float(np.median(np.abs(off[far]))) >= OTHER_FIX_DEG + bias
        if past and not bool((away < _CLOSE_NM).any()) and (best is None or bias < best[0]):
            best = (bias, state)
    return best[1] if best is not None else None


def _direct_to(state: State) -> Fix | None:
    if state.kind is Kind.DIRECT:
        return state.fix
    planned = state.leg if state.kind is Kind.LEG else None
    return planned.to_fix if planned is not None and planned.kind == "DF" else None


def _reach(flight: Flight, fix: Fix, start: int, stop: int) -> int | None:
    """The sample where a fix is reached, within a mile; None where it never is."""
    _, away = _off_deg(flight, fix, start, stop)
    near = np.flatnonzero(away <= _CLOSE_NM)
    if not near.size or flight.time_s[start + near[0]] - flight.time_s[start] < _LEAST_S:
        return None
    return start + int(near[0])


def straight_to(flight: Flight, fix: Fix, start: int, stop: int) -> float | None:
    """How far off a fix's bearing the track was in the median after the turn to it [deg]; None where it is no
    direct."""
    off, away = _off_deg(flight, fix, start, stop)
    on = np.flatnonzero(np.abs(off) <= _ON_COURSE_DEG)
    if not on.size:
        return None
    first = int(on[0])
    last = first + _before_last_turn(flight, start + first, stop)
    usable = np.isfinite(off[first:last]) & (away[first:last] > _CLOSE_NM)
    if not usable.any():
        # All of it close in: the line alone decides.
        return 0.0 if float(away[first:].min()) <= DIRECT_PASSES_NM else None
    signed = off[first:last][usable]
    bias = float(np.median(np.abs(signed)))
    here = first + np.flatnonzero(usable)
    one, two = start + int(here[0]), start + int(here[-1])
    samples = flight.track.samples
    _, chord, _ = inverse(samples.lat_deg[one], samples.lon_deg[one], samples.lat_deg[two], samples.lon_deg[two])
    _, bearing, _ = inverse(samples.lat_deg[one], samples.lon_deg[one], fix.lat_deg, fix.lon_deg)
    slip = abs(float(turn_deg(float(bearing), float(chord)))) if two > one else abs(float(signed[0]))
    passes_nm = float(away[here[0]]) * np.sin(np.radians(min(slip, 90.0)))
    broken_off = float(away[first:].min()) > _CLOSE_NM
    straight = passes_nm <= DIRECT_PASSES_NM or (broken_off and slip <= DIRECT_PASSES_DEG)
    return bias if bias <= DIRECT_BIAS_DEG and straight else None


def _before_last_turn(flight: Flight, first: int, stop: int) -> int:
    """Samples from ``first`` to the turn that ends the straight part."""
    turns = [t.start for t in flight.turns if first + 1 < t.start < stop and abs(t.change_deg) >= 10.0]
    return max(2, (turns[0] if turns else stop) - first)


def _held(flight: Flight, epoch: Epoch, start: int, stop: int) -> bool:
    """Whether a hold's fix was come near to, or turned to until something else was said."""
    if epoch.hold is None:
        return True
    _, away = _off_deg(flight, epoch.hold, start, stop)
    superseded = stop < len(flight.track)
    return bool(away.min() <= HOLD_NEAR_NM) or (superseded and _toward(flight, epoch.hold, start, stop))


def _forbidden(flight: Flight, stretches: list[Stretch]) -> list[tuple[int, int, int]]:
    found: list[tuple[int, int, int]] = []
    for place, stretch in enumerate(stretches):
        state = flight.states[stretch.state]
        if state.kind is Kind.DIRECT and state.fix is not None and is_inferred(flight, stretches, place):
            if straight_to(flight, state.fix, stretch.start, stretch.stop) is None:
                found.append((stretch.state, stretch.start, stretch.stop))
        elif state.kind is Kind.LEG and _is_ghost(flight, stretch):
            about = flight.at(float(flight.time_s[stretch.start]) - GHOST_ABOUT_S)
            until = flight.at(float(flight.time_s[stretch.stop - 1]) + GHOST_ABOUT_S)
            found.append((stretch.state, about, until))
    return found


def _is_ghost(flight: Flight, stretch: Stretch) -> bool:
    """A leg of a moment, and never near its path: a step of the story that nobody flew."""
    leg = flight.states[stretch.state].leg
    lasts = duration_s(flight.flown_s, stretch.start, stretch.stop)
    if leg is None or leg.path is None or (stretch.stop - stretch.start >= GHOST_SAMPLES and lasts >= GHOST_S):
        return False
    here = slice(stretch.start, stretch.stop)
    place = leg.path.measure(flight.track.samples.lat_deg[here], flight.track.samples.lon_deg[here])
    along = (place.to_go_nm >= -GHOST_NM) & (place.to_go_nm <= leg.path.length_nm + GHOST_NM)
    return not bool((along & (np.abs(place.cross_track_nm) <= GHOST_NM)).any())
