"""Records by what they are asked for: the key of a group and the lines in it.

A key is a kind and what it is asked by, tabs between: ``fix⇥BTV``, ``airport⇥KBTV``, ``procedure⇥KBTV⇥PF⇥I15``. No
line with a tab in it is filed, so keys can't run into each other.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import Final, Protocol

from legwise.navdata.records import Record, records_of

LAST_CHARACTER: Final = chr(0x10FFFF)
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


def key_of(section: str, columns: str) -> str | None:
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
