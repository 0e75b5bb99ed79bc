"""Columns of hemispheres beside latitude and longitude. One that is overlooked puts the flight in a wrong place."""

from __future__ import annotations

from collections.abc import Mapping

from legwise.model.track import Fault
from legwise.tracks.headings.beside import (
    LETTERS,
    holds_sides,
    is_nothing_else,
    may_be_any_side,
    speaks_of_side,
)
from legwise.tracks.headings.meanings import meaning_of
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Column, Target
from legwise.tracks.table.layout import Layout, cells_under
from legwise.tracks.wording import shown


def find_sides(
    layout: Layout, chosen: Mapping[Target, Column], taken: set[int]
) -> tuple[dict[Quantity, int], list[Fault]]:
    """The column of hemispheres of latitude and of longitude, told by heading and first cells; what was not read.

    Where both have one right behind them that holds nothing but its letters, its heading may say anything.
    """
    places = {axis: _places(layout, axis, chosen) for axis in LETTERS}
    sides: dict[Quantity, int] = {}
    faults: list[Fault] = []
    for axis, at in places.items():
        index, fault = _side(layout, axis, at, taken | set(sides.values()))
        faults += [fault] if fault else []
        if index is not None:
            sides[axis] = index
    if not sides:
        behind = {axis: _behind(layout, axis, at, taken) for axis, at in places.items()}
        sides = {axis: index for axis, index in behind.items() if index is not None} if all(behind.values()) else {}
    return sides, faults


def _places(layout: Layout, axis: Quantity, chosen: Mapping[Target, Column]) -> list[int]:
    """The columns that are or can be those of the axis."""
    said = chosen.get(axis)
    meanings = [meaning_of(heading) for heading in layout.headings]
    told = [index for index, meaning in enumerate(meanings) if meaning is not None and meaning.quantity is axis]
    return [said.index, *told] if said else told


def _side(layout: Layout, axis: Quantity, at: list[int], taken: set[int]) -> tuple[int | None, Fault | None]:
    beside = {near for index in at for near in (index + 1, index - 1)}
    for index, heading in enumerate(layout.headings):
        if index in taken:
            continue
        cells = [cell for cell in cells_under(layout, index) if cell]
        speaks = speaks_of_side(heading, axis)
        if (speaks or (index in beside and may_be_any_side(heading))) and holds_sides(cells, axis):
            return index, None
        if not speaks or index in at or not is_nothing_else(heading, axis):
            continue
        if not cells:
            return index, None
        detail = f"{shown(heading)} should tell the hemisphere but holds {shown(cells[0], 20)}"
        return None, Fault(kind="ignored-column", count=1, detail=f"{detail}; the column is not read")
    return None, None


def _behind(layout: Layout, axis: Quantity, at: list[int], taken: set[int]) -> int | None:
    for index in (place + 1 for place in at if place + 1 < len(layout.headings)):
        is_free = index not in taken and meaning_of(layout.headings[index]) is None
        if is_free and holds_sides([cell for cell in cells_under(layout, index) if cell], axis):
            return index
    return None
