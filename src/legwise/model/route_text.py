"""The elements of a route's text, in the form of the flight plan's item 15."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteElement:
    """An element of a route's text, from ``start`` to ``stop`` of it (characters).

    ``form``: "name" may be a fix, an airway, a departure or an arrival, which navigation data and its neighbours tell;
    "position" is latitude and longitude; "bearing-distance" a fix, three digits of magnetic bearing and three of NM;
    "direct" is DCT; "rules" a change to IFR or VFR. ``text`` is the element without what follows a stroke;
    ``speed_kt`` and ``level_ft`` are what is planned from there on, where the element says so. A speed in Mach and a
    level that is VFR or metric are in ``change`` as written. A speed and level group at the beginning is an element of
    its own, "change".
    """

    text: str
    start: int
    stop: int
    form: Literal["name", "position", "bearing-distance", "direct", "rules", "change"] = "name"
    speed_kt: float | None = None
    level_ft: float | None = None
    change: str = ""
