"""The demo, from the checkout: what it writes, what it says, and that it says the same twice."""

from __future__ import annotations

import json
import pathlib
import signal
import subprocess
import time
from collections.abc import Callable
from typing import Any

import jsonschema
import pandas as pd
import pytest

from legwise.cli import demo as demo_verb
from legwise.record import json_schema

Run = Callable[..., Any]
FILES = [".legwise", "debrief.html", "debrief.json", "samples.csv"]


def contents(folder: pathlib.Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_demo_debriefs_every_sample_and_twice_the_same(legwise: Run, tmp_path: pathlib.Path) -> None:
    first, second = legwise("demo"), legwise("demo", "--out", "again", "--quiet")

    assert (first.status, first.err) == (0, "")
    assert (second.status, second.out, second.err) == (0, "", "")
    made = contents(tmp_path / "reports" / "demo")
    flights = sorted(demo_verb.sample_flights())
    assert len(flights) == 3
    assert sorted(made) == sorted([".legwise", *(f"{flight}/{name}" for flight in flights for name in FILES)])
    assert made == contents(tmp_path / "again")
    for flight in flights:
        assert f"reports/demo/{flight}/debrief.html" in first.out
        told = json.loads(made[f"{flight}/debrief.json"])
        jsonschema.Draft202012Validator(json_schema()).validate(told)
        samples = pd.read_csv(tmp_path / "again" / flight / "samples.csv")
        assert len(samples) == told["track"]["kept"] > 1000
        assert set(samples["leg"].dropna()) == {leg["id"] for leg in told["legs"]}
        assert pd.to_datetime(samples["time"]).is_monotonic_increasing


def test_a_second_demo_replaces_the_first_and_nothing_else(legwise: Run, tmp_path: pathlib.Path) -> None:
    out = tmp_path / "reports" / "demo"
    assert legwise("demo").status == 0
    (out / "note.txt").write_text("mine")
    refused = legwise("demo")

    assert refused.status == 2
    assert "note.txt" in refused.err
    (out / "note.txt").unlink()
    assert legwise("demo").status == 0

    track = demo_verb.sample_flights()["clean_lpv"]
    assert legwise("debrief", track, "--out", out / "clean_lpv").status == 0, "a flight's folder is one of ours too"
    assert legwise("demo").status == 0


def test_samples_that_are_missing_are_told(
    legwise: Run, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo_verb, "SAMPLE_PLACES", (tmp_path / "nowhere",))
    done = legwise("demo")

    assert done.status == 2
    assert "sample flights are missing" in done.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_a_demo_that_is_broken_off_leaves_no_litter(
    command: Callable[..., subprocess.Popen[bytes]], tmp_path: pathlib.Path, how: signal.Signals
) -> None:
    running = command("demo")
    deadline = time.monotonic() + 60
    while not list(tmp_path.glob("reports/.legwise-*/new/*/debrief.html")):
        assert time.monotonic() < deadline
        assert running.poll() is None
        time.sleep(0.005)
    running.send_signal(how)
    _, err = running.communicate(timeout=60)

    assert running.returncode == 130
    assert err == b"legwise: interrupted; nothing was written\n"
    assert list(tmp_path.iterdir()) == []
