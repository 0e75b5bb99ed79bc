"""The types of NMEA 0183 sentences that are read, as numbers that can be compared by the column."""

from __future__ import annotations

from typing import Final


def _code(letters: str) -> int:
    """Letters as one number, the first the highest byte."""
    return int.from_bytes(letters.encode("ascii"), "big")


RMC: Final = _code("RMC")
GGA: Final = _code("GGA")
GLL: Final = _code("GLL")
GNS: Final = _code("GNS")
VTG: Final = _code("VTG")
ZDA: Final = _code("ZDA")

LEAST_COMMAS: Final = {RMC: 9, GGA: 12, GLL: 6, GNS: 11, VTG: 6, ZDA: 4}
"""How many commas a sentence without a checksum has at least, lest one that was cut off is taken for a whole one: all
that is read of it, and one more field where the last is a number.
"""

USED: Final = tuple(LEAST_COMMAS)


def name_of(code: int) -> str:
    """The three letters of a type, or the two of a talker."""
    return code.to_bytes(3, "big").lstrip(b"\0").decode("ascii")
