"""A route in the form of the flight plan's item 15, taken apart into its points.

Forms of the elements: FAA AIM, appendix 4 (item 15: speed, level, route, change of speed or level); degrees-only
positions and ``IFR``/``VFR`` as in ICAO Doc 4444, appendix 2, from memory.
"""

from __future__ import annotations

import re
from collections.abc import Collection

from legwise.errors import LessonError, NotYetError
from legwise.lessons.words import plain
from legwise.model.plan import coordinates_of
from legwise.model.route_text import RouteElement

_LONGEST_TEXT = 2000
_SPEED = r"(?:[NK][0-9]{4}|M[0-9]{3})"
_LEVEL = r"(?:[FA][0-9]{3}|[SM][0-9]{4}|VFR)"
_FIRST_GROUP = re.compile(rf"{_SPEED}(?:{_LEVEL})?|[FA][0-9]{{3}}")
_SUFFIX = re.compile(rf"{_SPEED}{_LEVEL}|D[0-9]{{2}}\+[0-9]{{1,3}}")
_AIRWAY = re.compile(r"U?[A-Z]{1,2}[0-9]{1,3}[A-Z]?")
_PROCEDURE = re.compile(r"[A-Z]{3,6}[0-9][A-Z]?")
_BEARING_DISTANCE = re.compile(r"[A-Z][A-Z0-9]{1,4}[0-9]{6}")
_POSITION_LIKE = re.compile(r"[0-9]{2,6}[NS][0-9]{3,7}[EW]")
_IDENT = re.compile(r"[A-Z0-9]{2,7}")
_NO_POINTS = frozenset({"DCT", "IFR", "VFR"})
_WINDOW = 68


def split_route_text(text: str, *, where: str, known: Collection[str] = ()) -> tuple[RouteElement, ...]:
    """The points of ``text``, in order; speed and level groups, DCT, IFR and VFR give none.

    ``known`` are idents of fixes that are written out: they are points whatever they look like. Small letters stand for
    capitals.

    Raises
    ------
    LessonError
        An element that is no point, with a caret under it; a text without a point.
    NotYetError
        Airways, departure and arrival routes, points by bearing and distance, cruise climbs.
    """
    if len(text) > _LONGEST_TEXT:
        raise LessonError(f"the route is longer than {_LONGEST_TEXT} characters", where=where)
    words = list(re.finditer(r"[^\s]+", text))
    elements: list[RouteElement] = []
    for number, word in enumerate(words):
        point = _point(text, word, where=where, known=known, is_first=number == 0)
        if point is not None:
            elements.append(point)
    if not elements:
        raise LessonError("the route holds no point", where=where, remedy="Write it like: XTBN BRAKO CALDU XSKH")
    return tuple(elements)


def _point(
    text: str, word: re.Match[str], *, where: str, known: Collection[str], is_first: bool
) -> RouteElement | None:
    written = word[0]
    if written in known:
        return RouteElement(text=written, start=word.start(), stop=word.end())
    body, slash, suffix = written.upper().partition("/")
    if is_first:
        body = body.removeprefix("-")
        if not slash and _FIRST_GROUP.fullmatch(body):
            return None
    if not slash and (body in _NO_POINTS or (not body and is_first)):
        return None
    if slash and body == "C":
        raise _not_yet(text, word, where, "a cruise climb", "Write the point alone.")
    if slash and not _SUFFIX.fullmatch(suffix):
        raise LessonError(
            f"what follows the point in {plain(written)} is no speed and level",
            where=where,
            remedy=f"Write it like BRAKO/N0120A050.\n{_caret(text, word)}",
        )
    as_written = written.partition("/")[0].removeprefix("-")
    ident = next((item for item in (as_written, body) if item in known), body)
    if ident not in known:
        _refuse_what_is_no_point(text, word, body, where=where)
    return RouteElement(text=ident, start=word.start(), stop=word.start() + len(written.partition("/")[0]))


def _refuse_what_is_no_point(text: str, word: re.Match[str], body: str, *, where: str) -> None:
    if coordinates_of(body) is not None:
        return
    if _POSITION_LIKE.fullmatch(body):
        raise LessonError(
            f"the position {body} is not one",
            where=where,
            remedy=f"Write degrees and minutes like 4630N02800W, or degrees like 46N028W.\n{_caret(text, word)}",
        )
    if _AIRWAY.fullmatch(body):
        raise _not_yet(text, word, where, f"the airway {body}", "Write its points one after the other.")
    if _PROCEDURE.fullmatch(body):
        raise _not_yet(text, word, where, f"the departure or arrival route {body}", "Write its points one by one.")
    if _BEARING_DISTANCE.fullmatch(body):
        raise _not_yet(text, word, where, f"the point by bearing and distance {body}", "Write it as a position.")
    if not _IDENT.fullmatch(body):
        raise LessonError(
            f"{plain(word[0])} is no point of a route",
            where=where,
            remedy=f"Points are idents like BRAKO or positions like 4630N02800W.\n{_caret(text, word)}",
        )


def _not_yet(text: str, word: re.Match[str], where: str, what: str, remedy: str) -> NotYetError:
    return NotYetError(
        f"{what} is not read yet",
        where=where,
        remedy=f"{remedy} If it is the ident of a fix of your own, write that as a [[fix]].\n{_caret(text, word)}",
    )


def _caret(text: str, word: re.Match[str]) -> str:
    """The text about the element on one line, and carets under the element."""
    start = max(0, min(word.start() - _WINDOW // 2, len(text) - _WINDOW))
    window = text[start : start + _WINDOW]
    row = "".join(letter if letter.isprintable() else " " for letter in window)
    length = max(1, min(word.end(), start + _WINDOW) - word.start())
    return f"    {row}\n    {' ' * (word.start() - start)}{'^' * length}"
