"""Files of coded navigation data, opened: read directly where small, through an index where large."""

from __future__ import annotations

import os
import pathlib
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from legwise.errors import NavDataError
from legwise.model.navdata import NavData, NavDataSummary
from legwise.navdata.cache_folder import distrust
from legwise.navdata.coded import CodedNavData
from legwise.navdata.filing import filed
from legwise.navdata.index import Search, default_folder, find_index, keep_index, most_bytes_of
from legwise.navdata.lines import MOST_BYTES, content_of, known
from legwise.navdata.store import MemoryStore, Store
from legwise.navdata.wording import shown_path

INDEXED_FROM_BYTES: Final = 2_000_000
"""Below this a file is read in about the time that it takes to check an index."""


def open_navdata(
    path: str | os.PathLike[str],
    *,
    cache: pathlib.Path | None = None,
    indexed_from_bytes: int = INDEXED_FROM_BYTES,
    progress: Callable[[str], None] | None = None,
) -> NavData:
    """Coded navigation data (ARINC 424 records, LF or CRLF, gzip too) to be asked.

    Parameters
    ----------
    path
        The file.
    cache
        The folder for the index of a large file; by default one in the user's folder for caches. Where it can't be
        written, is not the user's own or can be written by others, the file is read each time, and
        ``summary.notes`` say so.
    indexed_from_bytes
        The size from which on a file gets an index.
    progress
        Told "indexing FILE" before a large file is read through, which takes seconds.

    Raises
    ------
    NavDataError
        It is missing, no text, larger than 300 MB, or holds no record that can be used. Single broken records are in
        ``summary.problems``.
    """
    place = pathlib.Path(path)
    state = known(place)
    if state.size < indexed_from_bytes:
        content, _digest = content_of(place)
        found = filed(place, content)
        return CodedNavData(MemoryStore(found.groups), found.summary)
    folder = default_folder() if cache is None else cache
    most_bytes = most_bytes_of(MOST_BYTES if state.is_packed else state.size)
    why_not = distrust(folder)
    search = Search()
    if not why_not:
        search = find_index(
            folder, state.digest, place.name, lambda: _read_again(place, state.digest), most_bytes=most_bytes
        )
    if search.found is not None:
        store, summary = search.found
        return CodedNavData(store, _with_notes(summary, search.note))
    if progress is not None:
        progress(f"indexing {shown_path(place)}")
    # The file may have changed since: what counts is what is read now.
    content, digest = content_of(place)
    found = filed(place, content)
    del content
    why_not = why_not or keep_index(folder, digest, found, most_bytes)
    if why_not:
        why_not = f"its index can't be kept in {shown_path(folder)} ({why_not}), so the whole file is read each time"
    return CodedNavData(MemoryStore(found.groups), _with_notes(found.summary, search.note, why_not))


def _with_notes(summary: NavDataSummary, *notes: str) -> NavDataSummary:
    return replace(summary, notes=(*summary.notes, *(note for note in notes if note)))


def _read_again(place: pathlib.Path, digest: str) -> Store:
    """The file itself, in place of an index that failed while in use."""
    content, now = content_of(place)
    if now != digest:
        raise NavDataError(
            "its index was damaged while in use, and the file has changed since it was opened",
            where=shown_path(place),
            remedy="Run the command again.",
        )
    return MemoryStore(filed(place, content).groups)
