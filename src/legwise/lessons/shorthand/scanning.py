"""A line of shorthand to its words, each with where it stands, and the error that points at one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from legwise.errors import LessonError
from legwise.lessons.words import nearest, plain
from legwise.model.route_text import caret_under

MOST_WORDS = 200
"""More than any one transmission holds."""

# A quoted name; a number with a comma for its thousands; an arrow; or what stands between blanks, commas and arrows.
_WORD = re.compile(
    r"""
    "(?P<quoted>(?:[^"]|"")*)"
    | [^\s0-9,;"→↑↓@]{0,3}[0-9]{1,2},[0-9]{3}(?![0-9])[^\s,;"→↑↓@]*
    | (?: [→↑↓@] | ->)
    | (?:(?!->)[^\s,;"→↑↓@])+
    | "
    """,
    re.VERBOSE,
)
_NUMBER = re.compile(r"-?[0-9]+(?:[.,][0-9]+)?")
_UNITS = {
    "kt": "kt", "kts": "kt", "knots": "kt", "ft": "ft", "feet": "ft", "nm": "nm", "miles": "nm", "mile": "nm",
    "min": "min", "mins": "min", "minute": "min", "minutes": "min", "sec": "s", "secs": "s", "seconds": "s",
    "hpa": "hpa", "mb": "mb", "inhg": "inhg", "k": "kt",
}  # fmt: skip
_LETTER_O = re.compile("[0-9][oO]|[oO][0-9]")
_SEPARATORS = frozenset({"-", "–", "—", "|", ".", ":"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of a file: its text, and how messages name it."""

    text: str
    where: str

    def refused(self, message: str, remedy: str, start: int, stop: int) -> LessonError:
        """The error about what stands from ``start`` to ``stop``, with carets under it."""
        carets = caret_under(self.text, start, stop)
        return LessonError(message, where=self.where, remedy=f"{remedy}\n{carets}" if remedy else carets)


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word of a line. ``quoted``: a name written in quotes, which is taken as it stands."""

    row: Row
    text: str
    start: int
    stop: int
    quoted: bool = False

    @property
    def key(self) -> str:
        """The word as it is looked up: in small letters; empty for a quoted one."""
        return "" if self.quoted else self.text.casefold()

    def until(self, other: Word) -> Word:
        """This word and all that follows it up to ``other``, as one."""
        return replace(self, text=self.row.text[self.start : other.stop], stop=other.stop)

    def part(self, start: int, stop: int | None = None) -> Word:
        """The characters of the word from ``start`` to ``stop``."""
        end = len(self.text) if stop is None else stop
        return replace(self, text=self.text[start:end], start=self.start + start, stop=self.start + end)

    def refused(self, message: str, remedy: str = "") -> LessonError:
        """The error about this word."""
        return self.row.refused(message, remedy, self.start, self.stop)

    def ambiguous(self, meanings: Iterable[str]) -> LessonError:
        """The error about a word that could mean several things: it is asked about, never guessed."""
        listed = "; or ".join(meanings)
        return self.refused(f"{plain(self.text)} could mean more than one thing", f"Write {listed}.")

    def unknown(self, expected: str, known: Iterable[str] = ()) -> LessonError:
        """The error about a word that is none of those ``expected``, with the nearest of the ``known`` ones."""
        close = nearest(self.text[:60], list(known))
        remedy = f"Expected {expected}."
        if _LETTER_O.search(self.text):
            remedy = f"There is a letter O among the figures: is it a zero? {remedy}"
        elif close:
            remedy += f" The nearest known word is {close}."
        return self.refused(f"{plain(self.text)} is not understood", remedy)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scanned:
    """The words of a line, and the remark at its end: its text, and the mark that begins it."""

    words: tuple[Word, ...]
    remark: str = ""
    mark: Word | None = None


def scan(row: Row) -> Scanned:
    """The words of a line up to a ``#`` or a remark, which begins with ``!`` or ``?`` and runs to the end.

    Raises
    ------
    LessonError
        A quotation mark without its twin, or a remark without text; more words than anybody says in one breath.
    """
    words: list[Word] = []
    for match in _WORD.finditer(row.text):
        text = match[0]
        if text.startswith("#"):
            break
        word = Word(row=row, text=text, start=match.start(), stop=match.end())
        if text[0] in "!?":
            # A question keeps its mark, so that it reads as one.
            remark = row.text[match.start() + (text[0] == "!") :].strip()
            if not remark.strip("!? "):
                raise word.refused("the remark is empty", 'Write its text behind the mark: "! asked for lower".')
            return Scanned(words=tuple(words), remark=remark, mark=word)
        if text == '"':
            raise word.refused("the quotation mark has no twin", 'A name of several words stands in two: "MY FIX".')
        if match["quoted"] is not None:
            word = replace(word, text=match["quoted"].replace('""', '"'), quoted=True)
        elif text in _SEPARATORS:
            continue
        elif text[-1] in ".:":  # behind an abbreviation, or behind the time
            word = word.part(0, max(1, len(text.rstrip(".:"))))
        if words and word.key in _UNITS and _NUMBER.fullmatch(words[-1].text) and not words[-1].quoted:
            number = words.pop()
            word = replace(number, text=number.text + _UNITS[word.key], stop=word.stop)
        words.append(word)
        if len(words) > MOST_WORDS:
            raise word.refused(f"more than {MOST_WORDS} words in one line", "Write an instruction a line.")
    return Scanned(words=tuple(words))


class Cursor:
    """The words of a line, one after another."""

    def __init__(self, words: Iterable[Word]) -> None:
        self._words = list(words)
        self._at = 0

    def peek(self, ahead: int = 0) -> Word | None:
        """The next word, or one further on, without taking it; None past the end."""
        at = self._at + ahead
        return self._words[at] if at < len(self._words) else None

    def take(self, count: int = 1) -> Word | None:
        """The next word, and on to the one after it; of ``count`` words, the last."""
        self._at += count
        return self._words[self._at - 1] if self._at <= len(self._words) else None

    def back(self) -> None:
        """Back to the word that was taken last."""
        self._at -= 1

    def split(self, letters: int) -> Word:
        """The next word as two, its first ``letters`` and the rest; the first of them."""
        word = self._words[self._at]
        self._words[self._at : self._at + 1] = [word.part(0, letters), word.part(letters)]
        return self._words[self._at]
