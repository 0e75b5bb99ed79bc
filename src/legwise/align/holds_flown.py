"""The holds of a flight: when each was entered and left, by which entry, and its circuits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from legwise.align.about_fix import About, about_fix, at_moment, passage_at, passages
from legwise.align.circuits import circuits_of
from legwise.align.entries import arrival_deg_true, entry_flown
from legwise.align.flight import Flight, Stretch
from legwise.align.hold_terms import HoldTerms, terms_of_leg, terms_said
from legwise.align.states import HOLDS, Kind
from legwise.align.words import clock
from legwise.geodesy import hold_entry, inverse, turn_deg
from legwise.model.alignment import Fact
from legwise.model.manoeuvres import FlownHold

OVER_NM = 2.0
"""A hold is entered over its fix, or within this of it: farther away the log began in it. Our choice."""
BEFORE_S, BEYOND_S = 30.0, 20.0
"""How much of the track on arrival and after leaving is looked at."""
LEFT_S = 60.0
"""Who is told to have left within a minute of the fix, and never turned outbound, left at the fix."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlownHolds:
    """The holds in the order flown, facts about them, and notes on what was taken for granted."""

    holds: tuple[FlownHold, ...]
    facts: tuple[Fact, ...]
    notes: tuple[str, ...]


def flown_holds(flight: Flight, stretches: list[Stretch]) -> FlownHolds:
    """Every hold that was said or is one of the plan's legs."""
    holds: list[FlownHold] = []
    facts: list[Fact] = []
    notes: list[str] = []
    for stretch in _together(flight, stretches):
        state = flight.states[stretch.state]
        if state.leg is not None:
            terms = terms_of_leg(state.leg)
        else:
            terms = terms_said(flight, state.fix, stretch) if state.fix is not None else None
        if terms is None:
            notes.append(
                f"A hold at {state.end_ident} from {clock(float(flight.time_s[stretch.start]))} on: its course was "
                "neither said nor published, and it was not flown round once, so nothing is told of it."
            )
            continue
        hold, told = _hold(flight, stretch, terms)
        holds.append(hold)
        facts += told
        notes += [terms.note] if terms.note else []
    return FlownHolds(holds=tuple(holds), facts=tuple(facts), notes=tuple(dict.fromkeys(notes)))


def _together(flight: Flight, stretches: list[Stretch]) -> list[Stretch]:
    """The stretches in holds, those on end in the same one as one."""
    found: list[Stretch] = []
    for stretch in stretches:
        state = flight.states[stretch.state]
        if state.kind is not Kind.HOLD and (state.leg is None or state.leg.kind not in HOLDS):
            continue
        before = found[-1] if found else None
        goes_on = before is not None and before.stop == stretch.start and not flight.begins_part(stretch.start)
        if before is not None and goes_on and _same(flight, before, stretch):
            found[-1] = replace(before, stop=stretch.stop)
        else:
            found.append(stretch)
    return found


def _same(flight: Flight, before: Stretch, stretch: Stretch) -> bool:
    """The same state, and no other hold said in between."""
    if before.state != stretch.state:
        return False
    return before.epoch == stretch.epoch or flight.epochs[stretch.epoch].kind != "hold"


def _hold(flight: Flight, stretch: Stretch, terms: HoldTerms) -> tuple[FlownHold, list[Fact]]:
    first, last = flight.part(stretch.start)
    low = max(first, flight.at(float(flight.time_s[stretch.start]) - BEFORE_S))
    high = min(last, flight.at(float(flight.time_s[stretch.stop - 1]) + BEYOND_S) + 1)
    about = about_fix(flight, terms.fix, terms.inbound_deg_true, low, max(high, stretch.stop))
    entered = _entered(flight, stretch, terms)
    passed = passages(about, entered if entered is not None else float(stretch.start))
    entry = None
    if entered is not None:
        back = passed[0] if passed else None
        entry = entry_flown(about, terms.turn, terms.inbound_deg_true, entered, back)
    begins = [entered, *passed] if entry == "direct" and entered is not None else passed
    goes_on = stretch.stop >= len(flight.track) or flight.begins_part(stretch.stop)
    hold = FlownHold(
        fix=terms.fix,
        turn=terms.turn,
        inbound_course_deg_true=terms.inbound_deg_true,
        inbound_course_deg_mag=terms.inbound_deg_mag,
        inbound_path=about.path,
        taken_from=terms.taken_from,
        entry=entry,
        entered_s=at_moment(flight.time_s, entered if entered is not None else float(stretch.start)),
        left_s=_left_s(about, stretch, passed, goes_on=goes_on),
        start=stretch.start,
        stop=stretch.stop,
        circuits=circuits_of(about, begins),
        goes_on=goes_on,
        planned=terms.planned,
    )
    return hold, [*_entry_fact(about, hold, entered), *_side_fact(about, hold)]


def _entered(flight: Flight, stretch: Stretch, terms: HoldTerms) -> float | None:
    """The moment of the first passage; None where the stretch does not begin over the fix."""
    away, _, _ = inverse(*flight.position(stretch.start), terms.fix.lat_deg, terms.fix.lon_deg)
    return passage_at(flight, terms.fix, stretch.start) if float(away) <= OVER_NM else None


def _left_s(about: About, stretch: Stretch, passed: list[float], *, goes_on: bool) -> float:
    """When it was left: at the fix where the aircraft went on from there, else where the next stretch begins."""
    flight = about.flight
    if goes_on:
        return float(flight.time_s[stretch.stop - 1])
    left_s = float(flight.time_s[stretch.stop])
    if passed:
        after_s = float(flight.flown_s[stretch.stop]) - at_moment(flight.flown_s, passed[-1])
        turned_out = about.is_outbound[max(int(passed[-1]) - about.low, 0) : stretch.stop - about.low].any()
        if after_s <= LEFT_S and not turned_out:
            return at_moment(flight.time_s, passed[-1])
    return left_s


def _entry_fact(about: About, hold: FlownHold, entered: float | None) -> list[Fact]:
    """The entry flown, with the sector's where that is another."""
    arrival = arrival_deg_true(about, entered) if entered is not None else None
    if hold.entry is None or arrival is None:
        return []
    owed = hold_entry(hold.inbound_course_deg_true, hold.turn, arrival)
    words = f"Hold at {hold.fix.ident}: {hold.entry} entry"
    if hold.entry not in owed.acceptable:
        words += f"; by the track on arrival ({arrival:03.0f}° true) the sector is {owed.name}"
    return [Fact(time_s=hold.entered_s, text=words + ".")]


def _side_fact(about: About, hold: FlownHold) -> list[Fact]:
    """Circuits flown to the other side than the one owed."""
    side = 1.0 if hold.turn == "right" else -1.0
    time_s = about.flight.time_s[about.low : about.low + len(about)]
    wrong = 0
    for circuit in hold.circuits:
        inside = about.off_deg[(time_s >= circuit.start_s) & (time_s <= circuit.end_s)]
        wrong += float(np.sum(turn_deg(inside[:-1], inside[1:]))) * side < 0.0
    if not wrong or 2 * wrong < len(hold.circuits):
        return []
    other = "left" if hold.turn == "right" else "right"
    return [
        Fact(
            time_s=hold.circuits[0].start_s,
            text=f"Hold at {hold.fix.ident}: flown with {other} turns, {hold.turn} turns were {hold.taken_from}.",
        )
    ]
