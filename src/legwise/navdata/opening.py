"""Files of coded navigation data, opened: read directly where small, through an index where large."""

from __future__ import annotations

import os
import pathlib
from dataclasses import replace
from typing import Final

from legwise.errors import NavDataError
from legwise.model.navdata import NavData
from legwise.navdata.coded import CodedNavData
from legwise.navdata.filing import filed
from legwise.navdata.index import default_folder, find_index, keep_index
from legwise.navdata.lines import content_of, digest_of
from legwise.navdata.store import MemoryStore, Store
from legwise.navdata.wording import shown_path

INDEXED_FROM_BYTES: Final = 2_000_000
"""Below this a file is read in about the time that it takes to check an index."""


def open_navdata(
    path: str | os.PathLike[str], *, cache: pathlib.Path | None = None, indexed_from_bytes: int = INDEXED_FROM_BYTES
) -> NavData:
    """Coded navigation data (ARINC 424 records, LF or CRLF, gzip too) to be asked.

    Parameters
    ----------
    path
        The file.
    cache
        The folder for the index of a large file; by default one in the user's folder for caches. Where it can't be
        written the file is read each time, and ``summary.notes`` say so.
    indexed_from_bytes
        The size from which on a file gets an index.

    Raises
    ------
    NavDataError
        It is missing, no text, larger than 300 MB, or holds no record that can be used. Single broken records are in
        ``summary.problems``.
    """
    place = pathlib.Path(path)
    digest, size = digest_of(place)
    if size < indexed_from_bytes:
        content, _digest = content_of(place)
        found = filed(place, content)
        return CodedNavData(MemoryStore(found.groups), found.summary)
    folder = default_folder() if cache is None else cache
    indexed = find_index(folder, digest, place.name, lambda: _read_again(place, digest))
    if indexed is not None:
        return CodedNavData(*indexed)
    # The file may have changed since: what counts is what is read now.
    content, digest = content_of(place)
    found = filed(place, content)
    del content
    why_not = keep_index(folder, digest, found)
    summary = found.summary
    if why_not:
        note = f"its index can't be kept in {shown_path(folder)} ({why_not}), so the whole file is read each time"
        summary = replace(summary, notes=(*summary.notes, note))
    return CodedNavData(MemoryStore(found.groups), summary)


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
