"""KML: every recording as another parser counts it, and what the standard and its writers make of a track.

From memory of OGC 12-007r2 (KML 2.3), where ``gx:Track`` became ``Track``: ``when`` and ``coord`` are parallel lists,
empty ones are missing values, and ``clampToGround`` is the default of ``altitudeMode``.
"""

from __future__ import annotations

import datetime as dt
import io
import statistics
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Callable, Mapping
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
import pytest

from legwise.errors import TrackFileError, TrackFormatError, TrackTimeError
from legwise.model.instants import epoch_s
from legwise.model.track import AltitudeKind, Channel, RawTrack, Track
from legwise.tracks import mend, read_raw_track
from legwise.units import FT_PER_M

Recording = Callable[[str], Path]
Read = Callable[..., RawTrack]
Mended = Callable[..., Track]
Log = Callable[..., Path]

NONE: Mapping[str, int] = MappingProxyType({})


class Tally(NamedTuple):
    """Records; kept ones; tracks with records; faults by kind."""

    samples: int
    kept: int
    tracks: int
    faults: Mapping[str, int] = NONE


# The second track of the multiple one repeats the times of the first; of two of the three angles no sign is told.
TALLIES = {
    "kml_gx_track.kml": Tally(7, 7, 1, {"gap": 1}),
    "kml_gx_multitrack.kml": Tally(26, 13, 2, {"repeated-time": 13, "gap": 2}),
    "kml_track_without_gx_prefix.kml": Tally(16, 16, 1),
    "kml_all_gx_elements.kml": Tally(2, 2, 1, {"ignored-column": 1}),
}
COUNTED = ("no-time", "blank-position", "unreadable-value", "ignored-column", "repeated-time", "gap")
"""Kinds that follow from the file alone; what mending judges of the flight has tests of its own."""

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="urn:gx">'


def named(path: Path, local: str) -> list[ET.Element]:
    """The elements of a local name, by another parser; the recordings are known."""
    return [element for element in ET.parse(path).iter() if element.tag.rpartition("}")[2] == local]  # noqa: S314


def counted(path: Path) -> Tally:
    """The tally by ElementTree and the definitions of the words."""
    tracks = named(path, "Track")
    times = [dt.datetime.fromisoformat(text).timestamp() for one in tracks for text in texts(one, "when")]
    kept = sorted(set(times))
    steps = [later - sooner for sooner, later in pairwise(kept)]
    found = {
        "repeated-time": len(times) - len(kept),
        "gap": sum(step > max(5 * statistics.median(steps), 10) for step in steps),
        "ignored-column": int(
            any(float(angle) for one in tracks for text in texts(one, "angles") for angle in text.split()[1:])
        ),
    }
    filled = sum(bool(texts(one, "coord")) for one in tracks)
    return Tally(len(times), len(kept), filled, {kind: count for kind, count in found.items() if count})


def texts(track: ET.Element, local: str) -> list[str]:
    return [child.text or "" for child in track if child.tag.rpartition("}")[2] == local]


def when(second: float) -> str:
    return f"<when>2026-04-18T13:12:{second:06.3f}Z</when>"


def coord(second: int, altitude: str = " 100") -> str:
    return f"<gx:coord>-28.{second:03d} 46.5{altitude}</gx:coord>"


def pairs(first: int, count: int, altitude: str = " 100") -> str:
    return "\n".join(when(n) + coord(n, altitude) for n in range(first, first + count))


def track(inner: str) -> str:
    return f"{HEAD}<Document><Placemark><gx:Track>\n{inner}</gx:Track></Placemark></Document></kml>"


def faults(raw: RawTrack | Track) -> dict[str, int]:
    return {fault.kind: fault.count for fault in raw.faults}


def notes(raw: RawTrack) -> str:
    return "\n".join(raw.source.notes)


def test_every_recording_has_its_tally(recording: Recording) -> None:
    assert {path.name for path in recording("x").parent.glob("*.kml")} == set(TALLIES)


@pytest.mark.parametrize("name", TALLIES)
def test_the_tally_is_what_another_parser_counts(name: str, recording: Recording) -> None:
    assert counted(recording(name)) == TALLIES[name]


@pytest.mark.parametrize("name", TALLIES)
def test_recordings_are_what_another_parser_reads(name: str, recording: Recording) -> None:
    path = recording(name)
    raw = read_raw_track(path)

    tracks = named(path, "Track")
    places = [list(map(float, text.split())) for one in tracks for text in texts(one, "coord")]
    times = [dt.datetime.fromisoformat(text).timestamp() for one in tracks for text in texts(one, "when")]
    assert len(places) == len(times) == TALLIES[name].samples
    assert raw.samples.lon_deg.tolist() == [place[0] for place in places]
    assert raw.samples.lat_deg.tolist() == [place[1] for place in places]
    assert raw.samples.time_s.tolist() == pytest.approx(times, abs=1e-6)
    assert raw.samples.segment.tolist() == [number for number, one in enumerate(tracks) for _ in texts(one, "coord")]
    (altitude_ft,) = raw.samples.altitudes_ft.values()
    assert altitude_ft.tolist() == pytest.approx([place[2] * FT_PER_M for place in places])
    lines = path.read_text(encoding="utf-8").splitlines()
    assert all("coord>" in lines[line - 1] for line in raw.samples.line)


@pytest.mark.parametrize("name", TALLIES)
def test_the_tally_of_every_recording(name: str, recording: Recording) -> None:
    tally = TALLIES[name]
    raw = read_raw_track(recording(name))
    mended = mend(raw)

    assert raw.source.format == "KML"
    assert (mended.samples_read, len(mended)) == (tally.samples, tally.kept)
    assert len(np.unique(raw.samples.segment)) == tally.tracks
    assert {kind: count for kind, count in faults(mended).items() if kind in COUNTED} == tally.faults


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("kml_gx_track.kml", AltitudeKind.UNKNOWN),
        ("kml_gx_multitrack.kml", AltitudeKind.GNSS_MSL),
        ("kml_track_without_gx_prefix.kml", AltitudeKind.GNSS_MSL),
        ("kml_all_gx_elements.kml", AltitudeKind.GNSS_MSL),
    ],
)
def test_the_altitudes_of_recordings_are_of_the_kind_that_their_mode_says(
    name: str, kind: AltitudeKind, recording: Recording
) -> None:
    assert "absolute" in [element.text for element in named(recording(name), "altitudeMode")] or kind == "unknown"
    assert list(read_raw_track(recording(name)).samples.altitudes_ft) == [kind]


def test_the_notes_of_a_recording_name_what_else_is_in_it(recording: Recording) -> None:
    raw = read_raw_track(recording("kml_all_gx_elements.kml"))

    assert raw.samples.channels[Channel.HEADING_DEG_TRUE].tolist() == [1.0, 4.0]
    assert "3 of 4 tracks are empty" in notes(raw)
    assert "“SAD_1”, “SAD_2”" in notes(raw)
    assert "KML 2.2" in notes(raw)


@pytest.mark.parametrize(
    "inner",
    [
        pairs(0, 3),
        "".join(when(n) for n in range(3)) + "".join(coord(n) for n in range(3)),
        "".join(coord(n) for n in range(3)) + "".join(when(n) for n in range(3)),
        coord(0) + coord(1) + when(0) + when(1) + coord(2) + when(2),
        pairs(0, 3).replace("gx:coord", "coord"),
        pairs(0, 3).replace("gx:coord", "kml:coord").replace("when>", "kml:when>"),
    ],
)
def test_times_and_positions_pair_in_their_order(inner: str, read: Read) -> None:
    samples = read(track(inner)).samples

    assert samples.lon_deg.tolist() == [-28.0, -28.001, -28.002]
    assert np.diff(samples.time_s).tolist() == [1.0, 1.0]


@pytest.mark.parametrize(("whens", "coords"), [(3, 2), (2, 3), (5, 0), (0, 5)])
def test_times_and_positions_that_do_not_pair_are_refused(whens: int, coords: int, read: Read) -> None:
    odd = "".join(when(n) for n in range(whens)) + "".join(coord(n) for n in range(coords))
    text = f"{HEAD}\n<Placemark><Track>{pairs(0, 2)}</Track>\n<gx:Track>{odd}</gx:Track></Placemark></kml>"
    with pytest.raises(TrackFormatError, match=f"{whens} times .* and {coords} positions") as caught:
        read(text)
    assert caught.value.where.endswith("line 5")


def test_an_empty_position_or_time_is_a_missing_one(mended: Mended) -> None:
    inner = pairs(0, 5) + when(5) + "<gx:coord/>" + "<when/>" + coord(6) + when(7) + "<gx:coord></gx:coord>"
    found = mended(track(inner))

    assert len(found) == 5
    assert faults(found) == {"no-time": 1, "blank-position": 2}


@pytest.mark.parametrize(
    ("text", "lon", "altitude_m", "unreadable"),
    [
        ("-28.5 46 100", -28.5, 100.0, 0),
        ("-28.5 46", -28.5, np.nan, 0),
        (" -28.5\n\t46   100 ", -28.5, 100.0, 0),
        ("-28.5,46,100", -28.5, 100.0, 0),
        ("-28.5, 46", -28.5, np.nan, 0),
        ("-28.5,46,", -28.5, np.nan, 0),
        ("-2.85e1 46 1e2", -28.5, 100.0, 0),
        ("331.5 46 100", -28.5, 100.0, 0),
        ("-28.5 46 high", -28.5, np.nan, 1),
        ("-28.5 46 1_0", -28.5, np.nan, 1),
        ("-28.5 46 inf", -28.5, np.nan, 1),
        ("-28.5 46 NaN", -28.5, np.nan, 0),
        ("west 46 100", np.nan, 100.0, 1),
        ("-28.5 north 100", np.nan, 100.0, 1),
        ("-28.5", np.nan, np.nan, 1),
        ("-28.5 46 100 7", np.nan, np.nan, 1),
        ("-28,5 46,5 100", np.nan, np.nan, 1),
        ("1" * 300 + " 46 100", np.nan, np.nan, 1),
    ],
)
def test_the_forms_of_a_position(text: str, lon: float, altitude_m: float, unreadable: int, read: Read) -> None:
    inner = f"<altitudeMode>absolute</altitudeMode>{pairs(0, 2)}\n{when(2)}<gx:coord>{text}</gx:coord>"
    raw = read(track(inner))

    assert raw.samples.lon_deg[2] == pytest.approx(lon, nan_ok=True)
    assert np.isnan(raw.samples.lat_deg[2]) == np.isnan(lon)
    assert raw.samples.altitudes_ft[AltitudeKind.GNSS_MSL][2] == pytest.approx(altitude_m * FT_PER_M, nan_ok=True)
    assert faults(raw) == ({"unreadable-value": 1} if unreadable else {})


def test_positions_beyond_the_earth_are_left_to_mending(mended: Mended) -> None:
    found = mended(track(pairs(0, 5) + when(5) + "<gx:coord>-28 95 0</gx:coord>" + when(6) + "<coord>999 46 0</coord>"))

    assert len(found) == 5
    assert faults(found) == {"blank-position": 2}


@pytest.mark.parametrize(
    ("mode", "kinds", "note"),
    [
        ("absolute", ["gnss-msl"], "above mean sea level, as altitudeMode absolute says"),
        ("", ["unknown"], "no altitudeMode says what the altitudes are measured from"),
        ("clampToGround", [], "3 altitudes are not read: altitudeMode “clampToGround”"),
        ("relativeToGround", [], "3 altitudes are not read: altitudeMode “relativeToGround”"),
        ("clampToSeaFloor", [], "3 altitudes are not read: altitudeMode “clampToSeaFloor”"),
        ("relativeToSeaFloor", [], "3 altitudes are not read: altitudeMode “relativeToSeaFloor”"),
        ("of my own", [], "3 altitudes are not read: altitudeMode “of my own”"),
    ],
)
@pytest.mark.parametrize("place", ["before", "after", "multiple before", "multiple after"])
def test_the_altitude_mode_says_what_an_altitude_is(
    mode: str, kinds: list[str], note: str, place: str, read: Read
) -> None:
    said = f"<gx:altitudeMode>{mode}</gx:altitudeMode>" if mode else ""
    before, after = (said, "") if place.endswith("before") else ("", said)
    text = track(before + pairs(0, 3) + after)
    if place.startswith("multiple"):
        inner = f"<gx:Track>{pairs(0, 3)}</gx:Track>"
        text = f"{HEAD}<Placemark><MultiTrack>{before}{inner}{after}</MultiTrack></Placemark></kml>"
    raw = read(text)

    assert list(raw.samples.altitudes_ft) == kinds
    assert note in notes(raw)


def test_each_track_has_its_own_altitude_mode(read: Read) -> None:
    inner = (
        f"<gx:MultiTrack><altitudeMode>absolute</altitudeMode><gx:Track>{pairs(0, 2)}</gx:Track>"
        f"<gx:Track><altitudeMode>relativeToGround</altitudeMode>{pairs(2, 2)}</gx:Track></gx:MultiTrack>"
        f"<gx:Track>{pairs(4, 2)}</gx:Track>"
    )
    altitudes = read(f"{HEAD}<Placemark>{inner}</Placemark></kml>").samples.altitudes_ft

    assert np.isfinite(altitudes[AltitudeKind.GNSS_MSL]).tolist() == [True, True, False, False, False, False]
    assert np.isfinite(altitudes[AltitudeKind.UNKNOWN]).tolist() == [False, False, False, False, True, True]


def test_the_altitude_mode_of_a_view_or_a_model_is_not_the_track_s(read: Read) -> None:
    other = "<Model><altitudeMode>absolute</altitudeMode></Model>"
    text = track(pairs(0, 2) + other).replace("<Placemark>", f"<Placemark><LookAt>{other[7:-8]}</LookAt>")

    assert list(read(text).samples.altitudes_ft) == [AltitudeKind.UNKNOWN]


@pytest.mark.parametrize("mode", ["", "<altitudeMode>absolute</altitudeMode>"])
def test_zeros_that_fill_the_altitude_are_none(mode: str, read: Read) -> None:
    raw = read(track(mode + pairs(0, 3, " 0")))

    assert not raw.samples.altitudes_ft
    assert "the altitude is 0 throughout" in notes(raw)


def test_several_placemarks_are_segments_in_the_order_of_the_file(read: Read) -> None:
    text = "".join(
        f"<Placemark><name>{name}</name><gx:Track>{pairs(first, 2)}</gx:Track></Placemark>"
        for name, first in (("Back", 20), ("Out", 0))
    )
    raw = read(f"{HEAD}<Folder>{text}<Placemark><gx:Track/></Placemark></Folder></kml>")

    assert raw.samples.segment.tolist() == [0, 0, 1, 1]
    assert "2 tracks in 2 placemarks are in the file (“Back”, “Out”)" in notes(raw)
    assert "1 of 3 tracks is empty" in notes(raw)
    assert mend(raw).samples.segment.tolist() == [1, 1, 0, 0]


def test_headings_are_read_and_tilt_and_roll_are_told(read: Read) -> None:
    angles = "<gx:angles>350 2 -3</gx:angles><angles>10</angles><angles/>"
    raw = read(track(pairs(0, 3) + angles))

    expected = pytest.approx([350.0, 10.0, np.nan], nan_ok=True)
    assert raw.samples.channels[Channel.HEADING_DEG_TRUE].tolist() == expected
    assert set(raw.samples.channels) == {Channel.HEADING_DEG_TRUE}
    assert faults(raw) == {"ignored-column": 1}


@pytest.mark.parametrize(
    ("angles", "fault", "is_read"),
    [
        ("<angles>0 0 0</angles>" * 3, {}, False),
        ("<angles>5 0 0</angles>" * 3, {}, True),
        ("<angles>5 0 0</angles>" * 2, {"ignored-column": 1}, False),
        ("<angles>5 0 0</angles>" * 4, {"ignored-column": 1}, False),
        ("<angles>5 0 0</angles><angles>a b c</angles><angles>5 0</angles>", {"unreadable-value": 1}, True),
        ("", {}, False),
    ],
)
def test_angles_are_never_invented(angles: str, fault: dict[str, int], is_read: bool, read: Read) -> None:
    raw = read(track(pairs(0, 3) + angles))

    assert faults(raw) == fault
    assert (Channel.HEADING_DEG_TRUE in raw.samples.channels) is is_read


@pytest.mark.parametrize(
    ("text", "offset", "seconds"),
    [
        ("2026-04-18T13:12:40Z", None, 40.0),
        ("2026-04-18T13:12:40.125Z", None, 40.125),
        ("2026-04-18T09:12:40-04:00", None, 40.0),
        ("2026-04-18T09:12:40", "-04:00", 40.0),
    ],
)
def test_a_time_has_a_zone_or_is_given_one(text: str, offset: str | None, seconds: float, read: Read) -> None:
    inner = f"<when>{text}</when>{coord(0)}"
    base = epoch_s(dt.datetime(2026, 4, 18, 13, 12, tzinfo=dt.UTC))

    assert read(track(inner), utc_offset=offset).samples.time_s.tolist() == [base + seconds]


def test_a_time_without_a_zone_is_an_error_that_asks(read: Read) -> None:
    with pytest.raises(TrackTimeError, match="no zone") as caught:
        read(track(pairs(0, 2).replace("Z<", "<")))
    assert "line 3" in caught.value.where
    assert "--utc-offset" in caught.value.remedy


@pytest.mark.parametrize("text", ["2026-04-18", "2026-04", "2026"])
def test_a_date_alone_is_no_time(text: str, read: Read, mended: Mended) -> None:
    date = f"<when>{text}</when>"
    found = mended(track(pairs(0, 2) + date + coord(2)))

    assert faults(found) == {"unreadable-time": 1, "no-time": 1}
    with pytest.raises(TrackTimeError, match=f"dates without a time of day: “{text}”") as caught:
        read(track((date + coord(0)) * 3))
    assert caught.value.where.endswith("line 3")


def placemark(second: int, inner: str = "", time: str = "<TimeStamp>{}</TimeStamp>") -> str:
    place = f"<Point>{inner}<coordinates>-28.{second:03d},46.5,100</coordinates></Point>"
    return f"<Placemark><name>P{second}</name>{time.format(when(second))}{place}</Placemark>\n"


def test_placemarks_that_are_points_with_a_time_are_records(read: Read) -> None:
    mode = "<altitudeMode>absolute</altitudeMode>"
    text = "".join(placemark(n, mode if n < 3 else "") for n in (2, 0, 1, 3, 4))
    untimed = placemark(9, time="") + placemark(8, time="<Camera><TimeStamp>{}</TimeStamp></Camera>")
    raw = read(f"{HEAD}<Document>\n{text}{untimed}</Document></kml>")

    assert raw.samples.lon_deg.tolist() == [-28.002, -28.0, -28.001, -28.003, -28.004]
    assert np.diff(raw.samples.time_s).tolist() == [-2.0, 1.0, 2.0, 1.0]
    assert raw.samples.line.tolist() == [3, 4, 5, 6, 7]
    assert faults(raw) == {"no-time": 2}
    altitudes = raw.samples.altitudes_ft
    assert np.isfinite(altitudes[AltitudeKind.GNSS_MSL]).tolist() == [True, True, True, False, False]
    assert np.isfinite(altitudes[AltitudeKind.UNKNOWN]).tolist() == [False, False, False, True, True]
    assert "each placemark that is a point with a time is read as one record" in notes(raw)


def test_the_beginning_of_a_span_is_a_time_too(read: Read) -> None:
    time = "<TimeSpan><begin>2026-04-18T13:12:40Z</begin><end>2026-04-18T13:12:41Z</end></TimeSpan>"
    raw = read(f"{HEAD}{placemark(0, time=time)}{placemark(50)}</kml>".replace("</kml>", "</kml>"))

    assert np.diff(raw.samples.time_s).tolist() == [10.0]
    assert "1 times are the beginning of a <TimeSpan>" in notes(raw)


def test_points_beside_a_track_are_no_records(read: Read) -> None:
    text = (
        f"{HEAD}<Folder>{placemark(0)}<Placemark><Track>{pairs(1, 3)}</Track></Placemark>{placemark(9)}</Folder></kml>"
    )
    raw = read(text)

    assert raw.samples.lon_deg.tolist() == [-28.001, -28.002, -28.003]
    assert "placemarks that are points are not read beside the track: 2" in notes(raw)


def test_several_points_under_one_time_are_none_of_them_a_record(read: Read) -> None:
    double = placemark(5).replace("<Point>", "<MultiGeometry><Point><coordinates>1,2</coordinates></Point><Point>")
    double = double.replace("</Point></Placemark>", "</Point></MultiGeometry></Placemark>")
    raw = read(f"{HEAD}<Folder>{placemark(0)}{placemark(1)}{double}</Folder></kml>")

    assert len(raw.samples) == 2
    assert faults(raw) == {"no-time": 1}


@pytest.mark.parametrize(
    ("inner", "message", "remedy"),
    [
        (
            "<Placemark><LineString><coordinates>1,2 3,4</coordinates></LineString></Placemark>",
            "a path .* without times",
            "recorded track",
        ),
        (
            "<NetworkLink><Link><href>http://example.invalid/a.kml</href></Link></NetworkLink>",
            "only a link",
            "Open the link",
        ),
        (placemark(0, time=""), "points without times", "recorded track"),
        ("<Placemark><gx:Track/></Placemark>", "a track without positions", "recorded track"),
        ("<Placemark><name>a</name></Placemark>", "no track", "recorded track"),
        ("", "no track", "recorded track"),
    ],
)
def test_a_file_without_a_timed_track_says_what_it_holds(inner: str, message: str, remedy: str, read: Read) -> None:
    with pytest.raises(TrackTimeError, match=f"the KML file holds {message}") as caught:
        read(f"{HEAD}<Document>{inner}</Document></kml>")
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    ("head", "tail"),
    [
        ('<kml:kml xmlns:kml="http://www.opengis.net/kml/2.3">', "</kml:kml>"),
        ('<ns0:kml xmlns:ns0="http://earth.google.com/kml/2.1">', "</ns0:kml>"),
        ('<Document xmlns="http://www.opengis.net/kml/2.2">', "</Document>"),
        ('<Folder xmlns:gx="urn:gx" xmlns="http://www.opengis.net/kml/2.2">', "</Folder>"),
        ("<!-- <gpx> --><?x <gpx> ?><kml>", "</kml>"),
        ("<kml>", "</kml>"),
    ],
)
def test_kml_is_known_by_its_root(head: str, tail: str, read: Read) -> None:
    raw = read(f"{head}<Placemark><Track>{pairs(0, 3)}</Track></Placemark>{tail}")

    assert len(raw.samples) == 3
    assert raw.source.format == "KML"


def test_a_document_of_another_namespace_is_no_kml(read: Read) -> None:
    with pytest.raises(TrackFormatError, match="XML of another kind"):
        read(f'<Document xmlns="urn:iso:std:iso:20022"><Track>{pairs(0, 3)}</Track></Document>')


@pytest.mark.parametrize("element", ["Track", "Placemark", "gx:MultiTrack"])
def test_a_track_inside_a_track_is_refused(element: str, read: Read) -> None:
    with pytest.raises(TrackFormatError, match="stands inside a track") as caught:
        read(track(f"{pairs(0, 2)}\n<{element}/>"))
    assert "line 5" in caught.value.where


@pytest.mark.parametrize("is_in_blocks", [True, False])
def test_a_log_cut_short_is_read_up_to_there_and_told(is_in_blocks: bool, read: Read) -> None:
    inner = pairs(0, 5)
    if is_in_blocks:
        inner = "".join(when(n) for n in range(5)) + "".join(coord(n) for n in range(5))
    text = track("<altitudeMode>absolute</altitudeMode>" + inner)
    raw = read(text[: text.rindex("<gx:coord>") + 15])

    assert raw.samples.lon_deg.tolist() == [-28.0, -28.001, -28.002, -28.003]
    assert np.diff(raw.samples.time_s).tolist() == [1.0, 1.0, 1.0]
    assert list(raw.samples.altitudes_ft) == [AltitudeKind.GNSS_MSL]
    assert faults(raw) == {"cut-short": 1}


def test_a_log_cut_between_tracks_keeps_the_mode_of_both(read: Read) -> None:
    inner = f"<MultiTrack><altitudeMode>absolute</altitudeMode><Track>{pairs(0, 3)}</Track><Tra"
    raw = read(f"{HEAD}<Placemark><name>A</name>{inner}")

    assert list(raw.samples.altitudes_ft) == [AltitudeKind.GNSS_MSL]
    assert faults(raw) == {"cut-short": 1}


def test_a_log_cut_before_its_positions_is_damaged(read: Read) -> None:
    with pytest.raises(TrackFormatError, match="damaged XML"):
        read(f"{HEAD}{placemark(0)}{placemark(1)}<Placemark><Track>{''.join(when(n) for n in range(9))}")


def test_text_in_another_encoding_than_it_says_is_read_and_told(read: Read) -> None:
    text = track(pairs(0, 3)).replace("<gx:Track>", "<name>HØLMÅ</name><gx:Track>")
    text = text.replace("</Document>", f"<Placemark><Track>{pairs(5, 2)}</Track></Placemark></Document>")
    raw = read(text.encode("cp1252"))

    assert "“HØLMÅ”" in notes(raw)
    assert "Windows-1252" in notes(raw)
    assert len(read(text.encode("utf-16")).samples) == len(read(text.encode("utf-16-be")).samples) == 5


def kmz(members: Mapping[str, str | bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return buffer.getvalue()


PNG = b"\x89PNG\r\n\x1a\n" + bytes(200)
MODEL = '<?xml version="1.0"?><COLLADA xmlns="http://www.collada.org/2005/11/COLLADASchema"/>'


@pytest.mark.parametrize(
    "others", [{}, {"files/a.png": PNG, "files/b.dae": MODEL, "images/c.jpg": b"\xff\xd8\xff" + bytes(99)}]
)
def test_a_kmz_is_a_zip_with_a_kml(others: dict[str, str | bytes], recording: Recording, log: Log) -> None:
    content = recording("kml_gx_track.kml").read_bytes()
    raw = read_raw_track(log(kmz({"doc.kml": content, **others}), "flight.kmz"))

    assert raw.source.format == "KML"
    assert raw.source.container == "zip (doc.kml)"
    assert raw.samples.lon_deg.tolist() == read_raw_track(recording("kml_gx_track.kml")).samples.lon_deg.tolist()


def test_a_kmz_of_images_alone_holds_no_track(log: Log) -> None:
    with pytest.raises(TrackFileError, match="holds no track"):
        read_raw_track(log(kmz({"a.png": PNG, "b.dae": MODEL})))
