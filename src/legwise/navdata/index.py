"""The index of a large file: its records by key in a database file, named by what it was made of and what it holds.

The name is ``SOURCE-EDITION-CONTENT.navindex``: the SHA-256 of the file of records, the edition of the layout with the
version of Legwise, the SHA-256 of the index itself. So an index can't be stale, of another version, torn or damaged
without its name telling, and no two processes that build the same one can harm each other: each writes a file of its
own and renames it when it is whole. What is read back is text, split and decoded like the file's own lines.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import pathlib
import re
import sqlite3
import tempfile
import time
import weakref
from collections.abc import Callable, Sequence
from typing import Any, Final

from legwise import __version__
from legwise.model.navdata import NavDataSummary, RecordProblem
from legwise.navdata.cycles import cycle_dates
from legwise.navdata.filing import Filed
from legwise.navdata.records import Record, records_of
from legwise.navdata.store import LAST_CHARACTER, Store

_EDITION: Final = f"1.{__version__}"
_KEPT: Final = 4
"""Indexes that are kept, the last used ones: each is as large as its file."""
_LEFT_BEHIND_S: Final = 86_400.0
"""A half-written index of this age was left by a process that was killed."""
_BUILDING: Final = ".building-"
_NAME = re.compile(r"[0-9a-f]{64}-[^/\\]+-[0-9a-f]{64}\.navindex")
_SCHEMA: Final = """
CREATE TABLE summary (text TEXT NOT NULL);
CREATE TABLE records (key TEXT PRIMARY KEY, lines TEXT NOT NULL);
"""
_PIECE: Final = 1 << 20


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
                return _records(rows[0][0]) if rows else ()
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
                return [_text(key) for (key,) in rows]
            except (sqlite3.Error, DamagedIndexError, UnicodeEncodeError):
                self._instead = self._reread()
        return self._instead.keys(prefix, most)


def default_folder() -> pathlib.Path:
    """Where indexes are kept unless another folder is named: in the user's folder for caches."""
    # Imported here: small files need no index.
    import platformdirs

    return platformdirs.user_cache_path("legwise", appauthor=False) / "navdata"


def find_index(
    folder: pathlib.Path, source: str, file: str, reread: Callable[[], Store]
) -> tuple[IndexStore, NavDataSummary] | None:
    """The index of the file with that SHA-256 and its summary, None where there is no sound one."""
    try:
        names = sorted(place.name for place in folder.iterdir() if place.name.startswith(f"{source}-{_EDITION}-"))
    except OSError:
        return None
    for name in names:
        place = folder / name
        try:
            found = _opened(place, file, reread) if name == _name(source, _digest(place)) else None
        except (OSError, sqlite3.Error, DamagedIndexError):
            found = None
        with contextlib.suppress(OSError):
            if found is None:
                place.unlink()
            else:
                os.utime(place)
        if found is not None:
            return found
    return None


def keep_index(folder: pathlib.Path, source: str, filed: Filed) -> str:
    """Write the index of a file. Returns why that can't be, in words; empty where it was written."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, name = tempfile.mkstemp(prefix=_BUILDING, dir=folder)
        os.close(handle)
        building = pathlib.Path(name)
        try:
            _write(building, filed)
            building.replace(folder / _name(source, _digest(building)))
        finally:
            building.unlink(missing_ok=True)
    except OSError as error:
        return (error.strerror or type(error).__name__).lower()
    except sqlite3.Error as error:
        return str(error)
    _tidy(folder)
    return ""


def _name(source: str, content: str) -> str:
    return f"{source}-{_EDITION}-{content}.navindex"


def _digest(place: pathlib.Path) -> str:
    digest = hashlib.sha256()
    with place.open("rb") as stream:
        while piece := stream.read(_PIECE):
            digest.update(piece)
    return digest.hexdigest()


def _write(place: pathlib.Path, filed: Filed) -> None:
    with contextlib.closing(sqlite3.connect(place, isolation_level=None)) as connection:
        # Nobody sees the file before it is whole, and nobody reads one whose content is not what its name says.
        connection.executescript(f"PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; {_SCHEMA} BEGIN;")
        connection.execute("INSERT INTO summary VALUES (?)", (_summary_text(filed.summary),))
        connection.executemany(
            "INSERT INTO records VALUES (?, ?)",
            ((key, "\n".join(filed.groups[key])) for key in sorted(filed.groups)),
        )
        connection.execute("COMMIT")


def _opened(place: pathlib.Path, file: str, reread: Callable[[], Store]) -> tuple[IndexStore, NavDataSummary]:
    uri = f"{place.resolve().as_uri()}?mode=ro&immutable=1"
    connection = sqlite3.connect(uri, uri=True, check_same_thread=False)
    try:
        connection.execute("PRAGMA trusted_schema = OFF")
        rows = connection.execute("SELECT text FROM summary").fetchall()
        summary = _summary_of(_text(rows[0][0] if rows else None), file)
    except (sqlite3.Error, DamagedIndexError):
        connection.close()
        raise
    return IndexStore(connection, reread), summary


def _tidy(folder: pathlib.Path) -> None:
    """Remove what was left half-written long ago, and all indexes but the last used ones."""
    with contextlib.suppress(OSError):
        aged = []
        for place in folder.iterdir():
            with contextlib.suppress(OSError):
                changed_s = place.stat().st_mtime
                if _NAME.fullmatch(place.name):
                    aged.append((changed_s, place))
                elif place.name.startswith(_BUILDING) and time.time() - changed_s > _LEFT_BEHIND_S:
                    place.unlink()
        for _changed_s, place in sorted(aged, reverse=True)[_KEPT:]:
            with contextlib.suppress(OSError):
                place.unlink()


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise DamagedIndexError
    return value


def _records(lines: object) -> list[Record]:
    try:
        return records_of(_text(lines).split("\n"))
    except ValueError:
        raise DamagedIndexError from None


def _summary_text(summary: NavDataSummary) -> str:
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


def _summary_of(text: str, file: str) -> NavDataSummary:
    try:
        data: dict[str, Any] = json.loads(text)
        cycle = str(data["cycle"])
        dates = cycle_dates(cycle)
        return NavDataSummary(
            file=file,
            cycle=cycle,
            effective_from=dates[0] if dates else None,
            effective_to=dates[1] if dates else None,
            counts={str(section): int(count) for section, count in data["counts"].items()},
            problem_count=int(data["problem_count"]),
            problems=tuple(RecordProblem(line=int(line), message=str(message)) for line, message in data["problems"]),
            newest_change=str(data["newest_change"]),
            notes=tuple(str(note) for note in data["notes"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise DamagedIndexError from None
