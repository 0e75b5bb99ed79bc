"""A log with several flights on the command line: they are listed, one is chosen, or it is asked which."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import pathlib
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

import legwise as package
from legwise.cli.options import LIMITS_HELP, flight_name
from legwise.model.instants import instant, iso_z
from legwise.record import json_schema
from legwise.tracks import ReadLimits
from tracks.flown_logs import Log

Run = Callable[..., Any]
NEW_YEAR_2000_S = 946_684_800.0
HEADING = "time_utc,latitude,longitude,altitude indicated ft"


def csv_of(*logs: Log, names: str = "") -> str:
    lines = [HEADING + (",aircraft" if names else "")]
    for log, name in zip(logs, names or " ", strict=True):
        for time_s, lat, lon, altitude in log.rows:
            line = f"{iso_z(instant(time_s))},{lat:.7f},{lon:.7f},{altitude:.0f}"
            lines.append(f"{line},{name}" if names else line)
    return "\n".join([*lines, ""])


@pytest.fixture(name="two", scope="module")
def two_fixture() -> Log:
    return Log().flight(5).stand(600).flight(5).stand(60)


@pytest.fixture(name="track")
def track_fixture(tmp_path: pathlib.Path, two: Log) -> pathlib.Path:
    path = tmp_path / "flight.csv"
    path.write_text(csv_of(two), encoding="utf-8")
    return path


@pytest.fixture(name="lesson")
def lesson_fixture(tmp_path: pathlib.Path) -> Callable[[str], pathlib.Path]:
    def write(text: str) -> pathlib.Path:
        path = tmp_path / "lesson.toml"
        path.write_text(f"[lesson]\n{text}", encoding="utf-8")
        return path

    return write


def told(done: Any) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(done.out)
    return read


def refused(done: Any, *words: str) -> str:
    """The message of a run that ended in 2."""
    assert (done.status, done.out) == (2, "")
    assert len(done.err.splitlines()) <= 10
    assert "Traceback" not in done.err
    for word in words:
        assert word in done.err
    message: str = done.err
    return message


def test_inspect_lists_the_flights(legwise: Run, track: pathlib.Path, two: Log) -> None:
    done = legwise("inspect", track)
    listed = [line for line in done.out.splitlines() if line.startswith(("flights:", "  "))]

    assert (done.status, done.err) == (0, "")
    assert listed[0] == "flights: 2; --flight N takes one"
    assert listed[1].startswith("  1: 2026-04-18T09:00:01Z to 09:")
    assert "min), from 46.200 N 27.600 W to " in listed[1]
    assert listed[2].startswith("  2: 2026-04-18T09:")
    assert len(listed) == 3
    assert "fault: several-flights (2): 2 flights in one log" in done.out
    first, second = told(legwise("inspect", track, "--json"))["flights"]
    assert first.keys() == {"number", "start", "end", "samples", "aircraft", "from", "to"}
    assert (first["number"], second["number"], first["aircraft"]) == (1, 2, None)
    assert first["samples"] + second["samples"] == len(two.rows)
    assert first["from"] == {"lat_deg": round(two.rows[0][1], 7), "lon_deg": round(two.rows[0][2], 7)}
    assert second["end"] == iso_z(instant(two.rows[-1][0]))


def test_inspect_of_one_flight_tells_it_alone(legwise: Run, track: pathlib.Path) -> None:
    whole = told(legwise("inspect", track, "--json"))
    parts = [told(legwise("inspect", track, "--json", "--flight", number)) for number in ("1", "2")]

    for part, flight in zip(parts, whole["flights"], strict=True):
        assert part["flights"] == [flight]
        assert (part["start"], part["end"], part["samples"]) == (flight["start"], flight["end"], flight["samples"])
        assert "several-flights" not in {fault["kind"] for fault in part["faults"]}
    assert "flights:" not in legwise("inspect", track, "--flight", "2").out


def test_a_log_of_one_flight_has_one_entry(legwise: Run, tmp_path: pathlib.Path) -> None:
    log = Log().flight(5)
    (tmp_path / "one.csv").write_text(csv_of(log), encoding="utf-8")
    done = legwise("inspect", "one.csv", "--json")
    assert [flight["samples"] for flight in told(done)["flights"]] == [len(log.rows)]
    assert "flights:" not in legwise("inspect", "one.csv").out


def test_several_aircraft_are_listed_by_their_names(legwise: Run, tmp_path: pathlib.Path) -> None:
    logs = Log().flight(5), Log(lat_deg=48.0).flight(5)
    (tmp_path / "both.csv").write_text(csv_of(*logs, names="AB"), encoding="utf-8")
    whole = told(legwise("inspect", "both.csv", "--json"))

    assert [(flight["number"], flight["aircraft"]) for flight in whole["flights"]] == [(1, "A"), (2, "B")]
    assert whole["samples"] == whole["kept"] == len(logs[0].rows) + len(logs[1].rows)
    kinds = {fault["kind"]: fault["count"] for fault in whole["faults"]}
    assert (kinds["several-aircraft"], kinds["several-flights"]) == (2, 2)
    assert "  2: aircraft “B”, 2026-04-18T09:00:01Z" in legwise("inspect", "both.csv").out
    one = told(legwise("inspect", "both.csv", "--json", "--flight", "2"))
    assert one["flights"][0]["from"]["lat_deg"] == pytest.approx(48.0, abs=0.001)
    assert not {"several-aircraft", "several-flights"} & {fault["kind"] for fault in one["faults"]}
    refused(legwise("debrief", "both.csv"), "aircraft “A”", "aircraft “B”", "--flight N")


def test_debrief_asks_which_and_writes_nothing(legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path) -> None:
    message = refused(legwise("debrief", track), "flight.csv: the log holds 2 flights, and which one is meant was not")
    lines = message.splitlines()

    assert [line[:5] for line in lines[1:3]] == ["  1: ", "  2: "]
    assert lines[-1] == "  Say which: --flight N, or a range of time: --from TIME --to TIME."
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flight.csv"]


def test_each_flight_has_a_folder_of_its_own(legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path) -> None:
    for number in ("1", "2"):
        done = legwise("debrief", track, "--flight", number)
        assert (done.status, done.err) == (0, "")
        assert done.out.splitlines()[-1] == f"reports/flight-{number}/debrief.html"
    done = legwise("debrief", track, "--from", "09:05", "--to", "09:10")
    assert done.out.splitlines()[-1] == "reports/flight-20260418-090500-091000/debrief.html"
    folders = sorted(path.name for path in (tmp_path / "reports").iterdir())
    assert folders == ["flight-1", "flight-2", "flight-20260418-090500-091000"]
    document = json.loads((tmp_path / "reports" / "flight-2" / "debrief.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(json_schema()).validate(document)
    assert [flight["number"] for flight in document["track"]["flights"]] == [2]
    assert "flight 2 of 2 is taken: as was said" in document["track"]["notes"]
    page = (tmp_path / "reports" / "flight-2" / "debrief.html").read_text(encoding="utf-8")
    assert "flight 2 of 2 is taken: as was said" in page


def test_a_place_that_was_said_is_the_place(legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path) -> None:
    assert legwise("debrief", track, "--flight", "2", "--out", "out").status == 0
    assert (tmp_path / "out" / "debrief.html").is_file()
    assert not (tmp_path / "reports").exists()


def test_the_lesson_chooses(
    legwise: Run, track: pathlib.Path, lesson: Callable[[str], pathlib.Path], two: Log, tmp_path: pathlib.Path
) -> None:
    late = two.rows[-600][0]
    said = f"date = 2026-04-18\n[[clearance]]\ntime = {instant(late):%H:%M:%S}\nheading_deg_mag = 250\n"
    done = legwise("debrief", track, "--lesson", lesson(said))

    assert (done.status, done.err) == (0, "")
    document = json.loads((tmp_path / "reports" / "flight-2" / "debrief.json").read_text(encoding="utf-8"))
    assert "flight 2 of 2 is taken: the lesson's times lie in it" in document["track"]["notes"]
    # Inspecting tells what is in the log: all of it.
    assert len(told(legwise("inspect", track, "--lesson", lesson(said), "--json"))["flights"]) == 2


def test_a_lesson_that_can_not_choose_says_so(
    legwise: Run, track: pathlib.Path, lesson: Callable[[str], pathlib.Path]
) -> None:
    refused(legwise("debrief", track, "--lesson", lesson("date = 2026-04-18\n")), "the lesson does not tell which")
    refused(legwise("debrief", track, "--lesson", lesson("date = 2026-04-20\n")), "none is of the lesson's date")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--flight", "3"], ["the log holds 2 flights, and none is 3", "  1: 2026-04-18T09:00:01Z", "--flight N"]),
        (["--flight", "0"], ["--flight: “0” is no number of a flight", "numbered from 1"]),
        (["--flight", "-1"], ["--flight"]),
        (["--flight", "two"], ["--flight: “two” is no number of a flight"]),
        (["--flight", "1" * 40], ["--flight: “1111", "is no number of a flight"]),
        (["--from", "noon"], ["--from: “noon” is no time", "2026-04-18T13:12:40Z"]),
        (["--to", "2026-04-18T10:00"], ["--to: the time “2026-04-18T10:00” has no zone"]),
        (["--from", "12:00"], ["flight.csv: there are no two records from 12:00:00Z; the log spans 2026-04-18T09:00:"]),
        (["--from", "2026-04-18T10:00Z", "--to", "2026-04-18T09:00Z"], ["the range ends before it begins"]),
        (["--date", "18.4.2026"], ["--date: “18.4.2026” is no date", "Write it as 2026-04-18"]),
        (["--date", "1000-01-01"], ["--date: “1000-01-01” is no date", "1990 to 2099"]),
        (["--limit", "row=5"], ["--limit: there is no limit “row”", "Did you mean “rows”?", "file_bytes, bytes, rows"]),
        (["--limit", "rows"], ["--limit: “rows” says no limit", "--limit rows=5000000"]),
        (["--limit", "rows=0"], ["--limit: “rows=0” says no limit"]),
        (["--limit", "rows=1.5"], ["--limit: “rows=1.5” says no limit"]),
        (["--limit", "rows=nan"], ["--limit: “rows=nan” says no limit"]),
        (["--limit", "bytes=1e99"], ["--limit: “bytes=1e99” says no limit"]),
        (["--limit", "x\x1b[31m\n=1"], ["--limit: there is no limit"]),
        (["--limit", "rows=100"], ["flight.csv", "100 records"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("verb", ["inspect", "debrief"])
def test_calls_that_can_not_be(
    legwise: Run, track: pathlib.Path, tmp_path: pathlib.Path, verb: str, options: list[str], words: list[str]
) -> None:
    message = refused(legwise(verb, track, *options), *words)
    assert "\x1b" not in message
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flight.csv"]


def test_the_number_of_the_only_flight(legwise: Run, tmp_path: pathlib.Path) -> None:
    (tmp_path / "one.csv").write_text(csv_of(Log().flight(5)), encoding="utf-8")
    assert legwise("debrief", "one.csv", "--flight", "1").out.splitlines()[-1] == "reports/one/debrief.html"
    refused(legwise("inspect", "one.csv", "--flight", "2"), "the log holds one flight, and no flight 2")


def test_limits_are_taken_from_the_call(legwise: Run, track: pathlib.Path, two: Log) -> None:
    assert legwise("inspect", track, "--limit", f"rows={len(two.rows)}", "--limit", "bytes=2e9").status == 0
    refused(legwise("inspect", track, "--limit", f"rows={len(two.rows) - 1}"), "records")


def test_the_help_tells_each_limit_and_its_default(legwise: Run) -> None:
    for field in dataclasses.fields(ReadLimits):
        assert field.name.removeprefix("max_") in LIMITS_HELP
        assert str(field.default) in LIMITS_HELP
    for verb in ("inspect", "debrief"):
        done = legwise(verb, "--help")
        said = " ".join(done.out.split())
        assert "--flight N" in said
        assert "a GPX, CSV, IGC, NMEA 0183 or KML file" in said.replace("gzip- compressed", "gzip-compressed")


def test_the_date_of_a_log_that_has_none_or_a_wrong_one(legwise: Run, tmp_path: pathlib.Path) -> None:
    log = Log(time_s=NEW_YEAR_2000_S + 9 * 3600.0).flight(5)
    text = csv_of(log)
    (tmp_path / "wrong.csv").write_text(text, encoding="utf-8")
    (tmp_path / "none.csv").write_text(text.replace("2000-01-01T", ""), encoding="utf-8")
    for name in ("wrong.csv", "none.csv"):
        summary = told(legwise("inspect", name, "--json", "--date", "2026-04-18"))
        assert summary["start"] == "2026-04-18T09:00:01Z"
    notes = told(legwise("inspect", "wrong.csv", "--json", "--date", "2026-04-18"))["notes"]
    # Of days from 2000-01-01 to 2026-04-18 there are 26 years, seven of them leap years, and 107 days.
    assert any(f"moved by {26 * 365 + 7 + 107} days" in note for note in notes)


def test_a_lesson_of_another_day_names_the_way_out(
    legwise: Run, tmp_path: pathlib.Path, lesson: Callable[[str], pathlib.Path]
) -> None:
    log = Log(time_s=NEW_YEAR_2000_S + 9 * 3600.0).flight(5)
    (tmp_path / "sim.csv").write_text(csv_of(log), encoding="utf-8")
    said = lesson('date = 2026-04-18\n[[clearance]]\ntime = "09:05"\nheading_deg_mag = 250\n')
    refused(legwise("debrief", "sim.csv", "--lesson", said), "the track is of 2000-01-01", "--date 2026-04-18.")
    assert legwise("debrief", "sim.csv", "--lesson", said, "--date", "2026-04-18").status == 0


@pytest.mark.parametrize("suffix", [".igc", ".nmea", ".kml", ".kmz", ".log", ".IGC.gz", ".csv.gz", ".gpx"])
def test_the_name_of_a_flight_is_that_of_its_file_without_its_kind(suffix: str) -> None:
    assert flight_name(pathlib.Path(f"lesson 9{suffix}")) == "lesson 9"
    assert flight_name(pathlib.Path(f"lesson 9{suffix}"), "2-3") == "lesson 9-2-3"


def test_the_same_from_python(track: pathlib.Path) -> None:
    whole = package.read_track(track)
    assert [flight.number for flight in whole.flights] == [1, 2]
    second = package.read_track(track, flight=2)
    assert len(second) == whole.flights[1].samples
    start = instant(whole.flights[0].start_s)
    part = package.read_track(track, between=(start, dt.time(9, 10)), date=dt.date(2026, 4, 18), limits=ReadLimits())
    assert len(part) == 600
    debrief = package.debrief(second)
    assert debrief.result.summary_of_track.flights[0].number == 2
