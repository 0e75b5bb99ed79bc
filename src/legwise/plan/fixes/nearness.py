"""Which of several fixes of one ident is meant: the one in the region of its neighbours, then the nearest."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.model.plan import Fix
from legwise.plan.fixes.places import Place, distances_nm, kind_word, whereabouts

OTHER_REGION_NM = 100.0
"""How much farther a fix may lie and still be meant because its region is that of its neighbours. Common practice, no
published source: idents are unique within a region, and a route seldom leaves it and comes back."""
_MOST_TOLD = 3


def nearest_to(ident: str, places: Sequence[Place], near: Sequence[Fix]) -> tuple[Place, str]:
    """The place nearest to any of the fixes ``near``, the first where there are none, and a note on the choice."""
    if not near:
        return places[0], choice_note(ident, places[0], places, "nothing else of the plan tells which is meant")
    distances = distances_nm([place.fix for place in places], near).min(axis=1)
    best = int(distances.argmin())
    return places[best], choice_note(ident, places[best], places, "the nearest to the route")


def choice_note(ident: str, chosen: Place, places: Sequence[Place], reason: str) -> str:
    """Which of the places was taken and why, and where the others are, in words."""
    others = [whereabouts(place, chosen.fix) for place in places if place is not chosen]
    held_by = f" of region {chosen.region}" if chosen.region else ""
    rest = f", and {len(others) - _MOST_TOLD} more" if len(others) > _MOST_TOLD else ""
    there = "there is also" if len(others) == 1 else "there are also"
    return (
        f"{ident}: the {kind_word(chosen.fix)}{held_by} was taken, {reason}; "
        f"{there} {', '.join(others[:_MOST_TOLD])}{rest}."
    )
