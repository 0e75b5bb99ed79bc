"""Numbers as they are scribbled: which are altitudes, levels, headings and altimeter settings, and which could be two.

The rules, the same everywhere: a heading has three digits; four or five digits are feet; two or three digits behind a
letter or word that says altitude are hundreds of feet (as in the flight plan's A045, and in the FAA's clearance
shorthand); a level has FL before it; a setting has its unit or lies where no altitude is assigned.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from legwise.lessons.shorthand.scanning import Word

_FEET = re.compile(r"(?P<feet>-?[0-9]{1,3},[0-9]{3}|-?[0-9]+(?:\.[0-9]+)?)(?P<unit>ft|')?", re.IGNORECASE)
_LEVEL = re.compile(r"(?:fl|f)(?P<level>[0-9]{2,3}(?:\.[0-9]+)?)", re.IGNORECASE)
_DIRECTION = re.compile(r"(?P<deg>[0-9]{3}(?:\.[0-9]+)?)°?(?P<true>t|true)?", re.IGNORECASE)
_INCHES = re.compile(r"(?P<inches>[0-9]{2}\.[0-9]{1,9})(?:in|inhg|\"|'')?", re.IGNORECASE)
_HPA = re.compile(r"(?P<hpa>[0-9]{3,4}(?:\.[0-9]+)?)(?:hpa|mb|mbar)", re.IGNORECASE)
_HUNDREDTHS_LOW, _HUNDREDTHS_HIGH = 2800, 3100
"""Altimeter settings in hundredths of an inch that a day brings: a bare number between them may be one."""
_HPA_LOW, _HPA_HIGH = 950, 1050
_LEAST_INCHES = 2500.0


@dataclass(frozen=True, slots=True)
class Height:
    """An altitude under the lesson's own key, and what stood behind it: ``+`` at or above, ``-`` at or below."""

    key: str
    value: float
    bound: str = ""


@dataclass(frozen=True, slots=True)
class Pressure:
    """An altimeter setting under the lesson's own key."""

    key: str
    value: float


def direction_of(word: Word, what: str) -> tuple[float, str]:
    """Degrees and ``"mag"`` or ``"true"`` (``250T``).

    Raises
    ------
    LessonError
        It has not three digits: 25 could be 025 or 250.
    """
    match = _DIRECTION.fullmatch(word.text)
    if match:
        return float(match["deg"]), "true" if match["true"] else "mag"
    if re.fullmatch("[0-9]{1,2}", word.text):
        shapes = dict.fromkeys((word.text.zfill(3), f"{word.text}0".zfill(3)))
        raise word.ambiguous(f"{shape} for {what} of {int(shape)}°" for shape in shapes if int(shape) <= 360)
    raise word.unknown(f"{what}: three digits, like 250 or 050")


def is_direction(text: str) -> bool:
    """Whether a word is written as a direction is."""
    return _DIRECTION.fullmatch(text) is not None


def height_of(word: Word, *, hundreds: bool, bounds: bool = False) -> Height | None:
    """The altitude or level that a word is, or None; ``hundreds`` where two or three digits are hundreds of feet.

    With ``bounds`` a ``+`` or ``-`` may stand behind it.
    """
    text, bound = word.text, ""
    if bounds and text[-1:] in ("+", "-"):
        text, bound = text[:-1], text[-1]
    level = _LEVEL.fullmatch(text)
    if level:
        return Height("flight_level", float(level["level"]), bound)
    feet = _FEET.fullmatch(text)
    if feet is None:
        return None
    digits = feet["feet"].replace(",", "")
    if feet["unit"] or "," in feet["feet"] or re.fullmatch("[1-9][0-9]{3,4}", digits):
        return Height("altitude_ft", float(digits), bound)
    if hundreds and re.fullmatch("[0-9]{2,3}", digits):
        return Height("altitude_ft", float(digits) * 100.0, bound)
    return None


def needed_height(word: Word | None, after: Word, *, bounds: bool = False) -> Height:
    """The altitude that must follow ``after``.

    Raises
    ------
    LessonError
        None follows.
    """
    if word is None:
        raise after.refused(f"no altitude follows {after.text}", f"Write it like {after.text} 4000, or FL60.")
    found = height_of(word, hundreds=True, bounds=bounds)
    if found is None:
        if re.fullmatch("[0-9]", word.text):
            raise word.ambiguous((f"{word.text}000", f"0{word.text} for {word.text}00 ft"))
        raise word.unknown("an altitude: feet like 4000, hundreds of feet like 40, or a level like FL60")
    return found


def pressure_of(word: Word) -> Pressure | None:
    """The setting that a word is by its shape alone: ``29.92``, ``29.92in``, ``1011hPa``; else None."""
    inches = _INCHES.fullmatch(word.text)
    if inches:
        return Pressure("altimeter_inhg", float(inches["inches"]))
    hpa = _HPA.fullmatch(word.text)
    return Pressure("qnh_hpa", float(hpa["hpa"])) if hpa else None


def needed_pressure(word: Word | None, after: Word) -> Pressure:
    """The setting that must follow ``after``: hPa, or inches with their point or in hundredths.

    Raises
    ------
    LessonError
        None follows.
    """
    if word is None:
        raise after.refused(f"no setting follows {after.text}", "Write it like QNH 1011 or QNH 29.92.")
    found = pressure_of(word)
    if found is not None:
        return found
    if not re.fullmatch(r"[0-9]{3,4}(\.[0-9]+)?", word.text):
        raise word.unknown("an altimeter setting: hPa like 1011, or inches like 29.92 or 2992")
    value = float(word.text)
    return Pressure("altimeter_inhg", value / 100.0) if value >= _LEAST_INCHES else Pressure("qnh_hpa", value)


def bare_number(word: Word) -> Height | Pressure | None:
    """A number that stands alone, or with an A before it: an altitude, or an altimeter setting; None for neither.

    Raises
    ------
    LessonError
        It could be two things.
    """
    found = pressure_of(word) or height_of(word, hundreds=False)
    text = word.text
    if isinstance(found, Height) and re.fullmatch("[0-9]{4}", text):
        value = int(text)
        in_inches = _HUNDREDTHS_LOW <= value <= _HUNDREDTHS_HIGH
        # Altitudes are assigned in hundreds of feet, now and then with a fifty.
        if in_inches and value % 50:
            return Pressure("altimeter_inhg", value / 100.0)
        if in_inches and value % 100:
            raise word.ambiguous((f"{text}ft for the altitude", f"{text[:2]}.{text[2:]} for the altimeter setting"))
        if value % 50 and not _HPA_LOW <= value <= _HPA_HIGH:
            raise word.ambiguous((f"{text}ft for the altitude", f"{text} in front of the line for the time"))
        if _HPA_LOW <= value <= _HPA_HIGH and value % 100:
            raise word.ambiguous((f"QNH {text} for the altimeter setting", f"{text}ft for the altitude"))
    if found is None and re.fullmatch("[0-9]{3}", text):
        raise word.ambiguous(
            (f"H{text} for a heading", f"{text}ft, A{text} or FL{text} for an altitude", f"S{text} for a speed")
        )
    if found is None and re.fullmatch("[0-9]{2}", text):
        raise word.ambiguous(
            (
                f"A{text} for {int(text)}00 ft",
                f":{text} in front of the line for minutes past the hour",
                f"H0{text} or H{text}0 for a heading",
            )
        )
    return found


def metar_or_altitude(word: Word) -> Height | Pressure | None:
    """What follows an A without a blank: hundreds of feet (A45, A045), feet (A4500), or inches as METAR has (A2992).

    Raises
    ------
    LessonError
        A3000 and its like: 3,000 ft, or 30.00 inches.
    """
    text = word.text
    if re.fullmatch("[0-9]{4}", text) and _HUNDREDTHS_LOW <= int(text) <= _HUNDREDTHS_HIGH:
        if int(text) % 50:
            return Pressure("altimeter_inhg", int(text) / 100.0)
        raise word.ambiguous((f"{text} for the altitude", f"{text[:2]}.{text[2:]} for the altimeter setting"))
    return height_of(word, hundreds=True)
