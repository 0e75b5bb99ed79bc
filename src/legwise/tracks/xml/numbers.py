"""Numbers in the texts of XML: of a GPX file, and the coordinates, angles and values of arrays of a KML file."""

from __future__ import annotations

import math

_NOT_RECORDED = frozenset({"", "-", "--", "nan", "n/a", "none", "null"})


def plain_number(text: str) -> float:
    """The number, NaN where the text is none. Python's own ``float`` also takes "1_000", "nan" and "inf"."""
    try:
        value = float(text)
    except ValueError:
        return math.nan
    return value if math.isfinite(value) and "_" not in text else math.nan


def number_of(text: str) -> float | None:
    """The number; NaN where the text says that there is none, None where it is no number."""
    value = plain_number(text)
    return value if not math.isnan(value) or text.strip().lower() in _NOT_RECORDED else None


def position_of(text: str) -> tuple[float, float, float, bool]:
    """Longitude, latitude [deg], altitude [m] of ``lon lat alt`` or ``lon,lat,alt``, the last of which may be missing;
    and whether all of it could be read.

    A position of which one half can't be read is none.
    """
    parts = text.split(",") if "," in text else text.split()
    if len(parts) == 3 and not parts[2].strip():
        parts = parts[:2]
    if not parts:
        return math.nan, math.nan, math.nan, True
    if len(parts) not in (2, 3):
        return math.nan, math.nan, math.nan, False
    values = [number_of(part) for part in parts]
    lon, lat = values[0], values[1]
    altitude = values[2] if len(values) == 3 else math.nan
    is_fine = None not in values
    if lon is None or lat is None:
        lon = lat = math.nan
    return lon, lat, math.nan if altitude is None else altitude, is_fine


def angles_of(text: str) -> tuple[float, float, float, bool]:
    """The angles of ``heading tilt roll`` [deg], NaN for those that are missing; and whether all could be read."""
    values = [number_of(part) for part in text.split()]
    if len(values) > 3 or None in values:
        return math.nan, math.nan, math.nan, False
    known = [value for value in values if value is not None]
    heading, tilt, roll = (*known, math.nan, math.nan, math.nan)[:3]
    return heading, tilt, roll, True
