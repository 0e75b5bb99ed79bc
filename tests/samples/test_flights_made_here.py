"""Flights that are flown for the test and not stored: over the date line; a fix flown over, an approach flown twice."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from builders.tarn import second_try
from builders.tarn.places import FIXES
from builders.tarn.recorder import csv_text
from builders.tarn.sample import Sample
from samples.debriefed import Debriefed, debrief_of, stretch_column, when

EAST_DEG = -152.9
"""Turns the islands to 180 degrees: the runway's threshold at the date line, the route across it."""


def moved_lon(lon_deg: float) -> float:
    return (lon_deg + EAST_DEG + 180.0) % 360.0 - 180.0


def written(folder: Path, files: dict[str, str]) -> Path:
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text)
    return folder


@pytest.fixture(scope="module")
def at_the_date_line(flown: dict[str, Sample], tmp_path_factory: pytest.TempPathFactory) -> Debriefed:
    """The clean flight with every longitude turned, and magnetic headings with it: the ellipsoid is round."""
    sample, out = flown["clean_lpv"], tmp_path_factory.mktemp("date_line")
    flight = sample.flight
    lines = csv_text(sample.rows).splitlines()
    heading_column = lines[0].split(",").index("Heading deg mag")
    here_deg = flight.variation_at(FIXES["RW27"])
    there_deg = flight.variation_at(type(FIXES["RW27"])(FIXES["RW27"].lat_deg, moved_lon(FIXES["RW27"].lon_deg)))
    for number, line in enumerate(lines[1:], start=1):
        cells = line.split(",")
        cells[2] = f"{moved_lon(float(cells[2])):.7f}"
        cells[heading_column] = f"{(float(cells[heading_column]) + here_deg - there_deg) % 360.0:.2f}"
        lines[number] = ",".join(cells)
    lesson = re.sub(
        r"lon_deg = (-?[\d.]+)",
        lambda found: f"lon_deg = {moved_lon(float(found[1])):.6f}",
        sample.files["lesson.toml"].replace("course_deg_mag = 270.7", "course_deg_true = 262.4"),
    )
    files = {"track.csv": "\n".join(lines) + "\n", "lesson.toml": lesson, "truth.toml": sample.files["truth.toml"]}
    return debrief_of(written(out / "flight", files), out, "faa-instrument")


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory) -> Debriefed:
    out = tmp_path_factory.mktemp("twice")
    return debrief_of(written(out / "flight", second_try.build().files), out, "faa-instrument")


def test_date_line_changes_no_figure(at_the_date_line: Debriefed, debriefed: Callable[..., Debriefed]) -> None:
    """Symmetry of the ellipsoid: elsewhere on the parallel a flight has the same deviations to the last decimal."""
    here, there = debriefed("clean_lpv").samples, at_the_date_line.samples

    assert there["lon_deg"].min() < -179.0
    assert there["lon_deg"].max() > 179.0
    assert there["guidance"].tolist() == here["guidance"].tolist()
    assert there["leg"].fillna("").tolist() == here["leg"].fillna("").tolist()
    for column, tolerance in (
        ("cross_track_nm", 2e-6),
        ("along_track_to_go_nm", 2e-6),
        ("lateral_needle", 2e-4),
        ("vertical_needle", 1e-4),
        ("track_error_deg", 1e-3),
    ):
        np.testing.assert_allclose(
            there[column].to_numpy(dtype=float), here[column].to_numpy(dtype=float), atol=tolerance, rtol=0,
            err_msg=column,
        )  # fmt: skip


def test_date_line_changes_no_verdict(at_the_date_line: Debriefed, debriefed: Callable[..., Debriefed]) -> None:
    def verdicts(debrief: Debriefed) -> list[tuple[str, str]]:
        return [(finding["what"], finding["verdict"]) for finding in debrief.document["findings"]]

    assert verdicts(at_the_date_line) == verdicts(debriefed("clean_lpv"))


@pytest.mark.parametrize("key", ["guidance", "leg"])
def test_approach_flown_twice_is_followed(key: str, twice: Debriefed) -> None:
    got = (twice.samples["guidance"] if key == "guidance" else twice.leg_names()).tolist()

    assert twice.share_right(got, stretch_column(twice.samples, twice.truth, key)) >= 0.97, twice.disagreements(
        got, stretch_column(twice.samples, twice.truth, key)
    )


def test_approach_flown_twice_stands_twice(twice: Debriefed) -> None:
    flown = [f"{leg['from'] or ''}-{leg['to']}" for leg in twice.document["legs"]]

    assert [approach["outcome"] for approach in twice.document["approaches"]] == ["missed", "landed"]
    assert flown.count("HOLMA-FERNU") == flown.count("FERNU-RW27") == 2
    assert len(twice.document["missed"]) == 1


def test_leg_changes_on_passing_a_fix_flown_over(twice: Debriefed) -> None:
    (passed,) = twice.planted("fly-over")
    (after,) = (leg for leg in twice.document["legs"] if leg["from"] == "CALDU")

    assert abs(when(after["start"]) - passed["passed"]) <= dt.timedelta(seconds=2)
