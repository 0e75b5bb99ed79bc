"""Which entry a hold asks for by the heading on arrival: the three sectors, and both where a line is near."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from legwise.geodesy.angles import wrap_180
from legwise.model.lesson import Turn

EntryName = Literal["direct", "teardrop", "parallel"]

NEAR_LINE_DEG = 5.0
"""Within this of a line between sectors either entry is good (FAA AIM 5-3-8 j8(d); Doc 8168 has the same zone)."""

# Measured from the heading on arrival round to the outbound course, toward the holding side (AIM 5-3-8 j3, the 70 deg
# line): each line with the sectors on its lower and its upper side.
_LINES: tuple[tuple[float, EntryName, EntryName], ...] = (
    (-110.0, "direct", "parallel"),
    (0.0, "parallel", "teardrop"),
    (70.0, "teardrop", "direct"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldEntry:
    """The entry of the sector that the heading lies in, and every entry that is acceptable.

    ``acceptable`` begins with ``name``; it holds the neighbour too within ``NEAR_LINE_DEG`` of a line. ``off_line_deg``
    is how far the heading is from the nearest line. On the line that parallel and teardrop share either is the
    sector's own; ``name`` then says teardrop.
    """

    name: EntryName
    acceptable: tuple[EntryName, ...]
    off_line_deg: float


def hold_entry(inbound_course_deg: float, turn: Turn, heading_deg: float) -> HoldEntry:
    """The entry to a hold for a heading on arrival at its fix (of the same north as the course; RNAV may use track).

    With r the signed angle from the heading to the outbound course, toward the holding side: 0 to 70 deg teardrop,
    -110 to 0 parallel, else direct (FAA AIM 5-3-8 j3 and its figure).
    """
    toward_side = 1.0 if turn == "right" else -1.0
    r = float(wrap_180(toward_side * (inbound_course_deg + 180.0 - heading_deg)))
    if -110.0 <= r < 0.0:
        name: EntryName = "parallel"
    elif 0.0 <= r <= 70.0:
        name = "teardrop"
    else:
        name = "direct"
    off, below, above = min((abs(float(wrap_180(r - line))), below, above) for line, below, above in _LINES)
    neighbours = tuple(entry for entry in (below, above) if entry != name) if off <= NEAR_LINE_DEG else ()
    return HoldEntry(name=name, acceptable=(name, *neighbours), off_line_deg=off)
