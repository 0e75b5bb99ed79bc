"""NMEA 0183: real files against a plain count of their lines, and against pynmea2 as an independent reader."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pynmea2
import pytest

from legwise.model.track import AltitudeKind, Channel
from legwise.tracks import mend, read_raw_track
from legwise.units import FT_PER_M
from tracks.nmea_logs import checksum

Recording = Callable[[str], Path]

FILES = (
    "nmea_moving_146s.nmea",
    "nmea_static_multi_constellation_61s.nmea",
    "nmea_slow_72s_no_fix_at_start.nmea",
    "nmea_odd_sentences.nmea",
    "nmea_rmc_only_void_then_valid.nmea",
    "nmea_bad_checksums.nmea",
)

# What the list says that the recordings came with: how many sentences of each type.
SAID = {
    "nmea_moving_146s.nmea": {"RMC": 146, "GGA": 138},
    "nmea_rmc_only_void_then_valid.nmea": {"RMC": 90},
    "nmea_bad_checksums.nmea": {"GGA": 23, "RMC": 23},
}


def lines_of(path: Path) -> list[str]:
    return [line.strip() for line in path.read_text(encoding="ascii").split("\n")]


def is_right(line: str) -> bool:
    return checksum(line[1 : line.index("*")]) == int(line[-2:], 16)


def plain_count(lines: list[str]) -> tuple[int, int, int]:
    """Times with a fix, times without one, and wrong checksums, by nothing but a walk over the lines.

    In none of these files does a time of day come again after another one.
    """
    said: dict[str, set[str]] = {}
    wrong = 0
    for line in lines:
        if not line:
            continue
        if not is_right(line):
            wrong += 1
            continue
        cells = line.split("*")[0].split(",")
        kind = cells[0][3:]
        if kind in ("RMC", "GGA", "GLL"):
            time = cells[{"RMC": 1, "GGA": 1, "GLL": 5}[kind]]
            word = cells[{"RMC": 2, "GGA": 6, "GLL": 6}[kind]]
            said.setdefault(time, set()).add({"A": "fix", "V": "void", "0": "void"}.get(word, "fix"))
    fixes = sum("fix" in words for words in said.values())
    return fixes, len(said) - fixes, wrong


@pytest.mark.parametrize("name", FILES)
def test_recordings_hold_what_a_plain_count_finds(name: str, recording: Recording) -> None:
    raw = read_raw_track(recording(name))

    faults = {fault.kind: fault.count for fault in raw.faults}
    found = (len(raw.samples), faults.get("void-fix", 0), faults.get("bad-checksum", 0))
    assert found == plain_count(lines_of(recording(name)))
    assert mend(raw).samples_read == len(raw.samples)


def test_recordings_hold_what_their_list_says(recording: Recording) -> None:
    # Of 90 RMC 20 are void, all 23 GGA have a wrong checksum; the slow one has no fix at first.
    rmc_only = read_raw_track(recording("nmea_rmc_only_void_then_valid.nmea"))
    assert len(rmc_only.samples) == 70
    assert [(fault.kind, fault.count) for fault in rmc_only.faults] == [("void-fix", 20)]

    bad = read_raw_track(recording("nmea_bad_checksums.nmea"))
    assert len(bad.samples) == 23
    assert [(fault.kind, fault.count) for fault in bad.faults] == [("bad-checksum", 23)]
    assert "23 GGA" in bad.faults[0].detail
    assert not bad.samples.altitudes_ft

    slow = read_raw_track(recording("nmea_slow_72s_no_fix_at_start.nmea"))
    assert [fault.kind for fault in slow.faults] == ["void-fix"]
    assert "line 2," in slow.faults[0].detail.replace("lines", "line")


@pytest.mark.parametrize("name", FILES)
def test_sentences_are_counted_by_type(name: str, recording: Recording) -> None:
    raw = read_raw_track(recording(name))

    types = [line.split(",")[0][3:] for line in lines_of(recording(name)) if line and is_right(line)]
    told = " ".join(note for note in raw.source.notes if note.startswith(("read:", "not used:")))
    for kind in ("RMC", "GGA", "GLL", "VTG", "ZDA"):
        assert (f"{types.count(kind)} {kind}" in told) == (kind in types)
    for kind, count in SAID.get(name, {}).items():
        assert kind not in types or types.count(kind) == count


def parsed(path: Path) -> Iterator[tuple[int, Any]]:
    """What pynmea2 makes of the sentences with a right checksum, with their lines."""
    for number, line in enumerate(lines_of(path), 1):
        if line and is_right(line) and line[3:6] in ("RMC", "GGA", "VTG"):
            yield number, pynmea2.parse(line, check=True)


@pytest.mark.parametrize("name", FILES)
def test_rmc_values_are_those_of_an_independent_reader(name: str, recording: Recording) -> None:
    samples = read_raw_track(recording(name)).samples

    index = {round(time, 3): row for row, time in enumerate(samples.time_s.tolist())}
    seen = 0
    for _line, message in parsed(recording(name)):
        if message.sentence_type != "RMC" or message.status != "A":
            continue
        row = index[round(message.datetime.timestamp(), 3)]
        assert (samples.lat_deg[row], samples.lon_deg[row]) == (message.latitude, message.longitude)
        assert samples.channels[Channel.GROUNDSPEED_KT][row] == message.spd_over_grnd
        if message.true_course is not None:
            assert samples.channels[Channel.TRACK_DEG_TRUE][row] == message.true_course
        seen += 1
    assert seen > 10


@pytest.mark.parametrize("name", [name for name in FILES if name not in SAID or name.startswith("nmea_moving")])
def test_gga_values_are_those_of_an_independent_reader(name: str, recording: Recording) -> None:
    samples = read_raw_track(recording(name)).samples

    seconds = samples.time_s % 86_400.0
    msl, ellipsoid = (samples.altitudes_ft[kind] for kind in (AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID))
    seen = 0
    for _line, message in parsed(recording(name)):
        if message.sentence_type != "GGA" or message.gps_qual == 0:
            continue
        midnight = dt.datetime.combine(dt.date(1970, 1, 1), message.timestamp.replace(tzinfo=dt.UTC))
        (row,) = np.flatnonzero(np.abs(seconds - midnight.timestamp()) < 1e-3)
        assert msl[row] == pytest.approx(message.altitude * FT_PER_M, abs=1e-6)
        assert ellipsoid[row] == pytest.approx((message.altitude + float(message.geo_sep)) * FT_PER_M, abs=1e-6)
        assert samples.channels[Channel.HDOP][row] == float(message.horizontal_dil)
        seen += 1
    assert seen == int(np.isfinite(msl).sum())


def test_magnetic_tracks_are_those_of_an_independent_reader(recording: Recording) -> None:
    # In this file every VTG follows the RMC of its time.
    path = recording("nmea_moving_146s.nmea")
    samples = read_raw_track(path).samples

    expected: dict[float, float] = {}
    latest: float | None = None
    for _line, message in parsed(path):
        if message.sentence_type == "RMC":
            latest = message.datetime.timestamp()
        elif message.sentence_type == "VTG" and latest is not None and message.mag_track is not None:
            expected.setdefault(latest, float(message.mag_track))
            latest = None
    found = samples.channels[Channel.TRACK_DEG_MAG]
    index = {time: row for row, time in enumerate(samples.time_s.tolist())}
    assert len(expected) > 140
    assert {time: found[index[time]] for time in expected} == expected


@pytest.mark.parametrize("name", FILES)
def test_lines_are_those_of_the_first_sentence_of_a_time(name: str, recording: Recording) -> None:
    samples = read_raw_track(recording(name)).samples

    lines = lines_of(recording(name))
    for line, time_s in zip(samples.line.tolist(), samples.time_s.tolist(), strict=True):
        clock = dt.datetime.fromtimestamp(time_s, dt.UTC).strftime("%H%M%S")
        first = next(number for number, text in enumerate(lines, 1) if f",{clock}" in text and carries(text, time_s))
        assert line == first


def carries(text: str, time_s: float) -> bool:
    """Whether a line is a right sentence with a position and this time."""
    if text[3:6] not in ("RMC", "GGA", "GLL") or not is_right(text):
        return False
    time = text.split(",")[5 if text[3:6] == "GLL" else 1]
    seconds = int(time[:2]) * 3600 + int(time[2:4]) * 60 + float(time[4:])
    return abs(time_s % 86_400.0 - seconds) < 1e-3
