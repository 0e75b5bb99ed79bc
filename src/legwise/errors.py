"""The error tree: what a user can put right. A fault of ours is never in it.

::

    LegwiseError                 message, where (file, line, record or key), remedy
    ├─ CallError                 the command line or a Python call asks for something that can't be
    ├─ TrackError                a track file
    │  ├─ TrackFileError         missing, a directory or pipe, an archive that holds no track, too large
    │  ├─ TrackFormatError       not a track, damaged, unsafe XML
    │  ├─ ColumnError            a CSV column is missing, doubtful or said twice
    │  ├─ TrackTimeError         no usable time, no zone, no date, no usable position
    │  └─ FlightError            several flights and none chosen, or one that is not in the log
    ├─ LessonError               a lesson file: key, line, found, expected
    │  └─ NotYetError            what the contract names and this version does not read yet
    ├─ NavDataError              a file of navigation data or a list of fixes that can't be used
    ├─ PlanError                 a fix, leg or procedure that can't be resolved
    ├─ StandardError             an unknown or broken standard
    └─ OutputError               the place for results can't be written or holds what is not ours

Every message is short enough for a terminal: the command line prints at most ten lines.
"""

from __future__ import annotations


class LegwiseError(Exception):
    """Something a user can put right.

    Parameters
    ----------
    message
        What is wrong, in one sentence, with the value that was found.
    where
        The file, and the line, record or key in it; empty for a Python call.
    remedy
        What would put it right, in one sentence.
    """

    slug = "legwise"

    def __init__(self, message: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        text = f"{self.where}: {self.message}" if self.where else self.message
        return f"{text}\n  {self.remedy}" if self.remedy else text


class CallError(LegwiseError):
    """The call itself is bad: an option, an argument, two that exclude each other."""

    slug = "call"


class TrackError(LegwiseError):
    """A track file that can't be used."""

    slug = "track"


class TrackFileError(TrackError):
    """The file is missing, is not a regular file, is too large, or its archive holds no single track."""

    slug = "track-file"


class TrackFormatError(TrackError):
    """The content is no track, is damaged, or is unsafe."""

    slug = "track-format"


class ColumnError(TrackError):
    """A column is missing, can't be told from another, or is named and not there."""

    slug = "column"


class TrackTimeError(TrackError):
    """No usable time or position, a time without a zone, or a time without a date."""

    slug = "track-time"


class FlightError(TrackError):
    """The log holds several flights and none is chosen, or what is chosen is not in it."""

    slug = "flight"


class LessonError(LegwiseError):
    """A lesson file: syntax, an unknown key, a value out of its range."""

    slug = "lesson"


class NotYetError(LessonError):
    """The contract names it; this version does not read it yet and says so by name."""

    slug = "not-yet"


class NavDataError(LegwiseError):
    """A file of coded navigation data, or a list of fixes, that can't be used at all."""

    slug = "navdata"


class PlanError(LegwiseError):
    """A fix, a leg or a procedure that can't be resolved."""

    slug = "plan"


class StandardError(LegwiseError):
    """An unknown standard, or one that can't be read."""

    slug = "standard"


class OutputError(LegwiseError):
    """The place for results can't be written, or holds what Legwise did not make."""

    slug = "output"
