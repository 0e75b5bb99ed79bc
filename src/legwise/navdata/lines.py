"""A file as lines: limits, what is no such file, compression, line ends."""

from __future__ import annotations

import gzip
import hashlib
import io
import os
import pathlib
import stat
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from legwise.errors import NavDataError
from legwise.navdata.wording import shown_path

MOST_BYTES: Final = 300_000_000
"""A whole country takes some 50 MB; six times that is no such file, unpacked or not."""
_CHUNK: Final = 1 << 20
_PIECE: Final = 1 << 20
_GZIP: Final = b"\x1f\x8b"
_ZIP: Final = b"PK\x03\x04"
_OPEN: Final = os.O_RDONLY | sum(getattr(os, name, 0) for name in ("O_NONBLOCK", "O_NOCTTY", "O_CLOEXEC", "O_BINARY"))
"""How a file is opened: of one that only looks regular (``/proc/kmsg``) nothing is waited for."""
CODED_NEEDED: Final = "Name a text file of coded navigation data (ARINC 424, 132 columns a record)."


@dataclass(frozen=True, slots=True)
class Known:
    """A file as it lies there: its SHA-256, its size, and whether it is compressed."""

    digest: str
    size: int
    is_packed: bool


def known(path: pathlib.Path) -> Known:
    """What a file is known by again; read in pieces.

    Raises
    ------
    NavDataError
        It is missing, no regular file, can't be read, or is larger than :data:`MOST_BYTES`.
    """
    digest = hashlib.sha256()
    size = 0
    head = b""
    for piece in _pieces(path, CODED_NEEDED):
        head = head or piece[: len(_GZIP)]
        size += len(piece)
        digest.update(piece)
    return Known(digest.hexdigest(), size, head == _GZIP)


def content_of(path: pathlib.Path, needed: str = CODED_NEEDED) -> tuple[bytes, str]:
    """The text of the file, unpacked where it is compressed, and the SHA-256 of the file as it lies there.

    ``needed`` says what would be such a file: the remedy where it is none.

    Raises
    ------
    NavDataError
        As :func:`known`; also where it is a damaged or a wrong archive, or no text.
    """
    content = b"".join(_pieces(path, needed))
    digest = hashlib.sha256(content).hexdigest()
    if content.startswith(_GZIP):
        content = _unpacked(path, content, needed)
    if content.startswith(_ZIP):
        raise NavDataError(
            "this is a zip archive", where=shown_path(path), remedy="Unpack it and name the file inside."
        )
    if b"\x00" in content[:_CHUNK]:
        raise NavDataError("this is no text: it holds zero bytes", where=shown_path(path), remedy=needed)
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


def _pieces(path: pathlib.Path, needed: str) -> Iterator[bytes]:
    """What is in a regular file, up to the limit."""
    try:
        _require_file(path, path.stat(), needed)
        descriptor = os.open(path, _OPEN)
        try:
            _require_file(path, os.fstat(descriptor), needed)
            left = MOST_BYTES
            while piece := os.read(descriptor, _PIECE):
                left -= len(piece)
                if left < 0:
                    raise _too_large(path, needed)
                yield piece
        finally:
            os.close(descriptor)
    except OSError as error:
        raise _unreadable(path, error) from None


def _require_file(path: pathlib.Path, state: os.stat_result, needed: str) -> None:
    if not stat.S_ISREG(state.st_mode):
        what = "a folder" if stat.S_ISDIR(state.st_mode) else "no regular file"
        raise NavDataError(f"this is {what}", where=shown_path(path), remedy=needed)


def _unpacked(path: pathlib.Path, content: bytes, needed: str) -> bytes:
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(content)) as stream:
            unpacked = stream.read(MOST_BYTES + 1)
    except (OSError, EOFError, zlib.error):
        raise NavDataError(
            "the gzip archive is damaged or cut short", where=shown_path(path), remedy="Fetch or pack the file again."
        ) from None
    if len(unpacked) > MOST_BYTES:
        raise _too_large(path, needed)
    return unpacked


def _too_large(path: pathlib.Path, needed: str) -> NavDataError:
    return NavDataError(
        f"the file is larger than {MOST_BYTES // 1_000_000} MB, which no country's procedures are",
        where=shown_path(path),
        remedy=needed,
    )


def _unreadable(path: pathlib.Path, error: OSError) -> NavDataError:
    if isinstance(error, FileNotFoundError):
        return NavDataError("there is no such file", where=shown_path(path), remedy="Check the name and the folder.")
    reason = (error.strerror or type(error).__name__).lower()
    return NavDataError(f"it can't be read ({reason})", where=shown_path(path), remedy="Check its permissions.")
