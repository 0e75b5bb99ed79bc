"""Edges of the direction: an aircraft flies on from the same place another way, from one moment to the next.

No turn is so steep: a simulator put the heading elsewhere, or slews the aircraft aside. A slew has two edges that
cancel, and what lies between them was not flown.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.mending.moved_steps import LEAST_KT, LEAST_NM, MovedSteps
from legwise.tracks.mending.straight_fits import Steps, fitted_steps
from legwise.tracks.sphere import size_nm
from legwise.units import S_PER_H

# Common practice, no published source.
_REVERSED_COSINE = 0.5
_REVERSED_S = 1.5
_REVERSED_STEP_S = 2.0
_STRAIGHT_S = 4.0
_STRAIGHT_NM, _STRAIGHT_PART = 0.003, 0.02
_MEET_PART = 0.6
"""A heading put elsewhere: 60 degrees and more from a second to the next, between lines of 4 s straight to 6 m or 2 %:
no turn is so steep.
"""

_LOOKED_AT_COSINE = 0.94
_ASIDE_KT, _ASIDE_PART = 50.0, 0.7
_ASIDE_MOST_S = 90.0
_CANCELS_PART = 0.3
"""A slew aside: two edges within a minute and a half at each of which 50 kt are gained or lost at once, most of it
across the way, and which cancel to 30 %. In a second that is 2.6 g.
"""


@dataclass(frozen=True, slots=True, eq=False)
class DirectionEdges:
    """``reversed_at``: samples from which the heading is another one; ``put_aside``: last sample before a slew aside
    and first one after it.
    """

    reversed_at: IntArray
    put_aside: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Edges:
    """Edges between two straight lines, in the order of time: the step ``at`` of each, the change of velocity (e, 3)
    and whether it is one by 60 degrees and more.
    """

    at: IntArray
    gained_kt: FloatArray
    across_kt: FloatArray
    is_reversed: BoolArray


def edges_of(track: MovedSteps, steps: Steps, no_claim: IntArray) -> DirectionEdges:
    """The edges of a track besides its jumps ``steps``, and steps that tell nothing (``no_claim``)."""
    edges = _edges(track, steps, no_claim)
    slews = _pairs(track, edges)
    paired = {place for pair in slews for place in pair}
    alone = [place for place in range(len(edges.at)) if place not in paired and edges.is_reversed[place]]
    return DirectionEdges(
        reversed_at=edges.at[alone] + 1,
        put_aside=tuple((int(edges.at[one]), int(edges.at[other]) + 1) for one, other in slews),
    )


def _pairs(track: MovedSteps, edges: _Edges) -> list[tuple[int, int]]:
    """Neighbouring edges that cancel."""
    found: list[tuple[int, int]] = []
    gained = size_nm(edges.gained_kt)
    is_aside = (gained >= _ASIDE_KT) & (edges.across_kt >= _ASIDE_PART * gained)
    for one, other in pairwise(np.flatnonzero(is_aside).tolist()):
        if found and found[-1][1] == one:
            continue
        seconds = float(track.clock_s[edges.at[other]] - track.clock_s[edges.at[one]])
        left = float(size_nm(edges.gained_kt[one] + edges.gained_kt[other]))
        if seconds <= _ASIDE_MOST_S and left <= _CANCELS_PART * min(gained[one], gained[other]):
            found.append((one, other))
    return found


def _edges(track: MovedSteps, steps: Steps, no_claim: IntArray) -> _Edges:
    usual_s = float(np.median(track.seconds))
    none = np.empty(0, dtype=np.int64)
    if usual_s > _REVERSED_STEP_S / 2.0:
        return _Edges(none, np.empty((0, 3)), np.empty(0), np.empty(0, dtype=np.bool_))
    cosine, moved_nm = _turned_at(track, _REVERSED_S)
    turned = (moved_nm > LEAST_KT * _REVERSED_S / S_PER_H / 2.0) & (cosine < _LOOKED_AT_COSINE)
    turned &= track.seconds <= _REVERSED_STEP_S
    for step in np.concatenate([steps.before, no_claim]).tolist():
        turned[max(0, step - 8) : step + 9] = False
    at = np.flatnonzero(turned)
    low = np.searchsorted(track.clock_s, track.clock_s[at] - _STRAIGHT_S)
    high = np.searchsorted(track.clock_s, track.clock_s[at + 1] + _STRAIGHT_S, side="right") - 1
    found = fitted_steps(track.clock_s, track.points, at, at + 1, (low, high))
    speeds = size_nm(found.velocity_nmps)
    cosine = np.einsum("ij,ij->i", *found.velocity_nmps) / np.maximum(speeds[0] * speeds[1], 1e-12)
    straight = found.scatter_nm <= np.maximum(_STRAIGHT_NM, _STRAIGHT_PART * found.length_nm)
    # Where in its step it was turned is not known: the lines meet that far from its middle.
    meet = size_nm(found.offset_nm) <= np.maximum(LEAST_NM, speeds.sum(axis=0) * track.seconds[at] * _MEET_PART)
    gained_kt = (found.velocity_nmps[1] - found.velocity_nmps[0]) * S_PER_H
    is_fine = found.is_fitted & straight & meet & (found.slower_kt > LEAST_KT)
    is_edge = is_fine & ((cosine < _REVERSED_COSINE) | (size_nm(gained_kt) >= _ASIDE_KT))
    best = _straightest(at, np.where(is_edge, found.scatter_nm, np.inf))
    slower = np.where((speeds[0] <= speeds[1])[:, None], found.velocity_nmps[0], found.velocity_nmps[1])
    slower /= np.maximum(size_nm(slower), 1e-12)[:, None]
    along = np.einsum("ij,ij->i", gained_kt, slower)
    across_kt = np.sqrt(np.maximum(size_nm(gained_kt) ** 2 - along**2, 0.0))
    return _Edges(at[best], gained_kt[best], across_kt[best], cosine[best] < _REVERSED_COSINE)


def _turned_at(track: MovedSteps, about_s: float) -> tuple[FloatArray, FloatArray]:
    """The cosine of the turn at each step, from ``about_s`` before it to as long after, and the shorter way. [NM]"""
    at = np.arange(len(track.seconds))
    low = np.minimum(np.searchsorted(track.clock_s, track.clock_s[:-1] - about_s), np.maximum(at - 1, 0))
    high = np.searchsorted(track.clock_s, track.clock_s[1:] + about_s, side="right") - 1
    high = np.maximum(high, np.minimum(at + 2, len(at)))
    into, off = track.points[at] - track.points[low], track.points[high] - track.points[at + 1]
    sizes = size_nm(into), size_nm(off)
    cosine = np.einsum("ij,ij->i", into, off) / np.maximum(sizes[0] * sizes[1], 1e-12)
    return cosine, np.minimum(*sizes)


def _straightest(at: IntArray, scatter_nm: FloatArray) -> IntArray:
    """Of each run of neighbouring steps the place of the one with the least scatter, where that is not infinite."""
    if not at.size:
        return at
    run = np.cumsum(np.concatenate([[0], np.diff(at) > 1]))
    order = np.lexsort((scatter_nm, run))
    first = order[np.concatenate([[True], np.diff(run[order]) > 0])]
    least: IntArray = first[np.isfinite(scatter_nm[first])]
    return least
