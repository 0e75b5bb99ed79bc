"""The unit that a heading, its cell in the units row, or a choice states: known, unknown, or two at once.

A unit that is stated is never passed over: where it is not known, the column is not read as if nothing were said.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from legwise.tracks.headings.quantities import (
    FOREIGN_UNITS,
    MILLIONTHS,
    MINUTES,
    SECONDS,
    TEN_MILLIONTHS,
    UNIT_WORDS,
    UNITS,
    Quantity,
)
from legwise.tracks.headings.vocabulary import MAX_HEADING, VOCABULARY, words_of
from legwise.tracks.wording import joined, shown

_BRACKETED = re.compile(r"\(([^()\[\]{}]*)\)|\[([^()\[\]{}]*)\]|\{([^()\[\]{}]*)\}")
_DIRECTIONS = frozenset({Quantity.TRACK, Quantity.HEADING})
_POSITIONS = frozenset({Quantity.LATITUDE, Quantity.LONGITUDE})
_LONGEST_UNIT = 12
_FORMS = (
    (re.compile(r"(?<![a-z])d{2,3}\W?mm\W?ss", re.I), SECONDS),
    (re.compile(r"(?<![a-z])d{2,3}\W?mm", re.I), MINUTES),
    (re.compile(r"(?:(?<![A-Za-z\d])1?[eE]|(?<=[a-z])E)-?7(?!\d)|10\^?-?7(?!\d)"), TEN_MILLIONTHS),
    (re.compile(r"(?:(?<![A-Za-z\d])1?[eE]|(?<=[a-z])E)-?6(?!\d)|10\^?-?6(?!\d)|[mM]icro\s?deg|µ(deg|°)"), MILLIONTHS),
)
_SCALES = {"hundred": 100, "hundreds": 100, "100": 100, "thousand": 1000, "thousands": 1000, "1000": 1000}
_SCALED_FT = {100: "hundreds of ft", 1000: "thousands of ft"}
_SCALE_NAMES = frozenset(word for word in _SCALES if word.isalpha())
_TIMES = re.compile(r"[x×*]\s*10+\b")
_DIVIDED = re.compile(r"[/÷]\s*10+\b")
_NO_UNITS = frozenset(
    {
        "raw", "corrected", "filtered", "smoothed", "avg", "average", "averaged", "est", "estimated", "calc",
        "calculated", "computed", "derived", "uncorrected", "source", "sensor", "internal", "external", "primary",
        "secondary", "main", "left", "right", "optional", "float", "double", "int", "integer", "real", "num",
        "numeric", "text", "string", "str", "bool", "enum", "value", "unit", "units", "none", "null", "na", "signed",
        "unsigned", "nose", "north", "south", "east", "west", "up", "down", "positive", "per", "x", "log",
    }
)  # fmt: skip
"""Words in brackets or in a units row that tell something else than a unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedUnit:
    """``unit`` is one of the quantity's, empty where none is stated; ``problem`` says why the statement can't be used
    (with no subject: "states the unit “hPa”, which is not known for an altitude").
    """

    unit: str = ""
    problem: str = ""


def stated_unit(quantity: Quantity, heading: str, units_cell: str = "", *, is_choice: bool = False) -> StatedUnit:
    """The unit stated for a quantity by a heading and by the cell of a units row below it.

    With ``is_choice`` the cell is a unit that a person named: every word of it counts.
    """
    units = UNITS.get(quantity)
    if units is None or list(units) == [""]:
        return StatedUnit()
    if quantity in _POSITIONS and (form := position_form(f"{heading} {units_cell}")):
        return StatedUnit(unit=form)
    heading_words, cell_words = words_of(heading), words_of(units_cell)
    found: dict[str, None] = {}
    unknown: dict[str, None] = {}
    for words, text in ((heading_words, heading), (cell_words, units_cell)):
        known = [unit for word in words if (unit := _known(word, quantity))]
        if quantity is Quantity.ALTITUDE:
            known, odd = _scaled(words, known, text)
            unknown |= dict.fromkeys(odd)
        elif _SCALE_NAMES & set(words) or _TIMES.search(text):
            unknown[text.strip()[:MAX_HEADING]] = None
        found |= dict.fromkeys(known)
        unknown |= dict.fromkeys(_as_written(word, text) for word in words if _is_foreign(word, quantity))
    if not found and not unknown and quantity not in _POSITIONS:
        cells = [units_cell] if units_cell else []
        texts = cells if is_choice else [*cells, *("".join(groups) for groups in _BRACKETED.findall(heading))]
        unknown |= dict.fromkeys(text.strip() for text in texts if _is_unheard_of(text, is_choice))
    if unknown:
        problem = f"states the unit {shown(next(iter(unknown)), 30)}, which is not known for {_one(quantity)}"
    elif len(found) > 1:
        problem = f"states {len(found)} units, {joined(list(found))}"
    else:
        return StatedUnit(unit=next(iter(found), ""))
    return StatedUnit(problem=problem)


def known_units(quantity: Quantity) -> str:
    """The units of a quantity for a message."""
    return ", ".join(unit or "(none)" for unit in UNITS.get(quantity, {})) or "(none)"


def position_form(text: str) -> str:
    """The form of a position that a heading or a unit names besides degrees: ddmm.mmmm, 1e-7 degrees and their like."""
    for pattern, form in _FORMS:
        if pattern.search(text[:MAX_HEADING]):
            return form
    return ""


def _known(word: str, quantity: Quantity) -> str:
    unit = UNIT_WORDS.get(word, "")
    # "Heading M" is magnetic, "Altitude M" in metres.
    return unit if unit in UNITS[quantity] and not (quantity in _DIRECTIONS and len(word) == 1) else ""


def _scaled(words: tuple[str, ...], known: list[str], text: str) -> tuple[list[str], list[str]]:
    """Feet by the hundred or the thousand, as flight levels are; any other unit so written is not known."""
    if {"flight", "level"} <= set(words):
        known = [*known, "hundreds of ft"]
    scales = {_SCALES[word] for word in words if word in _SCALES}
    if not scales or not (known or _TIMES.search(text) or set(words) & _SCALE_NAMES):
        return known, []
    scaled = _SCALED_FT[min(scales)]
    if len(scales) == 1 and set(known) <= {"ft", scaled} and not _DIVIDED.search(text):
        return [scaled], []
    return [], [text.strip()[:MAX_HEADING]]


def _is_foreign(word: str, quantity: Quantity) -> bool:
    """Whether a word is a unit, but none of this quantity."""
    if word == "m":
        return quantity not in _DIRECTIONS | _POSITIONS and not _known(word, quantity)
    if word in FOREIGN_UNITS:
        return True
    is_other = word in UNIT_WORDS and len(word) > 1 and UNIT_WORDS[word] not in _ANY_QUANTITY
    return is_other and not _known(word, quantity) and word not in _ALSO_NAMES


_ANY_QUANTITY: Final = frozenset({"s", "ms"})
_ALSO_NAMES: Final = frozenset({"kias", "ktas", "fl"})


def _is_unheard_of(text: str, is_choice: bool) -> bool:
    """Whether what stands in brackets or in a units row can only be a unit, and none that is known."""
    bare = text.strip()
    if is_choice:
        return bool(bare)
    if bare == "%":
        return True
    words = words_of(bare)
    plain = [word for word in words if not word.isdigit()]
    is_word = bool(plain) and len(bare) <= _LONGEST_UNIT
    return is_word and not any(word in VOCABULARY or word in _NO_UNITS for word in plain)


def _as_written(word: str, text: str) -> str:
    match = re.search(re.escape(word), text, re.IGNORECASE)
    return match[0] if match else word


def _one(quantity: Quantity) -> str:
    return f"{'an' if quantity.value[0] in 'aiou' else 'a'} {quantity.value}"
