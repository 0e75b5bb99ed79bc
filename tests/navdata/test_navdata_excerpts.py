"""The real excerpts, read as their notes count them: records, path terminators, altitude codes, continuations."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from legwise.model.navdata import CodedLeg, CodedProcedure, NavData, ProcedureKind
from legwise.navdata import open_navdata
from navdata.coded_lines import EVERY_EXCERPT, EXCERPTS, excerpt

# Counted over the raw columns 5, 6 and 13; those of KCHS and the en-route file stand in the notes of the collection,
# but for one waypoint (of 434) that the copy here leaves out.
COUNTS = {
    "2101_KCHS": {
        "PA": 1, "PC": 101, "PD": 82, "PE": 78, "PF": 288, "PG": 4, "PI": 2, "PN": 1, "PP": 8, "PS": 5,
    },
    "2101_KCRG": {"PA": 1, "PC": 12, "PE": 17, "PF": 51, "PG": 4, "PI": 1, "PP": 4, "PS": 3},
    "2101_KISO": {"PA": 1, "PC": 8, "PF": 54, "PG": 2, "PI": 1, "PN": 1, "PP": 4, "PS": 1},
    "2101_KHTO": {"PA": 1, "PC": 9, "PF": 63, "PG": 4, "PP": 8, "PS": 2},
    "2101_PHTO": {"PA": 1, "PC": 11, "PD": 12, "PF": 49, "PG": 4, "PI": 1, "PS": 3},
    "2101_KPVD": {"PA": 1, "PC": 38, "PF": 177, "PG": 4, "PI": 3, "PP": 6, "PS": 5},
    "2101_KJFK": {"PA": 1, "PC": 68, "PD": 17, "PE": 44, "PF": 329, "PG": 8, "PI": 7, "PP": 12, "PS": 10},
    "2101_selected": {"PA": 7, "PC": 159, "PD": 179, "PE": 332, "PF": 272, "PG": 29, "PI": 10, "PN": 1},
    "2101_enroute": {"D ": 178, "DB": 28, "EA": 433, "ER": 460, "PN": 10},
    "2003_KHWD": {"PA": 1, "PC": 16, "PE": 33, "PF": 38, "PG": 4, "PI": 1, "PP": 2, "PS": 2},
    "2609_KBTV": {"D ": 3, "EA": 1, "PA": 1, "PC": 28, "PF": 113, "PG": 4, "PI": 2, "PP": 6, "PS": 1},
    "2609_KSBA": {"D ": 4, "EA": 1, "PC": 11, "PD": 14, "PE": 14, "PG": 1},
    "2026_CI": {"PA": 2, "PD": 18, "PF": 28, "PG": 8},
    "1909_KROA": {"PF": 1},
}  # fmt: skip
# Primary records, as the notes of the collection tell them; HA and FD were not found anywhere.
PATHS = {
    "TF": 941, "IF": 462, "CF": 254, "HM": 103, "CA": 94, "DF": 90, "HF": 53, "VI": 53, "VA": 38, "RF": 37, "VM": 33,
    "PI": 23, "FC": 22, "AF": 21, "FM": 16, "CI": 5, "FA": 3, "VR": 3, "CD": 2, "VD": 2, "CR": 1,
}  # fmt: skip


def procedures_of(data: NavData, path: Path) -> Iterator[CodedProcedure]:
    """Every procedure that a raw line names."""
    named = {
        (line[6:10].strip(), line[13:19].strip(), line[12])
        for line in path.read_text(encoding="latin-1").splitlines()
        if line[4] == "P" and line[12] in "DEF" and line[5] == " "
    }
    kinds = {"D": ProcedureKind.DEPARTURE, "E": ProcedureKind.ARRIVAL, "F": ProcedureKind.APPROACH}
    for airport, ident, letter in sorted(named):
        found = data.procedure(airport, ident, kinds[letter])
        assert found is not None, (airport, ident)
        assert ident in data.procedures(airport, kinds[letter])
        yield found


def legs_of(procedure: CodedProcedure) -> list[CodedLeg]:
    return [leg for part in procedure.parts for leg in part.legs]


@pytest.fixture(name="legs", scope="module")
def legs_fixture() -> list[CodedLeg]:
    return [
        leg
        for name in EVERY_EXCERPT
        for procedure in procedures_of(open_navdata(EXCERPTS / name), EXCERPTS / name)
        for leg in legs_of(procedure)
    ]


def test_every_excerpt_has_its_counts() -> None:
    assert len(COUNTS) == len(EVERY_EXCERPT)


@pytest.mark.parametrize("name", COUNTS)
def test_records_are_counted_by_section_and_none_is_broken(name: str) -> None:
    summary = open_navdata(excerpt(name)).summary

    assert summary.counts == COUNTS[name]
    assert (summary.problem_count, summary.problems) == (0, ())


def test_path_terminators_are_as_many_as_counted(legs: list[CodedLeg]) -> None:
    assert Counter(leg.path for leg in legs) == PATHS


def test_altitude_descriptions_are_as_many_as_counted(legs: list[CodedLeg]) -> None:
    # Column 83 of the primary records, counted over the raw lines.
    assert Counter(leg.altitude_code for leg in legs) == {
        "": 978, "+": 1093, "-": 31, "B": 86, "H": 23, "J": 23, "V": 22,
    }  # fmt: skip


def test_performance_and_turns_are_as_many_as_counted(legs: list[CodedLeg]) -> None:
    # Columns 45-47 (031 is 0.3) and 44 of the primary records; the raw count also has the 47 continuations, all blank.
    assert Counter(leg.rnp_nm for leg in legs) == {None: 1804 - 47, 1.0: 387, 2.0: 19, 0.3: 80, 0.5: 12, 0.8: 1}
    assert Counter(leg.turn for leg in legs)["left"] == 152
    assert Counter(leg.turn for leg in legs)["right"] == 162


def test_continuations_give_levels_and_never_legs() -> None:
    raw = [
        line
        for name in EVERY_EXCERPT
        for line in (EXCERPTS / name).read_text(encoding="latin-1").splitlines()
        if line[4] == "P" and line[12] == "F" and line[38] == "2"
    ]
    levels = Counter(
        procedure.levels
        for name in EVERY_EXCERPT
        for procedure in procedures_of(open_navdata(EXCERPTS / name), EXCERPTS / name)
        if procedure.levels
    )

    assert len(raw) == 47
    assert sum(line[40] == "A" or line[51] == "A" or line[62] == "A" for line in raw) == sum(levels.values())
    assert levels[("LPV", "LNAV/VNAV", "LNAV")] == sum("ALPV       ALNAV/VNAV ALNAV" in line for line in raw)
    assert levels[("LP", "LNAV")] == sum("ALP        N          ALNAV" in line for line in raw)


def test_every_final_has_its_missed_approach_where_it_is_marked() -> None:
    # Column 42 M is the first leg of the missed approach.
    for name in EVERY_EXCERPT:
        raw = (EXCERPTS / name).read_text(encoding="latin-1").splitlines()
        for procedure in procedures_of(open_navdata(EXCERPTS / name), EXCERPTS / name):
            for part in procedure.parts:
                marked = [leg.line for leg in part.legs if raw[leg.line - 1][41] == "M"]
                missed = [leg.line for leg in part.legs if leg.is_missed]
                assert missed[:1] == marked[:1], (name, procedure.ident)
                assert missed == [leg.line for leg in part.legs if marked and leg.line >= marked[0]]


def test_parts_stand_where_their_route_types_say() -> None:
    data = open_navdata(excerpt("2609_KSBA"))
    departure = data.procedure("KSBA", data.procedures("KSBA", ProcedureKind.DEPARTURE)[0], ProcedureKind.DEPARTURE)
    arrival = data.procedure("KSBA", data.procedures("KSBA", ProcedureKind.ARRIVAL)[0], ProcedureKind.ARRIVAL)

    assert departure is not None
    assert arrival is not None
    assert {(part.route_type, part.place) for part in departure.parts} <= {
        ("4", "runway"), ("5", "common"), ("6", "fix"), ("T", "runway"), ("1", "runway"), ("2", "common"), ("3", "fix"),
    }  # fmt: skip
    assert {(part.route_type, part.place) for part in arrival.parts} <= {
        ("4", "fix"), ("5", "common"), ("6", "runway"), ("1", "fix"), ("2", "common"), ("3", "runway"),
    }  # fmt: skip
