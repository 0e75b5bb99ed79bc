"""Exports that begin with the newest record: read from the end, whatever the format."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.model.track import RawTrack

STAMPS = [f"2026-04-18T13:12:{second:02d}Z" for second in range(20)]


def gpx(order: list[int]) -> str:
    points = "".join(f'<trkpt lat="46.5{n:02d}" lon="-28"><time>{STAMPS[n]}</time></trkpt>' for n in order)
    return f'<gpx version="1.1"><trk><trkseg>{points}</trkseg></trk></gpx>'


def kml(order: list[int]) -> str:
    points = "".join(f"<when>{STAMPS[n]}</when><gx:coord>-28 46.5{n:02d} 900</gx:coord>" for n in order)
    return (
        '<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Placemark>'
        f"<gx:Track>{points}</gx:Track></Placemark></kml>"
    )


@pytest.mark.parametrize("write", [gpx, kml])
def test_the_newest_point_first(write: Callable[[list[int]], str], read: Callable[[str], RawTrack]) -> None:
    raw = read(write(list(reversed(range(20)))))

    assert raw.samples.lat_deg.tolist() == [float(f"46.5{n:02d}") for n in range(20)]
    assert any("newest" in note for note in raw.source.notes)


@pytest.mark.parametrize("write", [gpx, kml])
def test_points_in_order_stay(write: Callable[[list[int]], str], read: Callable[[str], RawTrack]) -> None:
    assert not any("newest" in note for note in read(write(list(range(20)))).source.notes)
