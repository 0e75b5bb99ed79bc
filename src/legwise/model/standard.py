"""Published limits as values that can't exist without their source. The instances stand in :mod:`legwise.standards`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    # For the checker alone: the limits are read where no lesson is.
    from legwise.model.lesson import ApproachGuidance


class Quantity(StrEnum):
    """What is judged. The value begins ``findings[].what``, in the trade's words."""

    ALTITUDE = "altitude"
    HEADING = "heading"
    LATERAL_NEEDLE = "lateral needle"
    VERTICAL_NEEDLE = "vertical needle"
    CROSS_TRACK = "cross-track"
    TRACK = "track"
    MDA = "MDA"
    DA = "DA"
    CROSSING_ALTITUDE = "crossing altitude"
    VERTICAL_DEVIATION = "vertical deviation"
    AIRSPEED = "airspeed"


Unit = Literal["ft", "nm", "scale", "deg", "kt", "s", "fpm", "ft/nm"]


class Segment(StrEnum):
    """The stretch of flight a limit is for."""

    VECTORS = "vectors"
    ROUTE = "route"
    APPROACH_BEFORE_FINAL = "approach before the final segment"
    FINAL_PRECISION = "final segment with a glidepath"
    FINAL_NONPRECISION = "final segment without a glidepath"
    MISSED = "missed approach"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """Where a number was published: document with edition, the place in it, and how surely it was read."""

    document: str
    place: str
    status: str

    def __str__(self) -> str:
        return f"{self.document}, {self.place}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """One limit: a band ``low`` to ``high`` about what is owed, inclusive unless ``strict``; an infinite side binds
    nothing.

    ``low`` is negative or zero (−100 for "100 low"), ``high`` positive or zero. ``strict`` means "less than". A limit
    with a ``brief_high`` is to be kept normally: excursions of at most ``brief_s`` seconds may reach ``brief_high``
    on either side.

    When it applies: ``guidances`` the kinds of approach (None: whatever guided), ``glidepath`` whether the approach
    is flown to a decision altitude on a glidepath (None: either), ``vertical_source`` how an LNAV/VNAV glidepath is
    made (None: either). ``high_below_height_ft`` is the height above the aerodrome at or below which the high side
    binds (None: everywhere); ``high_when_level`` that it binds only while the altitude is held. ``condition`` says
    all this in words.
    """

    quantity: Quantity
    unit: Unit
    low: float
    high: float
    segments: frozenset[Segment]
    task: str
    reference: Reference
    strict: bool = False
    brief_high: float | None = None
    condition: str = ""
    brief_s: float | None = None
    guidances: frozenset[ApproachGuidance] | None = None
    glidepath: bool | None = None
    vertical_source: Literal["sbas", "baro"] | None = None
    high_below_height_ft: float | None = None
    high_when_level: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """A published standard: its short name, the document, its words, and its limits.

    ``below_minima`` is the rule for going below a published minimum, which needs references that no track records;
    ``below_minima_task`` the task it belongs to.
    """

    name: str
    document: str
    title: str
    tolerances: tuple[Tolerance, ...]
    cautions: tuple[str, ...] = ()
    below_minima: Reference | None = None
    below_minima_task: str = ""
