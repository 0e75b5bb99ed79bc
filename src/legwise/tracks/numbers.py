"""Text to numbers, column by column: quickly where the text is plain, carefully where it isn't."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from legwise.geodesy import wrap_180
from legwise.model.arrays import FloatArray, IntArray

TextArray = npt.NDArray[np.object_]
"""Strings; the empty one stands for what was not recorded."""

_NOT_RECORDED = frozenset({"", "-", "--", "---", "n/a", "na", "nan", "null", "none", "nil", "*", "?"})
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
_THOUSANDS = re.compile(r"[+-]?\d{1,3}([,.' ]\d{3})+")
_ANGLE = re.compile(
    r"(?P<before>[NSEW])?\s*(?P<sign>[+-])?\s*(?P<deg>\d+(\.\d+)?)\s*[°º:\s]?\s*"
    r"((?P<min>\d+(\.\d+)?)\s*['′:\s]?\s*)?((?P<sec>\d+(\.\d+)?)\s*[\"″]?\s*)?(?P<after>[NSEW])?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """A column of numbers, NaN where none was recorded, and the rows whose text is no number."""

    values: FloatArray
    unreadable: IntArray


def numbers_of(texts: TextArray, *, comma_is_decimal: bool = False, angles: bool = False) -> Numbers:
    """The numbers of a column of text.

    With ``comma_is_decimal`` a comma is the decimal point and a point between groups of three parts thousands; else
    the other way round. With ``angles`` degrees with minutes, seconds and a letter for the hemisphere are read too.
    What isn't finite is no number.
    """
    import pandas as pd

    values = np.array(pd.to_numeric(pd.Series(texts, dtype=object), errors="coerce"), dtype=np.float64)
    unreadable: list[int] = []
    for row in np.flatnonzero(~np.isfinite(values) | np.array([not text.isascii() for text in texts], dtype=bool)):
        text = texts[row].strip()
        if text.lower() in _NOT_RECORDED:
            values[row] = np.nan
            continue
        values[row] = _number(text[:60], comma_is_decimal, angles)
        if np.isnan(values[row]):
            unreadable.append(int(row))
    return Numbers(values=values, unreadable=np.array(unreadable, dtype=np.int64))


def _number(text: str, comma_is_decimal: bool, angles: bool) -> float:
    plain = text.replace("−", "-").replace("\u00a0", " ")
    if not angles:
        plain = plain.rstrip("°º %")
    plain = _with_point(plain, comma_is_decimal)
    if _PLAIN.fullmatch(plain):
        value = float(plain)
        return value if np.isfinite(value) else np.nan
    return _angle(plain) if angles else np.nan


def _with_point(text: str, comma_is_decimal: bool) -> str:
    """The number with a decimal point and without marks between thousands."""
    decimal, mark = (",", ".") if comma_is_decimal else (".", ",")
    whole, comma, fraction = text.partition(decimal)
    if _THOUSANDS.fullmatch(whole) and (mark in whole or " " in whole or "'" in whole) and (comma or text.count(mark)):
        whole = re.sub(r"[,.' ]", "", whole)
    return f"{whole}.{fraction}" if comma else whole


def _angle(text: str) -> float:
    match = _ANGLE.fullmatch(text)
    if match is None or (match["before"] and match["after"]):
        return np.nan
    minutes, seconds = float(match["min"] or 0.0), float(match["sec"] or 0.0)
    letter = (match["before"] or match["after"] or "").upper()
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
