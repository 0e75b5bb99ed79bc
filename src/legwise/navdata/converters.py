"""What stands in the columns of a record, as a value: blank is None; :class:`UnreadableError` where it is none.

The forms are those of ARINC 424-18, checked on the records of the government's public file unless said otherwise.
"""

from __future__ import annotations

import re
from functools import lru_cache

from legwise.units import FT_PER_M

_WITHOUT_VALUE = frozenset({"UNKNN", "UNLTD", "NESTB", "NOTSP", "MNOTS"})
"""Altitudes that say in letters that there is none: unknown, unlimited, not established, not specified."""
_INTEGER = re.compile(r"[+-]?[0-9]+", re.ASCII)
_DECLINATION = re.compile(r"[EW][0-9]{4}", re.ASCII)


class UnreadableError(ValueError):
    """A field is not blank and holds no such value; the text says what would have been one. Never leaves the room."""


text = str.strip
"""The characters without the blanks around them."""
raw = str
"""The characters with their blanks, where the column of each counts."""


@lru_cache(maxsize=4096)
def whole(field: str) -> float | None:
    """A whole number, signed or not."""
    figure = field.strip()
    if not figure:
        return None
    if not _INTEGER.fullmatch(figure):
        raise UnreadableError("is no whole number")
    return float(figure)


@lru_cache(maxsize=4096)
def tenths(field: str) -> float | None:
    """A number in tenths: a distance ``0066`` is 6.6."""
    figure = whole(field)
    return None if figure is None else figure / 10.0


@lru_cache(maxsize=4096)
def hundredths(field: str) -> float | None:
    """A number in hundredths: a glide slope ``320`` is 3.20, a vertical angle ``-300`` is -3.00."""
    figure = whole(field)
    return None if figure is None else figure / 100.0


@lru_cache(maxsize=4096)
def radius(field: str) -> float | None:
    """Nautical miles in thousandths: ``002300`` is 2.3. An arc of no radius is none."""
    figure = whole(field)
    if figure is not None and figure <= 0:
        raise UnreadableError("is no radius")
    return None if figure is None else figure / 1000.0


@lru_cache(maxsize=4096)
def vertical_angle(field: str) -> float | None:
    """Degrees, down negative. Zero is coded where none is published, as on finals without a descent angle: None."""
    return hundredths(field) or None


def _angle(field: str, degrees: int, highest: float) -> float | None:
    """Degrees of a half of a position: a letter, degrees, minutes, seconds and their decimals, all of fixed width."""
    figures = field.strip()
    if not figures:
        return None
    digits = figures[1:]
    if len(figures) != len(field) or not (digits.isascii() and digits.isdigit()):
        raise UnreadableError("is no such half of a position")
    minutes = int(digits[degrees : degrees + 2])
    fraction = digits[degrees + 2 :]
    seconds = int(fraction) / 10.0 ** (len(fraction) - 2)
    value = int(digits[:degrees]) + minutes / 60.0 + seconds / 3600.0
    if minutes >= 60 or seconds >= 60.0 or value > highest:
        raise UnreadableError("lies beyond its range")
    return value


def latitude(field: str) -> float | None:
    """Degrees, north positive: ``N44281904`` to a hundredth of a second, ``N3739186640`` to half a thousandth."""
    value = _angle(field, 2, 90.0)
    if value is None:
        return None
    if field[0] not in "NS":
        raise UnreadableError("is no latitude")
    return value if field[0] == "N" else -value


def longitude(field: str) -> float | None:
    """Degrees, east positive: ``W073091179``, ``W12206531315``."""
    value = _angle(field, 3, 180.0)
    if value is None:
        return None
    if field[0] not in "EW":
        raise UnreadableError("is no longitude")
    return value if field[0] == "E" else -value


@lru_cache(maxsize=4096)
def course(field: str) -> tuple[float, bool] | None:
    """Degrees and whether they are true: ``0944`` is 94.4 magnetic, ``094T`` 94 true."""
    figures = field.strip()
    if not figures:
        return None
    is_true = len(figures) == 4 and figures[3] == "T"
    digits = figures[:3] if is_true else figures
    if not (digits.isascii() and digits.isdigit()):
        raise UnreadableError("is no direction (tenths of a degree, or three digits and T)")
    degrees = float(digits) if is_true else int(digits) / 10.0
    if degrees > 360.0:
        raise UnreadableError("is a direction above 360°")
    return degrees, is_true


@lru_cache(maxsize=4096)
def bearing(field: str) -> float | None:
    """Degrees in tenths, from 0 to 360: theta."""
    found = course(field)
    return None if found is None else found[0]


@lru_cache(maxsize=4096)
def distance_or_time(field: str) -> tuple[float | None, float | None] | None:
    """Nautical miles or minutes, one of them None: ``0066`` is 6.6 NM, ``T010`` is 1.0 min."""
    figures = field.strip()
    if not figures:
        return None
    digits = figures[1:] if figures[0] == "T" else figures
    if not (digits.isascii() and digits.isdigit()):
        raise UnreadableError("is no distance (tenths of NM) and no time (T and tenths of a minute)")
    value = int(digits) / 10.0
    return (None, value) if figures[0] == "T" else (value, None)


@lru_cache(maxsize=1024)
def navigation_performance(field: str) -> float | None:
    """Nautical miles: two digits and a negative exponent of ten: ``031`` is 0.3, ``010`` is 1, ``301`` is 3."""
    digits = field.strip()
    if not digits:
        return None
    if len(digits) != 3 or not (digits.isascii() and digits.isdigit()):
        raise UnreadableError("is no navigation performance (two digits and an exponent)")
    return int(digits[:2]) / 10.0 ** int(digits[2])


@lru_cache(maxsize=4096)
def altitude(field: str) -> float | None:
    """Feet: ``03300``, ``FL180`` is 18,000 ft; None where letters say that there is none (``UNKNN``)."""
    figures = field.strip()
    if not figures or figures in _WITHOUT_VALUE:
        return None
    level = figures[2:] if figures.startswith("FL") else ""
    if level.isascii() and level.isdigit():
        return int(level) * 100.0
    if not _INTEGER.fullmatch(figures):
        raise UnreadableError("is no altitude (feet, or FL and hundreds of feet)")
    return float(figures)


@lru_cache(maxsize=4096)
def declination(field: str) -> tuple[float | None, bool] | None:
    """Degrees, east positive, and whether the station is aligned to true north.

    ``W0150`` is (-15.0, False), ``T0000`` is (None, True). ``G``, aligned to grid north, is (None, False): what it
    differs by from true north is not coded (the last two letters from memory, not seen in the records here).
    """
    figures = field.strip()
    if not figures:
        return None
    if figures[0] in "TG" and (not figures[1:] or _INTEGER.fullmatch(figures[1:])):
        return None, figures[0] == "T"
    if not _DECLINATION.fullmatch(figures) or int(figures[1:]) > 1800:
        raise UnreadableError("is no variation (E or W and tenths of a degree, or T)")
    degrees = int(figures[1:]) / 10.0
    return (degrees if figures[0] == "E" else -degrees), False


@lru_cache(maxsize=4096)
def vhf_frequency(field: str) -> str:
    """MHz: ``11750`` is "117.50"."""
    figures = field.strip()
    if not figures:
        return ""
    if len(figures) != 5 or not (figures.isascii() and figures.isdigit()):
        raise UnreadableError("is no frequency in hundredths of MHz")
    return f"{figures[:3]}.{figures[3:]}"


@lru_cache(maxsize=4096)
def ndb_frequency(field: str) -> str:
    """kHz: ``03290`` is "329", ``03535`` is "353.5"."""
    figures = field.strip()
    if not figures:
        return ""
    if len(figures) != 5 or not (figures.isascii() and figures.isdigit()):
        raise UnreadableError("is no frequency in tenths of kHz")
    return f"{int(figures) / 10.0:g}"


@lru_cache(maxsize=4096)
def crossing_height(field: str) -> float | None:
    """Feet, from a height with its unit: ``000350F`` is 35.0 ft, ``001070M`` is 10.70 m (metres from memory)."""
    figure = whole(field[:-1])
    if figure is None:
        return None
    if field[-1] == "F":
        return figure / 10.0
    if field[-1] == "M":
        return figure / 100.0 * FT_PER_M
    raise UnreadableError("is a height without its unit (F or M)")
