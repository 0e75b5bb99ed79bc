"""What every kind of path owes anywhere on earth: at latitudes to 85 deg, on the date line, due north."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import (
    ArcPath,
    ChainPath,
    arc_from,
    fly_by_arc,
    fly_over_capture,
    hold_entry_path,
    holding_pattern,
    line_from,
    line_to,
    ray_from,
    reversal_path,
)
from legwise.model.lesson import Turn
from legwise.model.plan import Fix, Hold, Path, Reversal
from legwise.units import M_PER_NM

EARTH = Geodesic.WGS84
TENTH_OF_A_METRE_NM = 0.1 / M_PER_NM
KINDS = ["line", "ray", "line-to", "arc", "chain", "capture", "hold", "entry", "reversal"]

latitudes = st.floats(-85, 85)
longitudes = st.one_of(st.sampled_from([-28.0, 0.0, 180.0, -180.0, 179.9999, -179.9999]), st.floats(-180, 180))
courses = st.one_of(st.floats(0, 360), st.sampled_from([0.0, 90.0, 180.0, 270.0, 359.999_999]))
turns = st.sampled_from(["left", "right"])


def there(path: Path | None) -> Path:
    assert path is not None
    return path


def legs(lat: float, lon: float, course: float, turn: Turn) -> tuple[Path, Path]:
    """Ten miles to a position and fifteen miles off it, 70 deg to the side."""
    inbound = there(line_from(*start(lat, lon, course + 180.0, 10.0), 10.0))
    side = 1.0 if turn == "right" else -1.0
    return inbound, there(line_from(lat, lon, inbound.end_course_deg_true + side * 70.0, 15.0))


def start(lat: float, lon: float, toward: float, distance_nm: float) -> tuple[float, float, float]:
    """The position at a distance, and the course from there back to where it was measured from."""
    place = EARTH.Direct(lat, lon, toward, distance_nm * M_PER_NM)
    return place["lat2"], place["lon2"], place["azi2"] + 180.0


def rounded(lat: float, lon: float, course: float, turn: Turn) -> Path:
    """Two legs with a fly-by turn between them."""
    inbound, outbound = legs(lat, lon, course, turn)
    fly_by = fly_by_arc(inbound, outbound, 1.0)
    assert fly_by is not None
    before = there(line_from(*start(lat, lon, course + 180.0, 10.0), 10.0 - fly_by.lead_nm))
    end = outbound.point_along(np.array([fly_by.exit_nm]))
    after = there(line_from(float(end[0][0]), float(end[1][0]), fly_by.path.end_course_deg_true, 10.0))
    return ChainPath((before, fly_by.path, after))


def held(fix: Fix, course: float, turn: Turn) -> Path:
    hold = Hold(fix=fix, inbound_course_deg_true=course, inbound_course_deg_mag=None, turn=turn)
    pattern = holding_pattern(hold, tas_kt=110.0, altitude_ft=4000.0, wind_from_deg_true=40.0, wind_kt=12.0)
    assert pattern is not None
    return pattern.circuit


def entered(fix: Fix, course: float, turn: Turn) -> Path:
    hold = Hold(fix=fix, inbound_course_deg_true=course, inbound_course_deg_mag=None, turn=turn)
    return there(hold_entry_path(hold, "teardrop", heading_deg_true=course + 160.0, tas_kt=110.0, altitude_ft=4000.0))


def reversed_(fix: Fix, course: float, turn: Turn) -> Path:
    drawn = Reversal(
        fix=fix,
        kind="procedure-turn",
        outbound_course_deg_true=course,
        outbound_course_deg_mag=None,
        inbound_course_deg_true=course + 180.0,
        turn=turn,
    )
    flown = reversal_path(drawn, tas_kt=110.0)
    assert flown is not None
    return flown.path


def made(kind: str, lat: float, lon: float, course: float, turn: Turn) -> Path:
    """A path of a kind at a position."""
    fix = Fix(ident="CALDU", lat_deg=lat, lon_deg=lon)
    makers: dict[str, Callable[[], Path]] = {
        "line": lambda: there(line_from(lat, lon, course, 40.0)),
        "ray": lambda: ray_from(lat, lon, course),
        "line-to": lambda: line_to(lat, lon, course),
        "arc": lambda: arc_from(lat, lon, course, turn, 8.0, 130.0),
        "chain": lambda: rounded(lat, lon, course, turn),
        "capture": lambda: there(fly_over_capture(*legs(lat, lon, course, turn), 0.8)),
        "hold": lambda: held(fix, course, turn),
        "entry": lambda: entered(fix, course, turn),
        "reversal": lambda: reversed_(fix, course, turn),
    }
    return makers[kind]()


def parts(path: Path) -> tuple[Path, ...]:
    return path.segments if isinstance(path, ChainPath) else (path,)


def metres(one: tuple[np.ndarray, np.ndarray], two: tuple[np.ndarray, np.ndarray]) -> float:
    return float(EARTH.Inverse(float(one[0][0]), float(one[1][0]), float(two[0][0]), float(two[1][0]))["s12"])


@pytest.mark.parametrize("kind", KINDS)
@settings(deadline=None, derandomize=True, max_examples=20)
@given(lat=latitudes, lon=longitudes, course=courses, turn=turns)
def test_nothing_is_missing_inside_and_distances_add_up(
    kind: str, lat: float, lon: float, course: float, turn: Turn
) -> None:
    path = made(kind, lat, lon, course, turn)
    spread = np.linspace(-0.1, 0.1, 9)

    got = path.measure(np.clip(lat + spread, -90, 90), lon + spread)

    assert np.isfinite(got.cross_track_nm).all()
    assert np.isfinite(got.course_deg_true).all()
    assert ((got.course_deg_true >= 0.0) & (got.course_deg_true < 360.0)).all()
    assert np.isnan(got.along_track_nm).all() == (kind == "line-to")
    assert np.isnan(got.to_go_nm).all() == (kind == "ray")
    if kind not in ("ray", "line-to"):
        assert got.along_track_nm + got.to_go_nm == pytest.approx(np.full(9, path.length_nm), abs=1e-6)
        assert sum(part.length_nm for part in parts(path)) == pytest.approx(path.length_nm)


@pytest.mark.parametrize("kind", KINDS)
@settings(deadline=None, derandomize=True, max_examples=20)
@given(lat=latitudes, lon=longitudes, course=courses, turn=turns)
def test_each_part_begins_where_the_one_before_it_ended(
    kind: str, lat: float, lon: float, course: float, turn: Turn
) -> None:
    for one, two in pairwise(parts(made(kind, lat, lon, course, turn))):
        assert metres(one.point_at(np.zeros(1)), two.point_along(np.zeros(1))) < 0.1


@pytest.mark.parametrize("kind", KINDS)
@settings(deadline=None, derandomize=True, max_examples=20)
@given(lat=latitudes, lon=longitudes, course=courses, turn=turns, part=st.floats(0.0, 1.0))
def test_a_point_of_a_part_is_on_the_whole_path(
    kind: str, lat: float, lon: float, course: float, turn: Turn, part: float
) -> None:
    path = made(kind, lat, lon, course, turn)
    reach = min(path.length_nm, 60.0)
    point = path.point_at(np.array([part * reach])) if kind == "line-to" else path.point_along(np.array([part * reach]))

    got = path.measure(*point)

    assert float(got.cross_track_nm[0]) == pytest.approx(0.0, abs=TENTH_OF_A_METRE_NM)
    if kind == "line-to":
        assert float(got.to_go_nm[0]) == pytest.approx(part * reach, abs=TENTH_OF_A_METRE_NM)
    elif kind not in ("hold", "entry", "reversal"):
        assert float(got.along_track_nm[0]) == pytest.approx(part * reach, abs=TENTH_OF_A_METRE_NM)
    else:
        # They come back over their own way: the point found is the same place, perhaps on the earlier passage.
        assert metres(path.point_along(got.along_track_nm), point) < 0.1


@pytest.mark.parametrize("kind", ["line", "ray", "line-to", "arc", "chain", "capture"])
@settings(deadline=None, derandomize=True, max_examples=20)
@given(lat=latitudes, course=courses, part=st.floats(0.1, 0.9), offset_nm=st.floats(-0.4, 0.4))
def test_the_mirror_image_has_the_opposite_cross_track(
    kind: str, lat: float, course: float, part: float, offset_nm: float
) -> None:
    east, west = made(kind, lat, 0.0, course, "right"), made(kind, lat, 0.0, -course, "left")
    reach = min(east.length_nm, 40.0)
    on_it = east.point_at(np.array([part * reach])) if kind == "line-to" else east.point_along(np.array([part * reach]))
    square = float(east.measure(*on_it).course_deg_true[0]) + 90.0
    place = EARTH.Direct(float(on_it[0][0]), float(on_it[1][0]), square, offset_nm * M_PER_NM)

    here = east.measure(np.array([place["lat2"]]), np.array([place["lon2"]]))
    mirrored = west.measure(np.array([place["lat2"]]), np.array([-place["lon2"]]))

    assert float(here.cross_track_nm[0]) == pytest.approx(offset_nm, abs=TENTH_OF_A_METRE_NM)
    assert float(mirrored.cross_track_nm[0]) == pytest.approx(-offset_nm, abs=TENTH_OF_A_METRE_NM)


@settings(deadline=None, derandomize=True, max_examples=40)
@given(
    lat=st.floats(-80, 80),
    lon=longitudes,
    course=courses,
    changes=st.lists(st.tuples(st.floats(-120, 120), st.floats(1.0, 60.0)), min_size=1, max_size=8),
)
def test_any_chain_of_legs_adds_up(lat: float, lon: float, course: float, changes: list[tuple[float, float]]) -> None:
    segments: list[Path] = []
    here = (lat, lon, course)
    for change, length_nm in changes:
        segments.append(there(line_from(here[0], here[1], here[2] + change, length_nm)))
        end = segments[-1].point_at(np.zeros(1))
        here = (float(end[0][0]), float(end[1][0]), segments[-1].end_course_deg_true)
    chain = ChainPath(tuple(segments))
    total = sum(length for _change, length in changes)

    assert chain.length_nm == pytest.approx(total)
    begin, end = chain.point_along(np.zeros(1)), chain.point_at(np.zeros(1))
    assert metres(begin, (np.array([lat]), np.array([lon]))) < 0.1
    assert metres(end, (np.array([here[0]]), np.array([here[1]]))) < 0.1
    got = chain.measure(*chain.point_along(np.linspace(0.0, total, 40)))
    assert np.abs(got.cross_track_nm).max() < TENTH_OF_A_METRE_NM
    assert got.along_track_nm + got.to_go_nm == pytest.approx(np.full(40, total), abs=1e-6)


@settings(deadline=None, derandomize=True, max_examples=30)
@given(along_nm=st.floats(-5.0, 25.0), turn=turns)
def test_along_and_to_go_of_an_arc_add_up(along_nm: float, turn: Turn) -> None:
    arc = arc_from(46.0, -28.0, 20.0, turn, 8.0, 130.0)

    got = arc.measure(*arc.point_along(np.array([along_nm])))

    assert isinstance(arc, ArcPath)
    assert float(got.along_track_nm[0]) == pytest.approx(along_nm, abs=TENTH_OF_A_METRE_NM)
    assert float(got.along_track_nm[0] + got.to_go_nm[0]) == pytest.approx(arc.length_nm, abs=1e-9)
