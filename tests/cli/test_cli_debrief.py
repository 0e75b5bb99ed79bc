"""The verbs on a small flight built for it: one leg, held 0.4 NM to the right, then a stretch on it."""

from __future__ import annotations

import datetime as dt
import gzip
import json
import pathlib
from collections.abc import Callable
from typing import Any

import jsonschema
import pandas as pd
import pytest
from geographiclib.geodesic import Geodesic

import legwise as package
from legwise.pipeline import Debrief
from legwise.record import json_schema

Run = Callable[..., Any]

M_PER_NM = 1852.0
START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
SECONDS = 480
SPEED_KT = 120.0
OFFSET_NM = 0.4
FIRST, SECOND = (46.2, -27.6), (46.6, -27.4)
FILES = [".legwise", "debrief.html", "debrief.json", "samples.csv"]
LESSON = """[lesson]
title = "One leg"
date = 2026-04-18

[altimetry]
qnh_hpa = 1013.0

[[fix]]
ident = "AXOLA"
lat_deg = 46.2
lon_deg = -27.6

[[fix]]
ident = "BRAKO"
lat_deg = 46.6
lon_deg = -27.4

[route]
points = ["AXOLA", "BRAKO"]
altitude_ft = 4000
"""


def position(along_nm: float, right_nm: float) -> tuple[float, float]:
    """Where one is after ``along_nm`` on the geodesic from the first fix to the second, ``right_nm`` to its right."""
    line = Geodesic.WGS84.InverseLine(*FIRST, *SECOND)
    foot = line.Position(along_nm * M_PER_NM)
    aside = Geodesic.WGS84.Direct(foot["lat2"], foot["lon2"], foot["azi2"] + 90.0, right_nm * M_PER_NM)
    return aside["lat2"], aside["lon2"]


def rows(right_nm: float = OFFSET_NM) -> list[tuple[dt.datetime, float, float]]:
    """A position each second, well past the first fix and short of the second."""
    return [
        (START + dt.timedelta(seconds=second), *position(3.0 + second * SPEED_KT / 3600.0, right_nm))
        for second in range(SECONDS)
    ]


def csv_text(zone: dt.timedelta = dt.timedelta(0), heading: str = "Time UTC") -> str:
    lines = [f"{heading},Latitude deg,Longitude deg,Altitude indicated ft,Groundspeed kt"]
    for time, lat, lon in rows():
        local = (time + zone).strftime("%Y-%m-%d %H:%M:%S")
        lines.append(f"{local},{lat:.7f},{lon:.7f},4020,{SPEED_KT}")
    return "\n".join(lines) + "\n"


@pytest.fixture(name="track")
def track_fixture(tmp_path: pathlib.Path) -> pathlib.Path:
    path = tmp_path / "flight.csv"
    path.write_text(csv_text(), encoding="utf-8")
    return path


@pytest.fixture(name="lesson")
def lesson_fixture(tmp_path: pathlib.Path) -> pathlib.Path:
    path = tmp_path / "lesson.toml"
    path.write_text(LESSON, encoding="utf-8")
    return path


def names(folder: pathlib.Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def document(folder: pathlib.Path) -> dict[str, Any]:
    read: dict[str, Any] = json.loads((folder / "debrief.json").read_text(encoding="utf-8"))
    return read


def test_a_debrief_is_three_files_in_the_default_place(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    done = legwise("debrief", track, "--lesson", lesson)

    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines()[-1] == "reports/flight/debrief.html"
    assert names(tmp_path / "reports" / "flight") == FILES
    assert names(tmp_path / "reports") == ["flight"]


def test_the_figures_are_those_that_were_built_in(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    assert legwise("debrief", track, "--lesson", lesson, "--out", "out").status == 0

    told = document(tmp_path / "out")
    jsonschema.Draft202012Validator(json_schema()).validate(told)
    samples = pd.read_csv(tmp_path / "out" / "samples.csv")
    assert len(samples) == told["track"]["kept"] == SECONDS
    flown = samples[samples["leg"].notna()]
    assert len(flown) >= SECONDS - 2
    # Built 0.4 NM right of the geodesic, positions written to 7 decimals (1 cm); 0.1 m is 0.00005 NM.
    assert flown["cross_track_nm"].to_numpy() == pytest.approx(OFFSET_NM, abs=5.4e-5)
    assert flown["altitude_error_ft"].dropna().to_numpy() == pytest.approx(20.0, abs=0.01)
    leg = told["legs"][0]
    assert (leg["from"], leg["to"], leg["kind"]) == ("AXOLA", "BRAKO", "TF")
    assert leg["cross_track_nm"]["mean"] == pytest.approx(flown["cross_track_nm"].mean(), abs=1e-5)
    assert leg["cross_track_nm"]["max_abs"] == pytest.approx(flown["cross_track_nm"].abs().max(), abs=1e-5)
    assert told["lesson"]["title"] == "One leg"


def test_two_runs_give_the_same_bytes(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    for out in ("one", "two"):
        assert legwise("debrief", track, "--lesson", lesson, "--out", out).status == 0

    for name in FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_second_run_replaces_the_first(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    assert legwise("debrief", track, "--out", "out").status == 0
    without = document(tmp_path / "out")
    assert legwise("debrief", track, "--lesson", lesson, "--out", "out").status == 0

    assert without["plan"]["source"] == "none"
    assert document(tmp_path / "out")["plan"]["source"] == "lesson"
    assert names(tmp_path / "out") == FILES
    assert names(tmp_path) == ["flight.csv", "lesson.toml", "out"]


def test_its_own_table_can_be_debriefed_but_not_onto_itself(
    legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    assert legwise("debrief", track, "--out", "out").status == 0
    table = (tmp_path / "out" / "samples.csv").read_bytes()
    done = legwise("debrief", "out/samples.csv", "--out", "out")

    assert done.status == 2
    assert "samples.csv" in done.err
    assert (tmp_path / "out" / "samples.csv").read_bytes() == table


def test_a_folder_that_is_not_ours_ends_in_2_and_stays(
    legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "thesis.txt").write_text("years of work")
    done = legwise("debrief", track, "--out", "out")

    assert done.status == 2
    assert "thesis.txt" in done.err
    assert names(tmp_path / "out") == ["thesis.txt"]


@pytest.mark.parametrize(("failure", "status"), [(KeyboardInterrupt, 130), (ZeroDivisionError, 1)])
def test_a_run_that_breaks_off_leaves_nothing(
    legwise: Run,
    track: pathlib.Path,
    tmp_path: pathlib.Path,
    monkeypatch: pytest.MonkeyPatch,
    failure: type[BaseException],
    status: int,
) -> None:
    def breaks_off(_: Debrief, folder: pathlib.Path) -> None:
        (folder / "debrief.html").write_text("half")
        raise failure

    monkeypatch.setattr(Debrief, "write_into", breaks_off)

    assert legwise("debrief", track).status == status
    assert names(tmp_path) == ["flight.csv"]


def test_a_slip_in_the_lesson_is_named_with_its_line(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    lesson.write_text(LESSON.replace("qnh_hpa", "qnh_hPa"), encoding="utf-8")
    done = legwise("debrief", track, "--lesson", lesson)

    assert done.status == 2
    for word in ("lesson.toml", "line 6", "qnh_hPa", "qnh_hpa"):
        assert word in done.err
    assert names(tmp_path) == ["flight.csv", "lesson.toml"]


TOLD = '[[clearance]]\ntime = 13:02:00\nheading_deg_mag = 20\n[[event]]\ntime = "13:05"\nwhat = "visual"\n'


@pytest.mark.parametrize(
    ("day", "remedy"),
    [
        ("2026-04-17", "Correct the date, or leave it out"),
        ("2026-04-19", "Correct the date, or leave it out"),
        ("2026-03-07", "take the lesson's in its place: --date 2026-03-07"),
        ("2026-05-30", "take the lesson's in its place: --date 2026-05-30"),
    ],
)
def test_a_lesson_of_another_day_is_refused(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, day: str, remedy: str
) -> None:
    lesson.write_text(LESSON.replace("2026-04-18", day) + TOLD, encoding="utf-8")
    done = legwise("debrief", track, "--lesson", lesson)

    assert done.status == 2
    for word in ("lesson.toml, line 3, [lesson] date", f"on {day}", "of 2026-04-18 (UTC)", remedy):
        assert word in done.err


@pytest.mark.parametrize(
    ("day", "told"),
    [
        ("2026-04-18", TOLD),
        ("2026-04-17", ""),  # no time of day is read on that date
        ("2026-04-17", TOLD.replace("13:02:00", "2026-04-18T13:02:00Z").replace('"13:05"', "2026-04-18T13:05:00Z")),
    ],
)
def test_a_date_that_no_time_of_day_needs_may_differ(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, day: str, told: str
) -> None:
    lesson.write_text(LESSON.replace("2026-04-18", day) + told, encoding="utf-8")

    assert legwise("debrief", track, "--lesson", lesson).status == 0


@pytest.mark.parametrize(("begins", "day"), [("23:56", 17), ("23:56", 18), ("00:01", 17)])
def test_a_flight_over_midnight_has_either_date(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, begins: str, day: int
) -> None:
    """What was said at 23:50 before a log that begins at 00:01 is of the day before."""
    start = dt.datetime.fromisoformat(f"2026-04-{17 if begins > '12' else 18}T{begins}:00+00:00")
    text = csv_text(start - START)
    track.write_text(text, encoding="utf-8")
    told = TOLD.replace("13:02:00", "23:50:00").replace("13:05", "00:03")
    lesson.write_text(LESSON.replace("2026-04-18", f"2026-04-{day}") + told, encoding="utf-8")

    assert legwise("debrief", track, "--lesson", lesson).status == 0


def test_what_can_not_be_resolved_is_named_with_its_line(legwise: Run, lesson: pathlib.Path) -> None:
    lesson.write_text(LESSON.replace('["AXOLA", "BRAKO"]', '["AXOLA",\n "BRAKE"]'), encoding="utf-8")
    done = legwise("plan", lesson)

    assert done.status == 2
    assert "lesson.toml, line 20, [route] points 2: the fix BRAKE is unknown" in done.err
    assert "BRAKO" in done.err


def test_a_misspelt_standard_is_named_before_anything_is_flown(legwise: Run, lesson: pathlib.Path) -> None:
    lesson.write_text(LESSON.replace("[lesson]", '[lesson]\nstandard = "faa-instrumnt"'), encoding="utf-8")
    done = legwise("plan", lesson)

    assert done.status == 2
    assert "line 2, [lesson] standard" in done.err
    assert "nearest known is faa-instrument" in done.err


def test_a_route_of_the_track_file_with_one_ident_at_two_places_is_told_in_both(
    legwise: Run, tmp_path: pathlib.Path
) -> None:
    route = "".join(
        f'<rtept lat="{lat}" lon="-27.6"><name>{name}</name></rtept>'
        for name, lat in [("AXOLA", 46.0), ("BRAKO", 46.2), ("BRAKO", 46.2), ("AXOLA", 46.6)]
    )
    points = "".join(
        f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"><ele>900</ele><time>{when:%Y-%m-%dT%H:%M:%SZ}</time></trkpt>'
        for when, lat, lon in rows()
    )
    (tmp_path / "flight.gpx").write_text(
        '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="made by hand">'
        f"<rte>{route}</rte><trk><trkseg>{points}</trkseg></trk></gpx>",
        encoding="utf-8",
    )

    assert legwise("debrief", "flight.gpx", "--out", "out").status == 0
    notes = " ".join(document(tmp_path / "out")["plan"]["notes"])
    page = (tmp_path / "out" / "debrief.html").read_text(encoding="utf-8")
    for told in ("AXOLA stands at more than one place", "repeated the place before"):
        assert told in notes
        assert told in page


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--standard", "faa-instrumnt"), "faa-instrument"),
        (("--route", "NOWHR BRAKO"), "NOWHR"),
        (("--standard", "faa-instrumnt"), "--standard: "),
        (("--standard", "mine.toml"), "not read by this version yet"),
        (("--utc-offset", "+25:00"), "--utc-offset: the offset from UTC"),
        (("--utc-offset", ""), "--utc-offset"),
        (("--columns", "missing.toml"), "missing.toml"),
        (("--lesson", "missing.toml"), "missing.toml"),
        (("--out", "flight.csv"), "flight.csv"),
        (("--out", "flight.csv/below"), "flight.csv"),
    ],
)
def test_a_bad_option_ends_in_2(
    legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path, options: tuple[str, ...], named: str
) -> None:
    done = legwise("debrief", track, *options)

    assert done.status == 2
    assert named in done.err
    assert len(done.err.splitlines()) <= 10
    assert names(tmp_path) == ["flight.csv"]


def test_a_route_in_place_of_the_lessons(
    legwise: Run, track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    assert legwise("debrief", track, "--lesson", lesson, "--route", "BRAKO DCT AXOLA", "--out", "out").status == 0

    assert document(tmp_path / "out")["plan"]["source"] == "--route"


def test_local_time_with_its_offset(legwise: Run, tmp_path: pathlib.Path) -> None:
    local = csv_text(dt.timedelta(hours=-4), heading="Time")
    (tmp_path / "flight.csv.gz").write_bytes(gzip.compress(local.encode()))

    refused = legwise("debrief", "flight.csv.gz")
    done = legwise("debrief", "flight.csv.gz", "--utc-offset", "-04:00")

    assert refused.status == 2
    assert "--utc-offset" in refused.err
    assert done.status == 0
    assert document(tmp_path / "reports" / "flight")["track"]["start"] == "2026-04-18T13:00:00Z"


def test_columns_said_in_a_file_or_in_the_lesson(legwise: Run, lesson: pathlib.Path, tmp_path: pathlib.Path) -> None:
    odd = csv_text().replace("Time UTC,Latitude deg,Longitude deg,Altitude indicated ft", "When,Up,Over,High")
    (tmp_path / "odd.csv").write_text(odd, encoding="utf-8")
    said = (
        '[columns]\ntime = "When"\nlat_deg = "Up"\nlon_deg = "Over"\n'
        'altitude_ft = { heading = "High", unit = "ft", kind = "indicated" }\nutc_offset = "+00:00"\n'
    )
    (tmp_path / "columns.toml").write_text(said, encoding="utf-8")
    lesson.write_text(LESSON + said, encoding="utf-8")

    assert legwise("debrief", "odd.csv").status == 2
    assert legwise("debrief", "odd.csv", "--columns", "columns.toml", "--out", "one").status == 0
    assert legwise("debrief", "odd.csv", "--lesson", lesson, "--out", "two").status == 0
    for out in ("one", "two"):
        assert document(tmp_path / out)["track"]["altitude_source"] == "indicated"
        assert document(tmp_path / out)["track"]["start"] == "2026-04-18T13:00:00Z"


def test_inspect_prints_the_track_object_of_the_debrief(
    legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    assert legwise("debrief", track, "--out", "out").status == 0
    done = legwise("inspect", track, "--json")

    assert done.status == 0
    assert json.loads(done.out) == document(tmp_path / "out")["track"]


def test_inspect_tells_a_person(legwise: Run, track: pathlib.Path) -> None:
    done = legwise("inspect", track)

    assert done.status == 0
    assert f"samples: {SECONDS}" in done.out
    assert "indicated" in done.out


def test_plan_tells_every_leg(legwise: Run, lesson: pathlib.Path) -> None:
    text, data = legwise("plan", lesson), legwise("plan", lesson, "--json")

    assert text.status == data.status == 0
    leg = json.loads(data.out)["route"][0]
    expected = Geodesic.WGS84.Inverse(*FIRST, *SECOND)
    assert leg["distance_nm"] == pytest.approx(expected["s12"] / M_PER_NM, abs=5.4e-5)
    assert leg["course_deg_true"] == pytest.approx(expected["azi1"], abs=1e-3)
    assert "AXOLA" in text.out
    assert f"{expected['azi1']:05.1f}°" in text.out


def test_quiet_and_verbose(legwise: Run, track: pathlib.Path) -> None:
    quiet, verbose = legwise("debrief", track, "--quiet"), legwise("debrief", track, "--verbose")

    assert (quiet.status, quiet.out, quiet.err) == (0, "", "")
    assert verbose.status == 0
    assert [line.split(":")[0] for line in verbose.err.splitlines()] == [
        "read", "plan", "align", "measure", "assess", "explain", "write",
    ]  # fmt: skip


def test_the_same_from_python(track: pathlib.Path, lesson: pathlib.Path, tmp_path: pathlib.Path) -> None:
    said = package.read_lesson(lesson)
    done = package.debrief(package.read_track(track, lesson=said), said)

    assert len(done.samples) == SECONDS
    assert done.legs[0].to == "BRAKO"
    assert done.approaches == ()
    assert done.findings
    assert set(done.figures())
    done.to_html(tmp_path / "page.html")
    done.to_json(tmp_path / "debrief.json")
    done.to_samples(tmp_path / "samples.csv")
    assert names(tmp_path) == ["debrief.json", "flight.csv", "lesson.toml", "page.html", "samples.csv"]


def test_a_bad_file_from_python_is_one_kind_of_error(tmp_path: pathlib.Path) -> None:
    for read in (package.read_track, package.read_lesson):
        with pytest.raises(package.LegwiseError) as caught:
            read(tmp_path / "missing")
        assert "missing" in str(caught.value)


def test_the_readmes_lesson_is_a_lesson(legwise: Run, tmp_path: pathlib.Path) -> None:
    readme = (pathlib.Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    text = readme.split("```toml\n")[1].split("```")[0]
    (tmp_path / "lesson.toml").write_text(text, encoding="utf-8")
    done = legwise("plan", "lesson.toml")

    assert (done.status, done.err) == (0, "")
    assert "FERNU" in done.out
