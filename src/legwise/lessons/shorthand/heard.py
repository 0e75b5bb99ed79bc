"""What one line was heard to say, with the word that said it, and the checks that a lesson file's tables pass too."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from legwise.errors import LessonError
from legwise.lessons.check_clearance import clearance_problems
from legwise.lessons.checks import cross_checks
from legwise.lessons.problems import Problem
from legwise.lessons.shorthand.clock import Clock
from legwise.lessons.shorthand.numbers import Pressure
from legwise.lessons.shorthand.scanning import Row, Word
from legwise.lessons.words import expectation, plain
from legwise.model.lesson import AltimeterSetting, Clearance, Event, Lesson, Remark

_IN_SHORTHAND = {
    "heading_deg_mag": "a heading (H250)",
    "altitude_ft": "an altitude (4000)",
    "direct,": "a direct (D→CALDU),",
    "hold,": "a hold (hold CALDU),",
    "cleared or": "an approach (clrd R27) or",
}

Key = tuple[str, ...]
"""A key of a clearance, ("hold", "fix") of what is in it."""
Checked = TypeVar("Checked", bound=BaseModel)


@dataclass(slots=True, kw_only=True)
class Heard:
    """What a line says: keys of one clearance, a setting, events and a remark."""

    row: Row
    clock: Clock = field(default_factory=Clock)
    clock_word: Word | None = None
    said: dict[Key, object] = field(default_factory=dict)
    words: dict[Key, Word] = field(default_factory=dict)
    setting: Mapping[str, object] | None = None
    setting_word: Word | None = None
    events: list[tuple[str, Word]] = field(default_factory=list)
    remark: str = ""
    remark_word: Word | None = None

    def put(self, key: Key, value: object, word: Word) -> None:
        """Note what a word says. Raises LessonError where the line has said it already."""
        if key in self.said:
            raise word.refused(
                f"{plain(word.text)} says again what {plain(self.words[key].text)} says",
                "A line is one instruction: write two lines, in the order they were said.",
            )
        self.said[key] = value
        self.words[key] = word

    def put_pressure(self, pressure: Pressure, word: Word) -> None:
        """Note an altimeter setting. Raises LessonError where the line has one already."""
        self.put_setting({pressure.key: pressure.value}, word)

    def put_setting(self, values: Mapping[str, object], word: Word) -> None:
        """Note an altimeter setting by its keys. Raises LessonError where the line has one already."""
        if self.setting_word is not None:
            raise word.refused("a second altimeter setting in one line", "Write each in a line of its own.")
        self.setting, self.setting_word = values, word

    @property
    def has_altitude(self) -> bool:
        """Whether the line assigns an altitude."""
        return bool({("altitude_ft",), ("flight_level",), ("hold", "altitude_ft")} & self.said.keys())

    def clearance(self) -> Clearance | None:
        """The instruction, or None where the line has none.

        Raises
        ------
        LessonError
            A value out of its range, or two things that exclude each other, with a caret under the word.
        """
        if not self.said:
            return None
        data: dict[str, object] = self._timed(accuracy=True)
        data.update({key[0]: value for key, value in self.said.items() if len(key) == 1})
        for table in ("hold", "crossing"):
            inner = {key[1]: value for key, value in self.said.items() if len(key) == 2 and key[0] == table}
            if inner:
                data[table] = inner
        clearance = self._validated(Clearance, data, "clearance")
        for problem in clearance_problems(("clearance", 0), clearance):
            raise self._in_words(problem)
        for problem in cross_checks(Lesson(clearance=(clearance,)), {}):
            raise self._in_words(problem)
        return clearance

    def altimeter(self) -> AltimeterSetting | None:
        """The altimeter setting, or None. Raises LessonError where it is out of its range."""
        if self.setting is None:
            return None
        return self._validated(AltimeterSetting, {**self._timed(accuracy=True), **self.setting}, "altimeter")

    def happened(self) -> tuple[Event, ...]:
        """The events of the line. Raises LessonError where the line has no time: an event is nothing without."""
        for _, word in self.events:
            if self.clock.time is None:
                raise word.refused("an event needs its time", f"Begin the line with it: 1358 {word.text}")
            if not self.said and self.setting is None and self.clock.accuracy_s is not None and self.clock_word:
                raise self.clock_word.refused("an event takes no accuracy", "Write its time alone, like 1358.")
        return tuple(self._validated(Event, {**self._timed(), "what": what}, "event") for what, _ in self.events)

    def remarked(self) -> Remark | None:
        """The remark of the line, or None. Raises LessonError where it is too long."""
        if not self.remark:
            return None
        return self._validated(Remark, {**self._timed(), "text": self.remark}, "remark")

    def _timed(self, *, accuracy: bool = False) -> dict[str, object]:
        data: dict[str, object] = {} if self.clock.time is None else {"time": self.clock.time}
        if accuracy and self.clock.accuracy_s is not None:
            data["time_accuracy_s"] = self.clock.accuracy_s
        return data

    def _validated(self, model: type[Checked], data: Mapping[str, object], table: str) -> Checked:
        try:
            return model.model_validate(data)
        except ValidationError as error:
            place = tuple(str(part) for part in error.errors(include_url=False)[0]["loc"])
        word = self._word_of(place, table)
        expected = expectation((table, 0, *place)) or "something else"
        found = plain(word.text) if word is not None else ", ".join(place)
        start, stop = (word.start, word.stop) if word is not None else (0, len(self.row.text))
        raise self.row.refused(f"found {found}, expected {expected}", "Is a digit wrong?", start, stop)

    def _word_of(self, key: Key, table: str) -> Word | None:
        if key and key[0] in ("time", "time_accuracy_s"):
            return self.clock_word
        if table == "altimeter":
            return self.setting_word
        if table == "remark":
            return self.remark_word
        while key and key not in self.words:
            key = key[:-1]
        return self.words.get(key)

    def _in_words(self, problem: Problem) -> LessonError:
        """A problem of the lesson's keys, told in the words of the line."""
        key = tuple(str(part) for part in problem.place[2:])
        word = self._word_of(key, "clearance") or next(
            (each for other, each in self.words.items() if other[: len(key)] == key), None
        )
        message, remedy = problem.message, problem.remedy
        for other, said in self.words.items():
            message = plain(said.text).join(re.split(rf"\b{re.escape(other[-1])}\b", message))
        remedy = remedy.replace("two [[clearance]]", "two lines")
        for key_word, in_shorthand in _IN_SHORTHAND.items():
            remedy = remedy.replace(key_word, in_shorthand)
        start, stop = (word.start, word.stop) if word is not None else (0, len(self.row.text))
        return self.row.refused(message.replace("instruction", "line"), remedy, start, stop)
