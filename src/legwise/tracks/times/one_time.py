"""One text of a time taken apart: the date as written, the seconds of the day, the offset of the zone."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np

from legwise.errors import CallError
from legwise.tracks.wording import shown

LONGEST = 80
"""No time is written longer; the rest of such a text is not looked at."""

_OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+\-−])(?:(\d{1,2})(?::(\d{2}))?|(\d{2})(\d{2}))", re.IGNORECASE)
_TIME = re.compile(
    r"(?:^|(?<=[T ,;]))T?(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,:](\d{1,9}))?)?\s*([ap]\.?\s?m\.?)?\s*"
    r"(Z|UTC|GMT|(?:UTC|GMT)?[+-]\d{2}(?::?\d{2})?)?$",
    re.IGNORECASE,
)
_COMPACT = re.compile(
    r"(?:(\d{8})[T ]?|(\d{6})[T ])?(\d{2})(\d{2})(\d{2})(?:[.,](\d{1,9}))?\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?$",
    re.IGNORECASE,
)
_ZONE_NAME = re.compile(r"(?<=[Z\d])\s*(\[[^\[\]]*\]|\([^()]*\))$", re.IGNORECASE)
"""The name of a zone behind its offset, as in "+02:00[Europe]"."""


class ClockText(NamedTuple):
    """The date as written (empty: none), the seconds of the day, the zone's offset [s] (NaN: none), and whether the
    hour is one that no day has.
    """

    date: str
    seconds: float
    zone_s: float
    is_beyond: bool = False


def taken_apart(text: str) -> ClockText | None:
    """The parts of one time; None where it is none. Hours from 24 to 99 are read, and marked as beyond the day."""
    if text[-1:] in ("]", ")"):
        text = _ZONE_NAME.sub("", text)
    match = _TIME.search(text)
    if match:
        date_text = bare_date(text[: match.start()])
        hour, minute, second, fraction, half, zone = match.groups()
        # "18-Apr-2026 13:12:40 UTC" and "1:12:40 PM": the half of the day comes before the zone.
        if half:
            if not 1 <= int(hour) <= 12:
                return None
            hour = str(int(hour) % 12 + (12 if half[0] in "pP" else 0))
    else:
        match = _COMPACT.match(text)
        if match is None:
            return None
        date_text = match[1] or match[2] or ""
        hour, minute, second, fraction, zone = match.groups()[2:]
    if int(minute) > 59 or int(second or 0) > 60:
        return None
    seconds = int(hour) * 3600 + int(minute) * 60 + int(second or 0) + (float(f"0.{fraction}") if fraction else 0.0)
    return ClockText(date_text, seconds, _zone_seconds(zone or ""), int(hour) > 23)


def bare_date(text: str) -> str:
    """What stands before a time of day, without what parts the two."""
    bare = text.strip(" ,;")
    return bare[:-1] if bare[-1:] in ("T", "t") and not bare[-2:-1].isalpha() else bare


def _zone_seconds(zone: str) -> float:
    if not zone:
        return np.nan
    match = _OFFSET.fullmatch(zone)
    if match is None:
        return 0.0
    seconds = _offset_of(match)
    return np.nan if seconds is None else seconds


def offset_seconds(text: str, where: str = "utc_offset") -> float:
    """The offset from UTC said as ``±HH:MM``, ``Z`` or ``UTC``. [s] Raises :class:`CallError` on anything else."""
    if text.strip().upper() in ("Z", "UTC", "GMT"):
        return 0.0
    match = _OFFSET.fullmatch(text.strip())
    seconds = _offset_of(match) if match else None
    if seconds is None:
        raise CallError(
            f"the offset from UTC {shown(text)} is none",
            where=where,
            remedy="Write it as ±HH:MM, from -14:00 to +14:00.",
        )
    return seconds


def _offset_of(match: re.Match[str]) -> float | None:
    hours, odd = int(match[2] or match[4]), int(match[3] or match[5] or 0)
    minutes = hours * 60 + odd
    if minutes > 14 * 60 or odd >= 60:
        return None
    return minutes * (60.0 if match[1] == "+" else -60.0)


def zone_words(offset_s: float) -> str:
    """``UTC`` or ``UTC-04:00``."""
    if not offset_s:
        return "UTC"
    minutes = round(abs(offset_s) / 60.0)
    return f"UTC{'+' if offset_s > 0 else '-'}{minutes // 60:02d}:{minutes % 60:02d}"
