"""NMEA 0183: which sentences make a record, what of them counts, and what is said about the rest.

The meaning of status, mode and quality is that of NMEA 0183 (4.10), from memory.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import TrackFileError, TrackTimeError
from legwise.model.track import AltitudeKind, Channel, RawTrack, Track
from legwise.tracks import ReadLimits
from legwise.units import FT_PER_M, KT_PER_KMH
from tracks.nmea_logs import LAT_DEG, LON_DEG, gga, gll, log_of, rmc

Read = Callable[..., RawTrack]
NOWHERE = ",,,"


def faults_of(raw: RawTrack | Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in raw.faults}


def test_sentences_of_one_time_are_one_record_with_all_that_they_hold(read: Read) -> None:
    vtg = "GPVTG,271.4,T,282.0,M,120.6,N,223.4,K,A"
    raw = read(log_of(gga(), gll(), rmc(), vtg, gga("131241"), rmc("131241")))

    samples = raw.samples
    assert samples.line.tolist() == [1, 5]
    assert samples.lat_deg.tolist() == [LAT_DEG] * 2
    assert samples.lon_deg.tolist() == [LON_DEG] * 2
    assert samples.altitudes_ft[AltitudeKind.GNSS_MSL] == pytest.approx([951.0 * FT_PER_M] * 2)
    assert samples.altitudes_ft[AltitudeKind.GNSS_ELLIPSOID] == pytest.approx([1003.1 * FT_PER_M] * 2)
    assert samples.channels[Channel.GROUNDSPEED_KT].tolist() == [120.5, 120.5]
    assert samples.channels[Channel.TRACK_DEG_TRUE].tolist() == [271.3, 271.3]
    np.testing.assert_equal(samples.channels[Channel.TRACK_DEG_MAG], [282.0, np.nan])
    assert samples.channels[Channel.HDOP].tolist() == [0.9, 0.9]
    assert raw.faults == ()
    assert any("read: 2 RMC, 2 GGA, 1 GLL and 1 VTG, from talker GP" in note for note in raw.source.notes)


@pytest.mark.parametrize(
    "void",
    [
        [rmc("131242", status="V")],
        [rmc("131242", status="V", place=NOWHERE, motion=",", mode="N")],
        [rmc("131242", mode="N")],
        [gga("131242", quality="0")],
        [gga("131242", quality=""), rmc("131242", status="V")],
        [gll("131242", status="V")],
        [gll("131242", mode="N")],
        [rmc("131242", status="V", mode="E")],
        ["GNGNS,131242,4630.1234,N,02800.5678,W,NN,00,,,,,"],
        [gga("131242", quality="0"), gll("131242", status="V"), rmc("131242", status="V")],
    ],
)
def test_a_time_without_a_fix_is_no_record_and_counted_once(void: list[str], read: Read) -> None:
    raw = read(log_of(rmc("131240"), rmc("131241"), *void, rmc("131243")))

    assert raw.samples.line.tolist() == [1, 2, 3 + len(void)]
    assert faults_of(raw) == {"void-fix": 1}
    assert "line 3" in raw.faults[0].detail


@pytest.mark.parametrize(
    "fix",
    [
        gga("131241", quality=""),
        gga("131241", quality="2"),
        rmc("131241", status=""),
        rmc("131241", mode="D"),
        "GPRMC,131241,A,4630.1234,N,02800.5678,W,1.0,2.0,180426,5.1,W",
        "GNRMC,131241,A,4630.1234,N,02800.5678,W,1.0,2.0,180426,,,A,V",
        "GPGLL,4630.1234,N,02800.5678,W,131241,A",
        "GNGNS,131241,4630.1234,N,02800.5678,W,AN,08,0.9,951.0,52.1,,",
    ],
)
def test_what_does_not_deny_the_fix_is_one(fix: str, read: Read) -> None:
    raw = read(log_of(rmc("131240"), fix))

    assert len(raw.samples) == 2
    assert raw.samples.lat_deg[1] == LAT_DEG
    assert raw.faults == ()


def test_where_one_sentence_denies_the_fix_the_others_are_taken_and_it_is_told(read: Read) -> None:
    raw = read(log_of(rmc("131240"), gga("131240", quality="0"), rmc("131241"), gga("131241")))

    assert faults_of(raw) == {"contradicted-fix": 1}
    np.testing.assert_allclose(raw.samples.altitudes_ft[AltitudeKind.GNSS_MSL], [np.nan, 951.0 * FT_PER_M])


@pytest.mark.parametrize(
    "made", [rmc("131241", mode="E"), gga("131241", quality="6"), gga("131241", quality="7"), gll("131241", mode="M")]
)
def test_a_reckoned_position_is_kept_and_told(made: str, read: Read) -> None:
    raw = read(log_of(rmc("131240"), made))

    assert len(raw.samples) == 2
    assert faults_of(raw) == {"estimated-fix": 1}


@pytest.mark.parametrize("status", ["A", "V"])
def test_the_fix_of_a_simulator_is_one(status: str, read: Read) -> None:
    raw = read(log_of(*(rmc(f"13124{n}", status=status, mode="S") for n in range(3)), gga("131243", quality="8")))

    assert len(raw.samples) == 4
    assert raw.faults == ()
    assert any("4 fixes that the sentences call simulated" in note for note in raw.source.notes)


def test_no_position_is_missing_and_never_zero(mended: Callable[..., Track]) -> None:
    track = mended(log_of(rmc("131240"), rmc("131241", place=NOWHERE), gga("131242", place=NOWHERE), rmc("131243")))

    assert (track.samples_read, len(track)) == (2, 2)
    assert faults_of(track) == {"blank-position": 2}


@pytest.mark.parametrize(
    "place",
    [
        "4630.1234,X,02800.5678,W",
        "4630.1234,,02800.5678,W",
        "4660.1234,N,02800.5678,W",
        "46x0.1234,N,02800.5678,W",
        "-4630.1234,N,02800.5678,W",
        "4630.1234,N,,",
        "4630.1234,N,2.8e3,W",
        "46.30.1,N,02800.5678,W",
        "1234567890123456789.1,N,02800.5678,W",
        "4630." + "1" * 40 + ",N,02800.5678,W",
    ],
)
def test_half_a_position_is_unreadable(place: str, read: Read) -> None:
    raw = read(log_of(rmc("131240"), rmc("131241", place=place)))

    assert np.isnan(raw.samples.lat_deg[1])
    assert np.isnan(raw.samples.lon_deg[1])
    assert faults_of(raw) == {"unreadable-value": 1}
    assert "line 2" in raw.faults[0].detail


def test_a_latitude_beyond_the_pole_is_left_out_by_mending(mended: Callable[..., Track]) -> None:
    track = mended(log_of(rmc("131240"), rmc("131241", place="9100.0,N,02800.0,W"), rmc("131242")))

    assert faults_of(track) == {"blank-position": 1}


@pytest.mark.parametrize(
    "time", ["246000", "246060", "126100", "12:00:00", "94737", "1312400", "x", "120060", "-13124"]
)
def test_a_time_that_is_none_makes_no_sample(time: str, mended: Callable[..., Track]) -> None:
    track = mended(log_of(rmc("131240"), rmc(time), rmc("131242")))

    assert (track.samples_read, len(track)) == (2, 2)
    assert faults_of(track) == {"unreadable-time": 1, "no-time": 1}


def test_a_sentence_without_a_time_does_not_part_the_others(read: Read) -> None:
    raw = read(log_of(rmc("131240"), gga(""), gll("131240"), rmc("131241"), gga(""), gll("")))

    assert raw.samples.line.tolist() == [1, 2, 4, 5]
    assert np.isnan(raw.samples.time_s).tolist() == [False, True, False, True]


def test_times_without_a_clock_and_a_fix_are_counted_by_the_coming_back_of_a_type(read: Read) -> None:
    start = [rmc("", status="V", place=NOWHERE, motion=",", date="", mode="N"), gga("", place=NOWHERE, quality="0")]
    raw = read(log_of(*start * 5, rmc("131240"), gga("131240"), rmc("131241")))

    assert len(raw.samples) == 2
    assert faults_of(raw) == {"void-fix": 5}


@pytest.mark.parametrize(
    ("height", "expected"),
    [
        ("951.0,M,52.1,M", (951.0, 1003.1)),
        ("951.0,,52.1,", (951.0, 1003.1)),
        ("951.0,M,,M", (951.0, None)),
        ("-4,M,46.8,M", (-4.0, 42.8)),
        ("+951,M,-30.5,M", (951.0, 920.5)),
        (",M,52.1,M", (None, None)),
        ("  951.0,M, 52.1 ,M", (951.0, 1003.1)),
    ],
)
def test_heights(height: str, expected: tuple[float | None, float | None], read: Read) -> None:
    raw = read(log_of(gga(height=height), rmc()))

    for kind, metres in zip((AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID), expected, strict=True):
        if metres is None:
            assert kind not in raw.samples.altitudes_ft
        else:
            assert raw.samples.altitudes_ft[kind] == pytest.approx([metres * FT_PER_M])
    assert raw.faults == ()


def test_a_value_in_another_unit_is_not_believed(read: Read) -> None:
    vtg = "GPVTG,282.0,M,271.4,T,223.4,K,120.6,N,A"
    raw = read(log_of(gga(height="3120.0,F,52.1,M"), rmc(motion=","), vtg))

    assert not raw.samples.altitudes_ft
    assert set(raw.samples.channels) == {Channel.HDOP}
    assert faults_of(raw) == {"unreadable-value": 2}


def test_a_separation_of_nought_throughout_is_told(read: Read) -> None:
    raw = read(log_of(gga(height="951.0,M,0.0,M"), rmc()))

    assert any("separation is 0 throughout" in note for note in raw.source.notes)


def test_speed_and_track_come_from_vtg_where_rmc_has_none(read: Read) -> None:
    vtg = "GPVTG,271.4,T,,M,,N,223.4,K,A"
    raw = read(log_of(gga("131240"), vtg, gga("131241"), vtg.replace("K,A", "K,N"), rmc("131242")))

    channels = raw.samples.channels
    np.testing.assert_allclose(channels[Channel.GROUNDSPEED_KT], [223.4 * KT_PER_KMH, np.nan, 120.5])
    np.testing.assert_allclose(channels[Channel.TRACK_DEG_TRUE], [271.4, np.nan, 271.3])


def test_a_vtg_before_the_others_of_its_time_goes_with_them(read: Read) -> None:
    bodies: list[str] = []
    for n in range(5):
        bodies += [f"GPVTG,{10 + n}.0,T,{20 + n}.0,M,{100 + n}.0,N,,K,A", gga(f"13124{n}")]
        bodies.append(rmc(f"13124{n}", motion=f"{100 + n}.0,{10 + n}.0"))
    raw = read(log_of(*bodies))

    assert raw.samples.channels[Channel.TRACK_DEG_MAG].tolist() == [20.0, 21.0, 22.0, 23.0, 24.0]


def test_the_position_is_that_with_the_most_decimals_and_a_difference_is_told(read: Read) -> None:
    fine, off = "4630.12341234,N,02800.56785678,W", "4630.1434,N,02800.5678,W"
    raw = read(log_of(rmc("131240"), gga("131240", place=fine), rmc("131241", place=off), gga("131241", place=fine)))

    assert raw.samples.lat_deg.tolist() == [46.0 + 30.12341234 / 60.0] * 2
    told = [note for note in raw.source.notes if "other positions" in note]
    # 0.02 minutes of latitude are 0.02 NM.
    assert len(told) == 1
    assert "at 1 time, by up to 37.0 m, first in line 3" in told[0]


def test_longitudes_end_in_the_half_open_circle(read: Read) -> None:
    raw = read(log_of(rmc("131240", place="0000.5,S,18000.0,E"), gga("131240", place="0000.5,S,18000.0,W")))

    assert raw.samples.lon_deg.tolist() == [-180.0]
    assert not any("other positions" in note for note in raw.source.notes)


def test_of_several_talkers_the_first_that_has_a_value_is_taken(read: Read) -> None:
    raw = read(
        log_of(
            rmc("131240", talker="GP", motion=",270.0"),
            rmc("131240", talker="GN", motion="99.0,90.0"),
            gga("131240", talker="GL", height=",M,,M"),
            gga("131240", talker="GN"),
        )
    )

    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == [99.0]
    assert raw.samples.channels[Channel.TRACK_DEG_TRUE].tolist() == [270.0]
    assert raw.samples.altitudes_ft[AltitudeKind.GNSS_MSL] == pytest.approx([951.0 * FT_PER_M])
    assert raw.faults == ()
    assert any("several talkers at 1 time" in note for note in raw.source.notes)
    assert any("talkers GL, GN and GP" in note for note in raw.source.notes)


def test_sentences_written_again_with_their_time_are_counted(read: Read) -> None:
    raw = read(log_of(*[rmc("131240"), gga("131240")] * 3, rmc("131241"), gga("131241")))

    assert len(raw.samples) == 2
    assert faults_of(raw) == {"repeated-time": 2}
    assert "lines 3, 4, 5 and 6" in raw.faults[0].detail


def test_the_same_time_after_another_one_is_another_record(read: Read) -> None:
    raw = read(log_of(*(rmc(time) for time in ("131240", "131241", "131240", "131241"))))

    assert raw.samples.line.tolist() == [1, 2, 3, 4]


def test_a_log_without_any_fix_is_an_error_that_says_so(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="no fix at any of 3 times"):
        read(log_of(*(rmc(f"13124{n}", status="V") for n in range(3))))


def test_a_log_without_sentences_with_a_position_says_what_it_holds(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="no RMC, GGA, GNS or GLL sentence is in the log; others: 2 GSV, 1 GSA"):
        read(log_of("GPGSV,1,1,00", "GPGSV,1,1,00", "GPGSA,A,1"))


def test_too_many_records_are_refused(read: Read) -> None:
    text = log_of(*(body(f"1312{n:02d}") for n in range(11) for body in (rmc, gga)), rmc("131300", status="V"))

    assert len(read(text, limits=ReadLimits(max_rows=11)).samples) == 11
    with pytest.raises(TrackFileError, match="more than 10 records") as caught:
        read(text, limits=ReadLimits(max_rows=10))
    assert "line 21" in caught.value.where


def test_a_long_log_beyond_the_limit_is_not_read_to_its_end(read: Read) -> None:
    text = log_of(*(rmc(f"13{n // 60 % 60:02d}{n % 60:02d}") for n in range(3600))) * 30

    with pytest.raises(TrackFileError, match="more than 5 records"):
        read(text, limits=ReadLimits(max_rows=5))
