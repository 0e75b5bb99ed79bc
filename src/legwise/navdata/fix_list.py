"""A plain list of fixes: CSV with a header, the columns ident, lat_deg, lon_deg and kind in any order."""

from __future__ import annotations

import csv
import io
import math
import os
import pathlib
import typing
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from legwise.errors import NavDataError
from legwise.model.lesson import FixKind
from legwise.model.navdata import CodedFix, FixKey, NavData, NavDataSummary, Section
from legwise.navdata.lines import content_of
from legwise.navdata.listed import ListedNavData
from legwise.navdata.wording import shown, shown_path

MOST_FIXES: Final = 200_000
MOST_BYTES: Final = 20_000_000
_NEEDED: Final = ("ident", "lat_deg", "lon_deg")
_KIND: Final = "kind"
_KINDS: Final = typing.get_args(FixKind)
_LONGEST_IDENT: Final = 60
_HEADER = "Begin the list with a line like: ident,lat_deg,lon_deg,kind"
_NEEDED_FILE = "Name a list of fixes: a CSV text, like a spreadsheet saves it. Save it as UTF-8."
_BLANKS = " \t\u00a0"
_EXAMPLE = "Write each fix like: BRAKO,46.512300,-28.004100,waypoint"


def read_fix_list(path: str | os.PathLike[str]) -> NavData:
    """A list of fixes as navigation data that hold nothing else. One ident may stand at several places.

    A header is needed; where there is no column ``kind``, or a cell of it is blank, the fix is a waypoint. Other
    columns are passed over, which ``summary.notes`` say.

    Raises
    ------
    NavDataError
        The file can't be read or is no such list, with the line that is wrong.
    """
    place = pathlib.Path(path)
    where = shown_path(place)
    content, _digest = content_of(place, _NEEDED_FILE)
    if len(content) > MOST_BYTES:
        raise NavDataError(
            f"the list is larger than {MOST_BYTES // 1_000_000} MB",
            where=where,
            remedy="Keep the fixes that are flown.",
        )
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise NavDataError("the list is not UTF-8", where=f"{where}, line {line}", remedy="Save it as UTF-8.") from None
    rows = _rows(text, where)
    columns, notes = _columns(rows, where)
    fixes: dict[tuple[str, FixKind, float, float], CodedFix] = {}
    blank_kinds = 0
    for line, row in rows:
        fix, is_kind_blank = _fix(row, columns, line, where)
        blank_kinds += is_kind_blank
        fixes.setdefault((fix.ident, fix.kind, fix.lat_deg, fix.lon_deg), fix)
        if len(fixes) > MOST_FIXES:
            raise NavDataError(
                f"the list holds more than {MOST_FIXES} fixes", where=where, remedy="Keep the fixes that are flown."
            )
    if not fixes:
        raise NavDataError("the list holds no fix", where=where, remedy=_EXAMPLE)
    if _KIND not in columns:
        notes.append("the list has no column kind: every fix is taken for a waypoint")
    elif blank_kinds:
        notes.append(f"fixes without a kind, taken for waypoints: {blank_kinds}")
    return ListedNavData(list(fixes.values()), _summary(place, len(fixes), tuple(notes)))


def _summary(place: pathlib.Path, count: int, notes: tuple[str, ...]) -> NavDataSummary:
    return NavDataSummary(
        file=place.name,
        cycle="",
        effective_from=None,
        effective_to=None,
        counts={Section.LIST.value: count},
        problem_count=0,
        problems=(),
        notes=notes,
    )


def _rows(text: str, where: str) -> Iterator[tuple[int, Sequence[str]]]:
    """Line number and cells of each row that is not blank; the number is that of the line on which the row begins."""
    # Without translation a quoted line end stays in its cell, and nothing but LF, CR and CRLF is one (RFC 4180).
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    while True:
        line = reader.line_num + 1
        try:
            row = next(reader, None)
        except csv.Error as error:
            raise NavDataError(
                f"the line is no CSV ({error})", where=f"{where}, line {line}", remedy=_EXAMPLE
            ) from None
        if row is None:
            return
        if any(cell.strip() for cell in row):
            yield line, row


def _columns(rows: Iterator[tuple[int, Sequence[str]]], where: str) -> tuple[dict[str, int], list[str]]:
    """Where each column stands, from the header, and notes on those that are passed over."""
    line, header = next(rows, (1, []))
    names = [cell.strip().casefold() for cell in header]
    place = f"{where}, line {line}"
    missing = [name for name in _NEEDED if name not in names]
    if missing:
        raise NavDataError(
            f"the header {shown(','.join(header))} has no column {' and no column '.join(missing)}",
            where=place,
            remedy=_HEADER,
        )
    counted = Counter(names)
    twice = [name for name in (*_NEEDED, _KIND) if counted[name] > 1]
    if twice:
        raise NavDataError(f"the header has the column {twice[0]} twice", where=place, remedy=_HEADER)
    others = [name for name in names if name not in (*_NEEDED, _KIND)]
    notes = []
    if others:
        some = ", ".join(shown(name) for name in others[:5]) + (
            f" and {len(others) - 5} more" if len(others) > 5 else ""
        )
        notes.append(f"columns of the list that are not read: {some}")
    return {name: names.index(name) for name in (*_NEEDED, _KIND) if name in names}, notes


def _fix(row: Sequence[str], columns: Mapping[str, int], line: int, where: str) -> tuple[CodedFix, bool]:
    place = f"{where}, line {line}"
    if len(row) <= max(columns.values()):
        raise NavDataError(f"the line has {len(row)} cells, fewer than the header", where=place, remedy=_EXAMPLE)
    ident = row[columns["ident"]].strip(_BLANKS)
    if not ident or len(ident) > _LONGEST_IDENT or not ident.isprintable():
        raise NavDataError(f"{shown(ident)} is no ident", where=place, remedy=_EXAMPLE)
    kind = row[columns[_KIND]].strip().casefold() if _KIND in columns else ""
    if kind and kind not in _KINDS:
        raise NavDataError(
            f"{shown(kind)} is no kind of fix", where=place, remedy=f"Write one of: {', '.join(_KINDS)}."
        )
    fix_kind: FixKind = kind or "waypoint"  # type: ignore[assignment]
    return (
        CodedFix(
            key=FixKey(ident=ident, region="", section=Section.LIST),
            kind=fix_kind,
            name="",
            lat_deg=_degrees(row[columns["lat_deg"]], "lat_deg", 90.0, place),
            lon_deg=_degrees(row[columns["lon_deg"]], "lon_deg", 180.0, place),
            line=line,
        ),
        not kind,
    )


def _degrees(cell: str, name: str, most: float, place: str) -> float:
    figures = cell.strip()
    try:
        value = float(figures) if figures.isascii() and "_" not in figures else math.nan
    except ValueError:
        value = math.nan
    if not abs(value) <= most:
        raise NavDataError(
            f"{name} {shown(figures)} is no number from {-most:g} to {most:g}",
            where=place,
            remedy="Write degrees with a decimal point, north and east positive.",
        )
    return value
