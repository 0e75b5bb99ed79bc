"""The file around the track: gzip, zip, what is no file, what unpacks too far, what is not read yet."""

from __future__ import annotations

import gzip
import hashlib
import io
import os
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from legwise.errors import LegwiseError, TrackFileError, TrackFormatError
from legwise.model.track import RawTrack
from legwise.tracks import ReadLimits, mend, read_columns_file, read_raw_bytes, read_raw_track

Log = Callable[..., Path]
Recording = Callable[[str], Path]

CSV = "time_utc,latitude,longitude,altitude_ft\n" + "".join(
    f"2026-04-18T13:12:{second:02d}Z,46.5{second:02d},-28.0,{3000 + second}\n" for second in range(20)
)


def zipped(members: Mapping[str, str | bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def same(one: RawTrack, other: RawTrack) -> bool:
    return all(
        (getattr(one.samples, name) == getattr(other.samples, name)).all()
        for name in ("time_s", "lat_deg", "lon_deg", "line")
    )


@pytest.mark.parametrize("pack", [gzip.compress, lambda data: zipped({"a.gpx": data})], ids=["gzip", "zip"])
@pytest.mark.parametrize("name", ["gpx_hike_2.gpx", "gpx_car.gpx"])
def test_a_packed_track_is_the_track(name: str, pack: Callable[[bytes], bytes], recording: Recording, log: Log) -> None:
    packed = pack(recording(name).read_bytes())
    raw = read_raw_track(log(packed, "flight.csv"))

    assert same(raw, read_raw_track(recording(name)))
    assert raw.source.container
    assert raw.source.sha256 == hashlib.sha256(packed).hexdigest()


def test_the_kind_is_found_by_content_not_by_name(recording: Recording, log: Log) -> None:
    assert read_raw_track(log(CSV, "flight.gpx")).source.format == "CSV"
    assert read_raw_track(log(recording("gpx_car.gpx").read_bytes(), "flight.csv.zip")).source.format == "GPX"


def test_a_track_beside_other_files_in_a_zip_is_found(log: Log) -> None:
    content = zipped({"__MACOSX/._flight.csv": b"\0\5", "readme.txt": "hello", "a/flight.dat": CSV, ".x": "y"})

    assert len(read_raw_track(log(content)).samples) == 20


def test_a_name_that_climbs_out_of_the_zip_writes_nothing(log: Log, tmp_path: Path) -> None:
    content = zipped({"a/../../evil.csv": CSV})
    before = sorted(tmp_path.parent.rglob("*"))
    path = log(content)

    assert len(read_raw_track(path).samples) == 20
    assert sorted(tmp_path.parent.rglob("*")) == sorted([*before, path])


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (zipped({}), "holds no track, nothing"),
        (zipped({"a": "hello", "b": "world"}), "holds no track"),
        (zipped({"a": CSV, "b": CSV}), "holds 2 tracks"),
        (zipped({"a": zipped({"b": CSV})}), "archive lies inside"),
        (zipped({"a": gzip.compress(CSV.encode()), "b": "x"}), "archive lies inside"),
        (gzip.compress(gzip.compress(CSV.encode())), "archive lies inside"),
        (gzip.compress(CSV.encode())[:-12], "cut short"),
        (gzip.compress(CSV.encode())[:60] + b"\0" * 40, "damaged|cut short"),
        (zipped({"a": CSV})[:-30], "cut short or damaged"),
        (zipped({"a": CSV})[:60], "cut short or damaged"),
        (zipped({f"f{index}": "x" for index in range(120)}), "more than 100 files"),
    ],
)
def test_archives_that_hold_no_single_whole_track(content: bytes, message: str, log: Log) -> None:
    with pytest.raises(TrackFileError, match=message):
        read_raw_track(log(content))


def test_a_member_with_a_wrong_checksum_is_damaged(log: Log) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        archive.writestr("a.csv", CSV)
    content = buffer.getvalue().replace(b"46.505", b"47.505")

    with pytest.raises(TrackFileError, match="damaged"):
        read_raw_track(log(content))


@pytest.mark.parametrize("pack", [gzip.compress, lambda data: zipped({"a": data})], ids=["gzip", "zip"])
def test_what_unpacks_beyond_the_limit_is_refused(pack: Callable[[bytes], bytes], log: Log) -> None:
    bomb = pack(CSV.encode() + b"\n" * 50_000_000)
    assert len(bomb) < 100_000

    with pytest.raises(TrackFileError, match="unpacks to more than 2 MB"):
        read_raw_track(log(bomb), limits=ReadLimits(max_bytes=2_000_000))


def test_a_file_beyond_the_limit_is_refused_by_its_size_alone(tmp_path: Path) -> None:
    path = tmp_path / "log"
    path.touch()
    # A hole of 64 GB: reading it would take minutes.
    os.truncate(path, 64 << 30)

    with pytest.raises(TrackFileError, match="larger than 512 MB"):
        read_raw_track(path)


def test_a_plain_file_may_be_no_larger_than_a_packed_one_unpacks_to() -> None:
    for content in (CSV.encode(), gzip.compress(CSV.encode()), zipped({"a": CSV})):
        with pytest.raises(TrackFileError, match="the most that is read"):
            read_raw_bytes(content, "log", limits=ReadLimits(max_bytes=len(CSV) - 1))
        assert len(read_raw_bytes(content, "log", limits=ReadLimits(max_bytes=len(CSV))).samples) == 20


def test_gzip_files_strung_together_are_one_track(log: Log) -> None:
    half = len(CSV) // 2
    content = gzip.compress(CSV[:half].encode()) + gzip.compress(CSV[half:].encode()) + b"\0" * 600

    assert len(read_raw_track(log(content)).samples) == 20


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (gzip.compress(CSV.encode()) + b"PK", "something else stands behind its end"),
        (b"\x1f\x8b", "cut short"),
        (b"\x1f\x8b\x08\xff" + b"\0" * 40, "damaged|cut short"),
        (gzip.compress(CSV.encode())[:-8] + b"\1\2\3\4\5\6\7\x08", "damaged"),
        (gzip.compress(b"", mtime=0) * 100_001, "strung together of more than 100,000 parts"),
    ],
)
def test_gzip_files_that_are_not_whole(content: bytes, message: str) -> None:
    with pytest.raises(TrackFileError, match=message):
        read_raw_bytes(content, "log")


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_method_that_unpacks_without_a_bound_is_refused(method: int) -> None:
    # 4 kB of bzip2 can be gigabytes, and the standard library unpacks what it has read at once.
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as archive:
        archive.writestr("a.csv", CSV)

    with pytest.raises(TrackFileError, match="can't be unpacked: “it is compressed in a way that is seldom used”"):
        read_raw_bytes(buffer.getvalue(), "log")


def directory_of(entries: int, at: int) -> bytes:
    """A zip's central directory of ``entries`` that all stand at one local file (of 5 stored bytes)."""
    crc = zlib.crc32(b"12345")
    record = struct.pack("<4s6H3I5H2I", b"PK\1\2", 20, 20, 0, 0, 0, 33, crc, 5, 5, 1, 0, 0, 0, 0, 0, at) + b"a"
    return record * entries


LOCAL = struct.pack("<4s5H3I2H", b"PK\3\4", 20, 0, 0, 0, 33, zlib.crc32(b"12345"), 5, 5, 1, 0) + b"a12345"


def test_parts_that_overlap_are_each_looked_at_no_further_than_their_beginning() -> None:
    directory = directory_of(100, 0)
    end = struct.pack("<4s4H2IH", b"PK\5\6", 0, 0, 100, 100, len(directory), len(LOCAL), 0)

    with pytest.raises(TrackFileError, match="holds no track"):
        read_raw_bytes(LOCAL + directory + end, "log")


@pytest.mark.parametrize("is_where_said", [True, False])
def test_a_directory_that_only_the_record_for_large_archives_tells_is_refused_unread(is_where_said: bool) -> None:
    # The record for small archives tells of one file; the other one, which stands before it, wins.
    directory = directory_of(200_000, 0)
    at = len(LOCAL) + len(directory)
    large = struct.pack("<4sQ2H2I4Q", b"PK\6\6", 44, 45, 45, 0, 0, 200_000, 200_000, len(directory), len(LOCAL))
    locator = struct.pack("<4sIQI", b"PK\6\7", 0, at if is_where_said else 0, 1)
    end = struct.pack("<4s4H2IH", b"PK\5\6", 0, 0, 1, 1, 47, len(LOCAL), 0)

    with pytest.raises(TrackFileError, match="holds more than 100 files"):
        read_raw_bytes(LOCAL + directory + large + locator + end, "log")


def test_archives_in_archives_are_not_opened(log: Log) -> None:
    inside = zipped({"deep.csv": CSV})
    for _level in range(5):
        inside = zipped({f"{name}.zip": inside for name in "abcdef"})

    with pytest.raises(TrackFileError, match="archive lies inside the archive"):
        read_raw_track(log(inside))


def test_a_file_without_a_name_in_a_zip_is_read() -> None:
    data = CSV.encode()
    about = (zlib.crc32(data), len(data), len(data), 0, 0)
    local = struct.pack("<4s5H3I2H", b"PK\3\4", 20, 0, 0, 0, 33, *about) + data
    directory = struct.pack("<4s6H3I5H2I", b"PK\1\2", 20, 20, 0, 0, 0, 33, *about, 0, 0, 0, 0, 0)
    end = struct.pack("<4s4H2IH", b"PK\5\6", 0, 0, 1, 1, len(directory), len(local), 0)

    raw = read_raw_bytes(local + directory + end, "log")
    assert len(raw.samples) == 20
    assert raw.source.container == "zip ()"


def test_a_long_name_in_an_archive_does_not_fill_the_message() -> None:
    content = zipped({"n" * 3000: "no track"}).replace(b"nnnn", b"mmmm", 1)

    with pytest.raises(TrackFileError, match="damaged") as caught:
        read_raw_bytes(content, "log")
    assert len(str(caught.value)) < 400


def test_a_large_file_is_refused_before_it_is_parsed(log: Log) -> None:
    with pytest.raises(TrackFileError, match="larger than"):
        read_raw_track(log(CSV), limits=ReadLimits(max_file_bytes=100))


def test_what_is_no_file(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, message in (
        (tmp_path / "none.gpx", "no such file"),
        (tmp_path, "directory"),
        (pipe, "pipe"),
        (Path("/dev/zero"), "device"),
        (tmp_path / ("n" * 300), "can't be read"),
        (Path("a\0b"), "can't be read"),
    ):
        with pytest.raises(TrackFileError, match=message):
            read_raw_track(path)


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xef\xbb\xbf", gzip.compress(b"")])
def test_an_empty_file_is_no_track(content: bytes, log: Log) -> None:
    with pytest.raises(TrackFormatError, match="empty"):
        read_raw_track(log(content))


@pytest.mark.parametrize("pack", [gzip.compress, lambda data: zipped({"doc": data})], ids=["gzip", "zip"])
@pytest.mark.parametrize(
    ("name", "kind"),
    [("igc_fault_repeated_times.igc", "IGC"), ("nmea_bad_checksums.nmea", "NMEA 0183"), ("kml_gx_track.kml", "KML")],
)
def test_every_kind_is_found_in_an_archive(
    name: str, kind: str, pack: Callable[[bytes], bytes], recording: Recording, log: Log
) -> None:
    plain = read_raw_track(recording(name))
    packed = read_raw_track(log(pack(recording(name).read_bytes())))

    assert packed.source.format == plain.source.format == kind
    assert same(packed, plain)


@pytest.mark.parametrize(
    "content", [bytes(range(256)) * 8, b"\x89PNG\r\n\x1a\n" + b"\0" * 400, "plain words\n" * 30, "{}"]
)
def test_anything_else_is_no_track(content: str | bytes, log: Log) -> None:
    with pytest.raises(TrackFormatError, match="no track"):
        read_raw_track(log(content))


def test_control_characters_of_a_file_never_reach_a_message(log: Log) -> None:
    content = CSV.replace("altitude_ft", "latitude\x1b[31m")
    with pytest.raises(LegwiseError) as caught:
        mend(read_raw_track(log(content)))
    assert "\x1b" not in str(caught.value)


def test_control_characters_of_a_name_never_reach_a_message(log: Log, tmp_path: Path) -> None:
    name = "a\nb\x1b[31m.csv"
    for path in (
        tmp_path / name,
        log("plain words", name),
        log(zipped({name: "x"}), name),
        log("time,lat,lon\n", name),
    ):
        with pytest.raises(LegwiseError) as caught:
            mend(read_raw_track(path))
        assert caught.value.where.isprintable()
        assert "a·b·[31m.csv" in caught.value.where
    with pytest.raises(LegwiseError) as caught:
        read_columns_file(tmp_path / "none" / name)
    assert caught.value.where.isprintable()


def test_utf_16_without_a_byte_order_mark_in_a_zip(log: Log) -> None:
    content = zipped({"flight.csv": CSV.encode("utf-16-le"), "readme.txt": "hello"})
    assert len(read_raw_track(log(content)).samples) == 20


@pytest.mark.parametrize("content", [b"\1\0\2\0" * 500, b"\0\1" * 900, b"a\0" * 3])
def test_small_numbers_in_two_bytes_are_no_text(content: bytes, log: Log) -> None:
    with pytest.raises(TrackFormatError, match="no track"):
        read_raw_track(log(content))


def kml(north_deg: float) -> str:
    points = "".join(
        f"<when>2026-04-18T13:12:{second:02d}Z</when><gx:coord>-28.0 {north_deg + second / 1000} 900</gx:coord>"
        for second in range(9)
    )
    return f'<kml xmlns:gx="x"><Placemark><gx:Track>{points}</gx:Track></Placemark></kml>'


@pytest.mark.parametrize("main", ["doc.kml", "Doc.KML"])
def test_the_main_file_of_a_kmz_archive_is_taken(main: str) -> None:
    # KML documentation, "KMZ Files": "By default, the main KML file is named doc.kml".
    raw = read_raw_bytes(zipped({"files/b.kml": kml(47.0), main: kml(46.0), "a.kml": kml(48.0)}), "flight.kmz")

    assert raw.samples.lat_deg[0] == 46.0
    assert raw.source.container == f"zip ({main})"
    assert raw.source.notes[0] == (
        "the zip file holds 3 KML files; doc.kml, the main one, is read, not “files/b.kml”, “a.kml”"
    )


@pytest.mark.parametrize(
    "members",
    [
        {"a.kml": kml(46.0), "b.kml": kml(47.0)},
        {"doc.kml": kml(46.0), "flight.csv": CSV},
        {"files/doc.kml": kml(46.0), "a.kml": kml(47.0)},
        {"doc.kml": kml(46.0), "DOC.kml": kml(47.0)},
    ],
)
def test_two_tracks_of_which_none_is_the_main_file_are_refused(members: Mapping[str, str]) -> None:
    with pytest.raises(TrackFileError, match="the zip file holds 2 tracks"):
        read_raw_bytes(zipped(members), "flight.kmz")


def test_a_main_file_alone_needs_no_note() -> None:
    assert not any("KML files" in note for note in read_raw_bytes(zipped({"doc.kml": kml(46.0)}), "a").source.notes)
