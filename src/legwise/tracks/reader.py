"""A track file to a raw track: open the container, tell the kind by the content, read it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Protocol

from legwise.errors import TrackFormatError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import RawTrack, TrackSource
from legwise.tracks.clocks.newest_first import oldest_first
from legwise.tracks.containers.container import Content, LooksLikeTrack, content_of, read_content
from legwise.tracks.containers.kinds import READ_FORMATS, FileKind
from legwise.tracks.igc.track import read_igc
from legwise.tracks.limits import ReadLimits
from legwise.tracks.nmea.track import read_nmea
from legwise.tracks.table.track import looks_like_csv_track, read_csv
from legwise.tracks.times.instants import offset_seconds
from legwise.tracks.wording import shown_path
from legwise.tracks.xml.gpx import read_gpx
from legwise.tracks.xml.kml import read_kml


class Reader(Protocol):
    """A reader of one format whose columns need not be said."""

    def __call__(
        self,
        data: bytes,
        where: str,
        source: TrackSource,
        *,
        utc_offset: str | None,
        date: dt.date | None,
        limits: ReadLimits,
    ) -> RawTrack:
        """The records of the unpacked bytes ``data``, in file order."""


_READERS: Mapping[FileKind, Reader] = MappingProxyType(
    {FileKind.GPX: read_gpx, FileKind.IGC: read_igc, FileKind.NMEA: read_nmea, FileKind.KML: read_kml}
)
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
    """Every record of a track file, plain, gzip-compressed or alone in a zip; the kind is found by content.

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
    offset = _offset_said(columns, utc_offset)
    content = read_content(path, limits, _looks_like_track(limits))
    return _read(content, shown_path(path), columns, offset, date, limits)


def read_raw_bytes(
    data: bytes,
    name: str,
    *,
    columns: Mapping[str, str | ColumnChoice] = _NO_COLUMNS,
    utc_offset: str | None = None,
    date: dt.date | None = None,
    limits: ReadLimits = _DEFAULT_LIMITS,
) -> RawTrack:
    """As :func:`read_raw_track`, of a file that is in memory already; ``name`` is what messages call it."""
    offset = _offset_said(columns, utc_offset)
    content = content_of(data, name, limits, _looks_like_track(limits))
    return _read(content, shown_path(name), columns, offset, date, limits)


def _offset_said(columns: Mapping[str, str | ColumnChoice], utc_offset: str | None) -> str | None:
    said = columns.get("utc_offset")
    offset = utc_offset if utc_offset is not None else said if isinstance(said, str) else None
    if offset is not None:
        offset_seconds(offset)
    return offset


def _looks_like_track(limits: ReadLimits) -> LooksLikeTrack:
    def looks_like_track(head: bytes, kind: FileKind) -> bool:
        return looks_like_csv_track(head, limits) if kind is FileKind.TEXT else kind in _READERS

    return looks_like_track


def _read(
    content: Content,
    where: str,
    columns: Mapping[str, str | ColumnChoice],
    utc_offset: str | None,
    date: dt.date | None,
    limits: ReadLimits,
) -> RawTrack:
    source = TrackSource(
        file=content.file,
        path=content.path,
        format="",
        sha256=content.sha256,
        container=content.container,
        notes=(content.note,) if content.note else (),
    )
    if content.kind is FileKind.TEXT:
        return read_csv(content.data, where, source, columns=columns, utc_offset=utc_offset, date=date, limits=limits)
    reader = _READERS.get(content.kind)
    if reader is None:
        held = "XML of another kind" if content.kind is FileKind.XML else "no text"
        raise TrackFormatError(f"this is no track: {held}", where=where, remedy=f"Give a track: {READ_FORMATS}.")
    raw = reader(content.data, where, source, utc_offset=utc_offset, date=date, limits=limits)
    # Recorders write IGC and NMEA as they fly; exports of the others may begin at the end.
    return oldest_first(raw) if content.kind in (FileKind.GPX, FileKind.KML) else raw
