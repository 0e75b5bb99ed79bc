"""Exit statuses and messages that need no flight."""

from __future__ import annotations

import errno
import functools
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

import legwise as package
from legwise.cli import main
from legwise.cli import schema as schema_verb
from legwise.cli.app import VERBS
from legwise.cli.later import VERBS as LATER_VERBS
from legwise.errors import TrackFormatError

Run = Callable[..., Any]


def test_version(legwise: Run) -> None:
    done = legwise("--version")

    assert (done.status, done.out, done.err) == (0, f"legwise {package.__version__}\n", "")


@pytest.mark.parametrize("argv", [["--help"], ["-h"], *([verb, "--help"] for verb in (*VERBS, *LATER_VERBS))])
def test_help(legwise: Run, argv: list[str]) -> None:
    done = legwise(*argv)

    assert done.status == 0
    assert done.out.startswith("usage: legwise")
    assert done.err == ""


@pytest.mark.parametrize(
    ("argv", "named"),
    [
        ([], "no command"),
        (["fly"], "fly"),
        (["--fly"], "--fly"),
        (["debrief"], "TRACK"),
        (["debrief", "a.gpx", "b.gpx"], "b.gpx"),
        (["debrief", "a.gpx", "--lessen", "b.toml"], "--lessen"),
        (["debrief", "a.gpx", "--quiet", "--verbose"], "--verbose"),
        (["debrief", "a.gpx", "--approach", "XSKH"], "--approach"),
        (["debrief", "a.gpx", "--navdata", "tarn.dat"], "tarn.dat"),
        (["plan", "lesson.toml", "--sheet", "sheet.html"], "lesson.toml"),
        (["draft", "a.gpx"], "a.gpx"),
        (["batch", "folder", "--workers", "3"], "batch"),
        (["progress", "folder", "--student", "S-014"], "progress"),
        (["portal", "--demo"], "portal"),
        (["inspect", "missing.gpx"], "missing.gpx"),
        (["debrief", "missing.gpx"], "missing.gpx"),
        (["debrief", "."], "."),
        (["plan", "missing.toml"], "missing.toml"),
        (["plan", "bad\x1b]0;owned\x07.toml"], "bad"),
    ],
)
def test_a_bad_call_is_one_short_message(legwise: Run, tmp_path: pathlib.Path, argv: list[str], named: str) -> None:
    done = legwise(*argv)

    assert done.status == 2
    assert done.out == ""
    assert named in done.err
    assert done.err.startswith("legwise")
    assert 2 <= len(done.err.splitlines()) <= 10, "what is wrong, and what would put it right"
    assert "Traceback" not in done.err
    assert "\x1b" not in done.err
    assert list(tmp_path.iterdir()) == []


def test_a_long_message_is_cut_to_ten_lines_and_keeps_its_remedy(legwise: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise TrackFormatError("\n".join(f"line {n} {'x' * 1000}" for n in range(50)), remedy="Give a track.")

    monkeypatch.setattr(schema_verb, "run", fail)
    done = legwise("schema")

    assert done.status == 2
    assert len(done.err.splitlines()) == 10
    assert done.err.endswith("  Give a track.\n")
    assert max(map(len, done.err.splitlines())) <= 400


def test_a_fault_of_ours_is_one_line_and_says_where_the_details_are(
    legwise: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: pathlib.Path
) -> None:
    def fail(_: object) -> None:
        raise ZeroDivisionError("division by\nzero")

    monkeypatch.setattr(tempfile, "mkstemp", functools.partial(tempfile.mkstemp, dir=tmp_path))
    monkeypatch.setattr(schema_verb, "run", fail)
    done = legwise("schema")

    assert done.status == 1
    assert done.err.count("\n") == 1
    assert "ZeroDivisionError: division by zero" in done.err
    named = re.search(r"details are in (\S+\.log)", done.err)
    assert named
    details = pathlib.Path(named.group(1)).read_text(encoding="utf-8")
    assert "Traceback" in details
    assert "arguments: ['schema']" in details


def test_a_fault_is_told_even_where_nothing_can_be_kept(legwise: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise ZeroDivisionError

    def full(**_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(tempfile, "mkstemp", full)
    monkeypatch.setattr(schema_verb, "run", fail)
    done = legwise("schema")

    assert done.status == 1
    assert done.err.count("\n") == 1


def test_an_interruption(legwise: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(schema_verb, "run", fail)
    done = legwise("schema")

    assert done.status == 130
    assert done.err == "legwise: interrupted; nothing was written\n"


def test_main_can_be_called_from_another_thread(capfd: pytest.CaptureFixture[str]) -> None:
    statuses: list[int] = []
    thread = threading.Thread(target=lambda: statuses.append(main(["--version"])))
    thread.start()
    thread.join()

    assert statuses == [0]
    assert capfd.readouterr().out.startswith("legwise ")


def test_a_reader_that_has_seen_enough_is_no_error(command: Callable[..., subprocess.Popen[bytes]]) -> None:
    running = command("schema")
    assert running.stdout is not None
    assert running.stderr is not None
    running.stdout.read(1)
    running.stdout.close()
    complaints = running.stderr.read()
    running.stderr.close()

    assert running.wait() == 0
    assert complaints == b""


def test_the_schema_is_a_json_schema_in_any_locale(command: Callable[..., subprocess.Popen[bytes]]) -> None:
    out, err = command("schema", PYTHONIOENCODING="ascii").communicate()

    jsonschema.Draft202012Validator.check_schema(json.loads(out))
    assert err == b""


def test_a_full_disk_behind_standard_output_is_told() -> None:
    with pathlib.Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "legwise", "schema"], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )

    assert done.returncode == 2
    assert "standard output" in done.stderr
    assert len(done.stderr.splitlines()) == 2
