"""The elements of a route's text, in the form of the flight plan's item 15, and how a message points at one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

_WINDOW = 68
"""How much of a route's text a message shows [characters]: a line of the terminal with its margin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteElement:
    """An element of a route's text, from ``start`` to ``stop`` of it (characters).

    ``form``: "name" may be a fix, an airway, a departure or an arrival (or a radial, as US routes write "LAX118"),
    which navigation data and its neighbours tell; "position" is latitude and longitude; "bearing-distance" a fix, three
    digits of magnetic bearing and three of NM, in ``text`` always in a row (``PDZ092015``); "direct" is DCT; "rules" a
    change to IFR or VFR; "change" the speed and level group at the beginning.

    ``text`` is the element without the change that follows its stroke, and so is what lies between ``start`` and
    ``stop``. ``change`` is the change as written ("N0467F380"), or a delay ("D01+40"). ``speed_kt`` and ``level_ft``
    are what is planned from there on, where the element says so: kilometres per hour and metric levels converted; a
    Mach number and "VFR" give none. Whether a level counts from mean sea level or the standard pressure surface shows
    in ``change`` alone.
    """

    text: str
    start: int
    stop: int
    form: Literal["name", "position", "bearing-distance", "direct", "rules", "change"] = "name"
    speed_kt: float | None = None
    level_ft: float | None = None
    change: str = ""


def caret_under(text: str, start: int, stop: int) -> str:
    """The part of ``text`` about ``start`` on one line, and a line of carets under it up to ``stop`` (characters).

    For the remedy of an error about an element of a route. What can't be printed is shown as a blank, so that the
    carets stand where they belong; no more than a line of the terminal is shown of however long a text.
    """
    begin = max(0, min(start - _WINDOW // 2, len(text) - _WINDOW))
    window = text[begin : begin + _WINDOW]
    row = "".join(letter if letter.isprintable() else " " for letter in window)
    length = max(1, min(stop, begin + _WINDOW) - start)
    return f"    {row}\n    {' ' * (start - begin)}{'^' * length}"
