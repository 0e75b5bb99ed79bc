"""One quantity in two columns with different units: "Altitude (ft)" beside "Altitude (m)"."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.tracks.table.columns import Column, Twin
from legwise.tracks.table.layout import Layout, cells_under

_NUMBER = re.compile(r"[+-]?\d{1,9}([.,]\d{1,9})?")


def twins_of(columns: Sequence[Column], layout: Layout) -> list[Twin]:
    """The columns, the finest first, where each states another unit and the first records agree; else none.

    Two columns in one unit are not looked at: that both are filled in tells not that they are the same.
    """
    if len(columns) < 2 or len({column.unit for column in columns}) < len(columns):
        return []
    if not all(column.unit and column.unit_said for column in columns):
        return []
    cells = [cells_under(layout, column.index) for column in columns]
    steps = [_step(of) * column.factor for of, column in zip(cells, columns, strict=True)]
    values = [
        np.array([_number(cell) for cell in of]) * column.factor for of, column in zip(cells, columns, strict=True)
    ]
    finest = min(range(len(columns)), key=lambda index: steps[index])
    twins = [Twin(column=columns[finest], slack=0.0)]
    for other in range(len(columns)):
        if other == finest:
            continue
        slack = steps[finest] + steps[other]
        if not (np.isfinite(values[finest]) & np.isfinite(values[other])).any():
            return []
        if not agree(values[finest], values[other], slack):
            return []
        twins.append(Twin(column=columns[other], slack=slack))
    return twins


def agree(one: FloatArray, other: FloatArray, slack: float) -> bool:
    """Whether two columns in one unit are the same wherever both are filled."""
    both = np.isfinite(one) & np.isfinite(other)
    return bool(np.all(np.abs(one[both] - other[both]) <= slack + 1e-6 * np.abs(one[both])))


def _number(cell: str) -> float:
    bare = cell.strip()
    return float(bare.replace(",", ".")) if _NUMBER.fullmatch(bare) else np.nan


def _step(cells: Sequence[str]) -> float:
    """What the last place of a column of numbers is worth."""
    places = [len(cell.strip().replace(",", ".").partition(".")[2]) for cell in cells]
    return 10.0 ** -max(places, default=0)
