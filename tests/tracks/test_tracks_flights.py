"""Where one flight ends and the next begins: each rule with what looks like it and is something else."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import TrackFormatError
from legwise.model.instants import epoch_s
from legwise.model.track import Fault, Flight, RawTrack, Track
from legwise.tracks import mend, read_raw_track, summarise
from tracks.flown_logs import FIELD_FT, HOME, T0, Log, raw_of


def flights(log: Log, *, with_altitude: bool = True) -> tuple[Flight, ...]:
    return mend(log.raw(with_altitude=with_altitude)).flights


def count_told(track: Track) -> int:
    return next((fault.count for fault in track.faults if fault.kind == "several-flights"), 1)


both = pytest.mark.parametrize("with_altitude", [True, False], ids=["with altitudes", "without"])


@both
def test_two_flights_with_a_stand_between_are_parted_in_the_middle_of_it(with_altitude: bool) -> None:
    log = Log().flight().stand(600).flight().stand(30)
    raw = log.raw(with_altitude=with_altitude)
    track = mend(raw)

    assert count_told(track) == len(track.flights) == 2
    first, second = track.flights
    assert (first.number, second.number) == (1, 2)
    assert (first.start_s, second.end_s) == (raw.samples.time_s[0], raw.samples.time_s[-1])
    assert second.start_s == first.end_s + 1.0
    assert first.samples + second.samples == len(raw.samples) == track.samples_read
    rows = np.array(log.rows)
    stands = np.flatnonzero(np.abs(np.diff(rows[:, 1])) > 1e-9)
    longest = int(np.argmax(np.diff(stands)))
    middle_s = (rows[stands[longest] + 1, 0] + rows[stands[longest + 1], 0]) / 2.0
    # Its ends are blurred by the 40 m within which an aircraft is taken to stand.
    assert second.start_s == pytest.approx(middle_s, abs=15.0)
    assert track.found is raw


@both
@pytest.mark.parametrize(
    "log",
    [
        Log().stand(60).circuit().go(15, 60).circuit().go(15, 60).circuit().stand(60),
        Log().stand(60).circuit().stand(20).circuit().stand(20).circuit().stand(60),
        Log()
        .stand(60)
        .circuit()
        .go(30, 12)
        .go(240, 15)
        .stand(150)
        .circuit()
        .go(30, 12)
        .go(240, 15)
        .stand(200)
        .circuit(),
        Log().stand(1800).go(300, 12).stand(400).go(60, 12).stand(300).flight().stand(60),
        Log().flight().stand(900).go(300, 12).stand(900).go(60, 8).stand(300),
        Log().take_off(4000).go(3600, 90, turn_dps=1.0).to_altitude(FIELD_FT, 75).stand(60),
    ],
    ids=["touch-and-goes", "stop-and-goes", "taxi back", "waits before", "moved afterwards", "a long orbit"],
)
def test_one_flight(log: Log, with_altitude: bool) -> None:
    assert len(flights(log, with_altitude=with_altitude)) == 1


@both
def test_a_hold_is_one_flight(with_altitude: bool) -> None:
    log = Log().take_off(3000)
    for _ in range(10):
        log.go(60, 90, turn_dps=3.0).go(60, 90).go(60, 90, turn_dps=3.0).go(60, 90)
    assert len(flights(log.to_altitude(FIELD_FT, 75).stand(400), with_altitude=with_altitude)) == 1


@both
def test_a_glider_that_circles_in_the_wind_is_one_flight(with_altitude: bool) -> None:
    """Every 20 s the wind takes all of its speed."""
    log = Log().stand(600).go(40, 60, fpm=2000.0)
    log.go(3600, 42, turn_dps=18.0, fpm=60.0, wind_kt=38.0).go(1200, 60, fpm=-200.0).stand(600)
    assert len(flights(log, with_altitude=with_altitude)) == 1


@both
def test_slow_flight_into_a_strong_wind_is_no_stand(with_altitude: bool) -> None:
    """60 kt through the air into 56 kt of wind, for twenty minutes, level."""
    log = Log(course=270.0).take_off(3000)
    log.go(1200, 60, wind_kt=56.0).go(600, 60).to_altitude(FIELD_FT, 60).stand(60)
    assert len(flights(log, with_altitude=with_altitude)) == 1


def test_a_stand_of_four_minutes_parts_and_one_of_three_does_not() -> None:
    assert len(flights(Log().flight().stand(130).flight())) == 1
    assert len(flights(Log().flight().stand(200).flight())) == 2


@both
@pytest.mark.parametrize("step_s", [5.0, 20.0, 60.0])
def test_a_sparse_log_is_parted_as_well(step_s: float, with_altitude: bool) -> None:
    log = Log(step_s=step_s).flight(30).stand(900).flight(30)
    assert len(flights(log, with_altitude=with_altitude)) == 2
    assert len(flights(Log(step_s=step_s).flight(30), with_altitude=with_altitude)) == 1


@both
def test_a_flight_over_midnight_is_one_and_flights_on_either_side_are_two(with_altitude: bool) -> None:
    midnight = epoch_s(dt.datetime(2026, 4, 19, tzinfo=dt.UTC))
    assert len(flights(Log(time_s=midnight - 1200).flight(40), with_altitude=with_altitude)) == 1
    assert len(flights(Log(time_s=midnight - 2400).flight().stand(900).flight(), with_altitude=with_altitude)) == 2


@both
def test_days_apart_and_files_glued_in_the_wrong_order(with_altitude: bool) -> None:
    first = Log().flight()
    other = Log(time_s=T0 + 3 * 86_400.0).flight()
    raw = raw_of(np.array([*other.rows, *first.rows]), with_altitude)
    found = mend(raw).flights

    assert [flight.samples for flight in found] == [len(first.rows), len(other.rows)]
    assert [(flight.start_s, flight.end_s) for flight in found] == [
        (log.rows[0][0], log.rows[-1][0]) for log in (first, other)
    ]
    start, end = first.rows[0], first.rows[-1]
    assert (found[0].start_lat_deg, found[0].start_lon_deg) == start[1:3]
    assert (found[0].end_lat_deg, found[0].end_lon_deg) == end[1:3]


@both
def test_an_approach_repeated_from_a_saved_point_is_one_flight(with_altitude: bool) -> None:
    log = Log().flight(10).take_off(2000).go(300, 90)
    for _ in range(5):
        log.put(46.4, -27.2, 2000.0, 250.0).go(240, 90).go(150, 80, fpm=-700.0)
    assert len(flights(log.stand(60), with_altitude=with_altitude)) == 1


@both
@pytest.mark.parametrize("catches_up", [False, True], ids=["paused", "frozen"])
def test_a_position_that_stands_in_flight_is_no_landing(catches_up: bool, with_altitude: bool) -> None:
    log = Log().take_off(3000).go(1200, 100).held(600, catches_up=catches_up).go(1200, 100).to_altitude(FIELD_FT, 75)
    assert len(flights(log.stand(60), with_altitude=with_altitude)) == 1


def test_what_stops_at_once_where_the_ground_is_has_landed() -> None:
    """A log that was not flown but made up: from 75 kt to a stand, and on with 75 kt, within a second."""
    log = Log().stand(120).take_off(3000).go(600, 100).to_altitude(FIELD_FT, 75).held(900)
    assert len(flights(log.take_off(3000).go(600, 100).to_altitude(FIELD_FT, 75).stand(60))) == 2
    paused = Log().stand(120).take_off(3000).go(600, 100).to_altitude(FIELD_FT + 300, 75).held(900)
    assert len(flights(paused.take_off(3000).go(600, 100).to_altitude(FIELD_FT, 75).stand(60))) == 1


def test_a_pause_in_which_nothing_is_written_is_no_landing() -> None:
    """Five records a second, so that the first one after the pause lies 10 m on."""
    log = Log(step_s=0.2).take_off(3000).go(300, 100).unseen(600).go(300, 100).to_altitude(FIELD_FT, 75).stand(60)
    assert len(flights(log)) == 1


def test_a_glider_brought_home_on_the_road_flew_once() -> None:
    """As fast on the trailer as in the air, but never 300 ft up; where no altitude tells, it is taken for a flight."""
    log = Log().stand(300).go(40, 45, fpm=2000.0).go(1800, 45).to_altitude(FIELD_FT, 45, 200.0).stand(900)
    log.go(900, 45).stand(600)
    assert len(flights(log)) == 1
    assert len(flights(log, with_altitude=False)) == 2


GAPS_IN_ONE = {
    "asleep for 40 minutes en route": Log().take_off(4000).go(900, 100).unseen(2400, 95).go(900, 100),
    "asleep for 40 minutes at one place": Log().take_off(4000).go(900, 100).unseen(2400, 1).go(900, 100),
    "asleep for two hours across the sea": Log().take_off(4000).go(900, 100).unseen(7200, 95).go(900, 100),
    "two minutes on the ground": Log().flight().unseen(120).flight(),
    "before the take-off": Log().stand(60).unseen(1800).flight(),
    "after the landing": Log().flight().unseen(1800).stand(300),
    "a quarter of an hour high up, sinking before and climbing after": (
        Log().take_off(6000).go(600, 100).go(60, 100, fpm=-500.0).unseen(900, 1).go(60, 100, fpm=500.0).go(600, 100)
    ),
}
GAPS_THAT_PART = {
    "for five hours": Log().take_off(4000).go(900, 100).unseen(18_000, 1).go(900, 100),
    "for two hours at one place": Log().take_off(4000).go(900, 100).unseen(7200, 1).go(900, 100),
    "eight minutes on the ground": Log().flight().unseen(480).flight(),
    "from the approach to the next taxiing": Log().take_off(3000).go(900, 100).unseen(1200, 10).go(120, 12).flight(),
    "farther than it flies": Log().take_off(4000).go(900, 100).unseen(1800, 400).go(900, 100),
}


@pytest.mark.parametrize("log", GAPS_IN_ONE.values(), ids=GAPS_IN_ONE)
def test_gaps_in_one_flight(log: Log) -> None:
    track = mend(log.raw())
    assert len(track.flights) == 1
    assert "gap" in {fault.kind for fault in track.faults}
    assert track.found is None


@pytest.mark.parametrize("log", GAPS_THAT_PART.values(), ids=GAPS_THAT_PART)
def test_gaps_that_part(log: Log) -> None:
    rows = log.rows
    after = 1 + max(range(len(rows) - 1), key=lambda index: rows[index + 1][0] - rows[index][0])
    found = flights(log)

    assert len(found) == 2
    assert (found[0].end_s, found[1].start_s) == (rows[after - 1][0], rows[after][0])


def test_a_landing_that_nothing_recorded_shows_in_the_descent_before_and_the_climb_after() -> None:
    """A receiver on the ground loses the aircraft below 800 ft; it is seen again a quarter of an hour later."""
    log = Log().take_off(3000).go(900, 100).to_altitude(800, 80).unseen(900, 1).to_altitude(3000, 80).go(900, 100)
    log.rows[:] = [row for row in log.rows if row[3] >= 800.0]
    assert len(flights(log)) == 2


def test_a_recording_with_a_landing_in_the_middle(recording: Callable[[str], Path]) -> None:
    """A glider at 15 to 25 kt over the ground: gaps of 143 s and 226 s in the air, five minutes on the ground."""
    raw = read_raw_track(recording("igc_1hz_two_flights_one_file.igc"))
    first, second = mend(raw).flights

    assert 14 * 3600 + 22 * 60 < first.end_s % 86_400 < 14 * 3600 + 28 * 60
    assert first.samples + second.samples == len(raw.samples) == 14_819
    assert (first.end_lat_deg, first.end_lon_deg) == pytest.approx((41.591, 12.958), abs=0.001)


def test_of_several_stands_the_longest_parts() -> None:
    log = Log().flight().stand(300).go(120, 10)
    fuel_s = log.time_s
    log.stand(1200).go(120, 10).stand(400).flight()
    found = flights(log)

    assert len(found) == 2
    assert fuel_s < found[1].start_s < fuel_s + 1210


def test_what_is_left_out_belongs_to_a_flight_too() -> None:
    log = Log().flight().stand(600).flight()

    def change(rows: np.ndarray) -> np.ndarray:
        rows[1200, 2] += 3.0
        rows[1300, 0] = rows[1299, 0]
        rows[-100, 1:3] = 0.0
        return rows

    track = mend(log.raw(change=change))
    assert len(track) == len(log.rows) - 3
    assert [flight.samples for flight in track.flights] == [
        sum(row[0] <= track.flights[0].end_s for row in log.rows),
        sum(row[0] > track.flights[0].end_s for row in log.rows),
    ]


def test_what_never_flew_is_one() -> None:
    """A walk, a day's rest, a walk."""
    log = Log(step_s=10.0).go(3600, 3).stand(600).unseen(86_400).go(3600, 3)
    assert [flight.number for flight in flights(log)] == [1]


def interleaved(*logs: Log) -> RawTrack:
    rows = [(row, name) for log, name in zip(logs, "AB", strict=False) for row in log.rows]
    rows.sort(key=lambda each: each[0][0])
    return raw_of(np.array([row for row, _ in rows]), names=[name for _, name in rows])


def test_each_aircraft_of_a_log_is_a_log_of_its_own() -> None:
    one = Log().flight().stand(600).flight()
    other = Log(time_s=T0 + 0.0, lat_deg=HOME[0] + 2.0).stand(600).flight(30)
    track = mend(interleaved(one, other))
    summary = summarise(track, None)

    assert [(flight.number, flight.aircraft) for flight in track.flights] == [(1, "A"), (2, "A"), (3, "B")]
    assert track.flights[2].samples == len(other.rows)
    assert (summary.samples, summary.kept) == (len(one.rows) + len(other.rows),) * 2
    assert (summary.start.timestamp(), summary.end.timestamp()) == (
        min(one.rows[0][0], other.rows[0][0]),
        max(one.rows[-1][0], other.rows[-1][0]),
    )
    assert count_told(track) == 3
    assert not {"jump", "repeated-time", "out-of-order"} & {fault.kind for fault in track.faults}
    assert len(track) == max(len(one.rows), len(other.rows))
    assert [len(each) for each in track.others] == [min(len(one.rows), len(other.rows))]


def test_faults_of_several_aircraft_say_whose_they_are() -> None:
    one, other = Log().flight(), Log(lat_deg=HOME[0] + 2.0).flight()
    for log, at in ((one, 500), (other, 600), (other, 601)):
        time_s, _lat, lon, altitude = log.rows[at]
        log.rows[at] = (time_s, float("nan"), lon, altitude)
    raw = interleaved(one, other)
    raw = dataclasses.replace(raw, faults=(Fault(kind="blank-position", count=4, detail="4 void sentences"),))
    found = [each for each in mend(raw).faults if each.kind == "blank-position"]

    assert [each.count for each in found] == [7]
    fault = found[0]
    assert fault.detail.startswith("4 void sentences. ")
    assert "aircraft “A”: no position in line" in fault.detail
    assert "aircraft “B”: no position in lines" in fault.detail


def test_an_aircraft_with_too_few_records_is_left_out_and_told() -> None:
    one, other = Log().flight(), Log()
    other.go(1, 0)
    track = mend(interleaved(one, other))
    assert len(track.flights) == 1
    assert track.others == ()


def named_rows(names: list[str]) -> str:
    rows = [f"2026-04-18T13:{at // 60:02d}:{at % 60:02d}Z,46.5{at:03d},-28.0,{name}" for at, name in enumerate(names)]
    return "\n".join(["time,lat,lon,callsign", *rows, ""])


def test_records_without_a_name_are_read_as_another_aircraft(read: Callable[..., RawTrack]) -> None:
    raw = read(named_rows(["A", "", "B", "A", "", "B", "A", ""]))
    assert raw.aircraft == ("A", "", "B")
    assert raw.aircraft_index is not None
    assert raw.aircraft_index.tolist() == [0, 1, 2, 0, 1, 2, 0, 1]
    fault = next(each for each in raw.faults if each.kind == "several-aircraft")
    assert fault.count == 2
    assert "3 records name none" in fault.detail
    assert [flight.samples for flight in mend(raw).flights] == [3, 3, 2]


def test_one_aircraft_and_records_without_a_name_are_one_log(read: Callable[..., RawTrack]) -> None:
    raw = read(named_rows(["A", "", "A", ""]))
    assert (raw.aircraft, raw.aircraft_index) == ((), None)
    assert len(mend(raw)) == 4


def test_more_aircraft_than_are_told_apart_are_refused(read: Callable[..., RawTrack]) -> None:
    assert len(read(named_rows([f"A{index}" for index in range(100)])).aircraft) == 100
    with pytest.raises(TrackFormatError, match="“callsign” names 101 aircraft, and no more than 100"):
        read(named_rows([f"A{index}" for index in range(101)]))


values = st.floats() | st.floats(45.9, 46.1) | st.sampled_from([0.0, 46.0])
times = st.floats(T0, T0 + 20_000) | st.integers(0, 400).map(lambda minute: T0 + 60.0 * minute) | st.floats()


@settings(deadline=None, derandomize=True, max_examples=100)
@given(st.lists(st.tuples(times, values, values, values, st.sampled_from("AB")), min_size=8, max_size=60))
def test_the_flights_of_any_records_share_them_out(rows: list[tuple[float, float, float, float, str]]) -> None:
    usable = np.array([row[:4] for row in rows])
    usable[:4] = [(T0 + 100.0 * step, 46.0 + step / 50.0, -28.0, 100.0 * step) for step in range(4)]
    for names in (None, ["A"] * 4 + [row[4] for row in rows[4:]]):
        with np.errstate(all="ignore"):
            track = mend(raw_of(usable, names=names))
        every = (track, *track.others)
        assert sum(flight.samples for flight in track.flights) == sum(each.samples_read for each in every)
        assert [flight.number for flight in track.flights] == list(range(1, len(track.flights) + 1))
        assert all(flight.start_s <= flight.end_s for flight in track.flights)
        for one, following in pairwise(track.flights):
            assert one.aircraft != following.aircraft or one.end_s < following.start_s
        assert min(flight.start_s for flight in track.flights) == min(each.first_time_s for each in every)
        assert max(flight.end_s for flight in track.flights) == max(each.last_time_s for each in every)
        assert count_told(track) == len(track.flights)


def test_the_name_of_an_aircraft_is_shown_clean(read: Callable[..., RawTrack]) -> None:
    rows = "".join(f"2026-04-18T10:{n:02}:00Z,4{6 + n % 2}.{n:03},-28.0,{'AB'[n % 2]}\u202e\n" for n in range(40))
    raw = read(f"time,lat,lon,aircraft\n{rows}")

    assert raw.aircraft == ("A·", "B·")
