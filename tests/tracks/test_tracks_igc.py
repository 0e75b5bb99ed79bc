"""IGC: recordings as their sources describe them, aerofiles as an independent reader, altitudes and extensions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from aerofiles.igc import Reader
from geographiclib.geodesic import Geodesic

from legwise.model.instants import epoch_s
from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.tracks import mend, read_raw_track
from legwise.units import FT_PER_M, KT_PER_KMH
from tracks.igc_logs import HEAD, fix, igc

Recording = Callable[[str], Path]
Read = Callable[..., RawTrack]


@dataclass(frozen=True)
class Tally:
    """What the list that the recordings came with says of one: fixes, first and last time, repeated times."""

    fixes: int
    start: str
    end: str
    repeated: int = 0


# Times that the list does not give were read in the files' first and last B records by eye.
TALLIES = {
    "igc_1hz_winch_glider.igc": Tally(5380, "2016-04-03T12:00:00", "2016-04-03T13:29:39"),
    "igc_8s_glider.igc": Tally(2469, "2011-09-02T10:16:43", "2011-09-02T15:12:42"),
    "igc_1hz_two_flights_one_file.igc": Tally(14819, "2019-03-09T11:23:18", "2019-03-09T15:36:32", repeated=1),
    "igc_fault_repeated_times.igc": Tally(200, "2003-02-01T10:16:48", "2003-02-01T10:24:03", repeated=50),
    "igc_long_date_header.igc": Tally(107, "2018-04-03T12:00:00", "2018-04-03T12:01:46"),
    "igc_no_pressure_altitude.igc": Tally(979, "2023-04-28T05:38:23", "2023-04-28T05:54:41"),
    "igc_extensions_lad_lod.igc": Tally(424, "2023-02-20T16:46:59", "2023-02-20T16:54:18"),
    "igc_fault_bad_line.igc": Tally(9, "2022-08-05T10:35:32", "2022-08-05T13:50:21"),
    "igc_format_example.igc": Tally(10, "2001-07-16T16:02:40", "2001-07-16T16:02:52", repeated=1),
}
# aerofiles takes the example's backward step of six hours for midnight.
ALIKE = [name for name in TALLIES if name != "igc_format_example.igc"]
FINER = ["igc_no_pressure_altitude.igc", "igc_extensions_lad_lod.igc"]


def instant_s(text: str) -> float:
    return epoch_s(dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC))


def by_aerofiles(path: Path) -> list[dict[str, Any]]:
    with path.open(encoding="latin-1") as file:
        errors, records = Reader().read(file)["fix_records"]
    assert not errors
    fixes: list[dict[str, Any]] = records
    return fixes


@pytest.mark.parametrize("name", TALLIES)
def test_recordings_hold_what_their_source_says(name: str, recording: Recording) -> None:
    raw = read_raw_track(recording(name))
    tally, samples = TALLIES[name], raw.samples

    assert raw.source.format == "IGC"
    lines = recording(name).read_bytes().split(b"\n")
    assert samples.line.tolist() == [number for number, line in enumerate(lines, 1) if line.startswith(b"B")]
    assert len(samples) == tally.fixes
    assert (samples.time_s[0], samples.time_s[-1]) == (instant_s(tally.start), instant_s(tally.end))
    # The letters at the end of line 39, where the I record has the last extension, were found by eye.
    spoilt = {"unreadable-value": 1} if name == "igc_fault_bad_line.igc" else {}
    assert {fault.kind: fault.count for fault in raw.faults} == spoilt
    assert all("ACZ (of no use here) in line 39;" in fault.detail for fault in raw.faults)
    track = mend(raw)
    assert track.samples_read == tally.fixes
    assert {fault.kind: fault.count for fault in track.faults}.get("repeated-time", 0) == tally.repeated


@pytest.mark.parametrize("name", ALIKE)
def test_fixes_are_those_of_an_independent_reader(name: str, recording: Recording) -> None:
    samples = read_raw_track(recording(name)).samples

    expected = by_aerofiles(recording(name))
    assert samples.time_s.tolist() == [epoch_s(item["datetime"]) for item in expected]
    # It leaves out the further decimals: the fourth of the minutes.
    for degrees, key, finer in ((samples.lat_deg, "lat", "LAD"), (samples.lon_deg, "lon", "LOD")):
        places = [item[key] + np.copysign(item.get(finer, 0) / 600_000, item[key]) for item in expected]
        np.testing.assert_allclose(degrees, places, rtol=0, atol=1e-12)
    gnss = next(samples.altitudes_ft[kind] for kind in samples.altitudes_ft if kind.value.startswith("gnss"))
    np.testing.assert_allclose(gnss, [item["gps_alt"] * FT_PER_M for item in expected])
    if name in FINER:
        assert {item["pressure_alt"] for item in expected} == {0}
        assert AltitudeKind.PRESSURE not in samples.altitudes_ft
    else:
        pressure = [item["pressure_alt"] * FT_PER_M for item in expected]
        np.testing.assert_allclose(samples.altitudes_ft[AltitudeKind.PRESSURE], pressure)


@pytest.mark.parametrize("name", ["igc_8s_glider.igc", "igc_fault_bad_line.igc"])
def test_extensions_are_those_of_an_independent_reader(name: str, recording: Recording) -> None:
    raw = read_raw_track(recording(name))

    # It gives the figures as whole numbers; speeds have five here: three of kilometres an hour, two decimals (A 2.4).
    expected = by_aerofiles(recording(name))
    for channel, code, factor in (
        (Channel.HORIZONTAL_ACCURACY_M, "FXA", 1.0),
        (Channel.GROUNDSPEED_KT, "GSP", KT_PER_KMH / 100.0),
        (Channel.TAS_KT, "TAS", KT_PER_KMH / 100.0),
        (Channel.TRACK_DEG_TRUE, "TRT", 1.0),
    ):
        np.testing.assert_allclose(raw.samples.channels[channel], [item[code] * factor for item in expected])
    assert len(raw.samples.channels) == 4
    notes = "\n".join(raw.source.notes)
    assert "GSP is taken as groundspeed in km/h" in notes
    assert "VAT is not read: a compensated variometer shows no vertical speed" in notes
    assert "“ENL”" in notes


def test_recorded_groundspeeds_are_those_between_the_positions(recording: Recording) -> None:
    samples = read_raw_track(recording("igc_8s_glider.igc")).samples

    ratios: list[float] = []
    for one, other in pairwise(range(400, 1000)):
        seconds = samples.time_s[other] - samples.time_s[one]
        line = Geodesic.WGS84.Inverse(
            samples.lat_deg[one], samples.lon_deg[one], samples.lat_deg[other], samples.lon_deg[other]
        )
        ratios.append(line["s12"] / seconds * 3600.0 / 1852.0 / samples.channels[Channel.GROUNDSPEED_KT][other])
    assert np.median(ratios) == pytest.approx(1.0, abs=0.02)


def test_the_formats_own_example_stays_on_its_day(recording: Recording) -> None:
    raw = read_raw_track(recording("igc_format_example.igc"))

    clocks = ["16:02:40", "16:02:45", "16:02:50", "16:02:55", "16:03:00", "16:03:05", "16:03:10", "22:02:48"]
    expected = [instant_s(f"2001-07-16T{clock}") for clock in [*clocks, "16:02:52", "16:02:52"]]
    assert raw.samples.time_s.tolist() == expected
    assert [fault.kind for fault in mend(raw).faults][:2] == ["out-of-order", "repeated-time"]


def test_further_decimals_are_added_away_from_zero_on_either_hemisphere(read: Read) -> None:
    layout = "I023638LAD3940LOD"
    north = fix(lat="4630123N", lon="02800123W", more="45678")
    south = fix("131241", lat="0000000S", lon="00000000E", more="00101")
    samples = read(igc(layout, north, south)).samples

    assert samples.lat_deg.tolist() == [46 + 30.123456 / 60, -0.000001 / 60]
    assert samples.lon_deg.tolist() == [-(28 + 0.12378 / 60), 0.00001 / 60]


def test_altitudes_below_the_datum_are_negative(read: Read) -> None:
    altitudes = read(igc(fix(pressure="-0012", gnss="-0007"), fix("131241"))).samples.altitudes_ft

    assert altitudes[AltitudeKind.PRESSURE] == pytest.approx([-12 * FT_PER_M, 950 * FT_PER_M])
    assert altitudes[AltitudeKind.GNSS_ELLIPSOID] == pytest.approx([-7 * FT_PER_M, 1000 * FT_PER_M])


@pytest.mark.parametrize(
    ("header", "kind", "said"),
    [
        ("", AltitudeKind.GNSS_ELLIPSOID, "as the specification has it; no header says (ALG)"),
        ("HFALG:ELL", AltitudeKind.GNSS_ELLIPSOID, "as the file says (ALG: “ELL”)"),
        ("HFALGALTGPS:ELL", AltitudeKind.GNSS_ELLIPSOID, "as the file says"),
        ("HOALGALTGPS:WGS84 ELLIPSOID", AltitudeKind.GNSS_ELLIPSOID, "as the file says"),
        ("HFALGALTGPS:GEO", AltitudeKind.GNSS_MSL, "above mean sea level (the geoid), as the file says"),
        ("HOALG: geoid", AltitudeKind.GNSS_MSL, "as the file says"),
        ("HFALGALTGPS:MSL", AltitudeKind.GNSS_MSL, "as the file says"),
        ("HFALGALTGPS:NKN", AltitudeKind.UNKNOWN, "does not know"),
        ("HFALG:KALMAN", AltitudeKind.GNSS_ELLIPSOID, "what ALG says is not understood (“KALMAN”)"),
        ("HFALGALTGPS:NIL", None, "there is no GNSS altitude (NIL)"),
    ],
)
def test_gnss_altitude_is_above_what_the_header_says(
    header: str, kind: AltitudeKind | None, said: str, read: Read
) -> None:
    raw = read(igc(fix(), fix("131241"), head=(*HEAD, header) if header else HEAD))

    others = set(raw.samples.altitudes_ft) - {AltitudeKind.PRESSURE}
    assert others == ({kind} if kind else set())
    assert any(said in note for note in raw.source.notes)


@pytest.mark.parametrize(
    ("header", "kind", "said"),
    [
        ("", AltitudeKind.PRESSURE, "above 1013.25 hPa, as the specification has it"),
        ("HFALPALTPRESSURE:ISA", AltitudeKind.PRESSURE, "above 1013.25 hPa, as the file says"),
        ("HFALP:MSL", AltitudeKind.UNKNOWN, "by a setting that the file does not tell"),
        ("HFALPALTPRESSURE:NKN", AltitudeKind.UNKNOWN, "of unknown datum"),
        ("HFALPALTPRESSURE:NIL", None, "there is no pressure altitude (NIL)"),
        ("HFPRSPRESSALTSENSOR:NIL", None, "there is no pressure altitude (NIL)"),
    ],
)
def test_pressure_altitude_is_above_what_the_header_says(
    header: str, kind: AltitudeKind | None, said: str, read: Read
) -> None:
    raw = read(igc(fix(), fix("131241"), head=(*HEAD, header) if header else HEAD))

    others = set(raw.samples.altitudes_ft) - {AltitudeKind.GNSS_ELLIPSOID}
    assert others == ({kind} if kind else set())
    assert any(said in note for note in raw.source.notes)


def test_of_two_altitudes_of_unknown_kind_one_is_read_and_the_other_told(read: Read) -> None:
    raw = read(igc(fix(), fix("131241"), head=(*HEAD, "HFALG:NKN", "HFALP:MSL")))

    assert raw.samples.altitudes_ft[AltitudeKind.UNKNOWN] == pytest.approx([950 * FT_PER_M] * 2)
    assert set(raw.samples.altitudes_ft) == {AltitudeKind.UNKNOWN}
    assert any("it is not read, since another altitude" in note for note in raw.source.notes)


@pytest.mark.parametrize("field", ["pressure", "gnss"])
def test_an_altitude_of_zero_throughout_was_not_recorded(field: str, read: Read) -> None:
    raw = read(igc(*(fix(f"1312{second}", **{field: "00000"}) for second in (40, 41, 42))))

    gone = AltitudeKind.PRESSURE if field == "pressure" else AltitudeKind.GNSS_ELLIPSOID
    assert gone not in raw.samples.altitudes_ft
    assert len(raw.samples.altitudes_ft) == 1
    assert any("00000 throughout" in note for note in raw.source.notes)


def test_speeds_and_directions_are_read_by_the_specifications_units(read: Read) -> None:
    layout = "I063638IAS3943GSP4446HDM4749HDT5052TRM5355FXA"
    channels = read(
        igc(layout, fix(more="17616735255250248012"), fix("131241", more="000" * 6 + "00"))
    ).samples.channels

    first = {channel: values[0] for channel, values in channels.items()}
    assert first == pytest.approx(
        {
            Channel.IAS_KT: 176 / 1.852,
            Channel.GROUNDSPEED_KT: 167.35 / 1.852,
            Channel.HEADING_DEG_MAG: 255.0,
            Channel.HEADING_DEG_TRUE: 250.0,
            Channel.TRACK_DEG_MAG: 248.0,
            Channel.HORIZONTAL_ACCURACY_M: 12.0,
        }
    )
    # No position is exact.
    assert np.isnan(channels[Channel.HORIZONTAL_ACCURACY_M][1])


@pytest.mark.parametrize(
    ("layout", "head", "said"),
    [
        ("I013640HDT", HEAD, "HDT is not read: a direction has three figures"),
        ("I013637IAS", HEAD, "IAS is not read: a speed has three figures"),
        ("I013637FXA", HEAD, "FXA is not read: an accuracy has three figures"),
        ("I013640TAS", (*HEAD, "HFUNTUNITS:KT,FT"), "TAS is not read: a header names units of measure"),
        ("I013640VAR", HEAD, "VAR is not read: the editions of the specification differ"),
        ("I013638VXA", HEAD, "VXA is not read: the specification gives no length"),
        ("I013638ENL", HEAD, "further extensions of the fixes are not read: “ENL”"),
    ],
)
def test_what_the_specification_leaves_open_is_not_read_and_that_is_said(
    layout: str, head: tuple[str, ...], said: str, read: Read
) -> None:
    raw = read(igc(layout, fix(more="01234"), fix("131241", more="01234"), head=head))

    assert not raw.samples.channels
    assert not raw.faults
    assert any(said in note for note in raw.source.notes)


def test_a_channel_of_zeros_throughout_was_not_recorded(read: Read) -> None:
    raw = read(igc("I023640TAS4143TRT", fix(more="00000090"), fix("131241", more="00000091")))

    assert set(raw.samples.channels) == {Channel.TRACK_DEG_TRUE}
    assert any("tas_kt is zero throughout" in note for note in raw.source.notes)


def test_decimals_of_the_second_are_read(read: Read) -> None:
    raw = read(igc("I013637TDS", *(fix("131240", more=f"{n}5") for n in range(10))))

    whole = instant_s("2026-04-18T13:12:40")
    assert raw.samples.time_s.tolist() == pytest.approx([whole + n / 10 + 0.05 for n in range(10)], abs=1e-6)


def test_decimals_that_are_announced_and_never_recorded_are_none(read: Read) -> None:
    raw = read(igc("I013637TDS", fix(), fix("131241")))

    assert np.diff(raw.samples.time_s).tolist() == [1.0]
    assert any("TDS" in note and "never recorded" in note for note in raw.source.notes)


def test_other_records_are_told_where_they_are_of_use(read: Read) -> None:
    task = (
        "C180426120000180426000102Triangle",
        "C0000000N00000000E",
        "C4630000N02800000WSTART",
        "C4640000N02800000WEND",
    )
    other = ("J010812HDT", "D20331", "E131240PEV", "F131240010203", "K13124000090", "LXXXany", "G1234", "Mnew", "")
    raw = read(igc(*task, *other, fix(), fix("131241"), head=(*HEAD, "HFDTM103GPSDATUM:BESSEL")))

    assert not raw.faults
    assert not raw.route
    notes = "\n".join(raw.source.notes)
    assert "a declared task (2 points in C records) is not taken as a route" in notes
    assert "data between the fixes (1 K records) are not read" in notes
    assert "names the datum “BESSEL”" in notes


def test_an_offset_from_utc_is_not_used_and_that_is_said(read: Read) -> None:
    raw = read(igc(fix(), fix("131241")), utc_offset="-04:00")

    assert raw.samples.time_s[0] == instant_s("2026-04-18T13:12:40")
    assert any("--utc-offset was not used" in note for note in raw.source.notes)
