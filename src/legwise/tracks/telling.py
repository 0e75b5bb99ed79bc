"""A few of many things told, the rest counted: what is not shown is never put into words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from legwise.tracks.wording import several

_Thing = TypeVar("_Thing")
_SHOWN = 5


def some_of(things: Sequence[_Thing], words: Callable[[_Thing], str]) -> str:
    """The first few in ``words``, and how many more there are."""
    rest = len(things) - _SHOWN
    told = [words(thing) for thing in things[:_SHOWN]]
    return several(told) if rest <= 0 else f"{several(told)}; {rest} more"
