"""Cycles of 28 days: published dates, what headers say, and whether the data cover the flight."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from legwise.navdata import cycle_dates, cycle_note, cycle_on, open_navdata
from navdata.coded_lines import excerpt, leg, lines_of, record, waypoint, written

# The table of effective dates for 2020 of the Polish aeronautical information service (its page on the AIRAC cycle).
YEAR_2020 = [
    "2020-01-02", "2020-01-30", "2020-02-27", "2020-03-26", "2020-04-23", "2020-05-21", "2020-06-18", "2020-07-16",
    "2020-08-13", "2020-09-10", "2020-10-08", "2020-11-05", "2020-12-03", "2020-12-31", "2021-01-28",
]  # fmt: skip


@pytest.mark.parametrize(
    ("cycle", "begins"), list(zip([*(f"20{n:02}" for n in range(1, 15)), "2101"], YEAR_2020, strict=True))
)
def test_published_dates_of_a_year_with_fourteen(cycle: str, begins: str) -> None:
    dates = cycle_dates(cycle)

    assert dates is not None
    assert dates[0].isoformat() == begins
    assert dates[1] - dates[0] == dt.timedelta(days=27)


@pytest.mark.parametrize(
    ("cycle", "begins", "ends"),
    [
        # A public library's manual: "1209 (effective: 2012-08-23; expires: 2012-09-19)".
        ("1209", "2012-08-23", "2012-09-19"),
        # A notice of cycle 2206 on the web: from June 16th, 2022.
        ("2206", "2022-06-16", "2022-07-13"),
        # Two public calculators have 2501 as their anchor.
        ("2501", "2025-01-23", "2025-02-19"),
        ("2601", "2026-01-22", "2026-02-18"),
    ],
)
def test_published_dates_of_other_years(cycle: str, begins: str, ends: str) -> None:
    dates = cycle_dates(cycle)

    assert dates is not None
    assert (dates[0].isoformat(), dates[1].isoformat()) == (begins, ends)


@pytest.mark.parametrize("cycle", ["", "2600", "2614", "2115", "260", "26013", "ABCD", "²601"])
def test_cycles_that_are_none(cycle: str) -> None:
    assert cycle_dates(cycle) is None


@given(st.dates(dt.date(1964, 2, 1), dt.date(2063, 12, 1)))
def test_every_day_has_one_cycle_that_holds_it(date: dt.date) -> None:
    dates = cycle_dates(cycle_on(date))

    assert dates is not None
    assert dates[0] <= date <= dates[1]


def test_the_header_says_the_cycle_and_its_own_words_agree() -> None:
    # HDR04: "CODED INSTRUMENT FLIGHT PROCEDURES VOLUME 2003  EFFECTIVE 27 FEB 2020".
    summary = open_navdata(excerpt("KHWD")).summary

    assert "VOLUME 2003  EFFECTIVE 27 FEB 2020" in lines_of("KHWD")[3]
    assert (summary.cycle, summary.effective_from, summary.effective_to) == (
        "2003", dt.date(2020, 2, 27), dt.date(2020, 3, 25),
    )  # fmt: skip
    assert any("the header counts 380497 records and the file holds 97" in note for note in summary.notes)


def test_without_a_header_the_changes_of_records_are_no_cycle() -> None:
    summary = open_navdata(excerpt("KCHS")).summary

    assert (summary.cycle, summary.effective_from, summary.newest_change) == ("", None, "2014")


@pytest.mark.parametrize(
    ("date", "words"),
    [
        (
            dt.date(2026, 9, 3),
            "On 2026-09-03 the navigation data %s (cycle 2609, 2026-09-03 to 2026-09-30) were in force.",
        ),
        (dt.date(2026, 9, 30), "were in force."),
        (dt.date(2026, 10, 1), "out of date for 1 day: then cycle 2610 was in force; check each procedure"),
        (dt.date(2026, 11, 30), "out of date for 61 days: then cycle 2612 was in force"),
        (dt.date(2026, 9, 2), "not yet in force for another 1 day: then cycle 2608 was in force"),
        (None, "The flight has no date to check the navigation data"),
    ],
)
def test_whether_the_data_cover_the_flight(date: dt.date | None, words: str) -> None:
    summary = open_navdata(excerpt("KBTV")).summary

    assert words.replace("%s", summary.file) in cycle_note(summary, date)


def test_what_is_said_where_no_cycle_is_known(tmp_path: Path) -> None:
    undated = open_navdata(written(tmp_path, [waypoint()[:128] + "ABCD"])).summary
    dated = open_navdata(excerpt("KCHS")).summary

    assert "do not say which cycle they are: check each procedure" in cycle_note(undated, dt.date(2026, 4, 18))
    assert "newest change is of cycle 2014, in force from 2020-12-31, so they are of that cycle or a later one" in (
        cycle_note(dated, dt.date(2021, 2, 1))
    )
    assert "after the flight on 2020-06-01" in cycle_note(dated, dt.date(2020, 6, 1))


def test_a_header_that_counts_right_is_no_note(tmp_path: Path) -> None:
    # Columns of HDR01: file name from 6, count of records from 29, cycle from 36.
    header = record({1: "HDR01TARN", 21: "001P0132", 29: "0000002", 36: "2605", 42: "01-MAY-2026"})
    summary = open_navdata(written(tmp_path, [header, waypoint(), leg()])).summary

    assert (summary.cycle, summary.notes, summary.problem_count) == ("2605", (), 0)


def test_a_header_with_a_cycle_that_is_none(tmp_path: Path) -> None:
    header = record({1: "HDR01TARN", 36: "2699"})
    summary = open_navdata(written(tmp_path, [header, waypoint()])).summary

    assert (summary.cycle, summary.effective_from) == ("", None)
