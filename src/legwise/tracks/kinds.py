"""What kind of file it is, told by its content. The name is never looked at."""

from __future__ import annotations

import codecs
import re
from enum import StrEnum

HEAD_BYTES = 65_536
"""How much of the beginning decides the kind."""


class FileKind(StrEnum):
    """The kinds of content that are told apart. The value is the word for it in messages."""

    GPX = "GPX"
    IGC = "IGC"
    NMEA = "NMEA 0183"
    KML = "KML"
    XML = "XML"
    TEXT = "text"
    GZIP = "gzip"
    ZIP = "zip"
    BINARY = "binary"


_IGC_FIX = re.compile(rb"^B\d{6}\d{7}[NS]\d{8}[EW][AV]", re.MULTILINE)
_NMEA = re.compile(rb"^[$!][A-Z]{2,5}[A-Z0-9]*,[^\r\n]*\*[0-9A-Fa-f]{2}\s*$", re.MULTILINE)
_ROOT = re.compile(r"<([A-Za-z_][\w.\-]*:)?([A-Za-z_][\w.\-]*)[\s/>]")
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1a]")


def file_kind(head: bytes) -> FileKind:
    """The kind of content that begins with ``head`` (``HEAD_BYTES`` of it are enough).

    ``TEXT`` says only that it could be CSV; ``XML`` that its root is neither ``gpx`` nor ``kml``.
    """
    if head.startswith(b"\x1f\x8b"):
        return FileKind.GZIP
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")):
        return FileKind.ZIP
    text = _as_text(head)
    if text is None:
        return FileKind.BINARY
    if text.lstrip("\ufeff \t\r\n").startswith("<"):
        return _xml_kind(text)
    if _IGC_FIX.search(head):
        return FileKind.IGC
    return FileKind.NMEA if _NMEA.search(head) else FileKind.TEXT


def _as_text(head: bytes) -> str | None:
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return head[: len(head) // 2 * 2].decode("utf-16", errors="replace")
    if head.startswith((b"<\x00", b"\x00<")):
        return head[: len(head) // 2 * 2].decode("utf-16-le" if head[0] else "utf-16-be", errors="replace")
    # Characters that no text holds; a stray one more or less does not make a log binary.
    if len(_CONTROL.findall(head)) > len(head) // 200:
        return None
    return head.decode("utf-8", errors="replace")


def _xml_kind(text: str) -> FileKind:
    bare = re.sub(r"<!--.*?(-->|$)|<\?.*?(\?>|$)", " ", text, flags=re.DOTALL)
    root = _ROOT.search(bare)
    return {"gpx": FileKind.GPX, "kml": FileKind.KML}.get(root[2].lower() if root else "", FileKind.XML)
