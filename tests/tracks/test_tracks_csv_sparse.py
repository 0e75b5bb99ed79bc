"""Logs with one row a message, and logs whose newest record stands first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np
import pytest

from legwise.model.track import AltitudeKind, Channel, RawTrack, Track
from legwise.tracks import mend
from tracks.csv_logs import T0

Read = Callable[..., RawTrack]
N = 30


def stamp(seconds: float) -> str:
    """The time so many seconds after 13:12:40."""
    moment = dt.datetime(2026, 4, 18, 13, 12, 40, tzinfo=dt.UTC) + dt.timedelta(seconds=seconds)
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


def position(n: float, time: str | None = None) -> str:
    return f"{stamp(n) if time is None else time},{46.5 + n * 3e-4:.6f},{-28 + n * 4e-4:.6f},,,\n"


def log_of(rows: list[str]) -> str:
    return "time_utc,lat,lon,alt ft,ias,hdg mag\n" + "".join(rows)


def notes_of(raw: RawTrack) -> str:
    return " | ".join(raw.source.notes)


def test_messages_of_one_time_come_together(read: Read) -> None:
    rows = [
        row
        for n in range(N)
        for row in (position(n), f"{stamp(n)},,,{3000 + n},,\n", f"{stamp(n)},,,,{90 + n % 3},{(350 + n) % 360}\n")
    ]
    raw = read(log_of(rows))

    samples = raw.samples
    assert samples.time_s.tolist() == [T0 + n for n in range(N)]
    assert samples.line.tolist() == [2 + 3 * n for n in range(N)]
    assert samples.altitudes_ft[AltitudeKind.UNKNOWN].tolist() == [3000 + n for n in range(N)]
    assert samples.channels[Channel.IAS_KT].tolist() == [90 + n % 3 for n in range(N)]
    assert samples.channels[Channel.HEADING_DEG_MAG].tolist() == [(350 + n) % 360 for n in range(N)]
    assert not raw.faults
    assert "60 rows without a position are messages between the records" in notes_of(raw)
    assert "“alt ft” is taken from rows of its own: 30 at the same time" in notes_of(raw)
    track = mend(raw)
    assert (track.samples_read, len(track)) == (N, N)
    assert "blank-position" not in {fault.kind for fault in track.faults}


def test_messages_between_are_interpolated_and_angles_on_the_circle(read: Read) -> None:
    # Linear in time, so that interpolation gives the line itself; the heading passes through north.
    rows = [position(0)]
    for n in range(N):
        rows.append(f"{stamp(n + 0.25)},,,{3000 + 10 * (n + 0.25)},,\n")
        rows.append(f"{stamp(n + 0.5)},,,,{100 + n + 0.5},{(350 + (n + 0.5)) % 360}\n")
        rows.append(position(n + 1))
    raw = read(log_of(rows))

    inner = np.arange(1, N)
    altitude = raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]
    heading = raw.samples.channels[Channel.HEADING_DEG_MAG]
    assert altitude[1:-1] == pytest.approx(3000 + 10 * inner)
    assert raw.samples.channels[Channel.IAS_KT][1:-1] == pytest.approx(100 + inner)
    assert heading[1:-1] == pytest.approx((350 + inner) % 360)
    # At the ends, where only one side has a neighbour, the nearest.
    assert (altitude[0], altitude[-1]) == (3002.5, 3000 + 10 * (N - 0.75))
    assert f"{N - 1} between neighbours in time and 2 from the nearest within 5 s" in notes_of(raw)


def test_nothing_is_brought_from_further_than_five_seconds(read: Read) -> None:
    # The altitude is silent from 10 s to 24 s.
    rows = [
        row for n in range(N) for row in (position(n), *([] if 10 < n < 24 else [f"{stamp(n + 0.5)},,,{3000 + n},,\n"]))
    ]
    raw = read(log_of(rows))

    missing = np.flatnonzero(np.isnan(raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]))
    # Last before at 10.5 s, first after at 24.5 s.
    assert missing.tolist() == list(range(16, 20))
    assert "4 without any within 5 s" in notes_of(raw)


def test_an_accuracy_is_taken_from_the_nearest(read: Read) -> None:
    rows = [row for n in range(N) for row in (f"{stamp(n)},46.5{n:02d},-28,\n", f"{stamp(n + 0.25)},,,{n % 5}\n")]
    raw = read("time_utc,lat,lon,HDOP\n" + "".join(rows))
    assert raw.samples.channels[Channel.HDOP].tolist() == [n % 5 for n in range(N)]


@pytest.mark.parametrize("first", [True, False])
def test_a_time_that_stands_on_some_rows_only_is_carried(first: bool, read: Read) -> None:
    rows = []
    for n in range(N):
        rows += [f"{stamp(n)},,,,,\n", position(n, "")] if first else [position(n)]
        rows += [f",,,{3000 + n},,\n", f",,,,{90 + n % 3},\n"]
    raw = read(log_of(rows))

    assert raw.samples.time_s.tolist() == [T0 + n for n in range(N)]
    assert raw.samples.altitudes_ft[AltitudeKind.UNKNOWN].tolist() == [3000 + n for n in range(N)]
    assert raw.samples.channels[Channel.IAS_KT].tolist() == [90 + n % 3 for n in range(N)]
    assert not raw.faults
    assert f"{90 if first else 60} rows without a time have that of the row above" in notes_of(raw)


def test_blank_times_of_whole_records_are_not_carried(read: Read) -> None:
    rows = [position(n, "" if n % 3 else None) for n in range(N)]
    track = mend(read(log_of(rows)))
    assert {fault.kind: fault.count for fault in track.faults}["no-time"] == 20
    assert track.samples_read == 10


def test_positions_at_a_slower_rate_than_the_rest(read: Read) -> None:
    # Ten rows a second, of which one has a position; every row has a bank.
    rows = []
    for tenth in range(10 * N):
        lat, lon = (f"{46.5 + tenth * 3e-5:.6f}", "-28") if tenth % 10 == 0 else ("", "")
        rows.append(f"{stamp(tenth / 10)},{lat},{lon},{tenth % 7}\n")
    track = mend(read("time_utc,lat,lon,bank deg\n" + "".join(rows)))
    assert (track.samples_read, track.rate_hz) == (N, 1.0)
    assert track.samples.channels[Channel.BANK_DEG].tolist() == [10 * n % 7 for n in range(N)]
    assert "blank-position" not in {fault.kind for fault in track.faults}


@pytest.mark.parametrize("blank", [lambda n: 8 <= n < 20, lambda n: n * 7 % 10 < 4, lambda n: n % 10 == 3])
def test_an_ordinary_log_with_blanks_stays_one(blank: Callable[[int], bool], read: Read) -> None:
    rows = [
        f"{stamp(n)},{'' if blank(n) else 46.5 + n * 3e-4},{'' if blank(n) else -28},{3000 + n},,\n" for n in range(N)
    ]
    raw = read(log_of(rows))
    assert len(raw.samples) == N
    gone = sum(blank(n) for n in range(N))
    assert {fault.kind: fault.count for fault in mend(raw).faults}["blank-position"] == gone


def test_a_drop_out_of_a_channel_stays_missing(read: Read) -> None:
    rows = [f"{stamp(n)},{46.5 + n * 3e-4},-28,{'' if 8 <= n < 12 else 3000 + n},,\n" for n in range(N)]
    altitude = read(log_of(rows)).samples.altitudes_ft[AltitudeKind.UNKNOWN]
    assert np.flatnonzero(np.isnan(altitude)).tolist() == [8, 9, 10, 11]


def test_messages_of_two_aircraft_stay_apart(read: Read) -> None:
    rows = [
        row
        for n in range(N)
        for name, height in (("A", 3000), ("B", 9000))
        for row in (
            f"{stamp(n)},{name},{46.5 + n * 3e-4},-28,\n",
            f"{stamp(n + 0.5)},{name},,,{height}\n",
        )
    ]
    raw = read("time_utc,aircraft,lat,lon,alt ft\n" + "".join(rows))
    assert raw.aircraft_index is not None
    altitude = raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]
    for name, height in (("A", 3000), ("B", 9000)):
        own = raw.aircraft_index == raw.aircraft.index(name)
        assert set(altitude[own].tolist()) == {height}


def newest_first(track: Track) -> bool:
    return any("the newest record stands first" in note for note in track.source.notes)


@pytest.mark.parametrize("step", [1.0, 0.5])
def test_the_newest_record_first(step: float, read: Read) -> None:
    # At half a second and whole-second stamps each time stands twice.
    rows = [f"{stamp(int(n * step))},{46.5 + n * 3e-4:.6f},-28,{3000 + n},,\n" for n in range(N)]
    raw = read(log_of(rows[::-1]))
    track = mend(raw)

    assert newest_first(track)
    assert raw.samples.time_s.tolist() == [T0 + int(n * step) for n in range(N)]
    assert raw.samples.line.tolist() == list(range(N + 1, 1, -1))
    assert not {"out-of-order", "clock-step"} & {fault.kind for fault in track.faults}
    ordered = mend(read(log_of(rows)))
    assert track.samples.lat_deg.tolist() == ordered.samples.lat_deg.tolist()


def test_times_of_day_run_back_over_midnight_from_the_newest(read: Read) -> None:
    clock = ["23:59:58", "23:59:59", "00:00:00", "00:00:01"]
    rows = [f"{time},{46.5 + n * 3e-4:.6f},-28,,,\n" for n, time in enumerate(clock)]
    raw = read(log_of(rows[::-1]), date=dt.date(2026, 4, 18))
    first = dt.datetime(2026, 4, 18, 23, 59, 58, tzinfo=dt.UTC).timestamp()
    assert raw.samples.time_s.tolist() == [first + n for n in range(4)]


def test_the_names_of_aircraft_turn_with_their_records(read: Read) -> None:
    rows = [f"{stamp(n // 2)},{'AB'[n % 2]},{46.5 + n * 3e-4:.4f},-28\n" for n in range(N)]
    raw = read("time_utc,aircraft,lat,lon\n" + "".join(rows[::-1]))
    assert raw.aircraft_index is not None
    names = [raw.aircraft[index] for index in raw.aircraft_index.tolist()]
    assert names == ["AB"[n % 2] for n in range(N)]
    assert raw.samples.lat_deg.tolist() == [round(46.5 + n * 3e-4, 4) for n in range(N)]


def test_one_record_out_of_order_is_no_habit(read: Read) -> None:
    rows = [position(n) for n in range(N)]
    track = mend(read(log_of([*rows[:5], rows[7], *rows[5:7], *rows[8:]])))
    assert not newest_first(track)
    assert "out-of-order" in {fault.kind for fault in track.faults}
