"""Cycles of 28 days: when one is in force, what a file says of its own, and whether it covers a date.

The cycles are those of the AIRAC system (ICAO Annex 15): a Thursday every 28 days; NN of ``YYNN`` counts from the
first that begins in year YY. Anchor: 2601 begins on 2026-01-22. Published dates are in the tests.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Final

from legwise.model.navdata import NavDataSummary

DAYS: Final = 28
_ANCHOR: Final = dt.date(2026, 1, 22)
_FIRST_YEAR: Final = 64
"""Two digits from here on are of the 1900s: the system began in 1964."""
_CYCLE = re.compile(r"([0-9]{2})([0-9]{2})", re.ASCII)


def cycle_dates(cycle: str) -> tuple[dt.date, dt.date] | None:
    """First and last day of a cycle ("2609"), both counted in; None where there is no such cycle."""
    match = _CYCLE.fullmatch(cycle)
    if match is None:
        return None
    year = int(match[1]) + (1900 if int(match[1]) >= _FIRST_YEAR else 2000)
    number = int(match[2])
    new_year = dt.date(year, 1, 1)
    first = new_year + dt.timedelta(days=(_ANCHOR - new_year).days % DAYS)
    begins = first + dt.timedelta(days=DAYS * (number - 1))
    if number < 1 or begins.year != year:
        return None
    return begins, begins + dt.timedelta(days=DAYS - 1)


def cycle_on(date: dt.date) -> str:
    """The cycle in force on a date."""
    begins = _ANCHOR + dt.timedelta(days=(date - _ANCHOR).days // DAYS * DAYS)
    number = (begins - dt.date(begins.year, 1, 1)).days // DAYS + 1
    return f"{begins.year % 100:02}{number:02}"


@dataclass(frozen=True, slots=True)
class Header:
    """What the first header record says: the name of the file, its cycle, how many records it has."""

    name: str
    cycle: str
    records: int | None


def header_of(line: str) -> Header | None:
    """The header of an ``HDR01`` or ``HDR1`` line, None where it is another line."""
    if not line.startswith("HDR01"):
        return None
    count = line[28:35].strip()
    cycle = line[35:39]
    return Header(
        name=line[5:20].strip(),
        cycle=cycle if cycle_dates(cycle) else "",
        records=int(count) if count.isascii() and count.isdigit() else None,
    )


def cycle_note(summary: NavDataSummary, date: dt.date | None) -> str:
    """In words, whether the navigation data cover a date; ``date`` None where the flight's is not known."""
    begins, ends = summary.effective_from, summary.effective_to
    if begins is None or ends is None:
        return _without_cycle(summary, date)
    data = f"the navigation data {summary.file} (cycle {summary.cycle}, {begins.isoformat()} to {ends.isoformat()})"
    if date is None:
        return f"The flight has no date to check {data} against."
    if begins <= date <= ends:
        return f"On {date.isoformat()} {data} were in force."
    in_force = f"then cycle {cycle_on(date)} was in force; check each procedure against its chart of that day"
    if date > ends:
        return f"On {date.isoformat()} {data} had been out of date for {_days((date - ends).days)}: {in_force}."
    return f"On {date.isoformat()} {data} were not yet in force for another {_days((begins - date).days)}: {in_force}."


def _without_cycle(summary: NavDataSummary, date: dt.date | None) -> str:
    words = f"The navigation data {summary.file} do not say which cycle they are"
    newest = cycle_dates(summary.newest_change)
    if newest is None:
        return f"{words}: check each procedure against its chart of the day."
    words += f"; their newest change is of cycle {summary.newest_change}, in force from {newest[0].isoformat()}"
    if date is not None and date < newest[0]:
        return f"{words}, after the flight on {date.isoformat()}: check each procedure against its chart of that day."
    return f"{words}, so they are of that cycle or a later one: check each procedure against its chart of the day."


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
