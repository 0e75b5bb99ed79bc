"""What a file is, where something in it speaks for another format."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import legwise
from legwise.model.track import RawTrack

Read = Callable[[str | bytes], RawTrack]

ROWS = [f"2026-04-18T13:12:{n:02d}Z,46.5{n:02d},-28.0,{1000 + n}" for n in range(60)]
CSV = "\n".join(["time,latitude,longitude,altitude ft", *ROWS, ""])
FIX = "B1312004630000N02800000WA0100001000"
SENTENCE = "$GPRMC,131200.00,A,4630.0000,N,02800.0000,W,90.0,270.0,180426,,,A*6E"
IGC = "AXXX001\r\nHFDTE180426\r\n" + "".join(f"B1312{n:02d}4630{n:03d}N02800000WA0100001000\r\n" for n in range(60))
GPX = "".join(f'<trkpt lat="46.5{n:02d}" lon="-28"><time>2026-04-18T13:12:{n:02d}Z</time></trkpt>' for n in range(60))


@pytest.mark.parametrize("stray", [FIX, SENTENCE])
def test_one_line_of_another_format_does_not_take_over_a_table(stray: str, read: Read) -> None:
    raw = read(CSV + stray + "\n")

    assert raw.source.format == "CSV"
    assert raw.samples.lat_deg[:60].tolist() == [float(f"46.5{n:02d}") for n in range(60)]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_igc_of_two_bytes_a_character(encoding: str, read: Read) -> None:
    raw = read(IGC.encode(encoding))

    assert raw.source.format == "IGC"
    assert len(raw.samples) == 60


def test_xml_that_declares_another_encoding_than_it_is_in(read: Read) -> None:
    raw = read(f'<?xml version="1.0" encoding="utf-16"?><gpx version="1.1"><trk><trkseg>{GPX}</trkseg></trk></gpx>')

    assert len(raw.samples) == 60
    assert any("declaration" in note for note in raw.source.notes)


def test_two_records_months_apart_are_a_gap_and_no_fault_of_ours(log: Callable[..., object]) -> None:
    path = log("time,latitude,longitude\n2026-04-18T12:00:00Z,46,-28\n2026-08-12T12:00:00Z,46.001,-28\n")
    debrief = legwise.debrief(legwise.read_track(str(path)))

    assert [fault.count for fault in debrief.result.track.faults if fault.kind == "gap"] == [1]
    assert debrief.html()
