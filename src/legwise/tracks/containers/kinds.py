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


_IGC_FIX = re.compile(
    rb"(?:\A(?:\xef\xbb\xbf)?|[\r\n])(?:B\d{6}\d{7}[NS]\d{8}[EW][AV]|H[FOP]DTE(?:DATE)?[: ]*\d{6}|"
    rb"A[A-Z0-9]{3}[^\r\n]*[\r\n]+H[FOP](?:FXA|PLT|CM2|GTY|GID|DTM|RFW|RHW|FTY|GPS|PRS|FRS|ALG|ALP|CID|CCL|SIT|TZN))"
)
"""A fix of IGC, its date header, or its first two records."""
# A sentence anywhere in a line (a time stamp, a tag block or rubbish may stand before it): with a checksum, or without
# one where it is of a type that carries a position and begins as such a one does.
_NMEA = re.compile(
    rb"""\$ (?: (?: [A-OQ-Z][A-Z0-9]{4} | P[A-Z0-9]{3,9} ) , [^$*\r\n]{0,200} \*[0-9A-Fa-f]{2} (?![^\s,;"'])
    | [A-OQ-Z][A-Z0-9]
      (?: RMC , [\d.]{0,16} , [AV]? , | (?: GGA | GNS ) , [\d.]{0,16} , [\d.]{0,16} , [NS]? ,
      | GLL , [\d.]{0,16} , [NS]? , [\d.]{0,16} , [EW]? , ) )
    | ^ ! [A-Z]{2,5}[A-Z0-9]{0,9} , [^\r\n]{0,200} \*[0-9A-Fa-f]{2} \s* $""",
    re.MULTILINE | re.VERBOSE,
)
_IGC_LINE = re.compile(rb"[A-L][A-Z0-9]")
_LINE_END = re.compile(rb"[\r\n]+")
_SEPARATORS = re.compile(rb"[,;\t|]")
_ROOT = re.compile(r"<([A-Za-z_][\w.\-]*:)?([A-Za-z_][\w.\-]*)[\s/>]")
_KML_NAMESPACE = re.compile(r"""\sxmlns(:\w+)?\s*=\s*["'][^"'<>]{0,60}/kml/""")
_PARTS_OF_KML = frozenset({"document", "folder", "placemark"})
"""What stands for the root where a KML file lacks its own."""
_MOSTLY = 0.9
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1a]")
_ZEROS = re.compile(rb"\x00{8,}")
"""What a recorder leaves in the space that it took for its log and did not fill; no text has so many in a row."""


def file_kind(head: bytes) -> FileKind:
    """The kind of content that begins with ``head`` (``HEAD_BYTES`` of it are enough).

    ``TEXT`` says only that it could be CSV; ``XML`` that its root is neither ``gpx`` nor ``kml``.
    """
    if head.startswith(b"\x1f\x8b"):
        return FileKind.GZIP
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")):
        return FileKind.ZIP
    # A recorder that was switched off leaves zero bytes at the end of XML.
    text = _as_text(head.rstrip(b"\0") if head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") else head)
    if text is None:
        # Receivers write sentences between messages of their own in binary.
        return FileKind.NMEA if _NMEA.search(head) else FileKind.BINARY
    if text.lstrip("\ufeff \t\r\n").startswith("<"):
        return _xml_kind(text)
    # Rubbish at the start can look like a byte order mark: then the bytes themselves hold the lines.
    return _kind_of_lines(head) or _kind_of_lines(text.encode("utf-8", errors="replace")) or FileKind.TEXT


def _kind_of_lines(head: bytes) -> FileKind | None:
    """IGC or NMEA, whichever has more lines in ``head``; None where neither has any, or most lines are of a table."""
    igc, nmea = len(_IGC_FIX.findall(head)), len(_NMEA.findall(head))
    if not igc and not nmea:
        return None
    # A stray record or sentence does not make a table one of these.
    rows = sum(
        not _IGC_LINE.match(line) and not _NMEA.search(line)
        for line in _LINE_END.split(head)
        if len(_SEPARATORS.findall(line)) > 1
    )
    if rows > max(igc, nmea):
        return None
    return FileKind.IGC if igc >= nmea else FileKind.NMEA


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
    head = with_mark(_ZEROS.sub(b"", head))
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return head[: len(head) // 2 * 2].decode("utf-16", errors="replace")
    # Characters that no text holds; a stray one more or less does not make a log binary.
    if len(_CONTROL.findall(head)) > len(head) // 200:
        return None
    return head.decode("utf-8", errors="replace")


def _xml_kind(text: str) -> FileKind:
    bare = re.sub(r"<!--.*?(-->|$)|<\?.*?(\?>|$)", " ", text, flags=re.DOTALL)
    match = _ROOT.search(bare)
    root = match[2].lower() if match else ""
    if match and root in _PARTS_OF_KML:
        tag = bare[match.start() : bare.find(">", match.start()) + 1]
        root = "kml" if _KML_NAMESPACE.search(tag) else root
    return {"gpx": FileKind.GPX, "kml": FileKind.KML}.get(root, FileKind.XML)
