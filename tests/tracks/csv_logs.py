"""The one flight of three records that the CSV tests write in many dresses."""

from __future__ import annotations

import datetime as dt

import pytest

from legwise.model.instants import epoch_s
from legwise.model.track import AltitudeKind, RawTrack

T0 = epoch_s(dt.datetime(2026, 4, 18, 13, 12, 40, tzinfo=dt.UTC))
ROWS = (
    "2026-04-18T13:12:40Z,46.5123456,-28.0041,3120",
    "2026-04-18T13:12:41Z,46.5124456,-28.0042,3125",
    "2026-04-18T13:12:42Z,46.5125456,-28.0043,3130",
)


def checked(raw: RawTrack, kind: AltitudeKind = AltitudeKind.UNKNOWN, lines: tuple[int, ...] = (2, 3, 4)) -> RawTrack:
    """``raw`` again, after its times, positions, altitudes and lines were found to be those of ``ROWS``."""
    samples = raw.samples
    assert samples.time_s.tolist() == [T0, T0 + 1, T0 + 2]
    assert samples.lat_deg.tolist() == [46.5123456, 46.5124456, 46.5125456]
    assert samples.lon_deg.tolist() == [-28.0041, -28.0042, -28.0043]
    assert samples.altitudes_ft[kind].tolist() == pytest.approx([3120.0, 3125.0, 3130.0])
    assert samples.line.tolist() == list(lines)
    return raw


def log_of(heading: str, rows: tuple[str, ...] = ROWS, *, separator: str = ",", comma: str = ".") -> str:
    """A log with a line of headings (parted by commas) and rows, in other separators and with another decimal mark."""
    head, body = heading.replace(",", separator), "\n".join(rows)
    cells = body.replace(",", "\0").replace(".", comma).replace("\0", separator)
    return f"{head}\n{cells}\n"
