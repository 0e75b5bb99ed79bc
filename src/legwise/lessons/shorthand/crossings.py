"""An altitude at a fix: "x CALDU 40+", "cross CALDU at or below 4000", "x CALDU 30+ 50-"."""

from __future__ import annotations

from collections.abc import Mapping

from legwise.lessons.shorthand.heard import Heard
from legwise.lessons.shorthand.idents import needed_ident, split_glued
from legwise.lessons.shorthand.numbers import height_of, needed_height
from legwise.lessons.shorthand.scanning import Cursor, Word

_ABOVE = (
    ("at", "or", "above"),
    ("@", "or", "above"),
    ("aoa",),
    ("abv",),
    ("above",),
    ("or", "above"),
    ("or", "higher"),
)
_BELOW = (("at", "or", "below"), ("@", "or", "below"), ("aob",), ("blo",), ("below",), ("or", "below"), ("or", "lower"))
_KEYS = {"": "at_ft", "+": "at_or_above_ft", "-": "at_or_below_ft"}


def hear_crossing(cursor: Cursor, after: Word, heard: Heard, known: Mapping[str, str]) -> None:
    """Note the crossing behind ``after``. Raises LessonError where its fix or its altitude is missing."""
    name = cursor.take()
    ident = needed_ident(name, after, known)
    after = after if name is None else after.until(name)
    heard.put(("crossing", "fix"), ident, after)
    _hear_limit(cursor, after, heard)
    while _another_limit(cursor):
        _hear_limit(cursor, after, heard)


def _hear_limit(cursor: Cursor, after: Word, heard: Heard) -> None:
    bound = _bound(cursor)
    following = cursor.peek()
    if not bound and following is not None and following.key in ("at", "@"):
        cursor.take()
    following = cursor.peek()
    if following is not None and following.key == "a":
        cursor.take()
    elif following is not None and split_glued(following.text) and following.key.startswith("a"):
        cursor.split(1)
        cursor.take()
    number = cursor.take()
    height = needed_height(number, after, bounds=True)
    if number is not None and height.key != "altitude_ft":
        raise number.refused("an altitude at a fix takes feet", "Write it like x CALDU 6000.")
    bound = bound or height.bound or _bound(cursor)
    heard.put(("crossing", _KEYS[bound]), height.value, number or after)


def _another_limit(cursor: Cursor) -> bool:
    """Whether the other half of a window follows: a number with its bound, or the words for one."""
    following = cursor.peek()
    if following is None or following.quoted:
        return False
    height = height_of(following, hundreds=True, bounds=True)
    return bool(height and height.bound) or following.key in ("aoa", "aob", "abv", "blo", "above", "below")


def _bound(cursor: Cursor) -> str:
    """Take the words for "at or above" or "at or below", where they stand next."""
    for phrases, bound in ((_ABOVE, "+"), (_BELOW, "-")):
        for phrase in phrases:
            words = [cursor.peek(ahead) for ahead in range(len(phrase))]
            if tuple(word.key if word is not None else "" for word in words) == phrase:
                cursor.take(len(phrase))
                return bound
    return ""
