"""NMEA 0183: the lines as loggers leave them. Checksums, what stands before and between sentences, what was cut off."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.errors import TrackFormatError, TrackTimeError
from legwise.model.track import AltitudeKind, RawTrack
from tracks.nmea_logs import LAT_DEG, broken, gga, log_of, rmc, sentence

Read = Callable[..., RawTrack]


def faults_of(raw: RawTrack) -> dict[str, int]:
    return {fault.kind: fault.count for fault in raw.faults}


def test_a_wrong_checksum_is_not_believed(read: Read) -> None:
    bad = gga("131241", place="4700.0,N,02900.0,W")
    raw = read(
        log_of(rmc("131240"), gga("131240"), broken(bad), rmc("131241"), broken("GPGSV,1,1,00"), broken("PABC,1"))
    )

    assert raw.samples.lat_deg.tolist() == [LAT_DEG] * 2
    assert faults_of(raw) == {"bad-checksum": 3}
    assert "1 GGA, 1 GSV, 1 others) in lines 3, 5 and 6" in raw.faults[0].detail


@pytest.mark.parametrize("ending", ["*", "*5", "*XY", "*5G"])
def test_a_checksum_that_is_none(ending: str, read: Read) -> None:
    raw = read(log_of(rmc("131240"), f"${gga('131241')}{ending}", rmc("131242")))

    assert len(raw.samples) == 2
    assert faults_of(raw) == {("bad-checksum" if len(ending) == 3 else "damaged-sentence"): 1}


def test_a_checksum_in_small_letters_is_one(read: Read) -> None:
    texts = [sentence(rmc(f"13124{n}", motion=f"{n}.5,271.3")) for n in range(10)]
    small = [text[:-2] + text[-2:].lower() for text in texts]
    raw = read("\r\n".join(small))

    assert small != texts
    assert len(raw.samples) == 10
    assert raw.faults == ()


def test_no_checksum_is_accepted_and_told(read: Read) -> None:
    raw = read("".join(f"${body}\n" for body in (rmc("131240"), gga("131240"), rmc("131241"), "GPGSV,1,1,00")))

    assert len(raw.samples) == 2
    assert AltitudeKind.GNSS_MSL in raw.samples.altitudes_ft
    assert raw.faults == ()
    assert any("3 sentences without a checksum" in note for note in raw.source.notes)


@pytest.mark.parametrize("length", range(3, 51))
def test_a_sentence_that_was_cut_off_is_left_out(length: int, read: Read) -> None:
    body = gga("131241", place="4700.0,N,02900.0,W")
    raw = read(log_of(rmc("131240"), gga("131240"), f"${body[:length]}", rmc("131242"), gga("131242")))

    assert raw.samples.lat_deg.tolist() == [LAT_DEG] * 2
    assert faults_of(raw) == {"damaged-sentence": 1}


@pytest.mark.parametrize("length", [3, 20, 45, 60])
def test_of_two_sentences_glued_together_the_later_one_is_read(length: int, read: Read) -> None:
    glued = f"${gga('131241')[:length]}{sentence(rmc('131241'))}"
    raw = read(log_of(rmc("131240"), glued, rmc("131242")))

    assert len(raw.samples) == 3
    assert raw.samples.line.tolist() == [1, 2, 3]
    assert faults_of(raw) == {"damaged-sentence": 1}


def test_whole_sentences_in_one_line_are_all_read(read: Read) -> None:
    raw = read("".join(sentence(body) for n in range(5) for body in (rmc(f"13124{n}"), gga(f"13124{n}"))))

    assert len(raw.samples) == 5
    assert raw.samples.line.tolist() == [1] * 5
    assert raw.faults == ()


def test_a_log_that_ends_in_the_middle_of_a_sentence_is_told(read: Read) -> None:
    text = log_of(*(rmc(f"13124{n}") for n in range(5)))
    raw = read(text[:-20])

    assert len(raw.samples) == 4
    assert faults_of(raw) == {"cut-short": 1}
    assert "line 5" in raw.faults[0].detail


@pytest.mark.parametrize(
    "before",
    [
        b"2026-04-18 13:12:40.123 ",
        b"[1776517960.5] ",
        b"\\s:rec01,c:1776517960*5A\\",
        b"COM3> ",
        b"\xb5b\x01\x07\x02\x00\x00\xff",
        b"\xff\xfe\xfd",
        "grüße;".encode("cp1252"),
    ],
)
def test_what_stands_before_a_sentence_does_not_matter(before: bytes, read: Read) -> None:
    texts = [sentence(body) for n in range(5) for body in (rmc(f"13124{n}"), gga(f"13124{n}"))]
    raw = read(b"".join(before + text.encode() + b"\r\n" for text in texts))

    assert raw.source.format == "NMEA 0183"
    assert len(raw.samples) == 5
    assert raw.faults == ()


def test_binary_bytes_between_the_lines_do_not_matter(read: Read) -> None:
    binary = bytes(range(256)) * 3
    texts = [sentence(body).encode() + b"\r\n" for n in range(5) for body in (rmc(f"13124{n}"), gga(f"13124{n}"))]
    raw = read(binary + binary.join(texts) + binary)

    assert len(raw.samples) == 5
    assert all(note.isprintable() for note in raw.source.notes)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["ascii", "utf-8-sig", "utf-16", "utf-16-le"])
def test_ends_of_line_and_encodings(end: str, encoding: str, read: Read) -> None:
    text = log_of(*(body for n in range(5) for body in (rmc(f"13124{n}"), gga(f"13124{n}"))), end=end)
    raw = read(text.encode(encoding))

    assert raw.samples.line.tolist() == [1, 3, 5, 7, 9]
    assert raw.faults == ()


def test_remarks_and_empty_lines_are_counted_and_the_lines_stay_right(read: Read) -> None:
    raw = read("# logger\n\n" + log_of(rmc("131240")) + "\r\n# note\r\n" + log_of(rmc("131241")))

    assert raw.samples.line.tolist() == [3, 6]
    assert "no sentence in 2 lines (lines 1 and 5)" in raw.source.notes
    assert raw.faults == ()


def test_other_types_are_counted_in_a_note(read: Read) -> None:
    others = ["GPGSV,1,1,00", "GPGSV,1,1,00", "GPGSA,A,1", "PGRMZ,3120,f,3", "PABCD,1", "IIHDG,1.0,,,2.0,E"]
    raw = read(log_of(rmc("131240"), *others, rmc("131241")))

    assert "not used: 2 GSV, 2 proprietary, 1 GSA, 1 HDG" in raw.source.notes
    assert raw.faults == ()


@pytest.mark.parametrize("talker", ["GP", "GN", "GL", "GA", "GB", "BD", "GQ", "QZ", "GI", "II", "SD", "LC", "U1"])
def test_any_talker_is_heard_but_none_of_a_maker(talker: str, read: Read) -> None:
    raw = read(log_of(rmc("131240", talker=talker), gga("131240", talker=talker), rmc("131241", talker="PX")))

    assert len(raw.samples) == 1
    assert any(f"from talker {talker}" in note for note in raw.source.notes)


def test_a_sentence_longer_than_the_standard_has_it_is_read(read: Read) -> None:
    place = "4630.123456789012,N,02800.567812345678,W"
    long = gga("131240.123456", place=place, height="951.0000,M,52.1000,M") + "0.123456789,0123"
    raw = read(log_of(long, rmc("131241")))

    assert len(sentence(long)) > 82
    assert raw.samples.lat_deg[0] == 46.0 + 30.123456789012 / 60.0
    assert raw.faults == ()


def test_an_endless_sentence_is_damaged(read: Read) -> None:
    raw = read(log_of(rmc("131240")) + "$GPGGA,131241," + "1," * 100_000 + "\n" + log_of(rmc("131242")))

    assert len(raw.samples) == 2
    assert faults_of(raw) == {"damaged-sentence": 1}


def test_a_log_of_nothing_but_wrong_checksums_says_so(read: Read) -> None:
    with pytest.raises(TrackTimeError, match=r"2 sentences with a wrong checksum \(1 GGA, 1 RMC\)"):
        read(log_of(broken(rmc()), broken(gga())))


def test_pieces_of_a_long_log_join_without_a_seam(read: Read, monkeypatch: pytest.MonkeyPatch) -> None:
    bodies = [body for n in range(60) for body in (rmc(f"1312{n:02d}"), gga(f"1312{n:02d}"), "GPGSV,1,1,00")]
    text = "# head\n" + log_of(*bodies) + "x" * 500 + "\n" + log_of(broken(rmc("131300")), rmc("131301"))
    whole = read(text)
    for size in (90, 150, 333, 1000):
        monkeypatch.setattr("legwise.tracks.nmea.sentences.PIECE_BYTES", size)
        raw = read(text)
        assert raw.samples.line.tolist() == whole.samples.line.tolist()
        assert raw.samples.time_s.tolist() == whole.samples.time_s.tolist()
        assert raw.faults == whole.faults
    assert len(whole.samples) == 61


@pytest.mark.parametrize(
    "text",
    [
        "$GPRMC,131240,A,4630.0,N,02800.0,W,120.5,271.3,180426,,",
        "$GPGGA,131240,4630.0,N,02800.0,W,1,08,0.9,951.0,M,52.1,M,,\n$GPRMC,131240,A,4630.0,N,02800.0,W,,,180426,,",
        "log 1 $GPGLL,4630.0,N,02800.0,W,131240,A\n$GPZDA,131240,18,04,2026,00,00\n",
        "$GPRMC,,V,,,,,,,,,,N\n$GPRMC,131240.5,A,4630.0,N,02800.0,W,120.5,271.3,180426,,",
    ],
)
def test_a_log_without_checksums_is_known_by_its_content(text: str, read: Read) -> None:
    raw = read(text)

    assert raw.source.format == "NMEA 0183"
    assert len(raw.samples) == 1


@pytest.mark.parametrize(
    "note", ["$5", '"$GPRMC, is not there"', "$GPGGA", '"$A,B*5"', '"US$,12*34"', '"$SUM,5*20"', '"$gprmc,1*22"']
)
def test_a_dollar_sign_in_csv_stays_csv(note: str, read: Read) -> None:
    text = "time,lat,lon,note\n" + "".join(f"2026-04-18T13:12:4{n}Z,46.5,-28.0,{note}\n" for n in range(3))

    assert read(text).source.format == "CSV"


def test_other_text_with_a_dollar_sign_is_no_track(read: Read) -> None:
    with pytest.raises(TrackFormatError):
        read("It costs $5, or $GP in another coin.\n" * 20)
