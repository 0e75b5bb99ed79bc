"""A route in the form of the flight plan's item 15, taken apart into its elements.

Forms: FAA AIM, appendix 4 (item 15: speed, level, direct, route, change, delay, degrees and minutes); kilometres per
hour, metric levels, degrees-only positions, bearing and distance, ``IFR``/``VFR``, cruise climb and truncation as in
ICAO Doc 4444, appendix 2. Bearing and distance with a stroke (``PDZ092/015``) as the US preferred routes write it.

This is the lexical half: whether a name is a fix, an airway, a departure or an arrival shows from navigation data and
from its neighbours, and is decided by :mod:`legwise.plan`.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from legwise.errors import LessonError
from legwise.lessons.words import plain
from legwise.model.plan import coordinates_of
from legwise.model.route_text import RouteElement, caret_under
from legwise.units import FT_PER_M, KT_PER_KMH

_LONGEST_TEXT = 2000
_HIGHEST_FT = 60_000.0
_FASTEST_KT = 700.0
"""The ranges of ``[route] altitude_ft`` and ``speed_kt``."""

_SPEED = r"(?:[NK][0-9]{4}|M[0-9]{3})"
_LEVEL = r"(?:[FA][0-9]{3}|[SM][0-9]{4}|VFR)"
_GROUP = re.compile(rf"(?P<speed>{_SPEED})(?P<level>{_LEVEL})")
_FIRST_GROUP = re.compile(rf"(?P<speed>{_SPEED})(?P<level>{_LEVEL})?|(?P<level_alone>(?!VFR){_LEVEL})")
_DELAY = re.compile(r"D[0-9]{1,2}\+[0-9]{1,3}")
_POSITION_LIKE = re.compile(r"[0-9]{2,6}[NS][0-9]{3,7}[EW]")
_BEARING_DISTANCE = re.compile(r"(?P<ident>[A-Z][A-Z0-9]{1,4})(?P<bearing>[0-9]{3})(?P<distance>[0-9]{3})")
_BEARING = re.compile(r"[A-Z][A-Z0-9]{1,4}[0-9]{3}")
_DISTANCE = re.compile(r"[0-9]{3}")
_NEARLY_BEARING_DISTANCE = re.compile(r"(?P<ident>[A-Z]{2,5})(?P<digits>[0-9]{5}|[0-9]{7,8})")
_NEARLY_GROUP = re.compile(r"(?P<unit>[NK])(?P<speed>[0-9]{2,5})(?P<kind>[FA])(?P<level>[0-9]{2,4})")
_NAME = re.compile(r"[A-Z0-9]{2,7}")
_POINTS = frozenset({"name", "position", "bearing-distance"})


def split_route_text(text: str, *, where: str, known: Collection[str] = ()) -> tuple[RouteElement, ...]:
    """The elements of ``text``, in order.

    ``known`` are idents of fixes that are written out: they are points whatever they look like. Small letters stand for
    capitals.

    Raises
    ------
    LessonError
        An element that is none, or that no plan can use, with carets under it; a text without a point.
    """
    if len(text) > _LONGEST_TEXT:
        raise LessonError(f"the route is longer than {_LONGEST_TEXT} characters", where=where)
    idents = frozenset(known)
    elements: list[RouteElement] = []
    has_point = False
    for match in re.finditer(r"[^\s]+", text):
        word = _Word(text=text, written=match[0], start=match.start(), where=where)
        if not elements:
            word = word.without_hyphen()
        if word.written:
            element = _element(word, idents, number=len(elements))
            elements.append(element)
            has_point = has_point or element.form in _POINTS
    if not has_point:
        raise LessonError("the route holds no point", where=where, remedy="Write it like: XTBN BRAKO V7 CALDU XSKH")
    return tuple(elements)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Word:
    """A word of a route's text and where it stands in it."""

    text: str
    written: str
    start: int
    where: str

    @property
    def stop(self) -> int:
        return self.start + len(self.written)

    def without_hyphen(self) -> _Word:
        """The word without the hyphen that a field of a flight plan message begins with."""
        bare = self.written.removeprefix("-")
        start = self.stop - len(bare)
        return _Word(text=self.text, written=bare, start=start, where=self.where)

    def refused(self, message: str, remedy: str) -> LessonError:
        """The error about this word."""
        carets = caret_under(self.text, self.start, self.stop)
        return LessonError(message, where=self.where, remedy=f"{remedy}\n{carets}")


def _element(word: _Word, known: frozenset[str], *, number: int) -> RouteElement:
    written = word.written
    capitals = written.upper()
    if written in known or capitals in known:
        return RouteElement(text=written if written in known else capitals, start=word.start, stop=word.stop)
    if capitals == "DCT":
        return RouteElement(text=capitals, start=word.start, stop=word.stop, form="direct")
    if capitals in ("IFR", "VFR"):
        return RouteElement(text=capitals, start=word.start, stop=word.stop, form="rules")
    _refuse_what_no_plan_can_use(word, capitals)
    # Half a group may be an airway (A123) everywhere but at the beginning.
    group = (_GROUP if number else _FIRST_GROUP).fullmatch(capitals)
    if group is None:
        return _point(word, known)
    if number > 1:
        raise word.refused(
            f"the speed and level {capitals} stand between two elements",
            f"A change follows its point with a stroke: BRAKO/{capitals}.",
        )
    return _group(word, group)


def _refuse_what_no_plan_can_use(word: _Word, capitals: str) -> None:
    if capitals.startswith("C/"):
        raise word.refused(
            f"{plain(word.written)} is a cruise climb, which is not planned",
            "Write its point with the speed and level that it begins with: BRAKO/M081F330.",
        )
    if capitals == "T":
        raise word.refused(
            "T says that the route is cut short here", "A plan needs the rest: write the points to the destination."
        )


def _group(word: _Word, group: re.Match[str]) -> RouteElement:
    """The speed and level group at the beginning, before or after the aerodrome of departure."""
    groups = group.groupdict()
    speed_kt, level_ft = _planned(word, groups["speed"], groups["level"] or groups.get("level_alone"))
    text = word.written.upper()
    return RouteElement(
        text=text,
        start=word.start,
        stop=word.stop,
        form="change",
        speed_kt=speed_kt,
        level_ft=level_ft,
        change=text,
    )


def _point(word: _Word, known: frozenset[str]) -> RouteElement:
    """A point or a name, with the change that follows its stroke."""
    # An ident of one's own may hold a stroke itself: the last one parts it from a change.
    as_written, stroke, suffix = word.written.rpartition("/")
    if not stroke:
        as_written, suffix = word.written, ""
    body, suffix = as_written.upper(), suffix.upper()
    is_known = as_written in known or body in known
    if stroke and not is_known and _BEARING.fullmatch(body) and _DISTANCE.fullmatch(suffix):
        return _by_bearing(word, body + suffix, word.stop)
    change = _GROUP.fullmatch(suffix)
    if stroke and change is None and not _DELAY.fullmatch(suffix):
        raise word.refused(
            f"what follows the point in {plain(word.written)} is no speed and level",
            "Write both like BRAKO/N0120A050; a delay like BRAKO/D00+20.",
        )
    speed_kt, level_ft = _planned(word, change["speed"], change["level"]) if change is not None else (None, None)
    stop = word.start + len(as_written)
    if is_known:
        point = RouteElement(text=as_written if as_written in known else body, start=word.start, stop=stop)
    else:
        point = _unknown_point(word, body, stop)
    return RouteElement(
        text=point.text,
        start=point.start,
        stop=point.stop,
        form=point.form,
        speed_kt=speed_kt,
        level_ft=level_ft,
        change=suffix,
    )


def _unknown_point(word: _Word, body: str, stop: int) -> RouteElement:
    if coordinates_of(body) is not None:
        return RouteElement(text=body, start=word.start, stop=stop, form="position")
    if _POSITION_LIKE.fullmatch(body):
        raise word.refused(
            f"the position {body} is not one",
            "Write degrees and minutes like 4630N02800W, or degrees like 46N028W, both halves alike.",
        )
    parts = _BEARING_DISTANCE.fullmatch(body)
    nearly = _NEARLY_BEARING_DISTANCE.fullmatch(body)
    if nearly and (parts is None or int(parts["bearing"]) > 360):
        ident, digits = nearly["ident"], nearly["digits"]
        raise word.refused(
            f"{body} has {len(digits)} digits after {ident}; a point by bearing and distance has six",
            f"Three are the magnetic bearing, three the NM: {ident}125003 is 3 NM from {ident} on bearing 125°.",
        )
    if parts is not None:
        return _by_bearing(word, body, stop)
    nearly_group = _NEARLY_GROUP.fullmatch(body)
    if nearly_group is not None:
        unit, speed, kind, level = nearly_group.groups()
        raise word.refused(
            f"{body} is no speed and level: a speed has four digits and a level three",
            f"Write it like {unit}{int(speed):04d}{kind}{int(level):03d}.",
        )
    if not _NAME.fullmatch(body):
        raise word.refused(
            f"{plain(word.written)} is no element of a route",
            "Write idents like BRAKO, airways like V7, positions like 4630N02800W, with blanks between them.",
        )
    return RouteElement(text=body, start=word.start, stop=stop)


def _by_bearing(word: _Word, text: str, stop: int) -> RouteElement:
    """A point by bearing and distance from a fix, in the form without a stroke."""
    parts = _BEARING_DISTANCE.fullmatch(text)
    if parts is None or int(parts["bearing"]) > 360:
        raise word.refused(
            f"the bearing in {plain(word.written)} is above 360°",
            "After the ident stand three digits of magnetic bearing and three of NM: SKH125003.",
        )
    return RouteElement(text=text, start=word.start, stop=stop, form="bearing-distance")


def _planned(word: _Word, speed: str | None, level: str | None) -> tuple[float | None, float | None]:
    """Speed [kt] and level [ft] of a group; None for a Mach number, for VFR, and for what is not given.

    A flight level is hundreds of feet above the standard pressure surface, an ``A`` hundreds of feet above mean sea
    level; ``S`` and ``M`` are the same two in tens of metres.
    """
    speed_kt = None
    if speed is not None and speed[0] != "M":
        speed_kt = int(speed[1:]) * (KT_PER_KMH if speed[0] == "K" else 1.0)
        if not 0.0 < speed_kt <= _FASTEST_KT:
            raise word.refused(f"the speed {speed} is out of range", "Write knots with four digits, like N0120.")
    level_ft = None
    if level is not None and level != "VFR":
        level_ft = int(level[1:]) * (100.0 if level[0] in "FA" else 10.0 * FT_PER_M)
        if level_ft > _HIGHEST_FT:
            raise word.refused(f"the level {level} is out of range", "Write hundreds of feet, like A050 or F090.")
    return speed_kt, level_ft
