"""Running the command line: in this process, or as a person would."""

from __future__ import annotations

import os
import pathlib
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from legwise.cli import main


@dataclass(frozen=True)
class Outcome:
    """What a run gave."""

    status: int
    out: str
    err: str


Run = Callable[..., Outcome]


@pytest.fixture(name="legwise")
def legwise_fixture(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Run:
    """``main`` in an empty folder of its own."""
    monkeypatch.chdir(tmp_path)

    def run(*argv: str | pathlib.Path) -> Outcome:
        capfd.readouterr()
        status = main([str(word) for word in argv])
        said = capfd.readouterr()
        return Outcome(status, said.out, said.err)

    return run


@pytest.fixture(name="command")
def command_fixture(tmp_path: pathlib.Path) -> Callable[..., subprocess.Popen[bytes]]:
    """``python -m legwise`` as a process, started in an empty folder of its own."""

    def start(*argv: str | pathlib.Path, **environment: str) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-m", "legwise", *map(str, argv)],
            cwd=tmp_path,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, **environment},
        )

    return start
