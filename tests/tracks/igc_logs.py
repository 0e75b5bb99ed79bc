"""IGC records, written for the tests by the format's own description (Appendix A of the FAI's specification)."""

from __future__ import annotations

import datetime as dt

from legwise.model.instants import epoch_s

HEAD = ("AXXX001", "HFDTEDATE:180426,01")
DAY_S = epoch_s(dt.datetime(2026, 4, 18, tzinfo=dt.UTC))


def fix(
    clock: str = "131240",
    lat: str = "4630123N",
    lon: str = "02800123W",
    validity: str = "A",
    pressure: str = "00950",
    gnss: str = "01000",
    more: str = "",
) -> str:
    """One B record."""
    return f"B{clock}{lat}{lon}{validity}{pressure}{gnss}{more}"


def igc(*records: str, head: tuple[str, ...] = HEAD, end: str = "\r\n") -> bytes:
    """A file of these records; no byte of it is refused."""
    return "".join(record + end for record in (*head, *records)).encode("latin-1")


def clock_s(text: str) -> float:
    """Seconds of the day of ``HHMMSS``."""
    return int(text[:2]) * 3600.0 + int(text[2:4]) * 60.0 + int(text[4:6])
