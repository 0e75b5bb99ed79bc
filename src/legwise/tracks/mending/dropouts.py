"""Channels that stop in the middle of a log: what was not recorded there can't be judged."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import Channel, Fault, Motion, Samples
from legwise.tracks.mending.motion import STANDING_KT
from legwise.tracks.wording import several, stretch

_LEAST_S = 10.0
_LEAST_SPACINGS = 10.0
"""A channel dropped out where it is blank for more than 10 s and ten times its usual spacing, with values on both
sides. Common practice, no published source.
"""

_MOST_CHANNELS = 8
_DIRECTIONS = frozenset({Channel.TRACK_DEG_TRUE, Channel.TRACK_DEG_MAG})


def dropout_faults(samples: Samples, motion: Motion, gap_s: float) -> list[Fault]:
    """The fault that tells of blank runs; gaps, where nothing at all was recorded, are not counted into them.

    An aircraft that stands has no track, so none is missing there.
    """
    columns: list[tuple[str, FloatArray, bool]] = [
        (f"altitude_{kind.value.replace('-', '_')}_ft", values, False) for kind, values in samples.altitudes_ft.items()
    ]
    columns += [(name.value, values, name in _DIRECTIONS) for name, values in samples.channels.items()]
    time_s = samples.time_s
    lasts_s = np.where(np.diff(time_s) > gap_s, 0.0, np.diff(time_s))
    recorded_s = np.concatenate([[0.0], np.cumsum(lasts_s)])
    moves = ~(motion.groundspeed_kt < STANDING_KT)
    told: list[str] = []
    runs = 0
    for name, values, is_direction in columns:
        found = _blank_runs(recorded_s, np.isfinite(values) | (~moves if is_direction else False))
        if found:
            where = [stretch(float(time_s[first]), float(time_s[last])) for first, last in found]
            told.append(f"{name} is blank {len(found)} time{'' if len(found) == 1 else 's'}: {several(where)}")
            runs += len(found)
    if not told:
        return []
    more = f"; {len(told) - _MOST_CHANNELS} more channels" if len(told) > _MOST_CHANNELS else ""
    return [Fault(kind="drop-out", count=runs, detail=f"{'; '.join(told[:_MOST_CHANNELS])}{more}; not recorded there")]


def _blank_runs(recorded_s: FloatArray, known: BoolArray) -> list[tuple[int, int]]:
    """First and last sample of the blank runs between known ones."""
    at = np.flatnonzero(known)
    if len(at) < 2 or len(at) == len(known):
        return []
    spacing_s = np.diff(recorded_s[at])
    usual_s = float(np.median(spacing_s))
    long = np.flatnonzero((np.diff(at) > 1) & (spacing_s > max(_LEAST_S, _LEAST_SPACINGS * usual_s)))
    return [(int(at[index]) + 1, int(at[index + 1]) - 1) for index in long.tolist()]
