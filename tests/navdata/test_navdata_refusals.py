"""Files that are no navigation data: one clear error each, with what would put it right."""

from __future__ import annotations

import gzip
import os
import subprocess
import sys
from pathlib import Path

import pytest

from legwise.errors import NavDataError
from legwise.navdata import open_navdata
from navdata.coded_lines import excerpt, lines_of, record, waypoint, written


def refused(path: Path, words: str, **options: object) -> NavDataError:
    with pytest.raises(NavDataError) as caught:
        open_navdata(path, **options)  # type: ignore[arg-type]
    error = caught.value
    assert words in error.message
    assert error.where.endswith(path.name)
    assert error.remedy
    assert "\n" not in error.message
    return error


def test_a_missing_file(tmp_path: Path) -> None:
    refused(tmp_path / "nowhere.dat", "there is no such file")


def test_a_folder(tmp_path: Path) -> None:
    refused(tmp_path, "this is a folder")


def test_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    refused(pipe, "this is no regular file")


def test_a_file_that_only_looks_regular_is_not_waited_for(tmp_path: Path) -> None:
    # The kernel's log is a regular file by its mode, and reading on at its end waits for the next message.
    link = tmp_path / "log.dat"
    link.symlink_to("/proc/kmsg")
    asked = (
        "import sys\nfrom legwise.errors import NavDataError\nfrom legwise.navdata import open_navdata, read_fix_list\n"
        "for opener in (open_navdata, read_fix_list):\n"
        "    try:\n        opener(sys.argv[1])\n    except NavDataError as error:\n        print(error.message)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked, str(link)], capture_output=True, text=True, check=True, timeout=60
    )

    assert len(done.stdout.splitlines()) == 2
    assert done.stderr == ""


@pytest.mark.parametrize("content", [b"", b"\n\n", b"   \r\n", b"\xef\xbb\xbf"])
def test_an_empty_file(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "empty.dat"
    path.write_bytes(content)
    refused(path, "it holds no record of coded navigation data")


def test_a_binary_file(tmp_path: Path) -> None:
    path = tmp_path / "picture.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR")
    refused(path, "this is no text: it holds zero bytes")


def test_a_zip_archive(tmp_path: Path) -> None:
    path = tmp_path / "cycle.zip"
    path.write_bytes(b"PK\x03\x04 and more")
    refused(path, "this is a zip archive")


def test_another_text(tmp_path: Path) -> None:
    error = refused(written(tmp_path, ["ident,lat_deg,lon_deg,kind", "BRAKO,46.5,-28,waypoint"]), "holds no record")

    assert "“ident”" in error.message
    assert "[navdata] fixes" in error.remedy


def test_records_of_other_sections_alone(tmp_path: Path) -> None:
    refused(written(tmp_path, [record({5: "UC"})] * 3), "none of its 3 records can be used (3 of “UC”)")


def test_records_that_are_all_broken(tmp_path: Path) -> None:
    broken = waypoint(lat="X")
    refused(written(tmp_path, [broken, broken]), "none of its 2 records can be used (2 of “PC”); record not used: lat")


def test_a_file_beyond_the_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("legwise.navdata.lines.MOST_BYTES", 1000)

    refused(excerpt("KBTV"), "the file is larger than")
    refused(excerpt("KBTV"), "the file is larger than", indexed_from_bytes=0)


def test_a_compressed_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "cycle.dat.gz"
    path.write_bytes(gzip.compress(excerpt("KBTV").read_bytes()))
    data, plain = open_navdata(path), open_navdata(excerpt("KBTV"))

    assert data.summary.counts == plain.summary.counts
    assert data.fixes("CESAL") == plain.fixes("CESAL")


def test_a_damaged_archive_and_one_that_swells(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = gzip.compress(excerpt("KBTV").read_bytes())
    for number, content in enumerate((whole[: len(whole) // 2], whole[:20] + b"x" * 40 + whole[60:], b"\x1f\x8b")):
        path = tmp_path / f"{number}.gz"
        path.write_bytes(content)
        refused(path, "the gzip archive is damaged or cut short")
    monkeypatch.setattr("legwise.navdata.lines.MOST_BYTES", 100_000)
    swelling = tmp_path / "bomb.gz"
    swelling.write_bytes(gzip.compress(b"S" * 10_000_000))
    refused(swelling, "the file is larger than")


def test_what_stands_in_the_file_is_shown_without_control_characters(tmp_path: Path) -> None:
    error = refused(written(tmp_path, ["\x1b[31mred\x07" + "x" * 500]), "holds no record")

    assert all(character.isprintable() for character in str(error).replace("\n", ""))
    assert len(error.message) < 300


def test_a_byte_order_mark_is_no_part_of_the_first_record(tmp_path: Path) -> None:
    path = tmp_path / "marked.dat"
    path.write_bytes(b"\xef\xbb\xbf" + "\n".join(lines_of("KBTV")).encode("latin-1"))

    assert open_navdata(path).summary.cycle == "2609"


def test_a_file_of_endless_lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("legwise.navdata.filing.MOST_LINES", 10)
    refused(written(tmp_path, [waypoint(), *[""] * 10]), "the file has more than")


def test_a_file_of_broken_records_keeps_the_first_and_counts_all(tmp_path: Path) -> None:
    broken = [waypoint(lat="X" * 9, lon=f"W{number:09}") for number in range(30_000)]
    summary = open_navdata(written(tmp_path, [*broken, "rubbish", waypoint()])).summary

    assert summary.problem_count == 30_001
    assert [problem.line for problem in summary.problems] == list(range(1, 1001))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_numbers_hold_over_the_pieces_of_a_large_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, end: str
) -> None:
    for piece in (1, 131, 132, 133, 134, 1000):
        monkeypatch.setattr("legwise.navdata.lines._CHUNK", piece)
        data = open_navdata(written(tmp_path, [*[waypoint(f"FIX{n:02}") for n in range(20)], "", "x"], end=end))
        assert [data.fixes(f"FIX{number:02}")[0].line for number in range(20)] == list(range(1, 21))
        assert [problem.line for problem in data.summary.problems] == [22]
