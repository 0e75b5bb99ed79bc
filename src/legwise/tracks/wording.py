"""Words for messages: what a file holds is shown short and without control characters; many places become a few."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Callable, Iterable, Sequence
from pathlib import PurePath
from typing import TypeVar

from legwise.model.instants import instant, iso_z

_SHOWN_CHARACTERS = 60
_SHOWN_PLACES = 5
_PATH_CHARACTERS = 200
_TOLD = 5

_Thing = TypeVar("_Thing")


def clean(text: str) -> str:
    """``text`` on one line, a dot for each character that does not print: line ends, controls, marks that turn the
    direction of writing.
    """
    return text if text.isprintable() else "".join(letter if letter.isprintable() else "·" for letter in text)


def shown(text: str, characters: int = _SHOWN_CHARACTERS) -> str:
    """``text`` in quotes for a terminal: one line, nothing but printable characters, cut after ``characters``."""
    cut = clean(text[:characters])
    return f"“{cut}…”" if len(text) > characters else f"“{cut}”"


def shown_path(path: str | PurePath) -> str:
    """A path for a message: on one line, printable, and of a long one its end."""
    text = str(path)
    return clean(text if len(text) <= _PATH_CHARACTERS else f"…{text[-_PATH_CHARACTERS:]}")


def listed(texts: Iterable[str], most: int = 12) -> str:
    """Texts of a file side by side, each in quotes, the rest counted."""
    every = list(texts)
    words = ", ".join(shown(text, 30) for text in every[:most])
    return f"{words} and {len(every) - most} more" if len(every) > most else words


def places(numbers: Sequence[int], word: str = "line") -> str:
    """``line 7``, ``lines 7, 9 and 11``, ``lines 7, 9, 11, 12, 20 and 315 more``."""
    some = [str(number) for number in numbers[:_SHOWN_PLACES]]
    rest = len(numbers) - len(some)
    if rest:
        some.append(f"{rest} more")
    return f"{word} {some[0]}" if len(some) == 1 else f"{word}s {joined(some)}"


def joined(words: Sequence[str], last: str = "and") -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)


def nearest(word: str, known: Iterable[str]) -> str:
    """A sentence that names the known word most like ``word``; empty where none is near."""
    near = difflib.get_close_matches(word[:100], list(known), n=1, cutoff=0.5)
    return f"Did you mean {shown(near[0])}?" if near else ""


def clock(time_s: float) -> str:
    """An instant for a sentence: date and time in UTC to the second, or to the fraction that is there."""
    return iso_z(instant(time_s))


def stretch(start_s: float, end_s: float) -> str:
    """``2026-04-18T13:12:40Z to 13:12:52Z``."""
    start, end = instant(start_s), instant(end_s)
    text = iso_z(end)
    same_day = start.astimezone(dt.UTC).date() == end.astimezone(dt.UTC).date()
    return f"{iso_z(start)} to {text.partition('T')[2] if same_day else text}"


def several(texts: Sequence[str]) -> str:
    """A few stretches or instants side by side, the rest counted."""
    some = list(texts[:_SHOWN_PLACES])
    rest = len(texts) - len(some)
    if rest:
        some.append(f"{rest} more")
    return "; ".join(some)


def some_of(things: Sequence[_Thing], words: Callable[[_Thing], str]) -> str:
    """The first few in ``words``, and how many more there are: what is not shown is never put into words."""
    rest = len(things) - _TOLD
    told = [words(thing) for thing in things[:_TOLD]]
    return several(told) if rest <= 0 else f"{several(told)}; {rest} more"
