"""A file as lines: limits, what is no such file, compression, line ends."""

from __future__ import annotations

import gzip
import hashlib
import io
import pathlib
import stat
import zlib
from collections.abc import Iterator
from typing import Final

from legwise.errors import NavDataError
from legwise.navdata.wording import shown_path

MOST_BYTES: Final = 300_000_000
"""A whole country takes some 50 MB; six times that is no such file, unpacked or not."""
_CHUNK: Final = 1 << 20
_GZIP: Final = b"\x1f\x8b"
_ZIP: Final = b"PK\x03\x04"
_NEED = "Name a text file of coded navigation data (ARINC 424, 132 columns a record)."


def digest_of(path: pathlib.Path) -> tuple[str, int]:
    """SHA-256 of the file as it lies there, and its size; read in pieces.

    Raises
    ------
    NavDataError
        It is missing, no regular file, can't be read, or is larger than :data:`MOST_BYTES`.
    """
    digest = hashlib.sha256()
    size = 0
    try:
        _require_file(path)
        with path.open("rb") as stream:
            while piece := stream.read(_CHUNK):
                size += len(piece)
                if size > MOST_BYTES:
                    raise _too_large(path)
                digest.update(piece)
    except OSError as error:
        raise _unreadable(path, error) from None
    return digest.hexdigest(), size


def content_of(path: pathlib.Path) -> tuple[bytes, str]:
    """The text of the file, unpacked where it is compressed, and the SHA-256 of the file as it lies there.

    Raises
    ------
    NavDataError
        As :func:`digest_of`; also where it is a damaged or a wrong archive, or no text.
    """
    try:
        _require_file(path)
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except OSError as error:
        raise _unreadable(path, error) from None
    if len(content) > MOST_BYTES:
        raise _too_large(path)
    digest = hashlib.sha256(content).hexdigest()
    if content.startswith(_GZIP):
        content = _unpacked(path, content)
    if content.startswith(_ZIP):
        raise NavDataError(
            "this is a zip archive", where=shown_path(path), remedy="Unpack it and name the file of records inside."
        )
    if b"\x00" in content[:_CHUNK]:
        raise NavDataError("this is no text: it holds zero bytes", where=shown_path(path), remedy=_NEED)
    return content.removeprefix(b"\xef\xbb\xbf"), digest


def lines_in(content: bytes) -> Iterator[bytes]:
    """The lines of a text without their ends (LF, CRLF, CR), a piece at a time."""
    start = 0
    while start < len(content):
        end = content.find(b"\n", start + _CHUNK)
        if end < 0:
            # No LF follows, so that no CRLF is cut in two.
            end = content.find(b"\r", max(start + _CHUNK, content.rfind(b"\n") + 1))
        end = len(content) if end < 0 else end + 1
        yield from content[start:end].splitlines()
        start = end


def _require_file(path: pathlib.Path) -> None:
    if not stat.S_ISREG(path.stat().st_mode):
        what = "a folder" if path.is_dir() else "no regular file"
        raise NavDataError(f"this is {what}", where=shown_path(path), remedy=_NEED)


def _unpacked(path: pathlib.Path, content: bytes) -> bytes:
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(content)) as stream:
            unpacked = stream.read(MOST_BYTES + 1)
    except (OSError, EOFError, zlib.error):
        raise NavDataError(
            "the gzip archive is damaged or cut short", where=shown_path(path), remedy="Fetch or pack the file again."
        ) from None
    if len(unpacked) > MOST_BYTES:
        raise _too_large(path)
    return unpacked


def _too_large(path: pathlib.Path) -> NavDataError:
    return NavDataError(
        f"the file is larger than {MOST_BYTES // 1_000_000} MB, which no country's procedures are",
        where=shown_path(path),
        remedy=_NEED,
    )


def _unreadable(path: pathlib.Path, error: OSError) -> NavDataError:
    if isinstance(error, FileNotFoundError):
        return NavDataError("there is no such file", where=shown_path(path), remedy="Check the name and the folder.")
    reason = (error.strerror or type(error).__name__).lower()
    return NavDataError(f"it can't be read ({reason})", where=shown_path(path), remedy="Check its permissions.")
