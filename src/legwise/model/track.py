"""What was recorded: the track as found in a file, and the track after mending."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from legwise.model.arrays import BoolArray, FloatArray, IntArray


class AltitudeKind(StrEnum):
    """What an altitude channel measures. The words are those of ``[altimetry] source`` in a lesson."""

    INDICATED = "indicated"
    PRESSURE = "pressure"
    GNSS_MSL = "gnss-msl"
    GNSS_ELLIPSOID = "gnss-ellipsoid"
    UNKNOWN = "unknown"


class Channel(StrEnum):
    """A recorded channel besides time, position and altitude; the value is its name with its unit."""

    GROUNDSPEED_KT = "groundspeed_kt"
    TRACK_DEG_TRUE = "track_deg_true"
    TRACK_DEG_MAG = "track_deg_mag"
    VERTICAL_SPEED_FPM = "vertical_speed_fpm"
    HEADING_DEG_MAG = "heading_deg_mag"
    HEADING_DEG_TRUE = "heading_deg_true"
    IAS_KT = "ias_kt"
    TAS_KT = "tas_kt"
    BANK_DEG = "bank_deg"
    PITCH_DEG = "pitch_deg"
    HDOP = "hdop"
    HORIZONTAL_ACCURACY_M = "horizontal_accuracy_m"
    VERTICAL_ACCURACY_M = "vertical_accuracy_m"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One kind of defect found in a track: how often, and in words where and what was done."""

    kind: str
    count: int
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackSource:
    """Where a track came from and how it was read.

    ``notes`` are choices made while reading, in words for a person: encoding, separator, which heading
    was taken for which quantity and unit, which offset from UTC. ``sha256`` is of the file as given.
    """

    file: str
    format: str
    sha256: str
    container: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutePoint:
    """A named point that a track file carries: of its route (GPX ``rte``), or a waypoint on its own (GPX ``wpt``)."""

    ident: str
    lat_deg: float
    lon_deg: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Samples:
    """The arrays of a track, all of one length, read-only; NaN where a value was not recorded.

    ``time_s`` is UTC in seconds since 1970-01-01 (float64 keeps the microsecond), positions are WGS 84
    degrees with longitude in [-180, 180), altitudes in feet by kind, ``line`` the line or record number in the file
    (1-based), ``segment`` counts GPX segments from 0.
    """

    time_s: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    altitudes_ft: Mapping[AltitudeKind, FloatArray] = field(default_factory=lambda: MappingProxyType({}))
    channels: Mapping[Channel, FloatArray] = field(default_factory=lambda: MappingProxyType({}))
    segment: IntArray
    line: IntArray

    def __len__(self) -> int:
        return len(self.time_s)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RawTrack:
    """A file as found: every record with whatever it holds, in file order. Nothing is mended yet.

    Where the file names several aircraft, ``aircraft`` holds their names and ``aircraft_index`` (shape (n,)) says
    whose each record is; else both are empty.
    """

    samples: Samples
    source: TrackSource
    route: tuple[RoutePoint, ...] = ()
    waypoints: tuple[RoutePoint, ...] = ()
    faults: tuple[Fault, ...] = ()
    aircraft: tuple[str, ...] = ()
    aircraft_index: IntArray | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """One of the flights in a log: ``number`` counts from 1 in the order of time.

    ``start_s`` and ``end_s`` are epoch seconds UTC of its first and last record (standing before the take-off and
    after the landing included), the positions those of these records. ``aircraft`` is its name where the log names
    several.
    """

    number: int
    start_s: float
    end_s: float
    start_lat_deg: float
    start_lon_deg: float
    end_lat_deg: float
    end_lon_deg: float
    samples: int
    aircraft: str = ""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Track:
    """A track that can be debriefed: at least two samples, strictly increasing time, finite positions.

    ``samples_read`` counts the records with a time and a position before mending (the contract's
    ``track.samples``), ``first_time_s`` and ``last_time_s`` their span.
    ``samples.channels`` hold only what was recorded; ``motion`` holds groundspeed and track for every sample.
    ``gaps`` are index pairs (last before, first after) across which nothing is claimed.
    ``held`` marks samples whose position is not that of their time (frozen in flight, or a simulator's pause): kept,
    and never counted as flown; None where there is none. ``time_factor`` says how many seconds were flown in each
    second of the log (a simulator run at 2, 4, 8 times); None where it is 1 throughout.
    ``flights`` lists the flights where the log holds several, and only then ``found`` keeps the records as found, so
    that one of them can be chosen.
    """

    samples: Samples
    source: TrackSource
    motion: Motion
    route: tuple[RoutePoint, ...]
    waypoints: tuple[RoutePoint, ...]
    faults: tuple[Fault, ...]
    samples_read: int
    first_time_s: float
    last_time_s: float
    interval_s: float
    gaps: tuple[tuple[int, int], ...]
    held: BoolArray | None = None
    time_factor: FloatArray | None = None
    flights: tuple[Flight, ...] = ()
    found: RawTrack | None = None

    def __len__(self) -> int:
        return len(self.samples)

    @property
    def rate_hz(self) -> float:
        """Samples a second, from the median interval."""
        return 1.0 / self.interval_s


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Motion:
    """Motion over the ground at each sample, recorded where it was, derived from positions elsewhere; read-only.

    ``groundspeed_kt``; ``track_deg_true`` in [0, 360), NaN where the aircraft stands; ``track_rate_dps`` the smoothed
    rate of the track, right positive. [deg/s] Nothing is derived across a gap.
    """

    groundspeed_kt: FloatArray
    track_deg_true: FloatArray
    track_rate_dps: FloatArray


def with_notes(source: TrackSource, *notes: str) -> TrackSource:
    """``source`` with further reading notes."""
    return dataclasses.replace(source, notes=(*source.notes, *notes))
