"""Published limits at their edges: FAA-S-ACS-8C and Part-FCL Appendix 7, with a log that knows everything."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from legwise.model.alignment import GUIDANCE_CODE, PHASE_CODE, Guidance, Phase
from legwise.model.lesson import Navigation
from legwise.model.results import Verdict

Build = Callable[..., Any]
WITHIN, OUTSIDE = Verdict.WITHIN, Verdict.OUTSIDE


# FAA-S-ACS-8C ±100 ft: level at 5000 ft assigned, flown for a minute at the value.
@pytest.mark.parametrize(
    ("altitude_ft", "verdict", "worst"),
    [(5100.0, WITHIN, 100.0), (5100.1, OUTSIDE, 100.1), (4899.9, OUTSIDE, -100.1), (4900.0, WITHIN, -100.0)],
)
@pytest.mark.parametrize(("guidance", "task"), [(Guidance.LEG, "IR.V.B.S7"), (Guidance.VECTORS, "IR.III.A.S5")])
def test_altitude(
    flight: Build, altitude_ft: float, verdict: Verdict, worst: float, guidance: Guidance, task: str
) -> None:
    values = np.full(200, 5000.0)
    values[60:120] = altitude_ft
    found = flight(altitude_ft=values, assigned_ft=5000.0, guidance=GUIDANCE_CODE[guidance]).finding("altitude")
    assert (found.verdict, found.task, found.limit, found.unit) == (verdict, task, 100.0, "ft")
    assert found.worst == pytest.approx(worst)
    assert found.owed == 5000.0


# "No more than 3/4" is inclusive in 8C; half scale under Appendix 7.
@pytest.mark.parametrize(
    ("standard", "needle", "verdict"),
    [
        ("faa-instrument", 0.75, WITHIN),
        ("faa-instrument", 0.7501, OUTSIDE),
        ("faa-instrument", -0.75, WITHIN),
        ("faa-instrument", -0.7501, OUTSIDE),
        ("faa-instrument", 0.51, WITHIN),
        ("easa-instrument", 0.50, WITHIN),
        ("easa-instrument", 0.51, OUTSIDE),
    ],
)
@pytest.mark.parametrize("needle_name", ["lateral needle", "vertical needle"])
def test_needles_on_an_lpv_final(
    on_final: Build, standard: str, needle: float, verdict: Verdict, needle_name: str
) -> None:
    values = np.zeros(200)
    values[100:120] = needle
    column = needle_name.replace(" ", "_")
    other = "vertical_needle" if column == "lateral_needle" else "lateral_needle"
    parts = on_final(
        approach={"da_ft": 300.0},
        standard=standard,
        altitude_ft=np.linspace(2000, 400, 200),
        **{column: values, other: 0.0},
    )
    (found,) = [item for item in parts.findings(needle_name) if item.segment.startswith("final")]
    assert found.verdict is verdict
    assert found.worst == pytest.approx(needle)
    assert found.limit == (0.75 if standard == "faa-instrument" else 0.5)


# MDA +100/−0 (8C) and +50/−0 (Appendix 7), held level at 1200 ft.
@pytest.mark.parametrize(
    ("standard", "altitude_ft", "verdict", "limit"),
    [
        ("faa-instrument", 1200.0, WITHIN, 0.0),
        ("faa-instrument", 1300.0, WITHIN, 100.0),
        ("faa-instrument", 1199.9, OUTSIDE, 0.0),
        ("faa-instrument", 1300.1, OUTSIDE, 100.0),
        ("easa-instrument", 1250.0, WITHIN, 50.0),
        ("easa-instrument", 1250.1, OUTSIDE, 50.0),
        ("easa-instrument", 1199.9, OUTSIDE, 0.0),
    ],
)
def test_mda_held_level_to_a_missed_approach(
    on_final: Build, standard: str, altitude_ft: float, verdict: Verdict, limit: float
) -> None:
    descent = np.linspace(2000.0, altitude_ft, 100)
    altitude = np.concatenate([descent, np.full(80, altitude_ft), np.linspace(altitude_ft, 1600, 20)])
    speed = np.concatenate([np.full(100, -500.0), np.zeros(80), np.full(20, 700.0)])
    parts = on_final(
        approach={"guidance": "LNAV", "mda_ft": 1200.0, "stepped": True},
        standard=standard,
        outcome="missed",
        missed_start=180,
        altitude_ft=altitude,
        vertical_speed_fpm=speed,
        lateral_needle=0.0,
        cross_track_nm=0.0,
    )
    found = parts.finding("MDA")
    assert (found.verdict, found.limit) == (verdict, limit)
    assert found.worst == pytest.approx(altitude_ft - 1200.0)


def test_nothing_is_owed_above_an_mda_on_a_continuous_descent(on_final: Build) -> None:
    altitude = np.concatenate([np.linspace(2600, 1400, 180), np.linspace(1400, 1800, 20)])
    found = on_final(
        approach={"guidance": "LNAV", "mda_ft": 1200.0},
        outcome="missed",
        missed_start=180,
        altitude_ft=altitude,
        vertical_speed_fpm=np.where(np.arange(200) < 180, -500.0, 700.0),
        lateral_needle=0.0,
    ).finding("MDA")
    assert found.verdict is WITHIN
    assert found.limit == 0.0


# Linear lateral limits of Appendix 7: 1/2 × RNP 0.3 normally, 1 × RNP briefly.
@pytest.mark.parametrize(
    ("cross_track_nm", "seconds", "verdict"),
    [
        (0.149, 60, WITHIN),
        (0.16, 8, WITHIN),
        (0.16, 60, OUTSIDE),
        (0.30, 8, WITHIN),
        (0.301, 8, OUTSIDE),
        (-0.301, 8, OUTSIDE),
    ],
)
def test_lnav_final_under_easa(on_final: Build, cross_track_nm: float, seconds: int, verdict: Verdict) -> None:
    values = np.zeros(200)
    values[100 : 100 + seconds] = cross_track_nm
    parts = on_final(
        approach={"guidance": "LNAV", "mda_ft": 500.0},
        standard="easa-instrument",
        altitude_ft=np.linspace(3000, 600, 200),
        cross_track_nm=values,
    )
    (found,) = [item for item in parts.findings("cross-track") if item.segment.startswith("final")]
    assert (found.verdict, found.limit, found.unit) == (verdict, 0.15, "nm")


# Baro-VNAV under Appendix 7: never 75 ft below; 75 ft above only at or below 1000 ft above the aerodrome.
@pytest.mark.parametrize(
    ("height_ft", "deviation_ft", "verdict"),
    [
        (1500.0, 120.0, WITHIN),
        (1000.0, 75.0, WITHIN),
        (1000.0, 76.0, OUTSIDE),
        (900.0, 120.0, OUTSIDE),
        (1500.0, -76.0, OUTSIDE),
        (900.0, -76.0, OUTSIDE),
        (1500.0, -75.0, WITHIN),
    ],
)
def test_baro_vnav_under_easa(on_final: Build, height_ft: float, deviation_ft: float, verdict: Verdict) -> None:
    values = np.zeros(200)
    values[100:130] = deviation_ft
    found = on_final(
        approach={"guidance": "LNAV/VNAV", "da_ft": 400.0},
        standard="easa-instrument",
        navigation=Navigation(vertical="baro"),
        altitude_ft=100.0 + height_ft,
        vertical_deviation_ft=values,
        vertical_needle=0.0,
    ).finding("vertical deviation")
    assert found.verdict is verdict
    assert found.limit == 75.0


# Heading ±10° (8C, vectors) and ±5° (Appendix 7); wrapped errors come from the measurement.
@pytest.mark.parametrize(
    ("standard", "error_deg", "verdict"),
    [
        ("faa-instrument", 7.0, WITHIN),
        ("faa-instrument", 13.0, OUTSIDE),
        ("faa-instrument", 11.0, Verdict.UNDECIDED),
        ("easa-instrument", 2.5, WITHIN),
        ("easa-instrument", 7.5, OUTSIDE),
    ],
)
def test_heading_with_two_degrees_of_doubt(flight: Build, standard: str, error_deg: float, verdict: Verdict) -> None:
    values = np.zeros(200)
    values[100:130] = error_deg
    found = flight(
        standard=standard,
        guidance=GUIDANCE_CODE[Guidance.VECTORS],
        heading_owed_deg_mag=250.0,
        heading_error_deg=values,
    ).finding("heading")
    assert (found.verdict, found.owed) == (verdict, 250.0)


def test_a_route_leg_has_a_needle_limit_under_faa_and_none_under_easa(flight: Build) -> None:
    assert flight(lateral_needle=0.1).finding("lateral needle").task == "IR.V.B.S7"
    assert flight(lateral_needle=0.1, cross_track_nm=0.1, standard="easa-instrument").assess().findings == ()


def test_no_needle_is_judged_in_a_missed_approach_under_faa(on_final: Build) -> None:
    parts = on_final(
        approach={"da_ft": 300.0},
        outcome="missed",
        missed_start=100,
        missed_leg_from=100,
        altitude_ft=np.concatenate([np.linspace(1500, 300, 100), np.linspace(300, 2000, 100)]),
        lateral_needle=np.where(np.arange(200) < 100, 0.0, 0.9),
        vertical_needle=0.0,
        phase=np.where(np.arange(200) < 100, PHASE_CODE[Phase.APPROACH], PHASE_CODE[Phase.MISSED]),
    )
    assert {item.verdict for item in parts.findings("lateral needle")} == {WITHIN}
    assert "missed approach" not in {item.segment for item in parts.findings("lateral needle")}


def test_the_angle_at_a_station_under_easa(on_final: Build) -> None:
    # Part-FCL Appendix 7: tracking on radio aids ±5°. Ten miles from the station 5° is 10 × tan 5° = 0.875 NM.
    parts = on_final(
        approach={"guidance": "VOR", "mda_ft": 500.0},
        standard="easa-instrument",
        altitude_ft=np.linspace(3000, 600, 200),
        lat_deg=46.0,
        cross_track_nm=0.95,
    )
    found = parts.finding("track")
    assert found.verdict is OUTSIDE
    assert found.worst == pytest.approx(np.degrees(np.arctan(0.95 / 10.0)), abs=0.01)
