"""Values that no aircraft could have become missing and are told; the sample and what can be true stay."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, RawTrack, Samples, Track, TrackSource
from legwise.tracks import mend

Read = Callable[..., RawTrack]

COUNT = 600
RUN = np.arange(COUNT, dtype=np.float64)
CLIMB = 3000.0 + 50.0 * np.sin(RUN / 60.0)
"""The clean flight: due north at 120 kt, its altitude swinging gently about 3,000 ft."""


def flight(
    altitude_ft: FloatArray | None = None,
    channels: dict[Channel, FloatArray] | None = None,
    *,
    interval_s: float = 1.0,
    kind: AltitudeKind = AltitudeKind.INDICATED,
) -> Track:
    samples = Samples(
        time_s=readonly_floats(1.776e9 + RUN * interval_s),
        lat_deg=readonly_floats(46.0 + RUN * interval_s / 1800.0),
        lon_deg=readonly_floats(np.full(COUNT, -28.0)),
        altitudes_ft={} if altitude_ft is None else {kind: readonly_floats(altitude_ft)},
        channels={name: readonly_floats(values) for name, values in (channels or {}).items()},
        segment=readonly_ints(np.zeros(COUNT)),
        line=readonly_ints(np.arange(COUNT) + 2),
    )
    return mend(RawTrack(samples=samples, source=TrackSource(file="f", format="CSV", sha256="")))


def counts(track: Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in track.faults}


@pytest.mark.parametrize("mark", [-99999.0, 9999999.0, -9999.0, 32767.0, -32768.0, 65535.0, 9999.0, -999.0, 0.0])
@pytest.mark.parametrize("rows", [slice(50, 51), slice(50, 54), slice(0, None, 9), slice(3, None, 9), slice(595, None)])
def test_a_mark_for_nothing_is_no_altitude(mark: float, rows: slice) -> None:
    altitude = CLIMB.copy()
    altitude[rows] = mark
    track = flight(altitude)

    expected = CLIMB.copy()
    expected[rows] = np.nan
    assert len(track) == COUNT
    np.testing.assert_array_equal(track.samples.altitudes_ft[AltitudeKind.INDICATED], expected)
    assert counts(track) == {"impossible-value": int(np.isnan(expected).sum())}
    assert "altitude_indicated_ft" in track.faults[0].detail
    assert f"{mark:,.0f}" in track.faults[0].detail


def test_a_mark_in_metres_is_found_too() -> None:
    altitude = CLIMB.copy()
    altitude[100] = 9999.0 / 0.3048
    track = flight(altitude, interval_s=10.0, kind=AltitudeKind.GNSS_MSL)

    assert counts(track) == {"impossible-value": 1}
    assert np.isnan(track.samples.altitudes_ft[AltitudeKind.GNSS_MSL][100])


def test_a_long_stretch_of_one_mark_and_a_channel_of_nothing_else() -> None:
    altitude = CLIMB.copy()
    altitude[100:400] = 32767.0
    assert counts(flight(altitude)) == {"impossible-value": 300}

    track = flight(np.full(COUNT, 32767.0))
    assert counts(track) == {"impossible-value": COUNT}
    assert not track.samples.altitudes_ft
    assert "nothing of the channel" in track.faults[0].detail


@pytest.mark.parametrize(
    "altitude",
    [
        CLIMB,
        9990.0 + RUN / 10.0,
        np.where(RUN < 300, 0.0, 3000.0),
        3000.0 + RUN * 100.0,
        np.round(CLIMB, -2) + 100.0 * (RUN % 2),
        -1500.0 + RUN / 10.0,
        np.full(COUNT, np.nan),
    ],
    ids=["swinging", "through 9999", "put aloft", "steep climb", "by the hundred", "low", "none"],
)
@pytest.mark.parametrize("interval_s", [0.1, 1.0])
def test_what_can_be_true_stays(altitude: FloatArray, interval_s: float) -> None:
    track = flight(np.minimum(altitude, 60_000.0), interval_s=interval_s)

    assert track.faults == ()
    np.testing.assert_array_equal(track.samples.altitudes_ft[AltitudeKind.INDICATED], np.minimum(altitude, 60_000.0))


@pytest.mark.parametrize(
    ("channel", "usual", "impossible", "extreme"),
    [
        (Channel.GROUNDSPEED_KT, 120.0, (-1.0, 2500.0), (0.0, 2000.0)),
        (Channel.IAS_KT, 120.0, (-9999.0, 32767.0), (0.0, 2000.0)),
        (Channel.TAS_KT, 120.0, (-0.1, 2000.1), (0.0, 2000.0)),
        (Channel.HEADING_DEG_MAG, 10.0, (-361.0, 999.0), (-360.0, 720.0)),
        (Channel.TRACK_DEG_MAG, 10.0, (-999.0, 721.0), (-360.0, 720.0)),
        (Channel.BANK_DEG, 5.0, (-181.0, 200.0), (-180.0, 180.0)),
        (Channel.PITCH_DEG, 5.0, (-99.0, 91.0), (-90.0, 90.0)),
        (Channel.VERTICAL_SPEED_FPM, 0.0, (-99999.0, 70000.0), (-60000.0, 60000.0)),
        (Channel.HDOP, 1.0, (-1.0,), (0.0, 99.0)),
    ],
)
def test_bounds_of_channels(
    channel: Channel, usual: float, impossible: tuple[float, ...], extreme: tuple[float, ...]
) -> None:
    values = np.full(COUNT, usual)
    values[10 : 10 + len(impossible)] = impossible
    values[100 : 100 + len(extreme)] = extreme
    track = flight(channels={channel: values})

    kept = track.samples.channels[channel]
    assert np.flatnonzero(np.isnan(kept)).tolist() == list(range(10, 10 + len(impossible)))
    assert kept[100 : 100 + len(extreme)].tolist() == list(extreme)
    assert counts(track)["impossible-value"] == len(impossible)
    assert "line" in track.faults[-1].detail or "line" in track.faults[0].detail
    assert np.isfinite(track.motion.groundspeed_kt).all()


def test_several_channels_are_told_in_one_fault_with_their_lines() -> None:
    altitude, speed = CLIMB.copy(), np.full(COUNT, 120.0)
    altitude[7], speed[[3, 4]] = -99999.0, -5.0
    (fault,) = flight(altitude, {Channel.GROUNDSPEED_KT: speed}).faults

    assert (fault.kind, fault.count) == ("impossible-value", 3)
    assert "altitude_indicated_ft: 1 value that no aircraft has (-99,999) in line 9" in fault.detail
    assert "groundspeed_kt: 2 values that no aircraft has (-5) in lines 5 and 6" in fault.detail


def test_positions_that_are_all_zero_are_no_flight(read: Read) -> None:
    rows = "".join(f"2026-04-18T13:12:{second:02d}Z,0,0,3000\n" for second in range(30))
    with pytest.raises(TrackTimeError, match="no usable position: latitude 0, longitude 0 in all 30 records"):
        mend(read("time_utc,lat,lon,alt\n" + rows))


def test_a_clock_that_was_never_set_is_said(read: Read) -> None:
    rows = "".join(f"1980-01-06T00:00:{second:02d}Z,46.{second:02d},-28\n" for second in range(30))
    late = "2026-04-18T13:12:40Z,46.5,-28\n"
    for text, unset, every in ((rows, 30, 30), (rows + late, 30, 31)):
        with pytest.raises(TrackTimeError, match=f"clock was not set: {unset} of {every} records have a time before"):
            mend(read("time_utc,lat,lon\n" + text))


def test_too_few_records_count_only_times_of_a_clock_that_was_set(read: Read) -> None:
    rows = "1980-01-06T00:00:00Z,46,-28\n2026-04-18T13:12:40Z,46.5,-28\n2026-04-18T13:12:41Z,,\n"
    with pytest.raises(TrackTimeError, match=r"1 of 3 records .* \(2 with a time, 2 with a position\)"):
        mend(read("time_utc,lat,lon\n" + rows))
