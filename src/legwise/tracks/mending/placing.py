"""Records put in the order of time, what no aircraft could reach left out, and where the flight goes on elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from legwise.model.arrays import FloatArray, IntArray, readonly_floats, readonly_ints
from legwise.model.flown_time import flown_clock_s
from legwise.model.track import Channel, Fault, Samples
from legwise.tracks.mending.acceleration import acceleration_of
from legwise.tracks.mending.defects import gap_threshold_s
from legwise.tracks.mending.jumps import FASTEST_KT, reachable
from legwise.tracks.mending.moved_steps import TIMES_FASTER
from legwise.tracks.mending.record_order import in_time_order
from legwise.tracks.mending.slews import slews_of
from legwise.tracks.sphere import as_before, on_sphere
from legwise.tracks.wording import clock, places, some_of


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """The samples that are kept, in strict order of time, and how they hang together; arrays of shape (n,).

    ``points`` are their positions on the sphere, ``clock_s`` the time that was flown but for pauses, ``factor`` how
    many seconds of it in each second of the log (None: one). ``breaks`` are samples that begin elsewhere, ``gaps``
    those across the step to which the clock tells nothing. ``read_time_s`` are the times of all records given.
    """

    samples: Samples
    points: FloatArray
    clock_s: FloatArray
    factor: FloatArray | None
    breaks: IntArray
    gaps: IntArray
    read_time_s: FloatArray
    faults: tuple[Fault, ...]
    notes: tuple[str, ...]


def placed(samples: Samples, usable: IntArray) -> Placed:
    """Put the records ``usable`` (indices in file order, each with a time and a position) in their places."""
    ordered = in_time_order(
        samples.time_s[usable], on_sphere(samples.lat_deg[usable], samples.lon_deg[usable]), samples.line[usable]
    )
    rows, time_s = usable[ordered.order], ordered.time_s
    points = on_sphere(samples.lat_deg[rows], samples.lon_deg[rows])
    is_repeat = as_before(samples.lat_deg[rows], samples.lon_deg[rows])
    free = np.union1d(ordered.breaks, ordered.gaps)
    kept, clock_s, breaks, factor = np.arange(len(rows)), time_s, ordered.breaks, None
    faults = list(ordered.faults)
    notes: tuple[str, ...] = ()
    if len(rows) > 1:
        accelerated = acceleration_of(samples, time_s, rows, points, free)
        recorded = samples.channels.get(Channel.GROUNDSPEED_KT)
        clock_s = flown_clock_s(time_s, accelerated.factor)
        reach = reachable(clock_s, points, is_repeat, free)
        reached = np.flatnonzero(reach.keep)
        slews = slews_of(
            clock_s[reached],
            points[reached],
            as_before(samples.lat_deg[rows[reached]], samples.lon_deg[rows[reached]]),
            None if recorded is None else recorded[rows[reached]],
            np.searchsorted(reached, reach.breaks),
            free=_still_there(reached, free),
            gap_s=gap_threshold_s(float(np.median(np.diff(time_s)))),
        )
        kept = reached[~slews.displaced]
        jumped = reached[slews.breaks]
        faults += accelerated.faults
        faults += _jump_faults(
            samples.line[rows], time_s, np.flatnonzero(~reach.keep), reached[slews.displaced], jumped
        )
        breaks = np.union1d(_still_there(kept, ordered.breaks), np.searchsorted(kept, jumped))
        notes = accelerated.notes
        if accelerated.factor is not None:
            # Rounded: a clock in seconds since 1970 is known to a fraction of a microsecond.
            factor = np.round(np.concatenate([[1.0], np.diff(clock_s[kept]) / np.diff(time_s[kept])]), 4)
    return Placed(
        samples=_taken(samples, rows[kept], time_s[kept]),
        points=points[kept],
        clock_s=clock_s[kept],
        factor=factor,
        breaks=breaks,
        gaps=_still_there(kept, ordered.gaps),
        read_time_s=ordered.read_time_s,
        faults=tuple(faults),
        notes=notes,
    )


def _still_there(kept: IntArray, samples: IntArray) -> IntArray:
    """``samples`` among those ``kept``, or the next one that is; none past the end, nor before the first."""
    at = np.unique(np.searchsorted(kept, samples))
    return at[(at > 0) & (at < len(kept))]


def _jump_faults(
    line: IntArray, time_s: FloatArray, unreachable: IntArray, displaced: IntArray, jumped: IntArray
) -> list[Fault]:
    """The fault of what was left out (two kinds of it) and of the jumps that stay, as samples."""
    told: list[str] = []
    if len(unreachable):
        where = places(np.sort(line[unreachable]).tolist())
        told.append(f"positions in {where} lie where no aircraft gets in time; left out")
    if len(displaced):
        where = places(np.sort(line[displaced]).tolist())
        told.append(f"positions in {where} lie beside the track, there and back, or are passed in a leap; left out")
    if len(jumped):
        when = some_of(jumped.tolist(), lambda index: clock(float(time_s[index])))
        told.append(f"the track goes on elsewhere at {when}; kept, nothing is claimed in between")
    if not told:
        return []
    left_out = len(unreachable) + len(displaced)
    counted = f"{_counted(left_out, 'position')} left out, {_counted(len(jumped), 'break')} in the track"
    limit = f"more than {FASTEST_KT:,.0f} kt, or than {TIMES_FASTER:.0f} times the speed before and after"
    return [Fault(kind="jump", count=left_out + len(jumped), detail=f"{counted}: {'; '.join(told)} ({limit})")]


def _counted(count: int, word: str) -> str:
    return f"{count or 'no'} {word}{'' if count == 1 else 's'}"


def _taken(samples: Samples, rows: IntArray, time_s: FloatArray) -> Samples:
    """The records ``rows`` with their times as put right."""
    if len(rows) == len(samples) and bool(np.all(np.diff(rows) == 1)) and np.array_equal(time_s, samples.time_s):
        return samples
    return Samples(
        time_s=readonly_floats(time_s),
        lat_deg=readonly_floats(samples.lat_deg[rows]),
        lon_deg=readonly_floats(samples.lon_deg[rows]),
        altitudes_ft=MappingProxyType(
            {kind: readonly_floats(values[rows]) for kind, values in samples.altitudes_ft.items()}
        ),
        channels=MappingProxyType({name: readonly_floats(values[rows]) for name, values in samples.channels.items()}),
        segment=readonly_ints(samples.segment[rows]),
        line=readonly_ints(samples.line[rows]),
    )
