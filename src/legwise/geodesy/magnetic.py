"""Magnetic variation from the World Magnetic Model.

The only place that knows pygeomag, which carries the models of 2010 to 2025, each good for five years. Its values
agree with the official test values of WMM2025 within the rounding of their table, 0.005 deg
(tests/geodesy/test_magnetic.py).
"""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import TYPE_CHECKING

from legwise.errors import LegwiseError
from legwise.units import S_PER_DAY

if TYPE_CHECKING:
    from pygeomag import GeoMag

FIRST_YEAR, LAST_YEAR = 2010, 2029
"""Years that a model covers: WMM2010, WMM2015v2, WMM2020 and WMM2025, whose last day is 2029-12-31."""


@cache
def _model(base_year: int) -> GeoMag:
    # Imported here: most calls of the program never ask for a variation.
    from pygeomag import GeoMag

    return GeoMag(base_year=base_year)


def declination_deg(lat_deg: float, lon_deg: float, date: dt.date, *, height_km: float = 0.0) -> float:
    """Magnetic variation at a position on a date, east positive. [deg]

    ``date`` may be a datetime, whose time of day then counts; ``height_km`` is above the ellipsoid. A magnetic
    course is the true one minus this. Near the magnetic poles the model's own error grows without bound; the value
    is then only nominal.

    Raises
    ------
    LegwiseError
        No model covers the year.
    """
    if not FIRST_YEAR <= date.year <= LAST_YEAR:
        raise LegwiseError(
            f"There is no magnetic model for {date.isoformat()}; those at hand cover {FIRST_YEAR} to {LAST_YEAR}.",
            remedy="Write the courses as true (..._deg_true), or put the date right ([lesson] date).",
        )
    model = _model(date.year - date.year % 5)
    field = model.calculate(glat=lat_deg, glon=lon_deg, alt=height_km, time=_decimal_year(date))
    return float(field.d)


def _decimal_year(date: dt.date) -> float:
    """The date as a year with its fraction, as the model counts time."""
    start = dt.date(date.year, 1, 1)
    days = float((dt.date(date.year, date.month, date.day) - start).days)
    if isinstance(date, dt.datetime):
        midnight = date.replace(hour=0, minute=0, second=0, microsecond=0)
        days += (date - midnight).total_seconds() / S_PER_DAY
    return date.year + days / (dt.date(date.year + 1, 1, 1) - start).days
