"""What every mutation works with."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

_FIGURES = re.compile(rb"\d")

Mutate = Callable[[bytes, int], bytes]
"""libFuzzer's own mutation of some bytes, to at most so many."""


@dataclass(frozen=True)
class Tools:
    """The most bytes, a random generator, the tokens of the format, and libFuzzer's own mutation."""

    most: int
    chance: random.Random
    tokens: Sequence[bytes]
    mutate: Mutate

    def some(self, data: bytes, longest: int = 60) -> bytes:
        """A few bytes in the place of ``data``: a token, or ``data`` mutated."""
        if self.chance.random() < 0.4:
            return self.chance.choice(self.tokens)
        if self.chance.random() < 0.4 and _FIGURES.search(data):
            figures = [match.start() for match in _FIGURES.finditer(data)]
            at = self.chance.choice(figures)
            return data[:at] + b"%d" % self.chance.randrange(10) + data[at + 1 :]
        return self.mutate(data, max(len(data) + 4, min(longest, 2 * len(data) + 1)))

    def place(self, things: Sequence[object]) -> int:
        """An index into a list that is not empty."""
        return self.chance.randrange(len(things))
