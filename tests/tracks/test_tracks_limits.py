"""Limits: what is read stays inside them, what is beyond is refused by name; and shapes that are made to cost much."""

from __future__ import annotations

import datetime as dt
import tracemalloc

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


def csv_of(count: int, between: str = "\n", extra: str = "") -> str:
    moments = (START + dt.timedelta(seconds=n) for n in range(count))
    rows = [f"{moment:%Y-%m-%dT%H:%M:%SZ},46.{n:05},-28.0,2500{extra}" for n, moment in enumerate(moments)]
    return "time,lat,lon,alt ft\n" + "".join(row + between for row in rows)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("between", ["\n\n", "\r\n\r\n", "\r\r", "\n   \n\t\n", "\n# a remark\n\n"])
def test_blank_lines_and_remarks_are_no_records(between: str, encoding: str) -> None:
    data = csv_of(2000, between).encode(encoding)
    raw = read_raw_bytes(data, "log", limits=ReadLimits(max_rows=2000))

    assert len(raw.samples) == 2000
    assert any("lines are counted without" in note for note in raw.source.notes)
    with pytest.raises(TrackFileError, match="more than 1,999 records"):
        read_raw_bytes(data, "log", limits=ReadLimits(max_rows=1999))
    with pytest.raises(TrackFileError, match="more than 500 records"):
        read_raw_bytes(data, "log", limits=ReadLimits(max_rows=500))


def test_blank_lines_of_a_log_within_the_limit_keep_the_number_of_each_line() -> None:
    raw = read_raw_bytes(csv_of(50, "\n\n").encode(), "log", limits=ReadLimits(max_rows=50))

    assert raw.samples.line.tolist() == list(range(2, 102, 2))
    assert not any("lines are counted without" in note for note in raw.source.notes)


def test_line_ends_between_quotes_make_no_records() -> None:
    data = csv_of(1500, "\n", ',"a remark\nof three\nlines"').replace("alt ft", "alt ft,remark").encode()

    assert len(read_raw_bytes(data, "log", limits=ReadLimits(max_rows=1500)).samples) == 1500
    with pytest.raises(TrackFileError, match="more than 300 records"):
        read_raw_bytes(data, "log", limits=ReadLimits(max_rows=300))


def test_a_spreadsheet_s_blank_cell_begins_a_record_and_no_remark() -> None:
    data = csv_of(1500, "\n\n").replace("time,", "bank deg,time,").replace("\n2026", "\n#N/A,2026").encode()

    assert len(read_raw_bytes(data, "log", limits=ReadLimits(max_rows=1500)).samples) == 1500


def test_a_file_with_too_many_records_is_refused_in_no_more_memory_than_it_has_itself() -> None:
    data = csv_of(1).encode() + b"2026-04-18T10:00:00Z,46.5,-28.0,2500\n" * 400_000
    tracemalloc.start()
    try:
        with pytest.raises(TrackFileError, match="more than 50,000 records"):
            read_raw_bytes(data, "log", limits=ReadLimits(max_rows=50_000))
        _now, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    # The pieces that are counted have 4 MiB, and what is noted of them some bytes for each of theirs.
    assert len(data) > 14_000_000
    assert peak < 40_000_000
