"""What is said of a log of which too little can be used, and of damage in what is not read."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from legwise.errors import TrackError, TrackFileError
from legwise.lessons import parse_lesson
from legwise.pipeline import plan_for, read_track
from legwise.tracks import ReadLimits, mend, read_raw_bytes
from tracks.igc_logs import HEAD, fix, igc

POINT = '<trkpt lat="{lat}" lon="-28"><ele>100</ele><time>2026-04-18T09:00:0{second}Z</time></trkpt>'


def gpx(*points: str) -> bytes:
    head = '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
    return "\n".join([head, *points, "</trkseg></trk></gpx>"]).encode()


def refusal(data: bytes, name: str = "flight.gpx") -> TrackError:
    with pytest.raises(TrackError) as caught:
        mend(read_raw_bytes(data, name))
    assert len(str(caught.value).splitlines()) <= 10
    return caught.value


def test_values_that_can_not_be_read_are_told_where_nothing_is_left() -> None:
    error = refusal(gpx(*(POINT.format(lat="undefined", second=second) for second in range(2))))
    assert "0 of 2 records have both a time and a position" in error.message
    assert "; unreadable-value: no number where one is due: lines 2 and 3" in error.message


def test_a_single_record_is_called_that() -> None:
    error = refusal(gpx(POINT.format(lat="46", second=1)))
    assert error.message == "there is only one record, and a track needs two"
    assert "with times" not in error.remedy


def test_headings_alone_are_called_that() -> None:
    error = refusal(b"Time UTC,Latitude,Longitude\n", "flight.csv")
    assert error.message == "headings, but no records"


def test_the_refusal_names_the_file_as_it_was_given(tmp_path: Path) -> None:
    path = tmp_path / "flight.csv"
    path.write_bytes(b"Time UTC,Latitude,Longitude\n")
    with pytest.raises(TrackError) as caught:
        read_track(path)
    assert caught.value.where.endswith(str(path)[-100:])


def test_letters_in_an_extension_that_is_not_read_are_damage() -> None:
    head = (*HEAD, "I023638ENL3941XYZ")
    clocks = [f"1312{second:02d}" for second in range(10, 20)]
    whole = [fix(clock, more="012-1.") for clock in clocks]
    assert not read_raw_bytes(igc(*whole, head=head), "flight.igc").faults
    spoilt = [*whole[:4], fix(clocks[4], more="012cKY"), *whole[5:]]
    (fault,) = read_raw_bytes(igc(*spoilt, head=head), "flight.igc").faults
    assert (fault.kind, fault.count) == ("unreadable-value", 1)
    assert f"XYZ (of no use here) in line {len(head) + 5};" in fault.detail
    letters = [fix(clock, more="012ABC") for clock in clocks]  # a maker's own code is no damage
    assert not read_raw_bytes(igc(*letters, head=head), "flight.igc").faults
    short = [*whole[:4], fix(clocks[4]), *whole[5:]]
    assert not read_raw_bytes(igc(*short, head=head), "flight.igc").faults


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (gpx(*(POINT.format(lat="46", second=second) for second in range(9))), "flight.gpx"),
        (igc(*(fix(f"1312{second:02d}") for second in range(9))), "flight.igc"),
        (b"Time UTC,Latitude,Longitude\n" + b"2026-04-18T09:00:00Z,46,-28\n" * 9, "flight.csv"),
    ],
)
def test_the_refusal_of_too_many_records_names_the_limit(data: bytes, name: str) -> None:
    with pytest.raises(TrackFileError, match="more than 3") as caught:
        read_raw_bytes(data, name, limits=ReadLimits(max_rows=3))
    assert caught.value.remedy.endswith("--limit rows=N.")


def test_a_plan_without_a_magnetic_model_ends_its_sentence_once() -> None:
    text = "".join(
        f'[[fix]]\nident = "{ident}"\nlat_deg = {lat}\nlon_deg = -28.0\n'
        for ident, lat in (("XAA", 46.0), ("XBB", 46.5))
    )
    lesson = parse_lesson(f'{text}[route]\ntext = "XAA XBB"\n', file="lesson.toml")
    (note,) = [note for note in plan_for(lesson, date=dt.date(2000, 1, 1)).notes if "2010 to 2029" in note]
    assert note.endswith("2010 to 2029.")
