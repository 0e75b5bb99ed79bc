"""Line numbers of the keys and values of a TOML text.

The parser of the standard library keeps no positions. This scanner walks over a text that it has *accepted*, so it
needs to know where tokens end, not whether they are right.
"""

from __future__ import annotations

import bisect
import re
import tomllib

Place = tuple[str | int, ...]
"""Where a value stands: keys, and positions in lists from 0."""

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"[^"\\\n]*(?:\\.[^"\\\n]*)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_LONG_BASIC = re.compile(r'"""(?:[^"\\]++|\\.|"{1,2}(?!"))*"{3,5}', re.DOTALL)
_LONG_LITERAL = re.compile(r"'''(?:[^']++|'{1,2}(?!'))*'{3,5}")
_SCALAR = re.compile(r"[^,\]}\n#]+")


def line_map(text: str) -> dict[Place, int]:
    """The line (from 1) of every table, key and list item of ``text``, which :mod:`tomllib` must have accepted.

    A table that is written in several parts has the line of the first. The empty place is the file itself, line 1.
    """
    return _Scanner(text.replace("\r\n", "\n")).run()


class _Scanner:
    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._newlines = [match.start() for match in re.finditer("\n", text)]
        self._lines: dict[Place, int] = {(): 1}
        self._tables_so_far: dict[Place, int] = {}

    def run(self) -> dict[Place, int]:
        table: Place = ()
        self._skip(_BLANK)
        while self._at < len(self._text):
            if self._text.startswith("[", self._at):
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)
        return self._lines

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self._text, self._at)
        if match is None:
            raise ValueError(f"the scanner met unexpected text at offset {self._at}")
        self._at = match.end()
        return match[0]

    def _note(self, place: Place, line: int) -> None:
        for length in range(1, len(place) + 1):
            self._lines.setdefault(place[:length], line)

    def _line(self) -> int:
        return bisect.bisect_left(self._newlines, self._at) + 1

    def _header(self) -> Place:
        line = self._line()
        brackets = 2 if self._text.startswith("[[", self._at) else 1
        self._at += brackets
        keys = self._keys()
        self._at += brackets
        place: Place = ()
        for key in keys[:-1]:
            place = self._newest((*place, key))
        place = (*place, keys[-1])
        if brackets == 2:
            self._tables_so_far[place] = self._tables_so_far.get(place, 0) + 1
            self._lines.setdefault(place, line)
            place = self._newest(place)
        self._note(place, line)
        return place

    def _newest(self, place: Place) -> Place:
        """``place``, or the newest table in it where it is a list of tables."""
        return (*place, self._tables_so_far[place] - 1) if place in self._tables_so_far else place

    def _pair(self, table: Place) -> None:
        line = self._line()
        place = (*table, *self._keys())
        self._note(place, line)
        self._at += 1  # the equals sign
        self._skip(_BLANK)
        self._value(place)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._skip(_BLANK)
            keys.append(self._key())
            self._skip(_BLANK)
            if not self._text.startswith(".", self._at):
                return keys
            self._at += 1

    def _key(self) -> str:
        if self._text.startswith('"', self._at):
            quoted = self._skip(_BASIC)
            return next(iter(tomllib.loads(f"{quoted}=0"))) if "\\" in quoted else quoted[1:-1]
        if self._text.startswith("'", self._at):
            return self._skip(_LITERAL)[1:-1]
        return self._skip(_BARE_KEY)

    def _value(self, place: Place) -> None:
        start = self._text[self._at : self._at + 3]
        if start == '"""':
            self._skip(_LONG_BASIC)
        elif start == "'''":
            self._skip(_LONG_LITERAL)
        elif start[0] == '"':
            self._skip(_BASIC)
        elif start[0] == "'":
            self._skip(_LITERAL)
        elif start[0] == "[":
            self._list(place)
        elif start[0] == "{":
            self._inline_table(place)
        else:
            self._skip(_SCALAR)

    def _list(self, place: Place) -> None:
        self._at += 1
        item = 0
        while True:
            self._skip(_BLANK)
            if self._text.startswith("]", self._at):
                self._at += 1
                return
            self._note((*place, item), self._line())
            self._value((*place, item))
            item += 1
            self._skip(_BLANK)
            if self._text.startswith(",", self._at):
                self._at += 1

    def _inline_table(self, place: Place) -> None:
        self._at += 1
        while True:
            self._skip(_BLANK)
            if self._text.startswith("}", self._at):
                self._at += 1
                return
            self._pair(place)
            self._skip(_BLANK)
            if self._text.startswith(",", self._at):
                self._at += 1
