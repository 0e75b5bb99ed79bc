"""Legwise: what was cleared, what was flown, how it stood against the standard, and why.

A training aid, not for navigation. The names below are the whole public face; nothing heavy is imported before one of
them is used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

__version__ = "0.1.0"

if TYPE_CHECKING:
    from legwise.errors import LegwiseError
    from legwise.model.lesson import Lesson
    from legwise.model.track import Track
    from legwise.pipeline import Debrief, debrief, read_lesson, read_track
    from legwise.tracks.limits import ReadLimits

__all__ = [
    "Debrief",
    "LegwiseError",
    "Lesson",
    "ReadLimits",
    "Track",
    "__version__",
    "debrief",
    "read_lesson",
    "read_track",
]

_HOME = {
    "Debrief": "legwise.pipeline",
    "LegwiseError": "legwise.errors",
    "Lesson": "legwise.model.lesson",
    "ReadLimits": "legwise.tracks.limits",
    "Track": "legwise.model.track",
    "debrief": "legwise.pipeline",
    "read_lesson": "legwise.pipeline",
    "read_track": "legwise.pipeline",
}


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOME[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
