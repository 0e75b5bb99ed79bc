"""Whatever the bytes: a track or an error in words; and numbers come back from every dress they are written in."""

from __future__ import annotations

import datetime as dt
import gzip
import io
import zipfile
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError
from legwise.tracks import ReadLimits, mend, read_columns_file, read_raw_track
from tracks.track_strategies import damaged_bytes

DATA = Path(__file__).parents[1] / "data" / "tracks"
LIMITS = ReadLimits(max_bytes=200_000, max_file_bytes=200_000, max_rows=500)

CSV = (
    'Recorder;"none"\n# note\nTime (UTC);Latitude;Longitude;Altitude MSL;GS;Remark\n;deg;deg;m;km/h;\n'
    + "".join(f'2026-04-18 13:12:{n:02d},5;46,51{n:02d};-28,0041;95{n % 10},5;185;"x"\n' for n in range(30))
).encode()


def _zip(data: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.csv", data)
    return buffer.getvalue()


SEEDS = (
    CSV,
    CSV.decode().replace(";", "\t").encode("utf-16"),
    b"time,lat,lon,alt\n" + b"".join(b"%d,46.5,-28.%d,3000\n" % (1776517960 + n, n) for n in range(20)),
    (DATA / "gpx_fractional_seconds.gpx").read_bytes(),
    (DATA / "gpx10_all_fields.gpx").read_bytes(),
    gzip.compress(CSV),
    _zip(CSV),
)


def read_whole(content: bytes) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log"
        path.write_bytes(content)
        try:
            mend(read_raw_track(path, limits=LIMITS))
        except LegwiseError as error:
            words = str(error)
        else:
            return
    assert words.count("\n") < 8
    assert words.replace("\n", "").isprintable()


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.binary(max_size=2000))
def test_any_bytes(content: bytes) -> None:
    read_whole(content)


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.text(alphabet='timelaon,;\t|"#\n\r -+.0123456789:ZT<>/=gpxrk°é', max_size=400))
def test_any_text(content: str) -> None:
    read_whole(content.encode())


@settings(deadline=None, derandomize=True, max_examples=500)
@given(damaged_bytes(SEEDS, [b'"', b"\n", b",", b";", b"\0", b"<", b"&x;", b"#", b"1e999", b"\xe9"], 4))
def test_damaged_logs(content: bytes) -> None:
    read_whole(content)


@settings(deadline=None, derandomize=True, max_examples=100)
@given(st.binary(max_size=300) | st.text(alphabet='[]columns=" {}time\n.,', max_size=200).map(str.encode))
def test_any_columns_file(content: bytes) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "columns.toml"
        path.write_bytes(content)
        with suppress(LegwiseError):
            read_columns_file(path)


values = st.floats(-999.0, 9999.0).map(lambda value: round(value, 4))
# In the order of time: a log that begins with its newest row is turned round.
records = st.lists(st.tuples(st.integers(0, 10**7), values, values, st.none() | values), min_size=3, max_size=12).map(
    lambda rows: sorted(rows, key=lambda row: row[0])
)
time_forms = st.sampled_from(["iso", "blank", "offset", "epoch", "two columns", "day first"])


@settings(deadline=None, derandomize=True, max_examples=300)
@given(
    records=records,
    separator=st.sampled_from([",", ";", "\t", "|"]),
    comma=st.sampled_from([".", ","]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    preamble=st.lists(st.sampled_from(["Aéro club", "", "# comment", "Pilot: S-014, solo", "a;b"]), max_size=3),
    units_row=st.booleans(),
    trailing=st.booleans(),
    form=time_forms,
    order=st.permutations(range(4)),
)
def test_numbers_come_back_from_any_dress(
    records: list[tuple[int, float, float, float | None]],
    separator: str,
    comma: str,
    end: str,
    encoding: str,
    preamble: list[str],
    units_row: bool,
    trailing: bool,
    form: str,
    order: list[int],
) -> None:
    if separator == ",":
        comma = "."
    stamps = [dt.datetime(2026, 4, 18, tzinfo=dt.UTC) + dt.timedelta(milliseconds=record[0] * 10) for record in records]
    lat = [round(46.0 + record[1] / 9999.0, 7) for record in records]
    lon = [round(-28.0 + record[2] / 9999.0, 7) for record in records]

    def number(value: float | None) -> str:
        return "" if value is None else repr(value).replace(".", comma)

    columns = [
        (*_time_cells(form, stamps),),
        (("Latitude", "deg", [f"{value:.7f}".replace(".", comma) for value in lat]),),
        (("Lon", "deg", [f"{value:.7f}".replace(".", comma) for value in lon]),),
        (("IAS", "kt", [number(record[3]) for record in records]),),
    ]
    placed = [column for index in order for column in columns[index]]
    rows = [[heading for heading, _unit, _cells in placed]]
    if units_row:
        rows.append([unit for _heading, unit, _cells in placed])
    rows += [list(cells) for cells in zip(*(cells for _heading, _unit, cells in placed), strict=True)]
    lines = [*preamble, *(separator.join(row) + (separator if trailing else "") for row in rows), ""]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log"
        path.write_bytes(end.join(lines).encode(encoding))
        samples = read_raw_track(path).samples

    first = len(preamble) + (3 if units_row else 2)
    at = list(range(first, first + len(records)))
    if stamps == sorted(stamps, reverse=True) and stamps[0] > stamps[-1]:
        # The newest record stands first: such a log is read from its end.
        stamps, lat, lon, records, at = stamps[::-1], lat[::-1], lon[::-1], records[::-1], at[::-1]
    assert samples.lat_deg.tolist() == lat
    assert samples.lon_deg.tolist() == lon
    assert samples.time_s.tolist() == pytest.approx([stamp.timestamp() for stamp in stamps], abs=2e-6)
    recorded = [np.nan if record[3] is None else record[3] for record in records]
    if any(record[3] is not None for record in records):
        (values,) = samples.channels.values()
        assert values.tolist() == pytest.approx(recorded, rel=1e-15, nan_ok=True)
    assert samples.line.tolist() == at


def _time_cells(form: str, stamps: list[dt.datetime]) -> list[tuple[str, str, list[str]]]:
    iso = [stamp.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-4] for stamp in stamps]
    if form == "iso":
        return [("Time", "", [f"{text}Z" for text in iso])]
    if form == "blank":
        return [("Time UTC", "", [text.replace("T", " ") for text in iso])]
    if form == "offset":
        zone = dt.timezone(dt.timedelta(hours=-3, minutes=-30))
        return [("Time", "", [stamp.astimezone(zone).isoformat(timespec="milliseconds") for stamp in stamps])]
    if form == "epoch":
        return [("timestamp", "", [str(round(stamp.timestamp() * 1000)) for stamp in stamps])]
    if form == "two columns":
        return [("Date", "", [text[:10] for text in iso]), ("UTC", "", [text[11:] for text in iso])]
    return [("Time (UTC)", "", [stamp.strftime("%d.%m.%Y %H:%M:%S.%f")[:-4] for stamp in stamps])]
