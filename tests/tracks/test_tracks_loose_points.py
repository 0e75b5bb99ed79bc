"""Points of a GPX file where they should not be or without a position: read or told, never lost in silence."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.model.track import RawTrack, Track

Read = Callable[..., RawTrack]
Mended = Callable[..., Track]


def points(first: int, count: int) -> str:
    return "\n".join(
        f'<trkpt lat="46.{second:03d}" lon="-28"><time>2026-04-18T13:12:{second:02d}Z</time></trkpt>'
        for second in range(first, first + count)
    )


def segment(first: int, count: int) -> str:
    return f"<trkseg>{points(first, count)}</trkseg>"


@pytest.mark.parametrize(
    ("body", "segments", "loose"),
    [
        (f"<trk>{points(0, 3)}{segment(3, 3)}</trk>", [0] * 3 + [1] * 3, 3),
        (f"{points(0, 3)}<trk>{segment(3, 3)}</trk>", [0] * 3 + [1] * 3, 3),
        (f"<trk>{segment(0, 2)}{points(2, 2)}{segment(4, 2)}</trk>", [0, 0, 1, 1, 2, 2], 2),
        (f"<trk>{points(0, 2)}</trk><trk>{points(2, 2)}</trk>", [0, 0, 1, 1], 4),
        (f"<trk><x>{points(0, 2)}</x>{segment(2, 2)}</trk>", [0, 0, 1, 1], 2),
        (f"<trk>{segment(0, 2)}</trk><extensions>{points(2, 2)}</extensions>", [0, 0], 0),
    ],
)
def test_track_points_outside_a_segment_are_read_and_told(
    body: str, segments: list[int], loose: int, read: Read
) -> None:
    raw = read(f"<gpx>\n{body}</gpx>")

    assert raw.samples.segment.tolist() == segments
    assert {fault.kind: fault.count for fault in raw.faults} == ({"loose-point": loose} if loose else {})


def test_loose_points_are_in_order_after_mending(mended: Mended) -> None:
    track = mended(f"<gpx><trk>{segment(5, 5)}</trk>{points(0, 5)}</gpx>")

    assert len(track) == 10
    assert {"loose-point", "segment"} <= {fault.kind for fault in track.faults}


def named(element: str, name: str, lat: str, lon: str = "-28") -> str:
    return f'<{element} lat="{lat}" lon="{lon}"><name>{name}</name></{element}>\n'


@pytest.mark.parametrize("bad", ["95", "abc", ""])
def test_a_route_point_without_a_position_is_told(bad: str, mended: Mended) -> None:
    route = named("rtept", "ALPHA", "46") + named("rtept", "BRAVO", bad) + named("rtept", "CHARL", "47")
    track = mended(f"<gpx>\n{named('wpt', 'DELTA', bad)}<rte>{route}</rte><trk>{segment(0, 5)}</trk></gpx>")

    assert [point.ident for point in track.route] == ["ALPHA", "CHARL"]
    (fault,) = [fault for fault in track.faults if fault.kind == "blank-position"]
    assert fault.count == 2
    assert "1 route point (“BRAVO”) in line 4" in fault.detail
    assert "1 waypoint (“DELTA”) in line 2" in fault.detail
    assert len(track) == 5


@pytest.mark.parametrize(("lat", "is_noted"), [("47", True), ("46.00000", False)])
def test_one_name_at_two_places_is_noted(lat: str, is_noted: bool, read: Read) -> None:
    route = named("rtept", "ALPHA", "46") + named("rtept", "BRAVO", "46.5") + named("rtept", "ALPHA", lat)
    raw = read(f"<gpx><rte>{route}</rte><trk>{segment(0, 5)}</trk></gpx>")

    assert len(raw.route) == 3
    assert any("“ALPHA” stands at more than one place in the route" in note for note in raw.source.notes) is is_noted


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
@pytest.mark.parametrize(
    "declared", ["", '<?xml version="1.0" encoding="UTF-16"?>', '<?xml version="1.0" encoding="UTF-8"?>']
)
def test_utf_16_without_a_byte_order_mark(encoding: str, declared: str, read: Read) -> None:
    text = f"{declared}<gpx>{named('wpt', 'HØLM', '46')}<trk>{segment(0, 5)}</trk></gpx>"
    raw = read(text.encode(encoding))

    assert raw.waypoints[0].ident == "HØLM"
    assert len(raw.samples) == 5
