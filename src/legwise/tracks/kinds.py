"""What kind of file it is, told by its content. The name is never looked at."""

from __future__ import annotations

import codecs
import re
from enum import StrEnum

READ_FORMATS = "GPX, CSV, IGC, NMEA 0183 or KML (gx:Track)"
"""What can be given, for messages."""

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
_MOSTLY = 0.9
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


def with_mark(data: bytes) -> bytes:
    """``data``, with a byte order mark in front where it is UTF-16 without one.

    Such text shows in its zero bytes: of what logs are written with, every other byte is zero.
    """
    head = data[: HEAD_BYTES // 2 * 2]
    pairs = len(head) // 2
    if pairs < 4 or head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data
    first, second = head[0 : 2 * pairs : 2].count(0), head[1 : 2 * pairs : 2].count(0)
    for zeros, others, mark, encoding in (
        (second, first, codecs.BOM_UTF16_LE, "utf-16-le"),
        (first, second, codecs.BOM_UTF16_BE, "utf-16-be"),
    ):
        if zeros > _MOSTLY * pairs and others < (1.0 - _MOSTLY) * pairs:
            text = head[: 2 * pairs].decode(encoding, errors="replace")
            is_text = len(_CONTROL.findall(text.encode("utf-8", errors="replace"))) <= len(text) // 200
            return mark + data if is_text else data
    return data


def _as_text(head: bytes) -> str | None:
    head = with_mark(head)
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return head[: len(head) // 2 * 2].decode("utf-16", errors="replace")
    # Characters that no text holds; a stray one more or less does not make a log binary.
    if len(_CONTROL.findall(head)) > len(head) // 200:
        return None
    return head.decode("utf-8", errors="replace")


def _xml_kind(text: str) -> FileKind:
    bare = re.sub(r"<!--.*?(-->|$)|<\?.*?(\?>|$)", " ", text, flags=re.DOTALL)
    root = _ROOT.search(bare)
    return {"gpx": FileKind.GPX, "kml": FileKind.KML}.get(root[2].lower() if root else "", FileKind.XML)
