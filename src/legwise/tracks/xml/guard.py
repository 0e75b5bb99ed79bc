"""One bounded pass of the standard library's expat over a stranger's file: the guard of every reader of XML.

What is refused, with its line: a DOCTYPE (it can declare entities), elements nested too deep, a tag of more than a
megabyte, thousands of kinds of elements and attributes. Of a text no more is kept than a number, a time or a name
needs. Nothing is ever fetched. A file that ends too early is read up to there, and that is told.
"""

from __future__ import annotations

import codecs
from collections.abc import Callable
from typing import TypeVar
from xml.parsers import expat

from legwise.errors import TrackFileError, TrackFormatError
from legwise.model.track import Fault
from legwise.tracks.limits import ReadLimits

TEXT_KEPT = 100
"""A number or a time is shorter; a name is cut there. [characters]"""

TOO_LONG = "?"
"""Stands for a text that is longer: it is no number and no time, whatever it begins with."""

MOST_NAMES = 10_000
"""Kinds of elements and attributes in one file; recorders write some dozens."""

_CHUNK = 1 << 18
_LONGEST_TAG = 1 << 20
_PIECES_KEPT = 4
_CODES = expat.errors.codes
_ENDS_EARLY = frozenset(
    _CODES[error]
    for error in (
        expat.errors.XML_ERROR_NO_ELEMENTS,
        expat.errors.XML_ERROR_UNCLOSED_TOKEN,
        expat.errors.XML_ERROR_PARTIAL_CHAR,
        expat.errors.XML_ERROR_UNCLOSED_CDATA_SECTION,
    )
)
_OTHER_ENCODING = expat.errors.codes[expat.errors.XML_ERROR_INCORRECT_ENCODING]
_INVALID_TOKEN = _CODES[expat.errors.XML_ERROR_INVALID_TOKEN]

PassT = TypeVar("PassT", bound="XmlPass")


class XmlPass:
    """The handlers of one pass; a format says what it makes of the elements it is shown.

    Elements are told by their local name, whatever the prefix; ``_stack`` holds the names of those that are open.
    """

    format_name = "XML"
    cut_texts: frozenset[str] = frozenset()
    """Elements whose text is cut where it is too long, instead of refused."""

    def __init__(self, where: str, limits: ReadLimits) -> None:
        self.error_code = 0
        self._where = where
        self._limits = limits
        self._max_depth = limits.max_depth
        self._stack: list[str] = []
        self._locals: dict[str, str] = {}
        self._text: list[str] | None = None
        self._text_line = 0
        self._parser = expat.ParserCreate()

    def opened(self, local: str, attributes: dict[str, str]) -> None:
        """An element begins; :meth:`keep_text` asks for its text."""
        raise NotImplementedError

    def closed(self, local: str, text: str | None) -> None:
        """An element ended, and is no longer on the stack; ``text`` where it was asked for, without outer blanks."""
        raise NotImplementedError

    def records(self) -> int:
        """How many records are whole so far."""
        raise NotImplementedError

    def keep_text(self) -> None:
        """Hand the text of the element that has just begun to :meth:`closed` (unless others stand in it); it begins in
        ``_text_line``.
        """
        self._text = []
        self._text_line = self._parser.CurrentLineNumber

    def parse(self, data: bytes, encoding: str | None) -> Fault | None:
        """Run the pass; the fault tells of a file that ends too early, or goes on after its end, but holds records."""
        parser = self._parser = expat.ParserCreate(encoding)
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._doctype
        try:
            self._feed(parser, data)
        except expat.ExpatError as error:
            return self._told(error)
        except (LookupError, UnicodeError, ValueError):
            # An encoding by a name that nobody knows, or one of several bytes a character that expat can't take.
            raise TrackFormatError(
                "the XML declares an encoding that can't be read", where=self._at(1), remedy="Save it as UTF-8."
            ) from None
        finally:
            # The handlers and the parser hold each other.
            self._parser = expat.ParserCreate()
        return None

    def _feed(self, parser: expat.XMLParserType, data: bytes) -> None:
        """Piece by piece, so that what grows without end is seen before it has grown."""
        view = memoryview(data)
        for start in range(0, len(data), _CHUNK):
            piece = view[start : start + _CHUNK]
            parser.Parse(piece, False)
            if start + len(piece) - parser.CurrentByteIndex > _LONGEST_TAG:
                raise self._refused("a tag or a comment is longer than a megabyte")
            if len(parser.intern) > MOST_NAMES:
                raise self._refused(f"there are more than {MOST_NAMES:,} kinds of elements and attributes")
        parser.Parse(b"", True)

    def _told(self, error: expat.ExpatError) -> Fault:
        self.error_code = error.code
        if self._locals and not self._stack and self.records() > 1:
            detail = f"after the end of the {self.format_name} something follows in line {error.lineno}; it is not read"
            return Fault(kind="after-the-end", count=1, detail=detail)
        if error.code in _ENDS_EARLY and self.records() > 1:
            detail = f"the file ends too early, in line {error.lineno}; read up to there"
            return Fault(kind="cut-short", count=1, detail=detail)
        raise TrackFormatError(
            f"damaged XML: {expat.ErrorString(error.code)}",
            where=self._at(error.lineno),
            remedy="Copy the log from the recorder again, or export it anew.",
        ) from None

    def _line(self) -> int:
        return self._parser.CurrentLineNumber

    def _at(self, line: int) -> str:
        return f"{self._where}, line {line}"

    def _refused(self, message: str) -> TrackFormatError:
        return TrackFormatError(
            message,
            where=self._at(self._line()),
            remedy=f"This is no {self.format_name} of a recorder; export it anew.",
        )

    def _too_many(self, what: str = "points") -> TrackFileError:
        return TrackFileError(
            f"the track holds more than {self._limits.max_rows:,} {what}",
            where=self._at(self._line()),
            remedy="Cut the log to the flight, or let more be read: --limit rows=N.",
        )

    def _doctype(self, *_declared: object) -> None:
        raise TrackFormatError(
            "a DOCTYPE is not accepted: it can declare entities",
            where=self._at(self._line()),
            remedy=f"A {self.format_name} file needs none; export it anew.",
        )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = self._locals.get(name)
        if local is None:
            local = self._locals[name] = name.rpartition(":")[2]
        stack = self._stack
        stack.append(local)
        if len(stack) > self._max_depth:
            raise self._refused(f"elements nest deeper than {self._max_depth}")
        self._text = None
        self.opened(local, attributes)

    def _characters(self, text: str) -> None:
        # All the pieces but the first and the last of a text are long: those that are not kept make no short one.
        if self._text is not None and len(self._text) < _PIECES_KEPT:
            self._text.append(text[: TEXT_KEPT + 1])

    def _end(self, _name: str) -> None:
        local = self._stack.pop()
        pieces = self._text
        if pieces is None:
            self.closed(local, None)
            return
        self._text = None
        text = "".join(pieces)
        if len(text) > TEXT_KEPT:
            text = text.strip()[:TEXT_KEPT] if local in self.cut_texts else TOO_LONG
        self.closed(local, text.strip())


def parsed_tolerantly(begin: Callable[[], PassT], data: bytes) -> tuple[PassT, list[str], list[Fault]]:
    """The pass that ``begin`` makes, run over ``data``, with notes and faults.

    Bytes that are no UTF-8 although the file says so (or says nothing) are taken as Windows-1252; zero bytes at the
    end, which a recorder leaves that was switched off, are not looked at.
    """
    notes: list[str] = []
    # A byte order mark stands before a declaration that says something else.
    is_wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    if not is_wide and data.endswith(b"\0"):
        data = data.rstrip(b"\0")
        notes.append("zero bytes at the end of the file are left out")
    reader = begin()
    try:
        cut = reader.parse(data, "utf-16" if is_wide else None)
    except TrackFormatError:
        is_utf8 = _is_utf8(data)
        # A program that writes text it holds in memory declares the encoding that it has there.
        if reader.error_code == _OTHER_ENCODING and is_utf8:
            encoding, note = "utf-8", "the text is UTF-8, whatever its declaration says"
        elif reader.error_code == _INVALID_TOKEN and not is_utf8:
            encoding, note = "windows-1252", "the text is no UTF-8; read as Windows-1252"
        else:
            raise
        reader = begin()
        cut = reader.parse(data, encoding)
        notes.append(note)
    return reader, notes, [cut] if cut else []


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
