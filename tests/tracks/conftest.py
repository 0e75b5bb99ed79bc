"""Files to read: recordings from the data folder, and logs written for a test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from legwise.model.track import RawTrack, Track
from legwise.tracks import mend, read_raw_track

DATA = Path(__file__).parents[1] / "data" / "tracks"
"""Recordings; their sources stand in NOTICE.md there."""

Read = Callable[..., RawTrack]


@pytest.fixture
def recording() -> Callable[[str], Path]:
    """The path of a recording by its name."""
    return lambda name: DATA / name


@pytest.fixture
def log(tmp_path: Path) -> Callable[..., Path]:
    """Write a log and give its path. The name tells nothing on purpose."""

    def write(content: str | bytes, name: str = "log.bin") -> Path:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write


@pytest.fixture
def read(log: Callable[..., Path]) -> Read:
    """Write a log and read it raw."""

    def write_and_read(content: str | bytes, **options: object) -> RawTrack:
        return read_raw_track(log(content), **options)  # type: ignore[arg-type]

    return write_and_read


@pytest.fixture
def mended(read: Read) -> Callable[..., Track]:
    """Write a log, read and mend it."""
    return lambda content, **options: mend(read(content, **options))
