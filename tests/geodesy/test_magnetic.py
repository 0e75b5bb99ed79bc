from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from legwise.errors import LegwiseError
from legwise.geodesy import declination_deg, turn_deg
from legwise.model.arrays import FloatArray


def moment(year: float) -> dt.datetime:
    start = dt.datetime(int(year), 1, 1, tzinfo=dt.UTC)
    return start + (year - int(year)) * (start.replace(year=start.year + 1) - start)


def test_the_official_hundred_values_of_wmm2025(wmm2025_values: FloatArray) -> None:
    # NOAA NCEI / British Geological Survey; the table is printed to 0.01 deg.
    got = [declination_deg(lat, lon, moment(year), height_km=km) for year, km, lat, lon, *_rest in wmm2025_values]

    assert len(got) == 100
    assert np.abs(turn_deg(got, wmm2025_values[:, 4])).max() < 0.006


# The first table of the official test-value document: year, km, lat, lon, declination.
@pytest.mark.parametrize(
    ("year", "height_km", "lat", "lon", "expected"),
    [
        (2025.0, 0, 80, 0, 1.28),
        (2025.0, 0, 0, 120, -0.16),
        (2025.0, 0, -80, 240, 68.78),
        (2025.0, 100, 80, 0, 0.85),
        (2025.0, 100, 0, 120, -0.15),
        (2025.0, 100, -80, 240, 68.21),
        (2027.5, 0, 80, 0, 2.59),
        (2027.5, 0, 0, 120, -0.24),
        (2027.5, 0, -80, 240, 68.49),
        (2027.5, 100, 80, 0, 2.16),
        (2027.5, 100, 0, 120, -0.23),
        (2027.5, 100, -80, 240, 67.93),
    ],
)
def test_the_document_of_wmm2025(year: float, height_km: float, lat: float, lon: float, expected: float) -> None:
    assert declination_deg(lat, lon, moment(year), height_km=height_km) == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize("year", [2012, 2017, 2022, 2027])
def test_older_flights_take_the_model_of_their_time_which_joins_the_next_one(year: int) -> None:
    # Models are refitted every five years; mid-ocean, neighbours agree within their error (0.3 deg).
    before = declination_deg(46.0, -28.0, dt.date(year - year % 5 - 1, 12, 31)) if year > 2014 else None
    after = declination_deg(46.0, -28.0, dt.date(year - year % 5, 1, 1))

    assert -15.0 < after < -7.0
    assert before is None or abs(after - before) < 0.3


def test_the_last_covered_day_counts() -> None:
    assert declination_deg(46.0, -28.0, dt.date(2029, 12, 31)) == pytest.approx(
        declination_deg(46.0, -28.0, dt.date(2029, 12, 30)), abs=0.01
    )


@pytest.mark.parametrize("date", [dt.date(2009, 12, 31), dt.date(2030, 1, 1)])
def test_a_date_outside_every_model_says_so_and_what_to_do(date: dt.date) -> None:
    with pytest.raises(LegwiseError, match="no magnetic model") as caught:
        declination_deg(46.0, -28.0, date)

    assert "deg_true" in caught.value.remedy
