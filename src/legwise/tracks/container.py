"""The bytes of one track file: plain, gzip-compressed, or alone in a zip. Nothing is ever unpacked to disk.

Reading is bounded twice: by the size of the file as given, and by what it unpacks to. The beginning is looked at before
the rest is unpacked, so that what is no track costs nothing.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import stat
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from legwise.errors import TrackFileError, TrackFormatError
from legwise.tracks.kinds import HEAD_BYTES, READ_FORMATS, FileKind, file_kind, with_mark
from legwise.tracks.limits import ReadLimits
from legwise.tracks.wording import listed, shown_path

_CHUNK = 1 << 20
_DAMAGED = (EOFError, OSError, zlib.error, zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError)
"""What gzip and zipfile raise on damaged, encrypted or oddly compressed archives."""

LooksLikeTrack = Callable[[bytes, FileKind], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """What is in a track file: the unpacked bytes, their kind, and where they came from."""

    data: bytes
    kind: FileKind
    file: str
    container: str
    sha256: str


def read_content(path: Path, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Content:
    """Read the one track of a file.

    ``looks_like_track`` is asked about the beginning of each file in a zip. Raises :class:`TrackFileError` for what
    is no readable single file and :class:`TrackFormatError` for an empty one.
    """
    return _unpacked(_read_file(path, limits), path.name, shown_path(path), limits, looks_like_track)


def content_of(given: bytes, name: str, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Content:
    """As :func:`read_content`, of a file that is in memory already."""
    where = shown_path(name)
    if len(given) > limits.max_file_bytes:
        raise _too_large(where, limits.max_file_bytes, "is larger than")
    return _unpacked(given, name, where, limits, looks_like_track)


def _unpacked(given: bytes, name: str, where: str, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Content:
    kind = file_kind(given[:HEAD_BYTES])
    data, container = given, ""
    if kind is FileKind.GZIP:
        data, container = _gunzip(given, where, limits), "gzip"
    elif kind is FileKind.ZIP:
        data, member = _unzip(given, where, limits, looks_like_track)
        container = f"zip ({shown_path(member)})"
    if container:
        kind = file_kind(data[:HEAD_BYTES])
        if kind in (FileKind.GZIP, FileKind.ZIP):
            raise TrackFileError(
                "an archive lies inside the archive", where=where, remedy="Unpack it once and give the track itself."
            )
    if not data.strip(b"\xef\xbb\xbf \t\r\n"):
        raise TrackFormatError("the file is empty", where=where, remedy=f"Give a track: {READ_FORMATS}.")
    if kind not in (FileKind.BINARY, FileKind.GZIP, FileKind.ZIP):
        data = with_mark(data)
    return Content(data=data, kind=kind, file=name, container=container, sha256=hashlib.sha256(given).hexdigest())


def _read_file(path: Path, limits: ReadLimits) -> bytes:
    where = shown_path(path)
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise TrackFileError("this is a directory", where=where, remedy="Give the track file in it.")
        # Opening a pipe would wait for ever.
        if not stat.S_ISREG(mode):
            raise TrackFileError(
                "this is no regular file (a pipe or a device)", where=where, remedy="Save the track to a file first."
            )
        with path.open("rb") as stream:
            data = _bounded(stream, limits.max_file_bytes)
    except FileNotFoundError:
        raise TrackFileError("there is no such file", where=where, remedy="Check the path.") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise TrackFileError(f"the file can't be read: {reason}", where=where, remedy="Check the path.") from None
    if data is None:
        raise _too_large(where, limits.max_file_bytes, "is larger than")
    return data


def _bounded(stream: IO[bytes] | gzip.GzipFile, most: int) -> bytes | None:
    """All of a stream, or None where it holds more than ``most`` bytes (which are then not read)."""
    buffer = io.BytesIO()
    while chunk := stream.read(min(_CHUNK, most + 1 - buffer.tell())):
        buffer.write(chunk)
        if buffer.tell() > most:
            return None
    return buffer.getvalue()


def _too_large(where: str, most: int, verb: str) -> TrackFileError:
    return TrackFileError(
        f"the track {verb} {most / 1e6:,.0f} MB, the most that is read",
        where=where,
        remedy="Cut the log to the flight, or record fewer points a second.",
    )


def _gunzip(given: bytes, where: str, limits: ReadLimits) -> bytes:
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(given)) as stream:
            data = _bounded(stream, limits.max_bytes)
    except EOFError:
        raise _damaged(where, "the gzip file is cut short") from None
    except _DAMAGED as error:
        raise _damaged(where, f"the gzip file is damaged ({error})") from None
    if data is None:
        raise _too_large(where, limits.max_bytes, "unpacks to more than")
    return data


def _damaged(where: str, what: str) -> TrackFileError:
    return TrackFileError(what, where=where, remedy="Copy the log from the recorder again.")


def _unzip(given: bytes, where: str, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> tuple[bytes, str]:
    _check_directory(given, where, limits)
    try:
        with zipfile.ZipFile(io.BytesIO(given)) as archive:
            member = _only_track(archive, where, limits, looks_like_track)
            with archive.open(member) as stream:
                data = _bounded(stream, limits.max_bytes)
    except _DAMAGED as error:
        raise _zip_error(where, error) from None
    if data is None:
        raise _too_large(where, limits.max_bytes, "unpacks to more than")
    return data, member.filename


def _zip_error(where: str, error: Exception) -> TrackFileError:
    if "encrypted" in str(error) or "password" in str(error):
        return TrackFileError("the zip file is encrypted", where=where, remedy="Unpack it and give the track itself.")
    if isinstance(error, NotImplementedError):
        return TrackFileError(
            f"the zip file can't be unpacked: {error}", where=where, remedy="Unpack it and give the track itself."
        )
    if isinstance(error, EOFError) or "not a zip file" in str(error):
        return _damaged(where, "the zip file is cut short or damaged")
    return _damaged(where, f"the zip file is damaged ({error})")


def _check_directory(given: bytes, where: str, limits: ReadLimits) -> None:
    """Refuse a zip whose directory names more files than are looked at, before it is read."""
    end = given.rfind(b"PK\x05\x06", max(0, len(given) - 65_557))
    if end < 0 or len(given) < end + 22:
        raise _damaged(where, "the zip file is cut short or damaged")
    entries = int.from_bytes(given[end + 10 : end + 12], "little")
    directory_bytes = int.from_bytes(given[end + 12 : end + 16], "little")
    # A name has at most 65,535 bytes; honest ones are far shorter.
    if entries > limits.max_members or directory_bytes > limits.max_members * 4096:
        raise TrackFileError(
            f"the zip file holds more than {limits.max_members} files",
            where=where,
            remedy="Put one track alone into the zip, or give the track itself.",
        )


def _only_track(
    archive: zipfile.ZipFile, where: str, limits: ReadLimits, looks_like_track: LooksLikeTrack
) -> zipfile.ZipInfo:
    members = [member for member in archive.infolist() if not member.is_dir() and not _is_desktop_litter(member)]
    tracks: list[zipfile.ZipInfo] = []
    nested = 0
    for member in members[: limits.max_members]:
        with archive.open(member) as stream:
            head = stream.read(HEAD_BYTES)
        kind = file_kind(head)
        nested += kind in (FileKind.GZIP, FileKind.ZIP)
        if looks_like_track(head, kind):
            tracks.append(member)
    if len(tracks) == 1:
        return tracks[0]
    if tracks:
        raise TrackFileError(
            f"the zip file holds {len(tracks)} tracks: {listed((track.filename for track in tracks), 4)}",
            where=where,
            remedy="Put one track alone into the zip, or give the track itself.",
        )
    if nested:
        raise TrackFileError(
            "an archive lies inside the archive", where=where, remedy="Unpack it once and give the track itself."
        )
    # A member alone is tried as it is, so that the message can say what is wrong with it.
    if len(members) == 1:
        return members[0]
    held = f"only {listed((member.filename for member in members), 4)}" if members else "nothing"
    raise TrackFileError(
        f"the zip file holds no track, {held}", where=where, remedy=f"Put a track into it: {READ_FORMATS}."
    )


def _is_desktop_litter(member: zipfile.ZipInfo) -> bool:
    parts = member.filename.split("/")
    return parts[0] == "__MACOSX" or parts[-1].startswith(".")
