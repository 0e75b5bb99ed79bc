"""What a leg fixes before the flight, and what its making may look at besides the leg itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from legwise.model.lesson import PathTerminator
from legwise.model.plan import Fix, Hold, LegEnd, Path, Reversal
from legwise.plan.legs.spec import LegSpec


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Ground:
    """The part of a :class:`legwise.model.plan.Leg` that depends on its kind; names and units are its own."""

    path: Path | None = None
    from_fix: Fix | None = None
    to_fix: Fix | None = None
    course_deg_true: float | None = None
    course_deg_mag: float | None = None
    heading_deg_true: float | None = None
    heading_deg_mag: float | None = None
    distance_nm: float | None = None
    end: LegEnd | None = None
    hold: Hold | None = None
    reversal: Reversal | None = None
    centre: Fix | None = None
    radius_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Where a leg stands: the fix it begins at (None where it begins anywhere), and the leg after it.

    ``previous`` is the kind of the leg before it, None for the first. ``magnetic`` gives the magnetic course of a true
    one at a fix, or None; ``note`` keeps what is worth telling.
    """

    before: Fix | None
    previous: PathTerminator | None
    onward: LegSpec | None
    magnetic: Callable[[float, Fix, LegSpec], float | None]
    note: Callable[[str], None]
