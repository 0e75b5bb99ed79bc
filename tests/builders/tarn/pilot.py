"""A pilot: holds a line, a heading, an altitude, a glidepath, with a human's lag and slow wandering."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from builders.tarn.aircraft import Aircraft, Controls, standard_bank_deg
from builders.tarn.chance import Wander
from builders.tarn.earth import FT_PER_NM, Line, wrap_180
from builders.tarn.glide import path_ft, slope
from builders.tarn.places import Final

LOOK_S = 0.5
_BANK_PER_DEG = 2.0
_LEVEL_OFF_PER_MIN = 6.0
_GLIDE_PER_MIN = 5.0


@dataclass(frozen=True, slots=True)
class Skill:
    """How well this pilot holds things: standard deviations of slow wandering."""

    track_deg: float = 0.7
    heading_deg: float = 1.0
    altitude_ft: float = 12.0
    glide_ft: float = 8.0
    speed_kt: float = 0.8


class Lateral(Protocol):
    """Something to steer by: the heading it asks for now."""

    def heading_deg_true(self, aircraft: Aircraft, wander: float) -> float:
        """True heading to steer; ``wander`` in units of one standard deviation."""


@dataclass(frozen=True, slots=True)
class HoldHeading:
    """A heading and no path."""

    heading: float
    skill: Skill

    def heading_deg_true(self, aircraft: Aircraft, wander: float) -> float:  # noqa: ARG002  # the air does not matter
        return self.heading + self.skill.heading_deg * wander


@dataclass(slots=True)
class HoldLine:
    """A line, tracked ``offset_nm`` right of it: a cut in proportion to the distance off, and the wind's correction."""

    line: Line
    skill: Skill
    offset_nm: float = 0.0
    cut_deg_per_nm: float = 60.0
    max_cut_deg: float = 30.0

    def heading_deg_true(self, aircraft: Aircraft, wander: float) -> float:
        off_nm, _, course_deg = self.line.measure(aircraft.position)
        cut_deg = -self.cut_deg_per_nm * (off_nm - self.offset_nm)
        cut_deg = min(max(cut_deg, -self.max_cut_deg), self.max_cut_deg)
        track_deg = course_deg + cut_deg + self.skill.track_deg * wander
        return track_deg + drift_correction_deg(aircraft, track_deg)


def drift_correction_deg(aircraft: Aircraft, track_deg_true: float) -> float:
    """The wind correction angle for a track: asin(crosswind / TAS), right positive."""
    north_kt, east_kt = aircraft.air.wind_kt(aircraft.true_ft)
    track_rad = math.radians(track_deg_true)
    from_left_kt = east_kt * math.cos(track_rad) - north_kt * math.sin(track_rad)
    return math.degrees(math.asin(min(max(-from_left_kt / aircraft.tas_kt, -1.0), 1.0)))


def on_path(to_go_nm: float) -> float:  # noqa: ARG001  # the same at every distance
    """No offset from the glidepath. [ft]"""
    return 0.0


class Pilot:
    """Keeps what is to be held and turns it into controls, twice a second."""

    def __init__(self, seed: int, skill: Skill) -> None:
        self.skill = skill
        self.lateral: Lateral = HoldHeading(0.0, skill)
        self.turn: str | None = None
        self.altitude_ft = 0.0
        self.rate_fpm = 500.0
        self.ias_kt = 85.0
        self.glide: tuple[Final, Line] | None = None
        self.glide_offset_ft: Callable[[float], float] = on_path
        self._steering = Wander(seed + 1, 1.0, 25.0)
        self._height = Wander(seed + 2, 1.0, 45.0)
        self._speed = Wander(seed + 3, 1.0, 20.0)

    def steer(self, lateral: Lateral, turn: str | None = None) -> None:
        """Hold something else from now on; ``turn`` forces the side of a large turn."""
        self.lateral, self.turn = lateral, turn

    def look(self, aircraft: Aircraft, controls: Controls) -> None:
        """Read the instruments, set the controls."""
        heading_deg = self.lateral.heading_deg_true(aircraft, self._steering.step(LOOK_S))
        error_deg = wrap_180(heading_deg - aircraft.heading_deg_true)
        if self.turn is not None and abs(error_deg) > 20.0:
            error_deg = error_deg % 360.0 if self.turn == "right" else error_deg % 360.0 - 360.0
        elif abs(error_deg) <= 20.0:
            self.turn = None
        bank_deg = standard_bank_deg(aircraft.tas_kt)
        controls.bank_deg = min(max(_BANK_PER_DEG * error_deg, -bank_deg), bank_deg)
        controls.ias_kt = self.ias_kt + self.skill.speed_kt * self._speed.step(LOOK_S)
        controls.vertical_speed_fpm = self._vertical_fpm(aircraft, self._height.step(LOOK_S))

    def _vertical_fpm(self, aircraft: Aircraft, wander: float) -> float:
        if self.glide is None:
            short_ft = self.altitude_ft + self.skill.altitude_ft * wander - aircraft.indicated_ft
            return min(max(_LEVEL_OFF_PER_MIN * short_ft, -self.rate_fpm), self.rate_fpm)
        final, line = self.glide
        to_go_nm = line.measure(aircraft.position)[1]
        short_ft = (
            path_ft(final, to_go_nm) + self.glide_offset_ft(to_go_nm) + self.skill.glide_ft * wander - aircraft.true_ft
        )
        nominal_fpm = -aircraft.groundspeed_kt / 60.0 * FT_PER_NM * slope(final, to_go_nm)
        return min(max(nominal_fpm + _GLIDE_PER_MIN * short_ft, -1100.0), 400.0)
