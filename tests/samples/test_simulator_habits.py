"""The samples as a simulator would have logged them: paused, hurried, and put back to a saved point.

Each log is cut and pasted from a sample's own rows, so that what was flown is known: a pause changes no figure, an
approach flown again is an approach of its own.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import legwise
from legwise.model.instants import iso_z
from samples.debriefed import SAMPLE_TRACKS, when

UTC = dt.UTC


@dataclass(frozen=True)
class Rows:
    """The rows of a sample's log: their times and the rest of each."""

    head: str
    times: list[dt.datetime]
    rest: list[str]

    def at(self, text: str) -> int:
        """The first row at or after a time of its day."""
        day = self.times[0].date()
        moment = dt.datetime.combine(day, dt.time.fromisoformat(text), tzinfo=UTC)
        return next(place for place, time in enumerate(self.times) if time >= moment)

    def taken(self, order: list[int]) -> Rows:
        """Some rows in some order, each with its time."""
        return Rows(self.head, [self.times[place] for place in order], [self.rest[place] for place in order])

    def on_end(self) -> Rows:
        """The same rows, one a second."""
        return Rows(self.head, [self.times[0] + dt.timedelta(seconds=n) for n in range(len(self.rest))], self.rest)

    def moved(self, place: int, north_deg: float) -> Rows:
        """From a row on a little farther north."""
        rest = []
        for number, row in enumerate(self.rest):
            lat, _, more = row.partition(",")
            rest.append(f"{float(lat) + north_deg:.7f},{more}" if number >= place else row)
        return Rows(self.head, self.times, rest)

    def text(self) -> str:
        lines = [f"{iso_z(time)},{rest}" for time, rest in zip(self.times, self.rest, strict=True)]
        return "\n".join([self.head, *lines]) + "\n"


def rows_of(name: str) -> Rows:
    lines = (SAMPLE_TRACKS / name / "track.csv").read_text().splitlines()
    first = next(place for place, line in enumerate(lines) if line.startswith("20"))
    parts = [line.partition(",") for line in lines[first:]]
    return Rows(
        lines[first - 1], [dt.datetime.fromisoformat(time) for time, _, _ in parts], [rest for *_, rest in parts]
    )


Debriefing = Callable[[str, Rows], tuple[dict[str, Any], pd.DataFrame]]


@pytest.fixture
def debrief(tmp_path: Path) -> Debriefing:
    """The document and the samples of a log under the lesson of a sample."""

    def made(name: str, rows: Rows) -> tuple[dict[str, Any], pd.DataFrame]:
        (tmp_path / "track.csv").write_text(rows.text())
        lesson = legwise.read_lesson(SAMPLE_TRACKS / name / "lesson.toml")
        done = legwise.debrief(legwise.read_track(tmp_path / "track.csv"), lesson)
        done.to_json(tmp_path / "debrief.json")
        done.to_html(tmp_path / "debrief.html")
        return json.loads((tmp_path / "debrief.json").read_text()), done.samples

    return made


def faults(document: dict[str, Any]) -> dict[str, int]:
    return {fault["kind"]: fault["count"] for fault in document["track"]["faults"]}


FIGURES = (
    "standard",
    "task",
    "what",
    "fix",
    "verdict",
    "limit",
    "worst",
    "outside_s",
    "excursions",
    "leg",
    "uncertainty",
)


def findings(document: dict[str, Any]) -> list[tuple[Any, ...]]:
    """What the findings say but for times of the clock."""
    return [tuple(finding[key] for key in (*FIGURES, "correcting_after_s")) for finding in document["findings"]]


def figures(document: dict[str, Any]) -> list[dict[str, Any]]:
    """The figures of legs and approaches but for times of the clock."""
    kept: list[dict[str, Any]] = []
    for leg in document["legs"]:
        both = {
            name: {k: v for k, v in leg[name].items() if k != "at_max"}
            for name in ("cross_track_nm", "altitude_error_ft")
        }
        kept.append({**both, "id": leg["id"], "distance_nm": leg["distance_nm"]})
    for approach in document["approaches"]:
        needles = {name: approach[name]["max_abs"] for name in ("lateral_needle", "vertical_needle")}
        kept.append({**needles, "outcome": approach["outcome"], "lowest": approach["lowest_altitude_ft"]})
    return kept


@pytest.mark.parametrize(
    ("name", "at", "seconds"),
    [
        ("clean_lpv", "13:46:00", 300),
        ("clean_lpv", "13:12:00", 1200),
        ("clean_lpv", "13:47:20", 60),
        ("vectors_and_dip", "10:15:31", 240),
        ("vectors_and_dip", "10:15:45", 30),
    ],
    ids=["on final", "on the route", "at the decision altitude", "in an excursion", "in a correction"],
)
@pytest.mark.parametrize("speed_kept", [True, False])
def test_a_pause_changes_no_figure(name: str, at: str, seconds: int, speed_kept: bool, debrief: Debriefing) -> None:
    rows = rows_of(name)
    place = rows.at(at)
    paused = rows.taken([*range(place + 1), *([place] * seconds), *range(place + 1, len(rows.rest))]).on_end()
    if not speed_kept:
        column = rows.head.split(",").index("Groundspeed kt") - 1
        for number in range(place + 1, place + 1 + seconds):
            cells = paused.rest[number].split(",")
            cells[column] = "0.0"
            paused.rest[number] = ",".join(cells)
    # Said times would have to move with the flight: what was said after the pause is asked elsewhere.
    plain, _ = debrief(name, rows.on_end())
    document, samples = debrief(name, paused)

    assert faults(document) == {"frozen-position": 1}
    if at != "13:12:00":
        assert findings(document) == findings(plain)
        assert figures(document) == figures(plain)
    held = samples.iloc[place + 1 : place + 1 + seconds]
    assert len(held) == seconds
    for column_name in ("cross_track_nm", "lateral_needle", "vertical_needle", "altitude_error_ft", "track_error_deg"):
        assert held[column_name].isna().all()
    assert held["groundspeed_kt"].isna().all()
    assert held["lat_deg"].notna().all()
    assert any("Paused from" in fact["text"] for fact in document["facts"])
    assert len(document["legs"]) == len(plain["legs"])
    assert len(document["approaches"]) == 1


FINAL = "13:47:18"
"""At 644 ft on final approach, 32 ft above the decision altitude; ten miles from the runway it is 13:41:26."""
TEN_MILES = "13:41:26"


def again(rows: Rows, frozen_s: int) -> tuple[Rows, int]:
    """To just above the minimum, frozen there, and from ten miles out again to the landing; and where that begins."""
    last, saved = rows.at(FINAL), rows.at(TEN_MILES)
    order = [*range(last + 1), *([last] * frozen_s), *range(saved, len(rows.rest))]
    return rows.taken(order), last + 1 + frozen_s


@pytest.mark.parametrize("frozen_s", [0, 60])
@pytest.mark.parametrize("clock_goes", ["on", "back"])
def test_an_approach_flown_again_from_a_saved_point_is_an_approach_of_its_own(
    frozen_s: int, clock_goes: str, debrief: Debriefing
) -> None:
    rows, place = again(rows_of("clean_lpv"), frozen_s)
    # The second attempt is flown 19 m beside the first, so that nothing but the clock tells them apart.
    rows = rows.moved(place, 0.00018)
    if clock_goes == "on":
        rows = rows.on_end()
    elif frozen_s:
        first = rows.on_end().times[:place]
        rows = Rows(rows.head, [*first, *rows.times[place:]], rows.rest)
    document, samples = debrief("clean_lpv", rows)
    plain, _ = debrief("clean_lpv", rows_of("clean_lpv"))

    assert len(samples) == len(rows.rest)
    expected = {"jump"} if clock_goes == "on" else {"clock-step"}
    assert set(faults(document)) == expected | ({"frozen-position"} if frozen_s else set())
    assert [approach["outcome"] for approach in document["approaches"]] == ["discontinued", "landed"]
    assert document["approaches"][1]["lowest_altitude_ft"] == plain["approaches"][0]["lowest_altitude_ft"]
    ids = [leg["id"] for leg in document["legs"]]
    assert ids[-4:] == ["A1.2", "A1.3", "A1.2-2", "A1.3-2"]
    begins = pd.Timestamp(samples["time"].iloc[place])
    for leg in document["legs"]:
        start, end = pd.Timestamp(leg["start"]), pd.Timestamp(leg["end"])
        assert (end < begins) if not leg["id"].endswith("-2") else (start >= begins)
    for finding in document["findings"]:
        start, end = pd.Timestamp(finding["from"]), pd.Timestamp(finding["to"])
        assert end < begins or start >= begins
    of_first = [finding for finding in document["findings"] if finding["leg"] == "A1.3"]
    assert {finding["verdict"] for finding in of_first} == {"within"}
    assert any("the log goes on" in fact["text"] for fact in document["facts"])
    assert not any("issed approach" in fact["text"] for fact in document["facts"])


def test_an_approach_left_in_a_climb_and_flown_again(debrief: Debriefing) -> None:
    """The missed approach of one sample, put back on to final while it climbs."""
    rows = rows_of("vectors_and_dip")
    climbing, saved = rows.at("10:19:00"), rows.at("10:12:00")
    order = [*range(climbing), *range(saved, rows.at("10:20:00"))]
    document, samples = debrief("vectors_and_dip", rows.taken(order).on_end())

    assert faults(document) == {"jump": 1}
    assert [approach["outcome"] for approach in document["approaches"]] == ["missed", "missed"]
    begins = pd.Timestamp(samples["time"].iloc[climbing])
    first, second = document["missed"]
    assert pd.Timestamp(first["started_at"]) < begins <= pd.Timestamp(second["started_at"])
    # Each is the mean of its own climb, the first of them cut short by a minute.
    assert first["climb_ft_per_nm"] == pytest.approx(second["climb_ft_per_nm"], rel=0.1)


@pytest.mark.parametrize("factor", [2, 4])
def test_seconds_of_accelerated_time_are_those_flown(factor: int, debrief: Debriefing) -> None:
    """The excursion of the glidepath needle, with every second or fourth row of the final left."""
    rows = rows_of("vectors_and_dip")
    first, stop = rows.at("10:13:40"), rows.at("10:16:04")
    order = [*range(first), *range(first, stop, factor), *range(stop, len(rows.rest))]
    plain, _ = debrief("vectors_and_dip", rows)
    document, samples = debrief("vectors_and_dip", rows.taken(order).on_end())

    assert faults(document) == {"time-acceleration": 1}
    (before,) = [finding for finding in plain["findings"] if finding["verdict"] == "outside"]
    (after,) = [finding for finding in document["findings"] if finding["verdict"] == "outside"]
    assert after["what"] == before["what"]
    assert after["excursions"] == before["excursions"]
    assert after["worst"] == pytest.approx(before["worst"], abs=0.05)
    # Seen every few seconds, each end of it is known to as much.
    assert after["outside_s"] == pytest.approx(before["outside_s"], abs=factor)
    assert after["correcting_after_s"] == pytest.approx(before["correcting_after_s"], abs=factor + 1)
    assert f"Time ran at {factor} times here: seconds are those flown" in after["reason"]
    assert (when(after["to"]) - when(after["from"])).total_seconds() < 0.8 * 180.0
    assert len(samples) == len(order)
    assert [leg["id"] for leg in document["legs"]] == [leg["id"] for leg in plain["legs"]]


def test_the_page_tells_of_parts_pauses_and_hurry(debrief: Debriefing, tmp_path: Path) -> None:
    rows, _place = again(rows_of("clean_lpv"), 0)
    start, stop = rows.at("13:20:00"), rows.at("13:23:00")
    order = [*range(600), *([600] * 90), *range(601, start), *range(start, stop, 2), *range(stop, len(rows.rest))]
    debrief("clean_lpv", rows.taken(order).on_end())
    page = (tmp_path / "debrief.html").read_text()

    assert "1 jump: 2 parts, each with legs and approaches of its own" in page
    assert "1 min 29 s in all, cut out of every duration" in page
    assert "1 min 30 s of the log at 2 times; durations there are those flown" in page
    assert "the position is not that of the time in 89 of" in page


def test_two_samples_on_the_apron_are_no_leg(debrief: Debriefing) -> None:
    """A logger that was switched on, went to sleep, and woke up in the climb."""
    rows = rows_of("clean_lpv")
    late = rows.at("13:05:00")
    document, samples = debrief("clean_lpv", rows.taken([0, 1, *range(late, len(rows.rest))]))

    assert samples["phase"].tolist()[:2] == ["ground", "ground"]
    assert samples["leg"].isna().tolist()[:2] == [True, True]
    assert document["legs"][0]["id"] == "R1"
    assert when(document["legs"][0]["start"]) == rows.times[late]
