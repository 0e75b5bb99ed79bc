"""The flights in a log: where one ends and the next begins.

A flight runs from its first record (standing, taxiing) to its last. Two flights are parted where the aircraft stood
for four minutes or more between them, or where the log has no records and the aircraft did not fly on unseen; of
several such places at the longest. Each flight was in the air: what only taxis goes with the flight beside it.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import Fault, Flight, Motion, Samples
from legwise.tracks.flights.craft import Craft, craft_of
from legwise.tracks.flights.stops import Stop, stops_of
from legwise.tracks.wording import several, stretch

# Common practice, no published source.
_FAST_KT = 50.0
_FAST_LEAST_S = 120.0
_UP_FT = 300.0
_UP_LEAST_S = 60.0
"""In the air is what does 50 kt, or its own flying speed, for two minutes; where altitudes tell, what is 300 ft up at
its own flying speed for one.
"""


def flights_in(
    samples: Samples,
    motion: Motion,
    *,
    read_time_s: FloatArray,
    gap_s: float,
    held: BoolArray | None = None,
    as_one: bool = False,
) -> tuple[Flight, ...]:
    """The flights of one aircraft's mended track, at least one, numbered from 1.

    ``read_time_s`` are the times of all records with a time and a position, also of those that were left out since:
    each belongs to one flight. From ``gap_s`` on there is a gap. [s] ``held`` marks samples whose position is known
    not to be that of their time. ``as_one``: all of it is one flight.
    """
    cuts = [] if as_one else _cuts(samples, motion.groundspeed_kt, gap_s, held)
    edges = [0, *cuts, len(samples)]
    times = np.sort(read_time_s)
    rows = [0, *np.searchsorted(times, samples.time_s[cuts]).tolist(), len(times)]
    return tuple(
        Flight(
            number=number,
            start_s=float(times[begin]),
            end_s=float(times[end - 1]),
            start_lat_deg=float(samples.lat_deg[first]),
            start_lon_deg=float(samples.lon_deg[first]),
            end_lat_deg=float(samples.lat_deg[stop - 1]),
            end_lon_deg=float(samples.lon_deg[stop - 1]),
            samples=end - begin,
        )
        for number, ((first, stop), (begin, end)) in enumerate(zip(pairwise(edges), pairwise(rows), strict=True), 1)
    )


def several_flights_faults(flights: tuple[Flight, ...]) -> list[Fault]:
    """The fault that tells of more than one flight."""
    if len(flights) < 2:
        return []
    told = [stretch(flight.start_s, flight.end_s) for flight in flights]
    detail = f"{len(flights)} flights in one log: {several(told)}; one of them is chosen by its number, or by times"
    return [Fault(kind="several-flights", count=len(flights), detail=detail)]


def _cuts(samples: Samples, speed_kt: FloatArray, gap_s: float, held: BoolArray | None) -> list[int]:
    """The first sample of each flight but the first."""
    craft = craft_of(samples, speed_kt)
    stops = stops_of(samples, speed_kt, craft, gap_s, held)
    if not stops:
        return []
    lasts_s = np.minimum(np.diff(samples.time_s, append=samples.time_s[-1]), gap_s)
    firsts, ends = [0, *(stop.last for stop in stops)], [*(stop.first + 1 for stop in stops), len(samples)]
    cuts: list[int] = []
    since: list[Stop] = []
    has_flown = False
    for place, part in enumerate(map(slice, firsts, ends)):
        if _was_in_air(speed_kt[part], lasts_s[part], craft, part):
            if has_flown:
                cuts.append(max(since, key=lambda stop: stop.seconds).cut)
            has_flown = True
            since = []
        since += stops[place : place + 1]
    return cuts


def _was_in_air(speed_kt: FloatArray, lasts_s: FloatArray, craft: Craft, part: slice) -> bool:
    """Whether a stretch of the log was flown, at least in part. ``lasts_s`` is the time that each sample stands for."""
    if float(lasts_s[speed_kt >= _FAST_KT].sum()) >= _FAST_LEAST_S:
        return True
    flying = speed_kt >= craft.flying_kt
    flying_s = float(lasts_s[flying].sum())
    if craft.altitude_ft is None or flying_s < _UP_LEAST_S:
        return flying_s >= _FAST_LEAST_S
    height = craft.altitude_ft[part]
    known = height[np.isfinite(height)]
    if not known.size:
        return flying_s >= _FAST_LEAST_S
    is_up = height > np.percentile(known, 2.0) + _UP_FT
    return float(lasts_s[is_up & flying].sum()) >= _UP_LEAST_S
