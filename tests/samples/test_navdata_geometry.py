"""The invented navigation data's courses, distances, arcs and altitudes against geometry by GeographicLib.

Rounding of the columns: 0.1 degrees, 0.1 NM, 0.01 seconds (0.3 m), so half of each and a little for positions.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest

from samples.coded_records import (
    FT_PER_NM,
    Coded,
    CodedFile,
    NavFix,
    Spot,
    ahead,
    angle,
    columns,
    enroute_place,
    first_at,
    inverse,
    of,
    off_line,
    read,
    spot,
    tenths,
    true_course,
    turned,
)

DATA = Path(__file__).resolve().parents[2] / "sample_tracks" / "tarn_islands.dat"
HALF_DEG, HALF_NM = 0.055, 0.055
MEAN_RADIUS_FT = 6_371_009.0 / 0.3048


@pytest.fixture(name="data", scope="module")
def data_fixture() -> CodedFile:
    return read(DATA)


def test_courses_to_fixes_agree_with_where_they_come_from(data: CodedFile) -> None:
    checked = 0
    for part in data.parts():
        for before, leg in itertools.pairwise(part):
            if leg.path != "CF" or before.fix is None or before.path in ("FA", "FC", "FD", "FM", "VM"):
                continue
            assert leg.fix is not None
            distance, _, arriving = inverse(data.spots[before.fix], data.spots[leg.fix])
            assert turned(arriving, true_course(leg, part, data)) == pytest.approx(0, abs=HALF_DEG), leg.line
            assert leg.distance == pytest.approx(distance, abs=HALF_NM), leg.line
            checked += 1
    assert checked >= 9


def test_bearings_and_distances_from_stations(data: CodedFile) -> None:
    checked = 0
    for leg in data.legs:
        if leg.navaid is None or leg.fix is None or leg.rho is None:
            continue
        rho, theta, _ = inverse(data.spots[leg.navaid], data.spots[leg.fix])
        assert leg.rho == pytest.approx(rho, abs=HALF_NM), leg.line
        if rho > 0.01:
            assert turned(theta, leg.theta + data.variations[leg.navaid]) == pytest.approx(0, abs=HALF_DEG), leg.line
        checked += 1
    assert checked >= 30


def test_arcs_about_a_station_begin_and_end_on_it(data: CodedFile) -> None:
    arcs = [(part[i - 1], leg) for part in data.parts() for i, leg in enumerate(part) if leg.path == "AF"]

    assert [leg.text(44, 44) for _, leg in arcs] == ["L", "R"]
    for begin, leg in arcs:
        assert begin.fix is not None
        assert leg.fix is not None
        assert leg.navaid is not None
        centre = data.spots[leg.navaid]
        variation = data.variations[leg.navaid]
        began, begun_on, _ = inverse(centre, data.spots[begin.fix])
        ended, ended_on, _ = inverse(centre, data.spots[leg.fix])
        assert began == pytest.approx(leg.rho, abs=0.0005)
        assert ended == pytest.approx(leg.rho, abs=0.0005)
        assert turned(begun_on, leg.course + variation) == pytest.approx(0, abs=HALF_DEG)
        assert turned(ended_on, leg.theta + variation) == pytest.approx(0, abs=HALF_DEG)
        # the shorter way round is the coded one
        assert math.copysign(1, turned(begun_on, ended_on)) == (1 if leg.text(44, 44) == "R" else -1)


def test_the_turn_of_constant_radius_is_tangent_at_both_ends(data: CodedFile) -> None:
    start, begin, arc = data.of("XSKH H27-Z", "NORVI")
    runway = data.of("XSKH H27-Z", "")[1]
    assert start.fix
    assert begin.fix
    assert arc.fix
    assert arc.centre
    assert runway.fix
    centre, enters, leaves = (data.spots[key] for key in (arc.centre, begin.fix, arc.fix))
    variation = data.variations[of("XSKH", "PA")]
    to_begin, on_begin, _ = inverse(centre, enters)
    to_end, on_end, _ = inverse(centre, leaves)
    assert arc.text(44, 44) == "L"
    # positions to 0.01 seconds are 0.0002 NM
    assert to_begin == pytest.approx(arc.radius, abs=0.0005)
    assert to_end == pytest.approx(arc.radius, abs=0.0005)
    assert turned(on_begin - 90, inverse(data.spots[start.fix], enters)[2]) == pytest.approx(0, abs=0.05)
    assert turned(on_end - 90, inverse(leaves, data.spots[runway.fix])[1]) == pytest.approx(0, abs=0.05)
    assert turned(on_begin - 90, arc.theta + variation) == pytest.approx(0, abs=HALF_DEG)
    assert turned(on_end - 90, arc.course + variation) == pytest.approx(0, abs=HALF_DEG)
    swept = (on_begin - on_end) % 360
    assert arc.distance == pytest.approx(arc.radius * math.radians(swept), abs=HALF_NM)


def test_procedure_turns_are_coded_at_45_degrees_to_the_way_out(data: CodedFile) -> None:
    back = {"I27": "RW27", "L27": "RW27", "N27": "RW27", "V05": "RW05", "N23": "RW23"}
    seen = []
    for part in data.parts():
        for leg in part:
            if leg.path == "PI":
                ident = leg.text(14, 19).strip()
                assert leg.fix is not None
                runway = data.spots[of(back[ident], "PG", leg.text(7, 10))]
                outbound = inverse(data.spots[leg.fix], runway)[1] + 180
                side = {"L": 45, "R": -45}[leg.text(44, 44)]
                off = turned(outbound + side, true_course(leg, part, data))
                assert off == pytest.approx(0, abs=HALF_DEG), leg.line
                assert leg.distance == 10
                seen.append(ident)
    assert sorted(seen) == sorted(back)


def test_legs_that_end_open_find_what_ends_them(data: CodedFile) -> None:
    """Flown in still air along geodesics, from where the leg before ends."""
    spots = data.spots
    holma, ranga, skh = spots[of("HOLMA", "EA")], spots[of("RANGA", "EA")], spots[of("SKH", "D ")]
    tbn, brako = spots[of("TBN", "D ")], spots[of("BRAKO", "EA")]

    def meets(start: Spot, course: float, part: list[Coded], to: Coded) -> float:
        assert to.fix is not None
        end, along = spots[to.fix], true_course(to, part, data)
        met = first_at(start, course, lambda place: off_line(place, end, along)[0])
        assert met is not None
        return off_line(met, end, along)[1]

    _, _, out, intercept, final = ils = data.of("XSKH I27", "OSTRA")
    assert out.distance == 22
    start = ahead(skh, true_course(out, ils, data), 22)
    assert 2 < meets(start, true_course(intercept, ils, data), ils, final) < 8
    _, heading, final = ils = data.of("XSKH I27", "RANGA")
    assert inverse(ranga, holma)[0] > 12
    assert 1.5 < meets(ranga, true_course(heading, ils, data), ils, final) < 8

    leave = data.of("XTBN BRAKO1", "RW23")
    after_climb = ahead(spots[of("RW23", "PG", "XTBN")], true_course(leave[0], leave, data), 2.5)
    turn = first_at(after_climb, true_course(leave[1], leave, data), lambda p: inverse(tbn, p)[0] - 6)
    assert turn is not None
    assert leave[1].distance == 6
    assert 3 < meets(turn, true_course(leave[2], leave, data), leave, leave[3]) < inverse(tbn, brako)[0]

    missed = data.of("XSKH I27", "")
    away = first_at(ahead(spots[of("RW27", "PG", "XSKH")], 262.4, 2.5), 225, lambda p: inverse(skh, p)[0] - 5)
    assert away is not None
    assert missed[4].distance == 5

    missed = data.of("XSKH D09", "")
    radial = missed[3].theta + data.variations[of("TBN", "D ")]
    nessa = spots[of("NESSA", "PC", "XSKH")]
    crossed = first_at(nessa, true_course(missed[3], missed, data), lambda p: turned(radial, inverse(tbn, p)[1]), 15)
    assert crossed is not None
    leave = data.of("XSKH OSTRA1", "RW27")
    radial = leave[1].theta + data.variations[of("SKH", "D ")]
    climbed = ahead(spots[of("RW27", "PG", "XSKH")], 262.4, 3)
    crossed = first_at(climbed, true_course(leave[1], leave, data), lambda p: turned(radial, inverse(skh, p)[1]), 15)
    assert crossed is not None


def test_glidepath_altitudes_lie_on_the_path(data: CodedFile) -> None:
    """Straight in space: threshold, crossing height, distance by the tangent, and the earth's fall d²/2R."""

    def path(fix: NavFix, runway: NavFix, crossing_ft: float) -> float:
        d_ft = inverse(data.spots[fix], data.spots[runway])[0] * FT_PER_NM
        return crossing_ft + d_ft * math.tan(math.radians(3.0)) + d_ft**2 / (2 * MEAN_RADIUS_FT)

    facf, faf = data.of("XSKH I27", "")[:2]
    fernu, rw27 = of("FERNU", "PC", "XSKH"), of("RW27", "PG", "XSKH")
    assert int(faf.text(90, 94)) == pytest.approx(path(fernu, rw27, 88 + 50), abs=1)
    assert facf.text(83, 83) + facf.text(90, 94) == f"J{faf.text(90, 94)}"
    step_down = data.of("XSKH R09", "")[2]
    assert step_down.text(83, 83) == "V"
    assert int(step_down.text(90, 94)) == pytest.approx(
        path(of("KIRNU", "PC", "XSKH"), of("RW09", "PG", "XSKH"), 74 + 45), abs=1
    )
    windows = [leg for leg in data.legs if leg.text(83, 83) == "B"]
    assert windows
    assert all(int(leg.text(85, 89)) > int(leg.text(90, 94)) for leg in windows)


def test_coded_angles_lead_from_the_final_fix_to_the_missed_approach_point(data: CodedFile) -> None:
    """Within 0.15 degrees: altitudes at final approach fixes are whole hundreds."""
    checked = 0
    for part in data.parts():
        ends = [leg for leg in part if leg.text(43, 43) in ("F", "M")]
        if len(ends) == 2:
            faf, missed = ends
            assert faf.fix is not None
            assert missed.fix is not None
            run_ft = inverse(data.spots[faf.fix], data.spots[missed.fix])[0] * FT_PER_NM
            drop_ft = int(faf.text(85, 89)) - int(missed.text(85, 89)) - run_ft**2 / (2 * MEAN_RADIUS_FT)
            coded = -int(missed.text(103, 106)) / 100
            assert coded == pytest.approx(math.degrees(math.atan2(drop_ft, run_ft)), abs=0.15), missed.line
            checked += 1
    assert checked == 10


def test_runways_are_as_long_and_lie_as_coded(data: CodedFile) -> None:
    for home, pairs in {"XSKH": ("RW09", "RW27"), "XTBN": ("RW05", "RW23")}.items():
        for ident, other in (pairs, pairs[::-1]):
            (line,) = [text for text in data.section("PG") if columns(text, 7, 17) == f"{home}XTG{ident}"]
            here, there = data.spots[of(ident, "PG", home)], data.spots[of(other, "PG", home)]
            length, course, _ = inverse(here, there)
            coded = tenths(columns(line, 28, 31))
            assert coded is not None
            assert int(columns(line, 23, 27)) == pytest.approx(length * FT_PER_NM, abs=1.5)
            assert turned(course, coded + data.variations[of(home, "PA")]) == pytest.approx(0, abs=HALF_DEG)
            assert round(coded / 10) == int(ident[2:])


def test_path_points_are_consistent_with_their_runways(data: CodedFile) -> None:
    primary = [line for line in data.section("PP") if columns(line, 27, 27) == "1"]
    continued = [line for line in data.section("PP") if columns(line, 27, 27) == "2"]

    assert [columns(line, 14, 24).split() for line in primary] == [["R09", "RW09"], ["R27", "RW27"]]
    assert [columns(line, 28, 28) + columns(line, 47, 56).strip() for line in continued] == ["ELPV", "ELPV"]
    for line, other in zip(primary, ("RW27", "RW09"), strict=True):
        (runway,) = [text for text in data.section("PG") if columns(text, 14, 17) == columns(line, 20, 23)]
        threshold = data.spots[of(columns(line, 20, 23), "PG", "XSKH")]
        far_end = data.spots[of(other, "PG", "XSKH")]
        at = Spot(angle(columns(line, 38, 48)), angle(columns(line, 49, 60)))
        alignment = Spot(angle(columns(line, 71, 81)), angle(columns(line, 82, 93)))
        assert inverse(threshold, at)[0] * 1852 < 0.02
        length, course, _ = inverse(at, far_end)
        to_alignment, alignment_course, _ = inverse(at, alignment)
        assert turned(course, alignment_course) == pytest.approx(0, abs=0.01)
        assert to_alignment * 1852 == pytest.approx(length * 1852 + int(columns(line, 99, 102)), abs=0.5)
        assert columns(line, 61, 66) == columns(runway, 61, 66)
        assert int(columns(line, 67, 70)) == 300
        assert int(columns(line, 103, 108)) == 10 * int(columns(runway, 76, 77))
        assert columns(line, 109, 109) == "F"
        assert int(columns(line, 94, 98)) / 100 / 0.3048 == pytest.approx(350, abs=0.5)


def test_localizer_and_glide_slope_stand_where_they_serve_the_runway(data: CodedFile) -> None:
    (line,) = data.section("PI")
    threshold, antenna = data.spots[of("RW27", "PG", "XSKH")], data.spots[of("ISKH", "PI", "XSKH")]
    distance, course, _ = inverse(threshold, antenna)
    aside, inside = off_line(spot(line, 56), threshold, course)
    coded = tenths(columns(line, 52, 55))

    assert coded is not None
    assert turned(course, coded + data.variations[of("ISKH", "PI", "XSKH")]) == pytest.approx(0, abs=HALF_DEG)
    assert distance * FT_PER_NM == pytest.approx(5200 + int(columns(line, 75, 78)), abs=2)
    assert -inside * FT_PER_NM == pytest.approx(int(columns(line, 80, 83)), abs=2)
    assert abs(aside) * FT_PER_NM == pytest.approx(400, abs=2)
    assert int(columns(line, 80, 83)) * math.tan(math.radians(3.0)) == pytest.approx(50, abs=0.1)
    assert columns(line, 84, 90) == "0600300"


def test_airways_agree_with_their_fixes(data: CodedFile) -> None:
    lines = data.section("ER")
    for before, after in itertools.pairwise(lines):
        key = (columns(before, 30, 34).strip(), *enroute_place(before))
        following = (columns(after, 30, 34).strip(), *enroute_place(after))
        if columns(before, 41, 41) == "E":
            assert columns(before, 71, 78).strip() == ""
            assert columns(after, 79, 82).strip() == ""
            continue
        distance, out, arriving = inverse(data.spots[key], data.spots[following])
        stations = [end for end in (key, following) if end[2] == "D "] if columns(before, 45, 45) == "O" else []
        leaving = data.variations[stations[0] if stations else key]
        reaching = data.variations[stations[0] if stations else following]
        coded = [tenths(columns(line, first, first + 3)) for line, first in ((before, 71), (before, 75), (after, 79))]
        assert all(value is not None for value in coded)
        assert turned(out, (coded[0] or 0) + leaving) == pytest.approx(0, abs=HALF_DEG), before
        assert coded[1] == pytest.approx(distance, abs=HALF_NM), before
        assert turned(arriving, (coded[2] or 0) + reaching) == pytest.approx(0, abs=HALF_DEG), after
