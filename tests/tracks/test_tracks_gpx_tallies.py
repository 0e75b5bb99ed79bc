"""The tally of every GPX recording: stated here, counted by another parser, and found by the reader and mending."""

from __future__ import annotations

import datetime as dt
import statistics
import xml.etree.ElementTree as ET
from collections.abc import Callable, Mapping
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
import pytest

from legwise.errors import TrackTimeError
from legwise.tracks import mend, read_raw_track

Recording = Callable[[str], Path]

NONE: Mapping[str, int] = MappingProxyType({})


class Tally(NamedTuple):
    """Track points; records with a time and a position; kept ones (0: fewer than two, an error); faults by kind."""

    points: int
    samples: int
    kept: int
    faults: Mapping[str, int] = NONE


# What the list that the recordings came with says of each, and what the count below adds.
TALLIES = {
    "gpx_hike_1.gpx": Tally(871, 513, 513, {"no-time": 358, "segment": 1, "gap": 34}),
    "gpx_hike_2.gpx": Tally(296, 296, 296, {"segment": 6, "gap": 25}),
    "gpx_car.gpx": Tally(104, 104, 104, {"gap": 15}),
    "gpx_no_times.gpx": Tally(296, 5, 5, {"no-time": 291}),
    "gpx_no_elevations.gpx": Tally(296, 295, 295, {"no-time": 1, "segment": 6, "gap": 25}),
    "gpx_empty_segment.gpx": Tally(9, 9, 9),
    "gpx_fractional_seconds.gpx": Tally(2, 2, 2),
    "gpx_bad_dilution.gpx": Tally(1, 0, 0),
    "gpx10_speed.gpx": Tally(3, 3, 3),
    "gpx_small_floats_exponent.gpx": Tally(3, 0, 0),
    "gpx10_all_fields.gpx": Tally(1, 1, 0),
    "gpx11_all_fields.gpx": Tally(1, 1, 0),
    "gpx_multi_track.gpx": Tally(117, 117, 117, {"segment": 2, "gap": 2}),
    "gpx_empty_ele.gpx": Tally(2, 2, 0),
    "gpx_fault_malformed.gpx": Tally(2, 0, 0),
    "gpx_single_point.gpx": Tally(1, 1, 0),
}
NO_TRACK = {
    "gpx_bom.gpx": "waypoints but no track",
    "gpx_route.gpx": "a route but no track",
    "gpx11_extensions.gpx": "waypoints but no track",
}
COUNTED = ("no-time", "blank-position", "repeated-time", "segment", "gap")
"""Kinds that follow from the file alone; what mending judges of the flight has tests of its own."""


def a_time(text: str | None) -> float | None:
    if not text:
        return None
    time = dt.datetime.fromisoformat(text.strip())
    return (time if time.tzinfo else time.replace(tzinfo=dt.UTC)).timestamp()


def a_number(text: str | None) -> float | None:
    return float(text) if text and text.strip("+-.e0123456789") == "" else None


def elements(path: Path) -> list[ET.Element]:
    """All of a file, in its order, by another parser; the recordings are known."""
    return list(ET.parse(path).iter())  # noqa: S314


def counted(path: Path) -> Tally:
    """The tally by ElementTree and the definitions of the words."""
    records: list[tuple[float | None, tuple[float | None, float | None], int]] = []
    segments = [element for element in elements(path) if element.tag.endswith("trkseg")]
    for number, segment in enumerate(segments):
        for point in segment:
            times = [a_time(child.text) for child in point if child.tag.endswith("time")]
            place = (a_number(point.get("lat")), a_number(point.get("lon")))
            records.append((times[0] if times else None, place, number))
    usable = [(time, number) for time, place, number in records if time is not None and None not in place]
    kept = list(dict.fromkeys(sorted(usable)))
    instants = sorted({time for time, _number in kept})
    if len(instants) < 2:
        return Tally(len(records), len(usable), 0)
    steps = [later - sooner for sooner, later in pairwise(instants)]
    faults = {
        "no-time": sum(time is None for time, _place, _number in records),
        "blank-position": sum(time is not None and None in place for time, place, _number in records),
        "repeated-time": len(usable) - len(instants),
        "segment": sum(a[1] != b[1] for a, b in pairwise(kept)),
        "gap": sum(step > max(5 * statistics.median(steps), 10) for step in steps),
    }
    return Tally(len(records), len(usable), len(instants), {kind: count for kind, count in faults.items() if count})


def test_every_recording_has_its_tally(recording: Recording) -> None:
    assert {path.name for path in recording("x").parent.glob("*.gpx")} == {*TALLIES, *NO_TRACK}


@pytest.mark.parametrize("name", TALLIES)
def test_the_tally_is_what_another_parser_counts(name: str, recording: Recording) -> None:
    assert counted(recording(name)) == TALLIES[name]


@pytest.mark.parametrize("name", TALLIES)
def test_the_tally_is_found(name: str, recording: Recording) -> None:
    tally = TALLIES[name]
    raw = read_raw_track(recording(name), utc_offset="+00:00")
    samples = raw.samples
    assert len(samples) == tally.points
    usable = np.isfinite(samples.time_s) & np.isfinite(samples.lat_deg) & np.isfinite(samples.lon_deg)
    assert int(usable.sum()) == tally.samples
    if not tally.kept:
        with pytest.raises(TrackTimeError, match=r"times are needed|needs two"):
            mend(raw)
        return
    track = mend(raw)
    assert (track.samples_read, len(track)) == (tally.samples, tally.kept)
    assert {fault.kind: fault.count for fault in track.faults if fault.kind in COUNTED} == tally.faults


@pytest.mark.parametrize("name", NO_TRACK)
def test_a_recording_without_a_track_says_what_it_holds(name: str, recording: Recording) -> None:
    assert not [element for element in elements(recording(name)) if element.tag.endswith("trkpt")]
    with pytest.raises(TrackTimeError, match=NO_TRACK[name]):
        read_raw_track(recording(name))


def test_points_without_numbers_are_counted_and_lose_nothing_else(recording: Recording) -> None:
    path = recording("gpx_fault_malformed.gpx")
    raw = read_raw_track(path)

    points = [element for element in elements(path) if a_number(element.get("lat", "0")) is None]
    named = [element for element in points if not element.tag.endswith("trkpt")]
    assert sum(fault.count for fault in raw.faults if fault.kind == "unreadable-value") == len(points) == 5
    assert sum(fault.count for fault in raw.faults if fault.kind == "blank-position") == len(named) == 3
    assert np.isfinite(raw.samples.time_s).all()
