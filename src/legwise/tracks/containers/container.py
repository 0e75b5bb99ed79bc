"""The bytes of one track file: plain, gzip-compressed, or alone in a zip. Nothing is ever unpacked to disk.

Reading is bounded twice: by the size of the file as given, which is looked at before it is read, and by what it unpacks
to.
"""

from __future__ import annotations

import hashlib
import stat
from dataclasses import dataclass
from pathlib import Path

from legwise.errors import TrackFileError, TrackFormatError
from legwise.tracks.containers.archives import LooksLikeTrack, bounded, gunzip, too_large, unzip
from legwise.tracks.containers.kinds import HEAD_BYTES, READ_FORMATS, FileKind, file_kind, with_mark
from legwise.tracks.limits import ReadLimits
from legwise.tracks.wording import clean, shown_path

__all__ = ["Content", "LooksLikeTrack", "content_of", "read_content"]

_BLANKS = b"\xef\xbb\xbf \t\r\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """What is in a track file: the unpacked bytes, their kind, and where they came from.

    ``file`` is its name, ``path`` what messages call it, ``note`` what a reader must know of its choice; else empty.
    """

    data: bytes
    kind: FileKind
    file: str
    path: str
    container: str
    sha256: str
    note: str


def read_content(path: Path, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Content:
    """Read the one track of a file.

    ``looks_like_track`` is asked about the beginning of each file in a zip. Raises :class:`TrackFileError` for what
    is no readable single file and :class:`TrackFormatError` for an empty one.
    """
    return _unpacked(_read_file(path, limits), clean(path.name), shown_path(path), limits, looks_like_track)


def content_of(given: bytes, name: str, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Content:
    """As :func:`read_content`, of a file that is in memory already."""
    where = shown_path(name)
    if len(given) > limits.max_file_bytes:
        raise too_large(where, limits.max_file_bytes, "is larger than")
    return _unpacked(given, clean(name), where, limits, looks_like_track)


def _unpacked(given: bytes, name: str, where: str, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Content:
    kind = file_kind(given[:HEAD_BYTES])
    data, container, note = given, "", ""
    if kind is FileKind.GZIP:
        data, container = gunzip(given, where, limits), "gzip"
    elif kind is FileKind.ZIP:
        member = unzip(given, where, limits, looks_like_track)
        data, container, note = member.data, f"zip ({shown_path(member.name)})", member.note
    elif len(data) > limits.max_bytes:
        raise too_large(where, limits.max_bytes, "is larger than")
    if container:
        kind = file_kind(data[:HEAD_BYTES])
        if kind in (FileKind.GZIP, FileKind.ZIP):
            raise TrackFileError(
                "an archive lies inside the archive", where=where, remedy="Unpack it once and give the track itself."
            )
    # Stripping copies all that is left: the beginning is looked at first.
    if not data[:HEAD_BYTES].strip(_BLANKS) and not data.strip(_BLANKS):
        raise TrackFormatError("the file is empty", where=where, remedy=f"Give a track: {READ_FORMATS}.")
    if kind not in (FileKind.BINARY, FileKind.GZIP, FileKind.ZIP):
        data = with_mark(data)
    sha256 = hashlib.sha256(given).hexdigest()
    return Content(data=data, kind=kind, file=name, path=where, container=container, sha256=sha256, note=note)


def _read_file(path: Path, limits: ReadLimits) -> bytes:
    where = shown_path(path)
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise TrackFileError("this is a directory", where=where, remedy="Give the track file in it.")
        # Opening a pipe would wait for ever.
        if not stat.S_ISREG(found.st_mode):
            raise TrackFileError(
                "this is no regular file (a pipe or a device)", where=where, remedy="Save the track to a file first."
            )
        if found.st_size > limits.max_file_bytes:
            raise too_large(where, limits.max_file_bytes, "is larger than")
        # It may have grown since.
        with path.open("rb") as stream:
            data = bounded(stream, limits.max_file_bytes)
    except FileNotFoundError:
        raise TrackFileError("there is no such file", where=where, remedy="Check the path.") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise TrackFileError(f"the file can't be read: {reason}", where=where, remedy="Check the path.") from None
    if data is None:
        raise too_large(where, limits.max_file_bytes, "is larger than")
    return data
