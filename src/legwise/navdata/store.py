"""Records by what they are asked for: the key of a group and the lines in it.

A key is a kind and what it is asked by, tabs between: ``fix⇥BTV``, ``airport⇥KBTV``, ``procedure⇥KBTV⇥PF⇥I15``. No
line with a tab in it is filed, so keys can't run into each other.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple, Protocol

from legwise.navdata.columns import LAYOUTS, WIDTH, section_of
from legwise.navdata.procedures import KINDS
from legwise.navdata.records import Record, is_primary, records_of
from legwise.navdata.wording import shown

LAST_CHARACTER: Final = chr(0x10FFFF)
_CONTINUATION: Final = re.compile("[2-9A-Z]")
_BY_AIRPORT: Final = {"PG": "runway", "PI": "localizer", "PP": "path-point"}


class Store(Protocol):
    """Where records are looked up."""

    def records(self, key: str) -> Sequence[Record]:
        """The records of a group in the order of the file; none where there is no such group."""

    def keys(self, prefix: str, most: int | None = None) -> Sequence[str]:
        """Keys that begin with ``prefix``, sorted; the first ``most`` of them."""


class MemoryStore:
    """Records in memory, by key, each as :func:`legwise.navdata.records.entry_of` makes it."""

    def __init__(self, groups: Mapping[str, Sequence[str]]) -> None:
        self._groups = groups
        self._keys = sorted(groups)

    def records(self, key: str) -> Sequence[Record]:
        """As in :class:`Store`."""
        return records_of(self._groups.get(key, ()))

    def keys(self, prefix: str, most: int | None = None) -> Sequence[str]:
        """As in :class:`Store`."""
        start, end = bisect_left(self._keys, prefix), bisect_left(self._keys, prefix + LAST_CHARACTER)
        return self._keys[start : end if most is None else min(end, start + most)]


class Place(NamedTuple):
    """Where a line belongs: its section, empty where it is no record; its key, None if it is not filed; what is wrong.

    A record of a section that is not read has neither a key nor a fault, nor has a continuation of one that has none.
    """

    section: str
    key: str | None
    fault: str


def place_of(text: str) -> Place:
    """Where a line belongs, which holds more than blanks and is no header. A record that is filed can be decoded."""
    fault = _fault_of_line(text)
    if fault:
        return Place("", None, fault)
    columns = text.ljust(WIDTH)
    section = section_of(columns)
    layout = LAYOUTS.get(section)
    if layout is None:
        return Place(section, None, "")
    if not is_primary(section, columns):
        number = columns[layout.continuation - 1]
        if not _CONTINUATION.fullmatch(number):
            fault = f"record not used: {shown(number)} (column {layout.continuation}) is no continuation number"
            return Place(section, None, fault)
        if section not in KINDS:
            return Place(section, None, "")
    key = _key_of(section, columns)
    return Place(section, key, "" if key else f"record not used: the {layout.what} has no ident")


def _fault_of_line(text: str) -> str:
    if len(text) > WIDTH:
        return f"record not used: {len(text)} columns where a record has {WIDTH}"
    if not text.isprintable():
        return "record not used: it holds control characters"
    if text[:1] not in ("S", "T"):
        return f"line not used: it begins with {shown(text[:5])}, where a record begins with S or T and its area"
    if len(text) < 13:
        return f"record not used: {shown(text)} is cut short"
    return ""


def _key_of(section: str, columns: str) -> str | None:
    """The key that a record is filed under, None where what it would be asked by is blank."""
    parts: tuple[str, ...]
    if section in ("PD", "PE", "PF"):
        parts = ("procedure", columns[6:10].strip(), section, columns[13:19].strip())
    elif section in _BY_AIRPORT:
        parts = (_BY_AIRPORT[section], columns[6:10].strip())
    elif section == "PA":
        parts = ("airport", columns[6:10].strip())
    elif section == "ER":
        parts = ("airway", columns[13:18].strip())
    else:
        parts = ("fix", columns[13 : 18 if section in ("EA", "PC") else 17].strip())
    return "\t".join(parts) if all(parts) else None
