"""A column of offsets from UTC: as ±HH:MM, in hours, in minutes or in seconds."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from legwise.errors import CallError, ColumnError
from legwise.model.arrays import FloatArray
from legwise.tracks.headings.vocabulary import words_of
from legwise.tracks.times.one_time import offset_seconds
from legwise.tracks.values.angles import TextArray
from legwise.tracks.wording import joined, shown

_NUMBER = re.compile(r"[+\-−]?\d{1,5}([.,]\d{1,4})?")
_LEAST_S, _MOST_S, _STEP_S = -12 * 3600.0, 14 * 3600.0, 900.0
"""The offsets in use: from -12 h to +14 h, by the quarter of an hour (from memory)."""

_DAMAGED_PART = 0.1
"""So many of a column's offsets may be damaged: they don't decide how the others are read."""

_WORDS = {
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), "hours"),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), "minutes"),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "seconds"),
}


def _in_figures(number: float) -> float:
    """±HHMM as one number."""
    size = abs(number)
    if size % 100 >= 60 or size != int(size):
        return np.nan
    return float(np.sign(number)) * (size // 100 * 3600.0 + size % 100 * 60.0)


_READINGS: dict[str, Callable[[float], float]] = {
    "hours": lambda number: number * 3600.0,
    "hours and minutes": _in_figures,
    "minutes": lambda number: number * 60.0,
    "seconds": lambda number: number,
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Offsets:
    """The offset of each record [s] (NaN: none), how they were read, a text that is none (empty: every one is), and on
    how many records such a text stands.
    """

    offset_s: FloatArray
    note: str
    unreadable: str = ""
    unread: int = 0


def offsets_of(texts: TextArray, heading: str, statement: str, where: str) -> Offsets:
    """The offsets of a column.

    A blank one is that of the others where they are all the same. Raises :class:`ColumnError` where it can't be told
    in what they are written.
    """
    known: dict[str, float] = {"": np.nan}
    numbers: dict[str, float] = {}
    counts = Counter(texts.tolist())
    # "-7200" is ±HHMM only where the heading doesn't say that it is in seconds.
    is_in_figures = not {_WORDS[word] for word in words_of(statement) if word in _WORDS} & {"minutes", "seconds"}
    for text in counts:
        clean = text.strip()
        if not clean:
            known[text] = np.nan
            continue
        if _NUMBER.fullmatch(clean) and not (is_in_figures and re.fullmatch(r"[+\-−]\d{4}", clean)):
            numbers[text] = float(clean.replace(",", ".").replace("−", "-"))
            continue
        try:
            known[text] = offset_seconds(clean)
        except CallError:
            known[text] = np.nan
    weighed = {number: counts[text] for text, number in numbers.items()}
    reading = _reading_of(weighed, heading, statement, where) if weighed else ""
    known |= {text: _plausible(_READINGS[reading](number)) for text, number in numbers.items()}
    some = {value for value in known.values() if not np.isnan(value)}
    unreadable = next((text for text in sorted(known) if text.strip() and np.isnan(known[text])), "")
    if len(some) == 1 and not unreadable:
        known[""] = next(iter(some))
    note = f"the offset from UTC is taken from its own column {shown(heading)}"
    if reading and reading != "hours":
        note += f", in {reading}"
    if len(some) > 1:
        note += f"; it changes in the log ({len(some)} different ones)"
    return Offsets(
        offset_s=np.array([known[text] for text in texts.tolist()], dtype=np.float64),
        note=note,
        unreadable=unreadable,
        unread=sum(count for text, count in counts.items() if text.strip() and np.isnan(known[text])),
    )


def _reading_of(counts: Mapping[float, int], heading: str, statement: str, where: str) -> str:
    """In what the numbers of a column are written: as stated, else the one reading that makes offsets of them."""
    stated = {_WORDS[word] for word in words_of(statement) if word in _WORDS}
    if len(stated) == 1:
        return stated.pop()
    most = _DAMAGED_PART * sum(counts.values())
    fitting = [
        name
        for name, read in _READINGS.items()
        if sum(count for number, count in counts.items() if np.isnan(_plausible(read(number)))) <= most
    ]
    if fitting[:1] == ["hours"] or len(fitting) == 1:
        return fitting[0]
    told = f"can be in {joined(fitting, 'or')}" if fitting else "is none that is in use"
    usual = max(counts, key=lambda number: counts[number])
    raise ColumnError(
        f"the offset from UTC in {shown(heading)} ({usual:g}) {told}",
        where=where,
        remedy="Say it: --utc-offset ±HH:MM, or utc_offset in [columns].",
    )


def _plausible(offset_s: float) -> float:
    is_one = _LEAST_S <= offset_s <= _MOST_S and offset_s % _STEP_S == 0.0
    return offset_s if is_one else np.nan
