"""The ways times are written, and the zone and the date that they need."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import LegwiseError, TrackTimeError
from legwise.model.instants import epoch_s
from legwise.model.track import RawTrack
from tracks.csv_logs import ROWS, T0, log_of

Read = Callable[..., RawTrack]


def times_of(raw: RawTrack) -> list[float]:
    return [round(value, 6) for value in (raw.samples.time_s - T0).tolist()]


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("time", ("2026-04-18T13:12:40Z", "2026-04-18T13:12:41.5Z")),
        ("time", ("2026-04-18 13:12:40+00:00", "2026-04-18 13:12:41,5+00:00")),
        ("time", ("2026-04-18T09:12:40-04:00", "2026-04-18T09:12:41.5-0400")),
        ("time", ("2026-04-18 13:12:40 UTC", "2026-04-18 13:12:41.5 UTC")),
        ("time", ("20260418T131240Z", "20260418T131241.5Z")),
        ("time", ("18-Apr-2026 13:12:40 GMT", "18-Apr-2026 13:12:41.5 GMT")),
        ("time", ("2026-04-18 1:12:40 PM Z", "2026-04-18 1:12:41.5 pm Z")),
        ("Time (UTC)", ("2026-04-18 13:12:40", "2026-04-18 13:12:41.5")),
        ("GMT", ("2026/04/18 13:12:40", "2026/04/18 13:12:41.5")),
        ("Time Z", ("2026-04-18T13:12:40", "2026-04-18T13:12:41.500000")),
        ("time utc", ("18.04.2026 13:12:40", "18.04.2026 13:12:41.5")),
        ("time utc", ("04/18/2026 13:12:40", "04/18/2026 13:12:41.5")),
        ("timestamp", ("1776517960", "1776517961.5")),
        ("timestamp", ("1776517960000", "1776517961500")),
        ("epoch_us", ("1776517960000000", "1776517961500000")),
    ],
)
def test_the_ways_times_are_written(heading: str, cells: tuple[str, str], read: Read) -> None:
    # 1776517960 is 2026-04-18T13:12:40Z by the system's date command.
    text = f"{heading};lat;lon\n" + "".join(f"{cell};46.5;-28\n" for cell in cells)
    assert times_of(read(text)) == [0.0, 1.5]


@pytest.mark.parametrize(
    "heading",
    ["UTC Date,UTC Time", "Date (UTC),Time", "date,time utc", "Date,Time [GMT]"],
)
@pytest.mark.parametrize("date", ["2026-04-18", "18.04.2026", "18/04/2026", "20260418"])
def test_date_and_time_in_two_columns(heading: str, date: str, read: Read) -> None:
    text = f"{heading},lat,lon\n{date},13:12:40,46.5,-28\n{date}, 13:12:41.5,46.5,-28\n"
    assert times_of(read(text)) == [0.0, 1.5]


@pytest.mark.parametrize("heading", ["Local time (UTC-4)", "Time UTC-04:00", "Time [GMT -0400]"])
def test_a_heading_can_say_an_offset(heading: str, read: Read) -> None:
    raw = read(f"{heading},lat,lon\n2026-04-18 09:12:40,46.5,-28\n")
    assert times_of(raw) == [0.0]
    assert any("UTC-04:00, as the heading says" in note for note in raw.source.notes)


def test_local_time_beside_the_word_utc_is_not_utc(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="no zone"):
        read("Local time (not UTC),lat,lon\n2026-04-18 09:12:40,46.5,-28\n")


def test_utc_is_taken_before_local_time(read: Read) -> None:
    text = "Lcl Date,Lcl Time,UTC Date,UTC Time,lat,lon\n2026-04-18,09:12:40,2026-04-18,13:12:40,46.5,-28\n"
    assert times_of(read(text)) == [0.0]


def test_local_time_with_a_column_of_offsets(read: Read) -> None:
    rows = "".join(f"2026-04-18,09:12:{second},-04:00,46.5,-28\n" for second in (40, 41))
    text = f"Lcl Date,Lcl Time,UTC Offset,lat,lon\n{rows}"
    raw = read(text)
    assert times_of(raw) == [0.0, 1.0]
    assert any("own column" in note for note in raw.source.notes)


@pytest.mark.parametrize("options", [{"utc_offset": "-04:00"}, {"columns": {"utc_offset": "-04:00"}}])
def test_a_time_without_a_zone_needs_one(options: dict[str, object], read: Read) -> None:
    text = "time,lat,lon\n2026-04-18 09:12:40,46.5,-28\n"
    with pytest.raises(TrackTimeError, match=r"“2026-04-18 09:12:40” has no zone") as caught:
        read(text)
    assert caught.value.where.endswith("line 2")
    assert "--utc-offset" in caught.value.remedy

    raw = read(text, **options)
    assert times_of(raw) == [0.0]
    assert any("UTC-04:00, as was said" in note for note in raw.source.notes)


@pytest.mark.parametrize("offset", ["4", "+25:00", "+04:75", "east", ""])
def test_a_bad_offset_is_refused(offset: str, read: Read) -> None:
    with pytest.raises(LegwiseError, match="offset from UTC"):
        read(log_of("time_utc,lat,lon,alt"), utc_offset=offset)


def test_a_time_of_day_needs_a_date_and_runs_over_midnight(read: Read) -> None:
    text = "time utc,lat,lon\n23:59:59.5,46.5,-28\n00:00:00.5,46.5,-28\n"
    with pytest.raises(TrackTimeError, match="without a date") as caught:
        read(text)
    assert "[lesson] date" in caught.value.remedy

    time_s = read(text, date=dt.date(2026, 4, 18)).samples.time_s
    assert time_s.tolist() == [epoch_s(dt.datetime(2026, 4, 18, 23, 59, 59, 500000, tzinfo=dt.UTC)), time_s[0] + 1]


def test_day_and_month_are_asked_for_where_they_can_be_either(read: Read) -> None:
    text = "time utc,lat,lon\n04/05/2026 13:12:40,46.5,-28\n04/05/2026 13:12:41,46.5,-28\n"
    with pytest.raises(TrackTimeError, match="2026-04-05 or 2026-05-04"):
        read(text)

    time_s = read(text, date=dt.date(2026, 5, 4)).samples.time_s
    assert time_s[0] == epoch_s(dt.datetime(2026, 5, 4, 13, 12, 40, tzinfo=dt.UTC))


def test_day_and_month_are_told_by_a_flight_over_midnight(read: Read) -> None:
    text = "time utc,lat,lon\n04/05/2026 23:59:59,46.5,-28\n05/05/2026 00:00:00,46.5,-28\n"
    assert np.diff(read(text).samples.time_s).tolist() == [1.0]


def test_unreadable_times_are_missing_and_counted(read: Read) -> None:
    rows = (ROWS[0], ROWS[1].replace("13:12:41", "13:72:41"), ROWS[2].replace("2026-04-18", "2026-02-30"), ROWS[2])
    raw = read(log_of("time_utc,lat,lon,alt", rows))

    assert np.isnan(raw.samples.time_s).tolist() == [False, True, True, False]
    assert {fault.kind: fault.count for fault in raw.faults} == {"unreadable-time": 2}


def test_a_column_without_any_time_is_refused(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="holds no time that can be read"):
        read("time;lat;lon\nsoon;46.5;-28\nlater;46.5;-28\n")


def test_a_date_that_is_the_same_in_every_order_is_no_question(read: Read) -> None:
    raw = read("time utc,lat,lon\n04/04/2026 13:12:40,46.5,-28\n04/04/2026 13:12:41,46.5,-28\n")

    assert raw.samples.time_s[0] == dt.datetime(2026, 4, 4, 13, 12, 40, tzinfo=dt.UTC).timestamp()


def rows_of(*stamps: str) -> str:
    return "date,time utc,lat,lon\n" + "".join(f"{stamp},46.5,-28\n" for stamp in stamps)


def test_a_date_that_stays_over_midnight_is_counted_on(read: Read) -> None:
    stamps = [f"2026-04-18,{clock}" for clock in ("23:59:58", "23:59:59", "00:00:00", "00:00:01")]
    raw = read(rows_of(*stamps, "2026-04-19,00:00:02", "2026-04-19,00:00:03"))

    first = dt.datetime(2026, 4, 18, 23, 59, 58, tzinfo=dt.UTC).timestamp()
    assert raw.samples.time_s.tolist() == [first + n for n in range(6)]
    assert any("midnight" in note for note in raw.source.notes)


def test_a_date_that_moves_on_at_midnight_is_left(read: Read) -> None:
    raw = read(rows_of("2026-04-18,23:59:59", "2026-04-19,00:00:00", "2026-04-19,00:00:01"))

    first = dt.datetime(2026, 4, 18, 23, 59, 59, tzinfo=dt.UTC).timestamp()
    assert raw.samples.time_s.tolist() == [first + n for n in range(3)]
    assert not any("midnight" in note for note in raw.source.notes)


def test_a_date_that_is_neither_of_the_two_is_said_to_be_so(read: Read) -> None:
    text = "time utc,lat,lon\n03/04/2026 13:12:40,46.5,-28\n03/04/2026 13:12:41,46.5,-28\n"
    with pytest.raises(TrackTimeError, match=r"2026-03-04 or .* is none of them") as caught:
        read(text, date=dt.date(2026, 4, 5))
    assert "--date" not in caught.value.remedy


def test_a_date_that_stays_over_midnight_with_the_newest_record_first(read: Read) -> None:
    clocks = ("00:00:01", "00:00:00", "23:59:59", "23:59:58")
    raw = read(rows_of(*(f"2026-04-18,{clock}" for clock in clocks)))

    first = dt.datetime(2026, 4, 18, 23, 59, 58, tzinfo=dt.UTC).timestamp()
    assert raw.samples.time_s.tolist() == [first + n for n in range(4)]


def test_records_out_of_order_at_midnight_count_one_day(read: Read) -> None:
    clocks = ("23:59:57", "23:59:58", "00:00:00", "23:59:59", "00:00:01", "00:00:02")
    raw = read(rows_of(*(f"2026-04-18,{clock}" for clock in clocks)))

    first = dt.datetime(2026, 4, 18, 23, 59, 57, tzinfo=dt.UTC).timestamp()
    assert raw.samples.time_s.tolist() == [first + n for n in (0, 1, 3, 2, 4, 5)]


def test_a_date_and_time_in_one_cell_are_left_as_they_are(read: Read) -> None:
    clocks = ("23:59:58", "00:00:00", "00:00:01")
    raw = read("time,lat,lon\n" + "".join(f"2026-04-18T{clock}Z,46.5,-28\n" for clock in clocks))

    days = [dt.datetime.fromtimestamp(time_s, dt.UTC).day for time_s in raw.samples.time_s.tolist()]
    assert days == [18, 18, 18]
