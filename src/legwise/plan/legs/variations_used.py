"""Which variation of record the magnetic courses of a procedure went by, leg by leg, for the note that says so."""

from __future__ import annotations

from typing import Final

from legwise.look.leg_words import direction
from legwise.model.lesson import PathTerminator
from legwise.plan.fixes.places import shown
from legwise.plan.legs.spec import FROM_FIX, HEADINGS, HOLDS, TO_FIX
from legwise.plan.variation import east_or_west

_MOST_NAMED: Final = 6
_MODEL: Final = "the model where none is coded"


class VariationsUsed:
    """Whose variation went to which legs. ``leg`` names the one in hand."""

    def __init__(self) -> None:
        self.leg = ""
        self._degrees: dict[str, str] = {}
        self._legs: dict[str, dict[str, None]] = {}

    def add(self, whose: str, variation_deg: float) -> None:
        """The leg in hand went by this variation. [deg, east positive]"""
        self._degrees[whose] = f"{whose} {east_or_west(variation_deg)}"
        self._legs.setdefault(whose, {})[self.leg] = None

    def add_model(self) -> None:
        """The leg in hand went by the model."""
        self._degrees[_MODEL] = _MODEL
        self._legs.setdefault(_MODEL, {})[self.leg] = None

    def words(self) -> str:
        """``"SKH 9.0° west (to SKH, from SKH), the aerodrome 8.3° west (to HOLMA)"``; without legs where there is but
        one, empty where there is none.
        """
        if len(self._degrees) < 2:
            return "".join(self._degrees.values())
        return ", ".join(f"{words} ({_named(list(self._legs[whose]))})" for whose, words in self._degrees.items())


def leg_label(kind: PathTerminator, ident: str, course_deg: float | None) -> str:
    """A leg in a word or two: ``"to HOLMA"``, ``"from SKH"``, ``"hold at OSTRA"``, ``"course 337°"``."""
    fix = shown(ident)
    if kind in TO_FIX:
        return f"to {fix}"
    if kind in FROM_FIX:
        return f"from {fix}"
    if kind in HOLDS or kind == "PI":
        return f"{'procedure turn' if kind == 'PI' else 'hold'} at {fix}"
    word = "heading" if kind in HEADINGS else "course"
    return word if course_deg is None else f"{word} {direction(course_deg)}"


def _named(legs: list[str]) -> str:
    rest = len(legs) - _MOST_NAMED
    return ", ".join(legs[:_MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")
