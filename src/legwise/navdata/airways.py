"""Airway records as stretches of fixes that are joined each to the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from legwise.model.navdata import AirwayPoint, CodedAirway, FixKey
from legwise.navdata.legs import named_fix
from legwise.navdata.records import Problems, Record, decoded_records, left_out
from legwise.navdata.wording import shown

_STEP: Final = 10
"""The sequence numbers of an airway go up by ten (public file); one that was put in later stands between."""
_AGREES_NM: Final = 0.5
"""How far a coded distance may stand off the computed one, for fixes to be neighbours though numbers are missing.

In the public excerpt 60 of 60 neighbours by number agree within 0.15 NM, and none of 101 cuts within 3 NM.
"""
_DIRECTIONS: Final[dict[str, Literal["forward", "backward"]]] = {"F": "forward", "B": "backward"}

Distance = Callable[[FixKey, FixKey], float | None]
"""Nautical miles between two fixes, None where one is not known."""


@dataclass(frozen=True, slots=True)
class _Coded:
    area: str
    point: AirwayPoint
    distance_nm: float | None


def airway_points(records: Sequence[Record], problems: Problems) -> list[list[_Coded]]:
    """The points of an airway's records: those of each area in the order of their sequence numbers."""
    areas: dict[str, list[_Coded]] = {}
    for _section, record, decoded in decoded_records(records, problems):
        values = decoded.values
        faults = list(decoded.faults)
        fix = named_fix(values["fix"], values["fix_region"], values["fix_section"], "", faults)
        problems.add(record.line, left_out(faults))
        if values["direction"] not in ("", *_DIRECTIONS):
            problems.add(record.line, (f"{shown(values['direction'])} (column 47) is no direction",))
        if fix is None:
            continue
        point = AirwayPoint(
            fix=fix,
            sequence=int(values["sequence"]),
            line=record.line,
            direction=_DIRECTIONS.get(values["direction"]),
            ends_segment=values["description"][1] == "E",
            minimum_ft=values["minimum"],
            maximum_ft=values["maximum"],
        )
        areas.setdefault(values["area"], []).append(_Coded(values["area"], point, values["distance"]))
    for points in areas.values():
        points.sort(key=lambda coded: (coded.point.sequence, coded.point.line))
    return list(areas.values())


def airway_stretches(ident: str, records: Sequence[Record], distance_nm: Distance) -> tuple[CodedAirway, ...]:
    """The stretches of an airway: it ends where its records say so, and where points between are missing.

    Points are missing where the sequence number goes up by more than ten and the coded distance to the next point is
    not the one between the two fixes. The last point of each stretch ends its segment.
    """
    stretches: list[CodedAirway] = []
    for points in airway_points(records, Problems()):
        current: list[AirwayPoint] = []
        for coded, following in zip(points, [*points[1:], None], strict=True):
            current.append(coded.point)
            if following is None or not _are_joined(coded, following, distance_nm):
                current[-1] = replace(current[-1], ends_segment=True)
                stretches.append(CodedAirway(ident=ident, points=tuple(current)))
                current = []
    return tuple(stretches)


def _are_joined(one: _Coded, following: _Coded, distance_nm: Distance) -> bool:
    if one.point.ends_segment or following.point.sequence == one.point.sequence:
        return False
    if following.point.sequence - one.point.sequence <= _STEP:
        return True
    computed_nm = distance_nm(one.point.fix, following.point.fix)
    if computed_nm is None or one.distance_nm is None:
        return False
    return abs(computed_nm - one.distance_nm) <= _AGREES_NM
