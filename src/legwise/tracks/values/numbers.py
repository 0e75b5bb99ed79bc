"""Text to numbers, column by column: quickly where the text is plain, carefully where it isn't."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from legwise.geodesy import wrap_180
from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.values.angles import TextArray, angles_of

SPREADSHEET_BLANKS = (
    "#N/A", "#NA", "#NV", "#VALUE!", "#DIV/0!", "#REF!", "#NAME?", "#NUM!", "#NULL!", "#WERT!", "#BEZUG!", "#ZAHL!",
)  # fmt: skip
"""What a spreadsheet writes into a cell that it can't fill."""

_NOT_RECORDED = frozenset(
    {"", "-", "--", "---", "n/a", "na", "nan", "null", "none", "nil", "*", "?"}
    | {text.lower() for text in SPREADSHEET_BLANKS}
)
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
_GROUPED = re.compile(r"[1-9]\d{0,2}(\.\d{3})+|[1-9]\d{0,2}(,\d{3})+")
_SPACED = re.compile(r"[+-]?[1-9]\d{0,2}([ ']\d{3})+")
_FRACTION = re.compile(r"\d+[.,]\d*|[.,]\d+")
_SAMPLE = 200
_MOST_KNOWN = 10_000
"""So many different texts are kept in mind with their numbers: columns repeat themselves."""

_UNGROUPED = re.compile(r"[1-9]\d{3}")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Numbers:
    """A column of numbers, NaN where none was recorded; the rows whose text is no number, and those whose mark can be
    one of thousands or of a fraction. Of positions also: where a letter gave the sign, and which have minutes.
    """

    values: FloatArray
    unreadable: IntArray
    doubtful: IntArray
    lettered: BoolArray | None = None
    has_minutes: BoolArray | None = None


def numbers_of(texts: TextArray, *, comma_is_decimal: bool = False, axis: Quantity | None = None) -> Numbers:
    """The numbers of a column of text.

    With ``comma_is_decimal`` a comma is the decimal sign and a point before just three figures parts thousands; else
    the other way round. With ``axis`` (latitude or longitude) there are no thousands, and degrees with minutes,
    seconds and a letter for the hemisphere are read too. What isn't finite is no number.
    """
    plain = texts
    if comma_is_decimal:
        plain = np.array([text.replace(",", ".") if "." not in text else text for text in texts.tolist()], dtype=object)
    return _positions(plain, axis) if axis is not None else _marked(texts, _quickly(plain), comma_is_decimal)


def _quickly(texts: TextArray) -> FloatArray:
    """Plain numbers; NaN for the rest."""
    import pandas as pd

    values = np.array(pd.to_numeric(pd.Series(texts, dtype=object), errors="coerce"), dtype=np.float64)
    values[np.isinf(values)] = np.nan
    return values


def _positions(texts: TextArray, axis: Quantity) -> Numbers:
    some = [text for text in texts[:_SAMPLE].tolist() if text]
    are_plain = sum(bool(_PLAIN.fullmatch(text)) for text in some) > len(some) / 2
    values = _quickly(texts) if are_plain else np.full(len(texts), np.nan)
    rows = np.flatnonzero(np.isnan(values))
    lettered, has_minutes = np.zeros(len(texts), dtype=bool), np.zeros(len(texts), dtype=bool)
    found = angles_of(texts[rows], axis)
    values[rows], lettered[rows], has_minutes[rows] = found.values, found.lettered, found.has_minutes
    rows = rows[np.isnan(found.values)]
    rows = rows[np.array([not _is_none(text) for text in texts[rows].tolist()], dtype=bool)]
    if not are_plain and rows.size:
        values[rows] = _quickly(texts[rows])
        rows = rows[np.isnan(values[rows])]
    # A quick reading may lose the sign of "-0", which is that of its minutes.
    zeros = [row for row in np.flatnonzero(values == 0.0).tolist() if texts[row].lstrip()[:1] in ("-", "−")]
    values[zeros] = -0.0
    return Numbers(
        values=values,
        unreadable=rows,
        doubtful=np.array([], dtype=np.int64),
        lettered=lettered,
        has_minutes=has_minutes,
    )


def _is_none(text: str) -> bool:
    """Whether a text stands for what was not recorded: nothing, dashes, and the usual words."""
    bare = text.strip().lower()
    return bare in _NOT_RECORDED or not bare.strip("-–—*?._")


def _marked(texts: TextArray, values: FloatArray, comma_is_decimal: bool) -> Numbers:
    decimal, mark = (",", ".") if comma_is_decimal else (".", ",")
    every: list[str] = texts.tolist()
    joined = "".join(every)
    marked = np.zeros(len(every), dtype=bool)
    if mark in joined:
        marked = np.array([mark in text for text in every], dtype=bool)
    by_hand = np.isnan(values) | marked
    if not joined.isascii():
        by_hand |= np.array([not text.isascii() for text in every], dtype=bool)
    signs = _signs_of(texts, marked, decimal, mark)
    unreadable: list[int] = []
    doubtful: list[int] = []
    known: dict[str, tuple[float, bool, bool]] = {}
    for row in np.flatnonzero(by_hand).tolist():
        text = every[row]
        if text not in known and len(known) < _MOST_KNOWN:
            known[text] = _by_hand(text, signs)
        values[row], is_doubtful, is_none = known[text] if text in known else _by_hand(text, signs)
        if np.isnan(values[row]) and not is_none:
            (doubtful if is_doubtful else unreadable).append(row)
    return Numbers(
        values=values,
        unreadable=np.array(unreadable, dtype=np.int64),
        doubtful=np.array(doubtful, dtype=np.int64),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Signs:
    """The decimal sign of a log and the mark of thousands that goes with it; whether in this column the mark can be
    one of thousands, and whether it can be a decimal sign.
    """

    decimal: str
    mark: str
    may_group: bool = True
    may_be_decimal: bool = True


def _signs_of(texts: TextArray, marked: BoolArray, decimal: str, mark: str) -> _Signs:
    """What the mark of thousands can be in a column, told by all of it.

    "1.234,5" and "1.234.567" say that a point parts thousands, "12.25" and "0.123" that it does not, and neither does
    it where "1234" stands without.
    """
    if not marked.any():
        return _Signs(decimal=decimal, mark=mark)
    has_decimal = has_fraction = has_ungrouped = False
    for text in set(texts.tolist()):
        bare = text.strip().lstrip("+-−")
        if mark not in bare:
            has_decimal |= decimal in bare
            has_ungrouped |= bool(_UNGROUPED.match(bare))
        elif decimal in bare:
            has_decimal = True
        else:
            has_fraction |= bool(_FRACTION.fullmatch(bare)) and not _GROUPED.fullmatch(bare)
    return _Signs(
        decimal=decimal,
        mark=mark,
        may_group=not has_fraction and not has_ungrouped,
        may_be_decimal=not has_decimal,
    )


def _by_hand(text: str, signs: _Signs) -> tuple[float, bool, bool]:
    """The number, whether a mark is in doubt, and whether the text stands for nothing recorded."""
    if _is_none(text):
        return np.nan, False, True
    return (*_number(text.strip()[:60], signs), False)


def _number(text: str, signs: _Signs) -> tuple[float, bool]:
    """The number, NaN where there is none; and whether that is for a mark in doubt."""
    plain = text.replace("−", "-").replace("\u00a0", " ").replace("\u202f", " ").rstrip("°º %")
    if signs.mark in plain:
        return _marked_number(plain, signs)
    whole, _sign, _fraction = plain.partition(signs.decimal)
    if _SPACED.fullmatch(whole):
        plain = re.sub("[ ']", "", plain)
    plain = plain.replace(signs.decimal, ".")
    if _PLAIN.fullmatch(plain):
        value = float(plain)
        return (value if np.isfinite(value) else np.nan), False
    return np.nan, False


def _marked_number(text: str, signs: _Signs) -> tuple[float, bool]:
    """A number in which the mark of thousands stands: between thousands, as a decimal sign, or in doubt."""
    bare = text.lstrip("+-")
    whole, sign, fraction = bare.partition(signs.decimal)
    if _GROUPED.fullmatch(whole):
        is_certain = bool(sign) or whole.count(signs.mark) > 1
        if not is_certain and not signs.may_group:
            return np.nan, True
        plain = f"{whole.replace(signs.mark, '')}.{fraction}"
    elif _FRACTION.fullmatch(bare):
        if not signs.may_be_decimal:
            return np.nan, True
        plain = bare.replace(signs.mark, ".")
    else:
        return np.nan, False
    if not _PLAIN.fullmatch(plain):
        return np.nan, False
    return float(plain) * (-1.0 if text[:1] == "-" else 1.0), False


def comma_decimals(texts: TextArray) -> bool:
    """Whether a column of positions is written with decimal commas: its fractions have a comma and no point."""
    some = [text for text in texts[:2000] if text]
    with_comma = sum("," in text and "." not in text for text in some)
    return with_comma > len(some) / 2


def normal_longitudes(lon_deg: FloatArray) -> FloatArray:
    """Longitudes in [-180, 180); what lies beyond a full turn is left as it is, for mending to refuse. [deg]"""
    outside = ((lon_deg < -180.0) | (lon_deg >= 180.0)) & (np.abs(lon_deg) <= 360.0)
    return np.where(outside, wrap_180(lon_deg), lon_deg) if outside.any() else lon_deg
