"""The columns that say something about another: hemispheres beside a position, fractions, parts of a clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from legwise.model.track import Fault
from legwise.tracks.headings.beside import ClockPart, clock_part, holds_halves, parts_per_second
from legwise.tracks.headings.meanings import meaning_of
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Clock, Column, Fraction, Helpers, Target
from legwise.tracks.table.layout import Layout, cells_under
from legwise.tracks.table.side_columns import find_sides

_OF_DAY = ("hour", "minute", "second")
_OF_DATE = ("year", "month", "day")


def find_helpers(layout: Layout, chosen: Mapping[Target, Column], taken: set[int]) -> tuple[Helpers, list[Fault]]:
    """The helping columns among those that nobody named, told by heading and first cells; what was not read of them."""
    sides, faults = find_sides(layout, chosen, taken)
    free = [index for index in range(len(layout.headings)) if index not in taken and index not in sides.values()]
    clock = _clock(layout, free)
    fraction = _fraction(layout, free, has_time=Quantity.TIME in chosen or (clock is not None and clock.has_time))
    halves = (index for index in free if holds_halves([cell for cell in cells_under(layout, index) if cell]))
    helpers = Helpers(sides=MappingProxyType(sides), fraction=fraction, clock=clock, half_of_day=next(halves, None))
    return helpers, faults


def _fraction(layout: Layout, free: list[int], *, has_time: bool) -> Fraction | None:
    """The column of fractions, where another one tells the time."""
    times = {
        index
        for index in free
        if (meaning := meaning_of(layout.headings[index], layout.units[index])) and meaning.quantity is Quantity.TIME
    }
    for index in free:
        per_second = parts_per_second(layout.headings[index])
        if per_second is None or not (has_time or times - {index}):
            continue
        cells = [cell.replace(",", ".") for cell in cells_under(layout, index) if cell]
        if cells and all(_is_below(cell, per_second) for cell in cells):
            return Fraction(index=index, heading=layout.headings[index], per_second=per_second)
    return None


def _is_below(cell: str, limit: float) -> bool:
    try:
        return 0.0 <= float(cell) < limit
    except ValueError:
        return False


def _clock(layout: Layout, free: list[int]) -> Clock | None:
    """Date and time in columns of their own, of one clock: UTC before an offset before one that isn't said."""
    groups: dict[tuple[float | None, bool], dict[str, int]] = {}
    parts: dict[int, ClockPart] = {index: part for index in free if (part := clock_part(layout.headings[index]))}
    for index, part in parts.items():
        groups.setdefault((part.zone_s, part.is_local), {}).setdefault(part.part, index)
    plain = groups.get((None, False), {})
    for key in sorted(groups, key=lambda key: (key[1], key[0] is None, key[0] != 0.0)):
        found = groups[key]
        if set(_OF_DAY) <= set(found):
            date = next((of for of in (found, plain) if set(_OF_DATE) <= set(of)), {})
            return _clock_of(layout, key, [*_OF_DATE, *_OF_DAY] if date else _OF_DAY, date | found)
    for key, found in groups.items():
        if set(_OF_DATE) <= set(found):
            return _clock_of(layout, key, _OF_DATE, found)
    return None


def _clock_of(layout: Layout, key: tuple[float | None, bool], names: Sequence[str], found: Mapping[str, int]) -> Clock:
    return Clock(
        parts=MappingProxyType({name: found[name] for name in names}),
        headings=tuple(layout.headings[found[name]] for name in names),
        zone_s=key[0],
        is_local=key[1],
    )
