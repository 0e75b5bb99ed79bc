"""``legwise draft``: a lesson file to start from, which reads as a lesson and judges the flight that it came from."""

from __future__ import annotations

import datetime as dt
import json
import pathlib
import re
import tomllib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from legwise.geodesy import direct
from legwise.lessons import parse_lesson
from legwise.model.lesson import Lesson

Run = Callable[..., Any]
SAMPLES = pathlib.Path(__file__).parents[2] / "sample_tracks"
TARN = SAMPLES / "tarn_islands.dat"
MET_BY = {"nothing_said": "track.gpx", "vectors_and_dip": "track.csv", "clean_lpv": "track.csv"}


def track_of(name: str) -> pathlib.Path:
    return SAMPLES / name / MET_BY[name]


def without_what_was_said(name: str, folder: pathlib.Path) -> pathlib.Path:
    """The lesson of a sample flight without its instructions and events."""
    text = (SAMPLES / name / "lesson.toml").read_text(encoding="utf-8")
    blocks = re.split(r"(?m)^(?=\[)", text)
    path = folder / "lesson.toml"
    kept = [block for block in blocks if not block.startswith(("[[clearance]]", "[[event]]"))]
    path.write_text("".join(kept), encoding="utf-8")
    return path


def drafted(legwise: Run, *argv: str | pathlib.Path) -> tuple[str, Lesson]:
    done = legwise("draft", *argv)
    assert (done.status, done.err) == (0, "")
    return done.out, parse_lesson(done.out, file="draft.toml")


def uncommented(text: str) -> str:
    """The draft as someone might leave it who takes away the mark of every line that can be TOML."""
    rows = []
    for row in text.splitlines():
        bare = row.removeprefix("# ")
        rows.append(bare if re.match(r"\w+ = |\[\[?\w+\]\]?$", bare) else row)
    return "\n".join(rows)


@pytest.mark.parametrize("name", list(MET_BY))
def test_a_draft_from_the_track_alone_is_a_lesson_that_debriefs_it(
    legwise: Run, tmp_path: pathlib.Path, name: str
) -> None:
    text, lesson = drafted(legwise, track_of(name))
    (tmp_path / "draft.toml").write_text(text, encoding="utf-8")

    assert lesson.lesson.date is not None
    assert legwise("debrief", track_of(name), "--lesson", "draft.toml", "--out", "out").status == 0


@pytest.mark.parametrize("name", list(MET_BY))
def test_a_draft_keeps_the_lesson_and_flies_the_same_legs(legwise: Run, tmp_path: pathlib.Path, name: str) -> None:
    given = without_what_was_said(name, tmp_path)
    before = parse_lesson(given.read_text(encoding="utf-8"), file="lesson.toml")
    text, lesson = drafted(legwise, track_of(name), "--lesson", given)
    (tmp_path / "draft.toml").write_text(text, encoding="utf-8")
    for file, out in (("lesson.toml", "a"), ("draft.toml", "b")):
        assert legwise("debrief", track_of(name), "--lesson", file, "--out", out).status == 0
    one, two = (json.loads((tmp_path / out / "debrief.json").read_text(encoding="utf-8")) for out in ("a", "b"))

    assert (lesson.lesson, lesson.fix, lesson.approach) == (before.lesson, before.fix, before.approach)
    assert lesson.route.text == before.route.text
    assert [leg["id"] for leg in two["legs"]] == [leg["id"] for leg in one["legs"]]
    assert [item["outcome"] for item in two["approaches"]] == [item["outcome"] for item in one["approaches"]]
    assert len(two["summary"]["questions"]) <= len(one["summary"]["questions"])


def test_what_was_planted_is_drafted_with_its_time_and_how_sure_it_is(legwise: Run, tmp_path: pathlib.Path) -> None:
    name = "vectors_and_dip"
    truth = tomllib.loads((SAMPLES / name / "truth.toml").read_text(encoding="utf-8"))["stretch"]
    text, lesson = drafted(legwise, track_of(name), "--lesson", without_what_was_said(name, tmp_path))
    headings = [item for item in lesson.clearance if item.heading_deg_mag is not None]
    direct = next(item for item in lesson.clearance if item.direct)

    assert direct.direct == next(item["leg"] for item in truth if item["guidance"] == "direct").removeprefix("-")
    # What was said: heading 020, then 300. A track is not a heading: the planted wind parts them by some degrees.
    assert [item.heading_deg_mag for item in headings] == pytest.approx([20.0, 300.0], abs=15.0)
    vectors = [item for item in truth if item["guidance"] == "vectors"][-1]
    begun = dt.datetime.combine(vectors["start"].date(), headings[0].time, dt.UTC)  # type: ignore[arg-type]
    assert abs((begun - vectors["start"]).total_seconds()) <= 5.0
    assert lesson.clearance[-1].cleared == "XSKH/RW27"
    assert re.search(r"# Inferred, 99 % sure: turned right, track \d{3} magnetic from 10:04:\d\d\.", text)


def test_a_doubtful_instruction_is_written_as_a_comment(legwise: Run, tmp_path: pathlib.Path) -> None:
    name = "nothing_said"
    text, lesson = drafted(legwise, track_of(name), "--lesson", without_what_was_said(name, tmp_path))

    assert "# Inferred, 50 % sure: Left 5,000 ft at 16:36:53Z: was a descent given, and to what altitude?" in text
    assert "# [[clearance]]\n# time = 16:36:53\n# altitude_ft = 3000" in text
    assert all(item.altitude_ft is None for item in lesson.clearance)


def test_what_was_read_from_the_track_stands_as_not_confirmed_and_what_is_unsure_as_a_comment(legwise: Run) -> None:
    text, lesson = drafted(
        legwise, track_of("nothing_said"), "--navdata", TARN, "--approach", "XSKH/R27.HOLMA",
    )  # fmt: skip

    assert lesson.clearance
    assert all(item.confirmed is False for item in lesson.clearance)
    stands = [int(sure) for sure in re.findall(r"(?m)^# Inferred, ([0-9]+) % sure: .*\n\[\[clearance\]\]", text)]
    commented = [int(sure) for sure in re.findall(r"(?m)^# Inferred, ([0-9]+) % sure: .*\n# \[\[clearance\]\]", text)]
    assert stands
    assert min(stands) >= 90
    assert all(sure < 90 for sure in commented)


def test_a_drafted_approach_has_a_line_for_its_minima_and_the_examples_lie_in_the_flight(legwise: Run) -> None:
    text, _ = drafted(legwise, track_of("nothing_said"), "--navdata", TARN, "--approach", "XSKH/R27.HOLMA")

    assert "\n# minima = { da_ft = 9999 }\n" in text
    examples = re.findall(r"(?m)^# time = (\S+)$", text)
    track = track_of("nothing_said").read_text(encoding="utf-8")
    times = re.findall(r"<time>[0-9-]+T([0-9:]+)", track)
    assert examples
    assert all(times[0] <= time <= times[-1] for time in examples)


@pytest.mark.parametrize("name", list(MET_BY))
def test_the_commented_examples_are_a_lesson_too(legwise: Run, name: str) -> None:
    text, _lesson = drafted(legwise, track_of(name))
    whole = parse_lesson(uncommented(text), file="draft.toml")

    assert whole.lesson.student == "S-000"
    assert whole.event
    assert whole.observed
    assert whole.clearance


def test_the_route_of_a_track_file_comes_with_its_fixes(legwise: Run, tmp_path: pathlib.Path) -> None:
    track = track_of("nothing_said").read_text(encoding="utf-8")
    points = (("ALPHA", 46.2, -27.6), ("BRAVO", 46.5, -27.4), ("CHARL", 46.9, -26.8))
    route = "".join(f'<rtept lat="{lat}" lon="{lon}"><name>{name}</name></rtept>' for name, lat, lon in points)
    (tmp_path / "flight.gpx").write_text(re.sub(r"(<trk>)", rf"<rte>{route}</rte>\1", track, count=1), encoding="utf-8")
    text, lesson = drafted(legwise, "flight.gpx")
    (tmp_path / "draft.toml").write_text(text, encoding="utf-8")
    planned = json.loads(legwise("plan", "draft.toml", "--json").out)

    assert lesson.route.points == ("ALPHA", "BRAVO", "CHARL")
    assert [(fix.ident, fix.lat_deg, fix.lon_deg) for fix in lesson.fix] == list(points)
    assert [leg["to"] for leg in planned["route"]] == ["BRAVO", "CHARL"]


def test_a_route_that_stands_at_two_places_is_left_to_the_track_file(legwise: Run, tmp_path: pathlib.Path) -> None:
    track = track_of("nothing_said").read_text(encoding="utf-8")
    points = (("SAME", 46.2, -27.6), ("B\u00e9ta [x]\n#", 46.5, -27.4), ("SAME", 46.9, -26.8))
    route = "".join(f'<rtept lat="{lat}" lon="{lon}"><name>{name}</name></rtept>' for name, lat, lon in points)
    (tmp_path / "flight.gpx").write_text(re.sub(r"(<trk>)", rf"<rte>{route}</rte>\1", track, count=1), encoding="utf-8")
    text, lesson = drafted(legwise, "flight.gpx")

    assert lesson.route.points is None
    assert "The route in the track file is taken" in text


def test_a_route_and_an_approach_from_navigation_data_are_written_down(legwise: Run, tmp_path: pathlib.Path) -> None:
    (tmp_path / "tarn.dat").write_bytes(TARN.read_bytes())
    text, lesson = drafted(
        legwise, track_of("nothing_said"), "--navdata", "tarn.dat", "--approach", "XSKH/R27.HOLMA",
        "--route", "XTBN BRAKO CALDU NORVI SELKA HOLMA XSKH",
    )  # fmt: skip
    # Saved elsewhere than where the command ran: the files it names are found all the same.
    folder = tmp_path / "lessons"
    folder.mkdir()
    draft = folder / "draft.toml"
    draft.write_text(text, encoding="utf-8")

    assert lesson.navdata.arinc424 == str((tmp_path / "tarn.dat").resolve())
    assert lesson.route.text == "XTBN BRAKO CALDU NORVI SELKA HOLMA XSKH"
    assert [(item.airport, item.procedure, item.transition) for item in lesson.approach] == [("XSKH", "R27", "HOLMA")]
    assert lesson.clearance[-1].cleared == "XSKH/R27"
    assert legwise("plan", draft).status == 0
    assert legwise("debrief", track_of("nothing_said"), "--lesson", draft, "--out", "out").status == 0


def test_a_list_of_fixes_is_written_down_as_one(legwise: Run, tmp_path: pathlib.Path) -> None:
    places = tmp_path / "places.csv"
    places.write_text(
        "ident,lat_deg,lon_deg,kind\nXTBN,46.199250,-27.579878,airport\nXSKH,46.899057,-27.110309,airport\n",
        encoding="utf-8",
    )
    text, lesson = drafted(legwise, track_of("nothing_said"), "--navdata", places, "--route", "XTBN XSKH")
    (tmp_path / "draft.toml").write_text(text, encoding="utf-8")

    assert (lesson.navdata.arinc424, lesson.navdata.fixes) == (None, str(places.resolve()))
    assert legwise("plan", "draft.toml").status == 0


def test_a_name_that_no_lesson_can_hold_is_refused(legwise: Run, tmp_path: pathlib.Path) -> None:
    odd = tmp_path / "t\n#.dat"
    odd.write_bytes(TARN.read_bytes())
    run = legwise("draft", track_of("nothing_said"), "--navdata", odd, "--approach", "XSKH/R27.HOLMA")

    assert run.status == 2
    assert "a lesson file can't name this file" in run.err


def test_what_was_said_of_the_columns_is_kept(legwise: Run, tmp_path: pathlib.Path) -> None:
    rows = (f"2026-04-18 09:{minute:02d}:{second:02d},46.{minute:02d}{second:02d},-27.5"
            for minute in range(10) for second in range(0, 60, 5))  # fmt: skip
    (tmp_path / "log.csv").write_text("When,Up,Along\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (tmp_path / "columns.toml").write_text(
        '[columns]\ntime = "When"\nlat_deg = "Up"\nlon_deg = "Along"\n', encoding="utf-8"
    )
    text, lesson = drafted(legwise, "log.csv", "--columns", "columns.toml", "--utc-offset", "-04:00")
    (tmp_path / "draft.toml").write_text(text, encoding="utf-8")

    assert dict(lesson.columns) == {"time": "When", "lat_deg": "Up", "lon_deg": "Along", "utc_offset": "-04:00"}
    assert legwise("debrief", "log.csv", "--lesson", "draft.toml", "--out", "out").status == 0


def test_what_was_said_already_stays_as_it_was_said(legwise: Run) -> None:
    name = "vectors_and_dip"
    given = SAMPLES / name / "lesson.toml"
    before = parse_lesson(given.read_text(encoding="utf-8"), file="lesson.toml")
    _text, lesson = drafted(legwise, track_of(name), "--lesson", given)

    assert [item for item in lesson.clearance if item in before.clearance] == list(before.clearance)
    assert lesson.event == before.event


def test_the_same_track_gives_the_same_draft(legwise: Run) -> None:
    assert drafted(legwise, track_of("clean_lpv"))[0] == drafted(legwise, track_of("clean_lpv"))[0]


@pytest.mark.parametrize(
    ("argv", "named"),
    [
        (["missing.gpx"], "missing.gpx"),
        ([str(track_of("clean_lpv")), "--route", "NOWHERE ATALL"], "NOWHERE"),
        ([str(track_of("clean_lpv")), "--approach", "XSKH/R27"], "XSKH"),
        ([str(track_of("clean_lpv")), "--lesson", "missing.toml"], "missing.toml"),
    ],
)
def test_a_bad_call_writes_nothing(legwise: Run, tmp_path: pathlib.Path, argv: list[str], named: str) -> None:
    done = legwise("draft", *argv)

    assert done.status == 2
    assert done.out == ""
    assert named in done.err
    assert list(tmp_path.iterdir()) == []


def test_vectors_off_the_route_and_back_are_ended_by_own_navigation(legwise: Run, tmp_path: pathlib.Path) -> None:
    """Along a leg, 40 degrees off to the right, back, and on along it: without the last a heading stays owed."""
    rates = [(600, 0.0), (20, 2.0), (240, 0.0), (40, -2.0), (240, 0.0), (20, 2.0), (600, 0.0)]
    turning = np.concatenate([np.full(seconds, rate) for seconds, rate in rates])
    lat, lon = np.array([46.2]), np.array([-27.6])
    rows = ["time,latitude,longitude,altitude ft"]
    for second, course in enumerate(90.0 + np.cumsum(turning)):
        minute, rest = divmod(second, 60)
        rows.append(f"2026-04-18T09:{minute:02d}:{rest:02d}Z,{lat[0]:.7f},{lon[0]:.7f},4000")
        lat, lon, _course = direct(lat, lon, np.array([course]), np.array([120 / 3600]))
    (tmp_path / "log.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    ends = [rows[1].split(",")[1:3], [f"{lat[0]:.7f}", f"{lon[0] + 0.3:.7f}"]]
    fixes = "".join(
        f'[[fix]]\nident = "{ident}"\nlat_deg = {end[0]}\nlon_deg = {end[1]}\n'
        for ident, end in zip(("ALPHA", "BRAVO"), ends, strict=True)
    )
    (tmp_path / "lesson.toml").write_text(f'[route]\npoints = ["ALPHA", "BRAVO"]\n{fixes}', encoding="utf-8")
    text, lesson = drafted(legwise, "log.csv", "--lesson", "lesson.toml")

    assert [item.heading_deg_true is None for item in lesson.clearance if not item.resume] == [True, True]
    assert lesson.clearance[-1].resume is True
    assert re.search(
        r"# Inferred: on the filed route to BRAVO again at 09:19:\d\d\.\n\[\[clearance\]\]\nresume = true", text
    )
    (tmp_path / "draft.toml").write_text(text, encoding="utf-8")
    assert legwise("debrief", "log.csv", "--lesson", "draft.toml", "--out", "out").status == 0
    debrief = json.loads((tmp_path / "out" / "debrief.json").read_text(encoding="utf-8"))
    assert [(leg["from"], leg["to"]) for leg in debrief["legs"]] == [("ALPHA", "BRAVO")] * 2
