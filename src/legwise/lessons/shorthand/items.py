"""Items that need no more than the word behind them: levels, speeds, settings, a runway to circle to, and flags."""

from __future__ import annotations

import re

from legwise.lessons.shorthand.clock import needed_time
from legwise.lessons.shorthand.heard import Heard
from legwise.lessons.shorthand.numbers import needed_pressure
from legwise.lessons.shorthand.scanning import Cursor, Word
from legwise.model.lesson import Time

SPEED = re.compile(r"(?P<number>[0-9]+(?:\.[0-9]+)?)(?P<unit>kt|kts|k|kias)?", re.IGNORECASE)
_LEVEL = re.compile(r"[0-9]{2,3}(\.[0-9]+)?")
_RUNWAY = re.compile("(?:rwy?)?(?P<number>0?[1-9]|[12][0-9]|3[0-6])(?P<side>[lrc]?)", re.IGNORECASE)
_COURSES = frozenset({"loc", "localizer", "localiser", "llz", "final", "fac", "ils", "course", "crs", "the", "apch"})


def hear_simple(action: str, cursor: Cursor, word: Word, heard: Heard, before: Time | None) -> None:
    """Note what ``word`` says with what follows it; an action that is none of these is a key that is true.

    Raises
    ------
    LessonError
        What must follow does not.
    """
    if action == "until-established":
        heard.put(("altitude_until",), "established", word)
    elif action == "vtf":
        heard.put(("until",), "final", word)
    elif action == "standard":
        heard.put_setting({"standard": True}, word)
    elif action == "setting":
        number = cursor.take()
        heard.put_pressure(needed_pressure(number, word), word.until(number or word))
    elif action == "level":
        _hear_level(cursor, word, heard)
    elif action == "speed":
        _hear_speed(cursor, word, heard)
    elif action == "circle":
        _hear_circle(cursor, word, heard)
    elif action == "efc":
        _hear_efc(cursor, word, heard, before)
    elif action == "join":
        while (course := cursor.peek()) is not None and course.key in _COURSES:
            cursor.take()
        heard.put(("join",), True, word)
    elif action != "filler":
        heard.put((action,), True, word)


def _hear_level(cursor: Cursor, word: Word, heard: Heard) -> None:
    number = cursor.take()
    if number is None or not _LEVEL.fullmatch(number.text):
        raise (number or word).refused("no flight level follows", "Write it like FL60.")
    heard.put(("flight_level",), float(number.text), word.until(number))


def _hear_speed(cursor: Cursor, word: Word, heard: Heard) -> None:
    number = cursor.take()
    match = SPEED.fullmatch(number.text) if number is not None else None
    if number is None or match is None:
        raise (number or word).refused("no speed follows", "Write knots: S120 or 120kt.")
    heard.put(("speed_kt",), float(match["number"]), word.until(number))


def _hear_circle(cursor: Cursor, word: Word, heard: Heard) -> None:
    runway = cursor.take()
    match = _RUNWAY.fullmatch(runway.text) if runway is not None and not runway.quoted else None
    if runway is None or match is None:
        raise (runway or word).refused("no runway follows circle", "Write it like circle 09 or circle 27L.")
    heard.put(("circle",), f"RW{int(match['number']):02d}{match['side'].upper()}", word.until(runway))


def _hear_efc(cursor: Cursor, word: Word, heard: Heard, before: Time | None) -> None:
    efc = needed_time(cursor.take(), word, before)
    if ("hold", "fix") not in heard.said:
        raise word.refused("EFC stands without a hold", "It belongs to one: hold CALDU EFC 1345.")
    heard.put(("hold", "efc"), efc, word)
