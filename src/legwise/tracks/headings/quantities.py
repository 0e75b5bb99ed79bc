"""What a column can hold, and the units it can be written in."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from legwise.model.track import AltitudeKind, Channel
from legwise.units import (
    FPM_PER_MPS,
    FT_PER_M,
    KT_PER_KMH,
    KT_PER_MPH,
    KT_PER_MPS,
    M_PER_FT,
    M_PER_KM,
    S_PER_MIN,
)


class Quantity(StrEnum):
    """What a column measures. The value is the word for it in messages."""

    TIME = "time"
    DATE = "date"
    UTC_OFFSET = "offset from UTC"
    LATITUDE = "latitude"
    LONGITUDE = "longitude"
    ALTITUDE = "altitude"
    GROUNDSPEED = "groundspeed"
    TRACK = "track"
    VERTICAL_SPEED = "vertical speed"
    HEADING = "heading"
    IAS = "indicated airspeed"
    TAS = "true airspeed"
    BANK = "bank"
    PITCH = "pitch"
    HDOP = "HDOP"
    HORIZONTAL_ACCURACY = "horizontal accuracy"
    VERTICAL_ACCURACY = "vertical accuracy"
    AIRCRAFT = "aircraft"


DEG_PER_RAD: Final = 57.295_779_513_082_32

_LENGTH_FT = {
    "ft": 1.0,
    "m": FT_PER_M,
    "hundreds of ft": 100.0,
    "thousands of ft": 1000.0,
    "km": FT_PER_M * M_PER_KM,
    "cm": FT_PER_M / 100.0,
    "mm": FT_PER_M / 1000.0,
}
_LENGTH_M = {"m": 1.0, "ft": M_PER_FT, "cm": 0.01, "mm": 0.001}
_SPEED_KT = {"kt": 1.0, "km/h": KT_PER_KMH, "mph": KT_PER_MPH, "m/s": KT_PER_MPS, "ft/s": KT_PER_MPS * M_PER_FT}
# A foot a minute in knots never stands in a log; knots as a vertical speed do, in gliding.
_VERTICAL_FPM = {"fpm": 1.0, "m/s": FPM_PER_MPS, "kt": FPM_PER_MPS / KT_PER_MPS, "ft/s": S_PER_MIN}
_ANGLE_DEG = {"deg": 1.0, "rad": DEG_PER_RAD}
MINUTES: Final = "ddmm"
SECONDS: Final = "ddmmss"
TEN_MILLIONTHS: Final = "1e-7 deg"
MILLIONTHS: Final = "1e-6 deg"
"""Forms of a position that are no multiple of a degree (the factor of the first two is not used), or a small one."""

_POSITION_DEG = {**_ANGLE_DEG, MINUTES: 1.0, SECONDS: 1.0, TEN_MILLIONTHS: 1e-7, MILLIONTHS: 1e-6}
_PURE: dict[str, float] = {"": 1.0}

UNITS: Final[Mapping[Quantity, Mapping[str, float]]] = MappingProxyType(
    {
        Quantity.LATITUDE: _POSITION_DEG,
        Quantity.LONGITUDE: _POSITION_DEG,
        Quantity.ALTITUDE: _LENGTH_FT,
        Quantity.GROUNDSPEED: _SPEED_KT,
        Quantity.TRACK: _ANGLE_DEG,
        Quantity.VERTICAL_SPEED: _VERTICAL_FPM,
        Quantity.HEADING: _ANGLE_DEG,
        Quantity.IAS: _SPEED_KT,
        Quantity.TAS: _SPEED_KT,
        Quantity.BANK: _ANGLE_DEG,
        Quantity.PITCH: _ANGLE_DEG,
        Quantity.HDOP: _PURE,
        Quantity.HORIZONTAL_ACCURACY: _LENGTH_M,
        Quantity.VERTICAL_ACCURACY: _LENGTH_M,
    }
)
"""For each quantity the units it can be written in and their factor to ours. The first is taken where none is said."""

UNIT_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        **dict.fromkeys(("ft", "feet", "foot"), "ft"),
        **dict.fromkeys(("m", "meter", "meters", "metre", "metres", "mtr"), "m"),
        **dict.fromkeys(("kt", "kts", "knot", "knots", "kn", "kias", "ktas"), "kt"),
        **dict.fromkeys(("kmh", "kph"), "km/h"),
        "mph": "mph",
        "mps": "m/s",
        "fpm": "fpm",
        "fps": "ft/s",
        **dict.fromkeys(("deg", "degs", "degree", "degrees"), "deg"),
        **dict.fromkeys(("rad", "rads", "radian", "radians"), "rad"),
        **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
        **dict.fromkeys(("ms", "msec", "millis", "millisecond", "milliseconds"), "ms"),
        **dict.fromkeys(("km", "kilometer", "kilometers", "kilometre", "kilometres"), "km"),
        "cm": "cm",
        "mm": "mm",
        "kft": "thousands of ft",
        "fl": "hundreds of ft",
    }
)
"""The words a unit is written with, after :func:`legwise.tracks.headings.vocabulary.words_of` took a heading apart."""

FOREIGN_UNITS: Final = frozenset(
    {
        "yd", "yds", "yard", "yards", "inch", "inches", "inhg", "hpa", "kpa", "mbar", "mb", "pascal", "psi", "nm",
        "nmi", "mi", "mile", "miles", "furlong", "furlongs", "fathom", "fathoms", "dm", "dam", "mil", "mils", "mrad",
        "grad", "grads", "gon", "percent", "rpm", "volt", "volts", "kg", "lb", "lbs", "gal", "celsius", "fahrenheit",
    }
)  # fmt: skip
"""Words for units that nothing read here is written in. Where one is stated, the column is not read in silence."""

KIND_WORDS: Final[Mapping[AltitudeKind, str]] = MappingProxyType(
    {
        AltitudeKind.INDICATED: "indicated altitude",
        AltitudeKind.PRESSURE: "pressure altitude",
        AltitudeKind.GNSS_MSL: "GNSS height above mean sea level",
        AltitudeKind.GNSS_ELLIPSOID: "GNSS height above the ellipsoid",
        AltitudeKind.UNKNOWN: "altitude (of a kind that isn't said)",
    }
)

CHANNELS: Final[Mapping[tuple[Quantity, str], Channel]] = MappingProxyType(
    {
        (Quantity.GROUNDSPEED, ""): Channel.GROUNDSPEED_KT,
        (Quantity.TRACK, "true"): Channel.TRACK_DEG_TRUE,
        (Quantity.TRACK, "mag"): Channel.TRACK_DEG_MAG,
        (Quantity.VERTICAL_SPEED, ""): Channel.VERTICAL_SPEED_FPM,
        (Quantity.HEADING, "mag"): Channel.HEADING_DEG_MAG,
        (Quantity.HEADING, "true"): Channel.HEADING_DEG_TRUE,
        (Quantity.IAS, ""): Channel.IAS_KT,
        (Quantity.TAS, ""): Channel.TAS_KT,
        (Quantity.BANK, ""): Channel.BANK_DEG,
        (Quantity.PITCH, ""): Channel.PITCH_DEG,
        (Quantity.HDOP, ""): Channel.HDOP,
        (Quantity.HORIZONTAL_ACCURACY, ""): Channel.HORIZONTAL_ACCURACY_M,
        (Quantity.VERTICAL_ACCURACY, ""): Channel.VERTICAL_ACCURACY_M,
    }
)
"""The channel of a quantity and, for a direction, of its reference."""
