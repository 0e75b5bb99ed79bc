"""Recorded values that no aircraft could have: beyond any flight, or a spike that is gone again at once.

Recorders write marks such as -9999 or 32767 where a sensor gave nothing. Such a value becomes missing and is told; the
sample stays.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, TypeVar

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray, readonly_floats
from legwise.model.track import AltitudeKind, Channel, Fault, Samples
from legwise.tracks.wording import places
from legwise.units import FT_PER_M, S_PER_MIN

_Name = TypeVar("_Name", AltitudeKind, Channel)

# All of these bounds are common practice, no published source: far beyond any training flight.
LOWEST_FT, HIGHEST_FT = -2_000.0, 100_000.0
_SPEED_KT = (0.0, 2_000.0)
_DIRECTION_DEG = (-360.0, 720.0)
_CLIMB_FPM = 60_000.0
_NOT_NEGATIVE = (0.0, np.inf)

BOUNDS: Final[Mapping[Channel, tuple[float, float]]] = MappingProxyType(
    {
        Channel.GROUNDSPEED_KT: _SPEED_KT,
        Channel.IAS_KT: _SPEED_KT,
        Channel.TAS_KT: _SPEED_KT,
        Channel.TRACK_DEG_TRUE: _DIRECTION_DEG,
        Channel.TRACK_DEG_MAG: _DIRECTION_DEG,
        Channel.HEADING_DEG_MAG: _DIRECTION_DEG,
        Channel.HEADING_DEG_TRUE: _DIRECTION_DEG,
        Channel.BANK_DEG: (-180.0, 180.0),
        Channel.PITCH_DEG: (-90.0, 90.0),
        Channel.VERTICAL_SPEED_FPM: (-_CLIMB_FPM, _CLIMB_FPM),
        Channel.HDOP: _NOT_NEGATIVE,
        Channel.HORIZONTAL_ACCURACY_M: _NOT_NEGATIVE,
        Channel.VERTICAL_ACCURACY_M: _NOT_NEGATIVE,
    }
)
"""The least and the greatest value of each channel that is believed."""

_SLACK_FT = 300.0
"""What altitudes may step besides: those written by the hundred feet at ten a second."""

_MARKS = np.array([-9999.0, -999.0, 9999.0, 32767.0, -32768.0, 65535.0])
_MARK_FPM = 10_000.0
"""The usual marks for nothing, in feet or metres, and the climb from which on one of them is believed to be none."""

_SPIKE_S = 30.0
"""A spike that is not one value all through lasts no longer."""

_END_SAMPLES = 5
"""At the beginning and the end, where there is one side only, a spike has no more samples."""


def without_impossible_values(samples: Samples) -> tuple[Samples, list[Fault]]:
    """``samples`` (in the order of time) with impossible values missing, and the faults that tell of them.

    A channel of which nothing is left goes. Without any such value ``samples`` is given back itself.
    """
    altitudes, channels = dict(samples.altitudes_ft), dict(samples.channels)
    faults: list[Fault] = []
    for kind, values in samples.altitudes_ft.items():
        beyond = _beyond(values, LOWEST_FT, HIGHEST_FT)
        bad = beyond | _spikes(samples.time_s, np.where(beyond, np.nan, values))
        if bad.any():
            _replace(altitudes, kind, values, bad)
            name = f"altitude_{kind.value.replace('-', '_')}_ft"
            faults.append(_fault(name, values, bad, samples.line, gone=kind not in altitudes))
    for channel, values in samples.channels.items():
        bad = _beyond(values, *BOUNDS[channel])
        if bad.any():
            _replace(channels, channel, values, bad)
            faults.append(_fault(channel.value, values, bad, samples.line, gone=channel not in channels))
    if not faults:
        return samples, faults
    cleaned = Samples(
        time_s=samples.time_s,
        lat_deg=samples.lat_deg,
        lon_deg=samples.lon_deg,
        altitudes_ft=MappingProxyType(altitudes),
        channels=MappingProxyType(channels),
        segment=samples.segment,
        line=samples.line,
    )
    return cleaned, faults


def _beyond(values: FloatArray, least: float, greatest: float) -> BoolArray:
    beyond: BoolArray = (values < least) | (values > greatest)
    return beyond


def _replace(columns: dict[_Name, FloatArray], name: _Name, values: FloatArray, bad: BoolArray) -> None:
    left = np.where(bad, np.nan, values)
    if np.isfinite(left).any():
        columns[name] = readonly_floats(left)
    else:
        del columns[name]


def _fault(name: str, values: FloatArray, bad: BoolArray, line: IntArray, *, gone: bool) -> Fault:
    some = sorted({f"{value:,.10g}" for value in values[bad]})
    shown = some[0] if len(some) == 1 else f"{np.min(values[bad]):,.10g} to {np.max(values[bad]):,.10g}"
    count = int(np.count_nonzero(bad))
    detail = (
        f"{name}: {count} value{'' if count == 1 else 's'} that no aircraft has ({shown}) in "
        f"{places(np.sort(line[bad]).tolist())}; taken as not recorded"
        f"{', which leaves nothing of the channel' if gone else ''}"
    )
    return Fault(kind="impossible-value", count=count, detail=detail)


def _spikes(time_s: FloatArray, altitude_ft: FloatArray) -> BoolArray:
    """Altitudes that are reached and left again faster than any aircraft climbs or sinks.

    The values fall into stretches without such a step. Marks are taken out first, then the shortest, and only where
    what stands before and after them goes together.
    """
    bad = np.zeros(len(altitude_ft), dtype=bool)
    rows = np.flatnonzero(np.isfinite(altitude_ft))
    if len(rows) < 3:
        return bad
    altitudes = _Altitudes(time_s[rows], altitude_ft[rows])
    if altitudes.is_mark.all():
        bad[rows] = True
        return bad
    every = np.arange(len(rows))
    steps = np.flatnonzero(altitudes.leaps(every[:-1], every[1:])) + 1
    if not steps.size:
        return bad
    starts = np.concatenate([[0], steps])
    for first, stop in _taken_out(altitudes, starts, np.append(steps, len(rows))):
        bad[rows[first:stop]] = True
    return bad


_End = tuple[float, float, bool]
"""Time [s], altitude [ft], and whether it is a mark."""


class _Altitudes:
    """Altitudes in the order of time, none missing: which of them are marks, and which lie beyond any climb."""

    def __init__(self, time_s: FloatArray, altitude_ft: FloatArray) -> None:
        self.time_s, self.altitude_ft = time_s, altitude_ft
        self.is_mark: BoolArray = np.isin(np.round(altitude_ft), _MARKS) | np.isin(
            np.round(altitude_ft / FT_PER_M, 1), _MARKS
        )

    def leaps(self, one: IntArray, other: IntArray) -> BoolArray:
        """Whether no aircraft climbs or sinks from one to the other."""
        fpm = np.where(self.is_mark[one] | self.is_mark[other], _MARK_FPM, _CLIMB_FPM)
        reach_ft = fpm / S_PER_MIN * (self.time_s[other] - self.time_s[one]) + _SLACK_FT
        beyond: BoolArray = np.abs(self.altitude_ft[other] - self.altitude_ft[one]) > reach_ft
        return beyond

    def ends(self, starts: IntArray, stops: IntArray) -> tuple[list[_End], list[_End]]:
        """The first and the last altitude of each stretch."""
        firsts, lasts = (
            list(zip(self.time_s[at].tolist(), self.altitude_ft[at].tolist(), self.is_mark[at].tolist(), strict=True))
            for at in (starts, stops - 1)
        )
        return firsts, lasts


def _leaps(one: _End, other: _End) -> bool:
    """What :meth:`_Altitudes.leaps` says, for one pair: stretches can be many."""
    fpm = _MARK_FPM if one[2] or other[2] else _CLIMB_FPM
    return abs(other[1] - one[1]) > fpm / S_PER_MIN * (other[0] - one[0]) + _SLACK_FT


def _taken_out(altitudes: _Altitudes, starts: IntArray, stops: IntArray) -> list[tuple[int, int]]:
    """The stretches (start and stop) that are spikes."""
    count = len(starts)
    before, after = list(range(-1, count - 1)), list(range(1, count + 1))
    firsts, lasts = altitudes.ends(starts, stops)
    sizes = (stops - starts).tolist()
    is_mark = np.logical_and.reduceat(altitudes.is_mark, starts)
    highest = np.maximum.reduceat(altitudes.altitude_ft, starts)
    is_one_value = (highest == np.minimum.reduceat(altitudes.altitude_ft, starts)).tolist()
    off_ft = np.abs(highest - np.median(altitudes.altitude_ft))
    gone: list[tuple[int, int]] = []
    for run in np.lexsort((-off_ft, sizes, ~is_mark)).tolist():
        left, right = before[run], after[run]
        leaps_in = left >= 0 and _leaps(lasts[left], firsts[run])
        leaps_out = right < count and _leaps(lasts[run], firsts[right])
        if left >= 0 and right < count:
            is_brief = is_one_value[run] or lasts[run][0] - firsts[run][0] <= _SPIKE_S
            is_spike = is_brief and leaps_in and leaps_out and not _leaps(lasts[left], firsts[right])
        else:
            beside = right if left < 0 else left
            is_few = 0 <= beside < count and sizes[run] <= _END_SAMPLES and sizes[beside] > sizes[run]
            is_spike = (leaps_in or leaps_out) and (bool(is_mark[run]) or is_few)
        if not is_spike:
            continue
        gone.append((int(starts[run]), int(stops[run])))
        if left >= 0:
            after[left] = right
        if right < count:
            before[right] = left
    return gone
