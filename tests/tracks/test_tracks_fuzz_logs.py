"""Whole logs of every format, damaged or not: a track or an error in words, and what was put in comes out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind, RawTrack, Samples
from legwise.tracks import ReadLimits, mend, read_raw_bytes, read_raw_track
from tracks.flight_dresses import DRESSES, Dress, Flight, gzipped
from tracks.track_promises import told_or_read
from tracks.track_strategies import damaged_logs, dresses, flights, wrappings

LIMITS = ReadLimits(
    max_file_bytes=100_000, max_bytes=200_000, max_rows=400, max_depth=20, max_columns=60, max_members=5
)
M_PER_FT = 0.3048
DATES = st.sampled_from([None, dt.date(2026, 4, 18)])
OFFSETS = st.sampled_from([None, "+00:00", "-03:30"])


def times_of(flight: Flight) -> FloatArray:
    return np.array([at.time.timestamp() for at in flight])


def height_m(samples: Samples) -> FloatArray:
    return samples.altitudes_ft[AltitudeKind.GNSS_MSL] * M_PER_FT


@settings(deadline=None, derandomize=True, max_examples=600)
@given(data=damaged_logs(), date=DATES, utc_offset=OFFSETS)
def test_a_damaged_log_is_a_track_or_an_error_in_words(
    data: bytes, date: dt.date | None, utc_offset: str | None
) -> None:
    told_or_read(data, LIMITS, utc_offset=utc_offset, date=date)


@pytest.mark.parametrize("dress", DRESSES, ids=lambda dress: dress.write.__name__)
@settings(deadline=None, derandomize=True, max_examples=60)
@given(data=st.data())
def test_what_was_put_in_comes_out(dress: Dress, data: st.DataObject) -> None:
    flight = data.draw(flights(whole_seconds=dress.time_s == 0.0))
    wrap = data.draw(wrappings)
    raw = read_raw_bytes(wrap(dress.write(flight)), "log")

    assert raw.source.format == dress.format
    samples = raw.samples
    assert samples.time_s == pytest.approx(times_of(flight), abs=dress.time_s + 1e-6)
    assert samples.lat_deg == pytest.approx([at.lat_deg for at in flight], abs=dress.position_deg)
    assert samples.lon_deg == pytest.approx([at.lon_deg for at in flight], abs=dress.position_deg)
    track = mend(raw)
    assert len(track) == track.samples_read == len(flight)
    if dress.format != "IGC":
        assert height_m(samples) == pytest.approx([at.height_m for at in flight], abs=dress.height_m + 1e-6)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(flights())
def test_one_flight_in_every_format_is_the_same_flight(flight: Flight) -> None:
    tracks = [(dress, mend(read_raw_bytes(dress.write(flight), "log"))) for dress in DRESSES]

    (first, one), *others = tracks
    for dress, other in others:
        within_deg = first.position_deg + dress.position_deg
        assert other.samples.time_s == pytest.approx(one.samples.time_s, abs=1e-6), dress.format
        assert other.samples.lat_deg == pytest.approx(one.samples.lat_deg, abs=within_deg), dress.format
        assert other.samples.lon_deg == pytest.approx(one.samples.lon_deg, abs=within_deg), dress.format
        assert other.interval_s == one.interval_s


@settings(deadline=None, derandomize=True, max_examples=150)
@given(damaged_logs())
def test_mending_again_changes_nothing(data: bytes) -> None:
    outcome = told_or_read(data, LIMITS, utc_offset="+00:00", date=dt.date(2026, 4, 18))
    if not isinstance(outcome, tuple):
        return
    track = outcome[1]
    again = mend(RawTrack(samples=track.samples, source=track.source, route=track.route, waypoints=track.waypoints))

    assert same(again.samples, track.samples)
    assert again.interval_s == track.interval_s


@settings(deadline=None, derandomize=True, max_examples=60)
@given(flight=flights(), dress=dresses, wrap=wrappings)
def test_bytes_are_read_as_the_file_is(flight: Flight, dress: Dress, wrap: Callable[[bytes], bytes]) -> None:
    data = wrap(dress.write(flight))
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log"
        path.write_bytes(data)
        of_file = read_raw_track(path)
    of_bytes = read_raw_bytes(data, "log")

    assert same(of_file.samples, of_bytes.samples)
    assert of_file.source == of_bytes.source
    assert of_file.faults == of_bytes.faults


@settings(deadline=None, derandomize=True, max_examples=60)
@given(flight=flights(), dress=dresses)
def test_reading_twice_gives_the_same(flight: Flight, dress: Dress) -> None:
    data = gzipped(dress.write(flight))
    one, other = mend(read_raw_bytes(data, "log")), mend(read_raw_bytes(data, "log"))

    assert same(one.samples, other.samples)
    assert (one.source, one.faults) == (other.source, other.faults)


def same(one: Samples, other: Samples) -> bool:
    """Whether two tables hold the same, missing values at the same places."""
    if one.altitudes_ft.keys() != other.altitudes_ft.keys() or one.channels.keys() != other.channels.keys():
        return False
    pairs = [
        (one.time_s, other.time_s),
        (one.lat_deg, other.lat_deg),
        (one.lon_deg, other.lon_deg),
        (one.line, other.line),
        (one.segment, other.segment),
        *((values, other.altitudes_ft[kind]) for kind, values in one.altitudes_ft.items()),
        *((values, other.channels[name]) for name, values in one.channels.items()),
    ]
    return all(np.array_equal(left, right, equal_nan=True) for left, right in pairs)
