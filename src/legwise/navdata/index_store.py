"""What is written into an index and read back from it: records by key, and the summary.

What is read back is text, held to what the file itself could have given: each record is one that is filed under its
key. Whatever else an index holds is damage.
"""

from __future__ import annotations

import json
import sqlite3
import weakref
from collections.abc import Callable, Sequence
from typing import Any, Final

from legwise.model.navdata import NavDataSummary, RecordProblem
from legwise.navdata.cycles import cycle_dates
from legwise.navdata.records import Record, records_of
from legwise.navdata.store import LAST_CHARACTER, Store, place_of

SCHEMA: Final = (
    "CREATE TABLE summary (text TEXT NOT NULL)",
    "CREATE TABLE records (key TEXT PRIMARY KEY, lines TEXT NOT NULL)",
)
_LONGEST_KEY: Final = 40


class DamagedIndexError(Exception):
    """What is in the index is not what was written. Never leaves the room."""


class IndexStore:
    """Records in an index. Where it fails while in use, ``reread`` takes its place."""

    def __init__(self, connection: sqlite3.Connection, reread: Callable[[], Store]) -> None:
        self._connection = connection
        self._reread = reread
        self._instead: Store | None = None
        weakref.finalize(self, connection.close)

    def records(self, key: str) -> Sequence[Record]:
        """As in :class:`legwise.navdata.store.Store`."""
        if self._instead is None:
            try:
                rows = self._connection.execute("SELECT lines FROM records WHERE key = ?", (key,)).fetchall()
                return _records(key, rows[0][0]) if rows else ()
            except (sqlite3.Error, DamagedIndexError, UnicodeEncodeError):
                self._instead = self._reread()
        return self._instead.records(key)

    def keys(self, prefix: str, most: int | None = None) -> Sequence[str]:
        """As in :class:`legwise.navdata.store.Store`."""
        if self._instead is None:
            try:
                rows = self._connection.execute(
                    "SELECT key FROM records WHERE key >= ? AND key < ? ORDER BY key LIMIT ?",
                    (prefix, prefix + LAST_CHARACTER, -1 if most is None else most),
                ).fetchall()
                return [_key(key) for (key,) in rows]
            except (sqlite3.Error, DamagedIndexError, UnicodeEncodeError):
                self._instead = self._reread()
        return self._instead.keys(prefix, most)


def check_schema(connection: sqlite3.Connection) -> None:
    """Hold an index to the two tables that were made: a view, say, could take for ever to answer.

    Raises
    ------
    DamagedIndexError
        It holds anything else.
    """
    found = connection.execute("SELECT type, sql FROM sqlite_master LIMIT 9").fetchall()
    made: list[tuple[str, str | None]] = [*(("table", sql) for sql in SCHEMA), ("index", None)]
    if sorted(found, key=repr) != sorted(made, key=repr):
        raise DamagedIndexError


def summary_in(connection: sqlite3.Connection, file: str) -> NavDataSummary:
    """The summary of an index.

    Raises
    ------
    DamagedIndexError
        There is none.
    """
    rows = connection.execute("SELECT text FROM summary LIMIT 2").fetchall()
    if len(rows) != 1:
        raise DamagedIndexError
    try:
        return _summary_of(json.loads(_text(rows[0][0])), file)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise DamagedIndexError from None


def summary_text(summary: NavDataSummary) -> str:
    """A summary as it is written."""
    return json.dumps(
        {
            "cycle": summary.cycle,
            "counts": summary.counts,
            "problem_count": summary.problem_count,
            "problems": [[problem.line, problem.message] for problem in summary.problems],
            "newest_change": summary.newest_change,
            "notes": list(summary.notes),
        }
    )


def _summary_of(data: dict[str, Any], file: str) -> NavDataSummary:
    cycle = _words(data["cycle"])
    dates = cycle_dates(cycle)
    return NavDataSummary(
        file=file,
        cycle=cycle,
        effective_from=dates[0] if dates else None,
        effective_to=dates[1] if dates else None,
        counts={_words(section): _count(count) for section, count in data["counts"].items()},
        problem_count=_count(data["problem_count"]),
        problems=tuple(RecordProblem(line=_count(line), message=_words(words)) for line, words in data["problems"]),
        newest_change=_words(data["newest_change"]),
        notes=tuple(_words(note) for note in data["notes"]),
    )


def _records(key: str, lines: object) -> list[Record]:
    try:
        records = records_of(_text(lines).split("\n"))
    except ValueError:
        raise DamagedIndexError from None
    if any(place_of(record.text).key != key for record in records):
        raise DamagedIndexError
    return records


def _key(value: object) -> str:
    key = _text(value)
    if len(key) > _LONGEST_KEY or not all(part and part.isprintable() for part in key.split("\t")):
        raise DamagedIndexError
    return key


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise DamagedIndexError
    return value


def _words(value: object) -> str:
    text = _text(value)
    if not text.isprintable():
        raise DamagedIndexError
    return text


def _count(value: object) -> int:
    if type(value) is not int or not 0 <= value < 10**9:
        raise DamagedIndexError
    return value
