"""One track out of gzip or zip, in bounded memory and time; nothing is ever unpacked to disk.

Unpacking goes on in steps and stops at the limit, so neither a small file that unpacks to much, nor one inside another,
nor parts that overlap cost more than the limit allows. Only "stored" and "deflated" members of a zip are read: the
standard library unpacks the other methods in steps without a bound.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import IO

from legwise.errors import TrackFileError
from legwise.tracks.containers.kinds import HEAD_BYTES, READ_FORMATS, FileKind, file_kind
from legwise.tracks.limits import ReadLimits
from legwise.tracks.wording import listed, shown

LooksLikeTrack = Callable[[bytes, FileKind], bool]
"""Whether the beginning of a file, of that kind, is that of a track."""

_CHUNK = 1 << 20
_GZIP_STEP = 1 << 16
_GZIP_FIRST_STEP = 1 << 10
_MOST_GZIP_MEMBERS = 100_000
"""Gzip files may be strung together: block-wise packers make one of every 64 kB, so 512 MB are some 8,000."""

_GZIP_MAGIC = b"\x1f\x8b"
_ZIP_DAMAGED = (EOFError, OSError, zlib.error, zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError)
"""What zipfile raises on damaged, encrypted or oddly compressed archives."""

_MAIN_KML = "doc.kml"
"""The name that the main file of a KMZ archive has by default (KML documentation, "KMZ Files"), at its top."""

_DIRECTORY_END = b"PK\x05\x06"
_LARGE_DIRECTORY_LOCATOR = b"PK\x06\x07"
_LARGE_DIRECTORY_END = b"PK\x06\x06"


def too_large(where: str, most: int, verb: str) -> TrackFileError:
    """The refusal of what is beyond a limit on bytes."""
    return TrackFileError(
        f"the track {verb} {most / 1e6:,.0f} MB, the most that is read",
        where=where,
        remedy="Cut the log to the flight, or record fewer points a second.",
    )


def bounded(stream: IO[bytes], most: int) -> bytes | None:
    """All of a stream, or None where it holds more than ``most`` bytes (which are then not read)."""
    buffer = io.BytesIO()
    while chunk := stream.read(min(_CHUNK, most + 1 - buffer.tell())):
        buffer.write(chunk)
        if buffer.tell() > most:
            return None
    return buffer.getvalue()


def gunzip(given: bytes, where: str, limits: ReadLimits) -> bytes:
    """What a gzip file holds: its members one after the other, as gzip itself does it."""
    whole = io.BytesIO()
    at = members = 0
    while given.startswith(_GZIP_MAGIC, at):
        members += 1
        if members > _MOST_GZIP_MEMBERS:
            raise TrackFileError(
                f"the gzip file is strung together of more than {_MOST_GZIP_MEMBERS:,} parts",
                where=where,
                remedy="Unpack it and give the track itself.",
            )
        at = _gunzip_member(given, at, whole, where, limits)
    rest = given[at:]
    # Tapes and block devices fill up with zeros.
    if rest.strip(b"\0"):
        raise _damaged(where, "the gzip file is damaged (something else stands behind its end)")
    return whole.getvalue()


def _gunzip_member(given: bytes, at: int, whole: io.BytesIO, where: str, limits: ReadLimits) -> int:
    """Unpack the member at ``at`` onto ``whole``; gives where it ends."""
    unpacker = zlib.decompressobj(wbits=31)
    step, pending = _GZIP_FIRST_STEP, b""
    while not unpacker.eof:
        if not pending:
            pending = given[at : at + step]
            at += len(pending)
            step = _GZIP_STEP
        try:
            part = unpacker.decompress(pending, _CHUNK)
        except zlib.error as error:
            raise _damaged(where, f"the gzip file is damaged ({_reason(error)})") from None
        # All was given, and it neither ends nor gives anything.
        if not part and not pending and not unpacker.eof:
            raise _damaged(where, "the gzip file is cut short")
        pending = unpacker.unconsumed_tail
        whole.write(part)
        if whole.tell() > limits.max_bytes:
            raise too_large(where, limits.max_bytes, "unpacks to more than")
    return at - len(unpacker.unused_data)


def _damaged(where: str, what: str) -> TrackFileError:
    return TrackFileError(what, where=where, remedy="Copy the log from the recorder again.")


@dataclass(frozen=True, slots=True)
class Member:
    """A track out of a zip: its bytes, its name there, and a note on what was not read beside it."""

    data: bytes
    name: str
    note: str


def unzip(given: bytes, where: str, limits: ReadLimits, looks_like_track: LooksLikeTrack) -> Member:
    """The only track in a zip; where it holds several KML files, the main one of a KMZ file."""
    _check_directory(given, where, limits)
    try:
        with zipfile.ZipFile(io.BytesIO(given)) as archive:
            member, note = _only_track(archive, where, limits, looks_like_track)
            if member.file_size > limits.max_bytes:
                raise too_large(where, limits.max_bytes, "unpacks to more than")
            with archive.open(member) as stream:
                data = bounded(stream, limits.max_bytes)
    except _ZIP_DAMAGED as error:
        raise _zip_error(where, error) from None
    if data is None:
        raise too_large(where, limits.max_bytes, "unpacks to more than")
    return Member(data, member.filename, note)


def _zip_error(where: str, error: Exception) -> TrackFileError:
    if "encrypted" in str(error) or "password" in str(error):
        return TrackFileError("the zip file is encrypted", where=where, remedy="Unpack it and give the track itself.")
    if isinstance(error, NotImplementedError):
        return TrackFileError(
            f"the zip file can't be unpacked: {_reason(error)}",
            where=where,
            remedy="Unpack it and give the track itself.",
        )
    if isinstance(error, EOFError) or "not a zip file" in str(error):
        return _damaged(where, "the zip file is cut short or damaged")
    return _damaged(where, f"the zip file is damaged ({_reason(error)})")


def _reason(error: Exception) -> str:
    # It may hold a name out of the archive, of any length.
    return shown(str(error), 100)


def _check_directory(given: bytes, where: str, limits: ReadLimits) -> None:
    """Refuse a zip whose directory names more files than are looked at, before it is read."""
    end = given.rfind(_DIRECTORY_END, max(0, len(given) - 65_557))
    if end < 0 or len(given) < end + 22:
        raise _damaged(where, "the zip file is cut short or damaged")
    counts = [(_number(given, end + 10, 2), _number(given, end + 12, 4))]
    if given.startswith(_LARGE_DIRECTORY_LOCATOR, end - 20) and end >= 76:
        # The record for large archives wins over the small one; it stands where it is said to, or just before.
        counts = [
            (_number(given, at + 32, 8), _number(given, at + 40, 8))
            for at in {end - 76, _number(given, end - 12, 8)}
            if given.startswith(_LARGE_DIRECTORY_END, at)
        ] or counts
    # A name has at most 65,535 bytes; honest ones are far shorter.
    if any(entries > limits.max_members or size > limits.max_members * 4096 for entries, size in counts):
        raise TrackFileError(
            f"the zip file holds more than {limits.max_members} files",
            where=where,
            remedy="Put one track alone into the zip, or give the track itself.",
        )


def _number(given: bytes, at: int, length: int) -> int:
    return int.from_bytes(given[at : at + length], "little")


def _only_track(
    archive: zipfile.ZipFile, where: str, limits: ReadLimits, looks_like_track: LooksLikeTrack
) -> tuple[zipfile.ZipInfo, str]:
    """The track, and a note on the others where it is the main one of several."""
    members = [member for member in archive.infolist() if not _is_no_file(member)]
    tracks: list[zipfile.ZipInfo] = []
    kinds: set[FileKind] = set()
    nested = 0
    for member in members[: limits.max_members]:
        if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise NotImplementedError("it is compressed in a way that is seldom used")
        with archive.open(member) as stream:
            head = stream.read(HEAD_BYTES)
        kind = file_kind(head)
        nested += kind in (FileKind.GZIP, FileKind.ZIP)
        if looks_like_track(head, kind):
            tracks.append(member)
            kinds.add(kind)
    if len(tracks) == 1:
        return tracks[0], ""
    main = [member for member in tracks if member.filename.lower() == _MAIN_KML]
    if len(main) == 1 and kinds == {FileKind.KML}:
        others = listed((member.filename for member in tracks if member is not main[0]), 4)
        return main[0], f"the zip file holds {len(tracks)} KML files; {_MAIN_KML}, the main one, is read, not {others}"
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
        return members[0], ""
    held = f"only {listed((member.filename for member in members), 4)}" if members else "nothing"
    raise TrackFileError(
        f"the zip file holds no track, {held}", where=where, remedy=f"Put a track into it: {READ_FORMATS}."
    )


def _is_no_file(member: zipfile.ZipInfo) -> bool:
    """Whether a member is a folder, or what desktops leave beside the files."""
    parts = member.filename.split("/")
    return member.filename.endswith("/") or parts[0] == "__MACOSX" or parts[-1].startswith(".")
