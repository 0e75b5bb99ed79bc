from __future__ import annotations

import numpy as np
import pytest

from legwise.geodesy import direct, inverse, turn_deg
from legwise.model.arrays import FloatArray
from legwise.units import M_PER_NM

MICROMETRE = 1e-6


def dms(degrees: int, minutes: int, seconds: float) -> float:
    return (abs(degrees) + minutes / 60.0 + seconds / 3600.0) * (-1.0 if degrees < 0 else 1.0)


def metres(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    return float(inverse(lat1, lon1, lat2, lon2)[0]) * M_PER_NM


def test_flinders_peak_to_buninyong() -> None:
    # Geoscience Australia's worked line; the published "reverse azimuth" points back.
    distance, course, arrival = inverse(
        dms(-37, 57, 3.72030), dms(144, 25, 29.52440), dms(-37, 39, 10.15610), dms(143, 55, 35.38390)
    )

    assert float(distance) * M_PER_NM == pytest.approx(54_972.271, abs=1e-3)
    assert float(course) == pytest.approx(dms(306, 52, 5.37), abs=0.01 / 3600)
    assert float(arrival) == pytest.approx(dms(127, 10, 25.07) + 180.0, abs=0.01 / 3600)


@pytest.mark.parametrize(
    ("line", "expected_m", "tolerance_m"),
    [
        # Coordinates of GeographicLib's example program; value by GeographicLib 2.1.
        ((40.6, -73.8, 51.6, -0.5), 5_551_759.4003, 1e-4),
        # A near-antipodal line of GeographicLib's README.
        ((-41.32, 174.81, 40.96, -5.50), 19_959_679.267, 1e-3),
    ],
)
def test_published_distances(line: tuple[float, float, float, float], expected_m: float, tolerance_m: float) -> None:
    assert metres(*line) == pytest.approx(expected_m, abs=tolerance_m)


@pytest.mark.parametrize(
    ("start", "course", "distance_m", "end", "tolerance"),
    [
        # Inputs of GeographicLib's example program; values by GeographicLib 2.1.
        ((40.6, -73.8), 51.0, 5_500_000.0, (51.884564506, -1.141172861), 1e-9),
        # GeographicLib's README.
        ((-32.06, 115.74), 225.0, 20_000_000.0, (32.11195529, -63.95925278), 1e-8),
    ],
)
def test_published_ends(
    start: tuple[float, float], course: float, distance_m: float, end: tuple[float, float], tolerance: float
) -> None:
    lat, lon, _arrival = direct(*start, course, distance_m / M_PER_NM)

    assert (float(lat), float(lon)) == pytest.approx(end, abs=tolerance)


# Lines of C. F. F. Karney's GeodTest set as public tests quote them: lat1 (lon1 = 0) azi1 lat2 lon2 azi2 s12.
# The azimuth of a line of a few hundred metres is known to 1e-8 deg only.
QUOTED = [
    (
        36.530042355041,
        176.125875162171,
        -48.164270779097768864,
        5.762344694676510456,
        175.334308316285,
        9398502.0434687,
    ),
    (19.707097385334, 20.996796804557, 19.707739582810257, 0.000260256428101053, 20.996884567489, 76.1478894),
    (23.104245923137, 108.788775202534, 23.103520430280492, 0.002305237470119087, 108.7896797764, 249.4508219),
    (78.10174623178, 124.870465352256, 78.099711031638792, 0.014156770744057927, 124.8843179168, 397.364659),
    (63.758775485865, 63.327049113388, 25.179740339437206, 107.50499193289191, 154.0555522322, 8337896.7811702),
    (8.226828747671, 111.1269645725, -8.516119211674269, 178.68897958262922, 68.982798544955, 19886305.6710041),
    (89.997817345644, 2.624783190362, 39.575446357285395, 177.375133897726, 179.999870061583, 5619818.6599569),
]


@pytest.mark.parametrize(("lat1", "azi1", "lat2", "lon2", "azi2", "s12"), QUOTED)
def test_quoted_geodtest_lines(lat1: float, azi1: float, lat2: float, lon2: float, azi2: float, s12: float) -> None:
    distance, course, arrival = inverse(lat1, 0.0, lat2, lon2)
    degrees = 1e-8 if s12 < 1000.0 else 1e-9

    assert float(distance) * M_PER_NM == pytest.approx(s12, abs=MICROMETRE)
    assert float(course) == pytest.approx(azi1, abs=degrees)
    assert float(arrival) == pytest.approx(azi2, abs=degrees)


@pytest.mark.parametrize("table", ["geodtest_lines", "geographiclib_lines"])
def test_whole_tables_forwards_and_backwards(table: str, request: pytest.FixtureRequest) -> None:
    lines: FloatArray = request.getfixturevalue(table)
    lat1, lon1, azi1, lat2, lon2, azi2, s12 = lines.T[:7]

    lat, lon, arrival = direct(lat1, lon1, azi1, s12 / M_PER_NM)
    distance = inverse(lat1, lon1, lat2, lon2)[0]

    assert distance * M_PER_NM == pytest.approx(s12, abs=MICROMETRE)
    assert lat == pytest.approx(lat2, abs=1e-11)
    assert np.abs(turn_deg(lon, lon2)) == pytest.approx(np.zeros(len(lon)), abs=2e-9)
    assert np.abs(turn_deg(arrival, azi2)) == pytest.approx(np.zeros(len(lon)), abs=1e-8)


def test_arguments_broadcast_and_missing_positions_stay_missing() -> None:
    distance, course, _arrival = inverse(46.0, -28.0, np.array([46.1, np.nan]), np.array([-28.0, -28.0]))

    assert distance.shape == (2,)
    assert np.isnan(distance[1])
    assert np.isnan(course[1])
    assert float(course[0]) == pytest.approx(0.0, abs=1e-9)


def test_a_negative_distance_goes_back() -> None:
    lat, lon, _arrival = direct(46.0, -28.0, 90.0, 10.0)
    _lat, _lon, arrival = direct(46.0, -28.0, 90.0, 10.0)
    back_lat, back_lon, _course = direct(lat, lon, arrival, -10.0)

    assert (float(back_lat), float(back_lon)) == pytest.approx((46.0, -28.0), abs=1e-12)
