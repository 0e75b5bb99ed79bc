"""How much of a stranger's file is read before it is refused."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadLimits:
    """Bounds on reading one file. A flight of 12 h at 10 Hz has 432,000 records and some 50 MB of text.

    ``max_file_bytes`` bounds the file as given, ``max_bytes`` what it unpacks to, ``max_rows`` the records,
    ``max_depth`` how deep XML elements nest, ``max_columns`` the columns of a CSV file, ``max_members`` the files in
    a zip.
    """

    max_file_bytes: int = 512_000_000
    max_bytes: int = 512_000_000
    max_rows: int = 3_000_000
    max_depth: int = 64
    max_columns: int = 400
    max_members: int = 100
