"""Steady offsets: a leg flown beside its course for a while, told as a fact even where it stays inside the limit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from legwise.look import words
from legwise.look.leg_words import ends_words, leg_words
from legwise.model.alignment import Alignment, Fact, FlownLeg
from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.deviations import Deviations
from legwise.model.flown_time import flown_time_s
from legwise.model.instants import instant
from legwise.model.track import Track

OFFSET_NM = 0.2
STEADY_S = 60.0
"""An offset is told from this size, held on one side for this long. Common practice, no published source."""

DOUBTS = 3.0
"""Nor is one told that is smaller than this many times the doubt of the position. Common practice, no published
source."""

KEPT, GONE, REGAIN_SHARE = 2 / 3, 1 / 3, 0.6
"""An offset that falls from its peak to the second of these shares is on its way back to the course where it was above
the first for no more than the third of that time: half of it on a straight cut. Common practice, no published
source."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Offset:
    """A stretch beside the course of a leg: its ends as epoch seconds, how long it was flown, and its median, right of
    course positive.
    """

    leg: FlownLeg
    start_s: float
    end_s: float
    lasts_s: float
    offset_nm: float

    @property
    def where(self) -> str:
        """``"BRAKO to CALDU"``."""
        leg = self.leg
        ends = words.clean(ends_words(leg.planned))
        return leg_words(leg.kind, words.clean(leg.from_ident), words.clean(leg.to_ident), ends)

    @property
    def side(self) -> str:
        """The side of the course: ``"right"`` or ``"left"``."""
        return "right" if self.offset_nm > 0 else "left"


def steady_offsets(track: Track, alignment: Alignment, deviations: Deviations) -> tuple[Offset, ...]:
    """Each leg's longest stretch to one side of course by ``OFFSET_NM`` for ``STEADY_S``, turns aside.

    A stretch that is a join or a regain is none, nor is a direct's: its course is drawn from where it began.
    """
    flown_s = flown_time_s(track)
    least_nm = max(OFFSET_NM, DOUBTS * deviations.horizontal_accuracy_nm)
    found = []
    for position, leg in enumerate(alignment.legs):
        if leg.kind == "DF":
            continue
        mine = (alignment.leg == position) & ~alignment.in_turn
        runs = [
            run
            for side in (1.0, -1.0)
            for run in _runs(track, mine & (side * deviations.cross_track_nm >= least_nm))
            if _seconds(flown_s, run) >= STEADY_S and not _regained(flown_s, mine, deviations.cross_track_nm, run)
        ]
        if runs:
            first, last = max(runs, key=lambda run: _seconds(flown_s, run))
            found.append(
                Offset(
                    leg=leg,
                    start_s=float(track.samples.time_s[first]),
                    end_s=float(track.samples.time_s[last]),
                    lasts_s=_seconds(flown_s, (first, last)),
                    offset_nm=float(np.median(deviations.cross_track_nm[first : last + 1])),
                )
            )
    return tuple(found)


def offset_facts(offsets: tuple[Offset, ...]) -> tuple[Fact, ...]:
    """One fact for each offset."""
    return tuple(_fact(offset) for offset in offsets)


def _runs(track: Track, mask: BoolArray) -> list[tuple[int, int]]:
    """First and last sample of each run of ``mask``, never across a gap."""
    edges = np.diff(np.concatenate(([False], mask, [False])).astype(np.int8))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    runs: list[tuple[int, int]] = []
    for start, stop in zip(starts.tolist(), stops.tolist(), strict=True):
        cuts = [start, *(after for _before, after in track.gaps if start < after <= stop), stop + 1]
        runs.extend((cut, following - 1) for cut, following in pairwise(cuts))
    return runs


def _seconds(flown_s: FloatArray, run: tuple[int, int]) -> float:
    return float(flown_s[run[1]] - flown_s[run[0]])


def _regained(flown_s: FloatArray, mine: BoolArray, cross_track_nm: FloatArray, run: tuple[int, int]) -> bool:
    """Whether the offset of ``run`` was never held, but fell from its peak on: what comes after on the leg counts."""
    first, last = run
    size = np.abs(cross_track_nm)
    peak = first + int(np.argmax(size[first : last + 1]))
    if _seconds(flown_s, (first, peak)) >= STEADY_S:
        return False
    after = peak + np.flatnonzero(mine[peak:])
    time_s = flown_s[after] - flown_s[peak]
    gone = np.flatnonzero(size[after] < GONE * size[peak])
    if gone.size == 0:
        return False
    kept = np.flatnonzero(size[after[: gone[0]]] >= KEPT * size[peak])
    return bool(time_s[kept[-1]] <= REGAIN_SHARE * time_s[gone[0]])


def _fact(offset: Offset) -> Fact:
    minutes = offset.lasts_s / 60
    return Fact(
        time_s=offset.start_s,
        text=(
            f"On {offset.where} the track ran {abs(offset.offset_nm):.2f} NM {offset.side} of course for "
            f"{minutes:.1f} min, {instant(offset.start_s):%H:%M:%S}Z to {instant(offset.end_s):%H:%M:%S}Z."
        ),
    )
