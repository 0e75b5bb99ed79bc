"""Numbers with their unit in the cell: "3120 ft", "101.5 km/h"."""

from __future__ import annotations

import re

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.tracks.headings.quantities import UNITS
from legwise.tracks.headings.units import stated_unit
from legwise.tracks.table.columns import Column
from legwise.tracks.values.angles import TextArray
from legwise.tracks.values.numbers import Numbers, numbers_of
from legwise.tracks.wording import listed, shown

_WITH_UNIT = re.compile(r"([+\-−]?[\d.,' \u00a0\u202f]*\d[.,]?)\s*([^\W\d_][^\d]{0,15}|[°%\"'][^\d]{0,15})")
_MOST_UNITS = 50


def with_cell_units(
    texts: TextArray, numbers: Numbers, column: Column, *, comma_is_decimal: bool
) -> tuple[Numbers, list[str]]:
    """``numbers`` with those that could not be read for a unit behind them, in the unit of the column; and a note.

    A unit that is not one of the quantity, or another one than the heading states, leaves the number unread.
    """
    rows = numbers.unreadable
    bare: list[str] = []
    factors: FloatArray = np.full(len(rows), np.nan)
    known: dict[str, float] = {}
    for at, row in enumerate(rows.tolist()):
        match = _WITH_UNIT.fullmatch(texts[row][:60].strip())
        bare.append(match[1].strip() if match else "")
        if match and len(known) < _MOST_UNITS:
            unit = match[2]
            factors[at] = known[unit] if unit in known else known.setdefault(unit, _factor(unit, column))
        elif match:
            factors[at] = known.get(match[2], np.nan)
    found = numbers_of(np.array(bare, dtype=object), comma_is_decimal=comma_is_decimal)
    values = numbers.values.copy()
    values[rows] = found.values * factors
    still = np.isnan(values[rows])
    read = [unit for unit, factor in known.items() if not np.isnan(factor)]
    notes = [f"the cells of {shown(column.heading)} say {listed(read, 4)}"] if read else []
    return Numbers(values=values, unreadable=rows[still], doubtful=numbers.doubtful), notes


def _factor(unit: str, column: Column) -> float:
    """From a unit in a cell to the one of the column; NaN where they don't go together."""
    stated = stated_unit(column.quantity, "", unit, is_choice=True)
    if stated.problem or not stated.unit or (column.unit_said and stated.unit != column.unit):
        return np.nan
    return UNITS[column.quantity][stated.unit] / column.factor
