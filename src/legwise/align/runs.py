"""Stretches of samples: where a condition holds, for how long, and between which jumps."""

from __future__ import annotations

from bisect import bisect_right

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import Track


def runs_of(mask: BoolArray) -> list[tuple[int, int]]:
    """The stretches where ``mask`` (shape (n,)) is true, as index pairs start, stop (exclusive)."""
    padded = np.concatenate(([False], mask, [False])).astype(np.int8)
    edges = np.flatnonzero(np.diff(padded))
    return [(int(start), int(stop)) for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def lasting_runs(mask: BoolArray, time_s: FloatArray, least_s: float, bridge_s: float = 0.0) -> list[tuple[int, int]]:
    """The stretches where ``mask`` is true for ``least_s`` seconds or longer, holes shorter than ``bridge_s`` closed.

    A stretch of one sample lasts as long as its sample stands for, half the way to each neighbour.
    """
    joined: list[tuple[int, int]] = []
    for start, stop in runs_of(mask):
        if joined and time_s[start] - time_s[joined[-1][1] - 1] < bridge_s:
            joined[-1] = (joined[-1][0], stop)
        else:
            joined.append((start, stop))
    return [(start, stop) for start, stop in joined if duration_s(time_s, start, stop) >= least_s]


def duration_s(time_s: FloatArray, start: int, stop: int) -> float:
    """How long the samples ``start`` to ``stop`` (exclusive) stand for, half an interval at each end included. [s]"""
    first = time_s[start] if start == 0 else 0.5 * (time_s[start - 1] + time_s[start])
    last = time_s[stop - 1] if stop >= len(time_s) else 0.5 * (time_s[stop - 1] + time_s[stop])
    return float(last - first)


def part_of(track: Track, sample: int) -> tuple[int, int]:
    """The first sample, and the one after the last, of the part of a track between jumps that holds ``sample``."""
    edges = (0, *track.breaks, len(track))
    place = bisect_right(edges, sample, hi=len(edges) - 1)
    return edges[place - 1], edges[place]
