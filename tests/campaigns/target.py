"""What a campaign runs on each input, and what it calls a find."""

from __future__ import annotations

import datetime as dt
import functools
import tempfile
import time
import traceback
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from campaigns.made_records import raw_of
from campaigns.seeds import seeds
from legwise.errors import LegwiseError
from legwise.model.track import RawTrack, Track
from legwise.tracks import ReadLimits, read_columns_file, read_raw_bytes
from tracks.track_promises import check_error, check_raw, told_or_found, told_or_mended

LIMITS = ReadLimits(max_file_bytes=20_000, max_bytes=40_000, max_rows=200, max_depth=16, max_columns=40, max_members=8)
MENDED_OF = 10
"""Of the logs that are read one in so many is mended too: mending takes longer, and has a target of its own."""

SLOW_S = 1.0
"""No input of a few kilobytes may take a second of the processor."""

_DATE = dt.date(2026, 4, 18)
_OPTIONS: tuple[tuple[str | None, dt.date | None], ...] = (
    ("+00:00", _DATE), ("+00:00", _DATE), ("-03:30", _DATE), (None, _DATE), ("+00:00", None), (None, None)
)  # fmt: skip

Run = Callable[[bytes], bool]
"""Runs an input; whether a track came of it."""


@dataclass(frozen=True)
class Find:
    """A defect: where it shows (equal for equal defects) and in full."""

    key: str
    text: str


def read_and_mend(data: bytes, mended_of: int = MENDED_OF) -> bool:
    """Read a log, and mend one of so many. What the caller says besides hangs on the bytes alone: a find repeats."""
    chance = zlib.crc32(data)
    utc_offset, date = _OPTIONS[chance % len(_OPTIONS)]
    raw = told_or_found(data, LIMITS, utc_offset=utc_offset, date=date)
    if isinstance(raw, RawTrack) and chance // 256 % mended_of == 0:
        told_or_mended(raw)
    return isinstance(raw, RawTrack)


def mend_made(data: bytes) -> bool:
    """Mend records that ``data`` stands for, without a reader."""
    raw = raw_of(data)
    return raw is not None and isinstance(told_or_mended(raw), Track)


def read_with_columns(data: bytes) -> bool:
    """Take ``data`` as a file of columns, and read a log by it. Whether it is such a file."""
    _COLUMNS_FILE.write_bytes(data)
    try:
        columns, utc_offset = read_columns_file(_COLUMNS_FILE)
    except LegwiseError as error:
        check_error(error)
        return False
    try:
        log = _LOGS[zlib.crc32(data) % len(_LOGS)]
        check_raw(read_raw_bytes(log, "log", columns=columns, utc_offset=utc_offset, limits=LIMITS), LIMITS)
    except LegwiseError as error:
        check_error(error)
    return True


_COLUMNS_FILE = Path(tempfile.mkdtemp(prefix="legwise-columns-")) / "columns.toml"
_LOGS = (
    b"When,Latitude,Longitude,Alt,time,lat,lon,alt\n"
    + b"".join(
        b"2026-04-18T13:12:%02d,46.5%02d,-28.0,%d,2026-04-18T13:12:%02dZ,46.5%02d,-28.0,90\n" % (n, n, n, n, n)
        for n in range(9)
    ),
    seeds("csv", 1000)[0],
)
TARGETS: Mapping[str, Run] = {
    **dict.fromkeys(("csv", "gpx", "igc", "nmea", "kml", "container"), read_and_mend),
    "columns": read_with_columns,
    "mending": mend_made,
}


def always(reader: str) -> Run:
    """The target of a reader, every log mended."""
    run = TARGETS[reader]
    return functools.partial(read_and_mend, mended_of=1) if run is read_and_mend else run


def tried(run: Run, data: bytes) -> tuple[bool, Find | None]:
    """Whether a track came of an input, and what went wrong: anything raised, a warning (they are errors here), a
    broken promise, slowness.
    """
    start_s = time.process_time()
    try:
        is_read = run(data)
    except Exception as error:  # noqa: BLE001 (whatever it is, it is a find)
        return False, Find(_place(error), "".join(traceback.format_exception(error)))
    seconds = time.process_time() - start_s
    slow = Find("slow", f"{seconds:.2f} s for {len(data)} bytes\n") if seconds > SLOW_S else None
    return is_read, slow


def _place(error: Exception) -> str:
    frames = [
        f"{Path(frame.filename).name}:{frame.lineno}"
        for frame in traceback.extract_tb(error.__traceback__)
        if "/legwise/" in frame.filename
    ]
    words = str(error)[:60] if isinstance(error, AssertionError) else ""
    return " ".join([type(error).__name__, *frames[-2:], "".join(word for word in words if not word.isdigit())]).strip()


def shrunk(run: Run, data: bytes, seconds: float = 60.0) -> bytes:
    """The shortest input found within ``seconds`` that shows the same: lines first, then ever shorter stretches."""
    _is_read, found = tried(run, data)
    if found is None:
        return data
    until_s = time.monotonic() + seconds

    def shows(shorter: bytes) -> bool:
        _is_read, again = tried(run, shorter)
        return again is not None and again.key == found.key

    for parts_of in (
        lambda text: text.splitlines(keepends=True),
        lambda text: [text[i : i + 1] for i in range(len(text))],
    ):
        parts: list[bytes] = parts_of(data)
        size = max(1, len(parts) // 2)
        while size and time.monotonic() < until_s:
            at, before = 0, len(parts)
            while at < len(parts) and time.monotonic() < until_s:
                fewer = parts[:at] + parts[at + size :]
                if shows(b"".join(fewer)):
                    parts = fewer
                else:
                    at += size
            size = size if size == 1 and len(parts) < before else size // 2
        data = b"".join(parts)
    return data
