"""What the airways and procedures at a point leave of the places that its ident may mean."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from legwise.errors import PlanError
from legwise.plan.fixes.places import Place, shown
from legwise.plan.route.chain import Chain, Node, holds, several_crossings
from legwise.plan.route.written import AirwayItem, RouteWords

NearOnAirway = Callable[[AirwayItem, Place], Sequence[str]]
"""Names the fixes of an airway nearest to a place, for messages."""


def narrow(chain: Chain, words: RouteWords, near: NearOnAirway) -> None:
    """Leave each point only the places that the airways and procedures at it allow.

    Raises
    ------
    PlanError
        An airway that does not hold the point where it is joined or left, or does not lead from one to the other; two
        airways with more than one fix in common.
    """
    for procedure in (chain.departure, chain.arrival):
        if procedure is not None and procedure.node is not None:
            node = chain.nodes[procedure.node]
            fitting = tuple(p for p in node.places if any(holds(p, gate.fix) for gate in procedure.gates))
            _leave(node, fitting or node.places, f"the one of {procedure.item.element.text}")
    # What one airway rules out at a point may leave another nothing to lead to: there and back settles a chain.
    there = range(len(chain.links))
    for number in (*there, *reversed(there)):
        airway = chain.links[number]
        if airway is not None:
            _narrow_ends(chain.nodes[number], chain.nodes[number + 1], airway, words, near)
    for number, node in enumerate(chain.nodes):
        one, other = (chain.links[number - 1], chain.links[number]) if node.crossing else (None, None)
        if one is not None and other is not None and len(node.places) > 1:
            raise several_crossings(words, one, other, [place.fix.ident for place in node.places])


def _narrow_ends(start: Node, end: Node, airway: AirwayItem, words: RouteWords, near: NearOnAirway) -> None:
    for node, word in ((start, "joined"), (end, "left")):
        if not any(stretch.holds(place) for stretch in airway.stretches for place in node.places):
            raise _not_on_it(node, word, airway, words, near)
    joins: set[int] = set()
    leaves: set[int] = set()
    for stretch in airway.stretches:
        ends = [place for place in end.places if stretch.holds(place)]
        for place in start.places:
            led_to = {id(other) for other in ends if stretch.between(place, other) is not None}
            if led_to:
                joins.add(id(place))
                leaves |= led_to
    if not joins:
        one, other = (shown(node.places[0].fix.ident) for node in (start, end))
        if one == other:
            raise words.error(
                airway.element, f"the airway {shown(airway.element.text)} is joined and left at {one}", "Leave it out."
            )
        raise words.error(
            airway.element,
            f"the airway {shown(airway.element.text)} does not lead from {one} to {other}",
            "Both are on it, but no stretch of it holds the two: write the points between them, or DCT.",
        )
    reason = f"the one on {shown(airway.element.text)}"
    _leave(start, tuple(place for place in start.places if id(place) in joins), reason)
    _leave(end, tuple(place for place in end.places if id(place) in leaves), reason)


def _leave(node: Node, places: tuple[Place, ...], reason: str) -> None:
    if len(places) < len(node.places):
        node.places, node.reason = places, reason


def _not_on_it(node: Node, word: str, airway: AirwayItem, words: RouteWords, near: NearOnAirway) -> PlanError:
    name = shown(airway.element.text)
    close = ", ".join(shown(ident) for ident in near(airway, node.places[0]))
    remedy = f"Its fixes nearest to there: {close}." if close else "Write the points one by one."
    what = shown(node.places[0].fix.ident)
    return words.error(node.element, f"{what}, where the airway {name} is {word}, is not on it", remedy)
