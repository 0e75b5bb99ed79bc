"""What an element of a GPX track point means besides position, elevation and time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from legwise.model.track import AltitudeKind, Channel
from legwise.tracks.headings import meaning_of
from legwise.tracks.quantities import CHANNELS, KIND_WORDS, UNITS, Quantity
from legwise.tracks.stated_units import stated_unit
from legwise.tracks.wording import shown

_NOT_HERE = frozenset(
    {
        Quantity.TIME, Quantity.DATE, Quantity.UTC_OFFSET, Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.AIRCRAFT,
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementMeaning:
    """Where the number of an element goes and by what factor. ``rank`` 0 is an element of the format itself."""

    target: Channel | AltitudeKind
    factor: float
    rank: int
    name: str
    words: str


@lru_cache(maxsize=1024)
def meaning_of_element(local: str, unit: str, is_extension: bool) -> ElementMeaning | None:
    """The meaning of the element ``local`` (with the unit of its attribute, if any); None where it isn't read.

    A speed without a unit is in m/s and a course is true (GPX 1.0 schema); an airspeed without one in knots. An
    altitude in an extension is read only with its unit, since the format is metric and the trade is not.
    """
    meaning = meaning_of(local, unit)
    if meaning is None or meaning.quantity in _NOT_HERE:
        return None
    quantity = meaning.quantity
    stated = stated_unit(quantity, local, unit)
    unit_said = stated.unit
    if quantity is Quantity.ALTITUDE and not unit_said and not stated.problem:
        return None
    default = "m/s" if quantity in (Quantity.GROUNDSPEED, Quantity.VERTICAL_SPEED) else next(iter(UNITS[quantity]))
    unit_taken = unit_said or default
    target = meaning.kind if meaning.kind is not None else CHANNELS[quantity, meaning.reference]
    what = KIND_WORDS[target] if isinstance(target, AltitudeKind) else f"{quantity}{_reference(meaning.reference)}"
    in_unit = f" in {unit_taken}" if unit_taken else ""
    element = f"<{shown(local, 30).strip('“”')}>"
    words = (
        f"{element} {stated.problem}; it is not read" if stated.problem else f"{element} is taken as {what}{in_unit}"
    )
    return ElementMeaning(
        target=target,
        # NaN makes every value missing.
        factor=math.nan if stated.problem else UNITS[quantity][unit_taken],
        rank=meaning.rank + (10 if is_extension else 0),
        name=local[:60],
        words=words,
    )


def _reference(reference: str) -> str:
    return f" ({'true' if reference == 'true' else 'magnetic'})" if reference else ""
