"""A log whose newest record stands first: a habit of some recorders, not disorder."""

from __future__ import annotations

import dataclasses
from types import MappingProxyType

import numpy as np

from legwise.model.arrays import readonly_floats, readonly_ints
from legwise.model.track import RawTrack, Samples, with_notes

_LEAST = 3


def oldest_first(raw: RawTrack) -> RawTrack:
    """``raw`` with the oldest record first where the times of all its records fall, or stay, from one to the next.

    Each record keeps its line. Any other log is given back itself.
    """
    time_s = raw.samples.time_s[np.isfinite(raw.samples.time_s)]
    if len(time_s) < _LEAST or time_s[0] <= time_s[-1] or bool(np.any(np.diff(time_s) > 0.0)):
        return raw
    index = raw.aircraft_index
    return dataclasses.replace(
        raw,
        samples=_reversed(raw.samples),
        source=with_notes(raw.source, "the newest record stands first; the log is read from its end"),
        aircraft_index=None if index is None else readonly_ints(index[::-1]),
    )


def _reversed(samples: Samples) -> Samples:
    return Samples(
        time_s=readonly_floats(samples.time_s[::-1]),
        lat_deg=readonly_floats(samples.lat_deg[::-1]),
        lon_deg=readonly_floats(samples.lon_deg[::-1]),
        altitudes_ft=MappingProxyType(
            {kind: readonly_floats(values[::-1]) for kind, values in samples.altitudes_ft.items()}
        ),
        channels=MappingProxyType(
            {channel: readonly_floats(values[::-1]) for channel, values in samples.channels.items()}
        ),
        segment=readonly_ints(samples.segment[::-1]),
        line=readonly_ints(samples.line[::-1]),
    )
