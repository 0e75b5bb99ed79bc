"""NMEA 0183: the day of a time, over midnight, before the first date, without any, and after a week count ran over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import TrackTimeError
from legwise.model.instants import epoch_s
from legwise.model.track import RawTrack, Track
from tracks.nmea_logs import gga, gll, log_of, rmc

Read = Callable[..., RawTrack]


def at(text: str) -> float:
    return epoch_s(dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC))


def zda(time: str, date: str, talker: str = "GP") -> str:
    return f"{talker}ZDA,{time},{date},00,00"


def notes_of(raw: RawTrack) -> str:
    return "\n".join(raw.source.notes)


def test_fractions_are_kept_as_written(read: Read) -> None:
    raw = read(log_of(rmc("131240.10"), gga("131240.1"), rmc("131240.2"), rmc("131240.35"), rmc("131241.123456")))

    assert raw.samples.time_s - at("2026-04-18T13:12:40") == pytest.approx([0.1, 0.2, 0.35, 1.123456], abs=1e-6)


def test_a_time_between_two_dates_is_on_the_day_that_keeps_it_going(read: Read) -> None:
    raw = read(
        log_of(
            rmc("235958", date="180426"),
            gga("235959"),
            gga("000000"),
            rmc("000000", date="190426"),
            gll("000001"),
            gga("000002"),
        )
    )

    assert raw.samples.time_s.tolist() == [at("2026-04-18T23:59:58") + n for n in range(5)]


def test_a_time_before_the_first_date_is_counted_back_from_it(read: Read) -> None:
    raw = read(log_of(gga("235959"), gga("000000"), gga("000001"), rmc("000002", date="190426")))

    assert raw.samples.time_s.tolist() == [at("2026-04-18T23:59:59") + n for n in range(4)]


@pytest.mark.parametrize("ahead", [True, False])
def test_zda_gives_the_date_of_the_sentences_beside_it(ahead: bool, read: Read) -> None:
    pairs = [(zda("235959", "18,04,2026"), gga("235959")), (zda("000000", "19,04,2026"), gga("000000"))]
    raw = read(log_of(*(body for pair in pairs for body in (pair if ahead else pair[::-1]))))

    assert raw.samples.time_s.tolist() == [at("2026-04-18T23:59:59"), at("2026-04-19")]


def test_zda_between_the_times_of_the_others_gives_the_day_too(read: Read) -> None:
    raw = read(
        log_of(
            gga("235959.50"), zda("000000.00", "19,04,2026"), gga("000000.50"), gga("000000.80"), zda("1", "19,04,2026")
        )
    )

    assert raw.samples.time_s - at("2026-04-19") == pytest.approx([-0.5, 0.5, 0.8], abs=1e-6)


def test_a_zda_of_an_earlier_time_parts_no_record(read: Read) -> None:
    raw = read(log_of(gga("131240"), zda("131239", "18,04,2026"), rmc("131240"), gga("131241"), rmc("131241")))

    assert raw.samples.line.tolist() == [1, 4]


def test_the_date_of_a_fix_stands_before_that_of_an_unset_clock(read: Read) -> None:
    start = [body for n in range(3) for body in (rmc(f"10000{n}", status="V", date="060180"), gga(f"10000{n}"))]
    raw = read(log_of(*start, rmc("131240"), rmc("131241")))

    assert raw.samples.time_s[0] == at("2026-04-18T10:00:00")
    assert raw.samples.time_s[3] == at("2026-04-18T13:12:40")


def test_where_only_sentences_without_a_fix_have_a_date_it_is_taken_and_told(read: Read) -> None:
    raw = read(log_of(rmc("131239", status="V"), gga("131240"), gga("131241")))

    assert raw.samples.time_s.tolist() == [at("2026-04-18T13:12:40"), at("2026-04-18T13:12:41")]
    assert "said before there was a fix" in notes_of(raw)


def test_a_log_without_a_date_asks_for_it(read: Read) -> None:
    text = log_of(gga("235959"), gga("000000"))

    with pytest.raises(TrackTimeError, match="without a date") as caught:
        read(text)
    assert "[lesson] date = YYYY-MM-DD" in caught.value.remedy
    assert "--date" in caught.value.remedy

    raw = read(text, date=dt.date(2026, 4, 18))
    assert raw.samples.time_s.tolist() == [at("2026-04-18T23:59:59"), at("2026-04-19")]
    assert "taken on 2026-04-18" in notes_of(raw)


def test_the_date_that_is_said_is_that_of_the_first_record(read: Read) -> None:
    # What the receiver's own clock said before the first fix has no part in it.
    raw = read(log_of(gga("000000", quality="0"), gga("200000"), gga("200001")), date=dt.date(2026, 4, 18))

    assert raw.samples.time_s.tolist() == [at("2026-04-18T20:00:00"), at("2026-04-18T20:00:01")]


@pytest.mark.parametrize(("year", "expected"), [("79", 2079), ("00", 2000), ("80", 1980), ("99", 1999)])
def test_years_of_two_figures(year: str, expected: int, read: Read) -> None:
    raw = read(log_of(rmc(date=f"0601{year}")))

    assert raw.samples.time_s[0] == at(f"{expected}-01-06T13:12:40")


def test_records_of_an_unset_clock_are_left_out_by_mending(mended: Callable[..., Track]) -> None:
    track = mended(log_of(rmc("000001", date="060180"), rmc("131240"), rmc("131241")))

    assert (track.samples_read, len(track)) == (2, 2)
    assert "unset-clock" in {fault.kind for fault in track.faults}


@pytest.mark.parametrize("date", ["300226", "000000", "18426", "1804264", "18O426", "18.426"])
def test_a_date_that_is_none_is_told_and_counted_on(date: str, read: Read) -> None:
    raw = read(log_of(rmc("131240"), rmc("131241", date=date)))

    assert np.diff(raw.samples.time_s).tolist() == [1.0]
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-value", 1)]


@pytest.mark.parametrize("weeks", [1024, 2048])
@pytest.mark.parametrize("said", ["2026-04-18", "2026-04-17", "2026-04-19"])
def test_a_week_count_that_ran_over_is_put_right_when_the_date_is_said(weeks: int, said: str, read: Read) -> None:
    wrong = dt.date(2026, 4, 18) - dt.timedelta(weeks=weeks)
    after = wrong + dt.timedelta(days=1)
    text = log_of(
        rmc("235959", date=wrong.strftime("%d%m%y")), gga("000000"), rmc("000001", date=after.strftime("%d%m%y"))
    )

    raw = read(text, date=dt.date.fromisoformat(said))
    assert raw.samples.time_s.tolist() == [at("2026-04-18T23:59:59") + n for n in range(3)]
    assert f"{weeks:,} weeks" in notes_of(raw)
    assert read(text).samples.time_s[0] == at(f"{wrong.isoformat()}T23:59:59")
    other = dt.date.fromisoformat(said) + dt.timedelta(days=7)
    assert read(text, date=other).samples.time_s[0] == at(f"{wrong.isoformat()}T23:59:59")


def test_a_date_that_stays_the_same_over_midnight_is_counted_on_and_told(read: Read) -> None:
    times = ["235958", "235959", "000000", "000001", "000002"]
    late = ["180426", "180426", "180426", "180426", "190426"]
    raw = read(log_of(*(rmc(time, date=date) for time, date in zip(times, late, strict=True))))

    assert raw.samples.time_s.tolist() == [at("2026-04-18T23:59:58") + n for n in range(5)]
    assert "stays the same over midnight in 2 records" in notes_of(raw)

    never = read(log_of(*(rmc(time) for time in times)))
    assert never.samples.time_s.tolist() == [at("2026-04-18T23:59:58") + n for n in range(5)]


def test_the_same_time_with_another_date_is_another_record(read: Read) -> None:
    raw = read(log_of(rmc("131240", date="180426"), gga("131240"), rmc("131240", date="190426"), gga("131240")))

    assert raw.samples.time_s.tolist() == [at("2026-04-18T13:12:40"), at("2026-04-19T13:12:40")]


def test_the_order_of_the_file_is_kept_where_the_clock_is_set(read: Read) -> None:
    times = ["131240", "131241", "131100", "131101", "151200"]
    raw = read(log_of(*(body for time in times for body in (gga(time), rmc(time)))))

    clock = [at(f"2026-04-18T{time[:2]}:{time[2:4]}:{time[4:]}") for time in times]
    assert raw.samples.time_s.tolist() == clock


def test_a_leap_second_is_read(read: Read) -> None:
    # 2016-12-31T23:59:60Z was one (IERS Bulletin C 52); in seconds since 1970 it has the number of the next midnight.
    raw = read(
        log_of(*(rmc(time, date="311216") for time in ("235959", "235960", "235960.50")), rmc("000001", date="010117"))
    )

    assert (raw.samples.time_s - at("2016-12-31T23:59:59")).tolist() == [0.0, 1.0, 1.5, 2.0]
    assert raw.faults == ()


def test_times_are_utc_whatever_offset_is_said(read: Read) -> None:
    raw = read(log_of(rmc()), utc_offset="-04:00")

    assert raw.samples.time_s.tolist() == [at("2026-04-18T13:12:40")]
    assert "times are UTC, as NMEA 0183 has them; --utc-offset was not used" in notes_of(raw)
