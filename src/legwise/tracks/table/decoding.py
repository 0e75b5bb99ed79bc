"""The bytes of a CSV file to clean UTF-8 text."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

_ZERO_WIDTH = (b"\xef\xbb\xbf", b"\xe2\x80\x8b", b"\xe2\x81\xa0")
_BLANKS = (b"\xc2\xa0", b"\xe2\x80\xaf", b"\xe2\x80\x89", b"\xe2\x80\x87")
"""Byte order marks and other characters of no width; blanks that don't break, narrow ones, ones as wide as a figure."""

BYTE_ORDER_MARKS_OF_TWO = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
"""How a text of two bytes a character begins."""

_WRAPPED = re.compile(rb'(?m)^[ \t]*"(.*)"[ \t;,]*(?=\r?$)')
_MOST_WRAPPED = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A file's text as UTF-8 without a byte order mark, the encoding it was in, and what was done to it."""

    data: bytes
    encoding: str
    notes: tuple[str, ...] = ()


def text_of(data: bytes) -> Text:
    """Decode by byte order mark, else strict UTF-8, else Windows-1252 (Latin-1 for the bytes that leaves undefined).

    Zero bytes and characters without width are left out, blanks of every kind become plain ones.
    """
    notes: tuple[str, ...] = ()
    if data.startswith(BYTE_ORDER_MARKS_OF_TWO):
        data, encoding = data.decode("utf-16", errors="replace").encode("utf-8", errors="replace"), "UTF-16"
    else:
        data, encoding = _from_bytes(data.removeprefix(codecs.BOM_UTF8))
    zeros = data.count(0)
    if zeros:
        data = data.replace(b"\x00", b"")
        notes = (f"{zeros:,} zero byte{'' if zeros == 1 else 's'} are left out",)
    if not data.isascii():
        for mark in _ZERO_WIDTH:
            data = data.replace(mark, b"")
        for blank in _BLANKS:
            data = data.replace(blank, b" ")
    return Text(data=data, encoding=encoding, notes=notes)


def _from_bytes(data: bytes) -> tuple[bytes, str]:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        try:
            return data.decode("cp1252").encode("utf-8"), "Windows-1252"
        except UnicodeDecodeError:
            return data.decode("latin-1").encode("utf-8"), "Latin-1"
    return data, "UTF-8"


def unwrapped(text: Text) -> Text | None:
    """The text without the quotes around each whole line, as some spreadsheets write them; None where none are."""
    head = [line for line in text.data[:20_000].splitlines() if line.strip()][:50]
    wrapped = sum(bool(_WRAPPED.match(line)) for line in head)
    if not head or wrapped < _MOST_WRAPPED * len(head):
        return None
    data = _WRAPPED.sub(lambda match: match[1].replace(b'""', b'"'), text.data)
    return Text(data=data, encoding=text.encoding, notes=(*text.notes, "the quotes around whole lines are taken off"))
