"""What an NMEA 0183 log holds besides the sentences that are used: counted, with the lines of the first few."""

from __future__ import annotations

from dataclasses import dataclass, field

from legwise.model.arrays import IntArray
from legwise.tracks.wording import joined

_LINES_KEPT = 5
"""Lines that are named in a message."""


@dataclass(slots=True)
class LineTally:
    """How many, and the lines of the first few: of hundreds of thousands no more is ever said."""

    count: int = 0
    first: list[int] = field(default_factory=list)

    def add(self, lines: IntArray) -> None:
        """Count some more, by their lines in the order of the file."""
        self.count += len(lines)
        self.first += lines[: _LINES_KEPT - len(self.first)].tolist()

    def words(self) -> str:
        """The lines for a message, the rest counted."""
        rest = self.count - len(self.first)
        some = [*map(str, self.first), *([f"{rest} more"] if rest else [])]
        return f"line {some[0]}" if len(some) == 1 else f"lines {joined(some)}"


@dataclass(slots=True)
class Tally:
    """What was found in a log besides the sentences that are used, added up over its pieces.

    ``unused`` counts believed sentences of other types, ``bad_sums`` those whose checksum is wrong, by type.
    ``damaged`` sentences are cut off or have no form, ``loose`` lines hold no sentence at all. ``cut_short_line`` is
    the last line where it ends in the middle of a sentence. ``without_sum`` counts used sentences without a checksum.
    """

    unused: dict[str, int] = field(default_factory=dict)
    bad_sums: dict[str, int] = field(default_factory=dict)
    bad: LineTally = field(default_factory=LineTally)
    damaged: LineTally = field(default_factory=LineTally)
    loose: LineTally = field(default_factory=LineTally)
    cut_short_line: int = 0
    without_sum: int = 0
