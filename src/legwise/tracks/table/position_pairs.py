"""Latitude and longitude in one cell: "46.5123, -28.0041" under a heading such as "Position"."""

from __future__ import annotations

import re

import numpy as np

from legwise.model.track import Fault
from legwise.tracks.headings.beside import names_pair
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Column
from legwise.tracks.table.layout import Layout, cells_under
from legwise.tracks.table.rows import Rows
from legwise.tracks.values.angles import TextArray
from legwise.tracks.values.numbers import numbers_of
from legwise.tracks.wording import places

INDICES = {Quantity.LATITUDE: -1, Quantity.LONGITUDE: -2}
"""Where the two halves are kept among the columns of numbers."""

_PARTED = re.compile(r"[\s(\[]*([^,;/]{1,40}?)\s*[,;/]\s*([^,;/]{1,40}?)[\s)\]]*")


def pair_column(layout: Layout, taken: set[int]) -> int | None:
    """The column whose heading speaks of positions and whose first cells hold two angles each; None where none does."""
    for index, heading in enumerate(layout.headings):
        if index in taken or not names_pair(heading):
            continue
        cells = [cell for cell in cells_under(layout, index) if cell]
        halves = _halves(np.array(cells, dtype=object))
        if cells and all(_are_angles(half, axis) for half, axis in zip(halves, INDICES, strict=True)):
            return index
    return None


def paired_columns(layout: Layout, index: int) -> list[Column]:
    """The latitude and the longitude in a column of both."""
    return [Column.of_angle(axis, layout.headings[index], half, "deg") for axis, half in INDICES.items()]


def with_pairs(rows: Rows, index: int) -> Rows:
    """``rows`` with the halves of a column of positions as two columns of numbers."""
    numbers, lettered, has_minutes = dict(rows.numbers), dict(rows.lettered), dict(rows.has_minutes)
    unreadable: set[int] = set()
    halves = _halves(rows.texts[index])
    for (axis, at), half in zip(INDICES.items(), halves, strict=True):
        found = numbers_of(half, axis=axis)
        numbers[at] = found.values
        if found.lettered is not None and found.has_minutes is not None:
            lettered[at], has_minutes[at] = found.lettered, found.has_minutes
        unreadable.update(np.flatnonzero((rows.texts[index] != "") & np.isnan(found.values)).tolist())
    faults = list(rows.faults)
    if unreadable:
        lines = rows.line[sorted(unreadable)].tolist()
        detail = f"no two angles where a position is due: {places(lines)}; taken as not recorded"
        faults.append(Fault(kind="unreadable-value", count=len(lines), detail=detail))
    return Rows(
        texts=rows.texts,
        numbers=numbers,
        line=rows.line,
        faults=tuple(faults),
        notes=rows.notes,
        lettered=lettered,
        has_minutes=has_minutes,
    )


def _halves(texts: TextArray) -> tuple[TextArray, TextArray]:
    one, other = np.full(len(texts), "", dtype=object), np.full(len(texts), "", dtype=object)
    for row, text in enumerate(texts.tolist()):
        match = _PARTED.fullmatch(text[:100])
        if match is not None:
            one[row], other[row] = match[1], match[2]
        elif len(parts := text.split()) == 2:
            one[row], other[row] = parts
    return one, other


def _are_angles(texts: TextArray, axis: Quantity) -> bool:
    """Whether most are; a few damaged ones don't decide."""
    return float(np.mean(np.isfinite(numbers_of(texts, axis=axis).values))) > 0.5
