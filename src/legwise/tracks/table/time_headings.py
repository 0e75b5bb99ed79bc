"""Which of several columns of times is taken where the plainest of them lacks a date."""

from __future__ import annotations

import re

import numpy as np

from legwise.tracks.headings.meanings import Meaning
from legwise.tracks.table.layout import Layout, cells_under
from legwise.tracks.times.one_time import taken_apart

_EPOCH = re.compile(r"\d{9,19}([.,]\d+)?")


def dated_before_undated(times: list[tuple[Meaning, int]], dates: list[tuple[Meaning, int]], layout: Layout) -> None:
    """Leave of ``times`` only those with a whole instant where the plainest has none, and no date stands beside it.

    A whole instant has a date and a zone, in its cells or its heading, or is a count since 1970.
    """
    if len(times) < 2 or dates:
        return
    whole = [one for one in times if _is_whole(one[0], cells_under(layout, one[1]))]
    best = min(meaning.rank for meaning, _index in times)
    if whole and not any(meaning.rank == best for meaning, _index in whole):
        times[:] = whole


def _is_whole(meaning: Meaning, cells: list[str]) -> bool:
    some = [cell for cell in cells if cell][:3]
    return bool(some) and all(_is_instant(cell, meaning) for cell in some)


def _is_instant(cell: str, meaning: Meaning) -> bool:
    if _EPOCH.fullmatch(cell):
        return True
    apart = taken_apart(cell)
    return apart is not None and bool(apart.date) and (meaning.zone_s is not None or not np.isnan(apart.zone_s))
