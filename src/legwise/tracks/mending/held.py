"""Positions that are not those of their time: a receiver that holds the last one, and a simulator's pause.

Equal positions of an aircraft that flew the moment before are one or the other. Where the next position, or the one
before, lies as far on as the aircraft flew meanwhile, the receiver held it; where the aircraft goes on from the same
place, time stood. An aircraft that comes to stand, or hovers, slows down first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Channel, Fault, Samples
from legwise.tracks.mending.still_runs import StillRuns
from legwise.tracks.wording import several, stretch

# Common practice, no published source.
_SHORT_S = 10.0
_MANY = 3
"""Among three times as many held positions, a pause under 10 s is one of them."""

_STILL = (Channel.HEADING_DEG_MAG, Channel.HEADING_DEG_TRUE, Channel.BANK_DEG, Channel.PITCH_DEG)


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """``held`` and ``paused`` per sample (None where none is), ``cuts``: pairs of samples that nothing spans."""

    held: BoolArray | None
    paused: BoolArray | None
    cuts: tuple[tuple[int, int], ...]
    faults: tuple[Fault, ...]


_NONE = Held(None, None, (), ())


def held_of(samples: Samples, clock_s: FloatArray, points: FloatArray, breaks: IntArray, gap_s: float) -> Held:
    """The samples whose position is not that of their time.

    ``clock_s`` (n,) is the time that was flown, ``points`` (n, 3) the positions on the sphere, ``breaks`` the samples
    that begin elsewhere; a step of more than ``gap_s`` has a gap.
    """
    runs = StillRuns.of(samples, clock_s, points, breaks, gap_s)
    if runs is None:
        return _NONE
    paused, stopped = runs.pauses()
    received = runs.receiver_holds() & ~paused & ~stopped
    # Where the receiver holds positions again and again, a short pause is one of them.
    few = np.count_nonzero(received) >= _MANY * np.count_nonzero(paused)
    short = paused & (runs.seconds < _SHORT_S) & few
    received, paused = received | short, (paused & ~short) | stopped
    if not (received | paused).any():
        return _NONE
    count = len(samples)
    # A leap into the run puts its last position right, one out of it its first.
    early = received & runs.leaps_in()
    held = _filled(count, runs.first + ~early, runs.stop - early, received | paused)
    stood = _filled(count, runs.first + 1, runs.stop, paused)
    long = paused | (received & (runs.seconds_to_next > gap_s))
    cuts = _cuts(count, runs.first[long] + ~early[long], runs.stop[long] - early[long])
    held.setflags(write=False)
    return Held(held, stood if paused.any() else None, cuts, _faults(samples, runs, received, paused))


def _filled(count: int, first: IntArray, stop: IntArray, which: BoolArray) -> BoolArray:
    change = np.zeros(count + 1, dtype=np.int64)
    np.add.at(change, first[which], 1)
    np.add.at(change, stop[which], -1)
    filled: BoolArray = np.cumsum(change[:-1]) > 0
    return filled


def _cuts(count: int, first: IntArray, stop: IntArray) -> tuple[tuple[int, int], ...]:
    edges = np.unique(np.concatenate([first, stop]))
    return tuple((edge - 1, edge) for edge in edges.tolist() if 0 < edge < count)


def _faults(samples: Samples, runs: StillRuns, received: BoolArray, paused: BoolArray) -> tuple[Fault, ...]:
    told: list[str] = []
    if received.any():
        count = int((runs.stop - runs.first - 1)[received].sum())
        told.append(
            f"the position stands still in flight in {count} samples: {several(_when(samples, runs, received))}"
        )
    if paused.any():
        seconds = float(runs.seconds[paused].sum())
        what = (
            "the flight stands" if _all_stood(samples, runs, paused) else "the position stands though altitudes run on"
        )
        told.append(
            f"{what} and goes on from the same place (a pause), {seconds:.0f} s in all: "
            f"{several(_when(samples, runs, paused))}; no time of it is counted"
        )
    total = int(np.count_nonzero(received | paused))
    return (Fault(kind="frozen-position", count=total, detail=f"{'; '.join(told)}; kept"),)


def _when(samples: Samples, runs: StillRuns, which: BoolArray) -> list[str]:
    firsts, lasts = samples.time_s[runs.first[which]], samples.time_s[runs.stop[which] - 1]
    return [stretch(first, last) for first, last in zip(firsts.tolist(), lasts.tolist(), strict=True)]


def _all_stood(samples: Samples, runs: StillRuns, paused: BoolArray) -> bool:
    """Whether altitude and attitude stand as well, in the pauses told by name."""
    columns = [*samples.altitudes_ft.values(), *(samples.channels[name] for name in _STILL if name in samples.channels)]
    spans = list(zip(runs.first[paused].tolist(), runs.stop[paused].tolist(), strict=True))
    return all(_stands(column[first:stop]) for column in columns for first, stop in spans[:100])


def _stands(values: FloatArray) -> bool:
    known = values[np.isfinite(values)]
    return not known.size or bool(known.min() == known.max())
