"""Headings of columns that only say something about another: a hemisphere, a fraction of a second, parts of a clock."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.headings.vocabulary import LOCAL, UTC, words_of, zone_in

LETTERS = {Quantity.LATITUDE: {"n": 1.0, "s": -1.0}, Quantity.LONGITUDE: {"e": 1.0, "w": -1.0}}
"""The letters of the hemispheres and the sign of each."""

_HALF = re.compile(r"[ap]\.?\s?m\.?", re.IGNORECASE)
_MOST = 0.8
_WHOLE_WORDS = {"north": "n", "south": "s", "east": "e", "west": "w"}
_NAMES = {
    Quantity.LATITUDE: frozenset({"lat", "latitude"}),
    Quantity.LONGITUDE: frozenset({"lon", "long", "lng", "longitude"}),
}
_BOTH = {Quantity.LATITUDE: (frozenset({"n", "s"}), "ns"), Quantity.LONGITUDE: (frozenset({"e", "w"}), "ew")}
_SIDES = frozenset({"dir", "direction", "hemisphere", "hemi", "hem", "indicator", "ref", "sign", "side"})
_PAIRS = frozenset({"position", "pos", "coordinate", "coordinates", "coords", "location"})
_BESIDE_PAIR = _PAIRS | frozenset({"gps", "gnss", "deg", "degrees", "decimal", "wgs", "84", "aircraft", "and"}).union(
    *_NAMES.values()
)
_PER_SECOND = {
    **dict.fromkeys(("ms", "msec", "millis", "millisecond", "milliseconds"), 1e3),
    **dict.fromkeys(("us", "usec", "micros", "microsecond", "microseconds"), 1e6),
    **dict.fromkeys(("centisecond", "centiseconds", "hundredth", "hundredths"), 1e2),
    **dict.fromkeys(("fraction", "subsecond", "subseconds"), 1.0),
}
_BESIDE_FRACTION = frozenset({"time", "gps", "of", "second", "seconds", "sub"}) | UTC | LOCAL
_PARTS = {
    **dict.fromkeys(("year", "yr"), "year"),
    **dict.fromkeys(("month", "mon"), "month"),
    "day": "day",
    **dict.fromkeys(("hour", "hours", "hr"), "hour"),
    **dict.fromkeys(("minute", "minutes", "min"), "minute"),
    **dict.fromkeys(("second", "seconds", "sec"), "second"),
}
_BESIDE_PART = frozenset({"time", "date", "clock", "of", "gps"}) | UTC | LOCAL


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockPart:
    """A column of years, months, days, hours, minutes or seconds: which of them, and of which clock."""

    part: str
    zone_s: float | None
    is_local: bool


def hemisphere_letter(cell: str) -> str:
    """``n``, ``s``, ``e`` or ``w`` for a cell that names a hemisphere, else nothing."""
    bare = cell.strip().casefold()
    letter = _WHOLE_WORDS.get(bare, bare)
    return letter if letter in ("n", "s", "e", "w") else ""


def heading_side(statement: str, axis: Quantity) -> str:
    """``s`` or ``w`` where the heading of a position, with its unit, says that it counts to that side; else nothing.

    One that names both sides, or says which is negative ("W-"), tells of signs.
    """
    said = frozenset(words_of(statement))
    letters = {letter for word in said if (letter := hemisphere_letter(word)) in LETTERS[axis]}
    if len(letters) != 1 or said & {"negative", "neg", "minus", "signed"} or _SIGNED_SIDE.search(statement):
        return ""
    letter = letters.pop()
    return letter if LETTERS[axis][letter] < 0.0 else ""


_SIGNED_SIDE = re.compile(
    r"(?:\b[sw]|south|west)\s*[-−](?!\s*\w)|(?:[(\[{,;=]|\s)\s*[-−]\s*(?:[sw]|south|west)\b", re.I
)


def speaks_of_side(heading: str, axis: Quantity) -> bool:
    """Whether a heading can be that of a column with the hemispheres of ``axis``."""
    said = frozenset(words_of(heading))
    both, joined = _BOTH[axis]
    of_axis = bool(said & _NAMES[axis])
    return said >= both or joined in said or (of_axis and bool(said & _SIDES))


def is_nothing_else(heading: str, axis: Quantity) -> bool:
    """Whether a heading that speaks of the hemispheres names both, or the word, and can't be of a lateral something."""
    said = frozenset(words_of(heading))
    both, joined = _BOTH[axis]
    return bool(said >= both or joined in said or said & {"hemisphere", "hemi", "hem"})


def may_be_any_side(heading: str) -> bool:
    """Whether a heading that stands beside a position says no more than that there are hemispheres, or nothing."""
    return frozenset(words_of(heading)) <= _SIDES


def holds_sides(cells: Sequence[str], axis: Quantity) -> bool:
    """Whether cells that are filled, and there are some, are hemispheres of ``axis``, but for a damaged one."""
    return bool(cells) and sum(hemisphere_letter(cell) in LETTERS[axis] for cell in cells) > _MOST * len(cells)


def holds_halves(cells: Sequence[str]) -> bool:
    """Whether cells that are filled, and there are some, are halves of the day, "am" or "pm", but for a damaged one."""
    return bool(cells) and sum(bool(_HALF.fullmatch(cell.strip())) for cell in cells) > _MOST * len(cells)


def names_pair(heading: str) -> bool:
    """Whether a heading names a position, or latitude and longitude both."""
    said = frozenset(words_of(heading))
    both = all(bool(said & names) for names in _NAMES.values())
    return (both or bool(said & _PAIRS)) and said <= _BESIDE_PAIR


def parts_per_second(heading: str) -> float | None:
    """How many of the units of a column of fractions make a second; None for any other heading."""
    words = [word for word in words_of(heading) if word not in _BESIDE_FRACTION]
    found = {_PER_SECOND.get(word, 0.0) for word in words}
    if not words and {"sub", "second"} <= frozenset(words_of(heading)):
        return 1.0
    return found.pop() if len(found) == 1 and 0.0 not in found else None


def clock_part(heading: str) -> ClockPart | None:
    """What part of a date or a time of day a heading names; None for any other heading."""
    every = words_of(heading)
    words = [word for word in every if word not in _BESIDE_PART]
    part = _PARTS.get(words[0]) if len(words) == 1 else None
    if part is None:
        return None
    return ClockPart(part=part, zone_s=zone_in(heading), is_local=bool(LOCAL & frozenset(every)))
