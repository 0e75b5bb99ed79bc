"""Instructions about where to fly: which kind each is, and the epoch in which it is the last."""

from __future__ import annotations

from dataclasses import dataclass

from legwise.align.moments import Said
from legwise.model.plan import Fix

LATERAL = ("missed", "discontinue", "circle", "visual", "hold", "cleared", "direct", "heading", "join", "resume")
"""Kinds of instruction that begin an epoch, the weightiest first: it names an instruction that says several things."""

PLACED = "placed"

_ONE_NOT_YET_CLEARED = frozenset[int]()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Epoch:
    """The time in which one lateral instruction is the last. ``said`` indexes what was said, -1 before anything was.

    Where the aircraft was put elsewhere an epoch of kind ``PLACED`` begins, whatever was said before.
    ``after_s`` and ``before_s`` bound one without a time: between the times noted of its neighbours in the file.
    ``heading_deg_true`` is NaN where none is in force; ``cleared`` the planned approaches that may be flown.
    """

    said: int
    kind: str
    time_s: float | None = None
    accuracy_s: float = 0.0
    after_s: float = float("-inf")
    before_s: float = float("inf")
    heading_deg_true: float = float("nan")
    direct: Fix | None = None
    hold: Fix | None = None
    cleared: frozenset[int] = _ONE_NOT_YET_CLEARED


def lateral_kind(said: Said) -> str | None:
    """Which kind of lateral instruction it is, None for one about altitude or speed alone."""
    clearance = said.clearance
    present = {
        "missed": clearance.missed,
        "discontinue": clearance.discontinue,
        "circle": clearance.circle is not None,
        "visual": clearance.visual,
        "hold": clearance.hold is not None,
        "cleared": clearance.cleared is not None,
        "direct": clearance.direct is not None,
        "heading": clearance.heading_deg_mag is not None or clearance.heading_deg_true is not None,
        "join": clearance.join,
        "resume": clearance.resume,
    }
    return next((kind for kind in LATERAL if present[kind]), None)
