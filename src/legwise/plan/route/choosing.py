"""A whole route with several idents at several places: the choice that is shortest in all."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.plan.fixes.nearness import OTHER_REGION_NM, choice_note
from legwise.plan.fixes.places import Place, distances_nm, shown
from legwise.plan.route.chain import Chain, Node
from legwise.plan.route.written import AirwayItem

_MOST_NOTES, _MOST_NAMED = 20, 40


def chosen_places(chain: Chain) -> tuple[tuple[Place, ...], tuple[str, ...]]:
    """One place for each node of a chain that was narrowed, and notes on each choice.

    The choice makes the route shortest, where each change to another region counts as OTHER_REGION_NM more. Exact, by
    dynamic programming over the places of neighbours: points with one place cost nothing.
    """
    nodes = chain.nodes
    if not nodes:
        return (), ()
    costs = np.zeros(len(nodes[0].places))
    came_from: list[np.ndarray[tuple[int], np.dtype[np.intp]]] = []
    for number, airway in enumerate(chain.links):
        step = costs[:, None] + _cost(nodes[number], nodes[number + 1], airway)
        came_from.append(step.argmin(axis=0))
        costs = step.min(axis=0)
    picks = [int(costs.argmin())]
    for back in reversed(came_from):
        picks.append(int(back[picks[-1]]))
    places = tuple(node.places[pick] for node, pick in zip(nodes, reversed(picks), strict=True))
    return places, _notes(chain, places)


def _cost(start: Node, end: Node, airway: AirwayItem | None) -> FloatArray:
    """The distance from each place of one node to each of the next [NM]; infinite where the airway does not lead."""
    if len(start.places) == len(end.places) == 1:
        return np.zeros((1, 1))
    cost = distances_nm([place.fix for place in start.places], [place.fix for place in end.places])
    one, other = (np.array([place.region for place in node.places], dtype=object) for node in (start, end))
    changes = (one[:, None] != other[None, :]) & (one[:, None] != "") & (other[None, :] != "")
    cost = cost + np.where(changes, OTHER_REGION_NM, 0.0)
    if airway is not None:
        leads = np.zeros(cost.shape, dtype=bool)
        for stretch in airway.stretches:
            from_there = [row for row, place in enumerate(start.places) if stretch.holds(place)]
            to_there = [column for column, place in enumerate(end.places) if stretch.holds(place)]
            for row in from_there:
                for column in to_there:
                    leads[row, column] |= stretch.between(start.places[row], end.places[column]) is not None
        cost = np.where(leads, cost, np.inf)
    return cost


def _notes(chain: Chain, places: tuple[Place, ...]) -> tuple[str, ...]:
    """What was chosen where, in words: the first choices each with the others' whereabouts, the rest by name."""
    found: dict[str, None] = {}
    rest: dict[str, None] = {}
    for number, (node, place) in enumerate(zip(chain.nodes, places, strict=True)):
        ident = shown(place.fix.ident)
        if node.crossing:
            one, other = (link for link in (chain.links[number - 1], chain.links[number]))
            if one is not None and other is not None:
                names = f"{shown(one.element.text)} is left for {shown(other.element.text)}"
                found[f"{names} at {ident}, the fix that both have."] = None
        elif len(node.meant) > 1 and len(found) < _MOST_NOTES:
            reason = node.reason
            if len(chain.nodes) == 1:
                reason = "the first of them, since nothing else of the route tells which is meant"
            found[choice_note(ident, place, node.meant, reason)] = None
        elif len(node.meant) > 1:
            rest[ident] = None
    if rest:
        names = ", ".join(list(rest)[:_MOST_NAMED]) + (", ..." if len(rest) > _MOST_NAMED else "")
        found[f"{len(rest)} more idents stand for several fixes, and were chosen in the same way: {names}."] = None
    return tuple(found)
