"""What the headers of an IGC file say that matters here: the dates, what the altitudes are above, the datum, units."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, field

from legwise.tracks.wording import places, shown

_EPOCH_ORDINAL = dt.date(1970, 1, 1).toordinal()
_DATE = re.compile(r"H[A-Z]DTE(?:DATE)?[:\s]*(\d\d)(\d\d)(\d\d)(?!\d)", re.IGNORECASE)
_FROM_YEAR = 1990
"""An earlier one is what a receiver says that never heard a satellite."""

_WGS84 = re.compile(r"WGS\W*(19)?84", re.IGNORECASE)
_NAMED = ("ALG", "ALP", "PRS", "DTM", "UNT")
_MOST_VALUES = 20


@dataclass(slots=True)
class Headers:
    """What was found so far. ``dates`` are pairs of line and day since 1970-01-01, in the order of the file."""

    dates: list[tuple[int, int]] = field(default_factory=list)
    bad_dates: list[tuple[int, str]] = field(default_factory=list)
    values: dict[str, list[str]] = field(default_factory=dict)

    def read(self, text: str, line: int) -> None:
        """Take in one H record: H, who wrote it, three letters, a long name, a colon, the value (A 3.3)."""
        code = text[2:5].upper()
        if code == "DTE":
            day = _day(text)
            if day is None:
                self.bad_dates.append((line, text.strip()))
            else:
                self.dates.append((line, day))
        elif code in _NAMED:
            _name, colon, value = text[5:].partition(":")
            said = (value if colon else text[5:]).strip()
            known = self.values.setdefault(code, [])
            if said and said not in known and len(known) < _MOST_VALUES:
                known.append(said)

    def said(self, code: str, words: dict[str, str]) -> tuple[str, str]:
        """Which of the words (each with the pattern that tells it) the header ``code`` says, and its text.

        ``?`` stands for a text that is none of them, or for texts that say several; empty where there is no header.
        """
        texts = self.values.get(code, [])
        if not texts:
            return "", ""
        told = {next((word for word, sign in words.items() if re.match(sign, text, re.I)), "?") for text in texts}
        return (told.pop() if len(told) == 1 else "?"), texts[0]

    def notes(self) -> list[str]:
        """What else is to be told: another datum, and dates that are none."""
        notes: list[str] = []
        others = [text for text in self.values.get("DTM", []) if not _WGS84.search(text)]
        if others:
            notes.append(
                f"the header DTM names the datum {shown(others[0])}; positions are read as WGS 84 all the same"
            )
        if self.bad_dates:
            text = self.bad_dates[0][1]
            which = places([line for line, _text in self.bad_dates])
            notes.append(f"a date header that holds no date of a flight is not used: {shown(text)} ({which})")
        return notes


def _day(text: str) -> int | None:
    """The day of ``HFDTEDDMMYY`` or ``HFDTEDATE:DDMMYY,NN``; the two figures of the year are of 1990 to 2079."""
    match = _DATE.match(text)
    if match is None:
        return None
    day, month, year = (int(figures) for figures in match.groups())
    try:
        date = dt.date(year + (1900 if year >= 80 else 2000), month, day)
    except ValueError:
        return None
    return date.toordinal() - _EPOCH_ORDINAL if date.year >= _FROM_YEAR else None


def date_of(day: int) -> dt.date:
    """The date of a day since 1970-01-01, of those that calendars have."""
    return dt.date.fromordinal(min(max(day + _EPOCH_ORDINAL, 1), dt.date.max.toordinal()))
