"""Words for signed numbers: which side, which way the needle points, how much of the scale.

A figure's sign is the aircraft's place (right of course and high are positive); the needle points back to the path,
so right of course
is "needle left", and high is "glidepath below". Numbers come rounded as a person would say them; a value that rounds
to nothing is "on course".
"""

from __future__ import annotations

import html
import math
import unicodedata
from collections.abc import Callable
from typing import Final

from legwise.model.results import Verdict

CAUTION: Final = "A training aid, not for navigation. Current charts, local rules and the licensed instructor decide."
NOT_A_GRADE: Final = "against the standard, not a grade"
NOT_RECORDED: Final = "not recorded"

VERDICT_WORDS: Final[dict[Verdict, str]] = {verdict: verdict.value for verdict in Verdict}

_MINUS = "\N{MINUS SIGN}"
_FAR: Final = 10.0
"""Full scales from which on hundredths say nothing: the needle has long stood at its stop."""
_FRACTIONS: Final = {0.25: "quarter scale", 0.5: "half scale", 0.75: "three-quarter scale", 1.0: "full scale"}


def clean(text: str, *, longest: int = 2000) -> str:
    """Text from a file on one line, without control and direction-changing characters, cut at ``longest``."""
    spaced = " ".join(text.split())
    kept = "".join(letter for letter in spaced if unicodedata.category(letter) not in {"Cc", "Cf", "Cs", "Co", "Cn"})
    return kept if len(kept) <= longest else kept[: longest - 1] + "…"


def figure_text(text: str, *, longest: int = 40) -> str:
    """Text for inside a figure, where a subset of HTML would be drawn: the same text with its markup made harmless."""
    return html.escape(clean(text, longest=longest), quote=False)


def number(value: float, decimals: int = 0) -> str:
    """A number with thousands set apart and a true minus sign; one that rounds to zero has no sign."""
    rounded = round(value, decimals) + 0.0
    return f"{rounded:,.{decimals}f}".replace("-", _MINUS)


def side(value: float, positive: str, negative: str, level: str, decimals: int, unit: str) -> str:
    """``"60 ft high"``: the size with the word for its sign, or ``level`` where it rounds to zero."""
    if math.isnan(value):
        return NOT_RECORDED
    size = round(abs(value), decimals)
    if size == 0:
        return level
    return f"{number(size, decimals)}{unit} {positive if value > 0 else negative}"


def cross_track(value_nm: float) -> str:
    """``"0.40 NM right of course"``."""
    return side(value_nm, "right of course", "left of course", "on course", 2, " NM")


def needle_points(lateral: float) -> str:
    """Where the lateral needle points: back to the course. Empty where it stands in the middle."""
    if math.isnan(lateral) or round(abs(lateral), 2) == 0:
        return ""
    return "needle left" if lateral > 0 else "needle right"


def scale(size: float) -> str:
    """``"half scale"``, ``"0.62 of full scale"``, ``"1.30 times full scale"`` of a needle's size."""
    shown = round(size, 2)
    if shown in _FRACTIONS:
        return _FRACTIONS[shown]
    return f"{number(shown, 2 if shown < _FAR else 0)} {'times' if shown > 1 else 'of'} full scale"


def lateral_needle(value: float) -> str:
    """``"half scale right of course: needle left"``."""
    if math.isnan(value):
        return NOT_RECORDED
    points = needle_points(value)
    return f"{scale(abs(value))} {'right' if value > 0 else 'left'} of course: {points}" if points else "on course"


def vertical_needle(value: float) -> str:
    """``"half scale high: glidepath below"``."""
    if math.isnan(value):
        return NOT_RECORDED
    if round(abs(value), 2) == 0:
        return "on the glidepath"
    return f"{scale(abs(value))} " + ("high: glidepath below" if value > 0 else "low: glidepath above")


def glidepath_offset(value_ft: float) -> str:
    """``"60 ft high: glidepath below"``."""
    words = side(value_ft, "high", "low", "on the glidepath", 0, " ft")
    if words.endswith("high"):
        return f"{words}: glidepath below"
    return f"{words}: glidepath above" if words.endswith("low") else words


def altitude_error(value_ft: float) -> str:
    """``"60 ft high"``."""
    return side(value_ft, "high", "low", "on altitude", 0, " ft")


def heading_error(value_deg: float) -> str:
    """``"7° right of the heading"``."""
    return side(value_deg, "right of the heading", "left of the heading", "on the heading", 0, "°")


def track_error(value_deg: float) -> str:
    """``"7° right of the course"``: the track made good against the course."""
    return side(value_deg, "right of the course", "left of the course", "along the course", 0, "°")


def speed_error(value_kt: float) -> str:
    """``"8 kt fast"``."""
    return side(value_kt, "fast", "slow", "on speed", 0, " kt")


def against_minimum(value_ft: float) -> str:
    """``"40 ft below the minimum"``."""
    return side(value_ft, "above the minimum", "below the minimum", "at the minimum", 0, " ft")


_BY_QUANTITY: Final[tuple[tuple[str, Callable[[float], str]], ...]] = (
    ("lateral needle", lateral_needle),
    ("vertical needle", vertical_needle),
    ("vertical deviation", glidepath_offset),
    ("cross-track", cross_track),
    ("arc", cross_track),
    ("track", track_error),
    ("heading", heading_error),
    ("MDA", against_minimum),
    ("DA", against_minimum),
    ("crossing altitude", altitude_error),
    ("altitude", altitude_error),
    ("airspeed", speed_error),
)
_UNITS: Final[dict[str, tuple[int, str]]] = {
    "ft": (0, " ft"),
    "nm": (2, " NM"),
    "scale": (2, " of full scale"),
    "deg": (0, "°"),
    "kt": (0, " kt"),
    "s": (0, " s"),
    "fpm": (0, " ft/min"),
    "ft/nm": (0, " ft/NM"),
}
_SIGNED_UNIT: Final = {
    "lateral needle": "scale", "vertical needle": "scale", "vertical deviation": "ft", "cross-track": "nm", "arc": "nm",
    "track": "deg", "heading": "deg", "MDA": "ft", "DA": "ft", "crossing altitude": "ft", "altitude": "ft",
    "airspeed": "kt",
}  # fmt: skip


def amount(value: float, unit: str, *, signed: bool = False) -> str:
    """A plain amount with its unit: ``"100 ft"``, ``"0.75 of full scale"``."""
    decimals, name = _UNITS[unit]
    sign = "+" if signed and round(value, decimals) > 0 else ""
    return f"{sign}{number(value, decimals)}{name}"


def doubt(size: float, unit: str) -> str:
    """``"± 20 ft"``, for a needle ``"± 0.09"`` of full scale.

    A doubt too small to show is "under" the smallest shown; none at all is "none stated".
    """
    if not size > 0:
        return "none stated"
    decimals, name = _UNITS[unit]
    name = "" if unit == "scale" else name
    smallest = 10.0**-decimals
    return f"under {number(smallest, decimals)}{name}" if size < smallest / 2 else f"± {number(size, decimals)}{name}"


def deviation(what: str, unit: str, value: float) -> str:
    """A finding's value in words, by the quantity that ``what`` begins with."""
    for quantity, words in _BY_QUANTITY:
        if what.startswith(quantity) and _SIGNED_UNIT[quantity] == unit:
            return words(value)
    return amount(value, unit, signed=True)


def duration(seconds: float) -> str:
    """``"0 s"``, ``"42 s"``, ``"3 min 05 s"``."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    return f"{minutes} min {rest:02d} s"
