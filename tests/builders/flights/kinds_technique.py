"""Legs flown badly: beside the line, woven about it, turned onto late, homed along."""

from __future__ import annotations

import itertools
from typing import Any

from builders.flights.flyer import OnPath
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.plane import Line, direction, wrap
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World


@kind("offset parallel held")
def offset_held(world: World) -> Script:
    """A leg held 0.4 NM beside its line, most of the way."""
    script = at_departure(world)
    route = script.land.route
    leg = departed(script, to=2)
    script.settle(leg)
    steering = script.on(leg, f"{route[1]}-{route[2]}", gain=1.3)
    steering.offset_nm = world.chance.sign() * world.chance.between(0.33, 0.4)
    script.go(lambda: abs(leg.off(script.place) - steering.offset_nm) < 0.05)
    script.plant("steady-offset", nm=steering.offset_nm)
    script.until_to_go(leg, 2.0)
    steering.offset_nm = 0.0
    arrive(script, script.along(*route[2:-1], first=leg))
    return script


@kind("needle chased")
def chased(world: World) -> Script:
    """Two legs woven about, by a swing of a minute or so."""
    script = at_departure(world)
    route = script.land.route
    leg = departed(script, to=2)
    script.plant("needle-chasing")
    swing: dict[str, Any] = {"swing_deg": world.chance.between(18.0, 26.0), "swing_s": world.chance.between(60.0, 90.0)}
    script.on(leg, f"{route[1]}-{route[2]}", gain=0.5, **swing)
    last = script.along(*route[2:-1], first=leg, gain=0.5, **swing)
    script.steer(OnPath(last))
    arrive(script, last)
    return script


@kind("turns begun late", modes=("complete", "missing"))
def turns_late(world: World) -> Script:
    """Every turn of the route begun past the fix, and overshot."""
    script = at_departure(world, least_deg=30.0)
    script.depart()
    line: Line = script.first_leg()
    route = script.land.route
    for fix, following in itertools.pairwise(route[1:-1]):
        after = script.land.line(fix, following)
        lead = script.lead_nm(wrap(after.course - line.course))
        script.until_to_go(line, lead)
        script.plant("turn-late", fix=fix)
        script.fly_by(fix, line, after, f"{fix}-{following}", late_nm=lead + world.chance.between(0.15, 0.4))
        line = after
    arrive(script, line)
    return script


@kind("homing in a crosswind", modes=("complete", "missing"))
def homing(world: World) -> Script:
    """The nose on the fix instead of the course: blown off, and round to it."""
    script = at_departure(world)
    route = script.land.route
    leg = departed(script, to=2)
    script.settle(leg)
    script.plant("homing")
    script.steer(lambda flyer: direction(leg.b - flyer.place))
    script.until_to_go(leg, 2.0)
    script.steer(OnPath(leg))
    arrive(script, script.along(*route[2:-1], first=leg))
    return script
