"""A route as a chain: points that each may mean several places, and how one leads to the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from legwise.errors import PlanError
from legwise.model.navdata import FixKey, ProcedureKind
from legwise.model.route_text import RouteElement
from legwise.plan.fixes.places import Place, shown
from legwise.plan.route.airways import Stretch
from legwise.plan.route.procedures import Gate, RunwayPart, chosen_runway_part, gates, gates_on_the_way, runway_parts
from legwise.plan.route.written import AirwayItem, DirectItem, Item, PointItem, ProcedureItem, RouteWords

_MOST_NAMED = 5
_MOST_CROSSINGS = 100


@dataclass(slots=True, kw_only=True)
class Node:
    """A point of the chain. ``crossing`` where two airways meet and the route names no fix.

    ``places`` are those that are left of those that its ident may have ``meant``, for the ``reason`` in words.
    """

    element: RouteElement
    places: tuple[Place, ...]
    crossing: bool = False
    meant: tuple[Place, ...] = ()
    reason: str = "the nearest to the route"


@dataclass(slots=True, kw_only=True)
class Procedure:
    """A departure or an arrival on the chain; ``gates`` are those that may be meant, ``node`` where the chain has it.

    ``node`` is None where the procedure is left or begun at no fix. It is flown before node ``after``, or at the end.
    """

    item: ProcedureItem
    runway: RunwayPart
    gates: tuple[Gate, ...]
    node: int | None = None
    after: int = 0


@dataclass(slots=True, kw_only=True)
class Chain:
    """Nodes, and the airway from each to the next (None: direct, or along a procedure). ``links[k]`` leads from node k.

    A departure leads to its gate's node, an arrival begins at its own.
    """

    nodes: list[Node] = field(default_factory=list)
    links: list[AirwayItem | None] = field(default_factory=list)
    departure: Procedure | None = None
    arrival: Procedure | None = None


def chain_of(
    items: Sequence[Item],
    words: RouteWords,
    *,
    runways: dict[ProcedureKind, str | None],
    place_of: Callable[[FixKey, RouteElement], Place],
) -> Chain:
    """The chain of a route's elements.

    ``runways`` are those in use, where known. ``place_of`` gives the fix that a record names, for where the route names
    none itself; it raises PlanError.

    Raises
    ------
    PlanError
        An airway that is not joined or left at a fix; two airways with no fix in common; a runway that the procedure
        has no part for.
    """
    return _Builder(words, runways, place_of).built(items)


def holds(place: Place, key: FixKey | None) -> bool:
    """Whether a place is the fix that a record names."""
    if key is None:
        return False
    return key in place.keys if place.keys else place.fix.ident == key.ident


class _Builder:
    def __init__(
        self,
        words: RouteWords,
        runways: dict[ProcedureKind, str | None],
        place_of: Callable[[FixKey, RouteElement], Place],
    ) -> None:
        self._words = words
        self._runways = runways
        self._place = place_of
        self._chain = Chain()
        self._airway: AirwayItem | None = None

    def built(self, items: Sequence[Item]) -> Chain:
        for number, item in enumerate(items):
            before = items[number - 1] if number else None
            after = items[number + 1] if number + 1 < len(items) else None
            if isinstance(item, PointItem):
                self._point(item.element, item.places)
            elif isinstance(item, AirwayItem):
                self._take(item, before, after)
            elif isinstance(item, ProcedureItem):
                if item.procedure.kind is ProcedureKind.DEPARTURE:
                    self._depart(item, after)
                else:
                    self._arrive(item, items, number)
        return self._chain

    def _point(self, element: RouteElement, places: tuple[Place, ...], *, crossing: bool = False) -> None:
        chain = self._chain
        if chain.nodes:
            chain.links.append(self._airway)
        self._airway = None
        chain.nodes.append(Node(element=element, places=places, crossing=crossing, meant=places))

    def _take(self, item: AirwayItem, before: Item | None, after: Item | None) -> None:
        """An airway: from the last point, or from where the airway before it crosses it."""
        name = shown(item.element.text)
        if before is None or isinstance(before, DirectItem) or not self._chain.nodes:
            raise self._words.error(
                item.element, f"the airway {name} is joined at no fix", "Write the fix where it is joined before it."
            )
        if after is None or isinstance(after, DirectItem):
            raise self._words.error(
                item.element, f"the airway {name} is left at no fix", "Write the fix where it is left after it."
            )
        if self._airway is not None:
            if self._airway.element.text == item.element.text:
                raise self._words.error(item.element, f"the airway {name} stands twice in a row", "Leave one out.")
            self._point(item.element, self._crossings(self._airway, item), crossing=True)
        self._airway = item

    def _crossings(self, one: AirwayItem, other: AirwayItem) -> tuple[Place, ...]:
        """The fixes that two airways have in common."""
        keys = [point.fix for stretch in one.stretches for point in stretch.airway.points]
        common = {key for stretch in other.stretches for key in stretch.by_key}
        found = [key for key in dict.fromkeys(keys) if key in common]
        if not found:
            names = f"{shown(one.element.text)} and {shown(other.element.text)}"
            raise self._words.error(
                other.element,
                f"the airways {names} have no fix in common",
                f"Write where {shown(one.element.text)} is left and where {shown(other.element.text)} is joined.",
            )
        if len(found) > _MOST_CROSSINGS:
            raise several_crossings(self._words, one, other, [key.ident for key in found])
        return tuple(self._place(key, other.element) for key in found)

    def _runway_part(self, item: ProcedureItem) -> RunwayPart:
        procedure = item.procedure
        runway = self._runways.get(procedure.kind)
        chosen = chosen_runway_part(procedure, runway)
        parts = runway_parts(procedure)
        if runway is not None and parts and chosen.part is None:
            raise self._words.error(
                item.element,
                f"{shown(procedure.ident)} of {shown(procedure.airport)} has no part for runway {shown(runway)}",
                f"It has {', '.join(shown(part.transition) for part in parts[:_MOST_NAMED])}.",
            )
        return chosen

    def _depart(self, item: ProcedureItem, after: Item | None) -> None:
        runway = self._runway_part(item)
        found = gates(item.procedure, runway.part)
        chosen = self._gates_toward(item, found, after)
        departure = Procedure(item=item, runway=runway, gates=chosen, after=len(self._chain.nodes))
        self._chain.departure = departure
        if isinstance(after, PointItem) and _narrowed(after.places, chosen):
            departure.node = len(self._chain.nodes)  # the point that follows is the gate itself
            return
        places = [self._place(gate.fix, item.element) for gate in chosen if gate.fix is not None]
        if places:
            self._point(item.element, tuple(places))
            departure.node = len(self._chain.nodes) - 1

    def _arrive(self, item: ProcedureItem, items: Sequence[Item], number: int) -> None:
        before = next((other for other in reversed(items[:number]) if not isinstance(other, DirectItem)), None)
        runway = self._runway_part(item)
        found = gates(item.procedure, runway.part)
        arrival = Procedure(item=item, runway=runway, gates=self._gates_toward(item, found, before))
        self._chain.arrival = arrival
        nodes = self._chain.nodes
        if isinstance(before, PointItem) and nodes and _narrowed(before.places, arrival.gates):
            arrival.node, arrival.after = len(nodes) - 1, len(nodes)
            return
        places = [self._place(gate.fix, item.element) for gate in arrival.gates if gate.fix is not None]
        if places:
            self._point(item.element, tuple(places))
            arrival.node = len(nodes) - 1
        arrival.after = len(nodes)

    def _gates_toward(self, item: ProcedureItem, found: tuple[Gate, ...], other: Item | None) -> tuple[Gate, ...]:
        """The gates that the route's neighbour on that side means; the open one where it means none."""
        if isinstance(other, PointItem):
            ident = other.element.text
            fitting = [gate for gate in found if any(holds(place, gate.fix) for place in other.places)]
            # A transition is named by its fix, which need not be where the route goes on from.
            fitting = fitting or [gate for gate in found if gate.transition == ident]
            if not fitting:
                passed = gates_on_the_way(item.procedure, self._runway_part(item).part)
                fitting = [gate for gate in passed if any(holds(place, gate.fix) for place in other.places)]
            return _open_first(fitting) or found[:1]
        if isinstance(other, AirwayItem):
            fitting = [gate for gate in found if _on_airway(gate, other.stretches)]
            if not fitting:
                raise self._words.error(
                    other.element,
                    f"no fix where {shown(item.procedure.ident)} {_met(item)} is on the airway "
                    f"{shown(other.element.text)}",
                    f"It {_met(item)} at {_names(found)}. Write the fix between them.",
                )
            best = _open_first(fitting)
            if len({gate.fix for gate in best}) > 1:
                raise self._words.error(
                    item.element,
                    f"{shown(item.procedure.ident)} {_met(item)} at more than one fix of "
                    f"{shown(other.element.text)}: {_names(best)}",
                    "Write the one that is meant between them.",
                )
            return best
        if isinstance(other, ProcedureItem):
            theirs = {gate.fix for gate in gates(other.procedure, self._runway_part(other).part)} - {None}
            return _open_first([gate for gate in found if gate.fix in theirs])[:1] or found[:1]
        return found[:1]


def _open_first(fitting: Sequence[Gate]) -> tuple[Gate, ...]:
    """The gate without a transition where it fits, else all that fit."""
    without = tuple(gate for gate in fitting if gate.transition is None)
    return without or tuple(fitting)


def _narrowed(places: Sequence[Place], found: Sequence[Gate]) -> bool:
    return any(holds(place, gate.fix) for place in places for gate in found)


def _on_airway(gate: Gate, stretches: Sequence[Stretch]) -> bool:
    return gate.fix is not None and any(gate.fix in stretch.by_key for stretch in stretches)


def _met(item: ProcedureItem) -> str:
    return "ends" if item.procedure.kind is ProcedureKind.DEPARTURE else "begins"


def _names(found: Sequence[Gate]) -> str:
    names = [shown(ident) for ident in dict.fromkeys(gate.fix.ident for gate in found if gate.fix is not None)]
    return ", ".join(names[:_MOST_NAMED]) + (", ..." if len(names) > _MOST_NAMED else "") or "no fix"


def several_crossings(words: RouteWords, one: AirwayItem, other: AirwayItem, idents: Sequence[str]) -> PlanError:
    """The error for two airways that have several fixes in common, where the route names none of them."""
    names = ", ".join(shown(ident) for ident in idents[:_MOST_NAMED]) + (", ..." if len(idents) > _MOST_NAMED else "")
    return words.error(
        other.element,
        f"the airways {shown(one.element.text)} and {shown(other.element.text)} have more than one fix in common: "
        f"{names}",
        "Write the one where the route changes between them.",
    )
