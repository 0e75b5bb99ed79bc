"""Taking one flight, or a range of time, out of a log: what is counted is of that part alone."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import legwise
from legwise.errors import CallError, FlightError
from legwise.model.instants import epoch_s, instant
from legwise.model.track import Fault, RawTrack, Track
from legwise.tracks import Moment, choose, mend, summarise
from tracks.flown_logs import HOME, T0, Log, raw_of

NAN = float("nan")


def utc(hour: int, minute: int, second: int = 0, day: int = 18) -> dt.datetime:
    return dt.datetime(2026, 4, day, hour, minute, second, tzinfo=dt.UTC)


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


@pytest.fixture(name="two", scope="module")
def two_fixture() -> Log:
    return Log().flight().stand(900).flight().stand(120)


def spoilt(rows: np.ndarray) -> np.ndarray:
    """In the first flight a leap, two repeats, two blank positions; in the second a blank one, and one without time."""
    rows[700, 2] += 3.0
    rows[[801, 901], 0] = rows[[800, 900], 0]
    rows[[1000, 1010, -300], 1] = NAN
    rows[-400, 0] = NAN
    return rows


def test_a_flight_taken_counts_as_a_log_of_that_flight_alone(two: Log) -> None:
    raw = two.raw(change=spoilt)
    whole = mend(raw)
    taken = [choose(raw, flight=number) for number in (1, 2)]

    for track, listed in zip(taken, whole.flights, strict=True):
        alone = mend(raw_of(spoilt(np.array(two.rows))[_within(raw, listed.start_s, listed.end_s)]))
        assert len(track) == len(alone)
        assert counts(track) == counts(alone)
        assert track.samples_read == alone.samples_read == listed.samples
        assert (track.first_time_s, track.last_time_s) == (listed.start_s, listed.end_s)
        assert track.flights == (listed,)
        assert track.found is None
        assert track.taken == str(listed.number)
    left_out = {"jump": 1, "repeated-time": 2, "blank-position": 2}
    assert left_out.items() <= counts(taken[0]).items()
    assert "no-time" not in counts(taken[0])
    assert {"blank-position": 1, "no-time": 1}.items() <= counts(taken[1]).items()
    assert sum(track.samples_read for track in taken) == whole.samples_read
    assert sum(len(track) for track in taken) == len(whole)


def _within(raw: RawTrack, start_s: float, end_s: float) -> np.ndarray:
    """The records of a stretch; the one without a time goes with the one before it."""
    time_s = raw.samples.time_s.copy()
    time_s[np.isnan(time_s)] = time_s[np.flatnonzero(np.isnan(time_s)) - 1]
    return np.asarray((time_s >= start_s) & (time_s <= end_s))


def test_what_is_taken_is_told(two: Log) -> None:
    track = choose(two.raw(), flight=2)
    assert "flight 2 of 2 is taken: as was said" in track.source.notes
    assert summarise(track, None).flights[0].number == 2


def test_what_the_reader_found_is_of_the_whole_log_and_says_so(two: Log) -> None:
    raw = dataclasses.replace(two.raw(), faults=(Fault(kind="bad-checksum", count=7, detail="lines 3 and 6 more"),))
    fault = next(each for each in choose(raw, flight=2).faults if each.kind == "bad-checksum")
    assert (fault.count, fault.detail) == (7, "lines 3 and 6 more (counted over the whole log)")


def test_the_only_flight_may_be_named() -> None:
    raw = Log().flight().raw()
    track = choose(raw, flight=1)
    assert (len(track), track.taken) == (len(raw.samples), "")
    with pytest.raises(FlightError, match="one flight, and no flight 2"):
        choose(raw, flight=2)


def test_a_flight_that_is_not_there_lists_those_that_are() -> None:
    log = Log()
    for _ in range(8):
        log.flight(5).stand(400)
    with pytest.raises(FlightError, match="the log holds 8 flights, and none is 9") as caught:
        choose(log.raw(), flight=9)
    lines = str(caught.value).splitlines()

    assert caught.value.where == "log.csv"
    assert len(lines) == 8
    assert lines[1].startswith("  1: 2026-04-18T09:00:01Z to 09:")
    assert re.search(r"Z \(\d\d min\), from 46\.200 N 27\.600 W to 46\.\d{3} N 2\d\.\d{3} W$", lines[1])
    assert lines[-2:] == [
        "  and 3 more, which 'legwise inspect' lists",
        "  Say which: --flight N, or a range of time: --from TIME --to TIME.",
    ]


def test_an_aircraft_and_its_flight_are_taken_together() -> None:
    one, other = Log().flight().stand(600).flight(), Log(lat_deg=HOME[0] + 2.0).flight(30)
    rows = sorted([(row, "A") for row in one.rows] + [(row, "B") for row in other.rows], key=lambda each: each[0][0])
    raw = raw_of(np.array([row for row, _ in rows]), names=[name for _, name in rows])
    track = choose(raw, flight=3)

    assert len(track) == len(other.rows)
    assert "several-aircraft" not in counts(track)
    assert "flight 3 of 3 (aircraft “B”) is taken: as was said" in track.source.notes
    assert track.flights[0].aircraft == "B"
    with pytest.raises(FlightError, match="the range holds records of 2 aircraft: aircraft “A” and aircraft “B”"):
        choose(raw, start="09:10", end="09:20")
    later = choose(raw, start=instant(other.rows[-1][0] + 1.0))
    assert {row[0] for row in one.rows if row[0] > other.rows[-1][0]} == set(later.samples.time_s.tolist())
    part = choose(raw, flight=3, start="09:10", end="09:20")
    assert len(part) == 601
    assert float(part.samples.lat_deg.min()) > HOME[0] + 1.0


@pytest.mark.parametrize(("before_s", "after_s"), [(600, 300), (100, 900)], ids=["parted before it", "parted after it"])
def test_a_clock_set_back_between_two_flights_leaves_each_as_it_is_listed(before_s: float, after_s: float) -> None:
    """A simulator is put back to a saved point of half an hour ago, clock and all, and flown from there again."""
    log = Log().flight().stand(before_s)
    log.time_s -= 1800.0
    log.put(46.6, -27.0, 50.0, 90.0).stand(after_s).flight().stand(60)
    raw = log.raw()
    whole = mend(raw)

    assert counts(whole)["clock-step"] == 1
    assert len(whole.flights) == 2
    for flight in whole.flights:
        track = choose(raw, flight=flight.number)
        assert (track.first_time_s, track.last_time_s, track.samples_read) == (
            flight.start_s,
            flight.end_s,
            flight.samples,
        )
        same = (whole.samples.time_s >= flight.start_s) & (whole.samples.time_s <= flight.end_s)
        assert track.samples.time_s.tolist() == whole.samples.time_s[same].tolist()
        assert track.samples.lat_deg.tolist() == whole.samples.lat_deg[same].tolist()


def test_a_clock_set_within_a_flight_is_told_of_that_flight_alone() -> None:
    log = Log().flight().stand(600).flight(10)
    log.take_off(3000).go(600, 100)
    log.time_s -= 300.0
    log.go(900, 100).to_altitude(50.0, 75)
    raw = log.raw()
    whole = mend(raw)
    tracks = [choose(raw, flight=flight.number) for flight in whole.flights]

    assert len(tracks) == 2
    assert ["clock-step" in counts(track) for track in tracks] == [False, True]
    assert [track.samples_read for track in tracks] == [flight.samples for flight in whole.flights]
    assert sum(len(track) for track in tracks) == len(whole)


RANGES: dict[str, tuple[Moment | None, Moment | None, float, float]] = {
    "instants": (utc(9, 10), utc(9, 20), 600, 1200),
    "another zone": ("2026-04-18T11:10:00+02:00", "2026-04-18T11:20+02:00", 600, 1200),
    "texts": ("2026-04-18T09:10:00Z", "2026-04-18T09:20:00.5Z", 600, 1200),
    "times of day": ("09:10", "09:20:30", 600, 1230),
    "times of day with their zone": ("09:10Z", "9:20:30Z", 600, 1230),
    "times": (dt.time(9, 10), dt.time(9, 20, tzinfo=dt.UTC), 600, 1200),
    "from alone": ("09:50", None, 3000, np.inf),
    "to alone": (None, "09:20", 0, 1200),
    "wider than the log": ("08:00", "23:00", 0, np.inf),
    "from before the log": ("08:00", None, 0, np.inf),
    "to after the log": (None, "23:00", 0, np.inf),
    "a time of day after an instant": (utc(9, 10), "09:20", 600, 1200),
    "a time of day before an instant": ("09:10", utc(9, 20), 600, 1200),
    "over both flights": ("09:10", "10:20", 600, 4800),
}


@pytest.mark.parametrize(("start", "end", "first_s", "last_s"), RANGES.values(), ids=RANGES)
def test_a_range_is_read_as_one_flight(
    two: Log, start: Moment | None, end: Moment | None, first_s: float, last_s: float
) -> None:
    track = choose(two.raw(), start=start, end=end)
    times = [row[0] for row in two.rows if first_s <= row[0] - T0 <= last_s]

    assert track.samples.time_s.tolist() == times
    assert len(track.flights) == 1
    assert track.flights[0].samples == len(times)
    assert track.found is None
    assert "several-flights" not in counts(track)
    assert track.taken == f"{instant(times[0]):%Y%m%d-%H%M%S}-{instant(times[-1]):%H%M%S}"


MIDNIGHT_RANGES: dict[str, tuple[Moment | None, Moment | None, float, float]] = {
    "over midnight": ("23:50", "00:10", -600, 600),
    "from an instant": (utc(23, 50), "00:10", -600, 600),
    "to an instant": ("23:50", utc(0, 10, day=19), -600, 600),
    "before it": ("23:40", "23:50", -1200, -600),
    "after it": ("00:10", "00:20", 600, 1200),
    "from before it": ("23:50", None, -600, np.inf),
    "from after it": ("00:10", None, 600, np.inf),
    "to after it": (None, "00:10", -np.inf, 600),
}


@pytest.mark.parametrize(("start", "end", "first_s", "last_s"), MIDNIGHT_RANGES.values(), ids=MIDNIGHT_RANGES)
def test_ranges_of_a_log_over_midnight(start: Moment | None, end: Moment | None, first_s: float, last_s: float) -> None:
    midnight_s = epoch_s(utc(0, 0, day=19))
    log = Log(time_s=midnight_s - 1500.0).flight(40)
    times = [row[0] for row in log.rows if first_s <= row[0] - midnight_s <= last_s]
    assert choose(log.raw(), start=start, end=end).samples.time_s.tolist() == times


def test_a_range_that_begins_on_the_day_before_the_log() -> None:
    log = Log(time_s=epoch_s(utc(0, 5, day=19))).flight()
    assert len(choose(log.raw(), start="23:50", end="00:15")) == 600


@pytest.mark.parametrize(
    ("start", "end", "error", "message"),
    [
        ("11:00", "12:00", FlightError, "from 11:00:00Z to 12:00:00Z; the log spans 2026-04-18T09:00:01Z to 10:"),
        (utc(8, 0), utc(9, 0, 1), FlightError, "no two records from 2026-04-18T08:00:00Z to 2026-04-18T09:00:01Z"),
        (utc(9, 20), utc(9, 10), CallError, "before it begins: from 2026-04-18T09:20:00Z to 2026-04-18T09:10:00Z"),
        (utc(12, 0), None, FlightError, "no two records from 2026-04-18T12:00:00Z; the log"),
        ("noon", None, CallError, "“noon” is no time"),
        ("24:00", None, CallError, "“24:00” is no time"),
        ("09:61", None, CallError, "“09:61” is no time"),
        (None, "2026-04-18T09:10:00", CallError, "“2026-04-18T09:10:00” has no zone"),
        (None, "2026-04-18", CallError, "“2026-04-18” has no zone"),
        (dt.datetime(2026, 4, 18, 9, 10), None, CallError, "has no zone"),  # noqa: DTZ001
        (dt.time(9, tzinfo=dt.timezone(dt.timedelta(hours=2))), None, CallError, "is not in UTC"),
        ("x" * 500 + "\n", None, CallError, "is no time"),
    ],
)  # fmt: skip
def test_ranges_that_are_none(
    two: Log, start: Moment | None, end: Moment | None, error: type[Exception], message: str
) -> None:
    with pytest.raises(error, match=re.escape(message)) as caught:
        choose(two.raw(), start=start, end=end, places=("--from", "--to"))
    assert len(str(caught.value)) < 300
    if error is CallError and "before" not in message:
        assert str(caught.value).startswith("--from: " if start is not None else "--to: ")


def test_a_time_of_day_on_several_days_is_asked_for() -> None:
    log = Log().flight().unseen(86_400.0 - 2400.0).flight()
    for start, end in (("09:10", "09:20"), ("09:10", None), (None, "09:20")):
        with pytest.raises(FlightError, match="is on 2 days of the log: 2026-04-18 and 2026-04-19"):
            choose(log.raw(), start=start, end=end)
    assert len(choose(log.raw(), start=utc(9, 10, day=18), end="09:20")) == 601
    assert len(choose(log.raw(), flight=1, start="09:10", end="09:20")) == 601


def test_a_range_over_midnight_names_no_day_without_records() -> None:
    log = Log().flight().unseen(86_400.0 - 4800.0).flight()
    # Of the range that would begin on the day before there is the log's first record alone.
    track = choose(log.raw(), start="23:00", end="09:00:01")
    assert instant(track.first_time_s).date() == dt.date(2026, 4, 19)
    with pytest.raises(FlightError, match="can be 2 stretches of the log: 2026-04-18T09:00:01Z to 09:05:00Z") as caught:
        choose(log.raw(), start="23:00", end="09:05")
    assert "2026-04-17" not in str(caught.value)


def test_a_range_within_a_flight_ends_with_it(two: Log) -> None:
    raw = two.raw()
    first, second = mend(raw).flights
    part = choose(raw, flight=2, start="09:10")
    assert (part.first_time_s, part.last_time_s) == (second.start_s, second.end_s)
    with pytest.raises(FlightError, match="no two records"):
        choose(raw, flight=2, start="09:10", end=instant(first.end_s))


@pytest.mark.parametrize(
    "between",
    [
        (dt.datetime.max.replace(tzinfo=dt.timezone(dt.timedelta(hours=-14))), None),
        (None, dt.datetime.min.replace(tzinfo=dt.timezone(dt.timedelta(hours=14)))),
        (dt.date(2026, 4, 18), None),
        (1776513600.0, None),
        (b"12:00", None),
        (dt.timedelta(1), None),
        ("12:00", "12:01", "12:02"),
        "12:00",
        (),
    ],
)
def test_what_is_no_pair_of_times_is_refused(between: object, log: Callable[..., Path]) -> None:
    path = log("time,latitude,longitude\n2026-04-18T12:00:00Z,46,-28\n2026-04-18T12:00:10Z,46.001,-28\n")

    with pytest.raises(CallError):
        legwise.read_track(path, between=between)  # type: ignore[arg-type]


def test_a_date_may_come_with_a_time(log: Callable[..., Path]) -> None:
    path = log("time utc,latitude,longitude\n12:00:00,46,-28\n12:00:10,46.001,-28\n")
    track = legwise.read_track(path, date=dt.datetime(2026, 4, 18, 9, 0))  # noqa: DTZ001

    assert track.first_time_s == dt.datetime(2026, 4, 18, 12, tzinfo=dt.UTC).timestamp()
