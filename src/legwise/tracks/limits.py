"""How much of a stranger's file is read before it is refused."""

from __future__ import annotations

from dataclasses import dataclass, fields

from legwise.errors import CallError


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadLimits:
    """Bounds on reading one file; what is beyond is refused by name, and never read in part.

    Each default lies several times above what a flight needs, and no higher than a laptop bears: the heaviest file
    inside them all (CSV of 430 MB, 2.9 million rows of 18 columns) took 3 GB of memory at its peak.

    Parameters
    ----------
    max_file_bytes
        The file as given, told by its size before it is opened. 12 h at 10 Hz are 30 MB of plain CSV, 45 MB of GPX,
        some 220 MB of NMEA with all its satellites, some 350 MB of CSV with a hundred columns.
    max_bytes
        The text, unpacked where it came in an archive; unpacking stops there. As much as a plain file.
    max_rows
        The records (blank lines are none): 12 h at 50 Hz are 2,160,000. Reading stops soon after the first beyond.
    max_depth
        How deep XML elements nest. GPX and KML with extensions nest some ten deep.
    max_columns
        The columns of a CSV file. Recorders of engine and flight write one or two hundred (from memory).
    max_members
        The files in a zip that are looked at, and how large its directory may be.

    Raises
    ------
    CallError
        A limit is no whole number of at least 1.
    """

    max_file_bytes: int = 512_000_000
    max_bytes: int = 512_000_000
    max_rows: int = 3_000_000
    max_depth: int = 64
    max_columns: int = 400
    max_members: int = 100

    def __post_init__(self) -> None:
        for field in fields(self):
            value: object = getattr(self, field.name)
            # True is a whole number to Python, and no limit to anybody.
            if not isinstance(value, int) or isinstance(value, bool) or value < 1:
                raise CallError(
                    f"{field.name} is no whole number of at least 1",
                    where=f"limits.{field.name}",
                    remedy=f"Leave it out, which is {field.default:,}, or give a whole number.",
                )
