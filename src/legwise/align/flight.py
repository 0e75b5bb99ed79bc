"""All that the later modules ask about the flight, gathered once: the track, its turns, its climbs, what was said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from legwise.align.airborne import Field, Flying
from legwise.align.lateral import Epoch
from legwise.align.moments import Said
from legwise.align.profile import Turning
from legwise.align.runs import part_of
from legwise.align.states import Kind, State
from legwise.errors import LegwiseError
from legwise.geodesy import declination_deg
from legwise.model.arrays import FloatArray
from legwise.model.flown_time import flown_time_s
from legwise.model.instants import instant
from legwise.model.plan import Plan
from legwise.model.track import Track


@dataclass(frozen=True, eq=False, kw_only=True)
class Flight:
    """The facts of one flight. Arrays are of the full track's shape (n,)."""

    track: Track
    plan: Plan
    altitude_ft: FloatArray
    climb_fpm: FloatArray
    flying: Flying
    fields: tuple[Field, ...]
    turns: tuple[Turning, ...]
    said: tuple[Said, ...]
    epochs: tuple[Epoch, ...]
    states: tuple[State, ...]

    @property
    def time_s(self) -> FloatArray:
        """Time of each sample, seconds since 1970-01-01 UTC."""
        return self.track.samples.time_s

    @cached_property
    def flown_s(self) -> FloatArray:
        """The clock by which the flight was flown: differences in it are durations, pauses none. [s]"""
        return flown_time_s(self.track)

    def part(self, sample: int) -> tuple[int, int]:
        """The first sample, and the one after the last, of the part of the track between jumps that holds a sample."""
        return part_of(self.track, sample)

    def begins_part(self, sample: int) -> bool:
        """Whether the aircraft was put elsewhere there: nothing goes on from what came before."""
        return sample in self.track.breaks

    def at(self, time_s: float) -> int:
        """The first sample at or after a time, held within the track."""
        return min(int(np.searchsorted(self.time_s, time_s)), len(self.track) - 1)

    def position(self, sample: int) -> tuple[float, float]:
        """Latitude and longitude of a sample. [deg]"""
        return float(self.track.samples.lat_deg[sample]), float(self.track.samples.lon_deg[sample])


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Samples ``start`` to ``stop`` (exclusive) in one state and epoch.

    ``missed`` marks the climb out of an approach, whatever the state; ``part_way`` a leg joined after its start.
    """

    state: int
    epoch: int
    start: int
    stop: int
    missed: bool = False
    part_way: bool = False


def stretch_kind(flight: Flight, stretch: Stretch) -> Kind:
    """The kind of state a stretch is in."""
    return flight.states[stretch.state].kind


def tidy(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Without empty stretches."""
    return [stretch for stretch in stretches if stretch.stop > stretch.start]


def variation_deg(lat_deg: float, lon_deg: float, time_s: float) -> float:
    """Magnetic variation, east positive; NaN in a year that no model covers. [deg]"""
    try:
        return declination_deg(lat_deg, lon_deg, instant(time_s).date())
    except LegwiseError:
        # Only headings need it here; without it they are not compared, which the caller says.
        return float("nan")
