"""The ``[columns]`` table of a TOML file: which heading is which quantity, said by hand."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from legwise.errors import ColumnError, TrackFileError
from legwise.model.lesson import ColumnChoice, Lesson
from legwise.tracks.table.said_columns import check_keys
from legwise.tracks.times.instants import offset_seconds
from legwise.tracks.wording import nearest, shown, shown_path

_MOST_BYTES = 1_000_000

# The parser's work grows with the square of a dotted key's parts: such a key is refused before it is parsed.
_ENDLESS_KEY = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){20}""")
_SYNTAX_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_HOW = 'Write [columns] and below it time = "…" and the like.'


def read_columns_file(path: Path) -> tuple[Mapping[str, str | ColumnChoice], str | None]:
    """The columns and the offset from UTC (None: not said) of a file that holds a ``[columns]`` table; a lesson file
    is one.

    Raises :class:`TrackFileError` where it can't be read and :class:`ColumnError` on anything wrong in it.
    """
    path = Path(path)
    where = shown_path(path)
    document = _parsed(_text_of(path, where), where)
    known = [name for name, field in Lesson.model_fields.items() if not field.exclude]
    for key in document:
        if key not in known:
            raise ColumnError(f"there is no table {shown(key)}", where=where, remedy=nearest(key, known) or _HOW)
    table = document.get("columns")
    if not isinstance(table, dict):
        raise ColumnError("there is no table [columns]", where=where, remedy=_HOW)
    check_keys(table, where)
    offset = table.pop("utc_offset", None)
    if offset is not None:
        if not isinstance(offset, str):
            raise ColumnError("utc_offset is no text", where=where, remedy='Write it as "±HH:MM".')
        offset_seconds(offset, f"{where}, columns.utc_offset")
    return MappingProxyType({key: _choice(key, value, where) for key, value in table.items()}), offset


def _text_of(path: Path, where: str) -> str:
    try:
        if not path.is_file():
            raise TrackFileError("there is no such file of columns", where=where, remedy="Check the path.")
        with path.open("rb") as stream:
            content = stream.read(_MOST_BYTES + 1)
    except OSError as error:
        reason = shown(error.strerror or str(error))
        raise TrackFileError(f"the file can't be read: {reason}", where=where, remedy="Check the path.") from None
    if len(content) > _MOST_BYTES:
        raise TrackFileError("too large for a file of columns", where=where, remedy="Give a small TOML file.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise ColumnError(
            "this is no TOML: the text is not UTF-8", where=f"{where}, line {line}", remedy="Save it again as UTF-8."
        ) from None


def _parsed(text: str, where: str) -> dict[str, Any]:
    endless = _ENDLESS_KEY.search(text)
    if endless:
        line = text.count("\n", 0, endless.start()) + 1
        raise ColumnError("a key of more than 20 parts", where=f"{where}, line {line}", remedy=_HOW)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = _SYNTAX_PLACE.search(str(error))
        number = int(place[1]) if place and place[1] else text.count("\n") + 1
        words = _SYNTAX_PLACE.sub("", str(error))
        raise ColumnError(
            f"this is no TOML: {shown(words, 100)}", where=f"{where}, line {number}", remedy=_HOW
        ) from None
    except RecursionError:
        raise ColumnError("lists or tables are nested too deeply", where=where, remedy=_HOW) from None
    except ValueError:
        # Python has an upper end for the digits of a whole number.
        raise ColumnError("a number of thousands of digits", where=where, remedy=_HOW) from None


def _choice(key: str, value: Any, where: str) -> str | ColumnChoice:
    if isinstance(value, str) and value.strip():
        return value
    if isinstance(value, dict):
        return _choice_of_table(key, value, where)
    raise ColumnError(
        f"columns.{key} is neither a heading nor a table",
        where=where,
        remedy=f'Write {key} = "the heading in the log".',
    )


def _choice_of_table(key: str, table: dict[str, Any], where: str) -> ColumnChoice:
    known = list(ColumnChoice.model_fields)
    remedy = f'Write {key} = {{ heading = "…", unit = "…", kind = "…" }}.'
    for name, value in table.items():
        if name not in known:
            near = nearest(name, known) or remedy
            raise ColumnError(f"columns.{key} has no key {shown(name)}", where=where, remedy=near)
        if not isinstance(value, str) or not value.strip():
            raise ColumnError(f"columns.{key}.{name} is no text", where=where, remedy=remedy)
    if "heading" not in table:
        raise ColumnError(f"columns.{key} has no heading", where=where, remedy=remedy)
    return ColumnChoice(heading=table["heading"][:200], unit=table.get("unit"), kind=table.get("kind"))
