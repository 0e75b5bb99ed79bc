"""Limits: what is read stays inside them, what is beyond is refused by name; and shapes that are made to cost much."""

from __future__ import annotations

import datetime as dt

import pytest

from campaigns.hostile_shapes import HONEST, honest
from campaigns.hostile_table import SHAPES
from legwise.errors import TrackFileError, TrackFormatError
from legwise.tracks import ReadLimits, mend, read_raw_bytes
from tracks.flight_dresses import DRESSES, Dress, Flight, Moment, as_gpx, as_kml, gzipped, zipped
from tracks.track_promises import told_or_read

DATE = dt.date(2026, 4, 18)
START = dt.datetime(2026, 4, 18, 10, 0, tzinfo=dt.UTC)
FLIGHT: Flight = tuple(
    Moment(START + dt.timedelta(seconds=n), 46.5 + n * 0.0005, -28.0, 900.0 + n, 108.0, 0.0) for n in range(40)
)
every_dress = pytest.mark.parametrize("dress", DRESSES, ids=lambda dress: dress.write.__name__)


@every_dress
def test_as_many_records_as_the_limit_are_read_and_one_more_is_refused(dress: Dress) -> None:
    data = dress.write(FLIGHT)
    assert len(mend(read_raw_bytes(data, "log", limits=ReadLimits(max_rows=len(FLIGHT))))) == len(FLIGHT)

    with pytest.raises(TrackFileError, match=r"more than 39 (records|points|fixes|positions|times)") as caught:
        read_raw_bytes(data, "log", limits=ReadLimits(max_rows=len(FLIGHT) - 1))
    assert caught.value.remedy


@every_dress
def test_bytes_beyond_the_limit_are_refused_plain_and_packed(dress: Dress) -> None:
    data = dress.write(FLIGHT)
    for given in (data, gzipped(data), zipped(data)):
        assert len(read_raw_bytes(given, "log", limits=ReadLimits(max_bytes=len(data))).samples) == len(FLIGHT)
        with pytest.raises(TrackFileError, match="the most that is read"):
            read_raw_bytes(given, "log", limits=ReadLimits(max_bytes=len(data) - 1))
        with pytest.raises(TrackFileError, match="larger than"):
            read_raw_bytes(given, "log", limits=ReadLimits(max_file_bytes=len(given) - 1))


def test_more_columns_than_the_limit_are_refused() -> None:
    rows = "2026-04-18T10:00:00Z,46,-28,7,7\n2026-04-18T10:00:01Z,46,-28,7,7\n"
    data = f"time,lat,lon,a,b\n{rows}".encode()
    assert len(read_raw_bytes(data, "log", limits=ReadLimits(max_columns=5)).samples) == 2

    with pytest.raises(TrackFormatError, match="5 headings stand in this line, and no more than 4 are read"):
        read_raw_bytes(data, "log", limits=ReadLimits(max_columns=4))


@pytest.mark.parametrize(("write", "own"), [(as_gpx, 5), (as_kml, 5)], ids=["gpx", "kml"])
def test_elements_deeper_than_the_limit_are_refused(write: object, own: int) -> None:
    assert callable(write)
    data = write(FLIGHT)
    assert len(read_raw_bytes(data, "log", limits=ReadLimits(max_depth=own)).samples) == len(FLIGHT)

    deep = data.replace(b"</gpx>", b"<a>" * 6 + b"</a>" * 6 + b"</gpx>").replace(
        b"</kml>", b"<a>" * 6 + b"</a>" * 6 + b"</kml>"
    )
    with pytest.raises(TrackFormatError, match="nest deeper than 6"):
        read_raw_bytes(deep, "log", limits=ReadLimits(max_depth=6))


SMALL = ReadLimits(max_rows=2000, max_depth=20, max_columns=100)


@pytest.mark.parametrize("name", SHAPES)
def test_a_hostile_shape_is_read_or_refused(name: str) -> None:
    told_or_read(b"".join(SHAPES[name].pieces(60_000)), SMALL, utc_offset="+00:00", date=DATE)


@pytest.mark.parametrize("name", HONEST)
def test_an_honest_log_of_the_same_making_is_read(name: str) -> None:
    raw = read_raw_bytes(b"".join(honest(name, 40_000)), "log")

    assert len(raw.samples) > 200
