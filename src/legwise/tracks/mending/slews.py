"""Smaller jumps: steps too fast for this flight, though not for any, after which it goes on beside where it was.

A step counts where a straight line through the positions before it and one through those after it don't meet by more
than their scatter, and more than a receiver's delay explains. One that is taken back leaves a stretch beside the track
(a spoofed or reflected signal), which is left out; one that stays is a simulator's slew or reset.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.mending.direction_edges import edges_of
from legwise.tracks.mending.moved_steps import (
    FEWEST,
    LEAST_KT,
    LEAST_NM,
    MUCH_FASTER,
    TIMES_FASTER,
    TOO_FAST_KT,
    MovedSteps,
)
from legwise.tracks.mending.straight_fits import Steps
from legwise.tracks.sphere import apart_nm, size_nm
from legwise.units import S_PER_H

# Common practice, no published source.
_SCATTERS = 5.0
"""A step is a jump where it is five times the scatter of both lines, and more than delay explains."""

_BACK_SHARE = 0.1
_BACK_NM = 0.1
_STILL_NM = 0.1
_FLOWN_PART = 1.3
"""A step is taken back by one that cancels it to 10 % and 0.1 NM; or, from a place where the position stood, by one
that leads to where the flight can be.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Slews:
    """``displaced`` per sample: beside the track, to be left out; ``breaks``: samples that begin elsewhere."""

    displaced: BoolArray
    breaks: IntArray


def slews_of(
    clock_s: FloatArray,
    points: FloatArray,
    is_repeat: BoolArray,
    recorded_kt: FloatArray | None,
    breaks: IntArray,
    *,
    free: IntArray,
    gap_s: float,
) -> Slews:
    """The smaller jumps of a track, and which of the jumps known before (``breaks``) are taken back.

    Parameters
    ----------
    clock_s
        The time that was flown, shape (n,). [s]
    points
        Positions on the sphere, shape (n, 3). [NM]
    is_repeat
        Whether each position is the one before it: those tell no movement.
    recorded_kt
        The groundspeed that was recorded with the positions, None where none was.
    breaks, free
        Samples that begin elsewhere; samples across the step to which nothing is claimed, which are no jumps.
    gap_s
        A longer step has a gap: what was flown in it is not known. [s]
    """
    rows = np.flatnonzero(~is_repeat)
    if len(rows) < FEWEST:
        return Slews(np.zeros(len(clock_s), dtype=bool), breaks)
    track = MovedSteps(clock_s[rows], points[rows], None if recorded_kt is None else recorded_kt[rows], gap_s)
    known = np.searchsorted(rows, breaks)
    known = known[(known > 0) & (known < len(rows))] - 1
    no_claim = np.searchsorted(rows, free)
    no_claim = no_claim[(no_claim > 0) & (no_claim < len(rows))] - 1
    steps, is_known = track.steps(known, no_claim)
    accepted = is_known | _is_jump(track, steps)
    steps, is_known = _some(steps, accepted), is_known[accepted]
    taken_back = _taken_back(track, steps)
    displaced = np.zeros(len(clock_s), dtype=bool)
    begun: list[int] = []
    for place, back in enumerate(taken_back):
        first, last = int(steps.before[place]), int(steps.after[place])
        if back == place:
            begun.append(int(rows[last]))
        elif back > place:
            last = int(steps.after[back])
        else:
            continue
        displaced[rows[first + 1] : rows[last]] = True
    turned = edges_of(track, steps, no_claim)
    for first, last in turned.put_aside:
        displaced[rows[first + 1] : rows[last]] = True
        begun.append(int(rows[last]))
    return Slews(displaced, np.unique(np.array([*begun, *rows[turned.reversed_at].tolist()], dtype=np.int64)))


def _is_jump(track: MovedSteps, steps: Steps) -> BoolArray:
    """Whether the lines before and after a step lie farther apart than scatter and delay explain."""
    recorded = np.maximum(track.recorded_kt[steps.before], track.recorded_kt[steps.after - 1])
    speed = np.maximum.reduce([steps.speed_kt, recorded, np.full(len(recorded), LEAST_KT)])
    seconds = track.clock_s[steps.after] - track.clock_s[steps.before]
    whole_nm = apart_nm(track.points[steps.before], track.points[steps.after])
    made_kt = np.full(len(seconds), np.inf)
    np.divide(whole_nm * S_PER_H, seconds, out=made_kt, where=seconds > 0)
    too_fast = (made_kt > TIMES_FASTER * speed) | ((made_kt > TOO_FAST_KT) & (made_kt > MUCH_FASTER * speed))
    along = steps.velocity_nmps.sum(axis=0)
    along /= np.maximum(size_nm(along), 1e-12)[:, None]
    ahead = np.einsum("ij,ij->i", steps.offset_nm, along)
    aside = size_nm(steps.offset_nm - ahead[:, None] * along)
    delay_nm = track.delay_s * speed / S_PER_H
    if track.is_network:
        off_nm = size_nm(steps.offset_nm) - delay_nm
    else:
        off_nm = np.hypot(np.maximum(np.abs(ahead) - delay_nm, 0.0), aside)
    far = off_nm > np.maximum(LEAST_NM, _SCATTERS * steps.scatter_nm)
    is_jump: BoolArray = steps.is_fitted & too_fast & far
    return is_jump


def _some(steps: Steps, which: BoolArray) -> Steps:
    return Steps(
        before=steps.before[which],
        after=steps.after[which],
        is_fitted=steps.is_fitted[which],
        offset_nm=steps.offset_nm[which],
        scatter_nm=steps.scatter_nm[which],
        length_nm=steps.length_nm[which],
        velocity_nmps=steps.velocity_nmps[:, which],
    )


def _taken_back(track: MovedSteps, steps: Steps) -> list[int]:
    """For each step the place of the one that takes it back; its own place where it stays; -1 where it is taken back
    itself.
    """
    count = len(steps.before)
    partner = list(range(count))
    if count < 2:
        return partner
    one, other = steps.offset_nm[:-1], steps.offset_nm[1:]
    left_nm = size_nm(one + other)
    least_nm = np.minimum(size_nm(one), size_nm(other))
    first, last = steps.after[:-1], steps.before[1:]
    stood = size_nm(track.points[last] - track.points[first]) <= _STILL_NM
    seconds = track.clock_s[steps.after[1:]] - track.clock_s[steps.before[:-1]]
    speed = np.maximum(np.maximum(steps.speed_kt[:-1], steps.speed_kt[1:]), LEAST_KT)
    flown_nm = _BACK_NM + _FLOWN_PART * speed * seconds / S_PER_H
    cancels = (left_nm <= _BACK_NM + _BACK_SHARE * least_nm) & (left_nm < least_nm)
    cancels |= stood & (size_nm(track.points[steps.after[1:]] - track.points[steps.before[:-1]]) <= flown_nm)
    edges = np.concatenate([[0], steps.after, [len(track.clock_s)]])
    sizes = np.diff(edges)
    for place in np.flatnonzero(cancels & (sizes[1:-1] <= np.maximum(sizes[:-2], sizes[2:]))).tolist():
        if partner[place] == place:
            partner[place], partner[place + 1] = place + 1, -1
    return partner
