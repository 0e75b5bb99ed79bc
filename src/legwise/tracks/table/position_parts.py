"""Minutes and seconds of a position in columns of their own: "Lat deg" beside "Lat min". Without them it is up to a
degree away.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from legwise.errors import ColumnError
from legwise.model.arrays import FloatArray
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.headings.vocabulary import words_of
from legwise.tracks.table.columns import Column
from legwise.tracks.table.layout import Layout
from legwise.tracks.wording import listed

_MOST = 0.9
"""A few damaged values don't decide."""

_PART = re.compile(
    r"(?:(?:gps|gnss|aircraft|position|pos) ?)*(?:(?P<lat>lat(?:itude)?)|lon(?:g(?:itude)?)?|lng) ?"
    r"(?:(?:of|in|arc|decimal|dec) ?)*"
    r"(?:(?P<min>(?:(?<= )m|min(?:s|ut[a-z]{0,3})?))|(?P<sec>(?:(?<= )s|sec(?:s|ond[a-z]{0,2})?))|(?P<deg>d|deg[a-z]*))"
)
_LETTERS = ("m", "s")


def find_parts(layout: Layout, taken: set[int], at: str) -> dict[Quantity, tuple[Column, ...]]:
    """The column of minutes of latitude and of longitude, and that of seconds, told by their headings.

    A single letter ("Lat M") is one only beside another for the degrees ("Lat D"). Raises :class:`ColumnError` where
    two headings could be one of them.
    """
    found: dict[tuple[Quantity, str], list[int]] = {}
    for index, heading in enumerate(layout.headings):
        words = dict.fromkeys((*words_of(heading), *words_of(layout.units[index])))
        match = _PART.fullmatch(" ".join(words)) if heading else None
        if match is None:
            continue
        axis = Quantity.LATITUDE if match["lat"] else Quantity.LONGITUDE
        part = "min" if match["min"] else "sec" if match["sec"] else "deg"
        # "Latitude S" is south where no minutes stand beside it.
        key = f"{part} letter" if match[0].split()[-1] in _LETTERS else part
        found.setdefault((axis, key), []).append(index)
    parts: dict[Quantity, tuple[Column, ...]] = {}
    for axis in (Quantity.LATITUDE, Quantity.LONGITUDE):
        minutes, seconds = (found.get((axis, part), []) for part in ("min", "sec"))
        if not minutes and (axis, "deg") in found:
            minutes = found.get((axis, "min letter"), [])
        if not seconds and minutes:
            seconds = found.get((axis, "sec letter"), [])
        for of, word in ((minutes, "minutes"), (seconds, "seconds")):
            if len(of) > 1:
                raise ColumnError(
                    f"{len(of)} headings could be the {word} of the {axis.value}: "
                    f"{listed([layout.headings[index] for index in of])}",
                    where=at,
                    remedy="Rename one of them in the log.",
                )
        free = [index for index in (*minutes, *seconds) if index not in taken]
        if minutes and len(free) == len(minutes) + len(seconds):
            parts[axis] = tuple(Column.of_angle(axis, layout.headings[index], index, "") for index in free)
    return parts


def is_whole(degrees: FloatArray) -> bool:
    """Whether nearly all degrees that are known, and there are some, are whole ones."""
    known = degrees[np.isfinite(degrees)]
    return bool(known.size) and float(np.mean(known == np.round(known))) >= _MOST


def with_parts(degrees: FloatArray, parts: Sequence[FloatArray]) -> FloatArray:
    """Whole degrees with their minutes, and seconds, of the same sign [deg]; NaN where a part is missing or none.

    The sign is that of the degrees, of "-0" too; a minus before the minutes goes with one before the degrees or with 0.
    """
    size = np.abs(degrees)
    good = degrees == np.round(degrees)
    is_negative = np.signbit(degrees)
    for part, per_degree in zip(parts, (60.0, 3600.0), strict=False):
        good &= np.abs(part) < 60.0
        is_minus = np.signbit(part) & (part != 0.0)
        good &= ~is_minus | is_negative | (size == 0.0)
        is_negative = is_negative | (is_minus & (size == 0.0))
        size = size + np.abs(part) / per_degree
    return np.where(good, np.where(is_negative, -size, size), np.nan)
