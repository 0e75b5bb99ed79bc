"""What the lines above the headings say of the times: their zone, the date, when the recording began.

Only plain statements count ("Timezone: UTC", "Flight date,2026-04-18"); two that differ are none.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from legwise.errors import CallError
from legwise.tracks.table.layout import cells_of
from legwise.tracks.times.counted import instant_said
from legwise.tracks.times.dates import days_of, order_said
from legwise.tracks.times.one_time import offset_seconds, taken_apart

_LONGEST = 300
_EPOCH = dt.date(1970, 1, 1).toordinal()

_ZONE_KEYS = re.compile(
    r"(all )?(times?|time ?stamps?|time ?zone|tz|zone|(utc|gmt|time|time ?zone) ?offset|offset (from|to) (utc|gmt)"
    r"|time (reference|base|standard|system)|zeitzone|fuseau horaire|zona horaria)( used)?",
    re.IGNORECASE,
)
_OFFSET_KEY = re.compile(r"offset", re.IGNORECASE)
_ZONE_VALUE = re.compile(
    r"\(?(?P<name>utc|gmt|z|zulu)( time)?\)?|(utc|gmt)? ?(?P<sign>[+\-−])(?P<h>\d{1,2})(:?(?P<m>\d{2}))?( ?h(ours?)?)?",
    re.IGNORECASE,
)
_BARE_HOURS = re.compile(r"\d{1,2}( ?h(ours?)?)?", re.IGNORECASE)
_SENTENCE = re.compile(
    r"(all )?(the )?(times?|time ?stamps?|clock)( of day| stamps?| values?)?"
    r"( (is|are))?( (given|recorded|logged|shown|expressed|kept))?( in)? \(?(utc|gmt|zulu)( time)?\)?\.?",
    re.IGNORECASE,
)
_BRACKETED = re.compile(r"\((?!utc|gmt|z\))[^()]*\)", re.IGNORECASE)
_DATE_WORDS = frozenset(
    {"date", "flight", "of", "log", "the", "recording", "start", "utc", "gmt", "z", "local", "datum", "fecha"}
)
_IS_DATE = frozenset({"date", "datum", "fecha"})
_START_WORDS = frozenset(
    {"start", "started", "begin", "began", "of", "at", "the", "time", "date", "recording", "recorded", "log", "flight",
     "utc", "gmt", "z"}
)  # fmt: skip
_IS_START = frozenset({"start", "started", "begin", "began"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Preamble:
    """Statements with their line; None where there is no plain one. ``zone_s`` is the offset from UTC [s],
    ``started_s`` the instant at which the recording began, ``date_text`` the date as written.
    """

    zone_s: float | None = None
    zone_line: int = 0
    date_text: str = ""
    date_line: int = 0
    date_order: str = ""
    started_s: float | None = None
    started_line: int = 0

    def date(self, where: str) -> dt.date | None:
        """The date that is stated. Raises :class:`TrackTimeError` where day and month can't be told apart."""
        if not self.date_text:
            return None
        dates = days_of([self.date_text], date=None, where=f"{where}, line {self.date_line}", order=self.date_order)
        day = dates.days.get(self.date_text)
        return None if day is None else dt.date.fromordinal(day + _EPOCH)


def preamble_of(lines: Sequence[str], separator: str) -> Preamble:
    """What ``lines`` (those above the headings) say."""
    zones: dict[float, int] = {}
    dates: dict[str, tuple[int, str]] = {}
    starts: list[tuple[str, bool, int]] = []
    for number, line in enumerate(lines, start=1):
        bare = line[:_LONGEST].lstrip("#%;/ \t").strip()
        if _SENTENCE.fullmatch(bare.strip(' ",;\t')):
            zones.setdefault(0.0, number)
        for key, value in _statements(bare, separator):
            zone_s = _zone(key, value)
            if zone_s is not None:
                zones.setdefault(zone_s, number)
            words = frozenset(re.findall(r"[^\W\d_]+", _BRACKETED.sub("", key).casefold()))
            if words & _IS_DATE and words <= _DATE_WORDS:
                dates.setdefault(_date_part(value), (number, order_said(key)))
            if words & _IS_START and words <= _START_WORDS:
                starts.append((value, bool(words & {"utc", "gmt", "z"}), number))
    zone = next(iter(zones.items())) if len(zones) == 1 else None
    dates.pop("", None)
    date = next(iter(dates.items())) if len(dates) == 1 else None
    zone_s = zone[0] if zone else None
    began = {
        instant: number
        for value, is_utc, number in starts
        if (instant := instant_said(value, 0.0 if is_utc else zone_s)) is not None
    }
    started = next(iter(began.items())) if len(began) == 1 else None
    return Preamble(
        zone_s=zone_s,
        zone_line=zone[1] if zone else 0,
        date_text=date[0] if date else "",
        date_line=date[1][0] if date else 0,
        date_order=date[1][1] if date else "",
        started_s=started[0] if started else None,
        started_line=started[1] if started else 0,
    )


def _statements(line: str, separator: str) -> Iterator[tuple[str, str]]:
    """Key and value of each "key: value", "key = value" or two cells side by side in a line."""
    # A preamble need not be parted as the records are.
    parting = max((separator if separator != " " else ",", ";", "\t"), key=line.count)
    cells = [cell for cell in cells_of(line, parting) if cell]
    for cell in cells:
        key, mark, value = cell.partition(":") if ":" in cell.partition("=")[0] else cell.partition("=")
        if mark and key.strip() and value.strip():
            yield key.strip(), value.strip(" \"'")
    for key, value in pairwise(cells):
        yield key.rstrip(": "), value


def _zone(key: str, value: str) -> float | None:
    if not _ZONE_KEYS.fullmatch(" ".join(key.replace("_", " ").split())):
        return None
    match = _ZONE_VALUE.fullmatch(value)
    if match is None:
        is_hours = _OFFSET_KEY.search(key) and _BARE_HOURS.fullmatch(value)
        return _offset(f"+{re.sub('[^0-9]', '', value)}") if is_hours else None
    if match["name"]:
        return 0.0
    return _offset(f"{match['sign']}{match['h']}" + (f":{match['m']}" if match["m"] else ""))


def _offset(text: str) -> float | None:
    try:
        return offset_seconds(text)
    except CallError:
        return None


def _date_part(value: str) -> str:
    apart = taken_apart(value)
    return apart.date if apart is not None and apart.date else value if any(map(str.isdigit, value)) else ""
