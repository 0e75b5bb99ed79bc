"""The ``[columns]`` table of a TOML file: which heading is which quantity, said by hand."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from legwise.errors import ColumnError, TrackFileError
from legwise.model.lesson import ColumnChoice, Lesson
from legwise.tracks.said_columns import check_keys
from legwise.tracks.times import offset_seconds
from legwise.tracks.wording import nearest, shown, shown_path

_MOST_BYTES = 1_000_000


def read_columns_file(path: Path) -> tuple[Mapping[str, str | ColumnChoice], str | None]:
    """The columns and the offset from UTC (None: not said) of a file that holds a ``[columns]`` table; a lesson file
    is one.

    Raises :class:`TrackFileError` where it can't be read and :class:`ColumnError` on anything wrong in it.
    """
    path = Path(path)
    where = shown_path(path)
    try:
        if not path.is_file():
            raise TrackFileError("there is no such file of columns", where=where, remedy="Check the path.")
        if path.stat().st_size > _MOST_BYTES:
            raise TrackFileError("too large for a file of columns", where=where, remedy="Give a small TOML file.")
        document = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except (OSError, ValueError, RecursionError) as error:
        raise ColumnError(
            f"no TOML that can be read: {error}",
            where=where,
            remedy='Write [columns] and below it time = "…" and the like.',
        ) from None
    known = [name for name, field in Lesson.model_fields.items() if not field.exclude]
    for key in document:
        if key not in known:
            raise ColumnError(f"there is no table {shown(key)}", where=where, remedy=nearest(key, known))
    table = document.get("columns")
    if not isinstance(table, dict):
        raise ColumnError("there is no table [columns]", where=where, remedy='Write [columns] and below it time = "…".')
    check_keys(table, where)
    offset = table.pop("utc_offset", None)
    if offset is not None:
        if not isinstance(offset, str):
            raise ColumnError("utc_offset is no text", where=where, remedy='Write it as "±HH:MM".')
        offset_seconds(offset, f"{where}, columns.utc_offset")
    return MappingProxyType({key: _choice(key, value, where) for key, value in table.items()}), offset


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
