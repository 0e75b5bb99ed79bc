"""The final segment of each approach as flown: where it begins, where the needles end, where the glidepath was met."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.assess.flight import SEGMENT_CODE, Flight, final_start, on_glidepath, path_judged_from, planned_approach
from legwise.model.alignment import FlownApproach
from legwise.model.arrays import FloatArray
from legwise.model.plan import PlannedApproach
from legwise.model.standard import Segment

MET_NEEDLE = 0.1
"""Within this share of full scale the glidepath is met. Common practice, no published source."""

DESCENDING_FPM = -200.0
"""Descending faster than this at the final approach fix, the glidepath was met before it. Common practice, no
published source. [ft/min]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Final:
    """A final segment: samples ``start`` to ``stop`` (exclusive), which is where it ended for good.

    ``needles_stop`` is where the needles are no longer owed: at the minima, the lowest point of a go-around begun above
    them, the landing where there are none. ``lateral_start`` is where the course was joined, ``glidepath_start`` where
    the glidepath was met, neither earlier than ``start``; the latter None without a glidepath. ``leg`` is the id of the
    leg flown last before any missed approach.
    """

    position: int
    flown: FlownApproach
    approach: PlannedApproach
    start: int
    stop: int
    needles_stop: int
    leg: str | None
    lateral_start: int
    glidepath_start: int | None

    @property
    def segment(self) -> Segment:
        """The kind of final segment."""
        return Segment.FINAL_PRECISION if on_glidepath(self.approach) else Segment.FINAL_NONPRECISION

    @property
    def landed(self) -> bool:
        """True where the approach ended on the runway."""
        return self.flown.landing is not None


def finals_of(flight: Flight) -> tuple[Final, ...]:
    """The final segments flown, in order; an approach that never got there has none."""
    finals = (_final(flight, position, flown) for position, flown in enumerate(flight.alignment.approaches))
    return tuple(final for final in finals if final is not None)


def _final(flight: Flight, position: int, flown: FlownApproach) -> Final | None:
    approach = planned_approach(flight.plan, flown)
    start = final_start(flight.alignment, flown, approach)
    if start is None:
        return None
    stop = _stop(flight, flown, start)
    if stop <= start:
        return None
    needles_stop = _needles_stop(flight, flown, approach, start, stop)
    joined = path_judged_from(flight, np.arange(start, needles_stop))
    glidepath_start = None
    if on_glidepath(approach):
        glidepath_start = max(start, _glidepath_met(flight, flown, start, needles_stop))
    return Final(
        position=position,
        flown=flown,
        approach=approach,
        start=start,
        stop=stop,
        needles_stop=needles_stop,
        leg=_leg(flight, start, stop),
        lateral_start=int(joined[0]) if joined.size else needles_stop,
        glidepath_start=glidepath_start,
    )


def _stop(flight: Flight, flown: FlownApproach, start: int) -> int:
    """The end of the final segment: landing, start of the missed approach, passing its point, or where the approach
    was left."""
    ends = [flown.stop]
    if flown.landing is not None:
        ends.append(flown.landing + 1)
    if flown.missed_start is not None:
        ends.append(flown.missed_start + 1)
    elif flown.landing is None:
        missed = np.flatnonzero(flight.segment[start : flown.stop] == SEGMENT_CODE[Segment.MISSED])
        ends.extend([start + int(missed[0])] if missed.size else [])
    return min(ends)


def _needles_stop(flight: Flight, flown: FlownApproach, approach: PlannedApproach, start: int, stop: int) -> int:
    minima_ft = approach.minima_ft
    missed = np.flatnonzero(flight.segment[start:stop] == SEGMENT_CODE[Segment.MISSED])
    ends = [stop, *(start + missed[:1])]
    if flown.missed_start is not None:
        ends.append(flown.missed_start)
        if on_glidepath(approach) and flown.lowest is not None and flown.lowest >= start:
            # From its lowest point on a go-around leaves the glidepath on purpose; the climb shows a moment later.
            ends.append(flown.lowest + 1)
    stop = min(ends)
    if minima_ft is None or stop <= start:
        return max(int(stop), start)
    if on_glidepath(approach):
        below = np.flatnonzero(flight.altitude_ft[start:stop] < minima_ft)
        return start + int(below[0]) if below.size else int(stop)
    return int(stop) if flown.landing is None else left_for_good(flight, start, int(stop), minima_ft)


def _leg(flight: Flight, start: int, stop: int) -> str | None:
    """The id of the last leg of the final segment, or None."""
    inside = flight.segment[start:stop] != SEGMENT_CODE[Segment.MISSED]
    rows = start + np.flatnonzero(inside & (flight.alignment.leg[start:stop] >= 0))
    return flight.alignment.legs[int(flight.alignment.leg[rows[-1]])].id if rows.size else None


def left_for_good(flight: Flight, start: int, stop: int, minima_ft: float) -> int:
    """The first sample after the last one at or above the minimum; ``stop`` where the minimum was not passed."""
    at_or_above = np.flatnonzero(~(flight.altitude_ft[start:stop] < minima_ft))
    return start + int(at_or_above[-1]) + 1 if at_or_above.size else start


def _glidepath_met(flight: Flight, flown: FlownApproach, start: int, stop: int) -> int:
    """The first sample on the glidepath; that of the final approach fix where it was never met.

    Descending at the final approach fix with the path met before it, it was met by then; else the path is looked for
    from the fix on.
    """
    needle = flight.deviations.vertical_needle
    first = flown.joined if flown.joined is not None else flown.start
    met_before = _contact(needle[first : start + 1]) is not None if first <= start else False
    speed_fpm = flight.deviations.judged.vertical_speed_fpm[start]
    if met_before and not speed_fpm > DESCENDING_FPM:
        return start
    contact = _contact(needle[start:stop])
    return start if contact is None else start + contact


def _contact(needle: FloatArray) -> int | None:
    """Where a vertical needle first stands near the middle or passes through it."""
    known = np.flatnonzero(np.isfinite(needle))
    values = needle[known]
    near = np.abs(values) <= MET_NEEDLE
    through = np.concatenate([[False], values[:-1] * values[1:] < 0]) if values.size else near
    hits = np.flatnonzero(near | through)
    return int(known[hits[0]]) if hits.size else None
