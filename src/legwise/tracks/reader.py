"""A track file to a raw track: open the container, tell the kind by the content, read it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from legwise.errors import TrackFormatError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import RawTrack, TrackSource
from legwise.tracks.container import read_content
from legwise.tracks.csv_track import looks_like_csv_track, read_csv
from legwise.tracks.gpx import read_gpx
from legwise.tracks.kinds import FileKind
from legwise.tracks.limits import ReadLimits
from legwise.tracks.times import offset_seconds
from legwise.tracks.wording import shown_path

_NOT_YET = frozenset({FileKind.IGC, FileKind.NMEA, FileKind.KML})
_NO_COLUMNS: Mapping[str, str | ColumnChoice] = MappingProxyType({})
_DEFAULT_LIMITS = ReadLimits()


def read_raw_track(
    path: Path,
    *,
    columns: Mapping[str, str | ColumnChoice] = _NO_COLUMNS,
    utc_offset: str | None = None,
    date: dt.date | None = None,
    limits: ReadLimits = _DEFAULT_LIMITS,
) -> RawTrack:
    """Every record of a GPX or CSV file, plain, gzip-compressed or alone in a zip; the kind is found by content.

    Parameters
    ----------
    columns
        CSV columns said by hand, by the keys of ``[columns]``.
    utc_offset
        ``±HH:MM`` for times without a zone; it stands before ``columns["utc_offset"]``.
    date
        The date of the flight (of its first record, in the log's own zone), for times of day alone.
    limits
        How much is read before the file is refused.

    Raises
    ------
    TrackFileError, TrackFormatError, ColumnError, TrackTimeError, CallError
        Each names the file and, where there is one, the line.
    """
    path = Path(path)
    said = columns.get("utc_offset")
    offset = utc_offset if utc_offset is not None else said if isinstance(said, str) else None
    if offset is not None:
        offset_seconds(offset)

    def looks_like_track(head: bytes, kind: FileKind) -> bool:
        if kind is FileKind.TEXT:
            return looks_like_csv_track(head, limits)
        return kind is FileKind.GPX or kind in _NOT_YET

    content = read_content(path, limits, looks_like_track)
    source = TrackSource(file=content.file, format="", sha256=content.sha256, container=content.container)
    where = shown_path(path)
    if content.kind is FileKind.GPX:
        return read_gpx(content.data, where, source, utc_offset=offset, date=date, limits=limits)
    if content.kind is FileKind.TEXT:
        return read_csv(content.data, where, source, columns=columns, utc_offset=offset, date=date, limits=limits)
    if content.kind in _NOT_YET:
        raise TrackFormatError(
            f"this is {content.kind.value}, which is not read yet", where=where, remedy="Convert it to GPX or CSV."
        )
    held = "XML of another kind" if content.kind is FileKind.XML else "no text"
    raise TrackFormatError(f"this is no track: {held}", where=where, remedy="Give a GPX or CSV track.")
