"""The fields of NMEA 0183 sentences, column by column: where they are, their figures and letters.

Everything works on the bytes of the log, so that no text is ever decoded. A field that is empty is missing; one that is
no number where one is due is told apart from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import BoolArray, FloatArray, IntArray

Characters = npt.NDArray[np.uint8]

PADDING = 32
"""Zero bytes that must follow the characters, so that looking past a field stays inside them."""

_LONGEST = 20
_MOST_FIGURES = 18
"""What a signed 64-bit integer surely holds."""


@dataclass(frozen=True, slots=True, eq=False)
class FieldTable:
    """Where the fields of sentences are, all arrays of shape (n,) but ``commas``.

    ``commas`` are the places of all commas in ``characters``, ``first`` the index in it of each sentence's first,
    ``count`` how many it has, ``stop`` where its last field ends.
    """

    characters: Characters
    commas: IntArray
    first: IntArray
    count: IntArray
    stop: IntArray

    def taken(self, rows: IntArray) -> FieldTable:
        """The table of some of the sentences."""
        return FieldTable(self.characters, self.commas, self.first[rows], self.count[rows], self.stop[rows])

    def span(self, number: int) -> tuple[IntArray, IntArray]:
        """Start and length of field ``number`` (the address is 0), blanks around it not counted; an absent one is
        empty.
        """
        last = len(self.commas) - 1
        if last < 0:
            return self.stop, np.zeros_like(self.stop)
        # np.clip looks up the limits of the type each time, which costs more than all the rest on a short log.
        before = np.minimum(np.maximum(self.first + (number - 1), 0), last)
        start = self.commas[before] + 1
        end = np.where(number < self.count, self.commas[np.minimum(self.first + number, last)], self.stop)
        length = np.where(number <= self.count, end - start, 0)
        return _without_blanks(self.characters, start, length)


def _without_blanks(characters: Characters, start: IntArray, length: IntArray) -> tuple[IntArray, IntArray]:
    for _ in range(_LONGEST):
        leads = (length > 0) & (characters[start] == ord(" "))
        trails = (length > 0) & ~leads & (characters[start + np.maximum(length - 1, 0)] == ord(" "))
        if not (leads.any() or trails.any()):
            break
        start = start + leads
        length = length - (leads | trails)
    return start, length


@dataclass(frozen=True, slots=True, eq=False)
class Decimals:
    """A column of decimal figures as written: ``mantissa`` over ten to the ``places``, of which ``whole`` figures stand
    before the point. ``is_number`` and ``is_empty`` exclude each other; where neither holds, the text is none.
    """

    mantissa: IntArray
    places: IntArray
    whole: IntArray
    is_number: BoolArray
    is_empty: BoolArray

    @property
    def values(self) -> FloatArray:
        """The numbers, NaN where there is none."""
        return np.where(self.is_number, self.mantissa / 10.0**self.places, np.nan)

    @property
    def is_unreadable(self) -> BoolArray:
        """Where there is text that is no number."""
        return ~self.is_number & ~self.is_empty

    @property
    def is_unsigned(self) -> BoolArray:
        """Where the text is figures and at most a point."""
        return self.is_number & (self.mantissa >= 0)


def decimals_of(table: FieldTable, number: int) -> Decimals:
    """Field ``number`` as decimal figures."""
    start, length = table.span(number)
    characters = table.characters
    count = len(start)
    fine = (length > 0) & (length <= _LONGEST)
    negative = np.zeros(count, dtype=np.bool_)
    mantissa = np.zeros(count, dtype=np.int64)
    figures = np.zeros(count, dtype=np.int64)
    whole = np.full(count, -1, dtype=np.int64)
    for place in range(min(int(length.max(initial=0)), _LONGEST)):
        inside = place < length
        character = characters[start + place] if inside.all() else characters[np.where(inside, start + place, 0)]
        figure = character - np.uint8(ord("0"))
        is_figure = inside & (figure <= 9)
        if is_figure.all():
            mantissa = mantissa * 10 + figure
            figures = figures + 1
        else:
            mantissa = np.where(is_figure, mantissa * 10 + figure, mantissa)
            figures = figures + is_figure
            is_point = inside & (character == ord(".")) & (whole < 0)
            whole = np.where(is_point, figures, whole)
            other = inside & ~is_figure & ~is_point
            if place == 0:
                negative = other & (character == ord("-"))
                other &= ~negative & (character != ord("+"))
            fine &= ~other
    whole = np.where(whole < 0, figures, whole)
    # Of more figures the integer has run over; such a text is no number.
    fine &= (figures > 0) & (figures <= _MOST_FIGURES)
    signed = np.where(negative, -mantissa, mantissa)
    return Decimals(signed, np.where(fine, figures - whole, 0), whole, fine, length == 0)


def letters_of(table: FieldTable, number: int) -> Characters:
    """The one capital letter or figure of field ``number``: 0 where it is empty, 1 where it is longer."""
    start, length = table.span(number)
    letter = table.characters[start]
    capital = np.where((letter >= ord("a")) & (letter <= ord("z")), letter - 32, letter)
    return np.where(length == 1, capital, np.minimum(length, 1)).astype(np.uint8)


def has_only(table: FieldTable, number: int, letters: bytes, most: int = 8) -> tuple[BoolArray, BoolArray]:
    """Whether the first ``most`` characters of field ``number`` are all among ``letters``, and whether one is.

    An empty field has neither.
    """
    start, length = table.span(number)
    wanted = np.zeros(256, dtype=np.bool_)
    wanted[np.frombuffer(letters, dtype=np.uint8)] = True
    every, some = length > 0, np.zeros(len(length), dtype=np.bool_)
    for place in range(min(int(length.max(initial=0)), most)):
        inside = place < length
        is_wanted = wanted[table.characters[start + np.where(inside, place, 0)]]
        every &= is_wanted | ~inside
        some |= is_wanted & inside
    return every, some
