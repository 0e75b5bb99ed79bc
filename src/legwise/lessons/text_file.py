"""The text of a short file that a person wrote: bounded, regular, UTF-8, or an error that says what is wrong."""

from __future__ import annotations

from pathlib import Path

from legwise.errors import LessonError
from legwise.lessons.words import plain


def read_text(path: Path, *, what: str, kind: str, most_bytes: int) -> str:
    """The text of the file at ``path``; ``what`` names it in messages ("lesson file"), ``kind`` with its format.

    Raises
    ------
    LessonError
        The file is missing, is no regular file, is larger than ``most_bytes``, or not UTF-8.
    """
    where = str(path)
    try:
        if path.is_dir():
            raise LessonError("this is a directory", where=where, remedy=f"Give the {kind} in it.")
        if path.exists() and not path.is_file():
            raise LessonError("this is no regular file", where=where, remedy=f"Give a {kind}.")
        with path.open("rb") as stream:
            content = stream.read(most_bytes + 1)
    except FileNotFoundError:
        raise LessonError("there is no such file", where=where, remedy=f"Check the name of the {what}.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise LessonError(f"the file can't be read: {plain(str(reason))}", where=where) from None
    if len(content) > most_bytes:
        raise LessonError(
            f"the file is larger than {most_bytes / 1_000_000:g} MB", where=where, remedy=f"A {what} is a short text."
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise LessonError(
            "the text is not UTF-8",
            where=f"{where}, line {line}",
            remedy="Save the file again as UTF-8; an accented letter or a degree sign is the usual culprit.",
        ) from None
