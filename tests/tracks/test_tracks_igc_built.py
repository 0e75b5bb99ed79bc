"""IGC files built at random: what was written comes back exactly, from any hemisphere, over midnight, in any dress."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.model.track import AltitudeKind, Channel
from legwise.tracks import read_raw_bytes
from legwise.units import FT_PER_M
from tracks.igc_logs import DAY_S

_BETWEEN = (
    "F131240010203", "E131240PEV", "K13124000090", "LXXXr\xe9marque", "LPLT B1312404630123N", "D20331", "", "G0123",
    "M1", "HFTZN:2",
)  # fmt: skip


@dataclass(frozen=True)
class Written:
    """One fix: seconds after the one before, milliseconds of its second, positions in 10^-3 and further minutes."""

    step_s: int
    milliseconds: int
    lat: int
    lon: int
    further_lat: int
    further_lon: int
    pressure_m: int
    gnss_m: int
    speed: int
    track: int
    accuracy: int
    record_before: str


written = st.builds(
    Written,
    step_s=st.integers(1, 3000),
    milliseconds=st.integers(0, 999),
    lat=st.integers(-90 * 60_000 + 1, 90 * 60_000 - 1),
    lon=st.integers(-180 * 60_000 + 1, 180 * 60_000 - 1),
    further_lat=st.integers(0, 999),
    further_lon=st.integers(0, 99),
    pressure_m=st.integers(-9999, 99_999),
    gnss_m=st.integers(-9999, 99_999),
    speed=st.integers(1, 99_999),
    track=st.integers(1, 360),
    accuracy=st.integers(1, 999),
    record_before=st.none() | st.sampled_from(_BETWEEN),
)


def angle(thousandths: int, figures: int, letters: str) -> str:
    size = abs(thousandths)
    return f"{size // 60_000:0{figures}d}{size % 60_000:05d}{letters[thousandths < 0]}"


def degrees(thousandths: int, further: int, places: int) -> float:
    """The nearest number to what is written, by exact fractions."""
    size = Fraction(abs(thousandths), 60_000) + Fraction(further, 60_000 * 10**places)
    return float(-size if thousandths < 0 else size)


def altitude(metres: int) -> str:
    return f"{metres:05d}"


@settings(deadline=None, derandomize=True, max_examples=150)
@given(
    fixes=st.lists(written, min_size=2, max_size=25),
    start=st.integers(0, 86_399),
    order=st.permutations(["LAD", "LOD", "TDS", "GSP", "TRT", "FXA", "ENL"]),
    date=st.sampled_from(["HFDTE180426", "HFDTEDATE:180426,01", "HFDTEDATE: 180426"]),
    end=st.sampled_from(["\r\n", "\n", "\r"]),
    mark=st.booleans(),
    last_end=st.booleans(),
)
def test_what_was_written_comes_back(
    fixes: list[Written], start: int, order: list[str], date: str, end: str, mark: bool, last_end: bool
) -> None:
    widths = {"LAD": 3, "LOD": 2, "TDS": 3, "GSP": 5, "TRT": 3, "FXA": 3, "ENL": 3}
    at, layout = 36, ""
    for code in order:
        layout += f"{at:02d}{at + widths[code] - 1:02d}{code}"
        at += widths[code]
    lines = ["AXXX001", date, "HFALGALTGPS:GEO", f"I{len(order):02d}{layout}"]
    moments: list[Fraction] = []
    numbers: list[int] = []
    second = start
    for index, item in enumerate(fixes):
        second += item.step_s if index else 0
        moments.append(Fraction(second) + Fraction(item.milliseconds, 1000))
        more = {
            "LAD": f"{item.further_lat:03d}", "LOD": f"{item.further_lon:02d}", "TDS": f"{item.milliseconds:03d}",
            "GSP": f"{item.speed:05d}", "TRT": f"{item.track:03d}", "FXA": f"{item.accuracy:03d}", "ENL": "123",
        }  # fmt: skip
        of_day = second % 86_400
        clock = f"{of_day // 3600:02d}{of_day // 60 % 60:02d}{of_day % 60:02d}"
        if item.record_before:
            lines.append(item.record_before)
        place = angle(item.lat, 2, "NS") + angle(item.lon, 3, "EW")
        heights = altitude(item.pressure_m) + altitude(item.gnss_m)
        lines.append(f"B{clock}{place}A{heights}{''.join(more[code] for code in order)}")
        numbers.append(len(lines))
    text = end.join(lines) + (end if last_end else "")

    raw = read_raw_bytes((b"\xef\xbb\xbf" if mark else b"") + text.encode("latin-1"), "log")

    samples = raw.samples
    assert not raw.faults
    assert samples.line.tolist() == numbers
    assert samples.time_s.tolist() == [float(DAY_S + moment) for moment in moments]
    assert samples.lat_deg.tolist() == [degrees(item.lat, item.further_lat, 3) for item in fixes]
    assert samples.lon_deg.tolist() == [degrees(item.lon, item.further_lon, 2) for item in fixes]
    for kind, values in (
        (AltitudeKind.PRESSURE, [item.pressure_m for item in fixes]),
        (AltitudeKind.GNSS_MSL, [item.gnss_m for item in fixes]),
    ):
        if any(values):
            assert samples.altitudes_ft[kind].tolist() == pytest.approx([value * FT_PER_M for value in values])
        else:
            assert kind not in samples.altitudes_ft
    speeds = [item.speed / 100.0 / 1.852 for item in fixes]
    assert samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx(speeds, rel=1e-12)
    assert samples.channels[Channel.TRACK_DEG_TRUE].tolist() == [float(item.track) for item in fixes]
    accuracies = [float(item.accuracy) for item in fixes]
    assert samples.channels[Channel.HORIZONTAL_ACCURACY_M].tolist() == accuracies
    assert np.all(samples.segment == 0)
