from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from legwise.geodesy import (
    altimeter_ft,
    isa_pressure_hpa,
    isa_temperature_deg_c,
    pressure_altitude_ft,
    qnh_altitude_ft,
    temperature_error_ft,
    true_altitude_ft,
)
from legwise.units import HPA_PER_INHG

# 14 CFR Part 43 Appendix E, Table I (ft, inHg), and the standard temperature, computed from ICAO constants (deg C).
TABLE_I = [
    (-1000, 31.018, 16.98),
    (0, 29.921, 15.00),
    (1000, 28.856, 13.02),
    (2000, 27.821, 11.04),
    (3000, 26.817, 9.06),
    (4000, 25.842, 7.08),
    (6000, 23.978, 3.11),
    (8000, 22.225, -0.85),
    (10000, 20.577, -4.81),
    (14000, 17.577, -12.74),
    (18000, 14.942, -20.66),
    (20000, 13.750, -24.62),
    (30000, 8.885, -44.44),
    (40000, 5.538, -56.50),
]


@pytest.mark.parametrize(("altitude_ft", "inhg", "temperature"), TABLE_I)
def test_the_standard_atmosphere(altitude_ft: float, inhg: float, temperature: float) -> None:
    pressure = float(isa_pressure_hpa(altitude_ft))

    assert pressure / HPA_PER_INHG == pytest.approx(inhg, abs=0.0006)
    assert float(isa_temperature_deg_c(altitude_ft)) == pytest.approx(temperature, abs=0.006)
    assert float(pressure_altitude_ft(pressure)) == pytest.approx(altitude_ft, abs=1e-6)


# 14 CFR Part 43 Appendix E, Table IV: change of the indicated altitude as the scale is set off 29.92 (tolerance 25 ft).
@pytest.mark.parametrize(
    ("inhg", "expected_ft"),
    [
        (28.10, -1727),
        (28.50, -1340),
        (29.00, -863),
        (29.50, -392),
        (29.92, 0),
        (30.50, 531),
        (30.90, 893),
        (30.99, 974),
    ],
)
def test_settings_shift_the_altimeter(inhg: float, expected_ft: float) -> None:
    assert float(qnh_altitude_ft(0.0, inhg * HPA_PER_INHG)) == pytest.approx(expected_ft, abs=1.5)


@pytest.mark.parametrize(
    ("qnh_hpa", "difference_ft"),
    [(980, 920.4), (990, 640.9), (1000, 363.8), (1013.25, 0), (1020, -183.9), (1030, -454.4)],
)
def test_pressure_altitude_less_altitude_on_the_setting(qnh_hpa: float, difference_ft: float) -> None:
    assert 5000.0 - float(qnh_altitude_ft(5000.0, qnh_hpa)) == pytest.approx(difference_ft, abs=1.0)


# Exact hydrostatics, computed apart from the package.
@pytest.mark.parametrize(
    ("thickness_ft", "deviation", "expected_ft"),
    [
        (1000, -30, -104.5),
        (1000, -20, -69.6),
        (1000, -10, -34.8),
        (1000, 10, 34.8),
        (1000, 20, 69.6),
        (5000, -20, -353.1),
        (5000, 20, 353.1),
        (10000, -20, -719.1),
        (10000, 20, 719.1),
    ],
)
def test_warm_air_lifts_and_cold_air_lowers(thickness_ft: float, deviation: float, expected_ft: float) -> None:
    assert float(temperature_error_ft(thickness_ft, deviation)) == pytest.approx(expected_ft, abs=0.06)


# The ICAO cold temperature error table (AIM TBL 7-3-1): feet the aircraft may be below indicated, rounded up to ten,
# for heights above a sea-level altimeter source; some of its columns.
HEIGHTS_FT = (200, 500, 1000, 2000, 3000, 5000)
COLD_TABLE = [
    (10, (10, 10, 20, 40, 60, 90)),
    (0, (20, 30, 60, 120, 170, 280)),
    (-10, (20, 50, 100, 200, 290, 490)),
    (-20, (30, 70, 140, 280, 420, 710)),
    (-30, (40, 100, 190, 380, 570, 950)),
    (-40, (50, 120, 240, 480, 720, 1210)),
    (-50, (60, 150, 300, 590, 890, 1500)),
]


@pytest.mark.parametrize(("oat_deg_c", "errors_ft"), COLD_TABLE)
def test_what_must_be_shown_in_the_cold_is_the_published_correction_more(
    oat_deg_c: float, errors_ft: tuple[int, ...]
) -> None:
    correction = altimeter_ft(np.array(HEIGHTS_FT), oat_deg_c=oat_deg_c) - np.array(HEIGHTS_FT)

    # The table's own formula comes within 1 % of the exact hydrostatics; its cells are rounded up to ten feet.
    published = np.array(errors_ft)
    assert (correction <= published * 1.01).all()
    assert (correction > published * 0.99 - 10.0).all()


@given(altitude=st.floats(-500, 15_000), oat=st.floats(-50, 50), elevation=st.floats(-100, 9_000))
def test_altimeter_and_true_altitude_are_inverses(altitude: float, oat: float, elevation: float) -> None:
    shown = altimeter_ft(altitude, oat_deg_c=oat, source_elevation_ft=elevation)

    assert float(true_altitude_ft(shown, oat_deg_c=oat, source_elevation_ft=elevation)) == pytest.approx(
        altitude, abs=0.1
    )


def test_a_standard_day_changes_nothing_and_the_source_is_where_it_is_right() -> None:
    assert float(altimeter_ft(4000.0, oat_deg_c=15.0)) == pytest.approx(4000.0, abs=1e-9)
    assert float(altimeter_ft(900.0, oat_deg_c=-30.0, source_elevation_ft=900.0)) == 900.0
    assert np.isnan(altimeter_ft(np.nan, oat_deg_c=-30.0))
