"""Words for messages: what a file holds is shown short, on one line and without control characters."""

from __future__ import annotations

from pathlib import PurePath

_MOST = 40
_MOST_OF_PATH = 200


def shown(text: str, most: int = _MOST) -> str:
    """``text`` in quotes, cut after ``most`` characters."""
    return f"“{_printable(text[:most])}{'…' if len(text) > most else ''}”"


def shown_path(path: str | PurePath) -> str:
    """A path on one line; of a long one its end."""
    text = str(path)
    return _printable(text if len(text) <= _MOST_OF_PATH else f"…{text[-_MOST_OF_PATH:]}")


def _printable(text: str) -> str:
    return "".join(character if character.isprintable() else "·" for character in text)
