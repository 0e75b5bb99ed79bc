"""The planned groundspeed of each leg, and where it comes from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from legwise.geodesy.angles import wrap_360
from legwise.model.briefing import Wind
from legwise.model.lesson import Lesson
from legwise.model.plan import Leg, LegPart, Plan, PlannedApproach


def wind_triangle_kt(airspeed_kt: float, course_deg_true: float, wind: Wind) -> float | None:
    """Groundspeed along a course: the airspeed less the headwind, after what crabbing into the crosswind costs. [kt]

    None where the wind is too strong to make the course good.
    """
    angle = math.radians(wind.from_deg_true - course_deg_true)
    across, head = wind.speed_kt * math.sin(angle), wind.speed_kt * math.cos(angle)
    if abs(across) >= airspeed_kt:
        return None
    groundspeed = math.sqrt(airspeed_kt**2 - across**2) - head
    return groundspeed if groundspeed > 0 else None


def legs_after_faf(approach: PlannedApproach) -> tuple[Leg, ...]:
    """The legs from the final approach fix to the missed approach point; none where no fix has that role."""
    faf = max((place for place, leg in enumerate(approach.legs) if leg.role == "FAF"), default=None)
    return () if faf is None else approach.legs[faf + 1 :]


@dataclass(frozen=True, slots=True)
class _Speed:
    kt: float
    is_airspeed: bool


class PlannedSpeeds:
    """The planned groundspeed of each leg, and in words where it comes from."""

    def __init__(self, plan: Plan, lesson: Lesson, wind: Wind | None) -> None:
        self._wind = wind
        self._route_kt = lesson.route.speed_kt
        self._approach_kt = lesson.aircraft.approach_ias_kt
        text = dict(_text_speeds(plan, lesson)) if lesson.route.speed_kt is None else {}
        self._text_kt = text
        self._last_text_kt = list(text.values())[-1] if text else _first_text_speed(lesson, plan)
        self._final_ids = {leg.id for approach in plan.approaches for leg in legs_after_faf(approach)}
        self._has_approach = bool(plan.approaches)

    def of(self, leg: Leg) -> float | None:
        """The planned groundspeed on a leg. [kt]"""
        speed = self._planned(leg)
        if speed is None or not speed.is_airspeed or self._wind is None:
            return None if speed is None else speed.kt
        course = leg.course_deg_true
        return None if course is None else wind_triangle_kt(speed.kt, course, self._wind)

    def in_words(self) -> tuple[str, ...]:
        """Which speed was taken where."""
        words: list[str] = []
        if self._route_kt is not None:
            words.append(f"{self._route_kt:.0f} kt groundspeed ([route] speed_kt)")
        elif self._last_text_kt is not None:
            kt = dict.fromkeys([*self._text_kt.values()] or [self._last_text_kt])
            words.append(f"{', then '.join(f'{item:.0f}' for item in kt)} kt (the route's text){self._by_wind()}")
        if self._approach_kt is not None and self._has_approach:
            where = "from the final approach fix" if words else "on the approach"
            words.append(f"{where} {self._approach_kt:.0f} kt ([aircraft] approach_ias_kt){self._by_wind()}")
        return tuple(words) or ("not said ([route] speed_kt), so there are no leads and no times",)

    def _by_wind(self) -> str:
        if self._wind is None:
            return ", taken as groundspeed"
        return f", with wind from {wrap_360(self._wind.from_deg_true):03.0f}° true at {self._wind.speed_kt:.0f} kt"

    def _planned(self, leg: Leg) -> _Speed | None:
        if leg.id in self._final_ids and self._approach_kt is not None:
            return _Speed(self._approach_kt, is_airspeed=True)
        if self._route_kt is not None:
            return _Speed(self._route_kt, is_airspeed=False)
        text = self._text_kt.get(leg.id) if leg.part is LegPart.ROUTE else self._last_text_kt
        if text is not None:
            return _Speed(text, is_airspeed=True)
        if leg.part is not LegPart.ROUTE and self._approach_kt is not None:
            return _Speed(self._approach_kt, is_airspeed=True)
        return None


def _first_text_speed(lesson: Lesson, plan: Plan) -> float | None:
    if plan.source != "lesson" or lesson.route.speed_kt is not None:
        return None
    return next((element.speed_kt for element in lesson.route.elements if element.speed_kt is not None), None)


def _text_speeds(plan: Plan, lesson: Lesson) -> Iterator[tuple[str, float]]:
    """Leg id and speed [kt] of the route's legs, by the route's text: a speed holds from its element on."""
    if plan.source != "lesson":
        return
    said = {element.text: element.speed_kt for element in lesson.route.elements if element.speed_kt is not None}
    speed = next((element.speed_kt for element in lesson.route.elements[:1] if element.form == "change"), None)
    for leg in plan.route:
        speed = said.get(leg.from_fix.ident, speed) if leg.from_fix is not None else speed
        if speed is not None:
            yield leg.id, speed
