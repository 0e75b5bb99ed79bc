"""The epochs that what was said divides the flight into."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from legwise.align.flight import variation_deg
from legwise.align.lateral import PLACED, Epoch, lateral_kind
from legwise.align.moments import Said
from legwise.model.plan import Fix, Plan
from legwise.model.track import Track


def epochs_of(
    said: Sequence[Said],
    plan: Plan,
    track: Track,
    *,
    not_flown: Collection[int] = (),
    flown_instead: Mapping[int, Fix] | None = None,
) -> tuple[Epoch, ...]:
    """Before anything was said, then one epoch for each lateral instruction, and for each time it was put elsewhere.

    ``not_flown`` are the instructions (by index) that the track contradicts altogether: they begin no epoch.
    ``flown_instead`` holds the fix that was flown to where another was said.
    """
    everything = frozenset(approach.index for approach in plan.approaches)
    obeyed = [item for index, item in enumerate(said) if index not in not_flown]
    named = any(s.clearance.cleared is not None or s.clearance.join for s in obeyed)
    # With no clearance said, the approaches of the lesson count as cleared.
    cleared = frozenset[int]() if named else everything
    epochs = [Epoch(said=-1, kind="", cleared=cleared)]
    placed_s = [float(track.samples.time_s[sample]) for sample in track.breaks]
    for index, item in enumerate(said):
        epochs += _placed_before(placed_s, item.time_s, epochs)
        kind = lateral_kind(item)
        if kind is None or index in not_flown:
            continue
        words = item.clearance
        if words.cleared is not None:
            # The plan has refused a name that means none of its approaches.
            cleared = frozenset(approach.index for approach in plan.approaches_named(words.cleared))
        elif words.join:
            cleared = everything
        elif kind in ("heading", "hold", "discontinue", "missed") and named:
            cleared = frozenset()
        instead = flown_instead.get(index) if flown_instead is not None else None
        after_s, before_s = neighbours_s(said, index)
        epochs.append(
            Epoch(
                said=index,
                kind=kind,
                time_s=item.time_s,
                accuracy_s=item.accuracy_s,
                after_s=after_s,
                before_s=before_s,
                heading_deg_true=_heading_true(item, track),
                direct=instead if instead is not None else fix_named(words.direct, plan),
                hold=fix_named(words.hold.fix if words.hold is not None else None, plan),
                cleared=cleared,
            )
        )
    epochs += _placed_before(placed_s, np.inf, epochs)
    return tuple(epochs)


def _placed_before(placed_s: list[float], time_s: float | None, epochs: list[Epoch]) -> list[Epoch]:
    """An epoch for each time at which the aircraft was put elsewhere, up to ``time_s``; those are taken off the list.

    What was cleared before may be flown again.
    """
    cleared = frozenset[int]().union(*(epoch.cleared for epoch in epochs))
    begun: list[Epoch] = []
    while placed_s and time_s is not None and placed_s[0] <= time_s:
        begun.append(Epoch(said=-1, kind=PLACED, time_s=placed_s.pop(0), cleared=cleared))
    return begun


def neighbours_s(said: Sequence[Said], index: int) -> tuple[float, float]:
    """The latest time noted before an instruction in the file, and the earliest one after it; infinite where none."""
    earlier = [s.time_s - s.accuracy_s for s in said[:index] if s.time_s is not None]
    later = [s.time_s + s.accuracy_s for s in said[index + 1 :] if s.time_s is not None]
    return (earlier[-1] if earlier else -np.inf), (later[0] if later else np.inf)


def _heading_true(said: Said, track: Track) -> float:
    words = said.clearance
    if words.heading_deg_true is not None:
        return words.heading_deg_true
    if words.heading_deg_mag is None:
        return float("nan")
    time_s = track.samples.time_s
    near = len(track) // 2
    if said.time_s is not None:
        near = min(int(np.searchsorted(time_s, said.time_s)), len(track) - 1)
    variation = variation_deg(
        float(track.samples.lat_deg[near]), float(track.samples.lon_deg[near]), float(time_s[near])
    )
    return (words.heading_deg_mag + variation) % 360.0


def fix_named(ident: str | None, plan: Plan) -> Fix | None:
    """The fix of the plan, or of its legs, with an ident; None where there is none."""
    if ident is None:
        return None
    known = plan.fix(ident)
    if known is not None:
        return known
    legs = [*plan.route]
    for approach in plan.approaches:
        legs += [*approach.legs, *approach.missed]
    ends = (fix for leg in legs for fix in (leg.to_fix, leg.from_fix) if fix is not None)
    return next((fix for fix in ends if fix.ident == ident), None)
