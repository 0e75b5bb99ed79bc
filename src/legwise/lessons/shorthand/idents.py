"""Names in shorthand: which may stand as they are, and which stand in quotes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from legwise.lessons.shorthand.scanning import Word
from legwise.lessons.shorthand.vocabulary import GLUED, PHRASES

_IDENT = re.compile("[A-Z][A-Z0-9]{1,4}")
_AIRPORT = re.compile("[A-Z][A-Z0-9]{2,3}")
_APPROACH = re.compile("[A-Z][A-Z0-9]{1,3}/[A-Z0-9][A-Z0-9-]{0,5}")
_GLUED = re.compile("(?P<head>[A-Za-z]+)(?P<rest>[0-9].*)")


def split_glued(text: str) -> int:
    """How many letters of ``H250`` say what its number is; 0 where the word is no such pair."""
    match = _GLUED.fullmatch(text)
    return len(match["head"]) if match and match["head"].casefold() in GLUED else 0


def is_bare_ident(text: str) -> bool:
    """Whether an ident needs no quotes: two to five capitals and figures, and no word of the shorthand."""
    return bool(_IDENT.fullmatch(text)) and (text.casefold(),) not in PHRASES and not split_glued(text)


def is_bare_approach(text: str) -> bool:
    """Whether what an approach is cleared by needs no quotes: AIRPORT/PROCEDURE, or an airport of four letters."""
    is_airport = bool(re.fullmatch("[A-Z]{4}", text)) and is_bare_ident(text) and text != "LNAV"
    return is_airport or bool(_APPROACH.fullmatch(text))


def needed_ident(word: Word | None, after: Word, known: Mapping[str, str]) -> str:
    """The ident that must follow ``after``, in capitals; ``known`` are idents as they are written, by small letters.

    Raises
    ------
    LessonError
        None follows, or a word of the shorthand does.
    """
    if word is None:
        raise after.refused(f"no fix follows {after.text}", f"Write it like {after.text} CALDU.")
    if word.quoted:
        return word.text
    spelt = known.get(word.text.casefold())
    if spelt is not None:
        return spelt
    if not is_bare_ident(word.text.upper()):
        raise word.unknown(
            "a fix: two to five letters and figures like CALDU, any other name in quotes", known.values()
        )
    return word.text.upper()
