from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import (
    anticipation_nm,
    bank_for_rate_deg,
    fly_by_band,
    pans_ops_rate_dps,
    turn_radius_nm,
    turn_rate_dps,
)
from legwise.units import M_PER_NM

# Worked out from R = V^2 / (g tan bank) and omega = g tan bank / V, still air: TAS [kt], bank for 3 deg/s [deg], radius
# at 3 deg/s [NM], then radius [NM] and rate [deg/s] at 15, 20, 25 and 30 deg of bank.
TURNS = [
    (60, 9.358, 0.3183, (0.1958, 4.878), (0.1441, 6.626), (0.1125, 8.488), (0.0909, 10.510)),
    (80, 12.393, 0.4244, (0.3481, 3.658), (0.2562, 4.969), (0.2000, 6.366), (0.1615, 7.882)),
    (90, 13.885, 0.4775, (0.4405, 3.252), (0.3243, 4.417), (0.2531, 5.659), (0.2044, 7.007)),
    (100, 15.359, 0.5305, (0.5438, 2.927), (0.4004, 3.975), (0.3125, 5.093), (0.2524, 6.306)),
    (120, 18.243, 0.6366, (0.7831, 2.439), (0.5765, 3.313), (0.4500, 4.244), (0.3634, 5.255)),
    (140, 21.034, 0.7427, (1.0659, 2.090), (0.7847, 2.840), (0.6125, 3.638), (0.4947, 4.504)),
    (160, 23.724, 0.8488, (1.3922, 1.829), (1.0249, 2.485), (0.8000, 3.183), (0.6461, 3.941)),
    (180, 26.308, 0.9549, (1.7620, 1.626), (1.2972, 2.209), (1.0125, 2.829), (0.8178, 3.503)),
    (200, 28.782, 1.0610, (2.1753, 1.463), (1.6014, 1.988), (1.2500, 2.547), (1.0096, 3.153)),
    (250, 34.477, 1.3263, (3.3989, 1.171), (2.5022, 1.590), (1.9531, 2.037), (1.5775, 2.522)),
]
BANKS_DEG = (15.0, 20.0, 25.0, 30.0)


@pytest.mark.parametrize("row", TURNS)
def test_radius_and_rate_of_turns(row: tuple[float, float, float, tuple[float, float], tuple[float, float]]) -> None:
    tas_kt, bank_deg, radius_nm, *by_bank = row

    assert bank_for_rate_deg(tas_kt) == pytest.approx(bank_deg, abs=0.001)
    assert turn_radius_nm(tas_kt, bank_deg=89.0) == pytest.approx(radius_nm, abs=5e-5)
    for bank, (by_bank_nm, rate_dps) in zip(BANKS_DEG, by_bank, strict=True):
        assert turn_radius_nm(tas_kt, rate_dps=360.0, bank_deg=bank) == pytest.approx(by_bank_nm, abs=1e-4)
        assert turn_rate_dps(tas_kt, bank) == pytest.approx(rate_dps, abs=0.001)


# A training page's worked examples at 100 kt: radius [m] and rate [deg/s] by bank.
@pytest.mark.parametrize(("bank_deg", "radius_m", "rate_dps"), [(30, 467, 6.3), (45, 269, 10.9), (60, 156, 18.9)])
def test_published_worked_examples(bank_deg: float, radius_m: float, rate_dps: float) -> None:
    radius_nm = turn_radius_nm(100.0, rate_dps=360.0, bank_deg=bank_deg)

    assert radius_nm * M_PER_NM == pytest.approx(radius_m, abs=1.0)
    assert turn_rate_dps(100.0, bank_deg) == pytest.approx(rate_dps, abs=0.05)


# Turn anticipation R tan(turn / 2) at 3 deg/s. [NM]
@pytest.mark.parametrize(
    ("speed_kt", "leads_nm"),
    [
        (90, (0.1279, 0.1978, 0.2757, 0.4775, 0.8270)),
        (120, (0.1706, 0.2637, 0.3676, 0.6366, 1.1027)),
        (150, (0.2132, 0.3296, 0.4594, 0.7958, 1.3783)),
        (180, (0.2559, 0.3955, 0.5513, 0.9549, 1.6540)),
    ],
)
def test_turn_anticipation_at_standard_rate(speed_kt: float, leads_nm: tuple[float, ...]) -> None:
    for turn, lead_nm in zip((30, 45, 60, 90, 120), leads_nm, strict=True):
        assert anticipation_nm(turn_radius_nm(speed_kt, bank_deg=89.0), turn) == pytest.approx(lead_nm, abs=2e-4)


# The often printed 180 kt comes of the rule of thumb TAS / 10 + 7, which is 25 there.
@pytest.mark.parametrize(("bank_deg", "speed_kt"), [(25.0, 169.8), (30.0, 210.2)])
def test_where_a_bank_turns_at_standard_rate(bank_deg: float, speed_kt: float) -> None:
    assert bank_for_rate_deg(speed_kt) == pytest.approx(bank_deg, abs=0.01)
    assert turn_rate_dps(speed_kt - 0.1, bank_deg) > 3.0
    assert turn_rate_dps(speed_kt + 0.1, bank_deg) < 3.0


def test_practical_constants() -> None:
    # 364.07 and 1092.2 are computed; pages print 364 and 1091.
    assert math.tan(math.radians(bank_for_rate_deg(100.0))) == pytest.approx(100.0 / 364.07, rel=2e-5)
    assert turn_rate_dps(100.0, 45.0) == pytest.approx(10.922, abs=0.001)


@pytest.mark.parametrize(("tas_kt", "rate_dps"), [(100, 3.0), (169, 3.0), (180, 2.829), (200, 2.547), (250, 2.037)])
def test_rate_by_pans_ops(tas_kt: float, rate_dps: float) -> None:
    # The formula is from memory; 25 deg of bank, the table above; never more than 3 deg/s.
    assert pans_ops_rate_dps(tas_kt) == pytest.approx(rate_dps, abs=0.001)


def test_the_band_at_120_kt() -> None:
    band = fly_by_band(120.0, 90.0)

    # Tightest: 3 deg/s, less than 30 deg of bank. Widest: 2 deg/s, wider than 15 deg of bank (0.7831).
    assert band.least_lead_nm == pytest.approx(0.6366, abs=1e-4)
    assert band.nominal_lead_nm == pytest.approx(0.6366, abs=1e-4)
    assert band.largest_lead_nm == pytest.approx(120.0 / 3600.0 / math.radians(2.0), abs=1e-9)


def test_the_band_at_250_kt() -> None:
    band = fly_by_band(250.0, -90.0)

    # By bank alone: 30, 25 and 15 deg.
    assert band.least_lead_nm == pytest.approx(1.5775, abs=1e-4)
    assert band.nominal_lead_nm == pytest.approx(1.9531, abs=1e-4)
    assert band.largest_lead_nm == pytest.approx(3.3989, abs=1e-4)


@settings(deadline=None, derandomize=True)
@given(speed=st.floats(40.0, 400.0), turn=st.floats(-150.0, 150.0))
def test_the_nominal_turn_lies_in_the_band_and_the_band_is_open(speed: float, turn: float) -> None:
    band = fly_by_band(speed, turn)

    assert band.least_radius_nm <= band.nominal_radius_nm < band.largest_radius_nm
    assert 0.0 <= band.least_lead_nm <= band.nominal_lead_nm <= band.largest_lead_nm
    assert band.nominal_radius_nm == turn_radius_nm(speed)


def test_a_band_can_be_narrowed_to_one_turn() -> None:
    band = fly_by_band(120.0, 60.0, least_bank_deg=20.0, most_bank_deg=20.0, least_rate_dps=90.0, most_rate_dps=90.0)

    assert band.least_radius_nm == band.nominal_radius_nm == band.largest_radius_nm == pytest.approx(0.5765, abs=1e-4)
