"""The builder's own physics against closed forms and published figures; the package is not asked."""

from __future__ import annotations

import datetime as dt
import math
from itertools import pairwise
from pathlib import Path
from statistics import fmean, pstdev

import pytest

from builders.tarn.air import Air, WindLayer, pressure_altitude_ft
from builders.tarn.aircraft import STEP_S, Aircraft, Controls, standard_bank_deg, turn_radius_nm
from builders.tarn.earth import FT_PER_NM, M_PER_FT, M_PER_NM, Line, Point, direct, inverse, wrap_180
from builders.tarn.flight import Flight
from builders.tarn.glide import lateral_full_scale_nm, path_ft, vertical_full_scale_ft
from builders.tarn.pilot import HoldLine, Skill
from builders.tarn.places import FIXES, Final, Runway
from builders.tarn.recorder import Receiver, record
from builders.tarn.sample import Sample

BUILDERS_FOLDER = Path(__file__).resolve().parents[1] / "builders"
STEADY = Skill(track_deg=0.0, heading_deg=0.0, altitude_ft=0.0, glide_ft=0.0, speed_kt=0.0)


def still_air(**changes: float) -> Air:
    settings = {"qnh_hpa": 1013.25, "oat_deg_c": 15.0, "station_ft": 0.0, **changes}
    return Air(**settings, winds=(WindLayer(0.0, 360.0, 0.0),))


def final_for(runway_ft: float, half_width_m: float, elevation_ft: float = 0.0) -> Final:
    runway = Runway("RW09", Point(40.0, -100.0), elevation_ft, 90.0, runway_ft)
    return Final(runway, 3.0, 50.0, half_width_m / M_PER_FT, 200.0, 5.0, 1600.0)


def test_builder_shares_no_code_with_the_package() -> None:
    sources = [path.read_text() for path in BUILDERS_FOLDER.rglob("*.py")]

    assert sources
    assert not [text for text in sources if "legwise" in text]


@pytest.mark.parametrize(
    ("start", "end", "point", "along_m", "right_m"),
    [  # independent: feet of perpendiculars by iteration on GeographicLib, to 0.1 m
        ((40, -100), (41, -100), (40.5, -99.983333333), 55_519.85, 1412.796),
        ((40, -100), (40, -99), (40.0, -99.5), 42_696.70, 119.754),
        ((-33.95, 151.18), (-35.31, 149.19), (-34.6, 150.3), 108_417.02, -3337.166),
        ((52, 179.5), (52.2, -179.3), (52.15, -179.9), 44_091.09, -5182.219),
    ],
)
def test_line_measures_along_and_across(
    start: tuple[float, float],
    end: tuple[float, float],
    point: tuple[float, float],
    along_m: float,
    right_m: float,
) -> None:
    line = Line(Point(*start), Point(*end))

    off_nm, to_go_nm, _ = line.measure(Point(*point))

    assert off_nm * M_PER_NM == pytest.approx(right_m, abs=0.1)
    assert (line.length_nm - to_go_nm) * M_PER_NM == pytest.approx(along_m, abs=0.1)


@pytest.mark.parametrize("tas_kt", [60.0, 90.0, 120.0, 160.0])
def test_standard_rate_turn_has_the_radius_of_the_closed_form(tas_kt: float) -> None:
    """R = V / 60 pi at 3 deg/s; a full circle takes 120 s."""
    air = still_air()
    aircraft = Aircraft(air, FIXES["BRAKO"], 3000.0, 0.0)
    aircraft.ias_kt = tas_kt / air.tas_kt(1.0, 3000.0)
    aircraft.bank_deg = standard_bank_deg(tas_kt)
    controls = Controls(bank_deg=aircraft.bank_deg, ias_kt=aircraft.ias_kt)

    farthest_nm = 0.0
    for _ in range(round(120.0 / STEP_S)):
        aircraft.fly(controls)
        farthest_nm = max(farthest_nm, inverse(FIXES["BRAKO"], aircraft.position)[0])

    assert farthest_nm == pytest.approx(2.0 * tas_kt / (60.0 * math.pi), rel=0.003)
    assert turn_radius_nm(tas_kt) == pytest.approx(tas_kt / (60.0 * math.pi), rel=1e-3)
    assert inverse(FIXES["BRAKO"], aircraft.position)[0] < 0.01


def test_bank_limit_widens_a_fast_turn() -> None:
    """200 kt at 25 degrees: R = V² / (g tan bank) = 1.2500 NM."""
    assert turn_radius_nm(200.0) == pytest.approx(1.2500, abs=0.001)


@pytest.mark.parametrize(
    ("tas_kt", "course_deg", "from_deg", "wind_kt", "correction_deg", "groundspeed_kt"),
    [  # wind triangle: WCA = asin(W sin(from - C) / TAS), GS = TAS cos WCA - W cos(from - C)
        (100.0, 90.0, 180.0, 20.0, 11.54, 97.98),
        (110.0, 0.0, 270.0, 15.0, -7.84, 108.97),
        (120.0, 270.0, 300.0, 30.0, 7.18, 93.08),
        (105.0, 150.0, 150.0, 25.0, 0.0, 80.00),
    ],
)
def test_line_is_held_against_the_wind(
    tas_kt: float, course_deg: float, from_deg: float, wind_kt: float, correction_deg: float, groundspeed_kt: float
) -> None:
    air = Air(1013.25, 15.0, 0.0, (WindLayer(0.0, from_deg, wind_kt),))
    start = Point(46.5, -27.5)
    line = Line(start, direct(start, course_deg, 40.0))
    flight = Flight(
        seed=1, start=dt.datetime(2026, 1, 1, tzinfo=dt.UTC), air=air, skill=STEADY, parked=start,
        heading=course_deg + correction_deg, elevation_ft=4000.0,
    )  # fmt: skip
    flight.aircraft.ias_kt = flight.pilot.ias_kt = tas_kt / air.tas_kt(1.0, 4000.0)
    flight.pilot.altitude_ft = flight.aircraft.indicated_ft
    flight.pilot.steer(HoldLine(line, STEADY))

    flight.go_for(180.0)

    assert flight.aircraft.groundspeed_kt == pytest.approx(groundspeed_kt, abs=0.05)
    assert wrap_180(flight.aircraft.heading_deg_true - flight.aircraft.track_deg_true) == pytest.approx(
        correction_deg, abs=0.05
    )
    assert flight.off_nm(line) == pytest.approx(0.0, abs=0.002)


@pytest.mark.parametrize(
    ("to_go_nm", "flat_ft", "drop_ft"),
    [  # 3 degrees, 50 ft over a threshold at sea level; the earth falls away by d²/2R
        (1, 368.4, 0.9),
        (2, 686.9, 3.5),
        (3, 1005.3, 8.0),
        (5, 1642.2, 22.1),
        (7, 2279.0, 43.3),
        (10, 3234.4, 88.4),
    ],
)
def test_glidepath_is_straight_in_space(to_go_nm: float, flat_ft: float, drop_ft: float) -> None:
    assert path_ft(final_for(6000.0, 106.75), to_go_nm) == pytest.approx(flat_ft + drop_ft, abs=0.2)


@pytest.mark.parametrize(("to_go_nm", "expected_m"), [(0, 106.75), (1, 199.4), (3, 384.7), (7, 555.6)])
def test_lateral_full_scale_widens_from_the_threshold(to_go_nm: float, expected_m: float) -> None:
    """A 6000 ft runway, 106.75 m at the threshold, at most 0.3 NM."""
    assert lateral_full_scale_nm(final_for(6000.0, 106.75), to_go_nm) * M_PER_NM == pytest.approx(expected_m, abs=0.1)


@pytest.mark.parametrize(("from_origin_nm", "expected_m"), [(0.3, 15.0), (1, 24.3), (2, 48.7), (5, 121.6), (10, 150.0)])
def test_vertical_full_scale_is_a_quarter_of_the_angle(from_origin_nm: float, expected_m: float) -> None:
    """Seen from the path's origin, 954.06 ft past the threshold for 50 ft at 3 degrees."""
    final = final_for(6000.0, 106.75)
    to_go_nm = from_origin_nm - 954.06 / FT_PER_NM

    assert vertical_full_scale_ft(final, to_go_nm) * M_PER_FT == pytest.approx(expected_m, abs=0.1)


@pytest.mark.parametrize(
    ("qnh_hpa", "more_ft"), [(980, 920.4), (1000, 363.8), (1013.25, 0.0), (1020, -183.9), (1030, -454.4)]
)
def test_pressure_altitude_of_a_setting(qnh_hpa: float, more_ft: float) -> None:
    """ICAO standard atmosphere."""
    assert pressure_altitude_ft(qnh_hpa) == pytest.approx(more_ft, abs=1.0)


@pytest.mark.parametrize(("shift_deg_c", "gained_ft"), [(-20.0, -353.1), (0.0, 0.0), (20.0, 353.1)])
def test_cold_air_makes_the_altimeter_read_high(shift_deg_c: float, gained_ft: float) -> None:
    """Hydrostatics: 5000 ft of standard thickness is 353 ft less when the air is 20 degrees colder.

    The figure is for one shift at every pressure; the builder has the standard lapse in true height: 2 % apart.
    """
    air = still_air(oat_deg_c=15.0 + shift_deg_c)

    assert air.indicated_ft(5000.0 + gained_ft) == pytest.approx(5000.0, abs=7.0)


@pytest.mark.parametrize(("cas_kt", "altitude_ft", "tas_kt"), [(90, 3000, 94.06), (100, 5000, 107.67)])
def test_true_airspeed_of_an_indicated_one(cas_kt: float, altitude_ft: float, tas_kt: float) -> None:
    """Standard atmosphere; the table is compressible, which is worth 0.1 kt here."""
    assert still_air().tas_kt(cas_kt, altitude_ft) == pytest.approx(tas_kt, abs=0.1)


def test_recorded_positions_scatter_as_the_receiver_says(flown: dict[str, Sample]) -> None:
    log = flown["clean_lpv"].flight.log

    errors_m = [
        (row.position.lat_deg - second.position.lat_deg) * 60.0 * 1852.0
        for seed in range(8)
        for row, second in zip(record(log, seed, Receiver(horizontal_m=2.0)), log, strict=True)
    ]

    assert pstdev(errors_m) == pytest.approx(2.0, rel=0.15)
    assert fmean(errors_m) == pytest.approx(0.0, abs=0.3)


def test_flight_has_no_jumps(flown: dict[str, Sample]) -> None:
    """From one second to the next: as far as the groundspeed carries it, and no more climb than the aircraft has."""
    for sample in flown.values():
        for before, after in pairwise(sample.flight.log):
            moved_kt = inverse(before.position, after.position)[0] * 3600.0
            assert moved_kt == pytest.approx((before.groundspeed_kt + after.groundspeed_kt) / 2.0, abs=4.0)
            assert abs(after.true_ft - before.true_ft) < 20.0
