"""Latitudes and longitudes as text: degrees, degrees with minutes and seconds, with letters of the hemisphere.

Texts of one shape (the same but for their figures) are read at once.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.tracks.headings.quantities import Quantity

TextArray = npt.NDArray[np.object_]

_LONGEST = 40
_FEW = 8
"""So few texts of one shape are read one by one."""

_LETTERS = {Quantity.LATITUDE: "NS", Quantity.LONGITUDE: "EW"}
_FIGURES = bytes.maketrans(b"123456789", b"000000000")
_WRITTEN = {"−": "-", "’": "'", "‘": "'", "′": "'", "´": "'", "`": "'", "″": '"', "”": '"', "“": '"', "º": "°",
            "˚": "°", "\u00a0": " ", "\u202f": " "}  # fmt: skip
_ANGLE = re.compile(
    r"\s*(?P<before>[NSEW])?\s*(?P<sign>[+-])?\s*(?P<deg>\d+(\.\d+)?)\s*(°|deg|:|-(?=.*[NSEW])|\s)?\s*"
    r"((?P<min>\d+(\.\d+)?)\s*('(?!')|min|:|-(?=.*[NSEW])|\s)?\s*)?((?P<sec>\d+(\.\d+)?)\s*(\"|''|sec)?\s*)?"
    r"(?P<after>[NSEW])?\s*",
    re.IGNORECASE | re.ASCII,
)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Angles:
    """Per text: the angle [deg] (NaN: none that can be read), whether a letter gave its sign, and whether it has
    minutes. Without minutes the number is as written, whatever it counts.
    """

    values: FloatArray
    lettered: BoolArray
    has_minutes: BoolArray


def angles_of(texts: TextArray, axis: Quantity) -> Angles:
    """The angles of a column of text with decimal points; S and W, and a minus, are negative."""
    count = len(texts)
    values = np.full(count, np.nan)
    if not count:
        return Angles(values=values, lettered=np.zeros(0, dtype=bool), has_minutes=np.zeros(0, dtype=bool))
    lettered, has_minutes = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    clean = _clean(texts)
    for shape, rows in _rows_by_shape(clean).items():
        match = _ANGLE.fullmatch(shape)
        if match is None or not _is_well_formed(match, axis):
            continue
        lettered[rows] = bool(match["before"] or match["after"])
        has_minutes[rows] = match["min"] is not None
        if len(rows) < _FEW:
            for row in rows.tolist():
                values[row] = _angle(clean[row])
        else:
            values[rows] = _angles([clean[row] for row in rows.tolist()], match)
    return Angles(values=values, lettered=lettered, has_minutes=has_minutes)


def _clean(texts: TextArray) -> list[str]:
    """The texts in the usual marks: all in one, since most columns hold none of the unusual ones."""
    every: list[str] = texts.tolist()
    joined = "\n".join(every)
    if joined.count("\n") >= len(every) or max(map(len, every)) > _LONGEST:
        joined = "\n".join([text[:_LONGEST].replace("\n", " ") for text in every])
    for mark, usual in _WRITTEN.items():
        if mark in joined:
            joined = joined.replace(mark, usual)
    return joined.split("\n")


def _rows_by_shape(clean: list[str]) -> dict[str, IntArray]:
    import pandas as pd

    every = "\n".join(clean).encode("utf-8").translate(_FIGURES).decode("utf-8").split("\n")
    codes, shapes = pd.factorize(np.array(every, dtype=object))
    order = np.argsort(codes, kind="stable")
    edges = np.searchsorted(codes[order], np.arange(len(shapes) + 1))
    return {str(shape): order[edges[index] : edges[index + 1]].astype(np.int64) for index, shape in enumerate(shapes)}


def _is_well_formed(match: re.Match[str], axis: Quantity) -> bool:
    """Whether letter, sign and points go together; what the figures are is not looked at."""
    before, after = match["before"], match["after"]
    letter = (before or after or "").upper()
    if (before and after) or (letter and letter not in _LETTERS[axis]):
        return False
    if match["sign"] and letter and (match["sign"] == "-") != (letter in "SW"):
        return False
    # "46.30.5" is neither degrees with minutes nor a number.
    return not (("." in match["deg"] and match["min"]) or ("." in (match["min"] or "") and match["sec"]))


def _sign(match: re.Match[str]) -> float:
    letter = (match["before"] or match["after"] or "").upper()
    return -1.0 if match["sign"] == "-" or letter in ("S", "W") else 1.0


def _angle(text: str) -> float:
    match = _ANGLE.fullmatch(text)
    if match is None:
        return np.nan
    minutes, seconds = float(match["min"] or 0.0), float(match["sec"] or 0.0)
    if minutes >= 60.0 or seconds >= 60.0:
        return np.nan
    return _sign(match) * (float(match["deg"]) + minutes / 60.0 + seconds / 3600.0)


def _angles(texts: list[str], match: re.Match[str]) -> FloatArray:
    """The angles of texts of one shape, of which ``match`` shows where degrees, minutes and seconds stand."""
    packed = np.array(texts)
    letters = packed.view(np.uint32).reshape(len(texts), -1)
    size = _number(letters, match, "deg")
    good = np.ones(len(texts), dtype=bool)
    for name, part in (("min", 60.0), ("sec", 3600.0)):
        if match[name] is not None:
            values = _number(letters, match, name)
            good &= values < 60.0
            size = size + values / part
    return np.where(good, _sign(match) * size, np.nan)


def _number(letters: npt.NDArray[np.uint32], match: re.Match[str], name: str) -> FloatArray:
    start, stop = match.span(name)
    whole, _point, fraction = match[name].partition(".")
    if len(whole) + len(fraction) > 15:
        # More figures than a whole number of this kind holds exactly.
        return np.array(["".join(map(chr, row[start:stop].tolist())) for row in letters], dtype=np.float64)
    value = np.zeros(len(letters), dtype=np.int64)
    for column in range(start, stop):
        if match.string[column] != ".":
            value = value * 10 + (letters[:, column].astype(np.int64) - ord("0"))
    return value.astype(np.float64) / 10.0 ** len(fraction)
