"""The records of a CSV file as columns, with the line of each: numbers at once where all are plain, as text where
not.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from legwise.errors import TrackFileError, TrackFormatError
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.layout import Layout, cells_of
from legwise.tracks.limits import ReadLimits
from legwise.tracks.numbers import TextArray, numbers_of
from legwise.tracks.wording import places, shown

if TYPE_CHECKING:
    import pandas as pd

_MOST_LINES_IN_A_CELL = 3
"""A remark may hold a line end; a cell with more has swallowed records after a quote that was never closed."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rows:
    """Columns by index: ``texts`` of strings ("" for none), ``numbers`` of floats (NaN for none); lines; what was
    found amiss.
    """

    texts: Mapping[int, TextArray]
    numbers: Mapping[int, FloatArray]
    line: IntArray
    faults: tuple[Fault, ...]


def read_rows(
    data: bytes,
    layout: Layout,
    *,
    texts: Sequence[int],
    numbers: Sequence[int],
    angles: Sequence[int],
    comma_is_decimal: bool,
    where: str,
    limits: ReadLimits,
) -> Rows:
    """Read the columns ``texts`` and ``numbers`` (of which ``angles`` may hold degrees and minutes) of every record.

    Blank lines, lines that begin with ``#`` and headings written again are no records. Raises
    :class:`TrackFormatError` on text that can't be parted into records and :class:`TrackFileError` on more records
    than the limit.
    """
    body = data[layout.data_at :]
    body, cut = _without_cut_record(body, layout, (*texts, *numbers))
    plain = b'"' not in body and b"\n#" not in body and b"\r#" not in body and not body.startswith(b"#")
    frame = _typed_frame(body, layout, texts, numbers, comma_is_decimal, limits) if plain else None
    is_typed = frame is not None
    if frame is None:
        frame = _text_frame(body, layout, where, limits)
    if len(frame) > limits.max_rows:
        raise TrackFileError(
            f"the file holds more than {limits.max_rows:,} records", where=where, remedy="Cut the log to the flight."
        )
    rows = (
        _typed_rows(frame, layout, texts, numbers)
        if is_typed
        else _text_rows(frame, layout, texts, numbers, angles, comma_is_decimal)
    )
    faults = (*rows.faults, cut) if cut is not None else rows.faults
    return Rows(texts=rows.texts, numbers=rows.numbers, line=rows.line, faults=faults)


def _names(layout: Layout) -> list[str]:
    # One name more than there are headings shows which records have too many cells.
    return [f"c{index}" for index in range(len(layout.headings) + 1)]


def _stream(body: bytes, layout: Layout) -> io.BytesIO:
    """The records after a made first one that has every column, so that pandas expects them all."""
    count = len(layout.headings) + 1
    first = " ".join(["0"] * count) if layout.separator == " " else layout.separator * (count - 1)
    return io.BytesIO(first.encode() + b"\n" + body)


def _parse(
    body: bytes,
    layout: Layout,
    used: list[str],
    dtype: Mapping[str, str] | str,
    decimal: str,
    limits: ReadLimits,
    quoting: Literal[0, 3],
) -> pd.DataFrame:
    import pandas as pd

    # The C engine with a name for every column: it neither guesses an index nor skips lines, so lines can be counted.
    frame = pd.read_csv(
        _stream(body, layout),
        sep=r"\s+" if layout.separator == " " else layout.separator,
        engine="c",
        header=None,
        names=_names(layout),
        usecols=used,
        dtype=dtype,
        decimal=decimal,
        quoting=quoting,
        keep_default_na=False,
        na_values=[""],
        index_col=False,
        skip_blank_lines=False,
        skipinitialspace=True,
        encoding="utf-8",
        nrows=limits.max_rows + 2,
    )
    return frame.iloc[1:]


def _typed_frame(
    body: bytes,
    layout: Layout,
    texts: Sequence[int],
    numbers: Sequence[int],
    comma_is_decimal: bool,
    limits: ReadLimits,
) -> pd.DataFrame | None:
    """The quick way: pandas makes the numbers. None where one is not plain."""
    names = _names(layout)
    dtype = {f"c{index}": "str" for index in texts} | {f"c{index}": "float64" for index in numbers} | {names[-1]: "str"}
    try:
        return _parse(body, layout, list(dtype), dtype, "," if comma_is_decimal else ".", limits, 0)
    except ValueError:
        # Also pandas' ParserError. The careful way says what is wrong, and where.
        return None


def _text_frame(body: bytes, layout: Layout, where: str, limits: ReadLimits) -> pd.DataFrame:
    """The careful way: every cell as text. Quotes are taken as such unless one of them swallows records."""
    frame: pd.DataFrame | None
    try:
        frame = _parse(body, layout, _names(layout), "str", ".", limits, 0)
    except ValueError:
        frame = None
    if frame is not None and (b'"' not in body or _line_ends(frame).max(initial=0) <= _MOST_LINES_IN_A_CELL):
        return frame
    try:
        return _parse(body, layout, _names(layout), "str", ".", limits, 3)
    except ValueError as error:
        reason = str(error).splitlines()[0][:100] if str(error) else "unknown"
        raise TrackFormatError(
            f"the text can't be parted into records ({reason})", where=where, remedy="Export the log again."
        ) from None


def _line_ends(frame: pd.DataFrame) -> IntArray:
    """The line ends inside the cells of each record."""
    counts = np.zeros(len(frame), dtype=np.int64)
    for name in frame.columns:
        column = frame[name].fillna("").to_numpy(dtype=object)
        counts += np.fromiter((len(re.findall(r"\r\n|\n|\r", cell)) for cell in column), np.int64, len(column))
    return counts


def _typed_rows(frame: pd.DataFrame, layout: Layout, texts: Sequence[int], numbers: Sequence[int]) -> Rows:
    columns = {index: frame[f"c{index}"].to_numpy(dtype=np.float64) for index in numbers}
    columns = {index: np.where(np.isfinite(values), values, np.nan) for index, values in columns.items()}
    strings = {index: frame[f"c{index}"].fillna("").to_numpy(dtype=object) for index in texts}
    spare = frame[_names(layout)[-1]].notna().to_numpy()
    line = layout.data_line + np.arange(len(frame), dtype=np.int64)
    filled = np.zeros(len(frame), dtype=bool)
    for values in columns.values():
        filled |= np.isfinite(values)
    for cells in strings.values():
        if filled.all():
            break
        filled |= cells != ""
    return Rows(
        texts={index: cells[filled] for index, cells in strings.items()},
        numbers={index: values[filled] for index, values in columns.items()},
        line=line[filled],
        faults=_ragged(spare & filled, line),
    )


def _text_rows(
    frame: pd.DataFrame,
    layout: Layout,
    texts: Sequence[int],
    numbers: Sequence[int],
    angles: Sequence[int],
    comma_is_decimal: bool,
) -> Rows:
    cells = {
        index: np.array([_bare(cell) for cell in frame[f"c{index}"].fillna("")], dtype=object)
        for index in sorted({0, *texts, *numbers})
    }
    ends = _line_ends(frame)
    line = layout.data_line + np.arange(len(frame), dtype=np.int64) + np.cumsum(ends) - ends
    record = np.array([not cell.startswith("#") for cell in cells[0]], dtype=bool)
    filled = np.zeros(len(frame), dtype=bool)
    again = np.ones(len(frame), dtype=bool)
    for index in (*texts, *numbers):
        filled |= cells[index] != ""
        again &= cells[index] == layout.headings[index]
    again &= record & filled
    keep = record & filled & ~again
    faults = list(_ragged(frame[_names(layout)[-1]].notna().to_numpy() & keep, line))
    if again.any():
        faults.append(
            Fault(
                kind="repeated-heading",
                count=int(again.sum()),
                detail=f"headings again in {places(line[again].tolist())}",
            )
        )
    values: dict[int, FloatArray] = {}
    kept_line = line[keep]
    unreadable: list[int] = []
    for index in numbers:
        column = numbers_of(cells[index][keep], comma_is_decimal=comma_is_decimal, angles=index in angles)
        values[index] = column.values
        unreadable += kept_line[column.unreadable].tolist()
        if column.doubtful.size:
            first = cells[index][keep][column.doubtful[0]]
            faults.append(_doubtful(layout.headings[index], first, kept_line[column.doubtful].tolist()))
    if unreadable:
        faults.append(
            Fault(
                kind="unreadable-value",
                count=len(unreadable),
                detail=f"no number where one is due: {places(sorted(set(unreadable)))}; taken as not recorded",
            )
        )
    return Rows(
        texts={index: cells[index][keep] for index in texts}, numbers=values, line=kept_line, faults=tuple(faults)
    )


def _bare(cell: str) -> str:
    return cell.strip().strip('"').strip() if cell[:1] in "\"' " or cell[-1:] in '" ' else cell


def _doubtful(heading: str, first: str, lines: list[int]) -> Fault:
    detail = (
        f"{shown(first, 20)} and the like in {shown(heading)}: whether the mark parts thousands or a fraction can't be "
        f"told from the column, in {places(lines)}; taken as not recorded"
    )
    return Fault(kind="doubtful-number", count=len(lines), detail=detail)


def _ragged(spare: BoolArray, line: IntArray) -> tuple[Fault, ...]:
    if not spare.any():
        return ()
    lines = line[spare].tolist()
    return (
        Fault(
            kind="ragged-row",
            count=len(lines),
            detail=f"more cells than headings in {places(lines)}; the first ones are read",
        ),
    )


def _without_cut_record(body: bytes, layout: Layout, used: Sequence[int]) -> tuple[bytes, Fault | None]:
    """The records without a last one that the end of the file cuts: too few cells, or a position or time cut in its
    figures.
    """
    if not body or body.endswith((b"\n", b"\r")):
        return body, None
    tail = body[-20_000:].decode("utf-8", errors="ignore")
    lines = re.split(r"\r\n|\n|\r", tail)
    before = [
        cells_of(line, layout.separator) for line in lines[-12:-1][1:] if line.strip() and not line.startswith("#")
    ]
    last = cells_of(lines[-1], layout.separator)
    if len(before) < 2 or not last:
        return body, None
    usual = min(len(cells) for cells in before)
    at = len(last) - 1
    is_cut = len(last) < usual
    if not is_cut and at in used and all(len(cells) > at for cells in before):
        decimals = [len(cells[at].replace(",", ".").partition(".")[2]) for cells in before]
        is_cut = min(decimals) >= 3 and len(last[at].replace(",", ".").partition(".")[2]) < min(decimals)
    if not is_cut:
        return body, None
    fault = Fault(kind="cut-short", count=1, detail="the file ends inside its last record, which is left out")
    return body[: len(body) - len(lines[-1].encode("utf-8"))], fault
