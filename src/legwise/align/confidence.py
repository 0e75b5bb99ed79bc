"""How sure an inferred instruction is: how much dearer the best story without it would be."""

from __future__ import annotations

import numpy as np

from legwise.align.decode import Problem, Story, cheapest
from legwise.align.flight import Stretch
from legwise.align.surprise import Thinned

SCALE = 4.0
"""A margin of 4 units of surprise gives 0.73, 12 gives 0.95; no margin gives 0.5: as good one way as the other."""
MOST_SURE = 0.99
"""Nothing that was only inferred is certain: a person may have said something that no model of the flight holds."""
_PAD_MOMENTS = 20
_MOST_MOMENTS = 200
"""Of a long stretch its beginning will do: the margin of a few minutes is as good as certain already."""


def confidence_of(problem: Problem, story: Story, thinned: Thinned, stretch: Stretch) -> float:
    """The logistic of the margin to the best story of the same stretch without that state, in [0.5, MOST_SURE], to two
    places."""
    inside = np.flatnonzero((thinned.index >= stretch.start) & (thinned.index < stretch.stop))
    held = inside[story.state[inside] == stretch.state]
    if not held.size:
        return 0.5
    first = max(0, int(held[0]) - _PAD_MOMENTS)
    last = min(len(story.state), int(held[-1]) + _PAD_MOMENTS + 1, first + _MOST_MOMENTS)
    begin = (int(story.epoch[first]), int(story.state[first])) if first > 0 else None
    end = (int(story.epoch[last - 1]), int(story.state[last - 1])) if last < len(story.state) else None
    best = cheapest(problem, first, last, begin=begin, end=end).cost
    other = cheapest(problem, first, last, begin=begin, end=end, without=stretch.state).cost
    margin = other - best if np.isfinite(other) else np.inf
    return min(round(float(1.0 / (1.0 + np.exp(-max(0.0, min(margin, 60.0)) / SCALE))), 2), MOST_SURE)
