"""The columns of a CSV file that are read, and the words for them in messages and in ``[columns]``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from legwise.model.track import AltitudeKind, Channel, Fault
from legwise.tracks.headings.quantities import CHANNELS, KIND_WORDS, Quantity
from legwise.tracks.wording import shown

Target = Quantity | AltitudeKind | Channel
"""What a column becomes: the time or position (a quantity), an altitude of a kind, or a channel."""

CHANNEL_MEANINGS: Final = MappingProxyType({channel: pair for pair, channel in CHANNELS.items()})

COLUMN_KEYS: Final[Mapping[str, tuple[Quantity, str, AltitudeKind | None]]] = MappingProxyType(
    {
        "time": (Quantity.TIME, "", None),
        "date": (Quantity.DATE, "", None),
        "lat_deg": (Quantity.LATITUDE, "", None),
        "lon_deg": (Quantity.LONGITUDE, "", None),
        "altitude_ft": (Quantity.ALTITUDE, "", None),
        "altitude_indicated_ft": (Quantity.ALTITUDE, "", AltitudeKind.INDICATED),
        "altitude_pressure_ft": (Quantity.ALTITUDE, "", AltitudeKind.PRESSURE),
        "altitude_gnss_msl_ft": (Quantity.ALTITUDE, "", AltitudeKind.GNSS_MSL),
        "altitude_gnss_ellipsoid_ft": (Quantity.ALTITUDE, "", AltitudeKind.GNSS_ELLIPSOID),
        **{channel.value: (*pair, None) for channel, pair in CHANNEL_MEANINGS.items()},
    }
)
"""The keys of ``[columns]`` besides ``utc_offset``, with the quantity, the reference of a direction and the kind of
an altitude.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column that is read: where it stands, what it becomes, and the factor from its unit to ours.

    ``statement`` is all that its heading, the units row and a unit that was said tell of it.
    """

    index: int
    heading: str
    target: Target
    quantity: Quantity
    unit: str
    factor: float
    zone_s: float | None
    is_local: bool
    said: bool
    unit_said: bool
    statement: str = ""

    @classmethod
    def of_angle(cls, axis: Quantity, heading: str, index: int, unit: str) -> Column:
        """A column of latitudes or longitudes, or of a part of them, that its own heading alone makes none."""
        return cls(
            index=index,
            heading=heading,
            target=axis,
            quantity=axis,
            unit=unit,
            factor=1.0,
            zone_s=None,
            is_local=False,
            said=False,
            unit_said=not unit,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Twin:
    """A column that must hold the same as another of its target, within ``slack`` in our unit."""

    column: Column
    slack: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Date and time in columns of their own: the column of each part by its name (``year`` to ``second``)."""

    parts: Mapping[str, int]
    headings: tuple[str, ...]
    zone_s: float | None
    is_local: bool

    @property
    def has_time(self) -> bool:
        """Whether hour, minute and second are among the parts."""
        return {"hour", "minute", "second"} <= set(self.parts)

    @property
    def has_date(self) -> bool:
        """Whether year, month and day are among the parts."""
        return {"year", "month", "day"} <= set(self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fraction:
    """A column with the fraction of each second, in so many parts a second."""

    index: int
    heading: str
    per_second: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Helpers:
    """Columns that say something about another: ``sides`` are the hemispheres of latitude and longitude;
    ``local_time`` stands beside a UTC time whose date is only known by the local clock; ``pair`` holds latitude and
    longitude in one cell, ``half_of_day`` "am" or "pm"; ``parts`` are minutes, and seconds, beside whole degrees.
    """

    sides: Mapping[Quantity, int] = field(default_factory=lambda: MappingProxyType({}))
    fraction: Fraction | None = None
    clock: Clock | None = None
    local_time: Column | None = None
    pair: int | None = None
    half_of_day: int | None = None
    parts: Mapping[Quantity, tuple[Column, ...]] = field(default_factory=lambda: MappingProxyType({}))

    def indices(self) -> set[int]:
        """Where these columns stand."""
        parts = self.clock.parts.values() if self.clock else ()
        of_degrees = {column.index for columns in self.parts.values() for column in columns}
        return {*self.sides.values(), *parts, *((self.fraction.index,) if self.fraction else ()), *of_degrees}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The columns of a file by target, and what was passed over, in words and as faults.

    ``twins`` are columns in another unit that must hold the same as the chosen one of their target.
    """

    columns: Mapping[Target, Column]
    notes: tuple[str, ...]
    faults: tuple[Fault, ...] = ()
    helpers: Helpers = field(default_factory=Helpers)
    twins: tuple[Twin, ...] = ()

    def get(self, target: Target) -> Column | None:
        """The column of a target, or None."""
        return self.columns.get(target)


def target_of(quantity: Quantity, reference: str, kind: AltitudeKind | None) -> Target:
    """What a quantity, with the reference of a direction or the kind of an altitude, becomes."""
    if quantity is Quantity.ALTITUDE:
        return kind or AltitudeKind.UNKNOWN
    return CHANNELS.get((quantity, reference), quantity)


def target_words(target: Target) -> str:
    """The word for a target in messages."""
    if isinstance(target, AltitudeKind):
        return KIND_WORDS[target]
    if isinstance(target, Channel):
        quantity, reference = CHANNEL_MEANINGS[target]
        return f"{quantity.value} ({'magnetic' if reference == 'mag' else 'true'})" if reference else quantity.value
    return target.value


def key_of(target: Target) -> str:
    """The key of ``[columns]`` for a target; empty where there is none."""
    if isinstance(target, Channel):
        return target.value
    kind = target if isinstance(target, AltitudeKind) and target is not AltitudeKind.UNKNOWN else None
    quantity = Quantity.ALTITUDE if isinstance(target, AltitudeKind) else target
    return next((key for key, (what, _ref, of) in COLUMN_KEYS.items() if what is quantity and of is kind), "")


def columns_line(key: str, heading: str) -> str:
    """The line of ``[columns]`` that names a heading, as it is to be written."""
    return f"{key} = {_in_quotes(heading)}"


def table_line(key: str, heading: str, unit: str) -> str:
    """The line of ``[columns]`` that names a heading and its unit, as it is to be written."""
    return f'{key} = {{ heading = {_in_quotes(heading)}, unit = "{unit}" }}'


def _in_quotes(heading: str) -> str:
    clean = "".join(character if character.isprintable() else " " for character in heading[:80])
    escaped = clean.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def column_notes(choice: Choice) -> list[str]:
    """For each column that is read, in words, what it was taken for and in which unit."""
    notes: list[str] = []
    for target, column in choice.columns.items():
        if target is Quantity.AIRCRAFT:
            continue
        unit = f" in {column.unit}" if column.unit and column.quantity is not Quantity.TIME else ""
        doubt = "" if column.unit_said or not unit or column.quantity in _OBVIOUS else " (the heading says no unit)"
        said = ", as was said" if column.said else ""
        notes.append(f"{shown(column.heading)} is the {target_words(target)}{unit}{doubt}{said}")
    return [*notes, *choice.notes]


_OBVIOUS = frozenset({Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.HDOP})
