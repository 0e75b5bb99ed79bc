from __future__ import annotations

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from legwise.geodesy import GeodesicLine, GeodesicRay, begun_at, line_to
from legwise.model.lesson import PathTerminator
from legwise.model.plan import Fix, Leg, LegEnd, LegPart, Path
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
HERE = (46.0, -28.0)
TENTH_OF_A_METRE_NM = 0.1 / M_PER_NM


def leg(
    kind: PathTerminator,
    *,
    to_fix: Fix | None = None,
    course: float | None = None,
    end: LegEnd | None = None,
    path: Path | None = None,
) -> Leg:
    return Leg(
        id="A1.1",
        kind=kind,
        part=LegPart.APPROACH,
        approach=1,
        from_fix=None,
        to_fix=to_fix,
        path=path,
        course_deg_true=course,
        course_deg_mag=None,
        distance_nm=None,
        end=end,
    )


def fix(bearing: float, distance_nm: float) -> Fix:
    place = EARTH.Direct(*HERE, bearing, distance_nm * M_PER_NM)
    return Fix(ident="CALDU", lat_deg=place["lat2"], lon_deg=place["lon2"])


def test_a_direct_runs_from_where_it_was_begun_to_its_fix() -> None:
    path = begun_at(leg("DF", to_fix=fix(75.0, 12.0)), *HERE)

    assert isinstance(path, GeodesicLine)
    assert path.length_nm == pytest.approx(12.0, abs=TENTH_OF_A_METRE_NM)
    assert path.start_course_deg_true == pytest.approx(75.0, abs=1e-6)


def test_a_course_to_an_altitude_has_no_end() -> None:
    path = begun_at(leg("CA", course=75.0, end=LegEnd(kind="altitude")), *HERE)

    assert isinstance(path, GeodesicRay)
    assert path.start_course_deg_true == 75.0


def test_a_course_to_an_intercept_ends_on_the_next_leg() -> None:
    met = EARTH.Direct(*HERE, 75.0, 8.0 * M_PER_NM)
    ahead = EARTH.Direct(met["lat2"], met["lon2"], 120.0, 15.0 * M_PER_NM)

    path = begun_at(leg("CI", course=75.0), *HERE, following=line_to(ahead["lat2"], ahead["lon2"], ahead["azi2"]))

    assert path is not None
    assert path.length_nm == pytest.approx(8.0, abs=TENTH_OF_A_METRE_NM)


def test_a_course_to_a_dme_distance() -> None:
    station = fix(75.0, 20.0)

    path = begun_at(leg("CD", course=75.0, end=LegEnd(kind="dme", station=station, distance_nm=6.5)), *HERE)

    assert path is not None
    assert path.length_nm == pytest.approx(13.5, abs=TENTH_OF_A_METRE_NM)


def test_a_course_to_a_radial() -> None:
    met = EARTH.Direct(*HERE, 75.0, 9.0 * M_PER_NM)
    place = EARTH.Direct(met["lat2"], met["lon2"], 10.0, 11.0 * M_PER_NM)
    station = Fix(ident="TRN", lat_deg=place["lat2"], lon_deg=place["lon2"], kind="vor")
    radial = EARTH.Inverse(place["lat2"], place["lon2"], met["lat2"], met["lon2"])["azi1"]

    path = begun_at(leg("CR", course=75.0, end=LegEnd(kind="radial", station=station, radial_deg_true=radial)), *HERE)

    assert path is not None
    assert path.length_nm == pytest.approx(9.0, abs=TENTH_OF_A_METRE_NM)


def test_a_course_to_a_fix_is_its_line_wherever_the_aircraft_is() -> None:
    onto = fix(75.0, 12.0)

    path = begun_at(leg("CF", to_fix=onto, course=100.0), *HERE)

    assert path is not None
    assert path.end_course_deg_true == 100.0
    assert float(path.measure(np.array([onto.lat_deg]), np.array([onto.lon_deg])).to_go_nm[0]) == pytest.approx(0.0)


@pytest.mark.parametrize("kind", ["VA", "VD", "VI", "VM", "VR"])
def test_a_heading_leg_owes_no_path(kind: PathTerminator) -> None:
    assert begun_at(leg(kind, course=75.0, end=LegEnd(kind="manual")), *HERE) is None


def test_a_leg_that_never_ends_has_no_path() -> None:
    station = fix(255.0, 20.0)
    away = line_to(*HERE, 75.0)

    assert begun_at(leg("CD", course=75.0, end=LegEnd(kind="dme", station=station, distance_nm=6.5)), *HERE) is None
    assert (
        begun_at(leg("CR", course=75.0, end=LegEnd(kind="radial", station=station, radial_deg_true=0.0)), *HERE) is None
    )
    assert begun_at(leg("CI", course=75.0), 46.5, -28.0, following=away) is None
    assert begun_at(leg("CI", course=75.0), *HERE) is None


def test_a_leg_that_says_too_little_has_no_path() -> None:
    assert begun_at(leg("DF"), *HERE) is None
    assert begun_at(leg("CA"), *HERE) is None
    assert begun_at(leg("CD", course=75.0), *HERE) is None
    assert begun_at(leg("DF", to_fix=fix(0.0, 0.0)), *HERE) is None


def test_a_path_fixed_before_the_flight_is_kept() -> None:
    path = line_to(*HERE, 75.0)

    assert begun_at(leg("TF", path=path), 10.0, 10.0) is path
