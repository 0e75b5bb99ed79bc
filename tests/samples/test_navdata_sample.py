"""The invented navigation data: what it must hold, that it is read whole, and that lessons with it become plans."""

from __future__ import annotations

import csv
import datetime as dt
import json
import subprocess
import sys
import zlib
from pathlib import Path
from typing import get_args

import pytest
from pygeomag import GeoMag

import legwise
from builders.make_navdata import files
from builders.tarn.places import FIXES
from legwise.cli import main
from legwise.model.lesson import Lesson, PathTerminator
from legwise.model.navdata import ProcedureKind
from legwise.navdata import open_navdata
from legwise.plan import make_plan
from samples.coded_records import (
    CodedFile,
    columns,
    enroute_place,
    inverse,
    of,
    read,
    section_of,
)

ROOT = Path(__file__).resolve().parents[2]
DATA = ROOT / "sample_tracks" / "tarn_islands.dat"
LESSONS = ROOT / "tests" / "data" / "lessons"
TERMINATORS = set(get_args(PathTerminator))
SECTIONS = {"D ", "DB", "EA", "ER", "PA", "PC", "PD", "PE", "PF", "PG", "PI", "PN", "PP", "PS"}
NOT_FOR_NAVIGATION = "NOT FOR NAVIGATION"
AREA_NAVIGATION = "456RH"


@pytest.fixture(name="data", scope="module")
def data_fixture() -> CodedFile:
    return read(DATA)


def test_builder_gives_the_stored_bytes_again(tmp_path: Path) -> None:
    builder = ROOT / "tests" / "builders" / "make_navdata.py"
    subprocess.run([sys.executable, builder, "--out", tmp_path], check=True, cwd=tmp_path, stdout=subprocess.DEVNULL)
    written = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}

    assert written == {path.relative_to(ROOT): path.read_bytes() for path in files(ROOT)}


def test_records_are_whole_and_say_what_they_are(data: CodedFile) -> None:
    lines = [*data.header, *data.records]

    assert {len(line) for line in lines} == {132}
    assert [int(columns(line, 124, 128)) for line in data.records] == list(range(1, len(data.records) + 1))
    assert int(columns(data.header[0], 29, 35)) == len(data.records)
    assert columns(data.header[0], 125, 132) == f"{zlib.crc32(chr(10).join(data.records).encode()):08X}"
    assert NOT_FOR_NAVIGATION in data.header[0]
    assert any(line[5:].strip() == NOT_FOR_NAVIGATION for line in data.header)
    named = [line for name in ("PA", "D ", "DB", "PN") for line in data.section(name)]
    assert [line for line in named if NOT_FOR_NAVIGATION not in columns(line, 94, 123)] == []


def test_sections_paths_and_altitude_codes_are_all_there(data: CodedFile) -> None:
    assert {section_of(line) for line in data.records} == SECTIONS
    assert {leg.path for leg in data.legs} == TERMINATORS
    assert {leg.text(83, 83) for leg in data.legs} >= set(" @+-BCHJV")
    approaches = {leg.procedure for leg in data.legs if leg.line[12] == "F"}
    assert approaches == {f"XSKH {ident}" for ident in ("D09", "H27-Z", "I27", "L27", "N27", "R09", "R27")} | {
        f"XTBN {ident}" for ident in ("N23", "R05", "V05")
    }


def test_places_are_those_of_the_sample_flights(data: CodedFile) -> None:
    where = {key[0]: place for key, place in data.spots.items() if key[1] == "XT"}

    for ident, point in FIXES.items():
        assert where[ident].lat == pytest.approx(point.lat_deg, abs=0.0051 / 3600)
        assert where[ident].lon == pytest.approx(point.lon_deg, abs=0.0051 / 3600)


def test_variations_are_the_models_where_no_station_is_aligned(data: CodedFile) -> None:
    model = GeoMag(coefficients_file="wmm/WMM_2025.COF")

    for key, variation in data.variations.items():
        if key[1] == "XT" and key[2] != "D ":
            place = data.spots[key]
            declination = model.calculate(glat=place.lat, glon=place.lon, alt=0, time=2026.3).d
            # an aerodrome's stations and runways have the aerodrome's, a quarter of a degree at most from their own
            assert variation == pytest.approx(declination, abs=0.051 if key[2] in ("EA", "PC", "PA") else 0.25)
    assert data.variations[of("SKH", "D ")] == -9.0
    assert data.variations[of("TBN", "D ")] == -8.0


def test_every_fix_and_station_that_is_named_is_there_once(data: CodedFile) -> None:
    named = [key for leg in data.legs for key in (leg.fix, leg.navaid, leg.centre) if key is not None]
    named += [(columns(line, 30, 34).strip(), *enroute_place(line)) for line in data.section("ER")]

    assert [key for key in named if key not in data.spots] == []
    places = [line for line in data.records if section_of(line) in ("D ", "DB", "PN", "EA", "PC", "PA", "PG", "PI")]
    assert len(places) == len(data.spots)


def test_some_idents_stand_in_two_regions(data: CodedFile) -> None:
    regions: dict[str, set[str]] = {}
    for ident, region, _, _ in data.spots:
        regions.setdefault(ident, set()).add(region)

    assert {ident for ident, found in regions.items() if len(found) > 1} == {"NORVI", "TBN"}
    far = inverse(data.spots[of("NORVI", "EA")], data.spots[of("NORVI", "EA", region="XQ")])[0]
    assert far > 3000


def test_r27_is_the_approach_of_the_sample_flights(data: CodedFile) -> None:
    legs = data.of("XSKH R27", "HOLMA") + data.of("XSKH R27", "")[1:]

    told = [(leg.path, leg.text(30, 34).strip(), leg.text(83, 83), leg.text(85, 89)) for leg in legs]
    assert told == [
        ("IF", "HOLMA", "+", "03000"),
        ("TF", "FERNU", "+", "02000"),
        ("TF", "RW27", " ", "00138"),
        ("CF", "TOVIK", "+", "00900"),
        ("DF", "OSTRA", "+", "03000"),
    ]
    final = data.of("XSKH R27", "")
    assert [leg.text(43, 43) for leg in final] == ["F", "M", " ", " "]
    assert [leg.text(42, 42) for leg in final] == [" ", " ", "M", " "]
    assert [columns(line, 40, 73).split() for line in data.continuations if columns(line, 14, 16) == "R27"] == [
        ["WALPV", "ALNAV/VNAV", "ALNAV"]
    ]


def test_airways_cross_and_have_a_gap_and_a_one_way_stretch(data: CodedFile) -> None:
    lines = [line for line in data.section("ER") if columns(line, 2, 4) == "TRN"]
    fixes: dict[str, list[str]] = {}
    for line in lines:
        fixes.setdefault(columns(line, 14, 18).strip(), []).append(columns(line, 30, 34).strip())

    assert fixes["V7"] == ["TBN", "BRAKO", "PERLO", "CALDU", "OSTRA", "SKH"]
    assert fixes["V21"] == ["FAROL", "OSTRA", "NORVI", "RANGA", "HOLMA"]
    assert fixes["T12"] == ["VANDO", "CALDU", "NORVI", "SELKA", "RANGA"]
    ends = [columns(line, 30, 34) for line in lines if columns(line, 14, 16) == "V21" and columns(line, 41, 41) == "E"]
    assert ends == ["NORVI", "HOLMA"]
    assert [columns(line, 30, 34) for line in lines if columns(line, 47, 47) == "F"] == ["CALDU"]


def test_a_change_of_cycle_lies_between_the_sample_flights() -> None:
    summary = open_navdata(DATA).summary

    assert summary.cycle == "2604"
    assert (str(summary.effective_from), str(summary.effective_to)) == ("2026-04-16", "2026-05-13")


def test_the_reader_takes_every_record(data: CodedFile) -> None:
    found = open_navdata(DATA)

    assert found.summary.problems == ()
    assert found.summary.problem_count == 0
    assert sum(found.summary.counts.values()) == len(data.records)


def test_every_approach_by_every_way_in_becomes_a_plan() -> None:
    found = open_navdata(DATA)
    planned = []
    for airport in ("XSKH", "XTBN"):
        for ident in found.procedures(airport, ProcedureKind.APPROACH):
            procedure = found.procedure(airport, ident, ProcedureKind.APPROACH)
            assert procedure is not None
            for transition in (*procedure.transitions(), "vectors"):
                asked = {"airport": airport, "procedure": ident, "transition": transition}
                lesson = Lesson.model_validate({"approach": [asked]})
                (approach,) = make_plan(lesson, date=dt.date(2026, 4, 18), navdata=found).approaches
                assert approach.legs, asked
                assert approach.missed, asked
                assert approach.runway is not None, asked
                planned.append((ident, transition))

    assert len(planned) == 30


@pytest.mark.parametrize(
    ("name", "begun", "flown"),
    [
        ("coded_r27", ["RW05", "BRAKO", "PERLO", "CALDU", "NORVI", "SELKA", "VINDA"], ["HOLMA", "FERNU", "RW27"]),
        ("coded_arc", ["BRAKO", "PERLO", "CALDU", "VARBO"], ["VARBO", "ARVIK", "TORLO", "NESSA"]),
        ("coded_procedure_turn", ["SKH", "OSTRA", "CALDU", "PERLO", "BRAKO", "TBN"], ["TBN", "TBN", "RW05"]),
    ],
)
def test_lessons_become_plans(
    name: str, begun: list[str], flown: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", str(LESSONS / f"{name}.toml"), "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    (approach,) = plan["approaches"]
    to = [leg["to"] for leg in plan["route"]]

    assert [ident for ident in begun if ident not in [*to, plan["route"][0]["from"]]] == []
    assert [leg["to"] for leg in approach["legs"]] == flown


def test_the_list_of_fixes_has_the_positions_of_the_records(data: CodedFile) -> None:
    with (LESSONS / "tarn_fixes.csv").open(encoding="ascii", newline="") as file:
        rows = list(csv.DictReader(file))
    where = {key[0]: place for key, place in data.spots.items() if key[1] == "XT"}

    assert set(rows[0]) == {"ident", "lat_deg", "lon_deg", "kind"}
    for row in rows:
        assert float(row["lat_deg"]) == pytest.approx(where[row["ident"]].lat, abs=1e-7)
        assert float(row["lon_deg"]) == pytest.approx(where[row["ident"]].lon, abs=1e-7)
    lesson = legwise.read_lesson(LESSONS / "plain_fixes.toml")
    assert lesson.navdata.fixes == "tarn_fixes.csv"
    assert set((lesson.route.text or "").split()) <= {row["ident"] for row in rows}


@pytest.mark.parametrize("name", ["coded_r27", "coded_arc", "coded_procedure_turn"])
def test_lessons_name_what_the_data_holds(name: str, data: CodedFile) -> None:
    lesson = legwise.read_lesson(LESSONS / f"{name}.toml")
    (approach,) = lesson.approach

    assert lesson.navdata.arinc424 is not None
    assert (LESSONS / lesson.navdata.arinc424).resolve() == DATA
    assert approach.transition is not None
    assert data.of(f"{approach.airport} {approach.procedure}", approach.transition)
    assert data.of(f"{approach.airport} {approach.procedure}", "")
    idents = {key[0] for key in data.spots} | {columns(line, 14, 18).strip() for line in data.section("ER")}
    idents |= {leg.text(14, 19).strip() for leg in data.legs}
    assert lesson.route.text is not None
    assert set(lesson.route.text.split()) - idents <= {"N0110A050"}
