"""IGC as it should not be: void fixes, damaged and cut lines, bytes of any kind, hostile files; and how it is known."""

from __future__ import annotations

import gzip
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError, TrackFileError, TrackTimeError
from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.tracks import ReadLimits, read_raw_bytes, read_raw_track
from legwise.units import FT_PER_M
from tracks.igc_logs import DAY_S, HEAD, clock_s, fix, igc
from tracks.track_strategies import damaged_bytes

Read = Callable[..., RawTrack]
Recording = Callable[[str], Path]


def faults(raw: RawTrack) -> dict[str, int]:
    return {fault.kind: fault.count for fault in raw.faults}


def detail(raw: RawTrack, kind: str) -> str:
    return next(fault.detail for fault in raw.faults if fault.kind == kind)


def test_a_void_fix_keeps_a_position_of_its_own_and_loses_its_gnss_altitude(read: Read) -> None:
    raw = read(igc(fix(), fix("131241", lat="4630133N", validity="V", gnss="00000"), fix("131242", lat="4630143N")))

    assert raw.samples.lat_deg.tolist() == [46 + 30.123 / 60, 46 + 30.133 / 60, 46 + 30.143 / 60]
    gnss = raw.samples.altitudes_ft[AltitudeKind.GNSS_ELLIPSOID]
    assert np.isnan(gnss).tolist() == [False, True, False]
    assert raw.samples.altitudes_ft[AltitudeKind.PRESSURE] == pytest.approx([950 * FT_PER_M] * 3)
    assert faults(raw) == {"void-fix": 1}
    assert "with a position of its own, less sure than others, in line 4, kept" in detail(raw, "void-fix")


def test_a_void_fix_that_repeats_the_last_position_or_lies_at_zero_has_none(read: Read) -> None:
    void = [
        fix("131242", lat="4630133N", validity="V", gnss="00000"),
        fix("131243", lat="4630133N", validity="V", gnss="00000"),
        fix("131244", lat="0000000N", lon="00000000E", validity="V", gnss="00000"),
    ]
    raw = read(igc(fix(), fix("131241", lat="4630133N"), *void, fix("131245", lat="4630163N")))

    placed = np.isfinite(raw.samples.lat_deg) & np.isfinite(raw.samples.lon_deg)
    assert placed.tolist() == [True, True, False, False, False, True]
    assert faults(raw) == {"void-fix": 3}
    assert "without a position (the last one repeated, or 0, 0) in lines 5, 6 and 7, left out" in detail(
        raw, "void-fix"
    )


def test_void_fixes_before_the_first_valid_one_that_stand_still_have_no_position(read: Read) -> None:
    old = {"lat": "4710000N", "validity": "V", "gnss": "00000"}
    raw = read(igc(*(fix(f"13123{n}", **old) for n in range(4)), fix(), fix("131241", lat="4630133N")))

    assert np.isnan(raw.samples.lat_deg).tolist() == [True] * 4 + [False] * 2


def test_gnss_altitude_of_void_fixes_alone_is_none(read: Read) -> None:
    raw = read(igc(*(fix(f"13124{n}", lat=f"46301{n}3N", validity="V") for n in range(4))))

    assert set(raw.samples.altitudes_ft) == {AltitudeKind.PRESSURE}
    assert len(raw.samples) == 4


@pytest.mark.parametrize(
    ("record", "said"),
    [
        ("B131241", "too short"),
        (fix("131241")[:34], "too short"),
        ("Bo's log", "too short"),
        (fix("131241", lat="46X0123N"), "no figures where figures are due"),
        (fix("131241", lon="0280012 W"), "no figures where figures are due"),
        (fix("131241", lat="4660123N"), "no such place on Earth"),
        (fix("131241", lon="02860123W"), "no such place on Earth"),
        (fix("131241", lat="9000001N"), "no such place on Earth"),
        (fix("131241", lon="18000001E"), "no such place on Earth"),
        (fix("131241", lat="4630123X"), "no such place on Earth"),
        (fix("131241", lon="02800123N"), "no such place on Earth"),
        (fix("131241", validity="0"), "no such place on Earth"),
        ("1312414630123N02800123WA0095001000", "lines that begin with no letter of a record"),
    ],
)
def test_a_damaged_fix_is_left_out_and_counted(record: str, said: str, read: Read) -> None:
    raw = read(igc(fix(), record, fix("131242")))

    assert raw.samples.line.tolist() == [3, 5]
    assert faults(raw) == {"damaged-record": 1}
    assert detail(raw, "damaged-record") == f"{said} in line 4; left out"


def test_the_poles_and_the_date_line_are_places(read: Read) -> None:
    raw = read(igc(fix(lat="9000000N", lon="18000000E"), fix("131241", lat="9000000S", lon="18000000W")))

    assert raw.samples.lat_deg.tolist() == [90.0, -90.0]
    assert raw.samples.lon_deg.tolist() == [-180.0, -180.0]


@pytest.mark.parametrize("value", ["0A950", "--950", "00-50", "     "])
def test_an_altitude_that_is_no_number_is_missing_and_counted(value: str, read: Read) -> None:
    raw = read(igc(fix(pressure=value), fix("131241")))

    assert np.isnan(raw.samples.altitudes_ft[AltitudeKind.PRESSURE]).tolist() == [True, False]
    assert faults(raw) == {"unreadable-value": 1}
    assert "pressure altitude in line 3" in detail(raw, "unreadable-value")


def test_a_damaged_extension_loses_only_its_own_value(read: Read) -> None:
    layout = "I043636LAD3741GSP4244TRT4547FXA"
    more = ["x17000123008", "417X00123008", "41700036100", "4", "", "4     123008"]
    raw = read(
        igc(layout, *(fix(f"13124{n}", more=text) for n, text in enumerate(more)), fix("131250", more="417000123008"))
    )

    channels = raw.samples.channels
    assert np.isnan(channels[Channel.GROUNDSPEED_KT]).tolist() == [False, True, False, True, True, True, False]
    assert np.isnan(channels[Channel.TRACK_DEG_TRUE]).tolist() == [False, False, True, True, True, False, False]
    assert np.isnan(channels[Channel.HORIZONTAL_ACCURACY_M]).tolist() == [False, False, True, True, True, False, False]
    assert raw.samples.lat_deg == pytest.approx(
        [46 + 30.123 / 60, *[46 + 30.1234 / 60] * 3, 46 + 30.123 / 60] + [46 + 30.1234 / 60] * 2
    )
    # LAD twice, GSP three times, TRT three times (361 is no direction), FXA three times; blanks are no fault.
    assert faults(raw) == {"unreadable-value": 11}


@pytest.mark.parametrize(
    ("layout", "said"),
    [
        ("I033638FXA3943GSP", "the I record is damaged"),
        ("I013638FXA39", "the I record is damaged"),
        ("I02xx38FXA3943GSP", "the I record is damaged"),
        ("I022638FXA3943GSP", "lists bytes that can't hold an extension"),
        ("I023836FXA3943GSP", "lists bytes that can't hold an extension"),
    ],
)
def test_a_damaged_list_of_extensions_is_told_and_read_as_far_as_it_goes(layout: str, said: str, read: Read) -> None:
    raw = read(igc(layout, fix(more="00816735"), fix("131241", more="00816735")))

    assert any(said in note for note in raw.source.notes)
    for channel, value in raw.samples.channels.items():
        assert value[0] == pytest.approx(8.0 if channel is Channel.HORIZONTAL_ACCURACY_M else 167.35 / 1.852)


def test_a_second_list_of_extensions_holds_from_there_on(read: Read) -> None:
    raw = read(igc("I013638GSP", fix(more="185"), "I023638FXA3941GSP", fix("131241", more="008370")))

    assert raw.samples.channels[Channel.GROUNDSPEED_KT] == pytest.approx([185 / 1.852, 370 / 1.852])
    assert np.isnan(raw.samples.channels[Channel.HORIZONTAL_ACCURACY_M]).tolist() == [True, False]


@pytest.mark.parametrize("left", [1, 20, 34])
def test_a_file_cut_in_a_fix_is_read_up_to_there(left: int, read: Read) -> None:
    raw = read(igc(fix(), fix("131241")) + fix("131242")[:left].encode())

    assert len(raw.samples) == 2
    assert faults(raw) == {"cut-short": 1}
    assert "line 5" in detail(raw, "cut-short")


def test_a_file_cut_in_the_extensions_of_a_fix_keeps_the_fix(read: Read) -> None:
    raw = read(igc("I013640GSP", fix(more="18500"), fix("131241", more="18500")) + fix("131242", more="18").encode())

    assert len(raw.samples) == 3
    assert faults(raw) == {"cut-short": 1, "unreadable-value": 1}


def test_a_file_whose_last_line_has_no_end_is_whole(read: Read) -> None:
    raw = read(igc(fix(), fix("131241")).removesuffix(b"\r\n"))

    assert len(raw.samples) == 2
    assert not raw.faults


@pytest.mark.parametrize(
    ("records", "said"),
    [
        ((), "holds no fix"),
        (("LXXXnothing was recorded",), "holds no fix"),
        ((fix(lat="4660000N"),), "the only fix can't be read: no such place on Earth in line 3"),
        ((fix()[:30], fix(lat="4660000N")), "none of the 2 fixes"),
    ],
)
def test_a_file_without_a_fix_says_so(records: tuple[str, ...], said: str, read: Read) -> None:
    with pytest.raises(TrackTimeError, match=said):
        read(igc(*records))


def test_too_many_fixes_are_refused(read: Read) -> None:
    content = igc(*(fix(f"1312{second:02d}") for second in range(11)))

    assert len(read(content, limits=ReadLimits(max_rows=11)).samples) == 11
    with pytest.raises(TrackFileError, match="more than 10 points") as caught:
        read(content, limits=ReadLimits(max_rows=10))
    assert "line 13" in caught.value.where


TWO = (fix(), fix("131241"))


@pytest.mark.parametrize(
    "content",
    [
        igc(fix(validity="V"), head=("HFDTE180426",)),
        igc(*TWO, end="\n"),
        igc(*TWO, end="\r"),
        b"\xef\xbb\xbf" + igc(*TWO),
        b"copied from the recorder\r\n\r\n" + igc(*TWO),
        igc(*(f"LXXX{'remark ' * 9}" for _ in range(1200)), *TWO, head=("AXXX001", "HFPLTPILOT:S-014", "HFDTE180426")),
        igc(*(f"LXXX{'remark ' * 9}" for _ in range(1200)), *TWO, head=("HFDTEDATE: 180426",)),
        igc(*TWO, head=("AXXX001", "HFPLTPILOT:J\xf6rg M\xfcller", "HFDTE180426")),
        igc("", *TWO, "", "LXXXthe end of an old text file", *(["LXXX"] * 60), "\x1a"),
        gzip.compress(igc(*TWO)),
    ],
)
def test_igc_is_known_by_what_it_holds(content: bytes, read: Read) -> None:
    raw = read(content)

    assert raw.source.format == "IGC"
    assert raw.samples.time_s[0] == DAY_S + clock_s("131240")
    assert set(faults(raw)) <= {"void-fix"}


@pytest.mark.parametrize(
    "preamble",
    [
        "ALTITUDE in feet\nHEADING magnetic",
        "A123,first\nHOLD,at,CALDU",
        "B131240",
    ],
)
def test_other_logs_are_not_taken_for_igc(preamble: str, read: Read) -> None:
    rows = "time,lat,lon\n2026-04-18T13:12:40Z,46.5,-28.0\n2026-04-18T13:12:41Z,46.5,-28.1\n"

    assert read(f"{preamble}\n{rows}").source.format == "CSV"


@pytest.mark.parametrize("extra", [19, 20, 21, 22, 23])
def test_lines_keep_their_numbers_where_a_piece_ends_in_a_line_end(extra: int, read: Read) -> None:
    # Pieces have four mebibytes, lines 37 bytes: the first piece ends before, inside and behind a line's end.
    count = 120_000
    lines = [fix(_clock(second)) for second in range(count // 4)] * 4
    raw = read(igc(*lines, head=(*HEAD, "L" + "x" * extra)))

    assert raw.samples.line.tolist() == list(range(4, count + 4))
    assert not raw.faults


def _clock(second: int) -> str:
    return f"{second // 3600:02d}{second // 60 % 60:02d}{second % 60:02d}"


@pytest.mark.parametrize(
    "content",
    [
        igc(*(f"I01{36 + n % 9}{46 + n % 9}GSP" for n in range(20_000)), *TWO),
        igc(*(record for n in range(20_000) for record in (f"I0136{40 + n % 9}GSP", fix(more="18500")))),
        igc(*(record for n in range(30_000) for record in (f"HFDTE{1 + n % 28:02d}0426", fix()))),
        igc(*(fix(("000000", "130000")[n % 2]) for n in range(60_000))),
        igc(*TWO) + b"L" + b"x" * 20_000_000,
        igc(*TWO) + b"\r" * 5_000_000,
        igc(*TWO) + b"\n\r" * 3_000_000,
        igc(*TWO) + b"x\n" * 3_000_000,
        igc(*TWO) + b"B\n" * 2_500_000,
    ],
    ids=["layouts", "layout-and-fix", "date-and-fix", "clock-to-and-fro", "line", "returns", "ends", "odd", "short"],
)
def test_hostile_files_take_no_longer_than_honest_ones(content: bytes) -> None:
    began = time.perf_counter()
    raw = read_raw_bytes(content, "log")

    # Far more than is needed: what counts is that nothing grows faster than the file.
    assert time.perf_counter() - began < 20.0
    assert len(raw.samples) >= 2
    assert all(len(fault.detail) < 500 for fault in raw.faults)
    assert len("".join(raw.source.notes)) < 3000


def test_of_very_many_headers_the_first_are_read_and_that_is_said(read: Read) -> None:
    raw = read(igc(*TWO, head=(*HEAD, *(f"HFPLTPILOT:{n}" for n in range(10_010)))))

    assert any("very many headers (H, I); 12 of them are not read" in note for note in raw.source.notes)


def test_control_characters_of_a_file_never_reach_a_note(read: Read) -> None:
    filler = ["LXXXa remark of some length that holds no control character"] * 20
    raw = read(igc(*TWO, *filler, head=(*HEAD, "HFALG:\x1b[31mGEO", "HFDTM:\x07", "HFDTE\x1b[1m")))

    assert all(note.isprintable() for note in raw.source.notes)


LIMITS = ReadLimits(max_bytes=200_000, max_file_bytes=200_000, max_rows=500)
SEEDS = (
    igc(
        "I053638FXA3939LAD4040LOD4145GSP4647TDS",
        *(fix(f"1312{n:02d}", more=f"00845{18000 + n}{n:02d}") for n in range(30)),
    ),
    igc(*(fix(_clock((86_390 + n) % 86_400), validity="AV"[n % 7 == 0]) for n in range(20)), "G12"),
    igc(fix(), HEAD[1], fix("131241"), "J010812HDT", "K13124100090", "E131241PEV", "C4630000N02800000WEND", end="\n"),
)


def read_whole(content: bytes) -> None:
    raw, words = None, ""
    try:
        raw = read_raw_bytes(content, "log", limits=LIMITS)
    except LegwiseError as error:
        words = str(error)
    assert words.count("\n") < 8
    assert words.replace("\n", "").isprintable()
    if raw is None or raw.source.format != "IGC":
        return
    samples = raw.samples
    assert all(
        len(column) == len(samples) for column in (samples.lat_deg, samples.lon_deg, samples.segment, samples.line)
    )
    assert np.all(np.isnan(samples.lat_deg) | (np.abs(samples.lat_deg) <= 90.1))
    assert np.all(np.isnan(samples.lon_deg) | ((samples.lon_deg >= -180.1) & (samples.lon_deg < 180.0)))
    assert all(text.isprintable() for text in (*raw.source.notes, *(fault.detail for fault in raw.faults)))


@settings(deadline=None, derandomize=True, max_examples=400)
@given(st.binary(max_size=400), st.sampled_from(["AXXX001\r\nHFDTE180426\r\n", "HFDTE180426\n", ""]))
def test_any_bytes_after_a_head(content: bytes, head: str) -> None:
    read_whole(head.encode() + content)


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.lists(st.text(alphabet="ABCHIKL0123456789NSEWV-\r\n GSPTDE:,\xe9", max_size=60), max_size=12))
def test_any_records(records: list[str]) -> None:
    read_whole(igc(fix(), *records, fix("131241")))


@settings(deadline=None, derandomize=True, max_examples=500)
@given(damaged_bytes(SEEDS, [b"\n", b"\r", b"B", b"I01", b"HFDTE190426\n", b"\0", b"\xe9", b"-", b"V"], 6))
def test_damaged_files(content: bytes) -> None:
    read_whole(content)


def test_a_zip_of_one_log_is_read(recording: Recording) -> None:
    raw = read_raw_track(recording("igc_long_date_header.igc"))
    again = read_raw_bytes(recording("igc_long_date_header.igc").read_bytes(), "any name")

    assert raw.samples.time_s.tolist() == again.samples.time_s.tolist()
    assert raw.source.format == again.source.format == "IGC"
