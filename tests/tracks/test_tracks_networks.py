"""Recordings of a receiver network: positions that lag, lead and repeat, and no pause, jump or hurry among them.

What is expected is what their source says: "between updates the last known position can repeat or lag by seconds".
"""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from legwise.tracks import mend, read_raw_track

RECORDINGS = sorted((Path(__file__).parents[1] / "data" / "adsb").glob("*.csv.gz"))


def test_there_are_recordings() -> None:
    assert len(RECORDINGS) == 7


@pytest.mark.parametrize("path", RECORDINGS, ids=[path.name.partition(".")[0] for path in RECORDINGS])
@pytest.mark.parametrize("recorded", ["speed and track", "positions alone"])
def test_a_network_s_delays_are_no_habit_of_a_simulator(path: Path, recorded: str) -> None:
    raw = read_raw_track(path)
    if recorded == "positions alone":
        raw = dataclasses.replace(raw, samples=dataclasses.replace(raw.samples, channels={}))
    track = mend(raw, as_one=True)

    assert {fault.kind for fault in track.faults} <= {
        "frozen-position",
        "sudden-speed",
        "drop-out",
        "standing-still",
        "gap",
    }
    assert track.breaks == ()
    assert track.time_factor is None
    assert len(track) == track.samples_read
