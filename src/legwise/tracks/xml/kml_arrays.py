"""Arrays beside a KML track (``SimpleArrayData``): taken where name or schema say quantity and unit plainly."""

from __future__ import annotations

import math
from array import array
from dataclasses import dataclass, field

from legwise.tracks.headings.meanings import meaning_of
from legwise.tracks.headings.quantities import UNITS
from legwise.tracks.headings.units import stated_unit
from legwise.tracks.wording import shown
from legwise.tracks.xml.elements import NOT_ELEMENTS, ElementMeaning, meaning_words, target_of
from legwise.tracks.xml.guard import TEXT_KEPT
from legwise.tracks.xml.kml_found import MOST_TOLD, Found, Stretch
from legwise.tracks.xml.numbers import number_of

_MOST_MEANINGS = 500
_MOST_FIELDS = 1_000


def meaning_of_array(name: str, display: str) -> ElementMeaning | str | None:
    """What an array holds by its name and the ``displayName`` of its schema; in words why that is not plain; None for
    what is nothing that is read here.

    Angles without a unit are degrees, as all of KML's; any other quantity has its unit stated.
    """
    plain: dict[tuple[str, float], ElementMeaning] = {}
    why = problem = ""
    for text in dict.fromkeys((display, name)):
        meaning = meaning_of(text) if text else None
        if meaning is None or meaning.quantity in NOT_ELEMENTS:
            continue
        units = UNITS[meaning.quantity]
        stated = stated_unit(meaning.quantity, text)
        unit = stated.unit or next((unit for unit in ("", "deg") if unit in units), None)
        if stated.problem:
            problem = f"{shown(text, 40)} {stated.problem}"
        elif unit is None:
            why = f"{shown(text, 40)} states no unit"
        else:
            in_unit = f" in {unit}" if unit else ""
            words = f"the array {shown(text, 40)} is taken as {meaning_words(meaning)}{in_unit}"
            target = target_of(meaning)
            plain.setdefault(
                (target, units[unit]),
                ElementMeaning(target=target, factor=units[unit], rank=meaning.rank, name=text[:60], words=words),
            )
    if problem:
        return problem
    if len(plain) > 1:
        return f"{shown(name, 40)} and its heading {shown(display, 40)} don't say the same"
    return next(iter(plain.values()), None) or why or None


@dataclass(slots=True)
class _Column:
    """An array that is being read; ``values`` are kept only where it has a meaning."""

    name: str
    meaning: ElementMeaning | None
    values: array[float] = field(default_factory=lambda: array("d"))
    count: int = 0


class Arrays:
    """The schemas of the file, and the arrays of the track at hand."""

    def __init__(self, found: Found, most_rows: int) -> None:
        self._found = found
        self._most_rows = most_rows
        self._displays: dict[tuple[str, str], str] = {}
        self._meanings: dict[tuple[str, str], ElementMeaning | str | None] = {}
        self._schema = ""
        self._field = ""
        self._column: _Column | None = None
        self._columns: list[_Column] = []

    @property
    def wants_values(self) -> bool:
        """Whether the array at hand is one whose values are kept."""
        return self._column is not None and self._column.meaning is not None

    def begin_schema(self, name: str) -> None:
        """A ``Schema`` that tells of arrays begins, or a ``SchemaData`` that holds some of that schema."""
        self._schema = name

    def begin_field(self, attributes: dict[str, str]) -> None:
        """A ``SimpleArrayField`` of the schema begins."""
        self._field = attributes.get("name", "")

    def add_display_name(self, text: str) -> None:
        """What the field at hand is called."""
        if len(self._displays) < _MOST_FIELDS:
            self._displays.setdefault((self._schema, self._field), text)

    def begin_array(self, attributes: dict[str, str]) -> None:
        """A ``SimpleArrayData`` of the track begins."""
        name = attributes.get("name", "")[:TEXT_KEPT]
        self._column = _Column(name, self._meaning_of(name))

    def note_outside(self, attributes: dict[str, str]) -> None:
        """A ``SimpleArrayData`` begins that belongs to no track."""
        name = attributes.get("name", "")[:TEXT_KEPT]
        if self._meaning_of(name) is not None:
            self._found.pass_over(f"the array {shown(name, 40)} stands outside a track; it is not read")

    def _meaning_of(self, name: str) -> ElementMeaning | None:
        """The meaning of an array; where it has none, that is told."""
        key = (name, self._displays.get((self._schema, name), ""))
        if key not in self._meanings and len(self._meanings) < _MOST_MEANINGS:
            self._meanings[key] = meaning_of_array(*key)
        meaning = self._meanings.get(key)
        if isinstance(meaning, str):
            self._found.pass_over(f"{meaning}; the array is not read")
            return None
        if meaning is None and len(self._found.unknown_arrays) < MOST_TOLD:
            self._found.unknown_arrays[key[1] or name] = None
        return meaning

    def add_value(self, text: str, line: int) -> None:
        """A value of an array that has a meaning."""
        column = self._column
        if column is None:
            return
        column.count += 1
        value = number_of(text)
        if value is None:
            self._found.unreadable.append(line)
        if column.count <= self._most_rows:
            column.values.append(math.nan if value is None else value)

    def end_array(self) -> None:
        """Keep the array at hand, unless another of the track says the same more plainly."""
        column, self._column = self._column, None
        if column is None or column.meaning is None:
            return
        rival = next((one for one in self._columns if _target(one) == column.meaning.target), None)
        if rival is None:
            self._columns.append(column)
            return
        beaten = column
        if rival.meaning is not None and column.meaning.rank < rival.meaning.rank:
            self._columns[self._columns.index(rival)], beaten = column, rival
        why = f"the array {shown(beaten.name, 40)} holds what another array of the track holds; it is not read"
        self._found.pass_over(why)

    def end_track(self, start: int, rows: int) -> None:
        """Put the arrays beside the rows of the track that has ended."""
        columns, self._columns, self._column = self._columns, [], None
        for column in columns:
            if column.meaning is None:
                continue
            if column.count == rows:
                stretches = self._found.arrays.setdefault(column.meaning, [])
                stretches.append(Stretch(start=start, values=column.values))
            else:
                counts = f"{column.count} values for {rows} positions"
                self._found.pass_over(f"the array {shown(column.name, 40)} has {counts}; it is not read")


def _target(column: _Column) -> str:
    return column.meaning.target if column.meaning is not None else ""
