"""GPX: real files as their sources describe them, gpxpy as an independent reader, and what a stranger may send."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import gpxpy
import numpy as np
import pytest

from legwise.errors import TrackFileError, TrackFormatError, TrackTimeError
from legwise.model.instants import epoch_s
from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.tracks import ReadLimits, mend, read_raw_track
from legwise.units import FT_PER_M, KT_PER_MPS

Recording = Callable[[str], Path]
Read = Callable[..., RawTrack]

# Points and points with a time: counted in the files' own text with grep, or said in the list they came with.
COUNTS = {
    "gpx_hike_1.gpx": (871, 871 - 358),
    "gpx_hike_2.gpx": (296, 296),
    "gpx_car.gpx": (104, 104),
    "gpx_no_times.gpx": (296, 5),
    "gpx_no_elevations.gpx": (296, 295),
    "gpx_empty_segment.gpx": (9, 9),
    "gpx_fractional_seconds.gpx": (2, 2),
    "gpx_bad_dilution.gpx": (1, 0),
    "gpx10_speed.gpx": (3, 3),
    "gpx_small_floats_exponent.gpx": (3, 0),
    "gpx_multi_track.gpx": (117, 117),
    "gpx_empty_ele.gpx": (2, 2),
    "gpx_single_point.gpx": (1, 1),
}


def gpx(points: str, head: str = '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">') -> str:
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{head}<trk><trkseg>{points}</trkseg></trk></gpx>'


def point(second: int = 0, lat: str = "46.5", lon: str = "-28.0", inner: str = "") -> str:
    return f'<trkpt lat="{lat}" lon="{lon}"><time>2026-04-18T13:12:{second:02d}Z</time>{inner}</trkpt>\n'


@pytest.mark.parametrize("name", COUNTS)
def test_recordings_hold_what_their_source_says(name: str, recording: Recording) -> None:
    samples = read_raw_track(recording(name)).samples

    assert (len(samples), int(np.isfinite(samples.time_s).sum())) == COUNTS[name]


@pytest.mark.parametrize("name", COUNTS)
def test_points_are_those_of_an_independent_reader(name: str, recording: Recording) -> None:
    raw = read_raw_track(recording(name))

    parsed = gpxpy.parse(recording(name).read_bytes())
    expected = list(parsed.walk(only_points=True))
    segments = [segment for track in parsed.tracks for segment in track.segments]
    assert raw.samples.segment.tolist() == [i for i, segment in enumerate(segments) for _ in segment.points]
    assert raw.samples.lat_deg.tolist() == [item.latitude for item in expected]
    assert raw.samples.lon_deg.tolist() == [item.longitude for item in expected]
    times = [item.time.timestamp() if item.time else np.nan for item in expected]
    np.testing.assert_allclose(raw.samples.time_s, times, atol=1e-6, rtol=0)
    elevations = np.array([np.nan if item.elevation is None else item.elevation for item in expected])
    if np.isfinite(elevations).any():
        np.testing.assert_allclose(raw.samples.altitudes_ft[AltitudeKind.GNSS_MSL], elevations * FT_PER_M)
    else:
        assert not raw.samples.altitudes_ft


def test_route_and_waypoints_are_those_of_an_independent_reader(recording: Recording) -> None:
    name = "gpx10_all_fields.gpx"
    raw = read_raw_track(recording(name), utc_offset="+00:00")

    expected = gpxpy.parse(recording(name).read_bytes())
    route = expected.routes[0].points
    assert [(item.lat_deg, item.lon_deg) for item in raw.route] == [(p.latitude, p.longitude) for p in route]
    assert [(item.lat_deg, item.lon_deg) for item in raw.waypoints] == [
        (p.latitude, p.longitude) for p in expected.waypoints
    ]
    assert raw.route[0].ident == "example name r"


def test_lines_are_those_of_the_points(recording: Recording) -> None:
    samples = read_raw_track(recording("gpx_hike_1.gpx")).samples

    text = recording("gpx_hike_1.gpx").read_text(encoding="utf-8").splitlines()
    assert all("<trkpt" in text[line - 1] for line in samples.line)


def test_offset_and_fraction_of_a_time(recording: Recording) -> None:
    time_s = read_raw_track(recording("gpx_fractional_seconds.gpx")).samples.time_s

    first = epoch_s(dt.datetime(2015, 12, 11, 14, 43, 13, tzinfo=dt.UTC))
    assert time_s == pytest.approx([first, first + 0.994], abs=1e-6)


@pytest.mark.parametrize("name", ["gpx10_all_fields.gpx", "gpx11_all_fields.gpx"])
def test_a_time_without_a_zone_is_an_error_unless_the_zone_is_said(name: str, recording: Recording) -> None:
    with pytest.raises(TrackTimeError, match="no zone") as caught:
        read_raw_track(recording(name))
    assert "line" in caught.value.where

    raw = read_raw_track(recording(name), utc_offset="-04:00")
    assert raw.samples.time_s[0] == epoch_s(dt.datetime(2013, 1, 1, 16, 0, 4, tzinfo=dt.UTC))


@pytest.mark.parametrize(
    ("name", "held"),
    [("gpx_route.gpx", "a route but no track"), ("gpx_bom.gpx", "waypoints but no track")],
)
def test_a_file_without_a_track_says_what_it_holds(name: str, held: str, recording: Recording) -> None:
    with pytest.raises(TrackTimeError, match=held):
        read_raw_track(recording(name))


def test_a_speed_of_gpx_1_0_is_metres_a_second(recording: Recording) -> None:
    raw = read_raw_track(recording("gpx10_speed.gpx"))

    assert raw.samples.channels[Channel.GROUNDSPEED_KT] == pytest.approx(np.array([1.2, 2.2, 3.2]) * KT_PER_MPS)
    assert any("m/s" in note for note in raw.source.notes)


def test_extensions_are_read_by_local_name_with_their_units(read: Read) -> None:
    inner = (
        '<speed>50</speed><course>271.5</course><extensions><x:data xmlns:x="urn:x">'
        "<x:ias unit='kt'>95</x:ias><x:heading>260</x:heading><x:speed>1</x:speed><x:hr>120</x:hr>"
        "<x:pressure_altitude_ft>4200</x:pressure_altitude_ft></x:data></extensions>"
    )
    channels = (raw := read(gpx(point(0, inner=inner) + point(1)))).samples.channels

    assert channels[Channel.GROUNDSPEED_KT][0] == pytest.approx(50 * KT_PER_MPS)
    assert channels[Channel.TRACK_DEG_TRUE][0] == 271.5
    assert channels[Channel.IAS_KT][0] == 95.0
    assert channels[Channel.HEADING_DEG_MAG][0] == 260.0
    assert np.isnan(channels[Channel.IAS_KT][1])
    assert raw.samples.altitudes_ft[AltitudeKind.PRESSURE][0] == 4200.0
    assert set(channels) == {Channel.GROUNDSPEED_KT, Channel.TRACK_DEG_TRUE, Channel.IAS_KT, Channel.HEADING_DEG_MAG}


def test_a_prefix_on_every_element_changes_nothing(read: Read) -> None:
    text = '<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1"><g:trk><g:trkseg>'
    text += '<g:trkpt lat="46.5" lon="-28"><g:time>2026-04-18T13:12:40Z</g:time><g:ele>100</g:ele></g:trkpt>'
    samples = read(text + "</g:trkseg></g:trk></g:gpx>").samples

    assert len(samples) == 1
    assert samples.altitudes_ft[AltitudeKind.GNSS_MSL][0] == pytest.approx(328.084, abs=1e-3)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1", "windows-1252"])
def test_the_declared_encoding_or_the_byte_order_mark_is_obeyed(encoding: str, read: Read) -> None:
    declared = {"utf-8-sig": "utf-8"}.get(encoding, encoding)
    text = (
        f'<?xml version="1.0" encoding="{declared}"?><gpx><wpt lat="46" lon="-28"><name>HØLMÅ</name></wpt><trk><trkseg>'
    )
    raw = read((text + point(0) + point(1) + "</trkseg></trk></gpx>").encode(encoding))

    assert raw.waypoints[0].ident == "HØLMÅ"
    assert len(raw.samples) == 2


def test_text_in_another_encoding_than_it_says_is_read_and_told(read: Read) -> None:
    text = '<?xml version="1.0" encoding="UTF-8"?><gpx><wpt lat="46" lon="-28"><name>HØLMÅ</name></wpt><trk><trkseg>'
    raw = read((text + point(0) + point(1) + "</trkseg></trk></gpx>").encode("cp1252"))

    assert raw.waypoints[0].ident == "HØLMÅ"
    assert any("Windows-1252" in note for note in raw.source.notes)


def test_values_that_are_no_numbers_are_missing_and_counted(read: Read) -> None:
    bad = point(0, lat="undefined") + point(1, inner="<ele>high</ele>") + point(2, lon="1_0") + point(3) + point(4)
    raw = read(gpx(bad))

    assert np.isnan(raw.samples.lat_deg[0])
    assert np.isnan(raw.samples.lon_deg[2])
    assert not raw.samples.altitudes_ft
    assert {fault.kind: fault.count for fault in raw.faults} == {"unreadable-value": 3}
    track = mend(raw)
    assert (track.samples_read, len(track)) == (3, 3)
    assert {fault.kind: fault.count for fault in track.faults}["blank-position"] == 2


@pytest.mark.parametrize("time", ["<time/>", "<time>yesterday</time>", ""])
def test_a_point_without_a_usable_time_is_left_out_and_counted(time: str, read: Read) -> None:
    odd = f'<trkpt lat="46.5" lon="-28">{time}</trkpt>'
    track = mend(read(gpx(point(0) + odd + point(1))))

    assert (track.samples_read, len(track)) == (2, 2)
    assert "no-time" in {fault.kind for fault in track.faults}


def test_a_time_without_seconds_is_a_time(read: Read) -> None:
    odd = '<trkpt lat="46.5" lon="-28"><time>2026-04-18T13:13Z</time></trkpt>'
    assert np.diff(read(gpx(point(0) + odd)).samples.time_s) == [60.0]


def test_longitudes_end_in_the_half_open_circle(read: Read) -> None:
    samples = read(gpx(point(0, lon="180") + point(1, lon="-180") + point(2, lon="332") + point(3, lon="-28"))).samples

    assert samples.lon_deg.tolist() == [-180.0, -180.0, -28.0, -28.0]


def test_a_log_cut_short_is_read_up_to_there_and_told(read: Read) -> None:
    text = gpx(point(0) + point(1) + point(2))
    raw = read(text[: text.rindex("<trkpt") + 20])

    assert len(raw.samples) == 2
    assert [fault.kind for fault in raw.faults] == ["cut-short"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('<!DOCTYPE gpx [<!ENTITY a "b">]><gpx><trk/></gpx>', "DOCTYPE"),
        ('<!DOCTYPE gpx SYSTEM "http://example.invalid/x.dtd"><gpx/>', "DOCTYPE"),
        (
            '<!DOCTYPE gpx [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;"><!ENTITY c "&b;&b;">]><gpx>&c;</gpx>',
            "DOCTYPE",
        ),
        ('<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]><gpx><name>&x;</name></gpx>', "DOCTYPE"),
        ("<gpx>" + "<a>" * 5000, "deeper"),
        ("<gpx><trk></gpx>", "damaged XML: mismatched tag"),
        ('<?xml version="1.0" encoding="klingon"?><gpx/>', "encoding that can't be read"),
        ("<html><body/></html>", "no track"),
        ("<gpx><trk><trkseg/></trk></gpx>", "without points"),
        ("<gpx/>", "no track"),
    ],
)
def test_hostile_or_damaged_xml_is_refused_in_words(text: str, message: str, read: Read) -> None:
    with pytest.raises((TrackFormatError, TrackTimeError), match=message) as caught:
        read(text)
    assert str(caught.value).count("\n") < 5


def test_a_long_text_is_not_kept(read: Read) -> None:
    raw = read(gpx(point(0, inner=f"<name>{'n' * 2_000_000}</name><ele>{'9' * 2_000_000}</ele>") + point(1)))

    assert len(raw.samples) == 2
    assert raw.faults[0].kind == "unreadable-value"


def test_too_many_points_are_refused(log: Callable[..., Path]) -> None:
    path = log(gpx("".join(point(second) for second in range(11))))

    assert len(read_raw_track(path, limits=ReadLimits(max_rows=11)).samples) == 11
    with pytest.raises(TrackFileError, match="more than 10 points"):
        read_raw_track(path, limits=ReadLimits(max_rows=10))


def test_what_is_no_number_is_told_by_the_line_where_it_begins(read: Read) -> None:
    odd = """<trkpt lat="46.5" lon="-28.0">
<time>2026-04-18T13:12:30Z</time>
<ele>
high
</ele>
<extensions>
<speed>
fast
</speed>
</extensions>
</trkpt>
<trkpt lat="north"
 lon="-28.0">
<time>2026-04-18T13:12:31Z</time>
</trkpt>
"""
    raw = read(gpx(point(0) + odd + point(40)))

    # The first point stands in line 2, so the second begins in line 3.
    assert [(fault.kind, fault.detail) for fault in raw.faults] == [
        ("unreadable-value", "no number where one is due: lines 5, 9 and 14; taken as not recorded")
    ]


def test_a_name_that_turns_the_direction_of_writing_is_shown_clean(read: Read) -> None:
    named = '<wpt lat="46.5" lon="-28.0"><name>TARN\u202e\u2066BAY</name></wpt>'
    raw = read(gpx(point(0) + point(1)).replace("<trk>", f"{named}<trk>"))

    assert [waypoint.ident for waypoint in raw.waypoints] == ["TARN··BAY"]
