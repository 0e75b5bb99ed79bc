"""What stands in a field and what becomes of it: every altitude description, forms of values, what can't be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from legwise.model.navdata import CodedLeg, CodedProcedure, NavData, ProcedureKind, Section
from legwise.model.plan import AltitudeWindow
from legwise.navdata import open_navdata
from navdata.coded_lines import leg, record, waypoint, written


def approach_of(folder: Path, *lines: str) -> tuple[NavData, CodedProcedure]:
    data = open_navdata(written(folder, lines))
    found = data.procedure("XTBN", "R27", ProcedureKind.APPROACH)
    assert found is not None
    return data, found


def leg_with(folder: Path, fields: dict[int, str], path: str = "TF") -> CodedLeg:
    _data, found = approach_of(folder, leg(fields, path=path))
    assert found.problems == ()
    return found.parts[0].legs[0]


@pytest.mark.parametrize(
    ("code", "one", "two", "window"),
    [
        # The check values of the standards sheet, 11.3 (verified in public code that quotes field 5.29).
        ("B", "05000", "03000", AltitudeWindow(low_ft=3000, high_ft=5000)),
        ("+", "03000", "", AltitudeWindow(low_ft=3000)),
        ("C", "", "04000", AltitudeWindow(low_ft=4000)),
        ("J", "02500", "02478", AltitudeWindow(low_ft=2500, glidepath_ft=2478)),
        (" ", "01800", "", AltitudeWindow(low_ft=1800, high_ft=1800)),
        # The other codes of the same table.
        ("@", "01800", "", AltitudeWindow(low_ft=1800, high_ft=1800)),
        ("-", "05000", "", AltitudeWindow(high_ft=5000)),
        ("G", "02000", "01990", AltitudeWindow(low_ft=2000, high_ft=2000, glidepath_ft=1990)),
        ("H", "02000", "01990", AltitudeWindow(low_ft=2000, glidepath_ft=1990)),
        ("I", "02500", "02478", AltitudeWindow(low_ft=2500, high_ft=2500, glidepath_ft=2478)),
        ("V", "01200", "01310", AltitudeWindow(low_ft=1200, glidepath_ft=1310)),
        ("X", "01200", "01310", AltitudeWindow(low_ft=1200, high_ft=1200, glidepath_ft=1310)),
        ("Y", "01200", "01310", AltitudeWindow(high_ft=1200, glidepath_ft=1310)),
        # Forms of an altitude.
        ("+", "FL180", "", AltitudeWindow(low_ft=18000)),
        ("+", "UNKNN", "", None),
        ("+", "-0050", "", AltitudeWindow(low_ft=-50)),
        ("+", "00000", "", AltitudeWindow(low_ft=0)),
        (" ", "", "", None),
    ],
)
def test_altitude_descriptions(tmp_path: Path, code: str, one: str, two: str, window: AltitudeWindow | None) -> None:
    found = leg_with(tmp_path, {83: code, 85: f"{one:5}", 90: f"{two:5}"})

    assert found.altitude == window
    assert found.altitude_code == code.strip()


@pytest.mark.parametrize(
    ("fields", "name", "value"),
    [
        ({71: "0944"}, "course_deg", 94.4),
        ({71: "094T"}, "course_deg", 94.0),
        ({71: "3600"}, "course_deg", 360.0),
        ({75: "0066"}, "distance_nm", 6.6),
        ({75: "T010"}, "minutes", 1.0),
        ({75: "T015"}, "minutes", 1.5),
        ({45: "031"}, "rnp_nm", 0.3),
        ({45: "010"}, "rnp_nm", 1.0),
        ({45: "301"}, "rnp_nm", 3.0),
        ({45: "152"}, "rnp_nm", 0.15),
        ({57: "002300"}, "radius_nm", 2.3),
        ({63: "1311"}, "theta_deg", 131.1),
        ({67: "0160"}, "rho_nm", 16.0),
        ({103: "-300"}, "vertical_angle_deg", -3.0),
        ({103: " 000"}, "vertical_angle_deg", None),
        ({44: "L"}, "turn", "left"),
        ({44: "R"}, "turn", "right"),
        ({44: "E"}, "turn", None),
        ({100: "250"}, "speed_kt", 250.0),
        ({100: "250"}, "speed_limit", "at"),
        ({100: "250", 118: "-"}, "speed_limit", "max"),
        ({100: "250", 118: "+"}, "speed_limit", "min"),
        ({118: "-"}, "speed_limit", None),
        ({40: "EY"}, "fly_over", True),
        ({40: "EB"}, "fly_over", True),
        ({40: "EE"}, "fly_over", False),
        ({40: "E  A"}, "role", "IAF"),
        ({40: "E  C"}, "role", "IAF"),
        ({40: "E  D"}, "role", "IAF"),
        ({40: "E  B"}, "role", "IF"),
        ({40: "E  I"}, "role", "IF"),
        ({40: "E  F"}, "role", "FAF"),
        ({40: "E  M"}, "role", "MAP"),
        ({40: "E S "}, "role", "STEPDOWN"),
        ({40: "E A "}, "role", "STEPDOWN"),
        ({40: "E  H"}, "role", None),
    ],
)
def test_values_of_a_leg(tmp_path: Path, fields: dict[int, str], name: str, value: object) -> None:
    assert getattr(leg_with(tmp_path, fields), name) == value


def test_true_courses_are_said_to_be(tmp_path: Path) -> None:
    assert leg_with(tmp_path, {71: "094T"}).is_true is True
    assert leg_with(tmp_path, {71: "0940"}).is_true is False


@pytest.mark.parametrize(
    "path",
    ["IF", "TF", "CF", "DF", "RF", "AF", "CA", "CD", "CI", "CR", "FA", "FC", "FD", "FM", "VA", "VD", "VI", "VM", "VR",
     "PI", "HA", "HF", "HM"],
)  # fmt: skip
def test_all_23_path_terminators_are_known(tmp_path: Path, path: str) -> None:
    centre = {107: "CFXTA", 113: "XT", 115: "PC"}
    assert leg_with(tmp_path, centre, path=path).path == path


def test_centre_columns_are_a_centre_on_arcs_alone(tmp_path: Path) -> None:
    centre = {107: "RW27", 113: "XT", 115: "PG"}

    assert leg_with(tmp_path, centre, path="RF").centre is not None
    assert leg_with(tmp_path, centre, path="TF").centre is None


@pytest.mark.parametrize(
    ("declination", "variation_deg", "is_true"),
    [("W0101", -10.1, False), ("E0005", 0.5, False), ("T0000", None, True), ("G0000", None, False), ("", None, False)],
)
def test_station_declination(tmp_path: Path, declination: str, variation_deg: float | None, is_true: bool) -> None:
    line = record({
        5: "D", 14: "TRN", 20: "XT", 22: "0", 23: "11570", 28: "VDLW", 33: "N46300000", 42: "W028000000",
        75: declination,
    })  # fmt: skip
    (fix,) = open_navdata(written(tmp_path, [line])).fixes("TRN")

    assert (fix.variation_deg, fix.is_true) == (variation_deg, is_true)


def test_southern_and_eastern_halves(tmp_path: Path) -> None:
    (fix,) = open_navdata(written(tmp_path, [waypoint(lat="S46304428", lon="E028001476")])).fixes("BRAKO")

    assert fix.lat_deg == pytest.approx(-(46 + 30 / 60 + 44.28 / 3600), abs=1e-12)
    assert fix.lon_deg == pytest.approx(28 + 0 / 60 + 14.76 / 3600, abs=1e-12)


@pytest.mark.parametrize(
    ("lat", "lon", "words"),
    [
        ("N46604428", "W028001476", "lat (columns 33–41) “N46604428” lies beyond its range"),
        ("N46306028", "W028001476", "lies beyond its range"),
        ("N91304428", "W028001476", "lies beyond its range"),
        ("E46304428", "W028001476", "is no latitude"),
        ("N46304428", "N028001476", "is no longitude"),
        ("N4630 428", "W028001476", "is no such half of a position"),
        ("N46304428", "W181001476", "lies beyond its range"),
        ("         ", "W028001476", "lat (columns 33–41) is blank"),
    ],
)
def test_a_fix_without_a_sound_position_is_not_used_and_said_by_line(
    tmp_path: Path, lat: str, lon: str, words: str
) -> None:
    data = open_navdata(written(tmp_path, [waypoint("SKALI"), waypoint(lat=lat, lon=lon)]))

    assert data.fixes("BRAKO") == ()
    (problem,) = data.summary.problems
    assert problem.line == 2
    assert problem.message.startswith("record not used: ")
    assert words in problem.message


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({85: "12A45"}, "altitude 1 (columns 85–89) “12A45” is no altitude"),
        ({71: "3700"}, "is a direction above 360°"),
        ({63: "9999"}, "theta (columns 63–66) “9999” is a direction above 360°"),
        ({57: "000000"}, "radius (columns 57–62) “000000” is no radius"),
        ({57: "-02300"}, "radius (columns 57–62) “-02300” is no radius"),
        ({67: "99.9"}, "rho (columns 67–70) “99.9” is no whole number"),
        ({75: "X010"}, "length (columns 75–78) “X010” is no distance"),
        ({45: "3.0"}, "rnp (columns 45–47) “3.0”"),
        ({83: "Q", 85: "03000"}, "“Q” (column 83) is no altitude description"),
        ({100: "250", 118: "?"}, "“?” (column 118) is no speed limit description"),
        ({37: "UC"}, "“BRAKO” is named in section “UC”, where no fix stands"),
    ],
)
def test_a_value_that_cannot_be_read_is_left_out_and_said(tmp_path: Path, fields: dict[int, str], words: str) -> None:
    data, found = approach_of(tmp_path, leg(fields), leg(sequence="020"))

    assert len(found.parts[0].legs) == 2
    assert found.problems == data.summary.problems
    (problem,) = found.problems
    assert problem.line == 1
    assert words in problem.message
    assert problem.message.endswith("left out")


def test_a_leg_that_cannot_be_read_is_missing_and_its_procedure_says_so(tmp_path: Path) -> None:
    data, found = approach_of(tmp_path, leg(), leg(sequence="020", path="ZZ"), leg(sequence="030"))

    assert [one.sequence for one in found.parts[0].legs] == [10, 30]
    assert [(problem.line, problem.message) for problem in found.problems] == [
        (2, "record not used: “ZZ” (columns 48–49) is no path terminator")
    ]
    assert data.summary.problem_count == 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (waypoint() + "X", "133 columns where a record has 132"),
        (waypoint()[:40] + "\x07" + waypoint()[41:], "control characters"),
        ("Dear sir", "begins with “Dear ”"),
        ("SEURP", "cut short"),
        (record({5: "P", 7: "XTBNXT", 13: "C", 22: "0"}), "the waypoint has no ident"),
        (record({5: "P", 7: "XTBNXT", 13: "C", 14: "BRAKO", 22: "x"}), "“x” (column 22) is no continuation number"),
        (record({5: "D", 14: "TRN", 20: "XT", 22: "0", 28: "VDLW"}), "no position"),
    ],
)
def test_a_broken_line_is_named(tmp_path: Path, line: str, words: str) -> None:
    summary = open_navdata(written(tmp_path, [waypoint("SKALI"), "", line])).summary

    assert [problem.line for problem in summary.problems] == [3]
    assert words in summary.problems[0].message


def test_lines_trimmed_by_an_editor_and_every_line_end(tmp_path: Path) -> None:
    lines = [waypoint(), leg(), waypoint("SKALI")]
    trimmed = [line[:100].rstrip() for line in lines]
    expected = open_navdata(written(tmp_path, lines))
    for name, end in (("lf", "\n"), ("crlf", "\r\n"), ("cr", "\r")):
        data = open_navdata(written(tmp_path, trimmed, name=name, end=end))
        assert data.summary.problems == ()
        assert [(fix.lat_deg, fix.line) for fix in data.fixes("SKALI")] == [
            (fix.lat_deg, fix.line) for fix in expected.fixes("SKALI")
        ]
        assert data.procedure("XTBN", "R27", ProcedureKind.APPROACH) == expected.procedure(
            "XTBN", "R27", ProcedureKind.APPROACH
        )


def test_problems_are_all_counted_and_the_first_thousand_kept(tmp_path: Path) -> None:
    summary = open_navdata(written(tmp_path, [waypoint(), *["rubbish"] * 2500])).summary

    assert summary.problem_count == 2500
    assert len(summary.problems) == 1000
    assert summary.problems[0].line == 2


def test_other_sections_are_counted(tmp_path: Path) -> None:
    data = open_navdata(written(tmp_path, [waypoint(), record({5: "UC"}), record({5: "AS"}), record({5: "AS"})]))

    assert data.summary.counts == {"AS": 2, "PC": 1, "UC": 1}
    assert data.summary.notes == ()
    assert data.summary.problems == ()


def test_one_ident_at_several_places_gives_them_all(tmp_path: Path) -> None:
    same = waypoint()
    data = open_navdata(
        written(
            tmp_path,
            [
                same,
                waypoint(lat="N47000000").replace("XTBNXT", "XSKHXT"),
                record({5: "EA", 7: "ENRT", 14: "BRAKO", 20: "XS", 22: "0", 33: "N50000000", 42: "W028000000"}),
                same[:123] + "99999" + same[128:],
            ],
        )
    )

    assert [(fix.key.section, fix.key.airport, fix.line) for fix in data.fixes("BRAKO")] == [
        (Section.TERMINAL_WAYPOINT, "XTBN", 1), (Section.TERMINAL_WAYPOINT, "XSKH", 2), (Section.WAYPOINT, "", 3),
    ]  # fmt: skip


def test_an_airport_and_a_runway_by_true_north(tmp_path: Path) -> None:
    place = {33: "N78150000", 42: "E015280000"}
    data = open_navdata(
        written(
            tmp_path,
            [
                record(
                    {5: "P", 7: "XSKHXT", 13: "A", 22: "0", **place, 52: "E0080", 57: "00094", 71: "     ", 86: "T"}
                ),
                record({5: "P", 7: "XSKHXT", 13: "G", 14: "RW10", 22: "0", 28: "097T", **place}),
                record({5: "P", 7: "XSKHXT", 13: "I", 14: "ITSK", 22: "0", 52: "097T", **place, 91: "T0000"}),
            ],
        )
    )
    airport, runway, localizer = data.airport("XSKH"), data.runway("XSKH", "RW10"), data.localizer("XSKH", "ITSK")

    assert airport is not None
    assert (airport.fix.is_true, airport.fix.variation_deg, airport.transition_altitude_ft) == (True, 8.0, None)
    assert runway is not None
    assert (runway.is_true, runway.course_deg, runway.length_ft) == (True, 97.0, None)
    assert localizer is not None
    assert (localizer.is_true, localizer.course_deg, localizer.fix.is_true) == (True, 97.0, True)


@pytest.mark.parametrize(
    ("coded", "feet"),
    # Tenths of a foot (seen: 000350F beside a runway's 35 ft), hundredths of a metre (from memory): 10.7 m is 35.1 ft.
    [("000350F", 35.0), ("001070M", 35.105), ("", None)],
)
def test_crossing_height_of_a_path_point(tmp_path: Path, coded: str, feet: float | None) -> None:
    line = record({
        5: "P", 7: "XTBNXT", 13: "P", 14: "R27", 20: "RW27", 25: "00", 27: "0", 38: "N4630442800", 49: "W02800147600",
        61: "+00521", 67: "0300", 71: "N4630442800", 82: "W02803147600", 94: "10675", 99: "0000", 103: coded,
    })  # fmt: skip
    point = open_navdata(written(tmp_path, [line])).path_point("XTBN", "R27")

    assert point is not None
    assert point.threshold_crossing_height_ft == (None if feet is None else pytest.approx(feet, abs=0.001))
    assert point.threshold_ellipsoid_m == 52.1


def test_a_radius_that_contradicts_its_circle_arrives_as_coded(tmp_path: Path) -> None:
    # Whether it agrees with where its fixes stand is asked where they are resolved: here nothing is mended.
    line = leg({57: "009999", 67: "0120", 63: "0900", 107: "SKALI", 113: "XT", 115: "PC"}, path="RF")
    _data, found = approach_of(tmp_path, line)
    (coded,) = found.parts[0].legs

    assert (coded.radius_nm, coded.rho_nm, coded.theta_deg) == (9.999, 12.0, 90.0)
    assert found.problems == ()
