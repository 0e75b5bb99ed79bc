"""NMEA 0183: logs built at random come back as they were built, and any bytes give a track or an error in words."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError, TrackTimeError
from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.tracks import ReadLimits, mend
from legwise.tracks.reader import read_raw_bytes
from legwise.units import FT_PER_M
from tracks.nmea_logs import broken, gga, gll, log_of, rmc, sentence
from tracks.track_strategies import damaged_bytes

DATA = Path(__file__).parents[1] / "data" / "tracks"
LIMITS = ReadLimits(max_bytes=200_000, max_file_bytes=200_000, max_rows=500)


@dataclass(frozen=True)
class Angle:
    degrees: int
    minutes: str
    letter: str

    @property
    def value(self) -> float:
        size = self.degrees + float(self.minutes) / 60.0
        return -size if self.letter in "SW" else size


@dataclass(frozen=True)
class Sent:
    kind: str
    is_broken: bool


@dataclass(frozen=True)
class Epoch:
    steps: int
    lat: Angle
    lon: Angle
    height: int
    speed: int
    is_void: bool
    sentences: tuple[Sent, ...]

    def bodies(self, when: dt.datetime) -> list[str]:
        time = f"{when:%H%M%S}.{when.microsecond // 10_000:02d}"
        place = (
            f"{self.lat.degrees:02d}{self.lat.minutes},{self.lat.letter},"
            f"{self.lon.degrees:03d}{self.lon.minutes},{self.lon.letter}"
        )
        status = "V" if self.is_void else "A"
        kinds = {
            "RMC": rmc(time, place=place, date=f"{when:%d%m%y}", status=status, motion=f"{self.speed / 10},{1.0}"),
            "GGA": gga(time, place=place, quality="0" if self.is_void else "1", height=f"{self.height / 10},M,50.0,M"),
            "GLL": gll(time, place=place, status=status),
            "GSV": "GPGSV,1,1,00",
        }
        return [(broken if sent.is_broken else sentence)(kinds[sent.kind]) for sent in self.sentences]

    def believed(self, kind: str) -> bool:
        return any(sent.kind == kind and not sent.is_broken for sent in self.sentences)

    @property
    def first(self) -> int | None:
        """The place of the first sentence that is to be believed and has a position."""
        return next((n for n, sent in enumerate(self.sentences) if not sent.is_broken and sent.kind != "GSV"), None)


minutes = st.integers(0, 59_999_999).map(lambda value: f"{value // 1_000_000:02d}.{value % 1_000_000:06d}")
latitudes = st.builds(Angle, st.integers(0, 89), minutes, st.sampled_from("NS"))
longitudes = st.builds(Angle, st.integers(0, 179), minutes, st.sampled_from("EW"))
sentences = st.lists(
    st.builds(Sent, st.sampled_from(["RMC", "GGA", "GLL", "GSV"]), st.sampled_from([False] * 5 + [True])),
    min_size=1,
    max_size=4,
    unique_by=lambda sent: sent.kind,
).map(tuple)
epochs = st.builds(
    Epoch,
    st.integers(1, 40),
    latitudes,
    longitudes,
    st.integers(-300, 30_000),
    st.integers(0, 3000),
    st.sampled_from([False, False, False, True]),
    sentences,
)
starts = st.sampled_from(["2026-04-18T13:12:40", "2026-04-18T23:59:58", "2027-12-31T23:59:59", "2028-02-28T23:59:57"])


@settings(deadline=None, derandomize=True, max_examples=250)
@given(start=starts, tenths=st.sampled_from([1, 10]), epochs=st.lists(epochs, min_size=1, max_size=15))
def test_built_logs_come_back(start: str, tenths: int, epochs: list[Epoch]) -> None:
    when = dt.datetime.fromisoformat(start).replace(tzinfo=dt.UTC)
    texts: list[str] = []
    times: list[dt.datetime] = []
    firsts: list[int] = []
    for epoch in epochs:
        when += dt.timedelta(milliseconds=100 * tenths * epoch.steps)
        times.append(when)
        firsts.append(len(texts) + 1 + (epoch.first or 0))
        texts += epoch.bodies(when)
    # A log needs one sentence by which it is known.
    data = log_of("GPGSV,1,1,00", *texts).encode()
    kept = [n for n, epoch in enumerate(epochs) if epoch.first is not None and not epoch.is_void]
    if not kept:
        with pytest.raises(TrackTimeError, match="no usable position"):
            read_raw_bytes(data, "log")
        return

    # The date is needed only where no RMC is left.
    raw = read_raw_bytes(data, "log", date=times[kept[0]].date())

    samples = raw.samples
    assert samples.time_s.tolist() == pytest.approx([times[n].timestamp() for n in kept], abs=1e-6)
    assert samples.line.tolist() == [firsts[n] + 1 for n in kept]
    assert samples.lat_deg.tolist() == [epochs[n].lat.value for n in kept]
    assert samples.lon_deg.tolist() == [epochs[n].lon.value for n in kept]
    heights = [epochs[n].height / 10 * FT_PER_M if epochs[n].believed("GGA") else np.nan for n in kept]
    speeds = [epochs[n].speed / 10 if epochs[n].believed("RMC") else np.nan for n in kept]
    _same(samples.altitudes_ft.get(AltitudeKind.GNSS_MSL), heights)
    _same(samples.channels.get(Channel.GROUNDSPEED_KT), speeds)
    planted = Counter(
        {
            "void-fix": sum(epoch.is_void and epoch.first is not None for epoch in epochs),
            "bad-checksum": sum(sent.is_broken for epoch in epochs for sent in epoch.sentences),
        }
    )
    assert {fault.kind: fault.count for fault in raw.faults} == {kind: n for kind, n in planted.items() if n}


def _same(found: object, expected: list[float]) -> None:
    if all(np.isnan(expected)):
        assert found is None
    else:
        np.testing.assert_allclose(np.asarray(found), expected, rtol=1e-12)


def read_whole(content: bytes) -> RawTrack | None:
    try:
        raw = read_raw_bytes(content, "log", limits=LIMITS)
        mend(raw)
    except LegwiseError as error:
        words = str(error)
        assert words.count("\n") < 8
        assert words.replace("\n", "").isprintable()
        return None
    assert all(note.isprintable() for note in raw.source.notes)
    assert all(fault.detail.isprintable() for fault in raw.faults)
    return raw


KNOWN = log_of(rmc("131238")).encode()
"""A sentence by which any rubbish after it is read as NMEA 0183."""

SEEDS = (
    (DATA / "nmea_odd_sentences.nmea").read_bytes(),
    (DATA / "nmea_slow_72s_no_fix_at_start.nmea").read_bytes()[:3000],
    (DATA / "nmea_moving_146s.nmea").read_bytes()[:3000],
    log_of(*(body for n in range(9) for body in (rmc(f"13124{n}"), gga(f"13124{n}"), gll(f"13124{n}")))).encode(
        "utf-16"
    ),
)


@settings(deadline=None, derandomize=True, max_examples=200)
@given(st.binary(max_size=1000))
def test_any_bytes_after_a_sentence(content: bytes) -> None:
    read_whole(KNOWN + content)


PIECES = [
    "$GPRMC,",
    "$GPGGA",
    "$GNGLL",
    "$GPZDA,",
    "$GPVTG",
    "$",
    "*",
    ",",
    "131240",
    ".5",
    "A",
    "V",
    "N",
    "W",
    "4630.1",
    "02800.2",
    "180426",
    "1",
    "M",
    "-",
    "*5A",
    "\x00",
    "é",
    " ",
    "\r\n",
]
CELLS = [
    "",
    "131240",
    "235959.9",
    "4630.1",
    "N",
    "02800.2",
    "W",
    "A",
    "V",
    "1",
    "0",
    "180426",
    "M",
    "-1",
    "1.2.3",
    "1e9",
    "nan",
    "2026",
    "18",
    "04",
    "  7 ",
    "S",
    "K",
    "T",
    "99999999999999999",
    "9999999999999999999999999",
]
ADDRESSES = ("GPRMC", "GPGGA", "GPGLL", "GNGNS", "GPVTG", "GPZDA")


@settings(deadline=None, derandomize=True, max_examples=200)
@given(st.lists(st.sampled_from(PIECES), max_size=80))
def test_any_pieces_of_sentences(pieces: list[str]) -> None:
    read_whole(KNOWN + "".join(pieces).encode())


@settings(deadline=None, derandomize=True, max_examples=200)
@given(st.lists(st.sampled_from(CELLS), max_size=16), st.sampled_from(ADDRESSES))
def test_any_fields_with_a_right_checksum(cells: list[str], address: str) -> None:
    read_whole(KNOWN + log_of(",".join([address, *cells]), rmc("131241")).encode())


@settings(deadline=None, derandomize=True, max_examples=250)
@given(damaged_bytes(SEEDS, [b"$", b"*", b"\n", b"\r", b",", b"\0\xff", b"$GPGGA,", b"*00\r\n"], 4))
def test_damaged_logs(content: bytes) -> None:
    read_whole(content)
