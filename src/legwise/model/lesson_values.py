"""The values that stand in a lesson file: words of a choice, numbers with their ranges, times, and small tables.

Every range of the lesson format stands here, beside the unit that the keys of :mod:`legwise.model.lesson` carry.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, PlainValidator, Tag
from pydantic_core import PydanticCustomError

Turn = Literal["left", "right"]
ApproachGuidance = Literal["LPV", "LP", "LNAV/VNAV", "LNAV", "ILS", "GLS", "LOC", "LDA", "SDF", "VOR", "NDB"]
Role = Literal["IAF", "IF", "FAF", "STEPDOWN", "MAP"]
FixKind = Literal["waypoint", "vor", "ndb", "dme", "airport", "runway"]
PathTerminator = Literal[
    "IF", "TF", "CF", "DF", "RF", "AF", "CA", "CD", "CI", "CR", "FA", "FC", "FD", "FM",
    "VA", "VD", "VI", "VM", "VR", "PI", "HA", "HF", "HM",
]  # fmt: skip
WrittenPath = Annotated[
    PathTerminator, BeforeValidator(lambda value: value.upper() if isinstance(value, str) else value)
]
"""A path terminator as it is written; small letters stand for capitals."""
EventKind = Literal[
    "visual", "visual-lost", "hood-on", "hood-off", "autopilot-on", "autopilot-off", "instructor-flying",
    "student-flying", "engine-out", "instruments-lost", "restored",
]  # fmt: skip

Latitude = Annotated[float, Field(ge=-90, le=90)]
Longitude = Annotated[float, Field(ge=-180, le=180)]
Direction = Annotated[float, Field(ge=0, le=360)]
Altitude = Annotated[float, Field(ge=-1500, le=60_000)]
Minimum = Annotated[float, Field(ge=0, le=60_000)]
FlightLevel = Annotated[float, Field(ge=10, le=600)]
QnhHpa = Annotated[float, Field(ge=850, le=1090)]
QnhInhg = Annotated[float, Field(ge=25.0, le=32.2)]
Speed = Annotated[float, Field(gt=0, le=700)]
Distance = Annotated[float, Field(gt=0, le=300)]
Ident = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^[^\s\x00-\x1f\x7f]+( [^\s\x00-\x1f\x7f]+)*$")]
Words = Annotated[str, Field(max_length=2000)]
Day = Annotated[dt.date, Field(ge=dt.date(1980, 1, 1), le=dt.date(2099, 12, 31))]

_CLOCK = re.compile(r"(?P<minute>([01][0-9]|2[0-3]):[0-5][0-9])(?P<second>:[0-5][0-9](\.[0-9]{1,6})?)?Z?")


def _checked_time(value: object) -> dt.datetime | dt.time | str:
    """``value`` as a :data:`Time`; a text with seconds becomes a time, one with a date and an offset a date-time."""
    if isinstance(value, str):
        clock = _CLOCK.fullmatch(value)
        if clock:
            return dt.time.fromisoformat(value.removesuffix("Z")) if clock["second"] else clock["minute"]
        try:
            value = dt.datetime.fromisoformat(value)
        except ValueError:
            raise PydanticCustomError("not_a_time", "is no time of day") from None
    if isinstance(value, dt.time):
        if value.tzinfo is not None and value.tzinfo is not dt.UTC:
            raise PydanticCustomError("time_with_zone", "is a time of day with a zone; times of day are UTC")
        return value.replace(tzinfo=None)
    if not isinstance(value, dt.datetime):
        raise PydanticCustomError("not_a_time", "is no time of day")
    if value.tzinfo is None:
        raise PydanticCustomError("time_without_zone", "is a date and time without a zone")
    if not 1980 <= value.year <= 2099:
        raise PydanticCustomError("time_out_of_range", "is outside the years 1980 to 2099")
    return value


Time = Annotated[dt.datetime | dt.time | str, PlainValidator(_checked_time)]
"""An offset date-time, a local time read as UTC on the lesson's date, or ``"HH:MM"`` (known to the minute)."""


class Table(BaseModel):
    """A table of the lesson file: nothing unknown, nothing coerced, nothing changed afterwards."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


class Position(Table):
    """A position written out where an ident could stand."""

    lat_deg: Latitude
    lon_deg: Longitude


def _centre_tag(value: object) -> str:
    return "position" if isinstance(value, dict | Position) else "ident"


Centre = Annotated[
    Annotated[Ident, Tag("ident")] | Annotated[Position, Tag("position")],
    Discriminator(_centre_tag),
]
"""The centre of an arc: the ident of a fix, or a position."""


class ColumnChoice(Table):
    """A CSV column said by hand: its heading, and its unit and kind where they are not in the heading."""

    heading: Words
    unit: Words | None = None
    kind: Words | None = None


def _column_tag(value: object) -> str:
    return "choice" if isinstance(value, dict | ColumnChoice) else "heading"


Column = Annotated[
    Annotated[Words, Tag("heading")] | Annotated[ColumnChoice, Tag("choice")],
    Discriminator(_column_tag),
]
"""A column said by hand: its heading alone, or with unit and kind."""
