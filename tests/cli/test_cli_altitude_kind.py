"""What ``inspect`` and ``debrief`` say of the kind of the altitude, and of the check on the ground."""

from __future__ import annotations

import json
import pathlib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from measure.altimetry_flights import AWAY, HOME, Logged, log_of

Run = Callable[..., Any]

LESSON = f"""
[lesson]
date = 2026-04-18

[route]
text = "XTBN MIDLE XSKH"
altitude_ft = 5000

[[clearance]]
altitude_ft = 5000
time = 13:01:30

[[fix]]
ident = "XTBN"
lat_deg = {HOME[0]}
lon_deg = {HOME[1]}
kind = "airport"
elevation_ft = {HOME[2]}

[[fix]]
ident = "MIDLE"
lat_deg = {(HOME[0] + AWAY[0]) / 2}
lon_deg = {(HOME[1] + AWAY[1]) / 2}

[[fix]]
ident = "XSKH"
lat_deg = {AWAY[0]}
lon_deg = {AWAY[1]}
kind = "airport"
elevation_ft = {AWAY[2]}
"""


@pytest.fixture
def flown(tmp_path: pathlib.Path) -> Callable[[str, Logged], pathlib.Path]:
    """A flight with one altitude, under a heading."""

    def write(heading: str, channel: Logged) -> pathlib.Path:
        path = tmp_path / "flight.csv"
        path.write_text(log_of({heading: channel}), encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize(
    ("heading", "channel", "kind", "reason"),
    [
        ("Altitude", lambda h: h, "unknown", "the log does not say; there is no other altitude to compare"),
        ("Altitude", lambda h: np.round(h / 25) * 25, "pressure", "it goes by steps of 25 ft, as transponders encode"),
        ("Altitude indicated ft", lambda h: h, "indicated", "as the log names it"),
    ],
)
def test_inspect_says_the_kind_and_why(
    heading: str,
    channel: Logged,
    kind: str,
    reason: str,
    legwise: Run,
    flown: Callable[[str, Logged], pathlib.Path],
) -> None:
    track = flown(heading, channel)
    text, data = legwise("inspect", track), json.loads(legwise("inspect", track, "--json").out)

    assert f"\naltitude: {kind} ({reason}" in text.out
    assert data["altitude_source"] == kind
    if heading == "Altitude":
        assert any(reason in note for note in data["notes"])


def test_no_verdict_is_closer_than_the_gap_on_the_ground(
    legwise: Run, flown: Callable[[str, Logged], pathlib.Path], tmp_path: pathlib.Path
) -> None:
    lesson = tmp_path / "lesson.toml"
    lesson.write_text(LESSON, encoding="utf-8")
    track = flown("Altitude indicated ft", lambda height: height + 120.0)

    assert legwise("debrief", track, "--lesson", lesson, "--out", "out").status == 0
    found = json.loads((tmp_path / "out" / "debrief.json").read_text(encoding="utf-8"))
    altitudes = [finding for finding in found["findings"] if finding["what"].startswith("altitude")]

    assert [finding["verdict"] for finding in altitudes] == ["undecided"]
    assert altitudes[0]["worst"] > 100.0
    assert altitudes[0]["uncertainty"] >= 120.0
    page = (tmp_path / "out" / "debrief.html").read_text(encoding="utf-8")
    assert "So no verdict on an altitude is closer than 120 ft." in page
    assert "Was the altimeter set 4 hPa too high?" in page
