"""Procedure records as procedures: parts by route type and transition, legs in order, continuations by key."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from legwise.model.navdata import CodedLeg, CodedProcedure, ProcedureKind, ProcedurePart
from legwise.navdata.columns import LAYOUTS, LEVELS_OF_SERVICE, section_of
from legwise.navdata.legs import leg_of
from legwise.navdata.records import Problems, Record, decoded_records, is_primary, left_out
from legwise.navdata.wording import shown

Place = Literal["runway", "common", "fix", "final"]
KINDS: Final = {
    "PD": ProcedureKind.DEPARTURE,
    "PE": ProcedureKind.ARRIVAL,
    "PF": ProcedureKind.APPROACH,
}
SECTIONS: Final = {kind: section for section, kind in KINDS.items()}
# Route types, field 5.7 (a public list of the standard's codes): plain, RNAV, flight management, vectors; of arrivals
# also profile descents. An engine-out departure (0) belongs to a runway.
_PLACES: Final[dict[ProcedureKind, dict[str, Place]]] = {
    ProcedureKind.DEPARTURE: {
        **dict.fromkeys("014FT", "runway"), **dict.fromkeys("25M", "common"), **dict.fromkeys("36SV", "fix"),
    },
    ProcedureKind.ARRIVAL: {
        **dict.fromkeys("147F", "fix"), **dict.fromkeys("258M", "common"), **dict.fromkeys("369S", "runway"),
    },
}  # fmt: skip
_APPROACH_TRANSITION: Final = "A"
_MISSED_APPROACH: Final = "Z"
_ENGINE_OUT: Final = "0"
_LEVELS_APPLICATION: Final = "W"
_RUNWAY_IN_IDENT = re.compile(r"[A-Z](0[1-9]|[12][0-9]|3[0-6])(?![0-9])([LRC]?)", re.ASCII)

_Key = tuple[str, str]


@dataclass(slots=True)
class _Part:
    route_type: str
    transition: str
    legs: dict[int, CodedLeg] = field(default_factory=dict)
    """By sequence number."""


def procedure_of(
    airport: str, ident: str, kind: ProcedureKind, records: Sequence[Record], problems: Problems
) -> CodedProcedure | None:
    """The procedure of these records, None where none of them holds a leg.

    What is wrong goes to ``problems``, which is empty before.
    """
    parts: dict[_Key, _Part] = {}
    for _section, record, decoded in decoded_records(records, problems):
        _add_leg(parts, decoded.values, decoded.faults, record.line, kind, problems)
    levels = _levels(records, parts, problems)
    made = _ordered(parts, kind, problems)
    if not made:
        return None
    main = next((part for part in made if part.place in ("common", "final")), made[0])
    return CodedProcedure(
        airport=airport,
        ident=ident,
        kind=kind,
        route_type=main.route_type,
        runway=_runway(ident) if kind == ProcedureKind.APPROACH else "",
        levels=levels,
        parts=made,
        problems=problems.kept(),
    )


def _add_leg(
    parts: dict[_Key, _Part],
    values: Any,
    faults: Sequence[str],
    line: int,
    kind: ProcedureKind,
    problems: Problems,
) -> None:
    found = list(faults)
    leg = leg_of(values, line, is_approach=kind == ProcedureKind.APPROACH, faults=found)
    if leg is None:
        problems.add(line, ("record not used: " + "; ".join(found),))
        return
    problems.add(line, left_out(found))
    key = (values["route_type"], values["transition"])
    part = parts.setdefault(key, _Part(*key))
    twin = part.legs.setdefault(leg.sequence, leg)
    if twin is not leg:
        problems.add(line, (f"record not used: repeats sequence number {leg.sequence:03} of line {twin.line}",))


def _ordered(parts: dict[_Key, _Part], kind: ProcedureKind, problems: Problems) -> tuple[ProcedurePart, ...]:
    """The parts in the order of the file, engine-out ones last; a missed approach of its own joins its final."""
    made: list[ProcedurePart] = []
    missed_legs: list[CodedLeg] = []
    for part in sorted(parts.values(), key=lambda part: part.route_type == _ENGINE_OUT):
        legs = [part.legs[sequence] for sequence in sorted(part.legs)]
        place = _place(kind, part.route_type)
        if place is None:
            problems.add(
                legs[0].line, (f"records not used: {shown(part.route_type)} (column 20) is no route type here",)
            )
        elif kind == ProcedureKind.APPROACH and part.route_type == _MISSED_APPROACH:
            missed_legs += (_missed(leg, True) for leg in legs)
        else:
            first = _first_missed(legs) if place == "final" else len(legs)
            legs = [_missed(leg, number >= first) for number, leg in enumerate(legs)]
            made.append(ProcedurePart(
                place=place, route_type=part.route_type, transition=part.transition, legs=tuple(legs)
            ))  # fmt: skip
    if missed_legs:
        made = _joined(made, missed_legs)
    return tuple(made)


def _joined(made: list[ProcedurePart], missed: list[CodedLeg]) -> list[ProcedurePart]:
    final = next((number for number, part in enumerate(made) if part.place == "final"), None)
    if final is None:
        return [
            *made, ProcedurePart(place="final", route_type=_MISSED_APPROACH, transition="", legs=tuple(missed))
        ]  # fmt: skip
    made[final] = replace(made[final], legs=(*made[final].legs, *missed))
    return made


def _place(kind: ProcedureKind, route_type: str) -> Place | None:
    if kind == ProcedureKind.APPROACH:
        return "fix" if route_type == _APPROACH_TRANSITION else "final"
    return _PLACES[kind].get(route_type)


def _first_missed(legs: list[CodedLeg]) -> int:
    """Where the missed approach begins in a final: at the leg that says so, else after the missed approach point."""
    first = next((number for number, leg in enumerate(legs) if leg.is_missed), None)
    if first is not None:
        return first
    return next((number for number, leg in enumerate(legs) if leg.role == "MAP"), len(legs)) + 1


def _missed(leg: CodedLeg, is_missed: bool) -> CodedLeg:
    return leg if leg.is_missed == is_missed else replace(leg, is_missed=is_missed)


def _levels(records: Sequence[Record], parts: dict[_Key, _Part], problems: Problems) -> tuple[str, ...]:
    """The lines of minima that continuations authorise; one that continues no leg is a problem."""
    sequences = {(*key, sequence) for key, part in parts.items() for sequence in part.legs}
    if len(sequences) == len(records):
        return ()  # every record is a leg, which is so of nearly all
    levels: dict[str, None] = {}
    for record in records:
        columns = record.columns
        section = section_of(columns)
        if is_primary(section, columns):
            continue
        number = columns[26:29].strip()
        key = (columns[19].strip(), columns[20:25].strip(), int(number) if number.isdecimal() else -1)
        if key not in sequences:
            problems.add(record.line, ("record not used: it continues no leg of the procedure",))
        elif columns[LAYOUTS[section].continuation] == _LEVELS_APPLICATION:
            levels |= dict.fromkeys(
                columns[first - 1 : last].strip()
                for flag, first, last in LEVELS_OF_SERVICE
                if columns[flag - 1] == "A" and columns[first - 1 : last].strip()
            )
    return tuple(levels)


def _runway(ident: str) -> str:
    match = _RUNWAY_IN_IDENT.match(ident)
    return f"RW{match[1]}{match[2]}" if match else ""
