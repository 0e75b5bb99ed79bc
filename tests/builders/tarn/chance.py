"""Chance with a memory: the same numbers from the same seed, on every machine."""

from __future__ import annotations

import math

from numpy.random import RandomState


class Wander:
    """A first-order Gauss-Markov process: standard deviation ``size``, correlation time ``memory_s``."""

    def __init__(self, seed: int, size: float, memory_s: float) -> None:
        self._random = RandomState(seed)  # the legacy generator: its stream is frozen for good
        self.size = size
        self.memory_s = memory_s
        self.value = size * float(self._random.standard_normal())

    def step(self, dt_s: float) -> float:
        """The value after another ``dt_s``."""
        keep = math.exp(-dt_s / self.memory_s)
        self.value = keep * self.value + self.size * math.sqrt(1.0 - keep * keep) * float(
            self._random.standard_normal()
        )
        return self.value
