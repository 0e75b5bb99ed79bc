"""Which flight of a log a lesson is about: by date, by times, by aerodromes; and only where one fits."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path

import numpy as np
import pytest

import legwise
from legwise.errors import FlightError, LessonError
from legwise.lessons import parse_lesson
from legwise.model.instants import epoch_s, instant
from legwise.model.lesson import Lesson
from legwise.model.track import Flight, RoutePoint, Track
from legwise.tracks import check_date, flight_of_lesson, mend, on_date
from tracks.flown_logs import T0, Log, raw_of

DAY = "2026-04-18"
FIXES = """
[[fix]]
ident = "{ident}"
lat_deg = {lat}
lon_deg = {lon}
kind = "airport"
"""


@pytest.fixture(name="log", scope="module")
def log_fixture() -> Track:
    """Three flights on the 18th and one on the 19th: there, a landing of ten minutes, on; two hours; on; a day; on."""
    log = Log().flight().stand(600).flight().stand(300).unseen(7200).flight().stand(120)
    return mend(log.unseen(86_400 - 14_000).flight().raw())


def lesson(text: str = "", *, date: str | None = DAY) -> Lesson:
    head = f"[lesson]\ndate = {date}\n" if date else ""
    return parse_lesson(head + text, file="lesson.toml")


def said(*times: str) -> str:
    return "".join(f"[[clearance]]\ntime = {time}\nheading_deg_mag = 250\n" for time in times)


def during(flight: Flight, part: float) -> str:
    """A time of day to the second, so far into a flight."""
    return f"{instant(flight.start_s + part * (flight.end_s - flight.start_s)):%H:%M:%S}"


def fix(ident: str, lat: float, lon: float) -> str:
    return FIXES.format(ident=ident, lat=lat, lon=lon)


def note(track: Track) -> str:
    return next(text for text in track.source.notes if "taken" in text)


def numbers(track: Track) -> list[int]:
    return [flight.number for flight in track.flights]


def test_the_log_is_what_it_should_be(log: Track) -> None:
    assert [f"{instant(flight.start_s):%d %H}" for flight in log.flights] == ["18 09", "18 09", "18 12", "19 09"]


def test_the_only_flight_of_the_lessons_date(log: Track) -> None:
    taken = flight_of_lesson(log, lesson(date="2026-04-19"))
    assert numbers(taken) == [4]
    assert note(taken) == "flight 4 of 4 is taken: the lesson is of 2026-04-19"
    assert (taken.taken, taken.found) == ("4", None)


def test_the_flight_during_which_everything_was_said(log: Track) -> None:
    third = log.flights[2]
    taken = flight_of_lesson(log, lesson(said(during(third, 0.1), during(third, 0.8))))
    assert numbers(taken) == [3]
    assert note(taken) == "flight 3 of 4 is taken: the lesson is of 2026-04-18, and the lesson's times lie in it"


def test_times_with_their_date_need_no_other(log: Track) -> None:
    fourth = log.flights[3]
    text = said(f"{instant(fourth.start_s + 600):%Y-%m-%dT%H:%M:%SZ}")
    assert numbers(flight_of_lesson(log, lesson(text, date=None))) == [4]


def test_times_of_day_without_a_date_fit_any_day(log: Track) -> None:
    """Flights 1 and 4 were in the air at the same time of day, flight 3 alone at noon."""
    assert numbers(flight_of_lesson(log, lesson(said(during(log.flights[2], 0.5)), date=None))) == [3]
    with pytest.raises(FlightError, match="the lesson does not tell which: flights 1 and 4 fit it alike"):
        flight_of_lesson(log, lesson(said("09:20:00"), date=None))


def test_what_was_said_on_the_ground_alone_tells_no_flight(log: Track) -> None:
    between = instant((log.flights[1].end_s + log.flights[2].start_s) / 2.0)
    with pytest.raises(FlightError, match="the lesson does not tell which: flights 1, 2 and 3 fit it alike"):
        flight_of_lesson(log, lesson(said(f"{between:%H:%M:%S}")))


def test_a_minute_before_the_first_record_is_the_same_flight(log: Track) -> None:
    third = log.flights[2]
    early = f'"{instant(third.start_s - 60):%H:%M}"'
    assert numbers(flight_of_lesson(log, lesson(said(early, during(third, 0.5))))) == [3]


def test_a_lesson_with_a_landing_in_it_takes_both_flights(log: Track) -> None:
    first, second = log.flights[:2]
    taken = flight_of_lesson(log, lesson(said(during(first, 0.2), during(second, 0.8))))
    assert numbers(taken) == [1, 2]
    assert note(taken) == "flights 1 and 2 of 4 are taken together: the lesson's times run over them"
    assert taken.taken == "1-2"
    assert taken.samples_read == first.samples + second.samples
    assert (taken.first_time_s, taken.last_time_s) == (first.start_s, second.end_s)


def test_flights_with_half_a_day_between_are_not_one_lesson() -> None:
    log = mend(Log().flight().stand(120).unseen(12 * 3600.0).flight().raw())
    first, second = log.flights
    with pytest.raises(FlightError, match="the lesson does not tell which"):
        flight_of_lesson(log, lesson(said(during(first, 0.2), during(second, 0.8))))


def ends(flight: Flight) -> tuple[tuple[float, float], tuple[float, float]]:
    return (flight.start_lat_deg, flight.start_lon_deg), (flight.end_lat_deg, flight.end_lon_deg)


def test_the_flight_between_the_lessons_aerodromes(log: Track) -> None:
    """4 NM off each: an aerodrome's own position is not where one parks."""
    for flight in log.flights[:3]:
        (lat, lon), (lat_to, lon_to) = ends(flight)
        text = '[route]\ntext = "XTBN CALDU XSKH"\n'
        text += fix("XTBN", lat + 4 / 60, lon) + fix("XSKH", lat_to - 4 / 60, lon_to) + fix("CALDU", 46.0, -28.0)
        taken = flight_of_lesson(log, lesson(text))
        assert numbers(taken) == [flight.number]
        assert note(taken).endswith("the lesson is of 2026-04-18, and its aerodromes are the lesson's")


def test_flights_with_a_landing_between_that_go_from_one_aerodrome_to_the_other(log: Track) -> None:
    first, second = log.flights[:2]
    (lat, lon), (lat_to, lon_to) = ends(first)[0], ends(second)[1]
    text = '[route]\ntext = "XTBN XSKH"\n' + fix("XTBN", lat, lon) + fix("XSKH", lat_to, lon_to)
    taken = flight_of_lesson(log, lesson(text))
    assert numbers(taken) == [1, 2]
    assert note(taken).endswith("taken together: they begin and end at the lesson's aerodromes")


def test_aerodromes_farther_off_are_others(log: Track) -> None:
    (lat, lon), (lat_to, lon_to) = ends(log.flights[1])
    text = '[route]\ntext = "XTBN XSKH"\n' + fix("XTBN", lat + 6 / 60, lon) + fix("XSKH", lat_to, lon_to)
    with pytest.raises(FlightError, match="the lesson does not tell which: flights 1, 2 and 3 fit it alike"):
        flight_of_lesson(log, lesson(text))


def test_the_runway_of_the_approach_is_an_end_of_the_flight(log: Track) -> None:
    lat, lon = ends(log.flights[1])[1]
    text = f"""[[approach]]
airport = "XSKH"
title = "RNAV (GPS) RWY 27"
guidance = "LPV"
runway = {{ ident = "RW27", lat_deg = {lat}, lon_deg = {lon}, elevation_ft = 50, course_deg_true = 262.4 }}
glidepath_deg = 3.0
minima = {{ da_ft = 250 }}
leg = [
  {{ path = "IF", fix = "FERNU", altitude = {{ at_or_above_ft = 2000 }}, role = "FAF" }},
  {{ path = "TF", fix = "RW27", role = "MAP" }},
]
"""
    assert numbers(flight_of_lesson(log, lesson(text + fix("FERNU", lat + 0.1, lon)))) == [2]


def test_a_route_of_the_call_stands_in_place_of_the_lessons(log: Track) -> None:
    (lat, lon), (lat_to, lon_to) = ends(log.flights[1])
    points = (
        RoutePoint(ident="XTBN", lat_deg=lat, lon_deg=lon),
        RoutePoint(ident="XSKH", lat_deg=lat_to, lon_deg=lon_to),
    )
    with_waypoints = dataclasses.replace(log, waypoints=points)
    assert numbers(flight_of_lesson(with_waypoints, lesson(), ["XTBN", "XSKH"])) == [2]
    with_route = dataclasses.replace(log, route=points)
    assert numbers(flight_of_lesson(with_route, lesson())) == [2]


def test_without_a_lesson_it_is_asked(log: Track) -> None:
    with pytest.raises(FlightError, match="the log holds 4 flights, and which one is meant was not said") as caught:
        legwise.debrief(log)
    assert len(str(caught.value).splitlines()) == 6


def test_no_flight_of_the_lessons_date(log: Track) -> None:
    with pytest.raises(FlightError, match="none is of the lesson's date, 2026-05-02 ") as caught:
        flight_of_lesson(log, lesson(date="2026-05-02"))
    assert "--date 2026-05-02 takes the lesson's in its place\n" in str(caught.value)
    with pytest.raises(FlightError, match="none is of the lesson's date, 2026-04-17\n"):
        flight_of_lesson(log, lesson(date="2026-04-17"))


def test_a_week_counter_that_ran_over_is_seen(log: Track) -> None:
    for weeks in (1024, 2048):
        date = (dt.date(2026, 4, 18) + dt.timedelta(weeks=weeks)).isoformat()
        with pytest.raises(FlightError, match=f"exactly {weeks} weeks off: the receiver's week counter ran over"):
            flight_of_lesson(log, lesson(date=date))


def test_a_track_of_one_flight_is_given_back() -> None:
    track = mend(Log().flight().raw())
    assert flight_of_lesson(track, lesson(date="2001-01-01")) is track


def test_of_several_aircraft_the_lesson_takes_the_one_that_was_there() -> None:
    one, other = Log().flight(), Log(lat_deg=48.0).flight()
    rows = sorted([(row, "A") for row in one.rows] + [(row, "B") for row in other.rows], key=lambda each: each[0][0])
    log = mend(raw_of(np.array([row for row, _ in rows]), names=[name for _, name in rows]))
    text = '[route]\ntext = "XTBN CALDU"\n' + fix("XTBN", 48.0, -27.6) + fix("CALDU", *other.rows[-1][1:3])
    taken = flight_of_lesson(log, lesson(text))

    assert note(taken) == "flight 2 of 2 (aircraft “B”) is taken: its aerodromes are the lesson's"
    assert float(taken.samples.lat_deg.min()) > 47.0


def test_flights_of_two_aircraft_are_never_taken_together() -> None:
    one, other = Log().flight(), Log(time_s=T0 + 3600.0).flight()
    rows = [(row, "A") for row in one.rows] + [(row, "B") for row in other.rows]
    log = mend(raw_of(np.array([row for row, _ in rows]), names=[name for _, name in rows]))
    first, second = log.flights
    with pytest.raises(FlightError, match="the lesson does not tell which"):
        flight_of_lesson(log, lesson(said(during(first, 0.5), during(second, 0.5))))


@pytest.mark.parametrize("days", [-9604, -7168, -2, 2, 400])
def test_a_wrong_date_is_put_right_by_whole_days(days: int) -> None:
    log = Log(time_s=T0 + days * 86_400.0).flight()
    raw = on_date(log.raw(), dt.date(2026, 4, 18))

    assert raw.samples.time_s.tolist() == [row[0] - days * 86_400.0 for row in log.rows]
    assert f"it is moved by {-days} days, to the date that was said" in raw.source.notes[-1]
    assert ("week counter" in raw.source.notes[-1]) == (days == -7168)


def test_the_right_date_and_one_that_a_zone_explains_move_nothing() -> None:
    raw = Log().flight().raw()
    assert on_date(raw, dt.date(2026, 4, 18)) is raw
    near = on_date(raw, dt.date(2026, 4, 17))
    assert near.samples is raw.samples
    assert "no more than a zone's difference" in near.source.notes[-1]


def test_the_date_is_that_of_the_zone_that_was_said() -> None:
    late = Log(time_s=epoch_s(dt.datetime(2000, 1, 1, 2, 0, tzinfo=dt.UTC))).flight()
    raw = on_date(late.raw(), dt.date(2026, 4, 17), offset_s=-4 * 3600.0)
    assert instant(float(raw.samples.time_s[0])).date() == dt.date(2026, 4, 18)


def test_a_clock_that_was_never_set_can_be_put_right() -> None:
    log = Log(time_s=30_000.0).flight()
    track = mend(on_date(log.raw(), dt.date(2026, 4, 18)))
    assert instant(track.first_time_s) == dt.datetime(2026, 4, 18, 8, 20, 1, tzinfo=dt.UTC)


def test_the_date_of_a_lesson_against_that_of_the_track() -> None:
    track = mend(Log().flight().raw())
    clock = said("09:20:00")
    check_date(lesson(clock), track)
    for date in (None, "2026-04-17", "2026-04-18", "2026-04-19"):  # a day off may be a zone's difference
        check_date(lesson(date=date), track)
    with pytest.raises(LessonError, match="are on 2026-04-19, and the track is of 2026-04-18") as caught:
        check_date(lesson(clock, date="2026-04-19"), track)
    assert "--date" not in caught.value.remedy
    with pytest.raises(LessonError) as caught:
        check_date(lesson(clock, date="2026-05-02"), track)
    assert caught.value.remedy.endswith("--date 2026-05-02.")
    for date in ("2001-01-01", "2026-04-16", "2026-04-20", "2099-01-01"):
        with pytest.raises(LessonError, match=f"the lesson is of {date}, and the track is of 2026-04-18") as caught:
            check_date(lesson(date=date), track)
        assert caught.value.remedy.endswith(f"--date {date}.")
    for weeks in (1024, 2048):
        date = (dt.date(2026, 4, 18) + dt.timedelta(weeks=weeks)).isoformat()
        with pytest.raises(LessonError, match=f"exactly {weeks} weeks off: the receiver's week counter") as caught:
            check_date(lesson(clock, date=date), track)
        assert caught.value.remedy == f"Say the right date of the log: --date {date}."


def test_the_file_is_named_as_it_was_given(tmp_path: Path) -> None:
    path = tmp_path / "a folder" / "log.csv"
    path.parent.mkdir()
    samples = Log().flight().stand(600).flight().raw().samples
    rows = zip(samples.time_s, samples.lat_deg, samples.lon_deg, strict=True)
    text = "".join(f"{instant(time_s):%Y-%m-%dT%H:%M:%SZ},{lat:.7f},{lon:.7f}\n" for time_s, lat, lon in rows)
    path.write_text(f"time,lat,lon\n{text}", encoding="utf-8")
    track = legwise.read_track(path)

    assert track.source.file == "log.csv"
    assert len(track.flights) == 2
    with pytest.raises(FlightError) as caught:
        legwise.debrief(track)
    assert caught.value.where == str(path)
