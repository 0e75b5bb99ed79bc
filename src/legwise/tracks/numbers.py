"""Text to numbers, column by column: quickly where the text is plain, carefully where it isn't."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from legwise.geodesy import wrap_180
from legwise.model.arrays import BoolArray, FloatArray, IntArray

TextArray = npt.NDArray[np.object_]
"""Strings; the empty one stands for what was not recorded."""

_NOT_RECORDED = frozenset({"", "-", "--", "---", "n/a", "na", "nan", "null", "none", "nil", "*", "?"})
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
_GROUPED = re.compile(r"[1-9]\d{0,2}(\.\d{3})+|[1-9]\d{0,2}(,\d{3})+")
_SPACED = re.compile(r"[+-]?[1-9]\d{0,2}([ ']\d{3})+")
_FRACTION = re.compile(r"\d+[.,]\d*|[.,]\d+")
_UNGROUPED = re.compile(r"[1-9]\d{3}")
_ANGLE = re.compile(
    r"(?P<before>[NSEW])?\s*(?P<sign>[+-])?\s*(?P<deg>\d+(\.\d+)?)\s*[°º:\s]?\s*"
    r"((?P<min>\d+(\.\d+)?)\s*['′:\s]?\s*)?((?P<sec>\d+(\.\d+)?)\s*[\"″]?\s*)?(?P<after>[NSEW])?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """A column of numbers, NaN where none was recorded; the rows whose text is no number, and those whose mark can be
    one of thousands or of a fraction.
    """

    values: FloatArray
    unreadable: IntArray
    doubtful: IntArray


def numbers_of(texts: TextArray, *, comma_is_decimal: bool = False, angles: bool = False) -> Numbers:
    """The numbers of a column of text.

    With ``comma_is_decimal`` a comma is the decimal sign and a point before just three figures parts thousands; else
    the other way round. With ``angles`` there are no thousands, and degrees with minutes, seconds and a letter for
    the hemisphere are read too. What isn't finite is no number.
    """
    import pandas as pd

    decimal, mark = (",", ".") if comma_is_decimal else (".", ",")
    plain = texts
    if comma_is_decimal:
        plain = np.array([text.replace(",", ".") if "." not in text else text for text in texts], dtype=object)
    values = np.array(pd.to_numeric(pd.Series(plain, dtype=object), errors="coerce"), dtype=np.float64)
    marked = np.zeros(len(texts), dtype=bool)
    if not angles:
        marked = np.array([mark in text for text in texts], dtype=bool)
    by_hand = ~np.isfinite(values) | marked | np.array([not text.isascii() for text in texts], dtype=bool)
    signs = _signs_of(texts, marked, decimal, mark)
    unreadable: list[int] = []
    doubtful: list[int] = []
    for row in np.flatnonzero(by_hand):
        text = texts[row].strip()
        if text.lower() in _NOT_RECORDED:
            values[row] = np.nan
            continue
        values[row], is_doubtful = _number(text[:60], signs, angles)
        if np.isnan(values[row]):
            (doubtful if is_doubtful else unreadable).append(int(row))
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


def _number(text: str, signs: _Signs, angles: bool) -> tuple[float, bool]:
    """The number, NaN where there is none; and whether that is for a mark in doubt."""
    plain = text.replace("−", "-").replace("\u00a0", " ").replace("\u202f", " ")
    if not angles:
        plain = plain.rstrip("°º %")
        if signs.mark in plain:
            return _marked_number(plain, signs)
        whole, _sign, _fraction = plain.partition(signs.decimal)
        if _SPACED.fullmatch(whole):
            plain = re.sub("[ ']", "", plain)
    plain = plain.replace(signs.decimal, ".")
    if _PLAIN.fullmatch(plain):
        value = float(plain)
        return (value if np.isfinite(value) else np.nan), False
    return (_angle(plain) if angles else np.nan), False


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


def _angle(text: str) -> float:
    match = _ANGLE.fullmatch(text)
    if match is None or (match["before"] and match["after"]):
        return np.nan
    minutes, seconds = float(match["min"] or 0.0), float(match["sec"] or 0.0)
    letter = (match["before"] or match["after"] or "").upper()
    # "46.30.5" is neither degrees with minutes nor a number.
    if ("." in match["deg"] and match["min"]) or ("." in (match["min"] or "") and match["sec"]):
        return np.nan
    if minutes >= 60.0 or seconds >= 60.0 or (match["sign"] and letter):
        return np.nan
    size = float(match["deg"]) + minutes / 60.0 + seconds / 3600.0
    return -size if match["sign"] == "-" or letter in ("S", "W") else size


def comma_decimals(texts: TextArray) -> bool:
    """Whether a column of positions is written with decimal commas: its fractions have a comma and no point."""
    some = [text for text in texts[:2000] if text]
    with_comma = sum("," in text and "." not in text for text in some)
    return with_comma > len(some) / 2


def normal_longitudes(lon_deg: FloatArray) -> FloatArray:
    """Longitudes in [-180, 180); what lies beyond a full turn is left as it is, for mending to refuse. [deg]"""
    outside = ((lon_deg < -180.0) | (lon_deg >= 180.0)) & (np.abs(lon_deg) <= 360.0)
    return np.where(outside, wrap_180(lon_deg), lon_deg) if outside.any() else lon_deg
