"""The sketch of a published hold: the racetrack, the fix, the sectors of its entries. North is up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from legwise.look.leg_words import direction, hold_words, magnetic_or_true
from legwise.look.words import clean
from legwise.model.briefing import HoldBriefing

_LEG = 92.0
_RADIUS = 32.0
_SECTOR = 66.0
"""Length of the lines between the sectors."""
_ARRIVAL = (14.0, 74.0)
_BESIDE = 12.0
"""How far a word stands from the line that it belongs to."""
_LINE_OF_THE_SECTORS_DEG = 70.0
"""Between teardrop and direct entries, from the inbound course on the holding side (FAA AIM 5-3-8 j3)."""
_ONE_ARROW_DEG = 15.0
"""A course of arrival that is known no better than this to either side has no arrow. Our choice."""
_WORD = 60.0
"""Room for the widest word."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SketchText:
    """A word of the sketch; ``anchor`` is its end that stands at the point: "start", "middle", "end"."""

    x: float
    y: float
    text: str
    css: str
    anchor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SketchLine:
    """A line of the sketch."""

    x1: float
    y1: float
    x2: float
    y2: float
    css: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldSketch:
    """The sketch as SVG parts; ``title`` and ``description`` say it in words for who can't see it."""

    view_box: str
    title: str
    description: str
    track: str
    fix: Point
    lines: tuple[SketchLine, ...]
    texts: tuple[SketchText, ...]


def hold_sketch(brief: HoldBriefing) -> HoldSketch:
    """The sketch of a hold, drawn by its magnetic inbound course, by the true one where that is not known.

    It is not to scale: the side of the turns, the courses and the sectors are what it shows.
    """
    hold = brief.hold
    is_magnetic = hold.inbound_course_deg_mag is not None
    course = hold.inbound_course_deg_mag if hold.inbound_course_deg_mag is not None else hold.inbound_course_deg_true
    arrival = brief.arrival_course_deg_mag if is_magnetic else brief.arrival_course_deg_true
    if brief.entry_depends or (brief.arrival_within_deg or 0.0) > _ONE_ARROW_DEG:
        arrival = None
    side = 1.0 if hold.turn == "right" else -1.0
    frame = _Frame(course, side)
    track = _racetrack(frame)
    lines = [
        frame.ray(course, 0.0, _SECTOR, "sector"),
        frame.ray(course + side * (180.0 - _LINE_OF_THE_SECTORS_DEG), 0.0, _SECTOR, "sector"),
        frame.ray(course - side * _LINE_OF_THE_SECTORS_DEG, 0.0, _SECTOR, "sector"),
        *frame.arrow((-_LEG * 0.45, 0.0), course, "arrow"),
        *frame.arrow((-_LEG * 0.55, side * 2.0 * _RADIUS), course + 180.0, "arrow"),
    ]
    across, inside = side * 2.0 * _RADIUS, (-_LEG / 2.0, side * _RADIUS)
    texts = [
        frame.word(frame.local(course - side * _LINE_OF_THE_SECTORS_DEG / 2.0, 52.0), (0.0, 0.0), "teardrop", "name"),
        frame.word(frame.local(course + side * 52.0, 88.0), (0.0, across), "parallel", "name"),
        frame.word(frame.local(course + side * 232.0, 84.0), (0.0, 0.0), "direct", "name"),
        frame.word((-_LEG * 0.62, -side * _BESIDE), (-_LEG * 0.62, 0.0), direction(course), "course"),
        frame.word((-_LEG * 0.5, across + side * _BESIDE), (-_LEG * 0.5, across), direction(course + 180.0), "course"),
        frame.word(inside, inside, clean(hold.fix.ident, longest=7), "fix"),
    ]
    if arrival is not None:
        lines.append(frame.ray(arrival + 180.0, *_ARRIVAL, "arrival"))
        lines += frame.arrow(frame.local(arrival + 180.0, _ARRIVAL[0]), arrival, "arrival")
    fix = frame.point(0.0, 0.0)
    words = f"{clean(hold.fix.ident, longest=60)}: {hold_words(hold)}"
    inbound = magnetic_or_true(hold.inbound_course_deg_mag, hold.inbound_course_deg_true)
    return HoldSketch(
        view_box=_view_box([*_corners(frame), *_rooms(texts), *_ends(lines)]),
        title=f"Hold at {words}",
        description=(
            f"North is up{'' if is_magnetic else ' (true)'}. The aircraft comes in on {inbound}, turns {hold.turn} at "
            "the fix, flies the outbound leg on the holding side and turns back. Dashed lines part the sectors from "
            "which a direct, a teardrop or a parallel entry is flown. Not to scale."
        ),
        track=track,
        fix=fix,
        lines=tuple(lines),
        texts=tuple(texts),
    )


class _Frame:
    """From along and across the inbound course, the fix at nought, to the sketch: x to the east, y to the south."""

    def __init__(self, course_deg: float, side: float) -> None:
        self.side = side
        self._sin, self._cos = math.sin(math.radians(course_deg)), math.cos(math.radians(course_deg))
        self._course_deg = course_deg

    def point(self, along: float, across: float) -> Point:
        east = along * self._sin + across * self._cos
        north = along * self._cos - across * self._sin
        return round(east, 1) + 0.0, round(-north, 1) + 0.0

    def local(self, bearing_deg: float, distance: float) -> Point:
        """Along and across of the point at a bearing from the fix."""
        angle = math.radians(bearing_deg - self._course_deg)
        return distance * math.cos(angle), distance * math.sin(angle)

    def ray(self, bearing_deg: float, start: float, stop: float, css: str) -> SketchLine:
        x1, y1 = self.point(*self.local(bearing_deg, start))
        x2, y2 = self.point(*self.local(bearing_deg, stop))
        return SketchLine(x1=x1, y1=y1, x2=x2, y2=y2, css=css)

    def arrow(self, tip: Point, course_deg: float, css: str) -> list[SketchLine]:
        """The two strokes of an arrow's head whose tip is at ``tip`` (along, across), pointing along a course."""
        x, y = self.point(*tip)
        strokes = []
        for off in (150.0, -150.0):
            angle = math.radians(course_deg + off)
            end = (round(x + 9.0 * math.sin(angle), 1) + 0.0, round(y - 9.0 * math.cos(angle), 1) + 0.0)
            strokes.append(SketchLine(x1=x, y1=y, x2=end[0], y2=end[1], css=css))
        return strokes

    def word(self, place: Point, beside: Point, text: str, css: str) -> SketchText:
        """A word at ``place`` (along, across), that grows away from the point ``beside``."""
        x, y = self.point(*place)
        off = x - self.point(*beside)[0]
        anchor = "middle" if abs(off) < _BESIDE / 2.0 else "start" if off > 0 else "end"
        return SketchText(x=x, y=y, text=text, css=css, anchor=anchor)


def _racetrack(frame: _Frame) -> str:
    """The pattern as the data of an SVG path, from the fix round and back."""
    across = frame.side * 2.0 * _RADIUS
    sweep = 1 if frame.side > 0 else 0
    turn = f"A{_RADIUS:g} {_RADIUS:g} 0 0 {sweep}"
    fix, abeam = frame.point(0.0, 0.0), frame.point(0.0, across)
    far, start = frame.point(-_LEG, across), frame.point(-_LEG, 0.0)
    return (
        f"M{fix[0]:g} {fix[1]:g} {turn} {abeam[0]:g} {abeam[1]:g} L{far[0]:g} {far[1]:g} "
        f"{turn} {start[0]:g} {start[1]:g} Z"
    )


def _corners(frame: _Frame) -> list[Point]:
    across = frame.side * 2.0 * _RADIUS
    return [frame.point(x, y) for x in (-_LEG - _RADIUS, _RADIUS) for y in (0.0, across)]


def _ends(lines: list[SketchLine]) -> list[Point]:
    return [(line.x2, line.y2) for line in lines]


def _rooms(texts: list[SketchText]) -> Iterator[Point]:
    """Points that the words reach."""
    for item in texts:
        room = {"course": 34.0, "fix": 10.0 * len(item.text)}.get(item.css, _WORD)
        left = {"start": 0.0, "middle": -room / 2.0, "end": -room}[item.anchor]
        yield item.x + left, item.y - 9.0
        yield item.x + left + room, item.y + 9.0


def _view_box(points: list[Point]) -> str:
    left, right = min(x for x, _ in points) - 4.0, max(x for x, _ in points) + 4.0
    top, bottom = min(y for _, y in points) - 4.0, max(y for _, y in points) + 4.0
    return f"{left:.1f} {top:.1f} {right - left:.1f} {bottom - top:.1f}"
