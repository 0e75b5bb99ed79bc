"""GPX as people have it: out of order, with odd times, without what the schema asks for, and with what it forbids."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import TrackTimeError
from legwise.model.instants import epoch_s
from legwise.model.track import Channel, RawTrack, Track

Read = Callable[..., RawTrack]
Mended = Callable[..., Track]

NOON = dt.datetime(2026, 4, 18, 12, 0, tzinfo=dt.UTC)


def point(second: int, time: str | None = None, inner: str = "") -> str:
    text = (NOON + dt.timedelta(seconds=second)).strftime("%Y-%m-%dT%H:%M:%SZ") if time is None else time
    return f'<trkpt lat="46.{second:03d}" lon="-28"><time>{text}</time>{inner}</trkpt>\n'


def points(first: int, count: int) -> str:
    return "".join(point(second) for second in range(first, first + count))


def segment(first: int, count: int) -> str:
    return f"<trkseg>{points(first, count)}</trkseg>"


def notes(raw: RawTrack) -> str:
    return "\n".join(raw.source.notes)


def test_tracks_and_segments_out_of_order_are_put_in_order(mended: Mended) -> None:
    body = f"<trk>{segment(40, 5)}{segment(0, 5)}</trk><trk>{segment(20, 5)}</trk>"
    track = mended(f"<gpx>{body}</gpx>")

    assert (np.diff(track.samples.time_s) > 0).all()
    assert len(track) == 15
    assert track.samples.segment.tolist() == [1] * 5 + [2] * 5 + [0] * 5


def test_several_tracks_are_named_and_empty_segments_told(read: Read) -> None:
    body = f"<trk><name>Out</name>{segment(0, 3)}<trkseg/></trk><trk><name>Back</name>{segment(5, 3)}</trk><trk/>"
    raw = read(f"<gpx>{body}</gpx>")

    assert "3 tracks are in the file (“Out”, “Back”); they are read as one" in notes(raw)
    assert "1 of 3 segments holds no points" in notes(raw)


# Forms of ISO 8601 and of what writers make of it; the instants follow from the texts.
@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2026-04-18T12:00:30z", 30.0),
        ("2026-04-18T12:00:30.25Z", 30.25),
        ("2026-04-18T12:00:30,25Z", 30.25),
        ("2026-04-18T12:00:30+00:00", 30.0),
        ("2026-04-18T08:30:30-03:30", 30.0),
        ("2026-04-18T14:00:30+0200", 30.0),
        ("2026-04-18T14:00:30+02", 30.0),
        ("2026-04-18 12:00:30Z", 30.0),
        ("2026-04-18 12:00:30 UTC", 30.0),
        ("20260418T120030Z", 30.0),
        ("2026-04-18T12:01Z", 60.0),
        ("\n   2026-04-18T12:00:30Z\n  ", 30.0),
        ("<![CDATA[2026-04-18T12:00:30Z]]>", 30.0),
        ("2026-04-18T12:00:3<!-- -->0Z", 30.0),
        ("2026-04-18T12:00:3&#48;Z", 30.0),
    ],
)
def test_odd_forms_of_a_time(text: str, seconds: float, read: Read) -> None:
    samples = read(f"<gpx><trk><trkseg>{point(0)}{point(1, text)}</trkseg></trk></gpx>").samples

    assert samples.time_s[1] == epoch_s(NOON) + seconds


@pytest.mark.parametrize("text", ["2026-04-18", "2026-04", "2026", "noon", "2026-04-18T25:00:00Z", "9" * 200, "?"])
def test_what_is_no_time_is_counted_and_loses_nothing_else(text: str, mended: Mended) -> None:
    track = mended(f"<gpx><trk><trkseg>{points(0, 5)}{point(9, text)}</trkseg></trk></gpx>")

    assert len(track) == 5
    assert {fault.kind: fault.count for fault in track.faults} == {"unreadable-time": 1, "no-time": 1}


def test_points_without_times_are_fatal_only_where_fewer_than_two_are_left(mended: Mended) -> None:
    bare = '<trkpt lat="46" lon="-28"/>' * 50
    track = mended(f"<gpx><trk><trkseg>{bare}{points(0, 2)}{bare}</trkseg></trk></gpx>")

    assert len(track) == 2
    assert {fault.kind: fault.count for fault in track.faults} == {"no-time": 100}
    with pytest.raises(TrackTimeError, match="two different times"):
        mended(f"<gpx><trk><trkseg>{bare}{point(0)}{bare}</trkseg></trk></gpx>")


@pytest.mark.parametrize(
    ("body", "note"),
    [
        ('<rtept lat="46" lon="-28"/>', "1 <rtept> stands where none belongs (line 2) and is not read"),
        ('<trk><rtept lat="46" lon="-28"/><rtept lat="46" lon="-28"/></trk>', "2 <rtept> stand where none belongs"),
        ('<rte><wpt lat="46" lon="-28"/></rte>', "1 <wpt> stands where none belongs"),
        ('<extensions><trkpt lat="46" lon="-28"/></extensions>', "1 <trkpt> stands where none belongs"),
    ],
)
def test_points_where_none_belongs_are_told(body: str, note: str, read: Read) -> None:
    raw = read(f"<gpx>\n{body}<trk>{segment(0, 3)}</trk></gpx>")

    assert len(raw.samples) == 3
    assert not raw.route
    assert not raw.waypoints
    assert note in notes(raw)


def test_a_point_inside_a_point_is_told(read: Read) -> None:
    raw = read(f"<gpx><trk><trkseg>{point(0, inner='<trkpt/>')}{point(1)}</trkseg></trk></gpx>")

    assert len(raw.samples) == 2
    assert "1 <trkpt> stands where none belongs" in notes(raw)


@pytest.mark.parametrize("prefix", ["", "x:", "ns1:"])
def test_extensions_in_any_namespace(prefix: str, read: Read) -> None:
    inner = f'<extensions><{prefix}data><{prefix}ias unit="kt">95</{prefix}ias></{prefix}data></extensions>'
    raw = read(f"<gpx><trk><trkseg>{point(0, inner=inner)}{point(1)}</trkseg></trk></gpx>")

    assert raw.samples.channels[Channel.IAS_KT].tolist() == pytest.approx([95.0, np.nan], nan_ok=True)


def test_zero_bytes_that_a_recorder_leaves_at_the_end(read: Read) -> None:
    raw = read(f"<gpx><trk>{segment(0, 3)}</trk></gpx>".encode() + bytes(5000))

    assert len(raw.samples) == 3
    assert raw.faults == ()
    assert "zero bytes at the end" in notes(raw)


def test_zero_bytes_after_a_log_that_is_cut_short(read: Read) -> None:
    raw = read(f"<gpx><trk>{segment(0, 3)}</trk></gpx>".encode()[:-40] + bytes(5000))

    assert len(raw.samples) == 2
    assert [fault.kind for fault in raw.faults] == ["cut-short"]


@pytest.mark.parametrize("more", ["<gpx/>", "end of log", "<!-- --> & more"])
def test_what_follows_the_end_of_the_document_is_told(more: str, read: Read) -> None:
    raw = read(f"<gpx><trk>{segment(0, 3)}</trk></gpx>\n{more}")

    assert len(raw.samples) == 3
    (fault,) = raw.faults
    assert fault.kind == "after-the-end"
    assert "line 5" in fault.detail


def test_a_log_cut_inside_a_character(read: Read) -> None:
    raw = read(f"<gpx><trk>{segment(0, 3)}<name>É".encode()[:-1])

    assert len(raw.samples) == 3
    assert [fault.kind for fault in raw.faults] == ["cut-short"]


def test_more_than_can_be_wanted_is_told(read: Read) -> None:
    wpts = '<wpt lat="46" lon="-28"><name>A</name></wpt>' * 10_005
    inner = "".join(f'<speed unit="u{index}">1</speed>' for index in range(600))
    raw = read(f"<gpx>{wpts}<trk><trkseg>{point(0, inner=inner)}{point(1)}</trkseg></trk></gpx>")

    assert len(raw.waypoints) == 10_000
    assert "5 further route points and waypoints are not read" in notes(raw)
    assert "values of the later ones are not looked at" in notes(raw)
