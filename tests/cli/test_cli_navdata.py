"""Navigation data by the lesson and by --navdata, and an approach by --approach, with the invented Tarn Islands."""

from __future__ import annotations

import json
import pathlib
import shutil
from collections.abc import Callable
from typing import Any

import pytest

Run = Callable[..., Any]

SAMPLES = pathlib.Path(__file__).parents[2] / "sample_tracks"
TARN = SAMPLES / "tarn_islands.dat"
TRACK = SAMPLES / "clean_lpv" / "track.csv"
LESSON = """[lesson]
date = 2026-04-18

[altimetry]
qnh_hpa = 1016

[navdata]
arinc424 = "data/tarn.dat"

[route]
text = "XTBN BRAKO V7 CALDU DCT HOLMA XSKH"
altitude_ft = 5000
"""
BY_PROCEDURE = """
[[approach]]
airport = "XSKH"
procedure = "R27"
transition = "HOLMA"
minima = { da_ft = 612 }
"""


@pytest.fixture(name="lesson")
def lesson_fixture(tmp_path: pathlib.Path) -> Callable[[str], pathlib.Path]:
    """A lesson file in a folder of its own, the navigation data beside it."""
    folder = tmp_path / "lessons"
    (folder / "data").mkdir(parents=True)
    shutil.copy(TARN, folder / "data" / "tarn.dat")

    def write(text: str) -> pathlib.Path:
        path = folder / "lesson.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def document(folder: pathlib.Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "debrief.json").read_text(encoding="utf-8"))
    return found


def planned(done: Any) -> dict[str, Any]:
    assert done.status == 0, done.err
    found: dict[str, Any] = json.loads(done.out)
    return found


def test_a_lessons_navigation_data_are_found_from_its_folder(
    legwise: Run, lesson: Callable[[str], pathlib.Path]
) -> None:
    plan = planned(legwise("plan", lesson(LESSON + BY_PROCEDURE), "--json"))

    assert [leg["to"] for leg in plan["route"]] == ["BRAKO", "PERLO", "CALDU", "HOLMA"]
    assert [leg["to"] for leg in plan["approaches"][0]["legs"]] == ["HOLMA", "FERNU", "RW27"]
    notes = "\n".join(plan["notes"])
    assert "On 2026-04-18 the navigation data tarn.dat (cycle 2604, 2026-04-16 to 2026-05-13) were in force." in notes
    assert "From HOLMA on the approach (RNAV (GPS) RWY 27) is owed, not the route to XSKH." in notes


def test_an_old_cycle_is_told(legwise: Run, lesson: Callable[[str], pathlib.Path]) -> None:
    plan = planned(legwise("plan", lesson(LESSON.replace("2026-04-18", "2026-06-18")), "--json"))

    assert any("had been out of date for 36 days" in note for note in plan["notes"])


def test_a_list_of_fixes_beside_the_navigation_data(legwise: Run, lesson: Callable[[str], pathlib.Path]) -> None:
    path = lesson(LESSON.replace("[navdata]\n", '[navdata]\nfixes = "own.csv"\n').replace("DCT HOLMA", "ZEBRA HOLMA"))
    (path.parent / "own.csv").write_text("ident,lat_deg,lon_deg,kind\nZEBRA,46.7,-27.1,waypoint\n", encoding="utf-8")

    plan = planned(legwise("plan", path, "--json"))

    assert [leg["to"] for leg in plan["route"]] == ["BRAKO", "PERLO", "CALDU", "ZEBRA", "HOLMA", "XSKH"]


def test_one_ident_at_two_places_of_a_list(legwise: Run, lesson: Callable[[str], pathlib.Path]) -> None:
    path = lesson('[navdata]\nfixes = "own.csv"\n[route]\ntext = "ZEBRA 46N027W"\n')
    (path.parent / "own.csv").write_text(
        "ident,lat_deg,lon_deg\nZEBRA,46.7,-27.1\nZEBRA,47.7,-27.1\n", encoding="utf-8"
    )

    done = legwise("plan", path)

    assert done.status == 2
    assert "the fix ZEBRA stands at 2 places in the list of fixes" in done.err


@pytest.mark.parametrize(
    ("key", "file", "named"),
    [
        ("arinc424", "gone.dat", "gone.dat"),
        ("fixes", "gone.csv", "gone.csv"),
        ("arinc424", "lesson.toml", "lesson.toml"),
    ],
)
def test_navigation_data_that_can_not_be_used_end_it_early(
    legwise: Run, lesson: Callable[[str], pathlib.Path], key: str, file: str, named: str
) -> None:
    done = legwise("debrief", TRACK, "--lesson", lesson(f'[navdata]\n{key} = "{file}"\n'))

    assert done.status == 2
    assert f"lesson.toml, line 2, [navdata] {key}: " in done.err
    assert named in done.err
    assert len(done.err.splitlines()) <= 10


def test_a_debrief_with_no_lesson_by_route_approach_and_navigation_data(legwise: Run, tmp_path: pathlib.Path) -> None:
    done = legwise(
        "debrief", TRACK, "--navdata", TARN, "--route", "XTBN BRAKO V7 CALDU NORVI SELKA HOLMA XSKH",
        "--approach", "XSKH/R27.HOLMA", "--out", "out",
    )  # fmt: skip

    assert done.status == 0, done.err
    made = document(tmp_path / "out")
    assert made["plan"]["source"] == "--route"
    (approach,) = made["approaches"]
    assert (approach["airport"], approach["procedure"], approach["runway"], approach["outcome"]) == (
        "XSKH", "R27", "RW27", "landed",
    )  # fmt: skip
    assert [leg["to"] for leg in made["legs"]][:3] == ["BRAKO", "PERLO", "CALDU"]


def test_the_approach_of_the_call_stands_in_place_of_the_lessons(
    legwise: Run, tmp_path: pathlib.Path, lesson: Callable[[str], pathlib.Path]
) -> None:
    path = lesson(LESSON.replace("2026-04-18", "2026-04-11") + BY_PROCEDURE.replace("R27", "NONE"))

    done = legwise("debrief", TRACK, "--lesson", path, "--approach", "xskh/r27.holma", "--out", "out")

    assert done.status == 0, done.err
    assert [item["procedure"] for item in document(tmp_path / "out")["approaches"]] == ["R27"]


@pytest.mark.parametrize(
    ("approach", "words"),
    [
        ("XSKH", "names no approach"),
        ("XSKH/", "names no approach"),
        ("XSKH/R27.HOLMA.X", "names no approach"),
        ("XSKH/R2\x1b7", "names no approach"),
        ("XSKH/R28", "R28"),
        ("XQQQ/R27", "XQQQ"),
        ("XSKH/R27.ZZZZZ", "ZZZZZ"),
    ],
)
def test_an_approach_that_there_is_not(legwise: Run, tmp_path: pathlib.Path, approach: str, words: str) -> None:
    done = legwise("debrief", TRACK, "--navdata", TARN, "--approach", approach, "--out", "out")

    assert done.status == 2
    assert done.err.startswith("legwise: --approach")
    assert words in done.err
    assert "\x1b" not in done.err
    assert len(done.err.splitlines()) <= 10
    assert not (tmp_path / "out").exists()


def test_an_approach_without_navigation_data(legwise: Run) -> None:
    done = legwise("debrief", TRACK, "--approach", "XSKH/R27")

    assert done.status == 2
    assert "navigation data" in done.err


def test_the_result_never_replaces_the_navigation_data(legwise: Run, tmp_path: pathlib.Path) -> None:
    (tmp_path / "out").mkdir()
    shutil.copy(TARN, tmp_path / "out" / "tarn.dat")

    done = legwise("debrief", TRACK, "--navdata", "out/tarn.dat", "--route", "XTBN XSKH", "--out", "out")

    assert done.status == 2
    assert (tmp_path / "out" / "tarn.dat").read_bytes() == TARN.read_bytes()


def test_an_unknown_airway_is_pointed_at(legwise: Run, lesson: Callable[[str], pathlib.Path]) -> None:
    done = legwise("plan", lesson(LESSON.replace("V7", "V8")))

    assert done.status == 2
    assert "lesson.toml, line 11, [route] text: V8 is no fix and no airway" in done.err
    assert done.err.splitlines()[-2:] == [
        "    XTBN BRAKO V8 CALDU DCT HOLMA XSKH",
        "               ^^",
    ]


def test_the_flight_of_a_log_of_several_is_told_by_the_aerodromes_of_the_navigation_data(
    legwise: Run, tmp_path: pathlib.Path, lesson: Callable[[str], pathlib.Path]
) -> None:
    # The sample flight from XTBN to XSKH, then the same with its positions half a degree farther north.
    heading, *rows = TRACK.read_text(encoding="utf-8").splitlines()
    lat = heading.split(",").index("Latitude deg")
    later = []
    for row in rows:
        cells = row.split(",")
        cells[0] = cells[0].replace("T13:", "T19:").replace("T12:", "T18:")
        cells[lat] = f"{float(cells[lat]) + 0.5:.7f}"
        later.append(",".join(cells))
    (tmp_path / "both.csv").write_text("\n".join([heading, *rows, *later, ""]), encoding="utf-8")

    path = lesson(LESSON.replace("2026-04-18", "2026-04-11"))
    done = legwise("debrief", "both.csv", "--lesson", path, "--out", "out")

    assert done.status == 0, done.err
    assert document(tmp_path / "out")["track"]["start"].startswith("2026-04-11T13:")


def test_an_approach_without_a_transition_is_flown_from_where_the_route_leads(
    legwise: Run, lesson: Callable[[str], pathlib.Path]
) -> None:
    plan = planned(legwise("plan", lesson(LESSON + BY_PROCEDURE.replace('transition = "HOLMA"', "")), "--json"))

    assert plan["approaches"][0]["legs"][0]["to"] == "HOLMA"
    assert plan["route"][-1]["to"] == "HOLMA"
    assert "R27: the transition from HOLMA was taken, since the route leads there." in plan["notes"]


def test_navdata_of_the_call_stands_in_place_of_the_lessons(
    legwise: Run, tmp_path: pathlib.Path, lesson: Callable[[str], pathlib.Path]
) -> None:
    path = lesson(LESSON.replace("2026-04-18", "2026-04-11").replace("data/tarn.dat", "gone.dat"))

    done = legwise("debrief", TRACK, "--lesson", path, "--navdata", TARN, "--out", "out")

    assert done.status == 0, done.err
    assert document(tmp_path / "out")["plan"]["source"] == "lesson"


def test_that_a_large_file_is_indexed_is_said_once(
    legwise: Run,
    lesson: Callable[[str], pathlib.Path],
    tmp_path: pathlib.Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    file = lesson(LESSON + BY_PROCEDURE)
    coded = file.parent / "data" / "tarn.dat"
    lines = coded.read_text(encoding="ascii").splitlines(keepends=True)
    waypoint = next(line for line in lines if line.startswith("SFAREAENRT   QUELA"))
    many = [waypoint.replace("QUELA", f"{number:05d}") for number in range(16_000)]
    coded.write_text("".join([*lines, *many]), encoding="ascii")

    first, later, quiet = legwise("plan", file), legwise("plan", file), legwise("plan", file, "--quiet")

    assert (first.status, later.status) == (0, 0)
    assert first.err.startswith("legwise: indexing ")
    assert first.err.count("\n") == 1
    assert (later.err, quiet.err) == ("", "")
    assert later.out == first.out
