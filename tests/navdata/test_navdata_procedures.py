"""Records put together: parts, missed approaches, continuations by key, repeated records, airways in stretches."""

from __future__ import annotations

from pathlib import Path

import pytest

from legwise.model.navdata import CodedAirway, CodedProcedure, NavData, ProcedureKind
from legwise.navdata import open_navdata
from navdata.coded_lines import airway, en_route, leg, record, waypoint, written


def approach_of(folder: Path, *lines: str) -> CodedProcedure:
    found = open_navdata(written(folder, lines)).procedure("XTBN", "R27", ProcedureKind.APPROACH)
    assert found is not None
    return found


def levels(text: str, *, sequence: str = "020", route_type: str = "R", application: str = "W") -> str:
    return leg({20: route_type, 39: "2", 40: f"{application}{text:33}"}, sequence=sequence, path="  ")


def test_legs_stand_by_sequence_whatever_their_order_in_the_file(tmp_path: Path) -> None:
    found = approach_of(tmp_path, leg(sequence="030"), leg(sequence="010", path="IF"), leg(sequence="021"))

    assert [one.sequence for one in found.parts[0].legs] == [10, 21, 30]


def test_a_continuation_attaches_by_key_wherever_it_stands(tmp_path: Path) -> None:
    found = approach_of(
        tmp_path,
        levels("ALPV       ALNAV/VNAV ALNAV      "),
        waypoint(),
        leg({39: "1"}, sequence="020"),
        leg(sequence="030"),
    )

    assert found.levels == ("LPV", "LNAV/VNAV", "LNAV")
    assert [one.sequence for one in found.parts[0].legs] == [20, 30]
    assert found.problems == ()


def test_levels_not_authorised_are_none(tmp_path: Path) -> None:
    found = approach_of(tmp_path, leg({39: "1"}, sequence="020"), levels("ALP        N          ALNAV      "))

    assert found.levels == ("LP", "LNAV")


def test_another_application_is_no_level(tmp_path: Path) -> None:
    found = approach_of(
        tmp_path, leg({39: "1"}, sequence="020"), levels("ALPV       ALNAV/VNAV ALNAV      ", application="E")
    )

    assert found.levels == ()


@pytest.mark.parametrize("wrong", [{"sequence": "040"}, {"route_type": "H"}])
def test_a_continuation_of_nothing_is_a_problem(tmp_path: Path, wrong: dict[str, str]) -> None:
    found = approach_of(tmp_path, leg(sequence="020"), levels("ALPV       N          N          ", **wrong))

    assert found.levels == ()
    assert [problem.line for problem in found.problems] == [2]
    assert "continues no leg" in found.problems[0].message


def test_a_repeated_record_counts_once_and_another_of_its_number_is_a_problem(tmp_path: Path) -> None:
    again = leg(sequence="020")
    found = approach_of(tmp_path, again, again, leg({30: "SKALI"}, sequence="020"))

    assert [one.line for one in found.parts[0].legs] == [1]
    assert [(problem.line, problem.message) for problem in found.problems] == [
        (3, "record not used: repeats sequence number 020 of line 1")
    ]


def test_missed_approach_from_its_mark_on(tmp_path: Path) -> None:
    found = approach_of(
        tmp_path,
        leg({40: "E  F"}, sequence="010"),
        leg({40: "EY M"}, sequence="020"),
        leg({40: "E   "}, sequence="030"),
        leg({40: "E M "}, sequence="040"),
        leg({40: "EE  "}, sequence="050"),
    )

    assert [one.is_missed for one in found.parts[0].legs] == [False, False, False, True, True]


def test_missed_approach_after_its_point_where_no_leg_is_marked(tmp_path: Path) -> None:
    found = approach_of(tmp_path, leg(sequence="010"), leg({40: "EY M"}, sequence="020"), leg(sequence="030"))

    assert [one.is_missed for one in found.parts[0].legs] == [False, False, True]


def test_a_missed_approach_coded_apart_joins_its_final(tmp_path: Path) -> None:
    found = approach_of(tmp_path, leg(sequence="010"), leg({20: "Z"}, sequence="010"), leg({20: "Z"}, sequence="020"))

    (final,) = found.parts
    assert [(one.sequence, one.is_missed) for one in final.legs] == [(10, False), (10, True), (20, True)]
    assert found.route_type == "R"


@pytest.mark.parametrize(
    ("ident", "runway"),
    [
        ("I15", "RW15"), ("H22LZ", "RW22L"), ("R33-Z", "RW33"), ("S13L", "RW13L"), ("VDM-A", ""), ("R027", ""),
        ("VOR-A", ""), ("R99", ""),
    ],
)  # fmt: skip
def test_the_runway_of_an_approach_stands_in_its_ident(tmp_path: Path, ident: str, runway: str) -> None:
    data = open_navdata(written(tmp_path, [leg({14: f"{ident:6}"})]))
    found = data.procedure("XTBN", ident, ProcedureKind.APPROACH)

    assert found is not None
    assert found.runway == runway


def departure(route_type: str, transition: str, letter: str = "D") -> str:
    return leg({13: letter, 14: "TARN1 ", 20: route_type, 21: f"{transition:5}"})


@pytest.mark.parametrize(
    ("letter", "kind", "places"),
    [
        # Route types of field 5.7, as a public list of the standard's codes has them.
        ("D", ProcedureKind.DEPARTURE, {
            "1": "runway", "2": "common", "3": "fix", "4": "runway", "5": "common", "6": "fix", "F": "runway",
            "M": "common", "S": "fix", "T": "runway", "V": "fix", "0": "runway",
        }),
        ("E", ProcedureKind.ARRIVAL, {
            "1": "fix", "2": "common", "3": "runway", "4": "fix", "5": "common", "6": "runway", "7": "fix",
            "8": "common", "9": "runway", "F": "fix", "M": "common", "S": "runway",
        }),
        ("F", ProcedureKind.APPROACH, dict.fromkeys("BDFGHIJLMNPQRSTUVWXY", "final") | {"A": "fix"}),
    ],
)  # fmt: skip
def test_route_types(tmp_path: Path, letter: str, kind: ProcedureKind, places: dict[str, str]) -> None:
    for route_type, place in places.items():
        data = open_navdata(written(tmp_path, [departure(route_type, "RW27", letter)]))
        found = data.procedure("XTBN", "TARN1", kind)
        assert found is not None
        assert [part.place for part in found.parts] == [place], route_type


def test_an_engine_out_departure_stands_last(tmp_path: Path) -> None:
    data = open_navdata(written(tmp_path, [departure("0", "RW27"), departure("4", "RW27"), departure("5", "")]))
    found = data.procedure("XTBN", "TARN1", ProcedureKind.DEPARTURE)

    assert found is not None
    assert [part.route_type for part in found.parts] == ["4", "5", "0"]
    assert found.route_type == "5"


def test_an_unknown_route_type_is_a_problem(tmp_path: Path) -> None:
    data = open_navdata(written(tmp_path, [departure("4", "RW27"), departure("Q", "RW09")]))
    found = data.procedure("XTBN", "TARN1", ProcedureKind.DEPARTURE)

    assert found is not None
    assert len(found.parts) == 1
    assert "“Q” (column 20) is no route type" in found.problems[0].message


def tarn_airways(folder: Path, *lines: str) -> tuple[NavData, list[list[str]]]:
    fixes = [en_route(name, f"N46{minute:02}0000", "W028000000") for name, minute in
             (("ALFAA", 0), ("BRAVV", 10), ("CHARL", 20), ("DELTT", 30))]  # fmt: skip
    data = open_navdata(written(folder, [*fixes, *lines]))
    return data, [[point.fix.ident for point in stretch.points] for stretch in data.airways("Y1")]


def test_neighbours_by_number_are_joined(tmp_path: Path) -> None:
    _data, stretches = tarn_airways(
        tmp_path, airway("Y1", "0120", "CHARL"), airway("Y1", "0100", "ALFAA"), airway("Y1", "0110", "BRAVV")
    )

    assert stretches == [["ALFAA", "BRAVV", "CHARL"]]


def test_a_segment_ends_where_it_is_coded(tmp_path: Path) -> None:
    data, stretches = tarn_airways(
        tmp_path,
        airway("Y1", "0100", "ALFAA"),
        airway("Y1", "0110", "BRAVV", {40: "EE"}),
        airway("Y1", "0120", "CHARL"),
        airway("Y1", "0130", "DELTT"),
    )

    assert stretches == [["ALFAA", "BRAVV"], ["CHARL", "DELTT"]]
    assert [[point.ends_segment for point in stretch.points] for stretch in data.airways("Y1")] == [[False, True]] * 2


def test_a_missing_number_is_a_gap_unless_the_coded_distance_says_otherwise(tmp_path: Path) -> None:
    # 10 minutes of latitude are 10.0 NM here: at 46 degrees a minute of the meridian is 1852.2 m (closed form, WGS 84).
    _data, near = tarn_airways(tmp_path, airway("Y1", "0100", "ALFAA", {75: "0100"}), airway("Y1", "0130", "BRAVV"))
    _data, far = tarn_airways(tmp_path, airway("Y1", "0100", "ALFAA", {75: "0060"}), airway("Y1", "0130", "BRAVV"))
    _data, silent = tarn_airways(tmp_path, airway("Y1", "0100", "ALFAA"), airway("Y1", "0130", "BRAVV"))

    assert near == [["ALFAA", "BRAVV"]]
    assert far == silent == [["ALFAA"], ["BRAVV"]]


def test_a_broken_point_is_a_gap(tmp_path: Path) -> None:
    data, stretches = tarn_airways(
        tmp_path,
        airway("Y1", "0100", "ALFAA", {75: "0100"}),
        airway("Y1", "011X", "BRAVV"),
        airway("Y1", "0120", "CHARL"),
    )

    assert stretches == [["ALFAA"], ["CHARL"]]
    assert [problem.line for problem in data.summary.problems] == [6]


def test_airways_of_one_name_in_two_areas_are_two(tmp_path: Path) -> None:
    _data, stretches = tarn_airways(
        tmp_path,
        airway("Y1", "0100", "ALFAA"), airway("Y1", "0100", "CHARL", {2: "AFR"}),
        airway("Y1", "0110", "BRAVV"), airway("Y1", "0110", "DELTT", {2: "AFR"}),
    )  # fmt: skip

    assert stretches == [["ALFAA", "BRAVV"], ["CHARL", "DELTT"]]


def test_direction_and_altitudes_of_an_airway(tmp_path: Path) -> None:
    data, _stretches = tarn_airways(
        tmp_path,
        airway("Y1", "0100", "ALFAA", {47: "F", 84: "FL100", 94: "FL245"}),
        airway("Y1", "0110", "BRAVV", {47: "B", 84: "UNKNN", 94: "UNLTD"}),
        airway("Y1", "0120", "CHARL", {84: "03500"}),
    )
    (stretch,) = data.airways("Y1")

    assert isinstance(stretch, CodedAirway)
    assert [point.direction for point in stretch.points] == ["forward", "backward", None]
    assert [(point.minimum_ft, point.maximum_ft) for point in stretch.points] == [
        (10000.0, 24500.0), (None, None), (3500.0, None),
    ]  # fmt: skip


def test_a_dme_of_an_ils_is_meant_only_where_no_other_station_has_its_ident(tmp_path: Path) -> None:
    dme = {5: "D", 14: "ITBN", 20: "XT", 22: "0", 23: "11030", 28: " I", 56: "N46300000", 65: "W028000000"}
    here, there = record({**dme, 7: "XTBNXT"}), record({**dme, 7: "XSKHXT", 56: "N47000000"})
    one = open_navdata(written(tmp_path, [here]))
    two = open_navdata(written(tmp_path, [here, there]))
    (fix,) = one.fixes("ITBN")
    blank = type(fix.key)(ident="ITBN", region="XT", section=fix.key.section)

    assert one.fix(blank) == fix
    assert two.fix(blank) is None
    assert two.fix(fix.key) == fix
