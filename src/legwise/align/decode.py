"""The cheapest story, found exactly: dynamic programming over moments, epochs and states.

An *epoch* runs from one lateral instruction's effect to the next; it is part of the state, so that when an instruction
took effect is decided together with what was flown. Changes within an epoch are of two kinds: along an edge (a leg to
its next one) and through the hub (out of any state, into any other), which keeps a step linear in the number of states.
Ties go to staying.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Problem:
    """All that the cheapest story depends on: m moments, e epochs, s states, at most k edges into one state.

    ``surprise`` (m, s); ``epoch_extra`` (m, e) is added to it for ``extra_state`` (e,) of that epoch; ``advance``
    (m, e) is the price of entering epoch e at that moment, infinite outside its window; ``alive`` (m, e) is False where
    the epoch can no longer be or not yet be. ``out``, ``into`` (e, s) are the prices of leaving to and coming from the
    hub; ``edge_from`` (k, s) with ``edge_price`` (e, k, s), ``gate`` (m, s) due on going out along an edge and
    ``arrival`` (m, s) on coming in along one;
    ``approach_into`` (e, s) with ``approach_price`` the second hub, which leads onto a cleared approach. ``carry``
    (e, s) is the price of entering epoch e in the state one was in, ``entry`` (e, s) of entering it in that state from
    any, ``start`` (e, s) of beginning there.
    """

    surprise: FloatArray
    gate: FloatArray
    arrival: FloatArray
    epoch_extra: FloatArray
    extra_state: IntArray
    advance: FloatArray
    alive: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    out: FloatArray
    into: FloatArray
    edge_from: IntArray
    edge_price: FloatArray
    approach_into: FloatArray
    approach_price: float
    carry: FloatArray
    entry: FloatArray
    start: FloatArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Story:
    """The cheapest story: state and epoch at every moment (m,), and its whole cost."""

    state: IntArray
    epoch: IntArray
    cost: float


def cheapest(
    problem: Problem,
    first: int = 0,
    last: int | None = None,
    *,
    begin: tuple[int, int] | None = None,
    end: tuple[int, int] | None = None,
    without: int | None = None,
) -> Story:
    """The cheapest story of the moments ``first`` to ``last`` (exclusive).

    ``begin`` and ``end`` pin (epoch, state) at the ends; ``without`` forbids a state in between: so the price of the
    best other story is found.
    """
    stop = len(problem.surprise) if last is None else last
    epochs, states = problem.out.shape
    rows = np.arange(epochs)
    cost = problem.start.copy()
    if begin is not None:
        cost = np.full((epochs, states), np.inf)
        cost[begin] = 0.0
    back = np.zeros((stop - first, epochs, states), dtype=np.int32)
    for moment in range(first, stop):
        if moment > first:
            cost, back[moment - first] = _step(problem, moment, cost)
        cost = cost + problem.surprise[moment]
        cost[rows, problem.extra_state] += problem.epoch_extra[moment]
        cost[~problem.alive[moment]] = np.inf
        if without is not None and first < moment < stop - 1:
            cost[:, without] = np.inf
    flat = int(np.argmin(cost)) if end is None else end[0] * states + end[1]
    total = float(cost.ravel()[flat])
    chosen = np.empty(stop - first, dtype=np.int64)
    for place in range(stop - first - 1, -1, -1):
        chosen[place] = flat
        flat = int(back[place].ravel()[flat])
    return Story(state=chosen % states, epoch=chosen // states, cost=total)


def _step(problem: Problem, moment: int, cost: FloatArray) -> tuple[FloatArray, IntArray]:
    """Costs after the cheapest change into each state, and where each came from (flat index of epoch and state)."""
    epochs, states = cost.shape
    rows = np.arange(epochs)
    base = (rows * states)[:, np.newaxis]
    best = cost.copy()
    back = base + np.arange(states)

    leaving = cost + problem.out
    hub = np.argmin(leaving, axis=1)
    _take(best, back, leaving[rows, hub][:, np.newaxis] + problem.into, base + hub[:, np.newaxis])

    along = (cost + problem.gate[moment])[:, problem.edge_from] + problem.edge_price
    along += problem.arrival[moment]
    slot = along.argmin(axis=1)
    _take(best, back, along.min(axis=1), base + problem.edge_from[slot, np.arange(states)])

    low = np.argmin(cost, axis=1)
    lowest = cost[rows, low][:, np.newaxis]
    _take(best, back, lowest + problem.approach_price + problem.approach_into, base + low[:, np.newaxis])

    if epochs > 1 and np.isfinite(problem.advance[moment]).any():
        price = problem.advance[moment][1:, np.newaxis]
        _take(best[1:], back[1:], cost[:-1] + problem.carry[1:] + price, back_of_previous(states, epochs))
        _take(best[1:], back[1:], lowest[:-1] + problem.entry[1:] + price, (base + low[:, np.newaxis])[:-1])
    return best, back.astype(np.int32)


def back_of_previous(states: int, epochs: int) -> IntArray:
    """Flat indices of the same states one epoch earlier, shape (epochs - 1, states)."""
    return np.arange((epochs - 1) * states, dtype=np.int64).reshape(epochs - 1, states)


def _take(best: FloatArray, back: IntArray, offer: FloatArray, origin: IntArray) -> None:
    better = offer < best
    np.copyto(best, offer, where=better)
    np.copyto(back, origin, where=better)
