"""Navigation data read from a file of records: the protocol of the model over a store."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from legwise.model.navdata import (
    CodedAirport,
    CodedAirway,
    CodedFix,
    CodedLocalizer,
    CodedPathPoint,
    CodedProcedure,
    CodedRunway,
    FixKey,
    NavDataSummary,
    ProcedureKind,
    Section,
)
from legwise.navdata.airways import airway_stretches
from legwise.navdata.nearest import nearest_in
from legwise.navdata.points import POINT_MAKERS
from legwise.navdata.procedures import SECTIONS, procedure_of
from legwise.navdata.records import Problems, decoded_records
from legwise.navdata.store import Store


@dataclass(frozen=True, slots=True)
class _Named:
    """What has an ident. ``lone_stations`` are the VHF navaids, by region, that no other there shares it with.

    A record names the DME of an ILS without its aerodrome: it is meant where it is the only one.
    """

    fixes: tuple[CodedFix, ...]
    by_key: Mapping[FixKey, CodedFix]
    lone_stations: Mapping[str, CodedFix]


class CodedNavData:
    """Answers are decoded from the records when asked for, the same from whatever store they come."""

    def __init__(self, store: Store, summary: NavDataSummary) -> None:
        self._store = store
        self._summary = summary
        self._made: dict[str, tuple[Any, ...]] = {}
        self._idents: dict[str, _Named] = {}
        self._ends: dict[str, Mapping[FixKey, CodedFix]] = {}

    @property
    def summary(self) -> NavDataSummary:
        """What was read."""
        return self._summary

    def fixes(self, ident: str) -> Sequence[CodedFix]:
        """Aerodromes, navaids and waypoints of that ident, in the order of the file."""
        return self._named(ident).fixes

    def fix(self, key: FixKey) -> CodedFix | None:
        """The fix that a record names; the first where the file has several of that key."""
        if key.section == Section.RUNWAY:
            return self._by_key(f"runway\t{key.airport}").get(key)
        if key.section == Section.LOCALIZER:
            return self._by_key(f"localizer\t{key.airport}").get(key)
        named = self._named(key.ident)
        if key.section in (Section.TERMINAL_WAYPOINT, Section.TERMINAL_NDB):
            return named.by_key.get(key)
        if key.section == Section.VHF_NAVAID:
            return named.by_key.get(key) or named.lone_stations.get(key.region)
        return named.by_key.get(replace(key, airport=""))

    def airport(self, ident: str) -> CodedAirport | None:
        """The aerodrome of that ident."""
        return next(iter(self._group(f"airport\t{ident}")), None)

    def runway(self, airport: str, ident: str) -> CodedRunway | None:
        """A runway end of an aerodrome: "RW27"."""
        return next((end for end in self.runways(airport) if end.fix.ident == ident), None)

    def runways(self, airport: str) -> Sequence[CodedRunway]:
        """All runway ends of an aerodrome."""
        return self._group(f"runway\t{airport}")

    def localizer(self, airport: str, ident: str) -> CodedLocalizer | None:
        """A localizer of an aerodrome by its ident."""
        return next((found for found in self._group(f"localizer\t{airport}") if found.fix.ident == ident), None)

    def path_point(self, airport: str, procedure: str) -> CodedPathPoint | None:
        """The final approach segment data of a procedure."""
        return next((point for point in self._group(f"path-point\t{airport}") if point.procedure == procedure), None)

    def airways(self, ident: str) -> Sequence[CodedAirway]:
        """The stretches of an airway."""
        key = f"airway\t{ident}"
        if key not in self._made:
            self._made[key] = airway_stretches(ident, self._store.records(key), self._distance_nm)
        return self._made[key]

    def procedure(self, airport: str, ident: str, kind: ProcedureKind) -> CodedProcedure | None:
        """A procedure of an aerodrome by its coded ident."""
        key = f"procedure\t{airport}\t{SECTIONS[kind]}\t{ident}"
        if key not in self._made:
            records = self._store.records(key)
            self._made[key] = (procedure_of(airport, ident, kind, records, Problems()) if records else None,)
        found: CodedProcedure | None = self._made[key][0]
        return found

    def procedures(self, airport: str, kind: ProcedureKind) -> Sequence[str]:
        """The idents of an aerodrome's procedures of a kind, sorted."""
        prefix = f"procedure\t{airport}\t{SECTIONS[kind]}\t"
        return tuple(key[len(prefix) :] for key in self._store.keys(prefix))

    def nearest_idents(self, ident: str, kind: Literal["fix", "airport", "airway"], most: int = 3) -> Sequence[str]:
        """The known idents most like ``ident``, best first."""
        prefixes = ("fix\t", "airport\t") if kind == "fix" else (f"{kind}\t",)
        return tuple(nearest_in(self._store, prefixes, ident, most))

    def _group(self, key: str) -> tuple[Any, ...]:
        if key not in self._made:
            self._made[key] = tuple(self._decoded(key))
        return self._made[key]

    def _decoded(self, key: str) -> Iterator[Any]:
        for section, record, decoded in decoded_records(self._store.records(key), Problems()):
            made = POINT_MAKERS[section](decoded.values, record.line)
            if made is not None:
                yield made

    def _distance_nm(self, one: FixKey, other: FixKey) -> float | None:
        # Imported here: most questions need no geodesy.
        from legwise.geodesy import inverse

        start, end = self.fix(one), self.fix(other)
        if start is None or end is None:
            return None
        return float(inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)[0])

    def _named(self, ident: str) -> _Named:
        if ident not in self._idents:
            aerodromes = [airport.fix for airport in self._group(f"airport\t{ident}")]
            self._idents[ident] = _named([*aerodromes, *self._group(f"fix\t{ident}")])
        return self._idents[ident]

    def _by_key(self, group: str) -> Mapping[FixKey, CodedFix]:
        if group not in self._ends:
            self._ends[group] = _first_by_key([made.fix for made in self._group(group)])
        return self._ends[group]


def _named(fixes: Sequence[CodedFix]) -> _Named:
    stations: dict[str, list[CodedFix]] = {}
    by_key = _first_by_key(fixes)
    for fix in by_key.values():
        if fix.key.section == Section.VHF_NAVAID:
            stations.setdefault(fix.key.region, []).append(fix)
    return _Named(
        fixes=tuple(sorted(fixes, key=lambda fix: fix.line)),
        by_key=by_key,
        lone_stations={region: found[0] for region, found in stations.items() if len(found) == 1},
    )


def _first_by_key(fixes: Sequence[CodedFix]) -> dict[FixKey, CodedFix]:
    found: dict[FixKey, CodedFix] = {}
    for fix in fixes:
        found.setdefault(fix.key, fix)
    return found
