"""The text of a CSV file parted into records and cells, as frames."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from legwise.errors import TrackFormatError
from legwise.model.arrays import IntArray
from legwise.tracks.limits import ReadLimits
from legwise.tracks.table.filled_lines import count_of_lines
from legwise.tracks.table.layout import Layout
from legwise.tracks.values.numbers import SPREADSHEET_BLANKS

if TYPE_CHECKING:
    import pandas as pd

_MOST_LINES_IN_A_CELL = 3
"""A remark may hold a line end; a cell with more has swallowed records after a quote that was never closed."""


MOST_OTHER_LINES = 1000
"""So many lines of a file may be no records (headings, remarks) before it is counted with care."""


def most_lines(limits: ReadLimits) -> int:
    """The lines that are read at the most."""
    return limits.max_rows + MOST_OTHER_LINES


def names(layout: Layout) -> list[str]:
    """The names of the columns in a frame, and of one more."""
    # One name more than there are headings shows which records have too many cells.
    return [f"c{index}" for index in range(len(layout.headings) + 1)]


def _stream(body: bytes, layout: Layout) -> io.BytesIO:
    """The records after a made first one that has every column, so that pandas expects them all."""
    count = len(layout.headings) + 1
    first = " ".join(["0"] * count) if layout.separator == " " else layout.separator * (count - 1)
    return io.BytesIO(first.encode() + b"\n" + body)


def parse(
    body: bytes,
    layout: Layout,
    used: list[str],
    dtype: Mapping[str, str] | str,
    decimal: str,
    limits: ReadLimits,
    quoting: Literal[0, 3],
) -> pd.DataFrame:
    """The columns ``used`` of the records. Raises :class:`ValueError` where they can't be parted or read."""
    import pandas as pd

    # The C engine with a name for every column: it neither guesses an index nor skips lines, so lines can be counted.
    frame = pd.read_csv(
        _stream(body, layout),
        sep=r"\s+" if layout.separator == " " else layout.separator,
        engine="c",
        header=None,
        names=names(layout),
        usecols=used,
        dtype=dtype,
        decimal=decimal,
        quoting=quoting,
        keep_default_na=False,
        na_values=["", *SPREADSHEET_BLANKS],
        index_col=False,
        skip_blank_lines=False,
        skipinitialspace=True,
        encoding="utf-8",
        nrows=most_lines(limits) + 2,
    )
    return frame.iloc[1:]


def text_frame(
    body: bytes, layout: Layout, wanted: Sequence[int], where: str, limits: ReadLimits
) -> tuple[pd.DataFrame, IntArray]:
    """Every cell that is needed as text, and the line ends inside the cells of each record.

    Quotes are taken as such unless one of them swallows records.
    """
    every = names(layout)
    needed = [f"c{index}" for index in sorted({0, *wanted})] + every[-1:]
    try:
        frame = parse(body, layout, needed, "str", ".", limits, 0)
        if b'"' not in body or len(frame) == count_of_lines(body):
            return frame, np.zeros(len(frame), dtype=np.int64)
        frame = parse(body, layout, every, "str", ".", limits, 0)
        ends = _line_ends(frame)
        if ends.max(initial=0) <= _MOST_LINES_IN_A_CELL:
            return frame, ends
    except ValueError:
        # A quote that is never closed; the next try takes quotes as any character.
        pass
    try:
        frame = parse(body, layout, needed, "str", ".", limits, 3)
    except ValueError as error:
        reason = str(error).splitlines()[0][:100] if str(error) else "unknown"
        raise TrackFormatError(
            f"the text can't be parted into records ({reason})", where=where, remedy="Export the log again."
        ) from None
    return frame, np.zeros(len(frame), dtype=np.int64)


def _line_ends(frame: pd.DataFrame) -> IntArray:
    """The line ends inside the cells of each record."""
    counts = np.zeros(len(frame), dtype=np.int64)
    for name in frame.columns:
        column = frame[name].fillna("").to_numpy(dtype=object)
        counts += np.fromiter((len(re.findall(r"\r\n|\n|\r", cell)) for cell in column), np.int64, len(column))
    return counts
