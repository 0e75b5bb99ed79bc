"""What a pass over GPX or KML found, put together: points, times, altitudes and channels as one raw track."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Protocol

import numpy as np

from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, Samples
from legwise.tracks.values.numbers import normal_longitudes
from legwise.tracks.xml.elements import ElementMeaning, ranked


class Points(Protocol):
    """What stands with every point, in the order of the file."""

    @property
    def lat(self) -> Sequence[float]:
        """Latitudes [deg], north positive."""

    @property
    def lon(self) -> Sequence[float]:
        """Longitudes [deg], east positive."""

    @property
    def segment(self) -> Sequence[int]:
        """The segment that each belongs to, from 0."""

    @property
    def line(self) -> Sequence[int]:
        """The line of the file that each stands in."""


class Measured:
    """Altitudes [ft] and channels of the points, each column of shape (n,) with NaN where nothing was recorded."""

    def __init__(self, altitudes: Mapping[AltitudeKind, FloatArray]) -> None:
        self._altitudes = dict(altitudes)
        self._channels: dict[Channel, FloatArray] = {}

    def put(self, target: AltitudeKind | Channel, column: FloatArray) -> bool:
        """Take ``column``, unless its target has one already; False where it holds no number."""
        if not np.isfinite(column).any():
            return False
        if isinstance(target, AltitudeKind):
            self._altitudes.setdefault(target, readonly_floats(column))
        else:
            self._channels.setdefault(target, readonly_floats(column))
        return True

    def put_all(self, columns: Mapping[ElementMeaning, FloatArray]) -> list[ElementMeaning]:
        """Take a column of numbers for each element, in its own unit: those of the format itself before an extension
        that says the same. Returns the meanings of those that hold a number.
        """
        return [meaning for meaning in ranked(columns) if self.put(meaning.target, columns[meaning] * meaning.factor)]

    @property
    def altitudes(self) -> Mapping[AltitudeKind, FloatArray]:
        """The altitudes by kind."""
        return MappingProxyType(self._altitudes)

    def samples(self, points: Points, time_s: FloatArray) -> Samples:
        """The records: ``points`` with their instants and what was measured there."""
        return Samples(
            time_s=readonly_floats(time_s),
            lat_deg=readonly_floats(points.lat),
            lon_deg=readonly_floats(normal_longitudes(np.array(points.lon))),
            altitudes_ft=self.altitudes,
            channels=MappingProxyType(self._channels),
            segment=readonly_ints(points.segment),
            line=readonly_ints(points.line),
        )
