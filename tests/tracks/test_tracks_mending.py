"""Mending: each fault is planted into a clean flight, found, counted and told; as little as can be is left out."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray, IntArray, readonly_floats, readonly_ints
from legwise.model.instants import epoch_s, iso_z
from legwise.model.track import AltitudeKind, Channel, RawTrack, Samples, Track, TrackSource
from legwise.tracks import mend, summarise

T0 = epoch_s(dt.datetime(2026, 4, 18, 13, 0, 0, tzinfo=dt.UTC))
SECONDS = 600
KT = 120.0
"""The clean flight: ten minutes due north at 120 kt, so 1/30 NM or 1/1800 of a degree of latitude a second."""


def raw_of(
    time_s: FloatArray,
    lat_deg: FloatArray,
    lon_deg: FloatArray,
    channels: dict[Channel, FloatArray] | None = None,
    segment: IntArray | None = None,
) -> RawTrack:
    count = len(time_s)
    return RawTrack(
        samples=Samples(
            time_s=readonly_floats(time_s),
            lat_deg=readonly_floats(lat_deg),
            lon_deg=readonly_floats(lon_deg),
            altitudes_ft={AltitudeKind.INDICATED: readonly_floats(np.full(count, 3000.0))},
            channels=channels or {},
            segment=readonly_ints(np.zeros(count) if segment is None else segment),
            line=readonly_ints(np.arange(count) + 2),
        ),
        source=TrackSource(file="flight.csv", format="CSV", sha256="0" * 64),
    )


def clean() -> tuple[FloatArray, FloatArray, FloatArray]:
    run = np.arange(SECONDS, dtype=np.float64)
    return T0 + run, 46.0 + run / 1800.0, np.full(SECONDS, -28.0)


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


def detail(track: Track, kind: str) -> str:
    return next(fault.detail for fault in track.faults if fault.kind == kind)


def test_a_clean_flight_is_left_as_it_is() -> None:
    raw = raw_of(*clean())
    track = mend(raw)

    assert track.samples is raw.samples
    assert track.faults == ()
    assert (track.samples_read, track.interval_s, track.rate_hz, track.gaps) == (SECONDS, 1.0, 1.0, ())
    assert (track.first_time_s, track.last_time_s) == (T0, T0 + SECONDS - 1)


def test_records_without_time_or_position_are_left_out() -> None:
    time_s, lat, lon = clean()
    time_s[3], lat[5], lon[6], lat[7], lon[9], time_s[11] = np.nan, np.nan, np.nan, 95.0, 400.0, 0.0
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"no-time": 1, "unset-clock": 1, "blank-position": 4}
    assert (track.samples_read, len(track)) == (SECONDS - 6, SECONDS - 6)
    assert "line 5" in detail(track, "no-time")


def test_positions_at_zero_are_left_out_of_a_flight_elsewhere() -> None:
    time_s, lat, lon = clean()
    lat[[10, 11]] = lon[[10, 11]] = 0.0
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"zero-position": 2}
    assert (track.samples_read, len(track)) == (SECONDS, SECONDS - 2)


def test_a_flight_over_the_zero_point_keeps_it() -> None:
    time_s, lat, _lon = clean()
    track = mend(raw_of(time_s, lat - 46.0, np.zeros(SECONDS)))

    assert (counts(track), len(track)) == ({}, SECONDS)


def test_the_first_of_equal_times_is_kept() -> None:
    time_s, lat, lon = clean()
    time_s[[21, 22, 300]] = time_s[[20, 20, 299]]
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"repeated-time": 3}
    assert track.samples.lat_deg[20] == lat[20]
    assert (track.samples_read, len(track)) == (SECONDS, SECONDS - 3)
    assert "lines 23, 24 and 302" in detail(track, "repeated-time")


def test_records_out_of_order_are_put_in_order_and_the_fewest_counted() -> None:
    time_s, lat, lon = clean()
    order = np.arange(SECONDS)
    order[[50, 51]] = order[[51, 50]]
    order = np.concatenate([order[:100], order[101:400], [100], order[400:]])
    track = mend(raw_of(time_s[order], lat[order], lon[order]))

    assert counts(track) == {"out-of-order": 2}
    assert track.samples.time_s.tolist() == time_s.tolist()
    assert track.samples.lat_deg.tolist() == lat.tolist()


def test_two_halves_in_the_wrong_order_are_out_of_order_not_a_clock_that_was_set() -> None:
    time_s, lat, lon = clean()
    order = np.concatenate([np.arange(400, SECONDS), np.arange(400)])
    track = mend(raw_of(time_s[order], lat[order], lon[order]))

    assert counts(track) == {"out-of-order": 200}
    assert track.samples.lat_deg.tolist() == lat.tolist()


def test_a_clock_set_back_is_told() -> None:
    time_s, lat, lon = clean()
    time_s[300:] -= 20.5
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track)["clock-step"] == 1
    assert "back by 20 s" in detail(track, "clock-step") or "back by 19 s" in detail(track, "clock-step")
    assert np.all(np.diff(track.samples.time_s) > 0)


def test_a_clock_set_on_is_told_and_the_times_kept() -> None:
    time_s, lat, lon = clean()
    time_s[300:] += 900.0
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"gap": 1, "clock-step": 1}
    assert len(track) == SECONDS


@pytest.mark.parametrize("at", [0, 1, 300, SECONDS - 1])
@pytest.mark.parametrize("count", [1, 2, 3])
def test_short_leaps_to_where_no_aircraft_gets_are_left_out(at: int, count: int) -> None:
    time_s, lat, lon = clean()
    spike = np.arange(at, min(at + count, SECONDS))
    lon[spike] += 1.0
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"jump": len(spike)}
    assert (track.samples_read, len(track)) == (SECONDS, SECONDS - len(spike))
    assert not np.isin(track.samples.lon_deg, -27.0).any()


def test_every_second_position_elsewhere_leaves_one_flight() -> None:
    time_s, lat, lon = clean()
    lon[1:101:2] += 0.5
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track)["jump"] == 50
    assert np.unique(track.samples.lon_deg).tolist() == [-28.0]


def test_a_leap_that_stays_is_kept_and_nothing_claimed_across_it() -> None:
    time_s, lat, lon = clean()
    lon[300:] += 1.0
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"jump": 1}
    assert len(track) == SECONDS
    assert track.gaps == ((299, 300),)
    assert track.motion.groundspeed_kt[295:305] == pytest.approx([KT] * 10, rel=2e-3)


@pytest.mark.parametrize("recorded", [True, False])
def test_a_position_frozen_in_flight_is_kept_and_told(recorded: bool) -> None:
    time_s, lat, lon = clean()
    lat[200:230] = lat[200]
    channels = {Channel.GROUNDSPEED_KT: readonly_floats(np.full(SECONDS, KT))} if recorded else {}
    track = mend(raw_of(time_s, lat, lon, channels))

    assert counts(track)["frozen-position"] == 1
    assert "jump" not in counts(track)
    assert "gap" not in counts(track)
    assert len(track) == SECONDS
    assert "in 29 samples" in detail(track, "frozen-position")


def test_a_frozen_position_that_catches_up_faster_than_flight_is_kept() -> None:
    time_s, lat, lon = clean()
    lat[200:260] = lat[200]
    track = mend(raw_of(time_s, lat, lon))

    assert (len(track), counts(track)["frozen-position"]) == (SECONDS, 1)
    assert "jump" not in counts(track)


def test_standing_on_the_ground_is_no_frozen_position() -> None:
    time_s, lat, lon = clean()
    lat = np.concatenate([np.full(300, lat[0]), lat[:300]])
    track = mend(raw_of(time_s, lat, lon))

    assert counts(track) == {"standing-still": 1}
    assert len(track) == SECONDS
    assert np.isnan(track.motion.track_deg_true[:290]).all()


def test_a_leap_of_a_standing_aircraft_is_left_out() -> None:
    time_s, lat, lon = clean()
    lat[:] = lat[0]
    lon[300] += 2.0
    assert counts(mend(raw_of(time_s, lat, lon)))["jump"] == 1


def test_a_sudden_speed_is_kept_and_told() -> None:
    time_s, lat, lon = clean()
    speed = np.full(SECONDS, KT)
    speed[100] = 505.0
    track = mend(raw_of(time_s, lat, lon, {Channel.GROUNDSPEED_KT: readonly_floats(speed)}))

    assert counts(track) == {"sudden-speed": 1}
    assert iso_z(dt.datetime(2026, 4, 18, 13, 1, 40, tzinfo=dt.UTC)) in detail(track, "sudden-speed")
    assert len(track) == SECONDS


def test_of_sudden_speeds_the_largest_is_told_first_with_its_value() -> None:
    time_s, lat, lon = clean()
    speed = np.full(SECONDS, KT)
    speed[50:500:50] = [310.0, 320.0, 330.0, 340.0, 350.0, 360.0, 505.0, 370.0, 380.0]
    track = mend(raw_of(time_s, lat, lon, {Channel.GROUNDSPEED_KT: readonly_floats(speed)}))

    assert counts(track) == {"sudden-speed": 9}
    told = detail(track, "sudden-speed")
    assert told.startswith("the speed leaps, the largest first: 505 kt at 2026-04-18T13:05:50Z; 380 kt at ")
    assert track.samples.channels[Channel.GROUNDSPEED_KT][350] == 505.0


def test_the_jumps_told_add_up_to_what_is_missing() -> None:
    time_s, lat, lon = clean()
    lon[100:102] += 1.0
    lon[300:] += 1.0
    track = mend(raw_of(time_s, lat, lon))

    assert (track.samples_read, len(track), len(track.breaks)) == (SECONDS, SECONDS - 2, 1)
    assert detail(track, "jump").startswith("2 positions left out, 1 break in the track: ")


def test_positions_that_ran_on_while_the_clock_stood_are_told_with_their_span() -> None:
    """A minute at one time, then the clock is right again; at 2 NM a minute the last of 60 is 59/30 NM on."""
    time_s, lat, lon = clean()
    time_s[200:260] = time_s[200]
    told = detail(mend(raw_of(time_s, lat, lon)), "repeated-time")
    assert "the positions ran on while the clock did not: 59 records at 2026-04-18T13:03:20Z (lines 202 to 261" in told
    assert "over 2 NM" in told

    lat[200:261] = lat[200]
    assert "ran on" not in detail(mend(raw_of(time_s, lat, lon)), "repeated-time")


def test_gaps_are_counted_from_ten_seconds_or_five_intervals_on() -> None:
    time_s, lat, lon = clean()
    keep = np.ones(SECONDS, dtype=bool)
    keep[100:109] = False
    keep[200:210] = False
    track = mend(raw_of(time_s[keep], lat[keep], lon[keep]))

    assert counts(track) == {"gap": 1}
    assert track.gaps == ((190, 191),)
    assert "11 s from 2026-04-18T13:03:19Z to 13:03:30Z" in detail(track, "gap")
    every_five = mend(raw_of(time_s[::5], lat[::5], lon[::5]))
    assert (every_five.gaps, every_five.interval_s, every_five.rate_hz) == ((), 5.0, 0.2)


def test_segments_are_told() -> None:
    segment = np.repeat(np.array([0, 1, 2], dtype=np.int64), SECONDS // 3)
    assert counts(mend(raw_of(*clean(), segment=segment))) == {"segment": 2}


def test_several_flights_are_told() -> None:
    _time_s, lat, _lon = clean()
    # Braked by 2 kt a second, and gathered speed as fast: what stops and goes at once is a pause.
    braked = np.cumsum(np.arange(KT, 0.0, -2.0)) / 216_000.0
    off = np.cumsum(np.arange(2.0, KT + 2.0, 2.0)) / 216_000.0
    landed = np.concatenate([lat, lat[-1] + braked])
    stop = np.full(300, landed[-1])
    again = landed[-1] + np.concatenate([off, off[-1] + np.arange(1.0, SECONDS) / 1800.0])
    lat = np.concatenate([landed, stop, again])
    track = mend(raw_of(T0 + np.arange(float(len(lat))), lat, np.full(len(lat), -28.0)))

    assert counts(track) == {"standing-still": 1, "several-flights": 2}
    roll = np.concatenate([landed, stop[:20], again])
    touch_and_go = mend(raw_of(T0 + np.arange(float(len(roll))), roll, np.full(len(roll), -28.0)))
    assert "several-flights" not in counts(touch_and_go)


@pytest.mark.parametrize("keep", [0, 1])
def test_too_few_samples_are_refused(keep: int) -> None:
    time_s, lat, lon = clean()
    lat[keep:] = np.nan
    with pytest.raises(TrackTimeError, match=f"{keep} of {SECONDS} records") as caught:
        mend(raw_of(time_s, lat, lon))
    assert caught.value.where == "flight.csv"


def test_one_time_for_all_is_refused() -> None:
    _time_s, lat, lon = clean()
    with pytest.raises(TrackTimeError):
        mend(raw_of(np.full(SECONDS, T0), lat, lon))


def test_altitudes_and_channels_stay_with_their_records() -> None:
    time_s, lat, lon = clean()
    lat[100] = np.nan
    ias = np.where(np.arange(SECONDS) % 7 == 0, np.nan, np.arange(SECONDS, dtype=np.float64))
    raw = raw_of(time_s, lat, lon, {Channel.IAS_KT: readonly_floats(ias)})
    samples = mend(raw).samples

    expected = ias[samples.line - 2]
    np.testing.assert_array_equal(samples.channels[Channel.IAS_KT], expected)
    assert all(
        not array.flags.writeable
        for array in (samples.time_s, samples.lat_deg, samples.channels[Channel.IAS_KT], samples.line)
    )


def test_the_summary_is_the_contract_s_track_object() -> None:
    time_s, lat, lon = clean()
    lat[100] = np.nan
    lat[50] = 80.0
    summary = summarise(mend(raw_of(time_s, lat, lon)), AltitudeKind.INDICATED)

    assert (summary.file, summary.format, summary.samples, summary.kept) == ("flight.csv", "CSV", 599, 598)
    assert (summary.start, summary.end) == (
        dt.datetime(2026, 4, 18, 13, 0, 0, tzinfo=dt.UTC),
        dt.datetime(2026, 4, 18, 13, 9, 59, tzinfo=dt.UTC),
    )
    assert summary.rate_hz == 1.0
    assert summary.altitude_source == "indicated"
    assert {"time", "lat_deg", "lon_deg", "altitude_indicated_ft"} <= set(summary.channels)
    assert [fault.kind for fault in summary.faults] == ["blank-position", "jump"]
    assert summarise(mend(raw_of(*clean())), None).altitude_source == "none"


coordinates = st.floats(-200, 200) | st.floats() | st.sampled_from([0.0, 46.0, 46.001])
times = st.floats() | st.integers(0, 40).map(lambda second: T0 + second) | st.floats(T0, T0 + 100)


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.lists(st.tuples(times, coordinates, coordinates, coordinates), min_size=0, max_size=40))
def test_any_records_give_a_track_that_keeps_its_promises_or_an_error(
    records: list[tuple[float, float, float, float]],
) -> None:
    columns = np.array(records, dtype=np.float64).reshape(-1, 4).T
    raw = raw_of(columns[0], columns[1], columns[2], {Channel.GROUNDSPEED_KT: readonly_floats(columns[3])})
    try:
        track = mend(raw)
    except TrackTimeError:
        return
    samples = track.samples
    assert len(track) >= 2
    assert np.all(np.diff(samples.time_s) > 0)
    assert np.all(np.abs(samples.lat_deg) <= 90)
    assert np.all((samples.lon_deg >= -180) & (samples.lon_deg < 180))
    assert track.interval_s > 0
    assert len(track) <= track.samples_read <= len(raw.samples)
    for values in (track.motion.groundspeed_kt, track.motion.track_deg_true, track.motion.track_rate_dps):
        assert values.shape == samples.time_s.shape
        assert not values.flags.writeable
