"""Times as they are scribbled: 1312, 13:12, 13:12:40, :14 for minutes past the hour, ~1312 for about then."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from legwise.lessons.shorthand.scanning import Word
from legwise.model.lesson import Time

ABOUT_S = 180.0
""""About" is taken as three minutes either side: common sense, no published source. [s]"""
_SLIP_MIN = 2
"""Minutes by which two times may stand the wrong way round: then ``:14`` could be either hour's."""

_CLOCK = re.compile(
    r"(?P<hour>[01][0-9]|2[0-3])[:.h]?(?P<minute>[0-5][0-9])(?:[:.]?(?P<second>[0-5][0-9](?:\.[0-9]{1,6})?))?z?",
    re.IGNORECASE,
)
_MINUTE = re.compile(r":(?P<minute>[0-5][0-9])z?", re.IGNORECASE)
_DATED = re.compile(r"[0-9]{4}-[0-9][0-9]-[0-9][0-9]T\S{4,40}", re.IGNORECASE)
_ACCURACY = re.compile(r"(?:±|\+/?-)(?P<number>[0-9]+(?:\.[0-9]+)?)(?P<unit>s|sec|m|min)?", re.IGNORECASE)
_HOW = "13:12, 1312, 13:12:40, or :12 for minutes past the hour"


@dataclass(frozen=True, slots=True)
class Clock:
    """A time that was read and how well it is known [s]; both None where none was."""

    time: Time | None = None
    accuracy_s: float | None = None


def looks_like_time(text: str) -> bool:
    """Whether a word can only be a time: it holds a colon or a date."""
    bare = text.lstrip("~@")
    return bool(":" in bare and (_CLOCK.fullmatch(bare) or _MINUTE.fullmatch(bare))) or bool(_DATED.fullmatch(bare))


def time_of(word: Word, before: Time | None) -> Time | None:
    """The time that a word is, or None; ``before`` is the latest time above it, for minutes past the hour.

    Raises
    ------
    LessonError
        Minutes past an hour that nothing tells, or a date and time that is none.
    """
    text = word.text
    clock = _CLOCK.fullmatch(text)
    if clock:
        if clock["second"] is None:
            return f"{clock['hour']}:{clock['minute']}"
        return dt.time.fromisoformat(f"{clock['hour']}:{clock['minute']}:{clock['second']}")
    minute = _MINUTE.fullmatch(text)
    if minute:
        return past_the_hour(word, int(minute["minute"]), before)
    if _DATED.fullmatch(text):
        return _dated(word)
    return None


def _dated(word: Word) -> dt.datetime:
    remedy = "Write it like 2026-04-18T13:12:40Z, with the zone."
    try:
        when = dt.datetime.fromisoformat(word.text.upper())
    except ValueError:
        raise word.refused("this is no date and time", remedy) from None
    if when.tzinfo is None:
        raise word.refused("the date and time have no zone", remedy)
    return when


def past_the_hour(word: Word, minute: int, before: Time | None) -> str:
    """The next time after ``before`` that is ``minute`` past an hour, over midnight too.

    Raises
    ------
    LessonError
        There is no time before it, or it is a minute or two before that time: then it may be a slip, or an hour later.
    """
    if before is None:
        raise word.refused(
            "minutes past the hour, and no line above tells the hour", "Write the first time whole: 13:14."
        )
    hour, since = _hour_and_minute(before)
    later = hour if minute >= since else (hour + 1) % 24
    if 0 < since - minute <= _SLIP_MIN:
        raise word.ambiguous((f"{hour:02d}:{minute:02d}", f"{later:02d}:{minute:02d} for an hour later"))
    return f"{later:02d}:{minute:02d}"


def _hour_and_minute(when: Time) -> tuple[int, int]:
    if isinstance(when, dt.datetime):
        when = when.astimezone(dt.UTC).time()
    elif isinstance(when, str):
        when = dt.time.fromisoformat(when)
    return when.hour, when.minute


def accuracy_of(word: Word) -> float | None:
    """Seconds of ``±20s`` or ``±2min`` (``+-20`` and ``+/-20`` too), or None where the word is none of them."""
    match = _ACCURACY.fullmatch(word.text)
    if match is None:
        return None
    unit = (match["unit"] or "s").casefold()
    return float(match["number"]) * (60.0 if unit.startswith("m") else 1.0)


def needed_time(word: Word | None, after: Word, before: Time | None) -> Time:
    """The time that must follow ``after``; two digits alone are minutes here.

    Raises
    ------
    LessonError
        No time follows.
    """
    if word is None:
        raise after.refused(f"no time follows {after.text}", f"Write it like {after.text} 1345.")
    if re.fullmatch("[0-5][0-9]", word.text):
        return past_the_hour(word, int(word.text), before)
    found = time_of(word, before)
    if found is None:
        raise word.unknown(f"a time: {_HOW}")
    return found
