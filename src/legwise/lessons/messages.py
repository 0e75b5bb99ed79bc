"""What the model's validation found wrong, turned into words for a pilot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem
from legwise.lessons.words import expectation, known_keys, nearest, plain, shown, tables_with, trimmed

_TIME_REMEDIES = {
    "time_without_zone": "Add Z for UTC (2026-04-18T13:12:40Z), or write the time of day alone.",
    "time_with_zone": "Write the time of day in UTC.",
    "time_out_of_range": "Check the year.",
}
_MOST_KEYS_NAMED = 14
_INHG_RANGE = (25.0, 32.2)
_HPA_RANGE = (850.0, 1090.0)
_HIGHEST_FLIGHT_LEVEL = 600
_LARGEST_EXPLAINED = 1e6


def problem_of(error: Mapping[str, Any], data: Mapping[str, object]) -> Problem:
    """The problem that one item of pydantic's ``errors()`` stands for."""
    place = trimmed(tuple(error["loc"]), data)
    kind, found = error["type"], error["input"]
    if kind == "extra_forbidden":
        return _unknown_key(place)
    if kind == "missing":
        return _missing_key(place)
    if kind in _TIME_REMEDIES:
        return Problem(place=place, message=f"{shown(found)} {error['msg']}", remedy=_TIME_REMEDIES[kind])
    if kind in ("model_type", "model_attributes_type") and isinstance(found, list) and len(place) == 1:
        return Problem(
            place=place,
            message=f"[[{plain(str(place[0]))}]] stands in double brackets",
            remedy=f"There is only one of it: write [{place[0]}] in single brackets.",
        )
    expected = expectation(place)
    if kind == "string_pattern_mismatch":
        expected = "a name without blanks at its ends, double blanks or control characters"
    elif kind == "finite_number":
        expected += ", not nan or inf"
    elif kind == "too_long":
        expected += f", at most {error['ctx']['max_length']}"
    return Problem(
        place=place,
        message=f"found {shown(found)}" + (f", expected {expected}" if expected else ""),
        remedy=_value_remedy(place, kind, found),
    )


def _unknown_key(place: Place) -> Problem:
    key = str(place[-1])
    known = known_keys(place[:-1])
    close = nearest(key, known)
    elsewhere = tables_with(key) if not close else []
    if close:
        remedy = f"The nearest known key is {close}."
    elif elsewhere:
        remedy = f"{plain(key)} belongs in {' or '.join(elsewhere)}."
    else:
        more = ", ..." if len(known) > _MOST_KEYS_NAMED else ""
        remedy = f"Known here: {', '.join(known[:_MOST_KEYS_NAMED])}{more}."
    noun = "table or key" if len(place) == 1 else "key"
    return Problem(place=place, message=f"unknown {noun} {plain(key)}", remedy=remedy)


def _missing_key(place: Place) -> Problem:
    key = plain(str(place[-1]))
    return Problem(place=place[:-1], message=f"{key} is missing", remedy=f"Add {key} = {expectation(place)}.", weight=1)


def _value_remedy(place: Place, kind: str, found: object) -> str:
    key = place[-1] if place else ""
    if isinstance(found, str) and kind in ("float_type", "bool_type", "date_type"):
        return f"Write it without quotes: {key} = {plain(found)}."
    # A whole number of TOML has no upper end, and one beyond the floats can't be divided.
    if isinstance(found, bool) or not isinstance(found, int | float) or not abs(found) < _LARGEST_EXPLAINED:
        return ""
    return _unit_remedy(str(key), found)


def _unit_remedy(key: str, found: float) -> str:
    """What a number out of its range probably is, in the unit that was meant."""
    remedy = ""
    if key == "qnh_hpa" and _INHG_RANGE[0] <= found <= _INHG_RANGE[1]:
        remedy = f"That is inches of mercury: write altimeter_inhg = {found:.2f} in place of qnh_hpa."
    elif key == "qnh_hpa" and _INHG_RANGE[0] <= found / 100 <= _INHG_RANGE[1]:
        remedy = f"That is inches of mercury: write altimeter_inhg = {found / 100:.2f} in place of qnh_hpa."
    elif key == "altimeter_inhg" and _HPA_RANGE[0] <= found <= _HPA_RANGE[1]:
        remedy = f"That is hPa: write qnh_hpa = {found:g} in place of altimeter_inhg."
    elif key == "altimeter_inhg" and _INHG_RANGE[0] <= found / 100 <= _INHG_RANGE[1]:
        remedy = f"Write it with its decimal point: altimeter_inhg = {found / 100:.2f}."
    elif key == "flight_level" and found > _HIGHEST_FLIGHT_LEVEL:
        remedy = f"A flight level is in hundreds of feet: {found:g} ft is flight level {found / 100:.0f}."
    return remedy
