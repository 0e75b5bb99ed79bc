"""What was said, as a constraint on the story: one epoch for each lateral instruction, and the prices within it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from legwise.align import grammar
from legwise.align.decode import Problem
from legwise.align.lateral import PLACED, Epoch
from legwise.align.states import GROUND, NONE, VECTORS, Kind, State, is_turned_back, start_ident
from legwise.align.surprise import Thinned, arrival_of, gate_of, heading_cost
from legwise.model.arrays import FloatArray, IntArray
from legwise.model.plan import Fix, LegPart


def build_problem(
    states: Sequence[State], epochs: Sequence[Epoch], surprise: FloatArray, thinned: Thinned, *, has_legs: bool
) -> Problem:
    """Put states, epochs and costs together."""
    said_any = any(epoch.said >= 0 for epoch in epochs)
    unsaid = grammar.UNSAID_THOUGH_OTHERS_WERE if said_any else grammar.UNSAID
    shape = (len(epochs), len(states))
    edge_from, one_edge_price, joining = _edges(states)
    prices = _Prices(
        out=np.tile(_out(states, unsaid), (shape[0], 1)),
        into=np.tile(_into(states, has_legs=has_legs), (shape[0], 1)),
        edge=np.tile(one_edge_price, (shape[0], 1, 1)),
        approach=np.full(shape, np.inf),
        carry=np.full(shape, np.inf),
        entry=np.full(shape, np.inf),
        start=np.zeros(shape),
    )
    advance, alive, begin = _windows(epochs, thinned)
    if not said_any:
        # What ends vectors is as little said as what began them.
        prices.out[:, VECTORS] = 0.0
    arrival = arrival_of(states, thinned)
    extra, extra_state = _special_costs(states, epochs, surprise, thinned)
    for place, epoch in enumerate(epochs):
        prices.approach[place, GROUND] = -grammar.APPROACH_FROM_ANYWHERE
        _uncleared(prices, place, states, epoch, joining)
        if epoch.kind == PLACED:
            _placed(prices, place, states, epoch)
        _holds_unsaid(prices, place, states, epoch, unsaid)
        _obey(prices, place, states, epoch)
        prices.start[place] += begin[place]
        prices.start[place] += [grammar.BEGUN_IN_A_MISSED * (state.part is LegPart.MISSED) for state in states]
        prices.start[place] += arrival[0]
    return Problem(
        surprise=surprise,
        gate=gate_of(states, thinned),
        arrival=arrival,
        epoch_extra=extra,
        extra_state=extra_state,
        advance=advance,
        alive=alive,
        out=prices.out,
        into=prices.into,
        edge_from=edge_from,
        edge_price=prices.edge,
        approach_into=prices.approach,
        approach_price=grammar.APPROACH_FROM_ANYWHERE,
        carry=prices.carry,
        entry=prices.entry,
        start=prices.start,
    )


def _special_costs(
    states: Sequence[State], epochs: Sequence[Epoch], surprise: FloatArray, thinned: Thinned
) -> tuple[FloatArray, IntArray]:
    """What is added to the cost of one state in each epoch, (m, e), and which state (e,): what was said is obeyed."""
    extra = np.zeros((len(thinned.time_s), len(epochs)))
    which = np.full(len(epochs), VECTORS, dtype=np.int64)
    most = {
        "direct": grammar.DIRECT_BASE + grammar.BEARING_CAP_SAID,
        "visual": grammar.NONE_VISUAL,
    }
    for place, epoch in enumerate(epochs):
        direct, base = _direct_state(states, epoch), _vectors_base(epoch)
        if direct is not None or epoch.kind == "visual":
            state = direct if direct is not None else NONE
            cap = most["direct" if direct is not None else "visual"] * thinned.weight
            cost = np.where(thinned.on_ground, 0.0, surprise[:, state])
            extra[:, place] = np.minimum(cost, cap) - cost
            which[place] = state
        elif base is not None:
            extra[:, place] = heading_cost(thinned, epoch.heading_deg_true, base)
            extra[:, place] -= grammar.VECTORS_UNSAID * thinned.weight
    return extra, which


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Prices:
    out: FloatArray
    into: FloatArray
    edge: FloatArray
    approach: FloatArray
    carry: FloatArray
    entry: FloatArray
    start: FloatArray


def _out(states: Sequence[State], unsaid: float) -> FloatArray:
    return np.full(len(states), unsaid)


def _into(states: Sequence[State], *, has_legs: bool) -> FloatArray:
    price = np.full(len(states), grammar.JOIN_FROM_HUB)
    price[NONE] = grammar.TO_NONE
    # With nothing planned every straight line would be a vector: nothing was owed, so nothing is claimed.
    price[VECTORS] = grammar.VECTORS_FROM_HUB if has_legs else np.inf
    # The first leg of an approach begins at a fix one is sent to; those after it are not.
    inner = {s.end_ident for s in states if s.part is LegPart.APPROACH}
    for place, state in enumerate(states):
        if state.part is LegPart.MISSED or state.kind is Kind.HOLD or is_turned_back(state):
            price[place] = np.inf
        if state.kind is Kind.DIRECT and state.end_ident in inner:
            price[place] += grammar.DIRECT_TO_FINAL
    return price


def _edges(states: Sequence[State]) -> tuple[IntArray, FloatArray, np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]:
    """Edges into every state as (k, s) arrays of origin and price, and which of them join another part of the plan."""
    into: list[list[tuple[int, float, bool]]] = [[] for _ in states]
    into[NONE].append((GROUND, 0.0, False))
    legs = [(place, state) for place, state in enumerate(states) if state.kind is Kind.LEG]
    for place, state in legs:
        if state.part is not LegPart.MISSED:
            into[place] += [(loose, grammar.JOIN_FROM_HUB, True) for loose in (GROUND, NONE, VECTORS)]
        for other, before in legs:
            edge = _leg_edge(before, state, legs)
            if other != place and edge is not None:
                into[place].append((other, *edge))
    for place, state in enumerate(states):
        if state.kind in (Kind.DIRECT, Kind.HOLD):
            for after, leg_state in legs:
                if leg_state.leg is not None and start_ident(leg_state.leg) == state.end_ident:
                    into[after].append((place, 0.0, leg_state.part is LegPart.APPROACH))
        if state.kind is Kind.HOLD:
            into[place] += [
                (o, 0.0, False) for o, s in enumerate(states) if s.end_ident == state.end_ident and o != place
            ]
    width = max(1, *(len(edges) for edges in into))
    origin = np.zeros((width, len(states)), dtype=np.int64)
    price = np.full((width, len(states)), np.inf)
    joining = np.zeros((width, len(states)), dtype=np.bool_)
    for place, edges in enumerate(into):
        for slot, (other, cost, joins) in enumerate(edges):
            dear = cost + (grammar.TURN_BACK if is_turned_back(states[place]) else 0.0)
            origin[slot, place], price[slot, place], joining[slot, place] = other, dear, joins
    return origin, price, joining


def _leg_edge(before: State, after: State, legs: list[tuple[int, State]]) -> tuple[float, bool] | None:
    """Price of going from one leg to another, and whether that joins another part of the plan; None for no edge."""
    if before.leg is None or after.leg is None:
        return None
    same = before.part is after.part and before.approach == after.approach
    step = after.owed - before.owed
    skipped = [state for _, state in legs if before.owed < state.owed < after.owed]
    turned_back = sum(map(is_turned_back, skipped))
    if same and 1 <= step - turned_back <= 3:
        return grammar.SKIP_LEG * (step - 1 - turned_back) + grammar.SKIP_REVERSAL * turned_back, False
    if after.part is LegPart.MISSED:
        firsts = [s.owed for _, s in legs if s.part is LegPart.MISSED and s.approach == after.approach]
        if before.part is LegPart.APPROACH and before.approach == after.approach and after.owed == min(firsts):
            return (grammar.MISS_AT_END if step == 1 else grammar.MISS_EARLY), False
        return None
    if not same and before.end_ident == start_ident(after.leg):
        return (grammar.ANOTHER_ATTEMPT if before.part is LegPart.MISSED else 0.0), True
    return None


def _uncleared(
    prices: _Prices,
    place: int,
    states: Sequence[State],
    epoch: Epoch,
    joining: np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
) -> None:
    """Make the approaches dear that were not cleared; lead from anywhere onto those that were by name."""
    for number, state in enumerate(states):
        if state.part is LegPart.APPROACH:
            if state.approach not in epoch.cleared:
                prices.into[place, number] += grammar.UNCLEARED
                prices.start[place, number] += grammar.UNCLEARED
                prices.edge[place, joining[:, number], number] += grammar.UNCLEARED
            elif epoch.kind in ("cleared", "join") and not is_turned_back(state):
                prices.approach[place, number] = 0.0
    if epoch.kind == "cleared":
        first_fixes = _first_fixes(states, epoch.cleared)
        for number, state in enumerate(states):
            if state.kind is Kind.DIRECT and state.end_ident in first_fixes:
                prices.approach[place, number] = 0.0


def _holds_unsaid(prices: _Prices, place: int, states: Sequence[State], epoch: Epoch, unsaid: float) -> None:
    """A hold that was not said is begun as dearly as anything else unsaid; whatever is said after one ends it."""
    for number, state in enumerate(states):
        if state.kind is not Kind.HOLD:
            continue
        if epoch.kind != "hold":
            prices.out[place, number] = 0.0
        if epoch.hold is None or epoch.hold.ident != state.end_ident:
            prices.edge[place][:, number] += unsaid


def _placed(prices: _Prices, place: int, states: Sequence[State], epoch: Epoch) -> None:
    """Put elsewhere, an aircraft is on anything as at the beginning of a log, and joins what it was put there for."""
    prices.entry[place] = prices.start[place]
    prices.out[place, VECTORS] = 0.0
    for number, state in enumerate(states):
        if state.part is LegPart.MISSED:
            prices.entry[place, number] += grammar.JOIN_FROM_HUB
        elif state.part is LegPart.APPROACH and state.approach in epoch.cleared:
            prices.approach[place, number] = 0.0


def _direct_state(states: Sequence[State], epoch: Epoch) -> int | None:
    if epoch.direct is None or epoch.kind == "hold":
        return None
    ident = epoch.direct.ident
    return next((n for n, s in enumerate(states) if s.kind is Kind.DIRECT and s.end_ident == ident), None)


def _first_fixes(states: Sequence[State], approaches: frozenset[int]) -> set[str]:
    """Where approaches begin: the start of each one's first leg."""
    firsts: dict[int, str] = {}
    for state in states:
        if state.leg is not None and state.part is LegPart.APPROACH and state.approach in approaches:
            firsts.setdefault(state.approach, start_ident(state.leg))
    return set(firsts.values())


def _vectors_base(epoch: Epoch) -> float | None:
    if epoch.kind == "heading":
        return grammar.VECTORS_SAID
    if epoch.kind in ("cleared", "join", "resume", "discontinue", "missed", "circle"):
        return grammar.VECTORS_AFTER_CLEARED
    return None


def _obey(prices: _Prices, place: int, states: Sequence[State], epoch: Epoch) -> None:
    """Set how the epoch is entered, and what it forbids."""
    carry, entry = prices.carry[place], prices.entry[place]
    carry[GROUND] = 0.0
    if epoch.kind == "heading":
        _obey_heading(prices, place, len(states))
    elif epoch.kind in ("cleared", "missed", "circle", "resume"):
        carry[:] = 0.0
        if epoch.kind == "circle":
            prices.approach[place, NONE] = -grammar.APPROACH_FROM_ANYWHERE
    elif epoch.kind == "join":
        # Said while a leg is flown it changes nothing.
        carry[:] = grammar.JOIN_WHILE_ON_A_LEG
        carry[GROUND] = carry[VECTORS] = 0.0
        entry[VECTORS] = grammar.VECTORS_FROM_HUB
    elif epoch.kind == "visual":
        # Who goes on along the approach is still on it.
        carry[:] = entry[NONE] = 0.0
    elif epoch.kind == "discontinue":
        carry[:] = grammar.FLOWN_ON
        carry[GROUND] = entry[VECTORS] = entry[NONE] = 0.0
    elif epoch.kind == "hold" and epoch.hold is not None:
        _obey_hold(prices, place, states, epoch.hold)
    if epoch.direct is not None and epoch.kind != "hold":
        _obey_direct(prices, place, states, epoch.direct)
    if not (np.isfinite(carry[1:]).any() or np.isfinite(entry).any()):
        # Said of a fix that is nowhere known: the time is kept, what was flown goes on.
        carry[:] = 0.0


def _obey_heading(prices: _Prices, place: int, width: int) -> None:
    """Nothing but vectors in the air, until the next instruction."""
    prices.entry[place, VECTORS] = prices.into[place, VECTORS] = prices.out[place, GROUND] = 0.0
    others = np.ones(width, dtype=np.bool_)
    others[[GROUND, VECTORS]] = False
    for array in (prices.into, prices.approach, prices.start):
        array[place, others] = np.inf
    prices.edge[place][:, others] = np.inf


def _obey_hold(prices: _Prices, place: int, states: Sequence[State], fix: Fix) -> None:
    """On to the fix, by the leg that leads there or direct, then the hold."""
    for number, state in enumerate(states):
        if state.end_ident != fix.ident:
            continue
        prices.carry[place, number] = 0.0
        if state.kind is Kind.DIRECT:
            prices.entry[place, number] = prices.approach[place, number] = grammar.HOLD_BY_DIRECT
        elif state.kind is Kind.HOLD:
            prices.entry[place, number] = grammar.HOLD_AT_ONCE


def _obey_direct(prices: _Prices, place: int, states: Sequence[State], fix: Fix) -> None:
    """Direct to the fix, in place of the leg that leads there, however close the two lie."""
    replaced = np.array([s.leg is not None and s.end_ident == fix.ident for s in states])
    prices.into[place, replaced] = prices.approach[place, replaced] = np.inf
    prices.edge[place][:, replaced] = np.inf
    prices.carry[place, :] = np.inf
    prices.carry[place, GROUND] = 0.0
    # Said on the ground or in the first climb, it is turned to after that.
    prices.carry[place, NONE] = grammar.DIRECT_IN_CLIMB
    for number, state in enumerate(states):
        if state.kind is Kind.DIRECT and state.end_ident == fix.ident:
            prices.entry[place, number] = prices.carry[place, number] = prices.approach[place, number] = 0.0


def _windows(
    epochs: Sequence[Epoch], thinned: Thinned
) -> tuple[FloatArray, np.ndarray[tuple[int, ...], np.dtype[np.bool_]], FloatArray]:
    """When each epoch may begin and at what price, when it may last, and the price of beginning the log in it."""
    time_s = thinned.time_s
    moments = len(time_s)
    opens, closes = [0], [0]
    prices = [np.full(moments, np.inf)]
    begin = np.full(len(epochs), np.inf)
    begin[0] = 0.0
    for place, epoch in enumerate(epochs[1:], start=1):
        if epoch.kind == PLACED and epoch.time_s is not None:
            at = int(np.searchsorted(time_s, epoch.time_s))
            opens.append(at)
            closes.append(at)
            prices.append(np.zeros(moments))
            continue
        if epoch.time_s is None:
            first = int(np.searchsorted(time_s, epoch.after_s))
            last = int(np.searchsorted(time_s, epoch.before_s, side="right")) - 1
            first, last = min(first, moments - 1), max(last, 0)
            # Where nothing else decides, right after the one before.
            price = grammar.SOONER_PER_S * (time_s - time_s[0])
        else:
            slack = epoch.accuracy_s
            first = int(np.searchsorted(time_s, epoch.time_s - slack - grammar.EARLY_S))
            last = int(np.searchsorted(time_s, epoch.time_s + slack + grammar.LATE_S, side="right")) - 1
            price = grammar.LATE_PER_S * np.maximum(0.0, np.abs(time_s - epoch.time_s) - slack)
            if epoch.time_s - slack <= time_s[0] and np.isfinite(begin[place - 1]):
                begin[place] = begin[place - 1] + float(price[0])
            if epoch.time_s + slack < time_s[-1]:
                # Said well within the log, it must have taken effect by its end, obeyed or not.
                last = min(last, moments - 2)
        first = max(first, opens[-1])
        # Every change needs a moment of its own, even where the log has a gap or two things were said at once.
        last = max(last, first, closes[-1] + 1)
        opens.append(first)
        closes.append(last)
        prices.append(price)
    _before_placed(epochs, opens, closes)
    advance = np.full((moments, len(epochs)), np.inf)
    for place, (first, last, price) in enumerate(zip(opens, closes, prices, strict=True)):
        if place > 0:
            advance[first : last + 1, place] = price[first : last + 1]
    numbers = np.arange(moments)
    ends = [*closes[1:], moments]
    # A log that begins in a later epoch has no use for the earlier ones' last moments.
    alive = np.column_stack([(numbers >= first) & (numbers <= end) for first, end in zip(opens, ends, strict=True)])
    return advance, alive, begin


def _before_placed(epochs: Sequence[Epoch], opens: list[int], closes: list[int]) -> None:
    """What was said before the aircraft was put elsewhere took effect before that, each at a moment of its own."""
    limit: int | None = None
    for place in range(len(epochs) - 1, 0, -1):
        if epochs[place].kind == PLACED:
            limit = opens[place]
        elif limit is not None:
            limit -= 1
            closes[place] = max(0, min(closes[place], limit))
            opens[place] = min(opens[place], closes[place])
