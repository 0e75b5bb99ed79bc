"""Holds, entries, procedure turns and arcs for the flyer of ``align_flyer``, and what they were, from its true rows.

The truth of a circuit is worked out here from the positions flown, half a second apart and without noise, by the words
of the contract; nothing of the package is used for it.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from align.align_flyer import (
    FIXES,
    START_S,
    STEP_S,
    Flyer,
    against_line,
    near_bearing_and_distance,
    onward,
    wrapped,
)

Floats = npt.NDArray[np.float64]
SIGN = {"right": 1.0, "left": -1.0}


def turn_heading(flyer: Flyer, heading: float, side: str) -> None:
    """A turn at 3 deg/s the given way round until on a heading."""
    for _ in range(400):
        left = (SIGN[side] * (heading - flyer.heading)) % 360.0
        if left < 0.8 or left > 359.2:
            break
        flyer.step(flyer.heading + SIGN[side] * min(20.0, left))
    flyer.step(heading)


def turn_track(flyer: Flyer, track: float, side: str) -> None:
    """The same until a track is made good, as far as the wind of now tells."""
    turn_heading(flyer, flyer.heading_for(track) % 360.0, side)


def shorter_side(flyer: Flyer, heading: float) -> str:
    return "right" if wrapped(heading - flyer.heading) > 0.0 else "left"


@dataclass(frozen=True)
class Pattern:
    """A hold to be flown: outbound for so many seconds from abeam or wings level, or so many miles from abeam."""

    fix: str
    inbound: float
    side: str
    seconds: float | None = 60.0
    miles: float | None = None

    @property
    def out(self) -> float:
        return (self.inbound + 180.0) % 360.0

    def along(self, flyer: Flyer) -> float:
        """Past the fix along the inbound course. [NM]"""
        bearing, away = near_bearing_and_distance(FIXES[self.fix], flyer.position)
        return away * math.cos(math.radians(wrapped(bearing - self.inbound)))


def home(flyer: Flyer, hold: Pattern, cut: float = 30.0) -> None:
    """Onto the inbound course, by an intercept that eases off at well under 1 deg/s, and to the fix."""
    start = onward(FIXES[hold.fix], hold.out, 12.0)
    for _ in range(4000):
        across, to_go, course = against_line(flyer.position, start, FIXES[hold.fix])
        if to_go <= 0.0:
            break
        flyer.step(flyer.heading_for(course + max(-cut, min(cut, -35.0 * across))))


def circuit(flyer: Flyer, hold: Pattern, *, until: str = "") -> None:
    """Once round; broken off after the outbound leg or half way in, where ``until`` says so."""
    correction = wrapped(flyer.heading_for(hold.inbound) - hold.inbound)
    heading = hold.out - 3.0 * correction
    turn_heading(flyer, heading % 360.0, hold.side)
    while hold.along(flyer) > 0.0:
        flyer.step(heading)
    if hold.seconds is not None:
        for _ in range(round(hold.seconds / STEP_S)):
            flyer.step(heading)
    while hold.miles is not None and hold.along(flyer) > -hold.miles:
        flyer.step(heading)
    if until == "outbound":
        return
    turn_track(flyer, hold.inbound, hold.side)
    if until == "inbound":
        for _ in range(round(20.0 / STEP_S)):
            flyer.step(flyer.heading_for(hold.inbound))
        return
    home(flyer, hold)


def enter(flyer: Flyer, hold: Pattern, entry: str, seconds: float = 60.0) -> None:
    """From over the fix by an entry, back to the fix; a direct one is the first circuit."""
    if entry == "direct":
        circuit(flyer, hold)
        return
    aside = SIGN[hold.side] * 30.0 if entry == "teardrop" else 0.0
    heading = flyer.heading_for(hold.out - aside) % 360.0
    turn_heading(flyer, heading, shorter_side(flyer, heading))
    for _ in range(round(seconds / STEP_S)):
        flyer.step(heading)
    if entry == "teardrop":
        turn_track(flyer, hold.inbound, hold.side)
    else:
        other = "left" if hold.side == "right" else "right"
        turn_track(flyer, hold.inbound - SIGN[hold.side] * 45.0, other)
    home(flyer, hold, cut=45.0)


@dataclass(frozen=True)
class TrueCircuit:
    start_s: float
    end_s: float
    outbound_s: float
    inbound_s: float
    inbound_from_s: float


@dataclass(frozen=True)
class Truth:
    """The passages of a fix inbound and the circuits between them. Epoch seconds, NM."""

    passages: tuple[float, ...]
    circuits: tuple[TrueCircuit, ...]


def truth_of(flyer: Flyer, hold: Pattern, first_s: float) -> Truth:
    """What was flown from a time on: passages of the fix inbound, and each circuit between two of them."""
    rows = np.array(flyer.rows)
    rows = rows[START_S + rows[:, 0] >= first_s - 1.0]
    time_s = START_S + rows[:, 0]
    places = [near_bearing_and_distance(FIXES[hold.fix], (lat, lon)) for lat, lon in rows[:, 1:3]]
    along = np.array([away * math.cos(math.radians(wrapped(bearing - hold.inbound))) for bearing, away in places])
    steps = [near_bearing_and_distance((a[1], a[2]), (b[1], b[2]))[0] for a, b in itertools.pairwise(rows)]
    track = np.array([*steps, steps[-1]])
    rate = np.array([wrapped(b - a) for a, b in itertools.pairwise(track)]) / STEP_S
    turning = turns_on(np.array([*rate, rate[-1]]) >= 1.0) | turns_on(np.array([*rate, rate[-1]]) <= -1.0)
    inbound = np.abs(wrap(track - hold.inbound))
    crossed = [
        i
        for i in range(1, len(along))
        if along[i - 1] < 0.0 <= along[i] and inbound[i - 1] < 90.0 and abs(places[i][1]) < 2.0
    ]
    starts = [0, *[i for i in crossed if time_s[i] > first_s + 60.0]]
    circuits = []
    for a, b in itertools.pairwise(starts):
        here = np.arange(a, b)
        level = ~turning[here]
        outbound = inbound[here] >= 135.0
        out_level = here[level & outbound][0]
        back = [i for i in here[1:] if along[i - 1] >= 0.0 > along[i]]
        begins = max(float(time_s[out_level]), float(time_s[back[0]]) if back else -math.inf)
        last_out = here[outbound][-1]
        turn_in = here[level & (here <= last_out) & (inbound[here] >= 135.0)][-1]
        in_level = here[(here > last_out) & level & (inbound[here] <= 45.0)][0]
        circuits.append(
            TrueCircuit(
                start_s=float(time_s[a]) if a else first_s,
                end_s=float(time_s[b]),
                outbound_s=float(time_s[turn_in]) - begins,
                inbound_s=float(time_s[b] - time_s[in_level]),
                inbound_from_s=float(time_s[in_level]),
            )
        )
    return Truth(passages=tuple(float(time_s[i]) for i in starts), circuits=tuple(circuits))


def turns_on(fast: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """A turn to one side, paused for less than three seconds, is one turn."""
    pause = round(3.0 / STEP_S)
    return np.array([fast[max(0, i - pause) : i + 1].any() and fast[i : i + pause].any() for i in range(len(fast))])


def wrap(angles: Floats) -> Floats:
    return np.asarray((angles + 180.0) % 360.0 - 180.0)
