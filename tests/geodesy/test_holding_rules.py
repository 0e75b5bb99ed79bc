from __future__ import annotations

import pytest

from legwise.geodesy import holding_leg_minutes, holding_rate_dps, max_holding_speed_kt


# FAA AIM 5-3-8 j2(a) and j4(a).
@pytest.mark.parametrize(
    ("altitude_ft", "limit_kt", "minutes"),
    [(6000, 200, 1.0), (6001, 230, 1.0), (14_000, 230, 1.0), (14_001, 265, 1.5)],
)
def test_limits_of_the_faa(altitude_ft: float, limit_kt: float, minutes: float) -> None:
    assert max_holding_speed_kt(altitude_ft, "FAA") == limit_kt
    assert holding_leg_minutes(altitude_ft, "FAA") == minutes


# ICAO Doc 8168 as a Canadian page prints it (230 to 14,000 ft, 240 to 20,000, 265 to 34,000, Mach above).
@pytest.mark.parametrize(
    ("altitude_ft", "limit_kt", "minutes"),
    [
        (14_000, 230, 1.0),
        (14_001, 240, 1.5),
        (20_000, 240, 1.5),
        (20_001, 265, 1.5),
        (34_000, 265, 1.5),
        (34_001, None, 1.5),
    ],
)
def test_limits_of_icao(altitude_ft: float, limit_kt: float | None, minutes: float) -> None:
    assert max_holding_speed_kt(altitude_ft, "ICAO") == limit_kt
    assert holding_leg_minutes(altitude_ft, "ICAO") == minutes


def test_small_categories_and_charted_speeds() -> None:
    # 170 kt for A and B is from memory; a charted figure rules by AIM 5-3-8 j2(b).
    assert max_holding_speed_kt(5000.0, "ICAO", category="B") == 170.0
    assert max_holding_speed_kt(5000.0, "ICAO", category="C") == 230.0
    assert max_holding_speed_kt(10_000.0, "FAA", charted_kt=210.0) == 210.0


# 3 deg/s until the bank binds: 30 deg from 210.2 kt (FAA), 25 deg from 169.8 kt (ICAO).
@pytest.mark.parametrize(
    ("tas_kt", "faa_dps", "icao_dps"), [(100, 3.0, 3.0), (180, 3.0, 2.829), (200, 3.0, 2.547), (250, 2.522, 2.037)]
)
def test_rate_of_turn(tas_kt: float, faa_dps: float, icao_dps: float) -> None:
    assert holding_rate_dps(tas_kt, "FAA") == pytest.approx(faa_dps, abs=0.001)
    assert holding_rate_dps(tas_kt, "ICAO") == pytest.approx(icao_dps, abs=0.001)
