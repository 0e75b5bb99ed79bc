"""The time that a line begins with, where its first word is one."""

from __future__ import annotations

import re

from legwise.lessons.shorthand.clock import ABOUT_S, Clock, accuracy_of, past_the_hour, time_of
from legwise.lessons.shorthand.heard import Heard
from legwise.lessons.shorthand.scanning import Cursor, Word
from legwise.model.lesson import Time

_ABOUT = frozenset({"~", "abt", "about", "ca", "circa"})


def hear_time(cursor: Cursor, heard: Heard, before: Time | None) -> Word | None:
    """Take the time that the line begins with, and how well it is known.

    Returns
    -------
        The word where it could be an altitude as well: a round hundred from 1000 to 2300, or two digits. Once the rest
        is heard, :func:`settle_time` decides.

    Raises
    ------
    LessonError
        Minutes past an hour that nothing tells.
    """
    first = cursor.peek()
    is_about = first is not None and (first.key in _ABOUT or first.text.startswith("~"))
    if first is not None and is_about:
        if first.key not in _ABOUT:
            cursor.split(1)
        cursor.take()
    word = cursor.peek()
    time = None if word is None or word.quoted else _first_time(word, before)
    if is_about and (word is None or time is None):
        raise (word or first or _nothing(heard)).refused("no time follows about", "Write it like ~1312.")
    if word is not None and time is not None:
        cursor.take()
        heard.clock_word = word
    following = cursor.peek()
    accuracy_s = accuracy_of(following) if following is not None and not following.quoted else None
    if following is not None and accuracy_s is not None:
        cursor.take()
        heard.clock_word = word.until(following) if word is not None and time is not None else following
    heard.clock = Clock(time, accuracy_s if accuracy_s is not None else ABOUT_S if is_about else None)
    is_sure = word is None or time is None or is_about or accuracy_s is not None or ":" in word.text
    return None if is_sure or not re.fullmatch("(1[0-9]|2[0-3])00|[1-5][0-9]", word.text if word else "") else word


def _nothing(heard: Heard) -> Word:
    return Word(row=heard.row, text="", start=0, stop=1)


def _first_time(word: Word, before: Time | None) -> Time | None:
    if re.fullmatch("[0-5][0-9]", word.text):
        if before is None and not word.text.startswith("0"):
            return None
        return past_the_hour(word, int(word.text), before)
    return time_of(word, before)


def settle_time(heard: Heard, doubtful: Word | None) -> None:
    """Decide what a first word is that could be a time or an altitude: a time where the line assigns another altitude
    or none could be, since it tells an event or a remark alone.

    Raises
    ------
    LessonError
        Nothing decides it, or the line says nothing but its time.
    """
    says_something = bool(heard.said or heard.setting_word or heard.events or heard.remark)
    word = heard.clock_word
    if doubtful is not None and not heard.has_altitude and (heard.said or heard.setting_word or not says_something):
        text = doubtful.text
        if len(text) == 4:
            raise doubtful.ambiguous((f"{text[:2]}:{text[2:]} for the time", f"{text}ft for the altitude"))
        raise doubtful.ambiguous(
            (f":{text} for minutes past the hour", f"A{text} for {text}00 ft", f"H{text}0 or H0{text} for a heading")
        )
    if word is not None and not says_something:
        shown = word.text
        hint = (
            f" An altimeter setting is QNH {shown}, an altitude {shown}ft." if re.fullmatch("[0-9]{4}", shown) else ""
        )
        raise word.refused("the line says nothing but its time", f"Write behind it what was said.{hint}")
