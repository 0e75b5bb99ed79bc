"""The details behind "hold CALDU": inbound course, turn, length of a leg, altitude, time of the onward clearance."""

from __future__ import annotations

import re
from collections.abc import Mapping

from legwise.errors import LessonError
from legwise.lessons.shorthand.clock import needed_time
from legwise.lessons.shorthand.heard import Heard
from legwise.lessons.shorthand.idents import needed_ident, split_glued
from legwise.lessons.shorthand.numbers import direction_of, height_of, is_direction, needed_height
from legwise.lessons.shorthand.scanning import Cursor, Word
from legwise.model.lesson import Time

_TURNS = {
    **dict.fromkeys(("l", "lh", "lt", "left"), "left"),
    **dict.fromkeys(("r", "rh", "rt", "right"), "right"),
}
_FILLERS = frozenset({
    "turn", "turns", "leg", "legs", "inbound", "inbd", "inb", "ib", "course", "crs", "as", "published", "pub", "on",
    "the",
})  # fmt: skip
_POINTS = frozenset({
    "n", "s", "e", "w", "ne", "nw", "se", "sw", "north", "south", "east", "west", "northeast", "northwest",
    "southeast", "southwest", "outbound", "ob", "radial",
})  # fmt: skip
_LENGTH = re.compile("(?P<number>[0-9]+(?:[.][0-9]+)?)(?P<unit>min|m|s|sec|nm)", re.IGNORECASE)


def hear_hold(cursor: Cursor, after: Word, heard: Heard, known: Mapping[str, str], before: Time | None) -> None:
    """Note the hold behind ``after``. Raises LessonError where its fix is missing, or a detail stands twice."""
    following = cursor.peek()
    if following is not None and following.key in _POINTS and following.key not in known:
        raise _no_point(following)
    ident = needed_ident(cursor.take(), after, known)
    heard.put(("hold", "fix"), ident, after)
    while (word := cursor.peek()) is not None and _hear_detail(cursor, word, heard, before):
        pass


def _hear_detail(cursor: Cursor, word: Word, heard: Heard, before: Time | None) -> bool:
    """Note one detail; False where the next word is none."""
    if word.quoted:
        return False
    key = word.key
    length = _LENGTH.fullmatch(word.text)
    level = height_of(word, hundreds=False)
    if split_glued(word.text) and key.startswith("efc"):
        cursor.split(3)
        return True
    if key in _POINTS:
        raise _no_point(word)
    cursor.take()
    if key in _TURNS:
        heard.put(("hold", "turn"), _TURNS[key], word)
    elif key == "efc":
        heard.put(("hold", "efc"), needed_time(cursor.take(), word, before), word)
    elif is_direction(word.text):
        degrees, kind = direction_of(word, "an inbound course")
        heard.put(("hold", f"inbound_course_deg_{kind}"), degrees, word)
    elif re.fullmatch("[0-9]{1,2}", word.text):
        raise word.ambiguous(
            (f"{word.text.zfill(3)} or {word.text}0 for the inbound course", f"@{word.text} for {word.text}00 ft")
        )
    elif length:
        _put_length(length, word, heard)
    elif level is not None and level.key == "altitude_ft":
        heard.put(("hold", "altitude_ft"), level.value, word)
    elif key in ("@", "at"):
        number = cursor.take()
        level = needed_height(number, word)
        if level.key != "altitude_ft":
            raise (number or word).refused("a hold takes feet", "Write the level in front of it: FL60 hold CALDU.")
        heard.put(("hold", "altitude_ft"), level.value, number or word)
    elif key not in _FILLERS:
        cursor.back()
        return False
    return True


def _put_length(length: re.Match[str], word: Word, heard: Heard) -> None:
    number, unit = float(length["number"]), length["unit"].casefold()
    if unit == "nm":
        heard.put(("hold", "leg_nm"), number, word)
    else:
        heard.put(("hold", "leg_minutes"), number / 60.0 if unit.startswith("s") else number, word)


def _no_point(word: Word) -> LessonError:
    return word.refused(
        "a hold is written by its inbound course",
        "Write three digits of it behind the fix: hold CALDU 200 L. Published holds need the fix alone.",
    )
