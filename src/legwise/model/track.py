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
    was taken for which quantity and unit, which offset from UTC. ``sha256`` is of the file as given. ``file`` is its
    name; ``path`` is what messages call it, in no result.
    """

    file: str
    format: str
    sha256: str
    container: str = ""
    notes: tuple[str, ...] = ()
    path: str = field(default="", compare=False)

    @property
    def where(self) -> str:
        """The file, for messages."""
        return self.path or self.file


@dataclass(frozen=True, slots=True, kw_only=True)
class BarometricHeading:
    """The heading of a plain altitude that says barometric, and no more; ``setting`` is that of a column with an
    altimeter's setting beside it, empty where there is none.
    """

    heading: str
    setting: str = ""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class AltitudeFinding:
    """What the log alone tells of its plain altitude: the one whose heading or format names no kind.

    ``plain`` is the kind under which it stands in :class:`Samples`: the one found out, else UNKNOWN; None where the
    log has no plain altitude. ``reason`` says in words why. ``is_a_copy`` is true where its figures are those of an
    altitude with a name, which then stands for both; ``is_barometric`` where it was found to come from pressure,
    whether or not on a setting.
    """

    plain: AltitudeKind | None = None
    reason: str = ""
    is_a_copy: bool = False
    is_barometric: bool = False


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RawTrack:
    """A file as found: every record with whatever it holds, in file order (from its end where the newest
    stands first). Nothing is mended yet.

    Where the file names several aircraft, ``aircraft`` holds their names in the order of the file (an empty one for
    records without a name) and ``aircraft_index`` (shape (n,)) says whose each record is; else both are empty.
    ``barometric`` is what the heading of a plain altitude says of it, beyond being one.
    """

    samples: Samples
    source: TrackSource
    route: tuple[RoutePoint, ...] = ()
    waypoints: tuple[RoutePoint, ...] = ()
    faults: tuple[Fault, ...] = ()
    aircraft: tuple[str, ...] = ()
    aircraft_index: IntArray | None = None
    barometric: BarometricHeading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """One of the flights in a log: ``number`` counts from 1, aircraft after aircraft, in the order of time.

    ``start_s`` and ``end_s`` are epoch seconds UTC of its first and last record with a time and a position (standing
    before the take-off and after the landing included), ``samples`` their count; the positions are those of the first
    and last that are kept. ``aircraft`` is its name where the log names several.
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
    ``breaks`` are the samples from which the aircraft is elsewhere than it could have flown to (put there by a
    simulator), fifty at most: each is the second of a pair in ``gaps``, and what was owed before is owed no longer.
    ``held`` marks samples whose position is not that of their time (frozen in flight, or a simulator's pause): kept,
    and never counted as flown; None where there is none. ``time_factor`` says how many seconds were flown in each
    second of the log that ends at a sample (2, 4, 8 where a simulator ran so fast, 0 where it paused); None where it
    is 1 throughout.
    ``flights`` lists the flights in it, at least one. Where there are several, ``found`` keeps the records as found,
    so that one of them can be chosen. Where the log names several aircraft, each is mended as a log of its own: this
    is the track of the one with the most records, ``others`` are those of the others, and ``faults`` and ``flights``
    are of all of them. Where a part of a log was taken, ``taken`` is a short word for it, fit for the name of a
    folder: ``2``, ``2-3``, ``20260418-131240-141011``. ``altitude`` is what was found out about an altitude whose kind
    is not said.
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
    breaks: tuple[int, ...] = ()
    held: BoolArray | None = None
    time_factor: FloatArray | None = None
    flights: tuple[Flight, ...] = ()
    found: RawTrack | None = None
    others: tuple[Track, ...] = ()
    taken: str = ""
    altitude: AltitudeFinding = AltitudeFinding()

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
    rate of the track, right positive. [deg/s] Nothing is derived across a gap, and of a position that is held; nothing
    at all is given where time stood.
    """

    groundspeed_kt: FloatArray
    track_deg_true: FloatArray
    track_rate_dps: FloatArray


def with_notes(source: TrackSource, *notes: str) -> TrackSource:
    """``source`` with further reading notes."""
    return dataclasses.replace(source, notes=(*source.notes, *notes))
