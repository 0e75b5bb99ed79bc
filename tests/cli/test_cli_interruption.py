"""Signals at every point of a run: before anything is imported, while results are put in place, after the last."""

from __future__ import annotations

import os
import pathlib
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from legwise.cli import app, main
from legwise.cli import schema as schema_verb
from legwise.cli.interruption import INTERRUPTION, Interruption

Run = Callable[..., Any]
BOTH = pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
SAID = "legwise: interrupted; nothing was written\n"


def ask(how: signal.Signals) -> None:
    os.kill(os.getpid(), how)
    time.sleep(0.001)  # a place for Python to see it


@pytest.fixture(name="taken_over")
def taken_over_fixture() -> Iterator[Interruption]:
    interruption = Interruption()
    interruption.begin()
    yield interruption
    interruption.end(process_ends=False)


@BOTH
def test_a_signal_breaks_a_run_off_and_is_given_back_afterwards(
    legwise: Run, monkeypatch: pytest.MonkeyPatch, how: signal.Signals
) -> None:
    before = signal.getsignal(how)
    monkeypatch.setattr(schema_verb, "run", lambda _: ask(how))
    done = legwise("schema")

    assert (done.status, done.err) == (130, SAID)
    assert signal.getsignal(how) is before


@BOTH
def test_a_signal_while_we_are_still_being_imported(how: signal.Signals) -> None:
    """The import of the verbs is where most of a short run's time goes; the signal comes at its first step."""
    code = f"""
import os, sys
from legwise.cli import main

class Asks:
    def find_spec(self, name, *_):
        if name == "legwise.cli.app":
            os.kill(os.getpid(), {how.value})

sys.meta_path.insert(0, Asks())
sys.argv[1:] = ["schema"]
sys.exit(main())
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert (done.returncode, done.stdout, done.stderr) == (130, "", SAID)


@BOTH
def test_a_signal_after_the_last_thing_was_said_changes_nothing(how: signal.Signals) -> None:
    code = f"""
import atexit, os, sys
from legwise.cli import main
atexit.register(os.kill, os.getpid(), {how.value})
sys.argv[1:] = ["--version"]
sys.exit(main())
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("legwise ")


def test_a_signal_between_the_end_of_a_run_and_our_return(legwise: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def asks(_: object) -> int:
        INTERRUPTION.release()
        ask(signal.SIGTERM)
        return 0

    monkeypatch.setattr(app, "run", asks)
    done = legwise("schema")

    assert (done.status, done.err) == (130, "legwise: interrupted; the results are in place\n")


def test_an_interruption_that_python_can_not_raise_is_not_lost(legwise: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    class Asks:
        def __del__(self) -> None:
            ask(signal.SIGTERM)

    def deletes(_: object) -> None:
        Asks()

    hook = sys.unraisablehook
    monkeypatch.setattr(schema_verb, "run", deletes)
    done = legwise("schema")

    assert (done.status, done.err) == (130, SAID)
    assert sys.unraisablehook is hook


def test_an_interruption_that_comes_out_as_another_error(legwise: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def wraps(_: object) -> None:
        try:
            ask(signal.SIGTERM)
        except KeyboardInterrupt as error:
            raise ImportError("numpy") from error

    monkeypatch.setattr(schema_verb, "run", wraps)
    done = legwise("schema")

    assert (done.status, done.err) == (130, SAID)


def test_an_interruption_in_the_middle_of_an_exec_leaves_the_exit_status() -> None:
    """As of a dataclass being made; Python would else end the process by the signal."""
    code = """
import os, signal, sys, time
from legwise.cli import app, main
app.run = lambda _: exec("import os, signal, time; os.kill(os.getpid(), signal.SIGINT); time.sleep(1)")
sys.argv[1:] = ["schema"]
sys.exit(main())
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert (done.returncode, done.stderr) == (130, SAID)


@BOTH
def test_while_results_are_put_in_place_it_is_too_late(taken_over: Interruption, how: signal.Signals) -> None:
    taken_over.hold()
    ask(how)
    taken_over.release()

    with pytest.raises(KeyboardInterrupt):
        ask(how)
    assert taken_over.results_stand


@pytest.mark.usefixtures("taken_over")
def test_a_request_that_comes_twice_is_one() -> None:
    with pytest.raises(KeyboardInterrupt):
        ask(signal.SIGTERM)
    ask(signal.SIGTERM)
    ask(signal.SIGINT)


def test_a_signal_that_is_to_be_ignored_stays_ignored(monkeypatch: pytest.MonkeyPatch) -> None:
    """A shell lets what it starts in the background ignore Ctrl-C."""
    monkeypatch.setattr(schema_verb, "run", lambda _: ask(signal.SIGINT))
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        assert main(["schema"]) == 0
    finally:
        signal.signal(signal.SIGINT, before)


def test_an_exchange_is_not_broken_off(legwise: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: pathlib.Path) -> None:
    track = tmp_path / "flight.csv"
    rows = [f"2026-04-18T13:00:{second:02}Z,{46.2 + second / 1e4},-27.6,3000" for second in range(60)]
    track.write_text("\n".join(["Time UTC,Latitude,Longitude,Altitude indicated ft", *rows]), encoding="utf-8")
    assert legwise("debrief", track, "--out", "out").status == 0
    rename = pathlib.Path.rename

    def asks(self: pathlib.Path, target: pathlib.Path) -> pathlib.Path:
        ask(signal.SIGTERM)
        return rename(self, target)

    monkeypatch.setattr(pathlib.Path, "rename", asks)
    done = legwise("debrief", track, "--out", "out")

    assert (done.status, done.err) == (0, "")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        ".legwise", "debrief.html", "debrief.json", "samples.csv",
    ]  # fmt: skip
