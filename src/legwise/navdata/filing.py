"""A file of records sorted into groups, once through; and what is wrong with any of them."""

from __future__ import annotations

import pathlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from legwise.errors import NavDataError
from legwise.model.navdata import NavDataSummary
from legwise.navdata.airways import airway_points
from legwise.navdata.columns import LAYOUTS
from legwise.navdata.cycles import Header, cycle_dates, header_of
from legwise.navdata.lines import lines_in
from legwise.navdata.points import POINT_MAKERS
from legwise.navdata.procedures import KINDS, procedure_of
from legwise.navdata.records import Problems, Record, decoded_records, entry_of, left_out, records_of
from legwise.navdata.store import place_of
from legwise.navdata.wording import shown, shown_path

MOST_LINES: Final = 5_000_000
"""A whole country has some 400,000 records."""
_NEED: Final = "Name a text file of ARINC 424 records (132 columns each), or give a list of fixes as [navdata] fixes."
_CYCLE_COLUMNS: Final = slice(128, 132)


@dataclass(frozen=True, slots=True)
class Filed:
    """What a file holds: its records by key, of each key that one at least can be used of; and the summary."""

    groups: Mapping[str, Sequence[str]]
    summary: NavDataSummary


class _Sorter:
    def __init__(self) -> None:
        self.groups: dict[str, list[str]] = {}
        self.counts: Counter[str] = Counter()
        self.problems = Problems()
        self.header: Header | None = None
        self.headers = 0
        self.records = 0
        self.changes: set[str] = set()

    def take(self, line: int, text: str) -> None:
        if text.startswith("HDR"):
            self.headers += 1
            self.header = self.header or header_of(text)
            return
        section, key, fault = place_of(text)
        if fault:
            self.problems.add(line, (fault,))
        if not section:
            return
        self.records += 1
        self.counts[section] += 1
        if section in LAYOUTS:
            self.changes.add(text[_CYCLE_COLUMNS])
        if key:
            self.groups.setdefault(key, []).append(entry_of(line, text))

    def newest_change(self) -> str:
        dated = [(dates[0], cycle) for cycle in self.changes if (dates := cycle_dates(cycle)) is not None]
        return max(dated)[1] if dated else ""


def filed(path: pathlib.Path, content: bytes) -> Filed:
    """The records of a file by their keys; every record was read once, and what is wrong is in the summary.

    Raises
    ------
    NavDataError
        No record of the kinds that are read can be used.
    """
    sorter = _Sorter()
    for number, raw in enumerate(lines_in(content), 1):
        if number > MOST_LINES:
            raise NavDataError(
                f"the file has more than {MOST_LINES // 1_000_000} million lines, which no country's procedures have",
                where=shown_path(path),
                remedy=_NEED,
            )
        text = raw.decode("latin-1").rstrip(" ")
        if text:
            sorter.take(number, text)
    groups: dict[str, list[str]] = {}
    for key, entries in sorter.groups.items():
        problems = Problems()
        if _check(key, records_of(entries), problems):
            groups[key] = entries
        if problems.count:
            sorter.problems.take(problems)
    found = sorter.problems.kept()
    if not groups:
        raise _no_records(path, sorter, found[0].message if found else "")
    cycle = sorter.header.cycle if sorter.header else ""
    dates = cycle_dates(cycle)
    summary = NavDataSummary(
        file=path.name,
        cycle=cycle,
        effective_from=dates[0] if dates else None,
        effective_to=dates[1] if dates else None,
        counts=dict(sorted(sorter.counts.items())),
        problem_count=sorter.problems.count,
        problems=found,
        newest_change=sorter.newest_change(),
        notes=_notes(sorter),
    )
    return Filed(groups, summary)


def _check(key: str, records: Sequence[Record], problems: Problems) -> bool:
    """Read the records of a group as they will be read when asked for; True where any can be used."""
    kind, *names = key.split("\t")
    if kind == "procedure":
        airport, section, ident = names
        return procedure_of(airport, ident, KINDS[section], records, problems) is not None
    if kind == "airway":
        return bool(airway_points(records, problems))
    is_any = False
    for section, record, decoded in decoded_records(records, problems):
        if POINT_MAKERS[section](decoded.values, record.line) is None:
            problems.add(record.line, ("record not used: it has no position",))
        else:
            is_any = True
            problems.add(record.line, left_out(decoded.faults))
    return is_any


def _notes(sorter: _Sorter) -> tuple[str, ...]:
    notes = []
    told = sorter.header.records if sorter.header else None
    if told is not None and told not in (sorter.records, sorter.records + sorter.headers):
        notes.append(
            f"the header counts {told} records and the file holds {sorter.records}: it is an excerpt or cut short"
        )
    return tuple(notes)


def _no_records(path: pathlib.Path, sorter: _Sorter, first: str) -> NavDataError:
    if sorter.records:
        counted = ", ".join(f"{count} of {shown(section)}" for section, count in sorter.counts.most_common(3))
        message = f"none of its {sorter.records} records can be used ({counted})"
    else:
        message = "it holds no record of coded navigation data"
    return NavDataError(
        f"{message}; {first}" if first else message,
        where=shown_path(path),
        remedy=_NEED,
    )
