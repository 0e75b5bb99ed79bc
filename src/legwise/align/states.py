"""The states a flight can be in, made from a plan and from what was said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

from legwise.model.plan import Fix, Leg, LegPart, Plan


class Kind(IntEnum):
    """The kinds of state."""

    GROUND = 0
    NONE = 1
    VECTORS = 2
    LEG = 3
    DIRECT = 4
    HOLD = 5


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class State:
    """One state. ``leg`` for LEG (route, approach or missed), ``fix`` for DIRECT and HOLD; ``owed`` its place in the
    plan's order."""

    kind: Kind
    leg: Leg | None = None
    fix: Fix | None = None
    owed: int = -1

    @property
    def part(self) -> LegPart | None:
        """The part of the plan its leg belongs to."""
        return self.leg.part if self.leg is not None else None

    @property
    def approach(self) -> int | None:
        """The planned approach its leg belongs to."""
        return self.leg.approach if self.leg is not None else None

    @property
    def end_ident(self) -> str:
        """The fix it leads to, empty where none."""
        if self.leg is not None:
            return self.leg.end_ident
        return self.fix.ident if self.fix is not None else ""


GROUND, NONE, VECTORS = 0, 1, 2
"""Where the states that every flight has stand in the tuple of states."""


def states_of(plan: Plan, said_direct: Sequence[Fix], said_hold: Sequence[Fix]) -> tuple[State, ...]:
    """All states: ground, none, vectors, the legs in the order owed, a direct to every fix of theirs, the holds that
    were said."""
    legs = [leg for leg in _legs(plan) if leg.kind != "IF"]
    states = [State(kind=Kind.GROUND), State(kind=Kind.NONE), State(kind=Kind.VECTORS)]
    states += [State(kind=Kind.LEG, leg=leg, owed=place) for place, leg in enumerate(legs)]
    fixes: dict[str, Fix] = {}
    for leg in _legs(plan):
        if leg.to_fix is None:
            continue
        # Nobody is sent direct to a threshold or to a point of the missed approach before it is flown.
        runway = leg.to_fix.kind == "runway" or leg.role == "MAP"
        if leg.part is not LegPart.MISSED and not runway:
            fixes.setdefault(leg.to_fix.ident, leg.to_fix)
    for fix in (*said_direct, *said_hold):
        fixes.setdefault(fix.ident, fix)
    states += [State(kind=Kind.DIRECT, fix=fix) for fix in fixes.values()]
    holds = {fix.ident: fix for fix in said_hold}
    states += [State(kind=Kind.HOLD, fix=fix) for fix in holds.values()]
    return tuple(states)


def _legs(plan: Plan) -> list[Leg]:
    legs = list(plan.route)
    for approach in plan.approaches:
        legs += [*approach.legs, *approach.missed]
    return legs


HOLDS: frozenset[str] = frozenset({"HA", "HF", "HM"})
"""Path terminators of holds."""
TURNED_BACK: frozenset[str] = HOLDS | {"PI"}
"""Path terminators of holds and course reversals: they lead back to the fix that they begin at."""


def is_turned_back(state: State) -> bool:
    """Whether a state is a hold or a course reversal of the plan."""
    return state.leg is not None and state.leg.kind in TURNED_BACK


def start_ident(leg: Leg) -> str:
    """The fix a leg begins at, empty where it begins anywhere."""
    return leg.from_fix.ident if leg.from_fix is not None else ""
