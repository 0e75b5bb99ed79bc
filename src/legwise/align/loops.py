"""Circuits over a fix that nobody wrote down: where the track alone shows a hold.

A hold comes back over its fix every few minutes having turned all the way round. Nothing else that is flown on a plan
does: a turn back is half of that, an orbit for spacing has no fix, a course reversal comes back once.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from typing import Final

import numpy as np

from legwise.align import grammar
from legwise.align.runs import runs_of
from legwise.align.surprise import Thinned
from legwise.geodesy import inverse, turn_deg
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.plan import Fix

ROUND_DEG: Final = 300.0
"""Once round, the cut of the inbound turn and the drift taken off."""
BACK_DEG: Final = 180.0
"""A parallel or teardrop entry comes back over the fix having turned at least half round."""
LONGEST_S: Final = 720.0
"""The longest circuit: legs of four minutes, or ten miles at 150 kt. Common practice, no published source."""
APART_S: Final = 60.0


def circuits_over(thinned: Thinned, fixes: Iterable[Fix]) -> Mapping[str, BoolArray]:
    """By ident the fixes that were circled, and at which moments; shape (m,) each."""
    found = {}
    headed = _unwrapped(thinned.track_deg)
    for fix in fixes:
        inside = _circuits(thinned, headed, fix)
        if inside.any():
            found[fix.ident] = inside
    return found


def _circuits(thinned: Thinned, headed_deg: FloatArray, fix: Fix) -> BoolArray:
    inside = np.zeros(len(thinned.time_s), dtype=np.bool_)
    away, _, _ = inverse(thinned.lat_deg, thinned.lon_deg, fix.lat_deg, fix.lon_deg)
    over = ~thinned.on_ground & (away <= grammar.OVER_FIX_NM)
    passages = [start + int(np.argmin(away[start:stop])) for start, stop in runs_of(over)]
    whole: list[tuple[int, int]] = []
    back: list[tuple[int, int]] = []
    for first, last in itertools.pairwise(passages):
        lasts_s = float(thinned.flown_s[last] - thinned.flown_s[first])
        if not APART_S <= lasts_s <= LONGEST_S:
            continue
        way = headed_deg[first : last + 1]
        if abs(float(way[-1] - way[0])) >= ROUND_DEG:
            whole.append((first, last))
        elif float(way.max() - way.min()) >= BACK_DEG:
            back.append((first, last))
    for first, last in whole:
        inside[first : last + 1] = True
    for first, last in back:
        # An entry leads into a circuit; a turn back alone is no hold.
        if any(last == start for start, _ in whole):
            inside[first : last + 1] = True
    return inside


def _unwrapped(track_deg: FloatArray) -> FloatArray:
    """The track as an angle that goes on past a whole turn; where none is known it stays as it was. [deg]"""
    steps = np.nan_to_num(turn_deg(track_deg[:-1], track_deg[1:]))
    return np.concatenate(([0.0], np.cumsum(steps)))
