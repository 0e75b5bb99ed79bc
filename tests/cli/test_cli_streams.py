"""Standard output and error that are closed, full, or not listened to."""

from __future__ import annotations

import pathlib
import subprocess
import sys
from collections.abc import Callable

import pytest

LESSON = """[[fix]]
ident = "AXOLA"
lat_deg = 46.2
lon_deg = -27.6
[[fix]]
ident = "BRAKO"
lat_deg = 46.6
lon_deg = -27.4
[route]
points = ["AXOLA", "BRAKO"]
"""
Shell = Callable[[str], subprocess.CompletedProcess[str]]


@pytest.fixture(name="shell")
def shell_fixture(tmp_path: pathlib.Path) -> Shell:
    """A shell line in which ``$L`` is the command, in a folder with a lesson and a track."""
    (tmp_path / "lesson.toml").write_text(LESSON, encoding="utf-8")
    rows = [f"2026-04-18T13:00:{second:02}Z,{46.2 + second / 1e4},-27.6,3000" for second in range(60)]
    text = "\n".join(["Time UTC,Latitude,Longitude,Altitude indicated ft", *rows])
    (tmp_path / "flight.csv").write_text(text, encoding="utf-8")

    def run(line: str) -> subprocess.CompletedProcess[str]:
        command = line.replace("$L", f"{sys.executable} -m legwise")
        return subprocess.run(["sh", "-c", command], cwd=tmp_path, capture_output=True, text=True, check=False)

    return run


RESULTS = ["schema", "inspect flight.csv", "inspect flight.csv --json", "plan lesson.toml", "--help", "--version"]


@pytest.mark.parametrize("words", RESULTS)
@pytest.mark.parametrize(("where", "said"), [(">&-", "closed"), (">/dev/full", "no space left")])
def test_a_result_that_can_not_be_handed_over_ends_in_2(shell: Shell, words: str, where: str, said: str) -> None:
    done = shell(f"$L {words} {where}")

    assert done.returncode == 2
    assert done.stderr.startswith("legwise: standard output")
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 2


def test_a_debrief_that_stands_in_its_folder_is_done_without_standard_output(
    shell: Shell, tmp_path: pathlib.Path
) -> None:
    """Who closes it does not want the lines about the results: the results are the files."""
    done = shell("$L debrief flight.csv --out out >&-")

    assert (done.returncode, done.stderr) == (0, "")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        ".legwise", "debrief.html", "debrief.json", "samples.csv",
    ]  # fmt: skip


def test_a_debrief_whose_lines_are_lost_on_a_full_disk_says_so_and_stands(shell: Shell, tmp_path: pathlib.Path) -> None:
    """Here the lines were wanted; the files are whole all the same."""
    done = shell("$L debrief flight.csv --out out >/dev/full")

    assert done.returncode == 2
    assert "no space left" in done.stderr
    assert (tmp_path / "out" / "samples.csv").is_file()


@pytest.mark.parametrize("where", ["2>&-", "2>/dev/full"])
@pytest.mark.parametrize(
    ("words", "status"),
    [("inspect flight.csv", 0), ("inspect flight.csv --verbose", 0), ("inspect missing.csv", 2), ("fly", 2)],
)
def test_without_standard_error_the_status_still_tells(shell: Shell, words: str, status: int, where: str) -> None:
    done = shell(f"$L {words} {where}")

    assert done.returncode == status
    assert done.stdout.startswith("file: flight.csv") == (status == 0)


def test_with_every_place_closed_no_file_of_ours_takes_one(shell: Shell, tmp_path: pathlib.Path) -> None:
    assert shell("$L debrief flight.csv --out one").returncode == 0
    assert shell("$L debrief flight.csv --out two --verbose <&- >&- 2>&-").returncode == 0

    for name in ("debrief.html", "debrief.json", "samples.csv"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_help_is_readable_where_the_terminal_speaks_ascii(shell: Shell) -> None:
    done = shell("PYTHONIOENCODING=ascii $L inspect --help")

    assert (done.returncode, done.stderr) == (0, "")
    assert "--utc-offset" in done.stdout
