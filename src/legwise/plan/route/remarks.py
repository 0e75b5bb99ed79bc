"""What a route's text says beside where it goes: speeds, levels, flight rules, delays; in a pilot's words."""

from __future__ import annotations

from legwise.model.route_text import RouteElement
from legwise.plan.fixes.places import shown
from legwise.plan.route.written import RouteWords

_NAMED = ("name", "position", "bearing-distance")


def remarks(words: RouteWords) -> tuple[str, ...]:
    """A note on each change of speed, level or rules in a route's text; none of it is judged unless it is cleared."""
    found: list[str] = []
    at = ""
    for element in words.elements:
        if element.form in _NAMED:
            at = shown(element.text)
        if element.form == "rules":
            there = f"From {at} on the" if at else "The"
            found.append(f"{there} flight plan is {element.text}; the route's legs are the same for both.")
        elif element.form == "change":
            found.append(f"Planned is {_planned(element)}.")
        elif element.speed_kt is not None or element.level_ft is not None or element.change:
            found.append(f"From {at} on {_planned(element)} is planned.")
    return tuple(dict.fromkeys(found))


def planned_level_ft(words: RouteWords) -> float | None:
    """The level that the text plans first. [ft]"""
    return next((element.level_ft for element in words.elements if element.form == "change"), None)


def _planned(element: RouteElement) -> str:
    parts = []
    if element.speed_kt is not None:
        parts.append(f"{element.speed_kt:.0f} kt true airspeed")
    if element.level_ft is not None:
        parts.append(f"{element.level_ft:,.0f} ft")
    return " and ".join(parts) or shown(element.change or element.text)
