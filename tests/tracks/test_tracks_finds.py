"""What the campaigns found, each as a small test. What was found in archives is among the tests of containers."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.errors import LegwiseError
from legwise.model.track import RawTrack, Track
from legwise.tracks import ReadLimits
from tracks.track_promises import told_or_read

LIMITS = ReadLimits(max_rows=1000, max_depth=20, max_columns=60)
POINTS = "".join(f"<trkpt lat='46.{n}' lon='-28'><time>2026-04-18T10:0{n}:00Z</time></trkpt>" for n in range(5))
Outcome = tuple[RawTrack, Track] | LegwiseError


@pytest.fixture
def outcome() -> Callable[[str], Outcome]:
    """What becomes of a log, after it was held to what is promised of every log."""
    return lambda text: told_or_read(text.encode(), LIMITS, utc_offset="+00:00")


@pytest.mark.parametrize("version", ["&#x10FFFF;", "1.1&#10;", "1.1&#xAD;", "\u200b"])
def test_a_version_of_gpx_that_does_not_print(version: str, outcome: Callable[[str], Outcome]) -> None:
    found = outcome(f"<gpx version='{version}'><trk><trkseg>{POINTS}</trkseg></trk></gpx>")

    assert isinstance(found, tuple)


def test_two_unreadable_times_of_two_aircraft_are_one_kind_of_fault(outcome: Callable[[str], Outcome]) -> None:
    rows = "".join(f"{'AB'[n % 2]},2026-04-18T10:{n:02d}:00Z,46.{n:02d},-28\n" for n in range(12))
    found = outcome(f"aircraft,time,lat,lon\nA,1:12:40 PM,46,-28\nB,2026-04-18T87>00Z,46,-28\n{rows}")

    assert isinstance(found, tuple)


def test_two_altitudes_that_change_but_once(outcome: Callable[[str], Outcome]) -> None:
    heights = [2800] * 61 + [2000]
    rows = "".join(
        f"2026-04-18T10:{n // 60:02d}:{n % 60:02d}Z,46.{n:04d},-28,{high},{high + 90}\n"
        for n, high in enumerate(heights)
    )
    found = outcome(f"time,lat,lon,altitude ft,altitude pressure ft\n{rows}")

    assert isinstance(found, tuple)


def test_positions_that_all_jump(outcome: Callable[[str], Outcome]) -> None:
    rows = "".join(f"2026-04-18T10:00:0{n}Z,{46 if n % 2 else -46},-28\n" for n in range(4))

    assert isinstance(outcome(f"time,lat,lon\n{rows}"), tuple | LegwiseError)


def test_a_plain_altitude_that_only_the_second_table_has(outcome: Callable[[str], Outcome]) -> None:
    first = "".join(f"2026-04-18,10:00:0{n},46.0{n},-28.0,900\n" for n in range(4))
    second = "".join(f"2026-04-18,10:00:1{n},46.1{n},-28.0,,910\n" for n in range(4))
    found = outcome(
        f"Date,UTC,Latitude,Longitude,Altitude GPS MSL\n{first}Date,UTC,Latitude,Longitude,GS,Altitude\n"
        f"yyyy-mm-dd,hh:mm:ss,deg,deg,kt,m\n{second}"
    )

    assert isinstance(found, tuple | LegwiseError)
