"""The index of a large file: its records by key in a database file, named by what it was made of and what it holds.

The name is ``SOURCE-EDITION-CONTENT.navindex``: the SHA-256 of the file of records, the edition of the layout with the
version of Legwise, the SHA-256 of the index itself. So an index can't be stale, of another version, torn or damaged
without its name telling, and no two processes that build the same one can harm each other: each writes a file of its
own and renames it when it is whole. The name is no seal: whose the index is decides whether it is believed.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pathlib
import re
import sqlite3
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from legwise import __version__
from legwise.model.navdata import NavDataSummary
from legwise.navdata.cache_folder import BUILDING, NotOursError, clear, distrust, make_folder, open_index, tidy
from legwise.navdata.filing import Filed
from legwise.navdata.index_store import (
    SCHEMA,
    DamagedIndexError,
    IndexStore,
    check_schema,
    summary_in,
    summary_text,
)
from legwise.navdata.store import Store

_EDITION: Final = f"2.{__version__}"
_KEPT: Final = 4
"""Indexes that are kept, the last used ones: each is as large as its file."""
_NAME = re.compile(r"[0-9a-f]{64}-[^/\\]+-[0-9a-f]{64}\.navindex")
_PIECE: Final = 1 << 20
_TIMES_ITS_SOURCE: Final = 8
"""An index is some 1.3 times as large as its text; of records cut short every one takes a page row of its own."""
_SMALLEST_BYTES: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Search:
    """What was found: a sound index with its summary, and what was put aside, in words for a note."""

    found: tuple[IndexStore, NavDataSummary] | None = None
    note: str = ""


def default_folder() -> pathlib.Path:
    """Where indexes are kept unless another folder is named: in the user's folder for caches."""
    # Imported here: small files need no index.
    import platformdirs

    return platformdirs.user_cache_path("legwise", appauthor=False) / "navdata"


def most_bytes_of(source_bytes: int) -> int:
    """The size up to which an index is read or kept, by the size of the text that it is made of."""
    return _SMALLEST_BYTES + _TIMES_ITS_SOURCE * source_bytes


def find_index(folder: pathlib.Path, source: str, file: str, reread: Callable[[], Store], most_bytes: int) -> Search:
    """The index of the file with that SHA-256; none where there is no sound one. What is no such index is removed.

    The folder is one that :func:`legwise.navdata.cache_folder.distrust` says nothing of.
    """
    try:
        names = sorted(place.name for place in folder.iterdir() if place.name.startswith(f"{source}-{_EDITION}-"))
    except OSError:
        return Search()
    note = ""
    for name in names:
        place = folder / name
        found = None
        try:
            if name == _name(source, _digest(place, most_bytes)):
                found = _opened(place, file, reread)
        except NotOursError:
            note = "an index of it belonged to another user or could be changed by others: it was removed unread"
        except (OSError, ValueError, sqlite3.Error, DamagedIndexError):
            pass  # it is damaged, or no index at all
        if found is None:
            with contextlib.suppress(OSError):
                clear(place)
            continue
        with contextlib.suppress(OSError):
            os.utime(place)
        return Search(found, note)
    return Search(note=note)


def keep_index(folder: pathlib.Path, source: str, filed: Filed, most_bytes: int) -> str:
    """Write the index of a file. Returns why that can't be, in words; empty where it was written."""
    try:
        make_folder(folder)
        why_not = distrust(folder)
        if why_not:
            return why_not
        handle, name = tempfile.mkstemp(prefix=BUILDING, dir=folder)  # 0600
        os.close(handle)
        building = pathlib.Path(name)
        try:
            _write(building, filed)
            place = folder / _name(source, _digest(building, most_bytes))
            if place.is_dir():
                clear(place)
            building.replace(place)
        finally:
            building.unlink(missing_ok=True)
    except OSError as error:
        return (error.strerror or type(error).__name__).lower()
    except sqlite3.Error as error:
        return str(error)
    except (ValueError, NotOursError):
        return "it is many times as large as its file"
    tidy(folder, _NAME.fullmatch, _KEPT)
    return ""


def _name(source: str, content: str) -> str:
    return f"{source}-{_EDITION}-{content}.navindex"


def _digest(place: pathlib.Path, most_bytes: int) -> str:
    digest = hashlib.sha256()
    left = most_bytes
    with os.fdopen(open_index(place, most_bytes), "rb") as stream:
        while piece := stream.read(_PIECE):
            left -= len(piece)
            if left < 0:
                raise ValueError("it grows while it is read")
            digest.update(piece)
    return digest.hexdigest()


def _write(place: pathlib.Path, filed: Filed) -> None:
    with contextlib.closing(sqlite3.connect(place, isolation_level=None)) as connection:
        # Nobody sees the file before it is whole, and nobody reads one whose content is not what its name says.
        connection.executescript(f"PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; {'; '.join(SCHEMA)}; BEGIN;")
        connection.execute("INSERT INTO summary VALUES (?)", (summary_text(filed.summary),))
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
        check_schema(connection)
        summary = summary_in(connection, file)
    except (sqlite3.Error, DamagedIndexError):
        connection.close()
        raise
    return IndexStore(connection, reread), summary
