"""Clocks as logs keep them: local time with its offset, parts of a clock, counts, midnights, dates that are none."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import ColumnError, TrackError, TrackTimeError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import RawTrack
from legwise.tracks import mend
from tracks.csv_logs import T0

Read = Callable[..., RawTrack]
DATE = dt.date(2026, 4, 18)


def log_of(heading: str, *cells: str, above: str = "") -> str:
    """Records with these cells of times, each with a place of its own."""
    rows = "".join(f"{cell},46.5{n:03d},-28.0{n:03d}\n" for n, cell in enumerate(cells))
    return f"{above}{heading},lat,lon\n{rows}"


def seconds_of(raw: RawTrack) -> list[float]:
    """The times, from 2026-04-18T13:12:40Z on."""
    return [round(value, 6) for value in (raw.samples.time_s - T0).tolist()]


def notes_of(raw: RawTrack) -> str:
    return " | ".join(raw.source.notes)


@pytest.mark.parametrize(
    ("heading", "offset"),
    [
        ("UTC Offset", "-04:00"),
        ("UTCOfst", "-0400"),
        ("UTC offset", "-4"),
        ("UTC offset (h)", "-4.0"),
        ("Offset to UTC", "-240"),
        ("UTC Offset (min)", "-240"),
        ("UTC offset [minutes]", "-240"),
        ("UTC offset (s)", "-14400"),
        ("GMT offset", "-14400"),
        ("Time zone", "UTC-4"),
        ("TZ", "GMT-04:00"),
        ("Timezone", "UTC-04:00"),
    ],
)
def test_a_column_of_offsets_in_every_form(heading: str, offset: str, read: Read) -> None:
    raw = read(log_of(f"Date,Local time,{heading}", f"2026-04-18,09:12:40,{offset}", f"2026-04-18,09:12:41.5,{offset}"))
    assert seconds_of(raw) == [0.0, 1.5]
    assert f"the offset from UTC is taken from its own column “{heading}”" in notes_of(raw)


def test_an_offset_that_can_be_in_minutes_or_in_figures_is_asked_for(read: Read) -> None:
    text = log_of("Date,Local time,UTC offset", "2026-04-18,08:12:40,-300", "2026-04-18,08:12:41,-300")
    with pytest.raises(ColumnError, match=r"\(-300\) can be in hours and minutes or minutes") as caught:
        read(text)
    assert "--utc-offset" in caught.value.remedy
    assert seconds_of(read(text, utc_offset="-05:00")) == [0.0, 1.0]


def test_an_offset_that_changes_in_the_log(read: Read) -> None:
    # Summer time begins: the local clock jumps from 09:12:41 to 10:12:42, the flight goes on.
    raw = read(
        log_of(
            "Date,Local time,UTC offset",
            "2026-04-18,09:12:40,-04:00",
            "2026-04-18,09:12:41,-04:00",
            "2026-04-18,10:12:42,-03:00",
        )
    )
    assert seconds_of(raw) == [0.0, 1.0, 2.0]
    assert "it changes in the log (2 different ones)" in notes_of(raw)


def test_a_blank_offset_is_that_of_the_others_or_none(read: Read) -> None:
    same = read(log_of("Date,Local time,UTC offset", "2026-04-18,09:12:40,-4", "2026-04-18,09:12:41,"))
    assert seconds_of(same) == [0.0, 1.0]

    rows = ("2026-04-18,09:12:40,-4", "2026-04-18,09:12:41,", "2026-04-18,10:12:42,-3")
    two = read(log_of("Date,Local time,UTC offset", *rows))
    assert np.isnan(two.samples.time_s).tolist() == [False, True, False]
    (fault,) = two.faults
    assert (fault.kind, fault.count) == ("unreadable-time", 1)
    assert "a local time without its offset from UTC: line 3" in fault.detail


def test_the_name_of_a_zone_is_no_offset(read: Read) -> None:
    text = log_of("Date,Local time,TZ", "2026-04-18,09:12:40,EDT", "2026-04-18,09:12:41,EDT")
    with pytest.raises(TrackTimeError, match="has no zone"):
        read(text)
    mixed = read(text.replace("41,EDT", "41,-04:00"))
    assert {fault.kind for fault in mixed.faults} == {"unreadable-value", "unreadable-time"}
    assert "“EDT”, which tells no offset" in mixed.faults[0].detail


def test_utc_beside_local_time_wins_and_is_said(read: Read) -> None:
    raw = read(log_of("Date,Local time,UTC time", "2026-04-18,09:12:40,13:12:40", "2026-04-18,09:12:41,13:12:41"))
    assert seconds_of(raw) == [0.0, 1.0]
    assert "“UTC time” is taken for the time, not “Local time”" in notes_of(raw)


def test_a_utc_time_whose_date_stands_by_the_local_clock(read: Read) -> None:
    # 20:12:39 at -5 h is 01:12:39 UTC of the next day.
    raw = read(
        log_of("Local date,Local time,UTC time", "2026-04-17,20:12:39,01:12:39", "2026-04-17,20:12:40.5,01:12:40.5")
    )
    assert seconds_of(raw) == [-12 * 3600 - 1.0, -12 * 3600 + 0.5]
    assert "local time is UTC-05:00" in notes_of(raw)


@pytest.mark.parametrize(
    ("above", "clock"),
    [
        ("All times in UTC\n", "13"),
        ("Times are UTC.\n", "13"),
        ("Timezone: UTC\n", "13"),
        ("Time zone,UTC\n", "13"),
        ("Time zone;UTC\n", "13"),
        ("# time zone = Z\n", "13"),
        ('"UTC offset","+02:00"\n', "15"),
        ("UTC offset: +2\n", "15"),
        ("UTC offset: 2 h\n", "15"),
        ("Time zone: UTC+02:00\n", "15"),
        ("Recorder 7\nTimezone: UTC\nCreated 2026-04-19\n", "13"),
    ],
)
def test_a_zone_that_the_preamble_states(above: str, clock: str, read: Read) -> None:
    raw = read(log_of("time", f"2026-04-18 {clock}:12:40", f"2026-04-18 {clock}:12:41", above=above))
    assert seconds_of(raw) == [0.0, 1.0]
    line = 2 if "Recorder" in above else 1
    assert f"as line {line} says" in notes_of(raw)


@pytest.mark.parametrize(
    "above",
    [
        "exported 2026-04-19 08:00 UTC\n",
        "Times are local, not UTC\n",
        "Timezone: UTC\nUTC offset: +2\n",
        "Time zone: summer\n",
        "The UTC button was pressed\n",
        "UTC offset of the server, 1\n",
    ],
)
def test_a_doubtful_zone_in_the_preamble_is_not_taken(above: str, read: Read) -> None:
    with pytest.raises(TrackTimeError, match="has no zone"):
        read(log_of("time", "2026-04-18 13:12:40", "2026-04-18 13:12:41", above=above))


def test_utc_in_the_preamble_is_not_that_of_a_local_time(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="has no zone"):
        read(log_of("Local time", "2026-04-18 09:12:40", above="Timezone: UTC\n"))
    offset = read(log_of("Local time", "2026-04-18 09:12:40", above="UTC offset: -4\n"))
    assert seconds_of(offset) == [0.0]


@pytest.mark.parametrize(
    "above",
    ["Date: 2026-04-18\n", "Date,2026-04-18\n", "Flight date;18-Apr-2026\n", "Date (DD/MM/YYYY): 18/04/2026\n",
     "Date of flight: 18.04.2026\n"],
)  # fmt: skip
def test_a_date_that_the_preamble_states(above: str, read: Read) -> None:
    raw = read(log_of("time utc", "13:12:40", "13:12:41", above=above))
    assert seconds_of(raw) == [0.0, 1.0]
    assert "on 2026-04-18, as line 1 says" in notes_of(raw)
    said = read(log_of("time utc", "13:12:40", above=above), date=dt.date(2026, 4, 19))
    assert seconds_of(said) == [86400.0]


@pytest.mark.parametrize(
    "above", ["Printed: 2026-04-18\n", "Date: 2026-04-18\nFlight date: 2026-04-19\n", "Due date: 2026-04-18\n", ""]
)
def test_a_log_without_a_date_says_what_to_give(above: str, read: Read) -> None:
    with pytest.raises(TrackTimeError, match="times of day without a date") as caught:
        read(log_of("time utc", "13:12:40", "13:12:41", above=above))
    assert "--date YYYY-MM-DD" in caught.value.remedy
    assert "[lesson] date = YYYY-MM-DD" in caught.value.remedy


def test_a_date_in_the_preamble_that_can_be_two_is_asked_for(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="2026-04-05 or 2026-05-04") as caught:
        read(log_of("time utc", "13:12:40", above="Date: 04/05/2026\n"))
    assert caught.value.where.endswith("line 1")


def test_the_order_of_a_date_can_be_said(read: Read) -> None:
    text = log_of("Date,time utc", "04/05/2026,13:12:40")
    with pytest.raises(TrackTimeError, match="2026-04-05 or 2026-05-04") as caught:
        read(text)
    assert 'date = { heading = "…", unit = "DD/MM/YYYY" }' in caught.value.remedy
    for said in (
        read(text, columns={"date": ColumnChoice(heading="Date", unit="DD/MM/YYYY")}),
        read(text.replace("Date", "Date (dd/mm/yyyy)")),
        read(text.replace("lon\n", "lon\nDD/MM/YYYY,hh:mm:ss UTC,deg,deg\n")),
    ):
        assert said.samples.time_s[0] == dt.datetime(2026, 5, 4, 13, 12, 40, tzinfo=dt.UTC).timestamp()


@pytest.mark.parametrize("first", ["1899-12-30", "1970-01-01", "1980-01-06", "0001-01-01", "30.12.1899"])
def test_an_invented_date_asks_for_the_date(first: str, read: Read) -> None:
    text = log_of("Date,time utc", f"{first},13:12:40", f"{first},13:12:41")
    with pytest.raises(TrackTimeError, match=r"2 of 2 records have a time before 1990.* invented") as caught:
        read(text)
    assert "--date YYYY-MM-DD" in caught.value.remedy

    raw = read(text, date=DATE)
    assert seconds_of(raw) == [0.0, 1.0]
    assert "its times of day are taken on 2026-04-18" in notes_of(raw)


def test_an_invented_date_that_never_changes_runs_over_midnight(read: Read) -> None:
    raw = read(log_of("time", "1899-12-30T23:59:59Z", "1899-12-30T00:00:00Z", "1899-12-30T00:00:01Z"), date=DATE)
    assert np.diff(raw.samples.time_s).tolist() == [1.0, 1.0]


def test_one_damaged_year_is_not_an_invented_date(read: Read) -> None:
    raw = read(log_of("time", "1926-04-18T13:12:40Z", "2026-04-18T13:12:41Z", "2026-04-18T13:12:42Z"))
    assert seconds_of(raw)[1:] == [1.0, 2.0]


@pytest.mark.parametrize("cells", [("23:59:59", "24:00:00", "24:00:01"), ("24:59:59", "25:00:00", "25:00:01")])
def test_a_clock_that_counts_on_beyond_24_hours_names_its_first_line(cells: tuple[str, ...], read: Read) -> None:
    first = next(cell for cell in cells if cell >= "24")
    with pytest.raises(TrackTimeError, match=f"“{first}” lies beyond 24 hours") as caught:
        read(log_of("time utc", *cells), date=DATE)
    assert caught.value.where.endswith(f"line {2 + cells.index(first)}")
    assert "a date in each" in caught.value.remedy


def test_one_time_beyond_24_hours_is_damage(read: Read) -> None:
    raw = read(log_of("time utc", "13:12:40", "93:12:41", "13:12:42"), date=DATE)
    assert np.isnan(raw.samples.time_s).tolist() == [False, True, False]
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-time", 1)]


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Elapsed time (s)", ("0.0", "0.1")),
        ("Time", ("0", "1")),
        ("time_ms", ("0", "100")),
        ("Time (s)", ("13.5", "14.5")),
        ("Elapsed time", ("00:00:00", "00:00:01")),
        ("timestamp", ("47560", "47561")),
    ],
)
def test_elapsed_time_alone_says_what_to_give(heading: str, cells: tuple[str, str], read: Read) -> None:
    with pytest.raises(TrackTimeError, match=r"elapsed time, which tells how long .* but not when") as caught:
        read(log_of(heading, *cells))
    assert f"“{heading}” counts from " in caught.value.message
    assert cells[0].removesuffix(".0") in caught.value.message
    assert 'unit = "s since 2026-04-18T13:12:40Z"' in caught.value.remedy


@pytest.mark.parametrize(
    ("heading", "unit", "cells"),
    [
        ("Elapsed (s)", "s since 2026-04-18T13:12:40Z", ("0.0", "1.5")),
        ("Elapsed", "ms since 2026-04-18 09:12:40-04:00", ("0", "1500")),
        ("t", "min since 2026-04-18T13:12:40Z", ("0", "0.025")),
        ("t", "h since 2026-04-18T00:00:00Z", ("13.211111111111", "13.211527777778")),
    ],
)
def test_a_count_since_a_moment_that_is_said(heading: str, unit: str, cells: tuple[str, str], read: Read) -> None:
    raw = read(log_of(heading, *cells), columns={"time": ColumnChoice(heading=heading, unit=unit)})
    assert seconds_of(raw) == pytest.approx([0.0, 1.5], abs=1e-5)
    assert "as was said" in notes_of(raw)


def test_a_heading_can_say_since_when(read: Read) -> None:
    raw = read(log_of("time (seconds since 2026-04-18T13:12:40Z)", "0", "1.5"))
    assert seconds_of(raw) == [0.0, 1.5]


def test_a_moment_without_a_zone_is_refused(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="can't be read") as caught:
        read(log_of("t", "0"), columns={"time": ColumnChoice(heading="t", unit="s since 2026-04-18 13:12:40")})
    assert "with a zone" in caught.value.remedy


def test_elapsed_time_with_its_start_in_the_preamble(read: Read) -> None:
    above = "Recording started: 2026-04-18 13:12:40Z\n"
    for heading, cells in (("Time (s)", ("0", "1.5")), ("Elapsed time", ("00:00:00", "00:00:01.5"))):
        raw = read(log_of(heading, *cells, above=above))
        assert seconds_of(raw) == [0.0, 1.5]
        assert "2026-04-18T13:12:40Z, the start of the recording in line 1" in notes_of(raw)


@pytest.mark.parametrize("heading", ["Zulu time (s)", "UTC seconds", "utc_sec", "UTC seconds since midnight"])
def test_seconds_of_the_day(heading: str, read: Read) -> None:
    # 13:12:40 is 47,560 s after midnight.
    text = log_of(heading, "47560", "47561.5")
    assert seconds_of(read(text, date=DATE)) == [0.0, 1.5]
    with pytest.raises(TrackTimeError, match="without a date"):
        read(text)
    with_date = read(log_of(f"Date,{heading}", "2026-04-18,47560", "2026-04-18,47561.5"))
    assert seconds_of(with_date) == [0.0, 1.5]


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Year,Month,Day,UTC Hour,UTC Minute,UTC Second", ("2026,4,18,13,12,40", "2026,4,18,13,12,41.5")),
        ("Zulu Hour,Zulu Min,Zulu Sec,Zulu Day,Zulu Month,Zulu Year", ("13,12,40,18,04,2026", "13,12,41.5,18,04,2026")),
        ("Date,UTC Hour,UTC Minute,UTC Second", ("2026-04-18,13,12,40", "2026-04-18,13,12,41.5")),
        ("Year,Month,Day,Time (UTC)", ("2026,4,18,13:12:40", "2026,4,18,13:12:41.5")),
    ],
)
def test_the_parts_of_a_clock_in_columns_of_their_own(heading: str, cells: tuple[str, str], read: Read) -> None:
    assert seconds_of(read(log_of(heading, *cells))) == [0.0, 1.5]


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("ms", ("0", "20", "40")),
        ("Milliseconds", ("000", "020", "040")),
        ("msec", ("0.0", "20.0", "40.0")),
        ("Fraction", ("0.00", "0.02", "0.04")),
        ("Hundredths", ("0", "2", "4")),
        ("Microseconds", ("0", "20000", "40000")),
    ],
)
def test_whole_seconds_are_joined_with_their_fraction(heading: str, cells: tuple[str, ...], read: Read) -> None:
    raw = read(log_of(f"time utc,{heading}", *(f"2026-04-18 13:12:40,{cell}" for cell in cells)))
    assert seconds_of(raw) == [0.0, 0.02, 0.04]
    assert f"“{heading}” is joined to the times" in notes_of(raw)


def test_a_fraction_that_is_none_is_not_joined(read: Read) -> None:
    rows = ("2026-04-18 13:12:40,0", *(f"2026-04-18 13:12:41,{n}" for n in range(900, 1100)))
    raw = read(log_of("time utc,ms", *rows))
    assert seconds_of(raw)[:2] == [0.0, 1.0]
    assert "“ms” is not read: its values are no parts of a second" in notes_of(raw)
    own = read(log_of("time utc,ms", "2026-04-18 13:12:40.25,250", "2026-04-18 13:12:40.5,500"))
    assert seconds_of(own) == [0.25, 0.5]
    assert "“ms” is not read: the times have fractions of their own" in notes_of(own)


def test_whole_seconds_at_50_hz_stay_repeats(read: Read) -> None:
    rows = [f"2026-04-18 13:12:{40 + n // 50}" for n in range(200)]
    track = mend(read(log_of("time utc", *rows)))
    assert (track.samples_read, len(track)) == (200, 4)
    assert {fault.kind: fault.count for fault in track.faults}["repeated-time"] == 196


@pytest.mark.parametrize(
    "cells",
    [
        ("2026-04-18,13:12:40", ",13:12:41.5"),
        ("2026-04-18 00:00:00,13:12:40", "2026-04-18 00:00:00,13:12:41.5"),
        ("18.04.2026 0:00,1899-12-30 13:12:40", "18.04.2026 0:00,1899-12-30 13:12:41.5"),
        ("180426,131240", "180426,131241.5"),
        ('"Sat, 18 Apr 2026",13:12:40', '"Sat, 18 Apr 2026",13:12:41.5'),
        ("18 avr. 2026,13:12:40", "18 avr. 2026,13:12:41.5"),
    ],
)
def test_dates_and_times_as_spreadsheets_and_receivers_write_them(cells: tuple[str, str], read: Read) -> None:
    assert seconds_of(read(log_of("Date,time utc", *cells), date=DATE)) == [0.0, 1.5]


def test_the_half_of_the_day_in_a_column_of_its_own(read: Read) -> None:
    raw = read(log_of("Date,time utc,am/pm", "2026-04-18,01:12:40,PM", "2026-04-18,01:12:41.5,p.m."))
    assert seconds_of(raw) == [0.0, 1.5]


def test_zeros_of_a_clock_that_is_not_set_yet_are_no_count(read: Read) -> None:
    raw = read(log_of("time", *["0"] * 8, *(f"2026-04-18T13:12:{second}Z" for second in range(40, 50))))
    assert seconds_of(raw)[8:] == [float(n) for n in range(10)]
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-time", 8)]


def test_the_day_counts_of_a_spreadsheet(read: Read) -> None:
    # 2026-04-18 is day 46,130 since 1899-12-30 (datetime's own difference); 13:12:40 is 0.550463 of it.
    day = (dt.date(2026, 4, 18) - dt.date(1899, 12, 30)).days
    cells = [f"{day + of_day / 86400:.9f}" for of_day in (47560, 47561.5)]
    assert seconds_of(read(log_of("Date/time UTC", *cells))) == pytest.approx([0.0, 1.5], abs=2e-3)


def test_a_date_that_stands_where_it_changes_holds_until_the_next(read: Read) -> None:
    rows = ("2026-04-18,23:59:59", ",23:59:59.5", "2026-04-19,00:00:00", ",00:00:00.5")
    raw = read(log_of("Date,time utc", *rows))
    assert np.diff(raw.samples.time_s).tolist() == [0.5, 0.5, 0.5]
    once = read(log_of("Date,time utc", "2026-04-18,23:59:59", ",23:59:59.5", ",00:00:00", ",00:00:00.5"))
    assert once.samples.time_s.tolist() == raw.samples.time_s.tolist()


def test_the_plainest_time_without_a_date_gives_way_to_a_whole_one(read: Read) -> None:
    # 1776517960 is 2026-04-18T13:12:40Z by the system's date command.
    raw = read(log_of("UTC,timestamp", "13:12:40,1776517960", "13:12:41,1776517961"))
    assert seconds_of(raw) == [0.0, 1.0]


@pytest.mark.parametrize("cell", ["2026-04-18T13:12:40+00:00[UTC]", "2026-04-18 13:12:40Z (Coordinated Universal Time)",
                                  "1.776517960E+09"])  # fmt: skip
def test_times_as_programs_write_them(cell: str, read: Read) -> None:
    assert seconds_of(read(log_of("timestamp", cell))) == [0.0]


def test_every_error_of_time_has_a_place_and_a_remedy(read: Read) -> None:
    for text in (log_of("time", "13:12:40"), log_of("time", "2026-04-18 13:12:40"), log_of("Time (s)", "0", "1")):
        with pytest.raises(TrackError) as caught:
            read(text)
        assert caught.value.where
        assert caught.value.remedy


def test_hours_of_the_day_under_a_utc_heading(read: Read) -> None:
    # 13:12:40 is 13.211111 h; each second is 0.000278 h.
    text = log_of("_zulu _time", "13.211111", "13.211389", "13.211667")
    raw = read(text, date=DATE)
    assert seconds_of(raw) == pytest.approx([0.0, 1.0, 2.0], abs=2e-3)
    assert "hours since midnight UTC" in notes_of(raw)
    with pytest.raises(TrackTimeError, match="without a date"):
        read(text)


def test_hours_of_the_day_run_over_midnight(read: Read) -> None:
    raw = read(log_of("Zulu time", "23.999444", "23.999722", "0.000000", "0.000278"), date=DATE)
    assert np.diff(raw.samples.time_s).tolist() == pytest.approx([1.0, 1.0, 1.0], abs=2e-3)


def test_elapsed_time_names_the_unit_for_hours(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="elapsed time") as caught:
        read(log_of("Time (s)", "0", "1"))
    assert '"h since …Z"' in caught.value.remedy


@pytest.mark.parametrize("heading", ["UTC seconds of day", "Seconds of day UTC"])
def test_seconds_of_the_day_beside_a_date(heading: str, read: Read) -> None:
    # 13:12:40 is 47,560 s after midnight.
    raw = read(log_of(f"Date,{heading}", "2026-04-18,47560", "2026-04-18,47561.5"))
    assert seconds_of(raw) == [0.0, 1.5]


def test_seconds_of_the_day_without_a_zone_need_one(read: Read) -> None:
    text = log_of("Date,Seconds of day", "2026-04-18,47560", "2026-04-18,47561.5")
    with pytest.raises(TrackTimeError, match="no zone"):
        read(text)
    assert seconds_of(read(text, utc_offset="+00:00")) == [0.0, 1.5]


def test_four_figures_under_a_heading_in_seconds_are_seconds(read: Read) -> None:
    # -7200 s is -02:00 h: 11:12:40 there is 13:12:40 UTC.
    raw = read(log_of("Local Time,UTC Offset (s)", "2026-04-18 11:12:40,-7200"))
    assert seconds_of(raw) == [0.0]


def test_the_day_counts_of_a_spreadsheet_under_a_plain_heading(read: Read) -> None:
    # 2026-04-18 is day 46,130 since 1899-12-30 (datetime's own difference).
    day = (dt.date(2026, 4, 18) - dt.date(1899, 12, 30)).days
    cells = [f"{day + of_day / 86400:.9f}" for of_day in (47560, 47561.5)]
    raw = read(log_of("Time UTC", *cells))
    assert seconds_of(raw) == pytest.approx([0.0, 1.5], abs=2e-3)
    assert "days since 1899-12-30" in notes_of(raw)
    with pytest.raises(TrackTimeError, match="no zone"):
        read(log_of("Time", *cells))


def test_a_count_with_longer_steps_is_no_day_count(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="elapsed time"):
        read(log_of("Time", "47560.1", "47560.2", "47560.3"))


@pytest.mark.parametrize("date", ["2026-04-17", "04/17/2026"])
def test_a_local_clock_beside_a_utc_time_is_never_called_utc(date: str, read: Read) -> None:
    raw = read(
        log_of(
            "Local date,Local time,UTC time",
            f"{date},20:12:39,01:12:39",
            ",20:12:40,01:12:40",
            f"{date},20:12:41,01:12:41",
        )
    )

    assert seconds_of(raw)[::2] == [-12 * 3600 - 1.0, -12 * 3600 + 1.0]
    assert "local time is UTC-05:00" in notes_of(raw)
    assert "times are UTC" not in notes_of(raw)
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-time", 1)]
    assert "a time of day without a date beside it: line 3" in raw.faults[0].detail
