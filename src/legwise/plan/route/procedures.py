"""Departures and arrivals: found by the name that a route has, taken apart into what is flown of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from legwise.model.navdata import CodedLeg, CodedProcedure, FixKey, NavData, ProcedureKind, ProcedurePart

_RUNWAY = re.compile(r"(?:RW|RWY|RUNWAY)? ?0?([0-9]{1,2})([LRCB]?)")
_SEVEN = re.compile(r"([A-Z]{4})[A-Z]([0-9][A-Z])")
_LEADS_TO = ("IF", "TF", "CF", "DF", "RF", "AF")
_MOST_LIKE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """Where a departure is left, or an arrival begun: by which en-route transition (None: without one), at which fix.

    ``fix`` is None where it ends without a fix, on a heading or on a course that air traffic control ends.
    ``on_the_way`` where it lies between: a departure is left there, an arrival joined.
    """

    transition: str | None
    fix: FixKey | None
    on_the_way: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RunwayPart:
    """The runway's part of a procedure; None where there is none, or none is chosen, which ``note`` then says."""

    part: ProcedurePart | None
    note: str = ""


def procedure_named(navdata: NavData, airport: str, name: str, kind: ProcedureKind) -> CodedProcedure | None:
    """The departure or arrival of an aerodrome that a route calls ``name``.

    A name of seven characters is coded in six, without the last letter of its word: BRAKO1A as BRAK1A (ARINC 424 field
    5.9, from memory).
    """
    found = navdata.procedure(airport, name, kind)
    seven = _SEVEN.fullmatch(name)
    if found is None and seven is not None:
        found = navdata.procedure(airport, seven[1] + seven[2], kind)
    return found


def procedures_like(navdata: NavData, airports: Sequence[str], name: str, kind: ProcedureKind) -> list[str]:
    """The names of the aerodromes' procedures most like ``name``."""
    known = [ident for airport in airports for ident in navdata.procedures(airport, kind)]
    return get_close_matches(name[:60], dict.fromkeys(known), n=_MOST_LIKE, cutoff=0.5)


def bare_runway(ident: str) -> str:
    """A runway as its number and letter: "RW09L", "RWY 9L" and "9L" are "9L"; what is no runway is given back."""
    match = _RUNWAY.fullmatch(ident.strip().upper())
    return f"{int(match[1])}{match[2]}" if match else ident


def runway_parts(procedure: CodedProcedure) -> tuple[ProcedurePart, ...]:
    """The parts that belong to runways."""
    return tuple(part for part in procedure.parts if part.place == "runway")


def part_for_runway(procedure: CodedProcedure, runway: str) -> ProcedurePart | None:
    """The part for a runway: of that very one, of all with its number ("RW04B"), of all runways ("ALL"); or None."""
    parts = {bare_runway(part.transition): part for part in reversed(runway_parts(procedure))}
    wanted = bare_runway(runway)
    both = wanted.rstrip("LRC") + "B"
    return parts.get(wanted) or parts.get(both) or parts.get("ALL") or parts.get("")


def chosen_runway_part(procedure: CodedProcedure, runway: str | None) -> RunwayPart:
    """The part for the runway in use; without a known one the only one there is, or none, and a note on what is taken.

    A runway that the procedure has no part for gives none, without a note: that is for the caller to refuse.
    """
    parts = runway_parts(procedure)
    if not parts:
        return RunwayPart(part=None)
    if runway is not None:
        return RunwayPart(part=part_for_runway(procedure, runway))
    if len(parts) == 1:
        return RunwayPart(part=parts[0])
    names = ", ".join(part.transition for part in parts[:6]) + (", ..." if len(parts) > 6 else "")
    key = "departure_runway" if procedure.kind is ProcedureKind.DEPARTURE else "arrival_runway"
    has_common = any(part.place == "common" for part in procedure.parts)
    taken = "only the part that all share was taken" if has_common else "none of its runway parts was taken"
    return RunwayPart(
        part=None,
        note=f"{procedure.ident} of {procedure.airport} has parts for {names}, and no runway is said: {taken} "
        f"([route] {key} says which).",
    )


def gates(procedure: CodedProcedure, runway_part: ProcedurePart | None) -> tuple[Gate, ...]:
    """Where the procedure may be left (a departure) or begun (an arrival): without a transition first, then by each."""
    departing = procedure.kind is ProcedureKind.DEPARTURE
    found = [Gate(transition=None, fix=_open_end(procedure, runway_part, departing))]
    for part in procedure.parts:
        if part.place == "fix":
            found.append(Gate(transition=part.transition, fix=_end_of(part.legs, departing)))
    return tuple(found)


def _open_end(procedure: CodedProcedure, runway_part: ProcedurePart | None, departing: bool) -> FixKey | None:
    """Where it is left or begun without a transition."""
    common = procedure.part("common")
    if common is not None:
        return _end_of(common.legs, departing)
    if runway_part is not None:
        return _end_of(runway_part.legs, departing)
    ends = {_end_of(part.legs, departing) for part in runway_parts(procedure)}
    return ends.pop() if len(ends) == 1 else None


def _end_of(legs: Sequence[CodedLeg], departing: bool) -> FixKey | None:
    if not legs:
        return None
    leg = legs[-1] if departing else legs[0]
    return leg.fix if leg.path in (*_LEADS_TO, "HF") or not departing else None


def gates_on_the_way(procedure: CodedProcedure, runway_part: ProcedurePart | None) -> tuple[Gate, ...]:
    """The fixes that the parts without a transition lead to, each of which a route may name instead of a gate."""
    keys = [leg.fix for legs in _flown_in_order(procedure, runway_part, None) for leg in legs if leg.path in _LEADS_TO]
    return tuple(Gate(transition=None, fix=key, on_the_way=True) for key in dict.fromkeys(keys) if key is not None)


def legs_flown(
    procedure: CodedProcedure, runway_part: ProcedurePart | None, gate: Gate
) -> tuple[tuple[CodedLeg, ...], ...]:
    """What is flown of a procedure that is left or begun at a gate: the legs of each of its parts, in order."""
    parts = _flown_in_order(procedure, runway_part, gate.transition)
    if not gate.on_the_way:
        return parts
    departing = procedure.kind is ProcedureKind.DEPARTURE
    for number, legs in enumerate(parts):
        for index, leg in enumerate(legs):
            if leg.fix == gate.fix and leg.path in _LEADS_TO:
                # What is asked for at the fix where an arrival is joined is asked for whatever leads there.
                joined = (replace(leg, path="IF"), *legs[index + 1 :])
                cut = (*parts[:number], legs[: index + 1]) if departing else (joined, *parts[number + 1 :])
                return tuple(part for part in cut if part)
    return parts


def _flown_in_order(
    procedure: CodedProcedure, runway_part: ProcedurePart | None, transition: str | None
) -> tuple[tuple[CodedLeg, ...], ...]:
    by_fix = procedure.part("fix", transition) if transition is not None else None
    parts = [runway_part, procedure.part("common"), by_fix]
    if procedure.kind is ProcedureKind.ARRIVAL:
        parts.reverse()
    return tuple(part.legs for part in parts if part is not None and part.legs)
