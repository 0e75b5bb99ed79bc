"""What an element beside position, elevation and time means: in a GPX track point, or as an array of a KML track."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from legwise.model.track import AltitudeKind, Channel
from legwise.tracks.headings.meanings import Meaning, meaning_of
from legwise.tracks.headings.quantities import CHANNELS, KIND_WORDS, UNITS, Quantity
from legwise.tracks.headings.units import stated_unit
from legwise.tracks.wording import shown

NOT_ELEMENTS = frozenset(
    {
        Quantity.TIME, Quantity.DATE, Quantity.UTC_OFFSET, Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.AIRCRAFT,
    }
)  # fmt: skip
"""What stands elsewhere: position and time, and whose track it is."""


MOST_TOLD = 20
"""Elements that the notes tell of one by one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementMeaning:
    """Where the number of an element goes and by what factor. ``rank`` 0 is an element of the format itself."""

    target: Channel | AltitudeKind
    factor: float
    rank: int
    name: str
    words: str


def ranked(meanings: Iterable[ElementMeaning]) -> list[ElementMeaning]:
    """Those of the format itself first, then by how plainly they say what they are."""
    return sorted(meanings, key=lambda meaning: (meaning.rank, meaning.name))


@lru_cache(maxsize=1024)
def meaning_of_element(local: str, unit: str, is_extension: bool) -> ElementMeaning | None:
    """The meaning of the element ``local`` (with the unit of its attribute, if any); None where it isn't read.

    A speed without a unit is in m/s and a course is true (GPX 1.0 schema); an airspeed without one in knots. An
    altitude in an extension is read only with its unit, since the format is metric and the trade is not.
    """
    meaning = meaning_of(local, unit)
    if meaning is None or meaning.quantity in NOT_ELEMENTS:
        return None
    quantity = meaning.quantity
    stated = stated_unit(quantity, local, unit)
    unit_said = stated.unit
    if quantity is Quantity.ALTITUDE and not unit_said and not stated.problem:
        return None
    default = "m/s" if quantity in (Quantity.GROUNDSPEED, Quantity.VERTICAL_SPEED) else next(iter(UNITS[quantity]))
    unit_taken = unit_said or default
    in_unit = f" in {unit_taken}" if unit_taken else ""
    element = f"<{shown(local, 30).strip('“”')}>"
    words = (
        f"{element} {stated.problem}; it is not read"
        if stated.problem
        else f"{element} is taken as {meaning_words(meaning)}{in_unit}"
    )
    return ElementMeaning(
        target=target_of(meaning),
        # NaN makes every value missing.
        factor=math.nan if stated.problem else UNITS[quantity][unit_taken],
        rank=meaning.rank + (10 if is_extension else 0),
        name=local[:60],
        words=words,
    )


def target_of(meaning: Meaning) -> Channel | AltitudeKind:
    """Where the numbers of a meaning go."""
    return meaning.kind if meaning.kind is not None else CHANNELS[meaning.quantity, meaning.reference]


def meaning_words(meaning: Meaning) -> str:
    """``heading (true)``, ``pressure altitude``, ... for a note."""
    if meaning.kind is not None:
        return KIND_WORDS[meaning.kind]
    references = {"true": " (true)", "mag": " (magnetic)"}
    return f"{meaning.quantity}{references.get(meaning.reference, '')}"
