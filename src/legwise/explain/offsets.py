"""Steady offsets: a leg flown beside its course for a while, told as a fact even where it stays inside the limit."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from legwise.look import words
from legwise.model.alignment import Alignment, Fact, FlownLeg
from legwise.model.arrays import BoolArray
from legwise.model.deviations import Deviations
from legwise.model.instants import instant
from legwise.model.track import Track

OFFSET_NM = 0.2
STEADY_S = 60.0
"""An offset is told from this size, held on one side for this long. Common practice, no published source."""


def offset_facts(track: Track, alignment: Alignment, deviations: Deviations) -> tuple[Fact, ...]:
    """One fact for each leg's longest stretch to one side of course by ``OFFSET_NM`` for ``STEADY_S``, turns aside."""
    facts = []
    for position, leg in enumerate(alignment.legs):
        mine = (alignment.leg == position) & ~alignment.in_turn
        runs = [_longest(track, mine & (side * deviations.cross_track_nm >= OFFSET_NM)) for side in (1.0, -1.0)]
        first, last = max(runs, key=lambda run: _seconds(track, run))
        if _seconds(track, (first, last)) >= STEADY_S:
            facts.append(_fact(track, leg, deviations, first, last))
    return tuple(facts)


def _longest(track: Track, mask: BoolArray) -> tuple[int, int]:
    """First and last sample of the longest run of ``mask``, never across a gap."""
    edges = np.diff(np.concatenate(([False], mask, [False])).astype(np.int8))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    runs: list[tuple[int, int]] = []
    for start, stop in zip(starts.tolist(), stops.tolist(), strict=True):
        cuts = [start, *(after for _before, after in track.gaps if start < after <= stop), stop + 1]
        runs.extend((cut, following - 1) for cut, following in pairwise(cuts))
    return max(runs, key=lambda run: _seconds(track, run), default=(0, 0))


def _seconds(track: Track, run: tuple[int, int]) -> float:
    return float(track.samples.time_s[run[1]] - track.samples.time_s[run[0]])


def _fact(track: Track, leg: FlownLeg, deviations: Deviations, first: int, last: int) -> Fact:
    offset_nm = float(np.median(deviations.cross_track_nm[first : last + 1]))
    start_s, end_s = float(track.samples.time_s[first]), float(track.samples.time_s[last])
    ends = (
        f"{words.clean(leg.from_ident)} to {words.clean(leg.to_ident)}"
        if leg.from_ident
        else (f"direct to {words.clean(leg.to_ident)}")
    )
    side = "right" if offset_nm > 0 else "left"
    return Fact(
        time_s=start_s,
        text=(
            f"On {ends} the track ran {abs(offset_nm):.2f} NM {side} of course for {(end_s - start_s) / 60:.1f} min, "
            f"{instant(start_s):%H:%M:%S}Z to {instant(end_s):%H:%M:%S}Z."
        ),
    )
