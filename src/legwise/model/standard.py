"""Published limits as values that can't exist without their source. The instances stand in :mod:`legwise.standards`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal


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
    """One limit: a band ``low`` to ``high`` about what is owed, inclusive unless ``strict``; an infinite side binds nothing.

    ``low`` is negative or zero (−100 for "100 low"), ``high`` positive or zero. ``strict`` means "less than". ``normally`` marks a limit that
    brief excursions up to ``brief_high`` may pass.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """A published standard: its short name, the document, its words, and its limits."""

    name: str
    document: str
    title: str
    tolerances: tuple[Tolerance, ...]
    cautions: tuple[str, ...] = ()
