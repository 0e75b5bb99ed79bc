"""The aircraft and the pilot's hands: one step of half a second at a time, with what is true about it written down."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from builders.flights.plane import FT_PER_NM, Line, Owed, direction, unit, wrap
from builders.flights.world import Chance, Wander, World

STEP_S = 0.5
_ROLL = 6.0 * STEP_S
_PATIENCE_S = 5400.0


@dataclass(frozen=True, slots=True)
class Moment:
    """What is true at one time; ``leg`` may hold several names with "|" where the contract leaves it open."""

    t: float
    place: complex
    altitude_ft: float
    heading: float
    ias_kt: float
    track: float
    groundspeed_kt: float
    guidance: str
    leg: str
    phase: str
    scored: bool


def turn_radius_nm(speed_kt: float) -> float:
    """Radius of a turn of 3 degrees a second, or of 25 degrees of bank where that is wider."""
    rate = min(3.0, 1091.0 * math.tan(math.radians(25.0)) / speed_kt)
    return speed_kt / 3600.0 / math.radians(rate)


Steering = Callable[["Flyer"], float]


class Flyer:
    """State, controls and log."""

    def __init__(self, world: World, place: complex, heading: float, altitude_ft: float) -> None:
        self.world = world
        self.t = 0.0
        self.place, self.heading, self.altitude_ft = place, heading, altitude_ft
        self.bank = self.vs_fpm = 0.0
        self.ias_kt = 0.0
        self.track, self.groundspeed_kt = heading, 0.0
        self.steering: Steering = lambda _: heading
        self.forced = 0.0
        self.level_ft, self.rate_fpm, self.want_ias_kt = altitude_ft, 600.0, world.cruise_kt
        self.glide: Callable[[], float] | None = None
        self.guidance, self.leg, self.phase = "none", "", "ground"
        self.log: list[Moment] = []
        self.airborne = False
        seed = (world.kind, world.seed)
        self.wander = Wander(Chance(*seed, "steer"), 25.0, STEP_S)
        self._height = Wander(Chance(*seed, "height"), 45.0, STEP_S)
        self._speed = Wander(Chance(*seed, "speed"), 20.0, STEP_S)
        self._waiting: list[tuple[Callable[[], bool], Callable[[], None]]] = []

    @property
    def tas_kt(self) -> float:
        """True airspeed: standard density at height."""
        return self.ias_kt * math.pow(1.0 - 6.8756e-6 * self.altitude_ft, -2.128)

    @property
    def wind(self) -> complex:
        """Where the air goes here. [kt]"""
        return self.world.wind.at(self.altitude_ft)

    def wca(self, track: float) -> float:
        """Wind correction for a track, right positive. [deg]"""
        from_left = -(self.wind * unit(track).conjugate()).imag
        return math.degrees(math.asin(min(max(-from_left / max(self.tas_kt, 40.0), -0.9), 0.9)))

    def label(self, guidance: str, leg: str = "", phase: str | None = None) -> None:
        """From now on this is what is navigated by."""
        self.guidance, self.leg = guidance, leg
        if phase is not None:
            self.phase = phase

    def when(self, condition: Callable[[], bool], action: Callable[[], None]) -> None:
        """Do something once, as soon as a condition holds."""
        self._waiting.append((condition, action))

    def note(self, *, scored: bool = True) -> None:
        """Write down what is true now."""
        self.log.append(
            Moment(
                self.t, self.place, self.altitude_ft, self.heading, self.ias_kt, self.track, self.groundspeed_kt,
                self.guidance, self.leg, self.phase, scored,
            )
        )  # fmt: skip

    def go(self, until: Callable[[], bool]) -> None:
        """Fly on until a condition holds."""
        limit = self.t + _PATIENCE_S
        while not until():
            self.step()
            if self.t > limit:
                raise RuntimeError(f"{self.world.kind} {self.world.seed}: nothing came of it, at {self.t:.0f} s")

    def go_for(self, seconds: float) -> None:
        """Fly on for a while."""
        end = self.t + seconds
        self.go(lambda: self.t >= end)

    def steer(self, steering: Steering, forced: float = 0.0) -> None:
        """Hold something else; ``forced`` is the side of a big turn, right positive."""
        self.steering, self.forced = steering, forced

    def step(self) -> None:
        """Half a second in the air."""
        for pair in [pair for pair in self._waiting if pair[0]()]:
            self._waiting.remove(pair)
            pair[1]()
        self.wander.step()
        error = wrap(self.steering(self) - self.heading)
        if self.forced and abs(error) > 30.0:
            error = error % 360.0 if self.forced > 0 else error % 360.0 - 360.0
        elif abs(error) <= 30.0:
            self.forced = 0.0
        tas = max(self.tas_kt, 40.0)
        most = min(math.degrees(math.atan(3.0 * tas / 1091.0)), 25.0)
        bank = min(max(2.0 * error, -most), most)
        self.bank += min(max(bank - self.bank, -_ROLL), _ROLL)
        self.heading = (self.heading + 1091.0 * math.tan(math.radians(self.bank)) / tas * STEP_S) % 360.0
        skill = self.world.skill
        self.ias_kt += min(max((self.want_ias_kt + skill.speed_kt * self._speed.step() - self.ias_kt) / 4.0, -1), 1)
        if self.glide is not None:
            want = min(max(self.glide(), -1600.0), 500.0)
            self._height.step()
        else:
            short = self.level_ft + skill.altitude_ft * self._height.step() - self.altitude_ft
            want = min(max(6.0 * short, -self.rate_fpm), self.rate_fpm)
        self.vs_fpm += (want - self.vs_fpm) * STEP_S / 2.0
        self.altitude_ft += self.vs_fpm / 60.0 * STEP_S
        self._move(tas * unit(self.heading) + self.wind)

    def roll(self, toward: float, speed_kt: float) -> None:
        """Half a second on the ground."""
        self.groundspeed_kt += min(max(speed_kt - self.groundspeed_kt, -1.5), 1.25)
        turn = min(max(wrap(toward - self.heading), -8.0), 8.0)
        self.heading = (self.heading + turn) % 360.0
        self.ias_kt = max(self.groundspeed_kt - (self.wind * unit(self.heading).conjugate()).real, 0.0)
        self.bank = self.vs_fpm = 0.0
        self._move(self.groundspeed_kt * unit(self.heading))

    def _move(self, velocity_kt: complex) -> None:
        self.groundspeed_kt = abs(velocity_kt)
        if self.groundspeed_kt > 0.5:
            self.track = direction(velocity_kt)
        self.place += velocity_kt * STEP_S / 3600.0
        self.t += STEP_S
        self.note()

    def pause(self, seconds: float) -> None:
        """Time runs and nothing moves: a simulator's pause. Not scored."""
        end = self.t + seconds
        while self.t < end:
            self.t += STEP_S
            self.note(scored=False)

    def radius_nm(self) -> float:
        """Turn radius at the groundspeed now."""
        return turn_radius_nm(max(self.groundspeed_kt, 50.0))


@dataclass
class OnPath:
    """Track a path ``offset_nm`` right of it: a cut in proportion to the distance off, and the wind's correction.

    ``swing_deg`` and ``swing_s`` make a pilot who chases; ``drift_held`` is the share of the wind's correction held.
    """

    path: Owed
    offset_nm: float = 0.0
    gain: float = 1.0
    most_deg: float = 30.0
    swing_deg: float = 0.0
    swing_s: float = 70.0
    drift_held: float = 1.0

    def __call__(self, flyer: Flyer) -> float:
        off = self.path.off(flyer.place) - self.offset_nm
        per_nm = self.gain * min(max(6600.0 / max(flyer.groundspeed_kt, 50.0), 35.0), 110.0)
        cut = min(max(-per_nm * off, -self.most_deg), self.most_deg)
        track = self.path.course_at(flyer.place) + cut + flyer.world.skill.track_deg * flyer.wander.value
        track += self.swing_deg * math.sin(2.0 * math.pi * flyer.t / self.swing_s)
        if not isinstance(self.path, Line):  # lead the turn of an arc by three seconds
            turn = math.degrees(3.0 * flyer.groundspeed_kt / 3600.0 / self.path.radius_nm)
            track += turn if self.path.clockwise else -turn
        return track + self.drift_held * flyer.wca(track)


@dataclass
class OnHeading:
    """A heading and no path. [grid deg]"""

    heading: float

    def __call__(self, flyer: Flyer) -> float:
        return self.heading + flyer.world.skill.heading_deg * flyer.wander.value


def glide_ft(threshold_ft: float, to_go_nm: float, degrees: float = 3.0) -> float:
    """Height of a straight glidepath over a flat picture, 50 ft over the threshold; the earth falls away below it."""
    return threshold_ft + 50.0 + to_go_nm * FT_PER_NM * math.tan(math.radians(degrees)) + 0.883 * to_go_nm**2
