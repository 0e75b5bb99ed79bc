"""Dates of IGC fixes: the forms of the header, midnight, gaps, clocks that leap and come back, no date at all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import TrackTimeError
from legwise.model.track import RawTrack
from legwise.tracks import read_raw_bytes
from tracks.igc_logs import DAY_S, HEAD, clock_s, fix, igc

Read = Callable[..., RawTrack]
RECORDER = HEAD[0]
NEXT_DAY = "HFDTEDATE:190426,01"


def moments(raw: RawTrack) -> list[str]:
    """The times as day and clock, the day counted from 2026-04-18."""
    return [f"{seconds // 86_400:.0f} {_clock(seconds % 86_400)}" for seconds in raw.samples.time_s - DAY_S]


def _clock(seconds: float) -> str:
    return f"{seconds // 3600:02.0f}{seconds // 60 % 60:02.0f}{seconds % 60:02.0f}"


@pytest.mark.parametrize(
    "header",
    [
        "HFDTE180426", "HFDTEDATE:180426,04", "HFDTEDATE: 180426", "HFDTE:180426", "HODTE180426", "HPDTEDATE:180426,01",
        "HFDTE180426   ",
    ],
)  # fmt: skip
def test_every_form_of_the_date_header_is_read(header: str, read: Read) -> None:
    raw = read(igc(fix(), fix("131241"), head=(RECORDER, header)))

    assert moments(raw) == ["0 131240", "0 131241"]
    assert "fixes are of 2026-04-18, by the date header in line 2" in raw.source.notes


@pytest.mark.parametrize(
    "header", ["", "HFDTE", "HFDTE000000", "HFDTE310226", "HFDTEDATE:NKN", "HFDTE18042026", "HFDTE060180"]
)
def test_without_a_date_the_one_that_is_said_is_taken_else_it_is_asked_for(header: str, read: Read) -> None:
    content = igc(fix(), fix("131241"), head=(RECORDER, header) if header else (RECORDER,))

    with pytest.raises(TrackTimeError, match="no date") as caught:
        read(content)
    assert "[lesson] date" in caught.value.remedy
    assert "--date" in caught.value.remedy
    assert ("line 2" in caught.value.where) == bool(header)
    raw = read(content, date=dt.date(2026, 4, 18))
    assert moments(raw) == ["0 131240", "0 131241"]
    assert any("by the date that was given" in note for note in raw.source.notes)


@pytest.mark.parametrize(
    ("clocks", "expected"),
    [
        (["235958", "235959", "000000", "000001"], ["0 235958", "0 235959", "1 000000", "1 000001"]),
        # No records over midnight.
        (["233000", "233001", "061000", "061001"], ["0 233000", "0 233001", "1 061000", "1 061001"]),
        # Two midnights.
        (
            ["230000", "010000", "120000", "230000", "010000"],
            ["0 230000", "1 010000", "1 120000", "1 230000", "2 010000"],
        ),
        # Back by a few hours, forwards by many.
        (["160310", "220248", "160252"], ["0 160310", "0 220248", "0 160252"]),
        (["180000", "180001", "070000", "070001"], ["0 180000", "0 180001", "0 070000", "0 070001"]),
        (["050000", "050001", "190000", "190001"], ["0 050000", "0 050001", "0 190000", "0 190001"]),
        # Out of order around midnight.
        (["235959", "000001", "235958", "000002"], ["0 235959", "1 000001", "0 235958", "1 000002"]),
        # A leap second is the first of the next day.
        (["235959", "235960", "000001"], ["0 235959", "1 000000", "1 000001"]),
    ],
)
def test_the_day_follows_the_clock(clocks: list[str], expected: list[str], read: Read) -> None:
    assert moments(read(igc(*(fix(clock) for clock in clocks)))) == expected


@pytest.mark.parametrize("step", [600, 5 * 3600, 6 * 3600, 7 * 3600])
def test_every_midnight_is_the_next_day(step: int, read: Read) -> None:
    every = range(80_000, 4 * 86_400, step)

    raw = read(igc(*(fix(_clock(seconds % 86_400)) for seconds in every)))
    assert (raw.samples.time_s - DAY_S).tolist() == [*every]


def test_a_log_over_midnight_says_so(read: Read) -> None:
    raw = read(igc(fix("235959"), fix("000000")))

    assert any("2026-04-18 to 2026-04-19, over midnight UTC" in note for note in raw.source.notes)


@settings(deadline=None, derandomize=True, max_examples=200)
@given(
    start=st.integers(0, 86_399),
    steps=st.lists(st.integers(1, 600), min_size=14, max_size=40),
    wrong=st.lists(st.integers(0, 86_399), min_size=1, max_size=5),
    data=st.data(),
)
def test_damaged_clocks_never_move_the_other_fixes(
    start: int, steps: list[int], wrong: list[int], data: st.DataObject
) -> None:
    true_s = [start]
    for step in steps:
        true_s.append(true_s[-1] + step)
    at = data.draw(st.integers(2, len(true_s) - len(wrong) - 2))
    clocks = [_clock(seconds % 86_400) for seconds in true_s]
    clocks[at : at + len(wrong)] = [_clock(seconds) for seconds in wrong]

    time_s = read_raw_bytes(igc(*(fix(clock) for clock in clocks)), "log").samples.time_s

    # What is damaged can look sound; the fixes around it are where they were.
    sound = [index for index in range(len(true_s)) if not at <= index < at + len(wrong)]
    assert [time_s[index] - DAY_S for index in sound] == [true_s[index] for index in sound]


def test_a_lone_wrong_clock_at_the_start_does_not_set_the_day(read: Read) -> None:
    raw = read(igc(fix("235900", validity="V"), fix("100000"), fix("100001"), fix("100002")))

    assert moments(raw)[1:] == ["0 100000", "0 100001", "0 100002"]


def test_the_header_is_the_date_of_the_first_valid_fix(read: Read) -> None:
    clocks = [("235958", "V"), ("235959", "V"), ("000000", "A"), ("000001", "A")]
    raw = read(igc(*(fix(clock, validity=validity) for clock, validity in clocks)))

    assert moments(raw) == ["-1 235958", "-1 235959", "0 000000", "0 000001"]


@pytest.mark.parametrize(
    ("records", "expected"),
    [
        # Two flights glued together, each with its date.
        (["131240", "131241", NEXT_DAY, "131245", "131246"], ["0 131240", "0 131241", "1 131245", "1 131246"]),
        (["131240", "131241", NEXT_DAY, "091245", "091246"], ["0 131240", "0 131241", "1 091245", "1 091246"]),
        # Two flights of one day, the later one first.
        (["200000", "200001", HEAD[1], "060000", "060001"], ["0 200000", "0 200001", "0 060000", "0 060001"]),
        # A new date that comes right at midnight, a little early, a little late.
        (["235958", "235959", NEXT_DAY, "000000", "000001"], ["0 235958", "0 235959", "1 000000", "1 000001"]),
        (["235958", NEXT_DAY, "235959", "000000", "000001"], ["0 235958", "0 235959", "1 000000", "1 000001"]),
        (["235959", "000000", "000001", NEXT_DAY, "000002"], ["0 235959", "1 000000", "1 000001", "1 000002"]),
        # The old date once more, although midnight has passed.
        (["235959", "000000", "003000", HEAD[1], "003001"], ["0 235959", "1 000000", "1 003000", "1 003001"]),
        # Dates behind all fixes, two in a row, and one that is none.
        (["131240", "131241", NEXT_DAY], ["0 131240", "0 131241"]),
        (["131240", NEXT_DAY, "HFDTE200426", "131240"], ["0 131240", "2 131240"]),
        (["131240", "131241", "HFDTE000000", "131242"], ["0 131240", "0 131241", "0 131242"]),
    ],
)
def test_dates_among_the_fixes(records: list[str], expected: list[str], read: Read) -> None:
    lines = [record if record.startswith("H") else fix(record) for record in records]

    assert moments(read(igc(*lines))) == expected


def test_a_date_behind_all_fixes_counts_where_there_is_no_other(read: Read) -> None:
    raw = read(igc(fix("235959"), fix("000000"), HEAD[1], head=(RECORDER,)))

    assert moments(raw) == ["0 235959", "1 000000"]


def test_a_second_recorder_begins_a_segment(read: Read) -> None:
    raw = read(igc(fix(), fix("131241"), *HEAD, fix("141240"), fix("141241")))

    assert raw.samples.segment.tolist() == [0, 0, 1, 1]


@pytest.mark.parametrize("clock", ["240000", "129960", "126000", "120060", "12A000", "      ", "-10000"])
def test_what_no_clock_shows_is_no_time(clock: str, read: Read) -> None:
    raw = read(igc(fix(), fix(clock), fix("131242")))

    assert raw.samples.time_s[[0, 2]].tolist() == [DAY_S + clock_s("131240"), DAY_S + clock_s("131242")]
    assert raw.samples.time_s[1] != raw.samples.time_s[1]
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-time", 1)]
    assert "line 4" in raw.faults[0].detail


def test_no_time_at_all_is_an_error(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="no fix has a time that can be read") as caught:
        read(igc(fix("240000"), fix("990000")))
    assert "line 3" in caught.value.where


def test_decimals_of_the_second_that_are_lost_leave_no_time(read: Read) -> None:
    raw = read(igc("I013637TDS", fix(more="10"), fix(more="X0"), fix(more="30")))

    assert [round(seconds - DAY_S - clock_s("131240"), 3) for seconds in raw.samples.time_s[[0, 2]]] == [0.1, 0.3]
    assert [fault.kind for fault in raw.faults] == ["unreadable-time"]
