"""Routes: flown whole, cut short by directs, flown badly."""

from __future__ import annotations

import itertools
from typing import Any

from builders.flights import approaches, layout
from builders.flights.plane import Line, direction
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World


def at_departure(
    world: World, *, fixes: int = 4, turn_deg: float = 75.0, least_deg: float = 18.0, **approach: Any
) -> Script:
    """A land with a route and an approach, the aircraft on the runway."""
    land = layout.Land(world)
    course = layout.route(land, fixes=fixes, most_turn_deg=turn_deg, least_turn_deg=least_deg)
    layout.approach(land, course, **approach)
    return Script(land)


def departed(script: Script, *, to: int = 0) -> Line:
    """Off the ground and along the route to fix number ``to`` (0: to the last leg); gives the leg it is on."""
    script.depart()
    route = script.land.route
    stop = to + 1 if to else len(route) - 1
    return script.along(*route[1:stop], first=script.first_leg())


def arrive(script: Script, before: Line, *, end: str = "landed") -> None:
    """Cleared on the last leg, and the whole approach."""
    approach = script.land.approaches[0]
    script.until_to_go(before, 0.5 * before.length_nm)
    approaches.clear(script, approach)
    approaches.whole(script, approach, before, end=end)


@kind("full route")
def full_route(world: World) -> Script:
    """Every leg as filed, the approach, a landing."""
    script = at_departure(world)
    script.depart()
    first = script.first_leg()
    last = script.along(*script.land.route[1:-1], first=first)
    arrive(script, last)
    return script


@kind("direct inside a leg")
def direct_inside(world: World) -> Script:
    """Direct to the end of the leg, from well beside it after a heading; and later a direct along a leg."""
    script = at_departure(world)
    route = script.land.route
    script.depart()
    line = script.first_leg()
    script.until_to_go(line, 0.6 * line.length_nm)
    away = world.chance.sign() * world.chance.between(30.0, 60.0)
    heading = script.vector(line.course + away)
    script.rolled_out(heading)
    script.go_for(world.chance.between(50.0, 100.0))
    straight = script.direct(route[1])
    last = script.along(*route[1:-1], first=straight)
    arrive(script, last)
    return script


@kind("direct to a later fix")
def direct_later(world: World) -> Script:
    """From the middle of a leg direct to the fix after the next."""
    script = at_departure(world, fixes=5)
    route = script.land.route
    script.depart()
    first = script.first_leg()
    after = script.land.line(route[1], route[2])
    script.fly_by(route[1], first, after, f"{route[1]}-{route[2]}")
    script.until_to_go(after, world.chance.between(0.35, 0.65) * after.length_nm)
    straight = script.direct(route[4])
    last = script.along(*route[4:-1], first=straight)
    arrive(script, last)
    return script


@kind("several instructions within a minute")
def several(world: World) -> Script:
    """A heading, another, a level and a direct, all within a minute or little more."""
    script = at_departure(world)
    route = script.land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.65 * leg.length_nm)
    side = world.chance.sign()
    script.vector(leg.course + 40.0 * side)
    script.go_for(world.chance.between(15.0, 25.0))
    script.vector(leg.course + 70.0 * side)
    script.level(script.level_ft - 500.0)
    script.go_for(world.chance.between(12.0, 20.0))
    script.vector(leg.course + 20.0 * side)
    script.go_for(world.chance.between(15.0, 20.0))
    straight = script.direct(route[3])
    arrive(script, script.along(*route[3:-1], first=straight))
    return script


@kind("altitude changes")
def altitudes(world: World) -> Script:
    """The route as filed, up and down on the way as told."""
    script = at_departure(world)
    script.depart(climb_to_ft=script.land.cruise_ft - 1000.0)
    line = script.first_leg()
    route = script.land.route
    cruise = script.land.cruise_ft
    steps = [cruise, cruise + 1000.0, cruise - 500.0]
    for fix, following, step in zip(route[1:], route[2:-1], steps, strict=False):
        script.until_to_go(line, 0.5 * line.length_nm)
        script.level(step)
        after = script.land.line(fix, following)
        script.fly_by(fix, line, after, f"{fix}-{following}")
        line = after
    arrive(script, line)
    return script


@kind("own navigation resumed")
def own_navigation(world: World) -> Script:
    """A heading beside the route, then resume: the leg is met again well before its end, by a shallow cut."""
    script = at_departure(world, turn_deg=45.0)
    route = script.land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.85 * leg.length_nm)
    side = world.chance.sign()
    script.vector(leg.course + side * 40.0)
    script.go_for(40.0)
    script.vector(leg.course)
    script.go_for(40.0)
    instruction = script.say(resume=True)
    script.answer()
    instruction.effect = script.t
    script.on(leg, f"{route[1]}-{route[2]}", most_deg=40.0)
    arrive(script, script.along(*route[2:-1], first=leg))
    return script


@kind("leg joined half way")
def joined_half_way(world: World) -> Script:
    """From a heading after take-off onto the second leg of the route, half way along it, told to join it."""
    script = at_departure(world, least_deg=30.0)
    route = script.land.route
    script.depart()
    first = script.first_leg()
    leg = script.land.line(route[1], route[2])
    script.until_to_go(first, 0.55 * first.length_nm)
    joint = leg.a + 0.3 * leg.length_nm * leg.u
    script.vector(direction(joint - script.place))
    near = 1.3 * script.radius_nm() + 0.3
    script.go(lambda: abs(leg.off(script.place)) < near)
    instruction = script.say(resume=True)
    script.join(leg, f"{route[1]}-{route[2]}", effect_of=instruction)
    arrive(script, script.along(*route[2:-1], first=leg))
    return script


@kind("recorder paused")
def paused(world: World) -> Script:
    """The route as filed in a simulator that is stopped twice on the way."""
    script = at_departure(world)
    script.depart()
    line = script.first_leg()
    route = script.land.route
    for fix, following in itertools.pairwise(route[1:-1]):
        script.until_to_go(line, 0.5 * line.length_nm)
        if world.chance.happens(0.6):
            script.pause(world.chance.between(20.0, 200.0))
        after = script.land.line(fix, following)
        script.fly_by(fix, line, after, f"{fix}-{following}")
        line = after
    arrive(script, line)
    return script
