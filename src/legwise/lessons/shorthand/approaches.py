"""Which approach of the lesson was cleared: "clrd R27", "clrd XSKH/R27", "cleared ILS rwy 27 apch", "clrd apch"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from legwise.errors import LessonError
from legwise.lessons.shorthand.idents import is_bare_approach
from legwise.lessons.shorthand.scanning import Cursor, Word
from legwise.lessons.words import plain
from legwise.model.lesson import LessonApproach

_SATELLITE = ("LPV", "LP", "LNAV/VNAV", "LNAV")
# What is said, the guidance it may be, and the letters of coded identifiers (ARINC 424, route type).
_KINDS: dict[str, tuple[tuple[str, ...], str]] = {
    "ils": (("ILS",), "i"),
    "loc": (("LOC",), "l"),
    "llz": (("LOC",), "l"),
    "rnav": (_SATELLITE, "rhp"),
    "rnp": (_SATELLITE, "rhp"),
    "gps": (_SATELLITE, "rhp"),
    "lpv": (("LPV",), "rh"),
    "lp": (("LP",), "rh"),
    "lnav/vnav": (("LNAV/VNAV",), "rh"),
    "lnav": (("LNAV",), "rhp"),
    "gls": (("GLS",), "j"),
    "lda": (("LDA",), "x"),
    "sdf": (("SDF",), "u"),
    "vor": (("VOR",), "vsd"),
    "ndb": (("NDB",), "nq"),
}
_FILLERS = frozenset(
    {"rwy", "runway", "rw", "apch", "app", "ap", "approach", "the", "for", "to", "straight", "straight-in"}
)
_RUNWAY = re.compile("(?:rwy?)?(?P<number>0?[1-9]|[12][0-9]|3[0-6])(?P<side>[lrc]?)")
_CODED = re.compile("(?P<kind>[a-z])(?P<number>[0-9]{2})(?P<side>[lrc]?)-?(?P<suffix>[a-z]?)")
_IN_TITLE = re.compile("(?:rwy|rw|runway)? ?(?P<number>[0-9]{1,2})(?P<side>[lrc]?)$")
_SUFFIXES = frozenset("uvwyz")
"""X is a suffix only in front of a runway's number: it crosses a fix elsewhere."""


@dataclass(slots=True)
class _Asked:
    """What was said of the approach."""

    airport: str = ""
    name: str = ""
    kind: str = ""
    suffix: str = ""
    runway: str = ""


def cleared_for(cursor: Cursor, after: Word, approaches: Sequence[LessonApproach], known: Mapping[str, str]) -> str:
    """What the words after "cleared" name, as a lesson's ``cleared``; exactly one approach of the lesson, or a name
    in full, which the lesson's plan looks up.

    Raises
    ------
    LessonError
        They name none, or more than one.
    """
    first = cursor.peek()
    if first is not None and (first.quoted or "/" in first.text.strip("/")):
        cursor.take()
        return first.text if first.quoted else first.text.upper()
    asked, last = _asked(cursor, approaches)
    if last is None and first is not None and first.key in known:
        raise first.refused(
            f"{plain(first.text)} is a fix, not an approach of the lesson",
            f"Cleared to a fix is direct: D→{plain(first.text)}.",
        )
    if last is None and first is not None and is_bare_approach(first.text.upper()):
        if approaches:
            raise _none_is_meant(first, approaches)
        cursor.take()
        return first.text.upper()
    here = after if last is None or first is None else first.until(last)
    names = dict.fromkeys(_name(item, approaches) for item in approaches if _is_meant(item, asked))
    if names and asked == _Asked(airport=asked.airport) and asked.airport:
        return next(item.airport for item in approaches if item.airport.casefold() == asked.airport)
    if len(names) == 1:
        return next(iter(names))
    if len(names) > 1:
        raise here.ambiguous(f"clrd {_in_quotes(name)}" for name in names)
    raise _none_is_meant(here if last is not None else first or after, approaches)


def _none_is_meant(word: Word, approaches: Sequence[LessonApproach]) -> LessonError:
    known = ", ".join(dict.fromkeys(_name(item, approaches) for item in approaches))
    remedy = f"The lesson has {plain(known)}." if known else "Write AIRPORT/PROCEDURE or AIRPORT/runway: clrd XSKH/R27."
    return word.refused(f"{plain(word.text)} names no approach of the lesson", remedy)


def _asked(cursor: Cursor, approaches: Sequence[LessonApproach]) -> tuple[_Asked, Word | None]:
    """What the next words say of an approach, and the last of them; None where they say nothing of one."""
    asked, last = _Asked(), None
    airports = {item.airport.casefold() for item in approaches}
    procedures = {item.procedure.casefold() for item in approaches if item.procedure}
    while (word := cursor.peek()) is not None:
        key = word.key
        runway = _RUNWAY.fullmatch(key)
        following = cursor.peek(1)
        if key in airports and not asked.airport:
            asked.airport = key
        elif (key in procedures or _CODED.fullmatch(key)) and not asked.name:
            asked.name = key
        elif key in _KINDS and not asked.kind:
            asked.kind = key
        elif runway and not asked.runway:
            asked.runway = _bare(runway)
        elif asked.kind and not asked.runway and (key in _SUFFIXES or _is_x_suffix(key, following)):
            asked.suffix = key
        elif key not in _FILLERS or not _goes_on(key, following, last):
            break
        last = word
        cursor.take()
    return asked, last


def _is_x_suffix(key: str, following: Word | None) -> bool:
    return (
        key == "x" and following is not None and (following.key in _FILLERS or bool(_RUNWAY.fullmatch(following.key)))
    )


def _goes_on(key: str, following: Word | None, last: Word | None) -> bool:
    """Whether a filling word belongs to the approach: "apch" always, "to" only where more of it follows."""
    if key in ("apch", "app", "ap", "approach"):
        return True
    follows = following.key if following is not None else ""
    return follows in _FILLERS or follows in _KINDS or (last is not None and bool(_RUNWAY.fullmatch(follows)))


def _bare(match: re.Match[str]) -> str:
    return f"{int(match['number'])}{match['side']}"


def _is_meant(item: LessonApproach, asked: _Asked) -> bool:
    title = (item.title or "").casefold()
    procedure = (item.procedure or "").casefold()
    coded = _CODED.fullmatch(procedure)
    if asked.airport and item.airport.casefold() != asked.airport:
        return False
    if asked.runway and asked.runway not in _runways(item, coded):
        return False
    if asked.suffix and not (coded and coded["suffix"] == asked.suffix) and asked.suffix not in title.split():
        return False
    if asked.kind and not _is_of_kind(item, asked.kind, coded):
        return False
    return not asked.name or _is_called(item, asked.name, coded)


def _is_called(item: LessonApproach, name: str, coded: re.Match[str] | None) -> bool:
    """Whether a coded identifier is the approach's own, or says its kind and runway."""
    if (item.procedure or "").casefold() == name or coded is not None:
        return (item.procedure or "").casefold() == name
    said = _CODED.fullmatch(name)
    if said is None or _bare(said) not in _runways(item, coded):
        return False
    return any(said["kind"] in letters and _is_of_kind(item, kind, coded) for kind, (_, letters) in _KINDS.items())


def _is_of_kind(item: LessonApproach, kind: str, coded: re.Match[str] | None) -> bool:
    guidances, letters = _KINDS[kind]
    if item.guidance is not None and item.guidance in guidances:
        return True
    if kind in re.split("[^a-z/]+", (item.title or "").casefold()):
        return True
    return item.guidance is None and coded is not None and coded["kind"] in letters


def _runways(item: LessonApproach, coded: re.Match[str] | None) -> set[str]:
    found: list[re.Match[str] | None] = [coded, _IN_TITLE.search((item.title or "").casefold())]
    if item.runway is not None:
        found.append(_RUNWAY.fullmatch(item.runway.ident.casefold()))
    return {_bare(match) for match in found if match is not None}


def _name(item: LessonApproach, approaches: Iterable[LessonApproach]) -> str:
    """The name by which an instruction clears for an approach: its identifier, else its runway, else its title."""
    if item.procedure:
        return f"{item.airport}/{item.procedure}"
    there = [other for other in approaches if other.airport == item.airport and other is not item]
    runway = item.runway.ident if item.runway is not None else ""
    if runway and not any(other.runway is not None and other.runway.ident == runway for other in there):
        return f"{item.airport}/{runway}"
    title = " ".join((item.title or "").split())
    name = f"{item.airport}/{title or runway}"
    return name if (title or runway) and len(name) <= 60 else item.airport


def _in_quotes(name: str) -> str:
    return name if is_bare_approach(name) else f'"{name}"'
