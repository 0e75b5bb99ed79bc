"""A last record that the end of the file cuts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from legwise.model.track import Fault
from legwise.tracks.table.layout import STARTS_LIKE_VALUE, Layout, cells_of

_TAIL = 20_000
_LINES = 12


def without_cut_record(body: bytes, layout: Layout, used: Sequence[int]) -> tuple[bytes, tuple[Fault, ...]]:
    """The records without a last one that the end of the file cuts: too few cells, or a position or time cut in its
    figures. A last line of text is no record.
    """
    if not body or body.endswith((b"\n", b"\r")):
        return body, ()
    tail = body[-_TAIL:].decode("utf-8", errors="ignore")
    lines = re.split(r"\r\n|\n|\r", tail)
    before = [
        cells_of(line, layout.separator) for line in lines[-_LINES:-1][1:] if line.strip() and not line.startswith("#")
    ]
    last = cells_of(lines[-1], layout.separator)
    if len(before) < 2 or not any(STARTS_LIKE_VALUE.match(cell) for cell in last):
        return body, ()
    usual = min(len(cells) for cells in before)
    at = len(last) - 1
    is_cut = len(last) < usual
    if not is_cut and at in used and all(len(cells) > at for cells in before):
        decimals = [_decimals(cells[at]) for cells in before]
        is_cut = min(decimals) >= 3 and _decimals(last[at]) < min(decimals)
    if not is_cut:
        return body, ()
    fault = Fault(kind="cut-short", count=1, detail="the file ends inside its last record, which is left out")
    return body[: len(body) - len(lines[-1].encode("utf-8"))], (fault,)


def _decimals(cell: str) -> int:
    return len(cell.replace(",", ".").partition(".")[2])
