"""What varies from flight to flight: place, wind, aircraft, pilot and recorder, drawn from a seed."""

from __future__ import annotations

import datetime as dt
import math
import zlib
from dataclasses import dataclass, field
from typing import TypeVar

from numpy.random import RandomState

from builders.flights.plane import Plane, unit

T = TypeVar("T")
YEAR = 2026.3
START = dt.datetime(2026, 4, 20, 13, 0, tzinfo=dt.UTC)


class Chance:
    """Numbers from a seed, the same on every machine."""

    def __init__(self, *words: object) -> None:
        self._state = RandomState(zlib.crc32(" ".join(map(str, words)).encode()))

    def between(self, low: float, high: float) -> float:
        """An even choice between two numbers."""
        return low + (high - low) * float(self._state.random_sample())

    def normal(self) -> float:
        """A standard normal number."""
        return float(self._state.standard_normal())

    def happens(self, share: float) -> bool:
        """True in that share of cases."""
        return float(self._state.random_sample()) < share

    def one_of(self, things: tuple[T, ...]) -> T:
        """One of several."""
        return things[int(self._state.randint(len(things)))]

    def sign(self) -> float:
        """One or minus one."""
        return 1.0 if self.happens(0.5) else -1.0


class Wander:
    """A first-order Gauss-Markov process of standard deviation 1."""

    def __init__(self, chance: Chance, memory_s: float, step_s: float) -> None:
        self._chance = chance
        self._keep = math.exp(-step_s / memory_s)
        self._fresh = math.sqrt(1.0 - self._keep**2)
        self.value = chance.normal()

    def step(self) -> float:
        """The next value."""
        self.value = self._keep * self.value + self._fresh * self._chance.normal()
        return self.value


@dataclass(frozen=True)
class Wind:
    """Where the air goes at the ground and at 6000 ft, even change between; grid components as complex. [kt]"""

    low: complex
    high: complex

    def at(self, altitude_ft: float) -> complex:
        """Where the air goes at a height. [kt]"""
        share = min(max(altitude_ft / 6000.0, 0.0), 1.2)
        return self.low + share * (self.high - self.low)


@dataclass
class Skill:
    """How well the pilot holds things, one standard deviation of slow wandering; and how soon the pilot answers."""

    name: str
    track_deg: float
    heading_deg: float
    altitude_ft: float
    speed_kt: float
    answer_s: tuple[float, float]
    turn_late_nm: tuple[float, float]


SKILLS = {
    "tight": Skill("tight", 0.6, 0.7, 12.0, 1.0, (2.0, 6.0), (-0.03, 0.05)),
    "usual": Skill("usual", 1.3, 1.2, 30.0, 2.0, (3.0, 10.0), (-0.1, 0.15)),
    "sloppy": Skill("sloppy", 2.4, 2.2, 55.0, 4.0, (4.0, 15.0), (-0.15, 0.35)),
}


@dataclass
class Recorder:
    """The log: its rate, its errors, what is switched on."""

    rate_hz: float
    noise_m: float
    memory_s: float
    heading: bool
    ias: bool
    gnss: bool
    gap_s: tuple[float, float] | None = None


@dataclass
class World:
    """Everything drawn for one flight."""

    kind: str
    seed: int
    chance: Chance
    plane: Plane
    wind: Wind
    cruise_kt: float
    skill: Skill
    recorder: Recorder
    notes: list[str] = field(default_factory=list)

    @property
    def climb_kt(self) -> float:
        """Indicated speed in the climb."""
        return max(0.85 * self.cruise_kt, 65.0)

    @property
    def approach_kt(self) -> float:
        """Indicated speed on approach."""
        return min(max(0.8 * self.cruise_kt, 65.0), 140.0)


def _plane(chance: Chance) -> Plane:
    """Anywhere on earth to 70 degrees, often by the date line or far north or south, where a compass serves."""
    for _ in range(50):
        lat = chance.between(-60.0, 65.0)
        lon = chance.between(-180.0, 180.0)
        draw = chance.between(0.0, 1.0)
        if draw < 0.15:
            lon = 180.0 + chance.between(-0.3, 0.3)
        elif draw < 0.3:
            lat = chance.between(60.0, 70.0)
        plane = Plane(lat, (lon + 180.0) % 360.0 - 180.0, YEAR)
        if plane.greatest_variation_deg < 40.0:
            return plane
    raise RuntimeError("no place found")


def world(kind: str, seed: int, *, skill: str | None = None) -> World:
    """The world of a flight."""
    chance = Chance(kind, seed)
    plane = _plane(chance)
    speed, toward = chance.between(0.0, 35.0), chance.between(0.0, 360.0)
    low = 0.5 * speed * unit(toward - chance.between(0.0, 40.0))
    cruise = chance.one_of((75.0, 90.0, 100.0, 105.0, 110.0, 120.0, 140.0, 160.0, 190.0))
    speed = min(speed, 0.3 * cruise)
    low = min(abs(low), 0.15 * cruise) * (low / abs(low)) if abs(low) > 0 else low
    named = skill or chance.one_of(("tight", "usual", "usual", "sloppy"))
    recorder = Recorder(
        rate_hz=chance.one_of((0.2, 0.5, 1.0, 1.0, 1.0, 1.0, 2.0, 4.0, 10.0)),
        noise_m=chance.between(0.5, 5.0),
        memory_s=chance.between(15.0, 60.0),
        heading=chance.happens(0.5),
        ias=chance.happens(0.5),
        gnss=chance.happens(0.5),
    )
    if chance.happens(0.25):
        recorder.gap_s = (chance.between(0.2, 0.8), chance.between(60.0, 240.0))
    return World(
        kind=kind, seed=seed, chance=chance, plane=plane, wind=Wind(low, speed * unit(toward)),
        cruise_kt=cruise, skill=SKILLS[named], recorder=recorder,
    )  # fmt: skip
