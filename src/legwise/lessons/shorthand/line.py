"""One line of shorthand: an optional time, then items that make one instruction."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NoReturn

from legwise.lessons.shorthand.approaches import cleared_for
from legwise.lessons.shorthand.clock import looks_like_time
from legwise.lessons.shorthand.crossings import hear_crossing
from legwise.lessons.shorthand.heard import Heard
from legwise.lessons.shorthand.holds import hear_hold
from legwise.lessons.shorthand.idents import needed_ident, split_glued
from legwise.lessons.shorthand.items import SPEED, hear_simple
from legwise.lessons.shorthand.line_time import hear_time, settle_time
from legwise.lessons.shorthand.numbers import (
    Height,
    Pressure,
    bare_number,
    direction_of,
    height_of,
    is_direction,
    metar_or_altitude,
    needed_height,
    needed_pressure,
)
from legwise.lessons.shorthand.scanning import Cursor, Row, Word, scan
from legwise.lessons.shorthand.vocabulary import KNOWN_WORDS, LONGEST_PHRASE, PHRASES, Term
from legwise.lessons.words import plain
from legwise.model.lesson import LessonApproach, Time

_NOT_HERE = "an instruction such as H250, 4000, D→CALDU, hold CALDU, join, clrd R27"


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What a line is read with: fixes as they are written by their small letters, the lesson's approaches, and the
    latest time above the line."""

    fixes: Mapping[str, str]
    approaches: Sequence[LessonApproach]
    before: Time | None = None


def hear(row: Row, context: Context) -> Heard:
    """What a line says; nothing for a blank one and for a comment.

    Raises
    ------
    LessonError
        A word that is not understood or could mean two things, with a caret under it.
    """
    scanned = scan(row)
    heard = Heard(row=row, remark=scanned.remark, remark_word=scanned.mark)
    cursor = Cursor(scanned.words)
    doubtful = hear_time(cursor, heard, context.before)
    ears = _Ears(cursor, heard, context)
    while (word := cursor.peek()) is not None:
        ears.item(word)
    settle_time(heard, doubtful)
    return heard


class _Ears:
    """Hears the items of a line; a method for each action of the vocabulary."""

    def __init__(self, cursor: Cursor, heard: Heard, context: Context) -> None:
        self._cursor, self._heard, self._context = cursor, heard, context
        self._before = heard.clock.time or context.before
        self._hear: Mapping[str, Callable[[Term, Word], None]] = {
            "heading": self._heading,
            "left": self._turn,
            "right": self._turn,
            "runway-heading": self._runway_heading,
            "altitude": self._altitude,
            "alt": self._altitude_or_setting,
            "a": self._altitude_or_setting,
            "direct": self._direct,
            "hold": self._hold,
            "cleared": self._cleared,
            "cross": self._cross,
            "event": lambda term, word: self._heard.events.append((term.value, word)),
            "refused": self._refused,
            "in-sight-or-cleared": self._sight,
        }

    def item(self, word: Word) -> None:
        """Hear the item that ``word``, the next one, begins. Raises LessonError where it begins none."""
        term, length = self._phrase()
        if term is None and not word.quoted and split_glued(word.text):
            word = self._cursor.split(split_glued(word.text))
            term, length = self._phrase()
        if term is not None:
            here = word.until(self._cursor.take(length) or word)
            if term.action in self._hear:
                self._hear[term.action](term, here)
            else:
                hear_simple(term.action, self._cursor, here, self._heard, self._before)
        elif word.key in ("d", "rh"):
            self._letters(word)
        else:
            self._number(word)

    def _phrase(self) -> tuple[Term | None, int]:
        """The longest phrase that stands next, and of how many words."""
        keys = []
        for ahead in range(LONGEST_PHRASE):
            word = self._cursor.peek(ahead)
            if word is None or word.quoted:
                break
            keys.append(word.key)
        for length in range(len(keys), 0, -1):
            term = PHRASES.get(tuple(keys[:length]))
            if term is not None:
                return term, length
        return None, 0

    def _letters(self, word: Word) -> None:
        """D, which descends with a number and goes direct with a name; RH, which turns right with a number."""
        self._cursor.take()
        following = self._cursor.peek()
        is_number = following is not None and not following.quoted and following.text[:1].isdigit()
        if word.key == "rh":
            hear = self._turn if is_number else self._runway_heading
            hear(PHRASES[("right",)], word)
        elif is_number or (
            following is not None and following.key.startswith("fl") and height_of(following, hundreds=True)
        ):
            self._altitude(PHRASES[("climb",)], word)
        else:
            self._direct(PHRASES[("dct",)], word)

    def _number(self, word: Word) -> None:
        """A number that stands alone."""
        if looks_like_time(word.text):
            raise word.refused("the time stands in the middle of the line", "Begin the line with it.")
        speed = SPEED.fullmatch(word.text)
        if speed and speed["unit"]:
            self._cursor.take()
            self._heard.put(("speed_kt",), float(speed["number"]), word)
            return
        found = None if word.quoted else bare_number(word)
        if found is None:
            self._refuse(word)
        self._cursor.take()
        self._put(found, word)

    def _refuse(self, word: Word) -> NoReturn:
        if word.quoted or word.key in self._context.fixes:
            raise word.refused(
                f"{plain(word.text)} stands alone", f"Say what to do there: D→{plain(word.text)}, hold, or x to cross."
            )
        if word.text[-1:] in "+-" and height_of(word, hundreds=True, bounds=True):
            raise word.refused(
                "an altitude at or above, or at or below, belongs to a fix", f"Write it like x CALDU {word.text}."
            )
        raise word.unknown(_NOT_HERE, KNOWN_WORDS)

    def _put(self, found: Height | Pressure, word: Word) -> None:
        if isinstance(found, Pressure):
            self._heard.put_pressure(found, word)
        else:
            self._heard.put((found.key,), found.value, word)

    def _heading(self, _term: Term, word: Word) -> None:
        number = self._cursor.take()
        if number is None:
            raise word.refused("no heading follows", "Write three digits: H250.")
        self._put_heading(number, word)

    def _put_heading(self, number: Word, word: Word) -> None:
        degrees, kind = direction_of(number, "a heading")
        self._heard.put((f"heading_deg_{kind}",), degrees, word.until(number))

    def _turn(self, term: Term, word: Word) -> None:
        self._heard.put(("turn",), term.action, word)
        following = self._cursor.peek()
        if following is None:
            return
        if is_direction(following.text):
            self._cursor.take()
            self._put_heading(following, word)
        elif re.fullmatch("[0-9]{2}", following.text):
            number, letter = following.text, word.text[:1].upper()
            raise word.until(following).ambiguous(
                (f"{letter}0{number} or {letter}{number}0 for a heading", f"clrd {letter}{number} for an approach")
            )

    def _runway_heading(self, _term: Term, word: Word) -> None:
        number = self._cursor.take()
        if number is None or not is_direction(number.text):
            raise word.refused(
                f"{plain(word.text)} is runway heading, and nothing here tells which that is",
                "Write the heading: rwy hdg 052. A right turn is RH250.",
            )
        self._put_heading(number, word)

    def _altitude(self, _term: Term, word: Word) -> None:
        while (filler := self._cursor.peek()) is not None and filler.key in ("to", "and", "maintain", "maint", "at"):
            self._cursor.take()
        number = self._cursor.take()
        self._put(needed_height(number, word), word if number is None else word.until(number))

    def _altitude_or_setting(self, term: Term, word: Word) -> None:
        number = self._cursor.take()
        if number is None:
            raise word.refused(f"no altitude follows {word.text}", "Write it like A40 or 4000.")
        found = metar_or_altitude(number)
        if found is None and term.action == "alt":
            found = needed_pressure(number, word) if "." in number.text else None
        self._put(found or needed_height(number, word), word.until(number))

    def _direct(self, _term: Term, word: Word) -> None:
        while (filler := self._cursor.peek()) is not None and filler.key in ("to", "→", "->"):
            self._cursor.take()
        name = self._cursor.take()
        ident = needed_ident(name, word, self._context.fixes)
        self._heard.put(("direct",), ident, word if name is None else word.until(name))

    def _hold(self, _term: Term, word: Word) -> None:
        hear_hold(self._cursor, word, self._heard, self._context.fixes, self._before)

    def _cleared(self, _term: Term, word: Word) -> None:
        term, _ = self._phrase()
        if term is not None and term.action in ("direct", "hold", "resume"):
            return  # "cleared direct" is a direct
        name = cleared_for(self._cursor, word, self._context.approaches, self._context.fixes)
        self._heard.put(("cleared",), name, word)

    def _cross(self, _term: Term, word: Word) -> None:
        following = self._cursor.peek()
        if following is not None and following.key == "the":
            self._cursor.take()
            following = self._cursor.peek()
        if following is not None and following.key in ("final", "loc", "localizer", "fac"):
            self._cursor.take()
            self._heard.put(("across",), True, word.until(following))
        else:
            hear_crossing(self._cursor, word, self._heard, self._context.fixes)

    def _refused(self, term: Term, word: Word) -> None:
        raise word.refused(f"{plain(word.text)} is not taken down here", term.value)

    def _sight(self, _term: Term, word: Word) -> None:
        raise word.ambiguous(("rwy in sight for the runway seen", "clrd visual for a visual approach"))
