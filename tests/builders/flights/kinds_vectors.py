"""Headings: after take-off, off the route and back, to final and across it."""

from __future__ import annotations

from typing import Any

from builders.flights import approaches
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.plane import Line, direction, unit, wrap
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World


def toward_final(script: Script, line: Line, *, out_nm: float | None = None, angle: float = 30.0, **more: Any) -> None:
    """Vectors to a point beside the line, then the intercept heading; ends rolled out on it."""
    chance = script.chance
    side = 1.0 if line.off(script.place) >= 0.0 else -1.0
    out = chance.between(2.5, 0.6 * line.length_nm) if out_nm is None else out_nm
    joint = line.b - out * line.u
    course = line.course - angle * side
    radius = script.radius_nm()
    point = joint - max(3.0, 4.5 * radius) * unit(course)
    if abs(wrap(direction(point - script.place) - course)) > 100.0:  # it lies behind: round by a downwind
        _toward(script, point + 3.0 * radius * unit(line.course + 90.0 * side) - 2.0 * radius * line.u)
    _toward(script, point)
    heading = script.vector(course + script.wca(course), **more)
    script.rolled_out(heading)


def _toward(script: Script, point: complex) -> None:
    """Headings to a point, mended on the way, to where the next turn begins."""
    toward = direction(point - script.place)
    script.vector(toward + script.wca(toward))
    near = 1.3 * script.radius_nm()
    while abs(point - script.place) > near:
        ahead = abs(point - script.place)
        script.go_for(min(60.0, max(ahead - near, 0.02) / script.groundspeed_kt * 3600.0 + 1.0))
        off = wrap(direction(point - script.place) - script.track)
        if abs(off) > 100.0:
            break
        if abs(off) > 12.0 and abs(point - script.place) > 2.5 * near:
            script.vector(script.heading + off, step=5)


def joined(script: Script, before: Line, *, said: str = "cleared") -> Line:
    """From a route leg by vectors onto the leg to the final approach fix; ends on it."""
    land, approach = script.land, script.land.approaches[0]
    first, faf = approach.legs[0]["fix"], approaches.faf_of(approach)
    line = land.line(first, faf)
    script.until_to_go(before, script.chance.between(0.5, 0.75) * before.length_nm)
    toward_final(script, line, until="final")
    instruction = None
    script.go_for(script.chance.between(5.0, 15.0))
    if said == "cleared":
        instruction = script.say(cleared=f"{approach.airport}/{approach.runway}", altitude_ft=script.level_ft)
    elif said == "join":
        instruction = script.say(join=True)
    script.phase = "approach"
    script.join(line, f"{first}-{faf}", effect_of=instruction)
    if said == "join":
        script.settle(line)
        script.say(cleared=f"{approach.airport}/{approach.runway}").effect = script.t
    return line


@kind("runway heading then vector")
def runway_heading(world: World) -> Script:
    """Runway heading, a heading, then direct to a fix of the route."""
    script = at_departure(world)
    route = script.land.route
    mag, _ = script.heading_for(script.heading, step=1)
    script.t = 1.0
    script.say(heading_deg_mag=mag, altitude_ft=script.land.cruise_ft)
    script.depart(label=("vectors", ""))
    script.truth.instructions[-1].effect = script.t
    script.go_for(world.chance.between(30.0, 90.0))
    toward = direction(script.land.at(route[1]) - script.place)
    heading = script.vector(toward + world.chance.sign() * world.chance.between(25.0, 60.0))
    script.rolled_out(heading)
    script.go_for(world.chance.between(60.0, 120.0))
    straight = script.direct(route[1])
    arrive(script, script.along(*route[1:-1], first=straight))
    return script


@kind("vectors and back to route")
def back_to_route(world: World) -> Script:
    """A heading off the route, then own navigation: back onto the leg by an intercept."""
    script = at_departure(world)
    route = script.land.route
    script.depart()
    first = script.first_leg()
    leg = script.land.line(route[1], route[2])
    script.fly_by(route[1], first, leg, f"{route[1]}-{route[2]}")
    script.until_to_go(leg, 0.8 * leg.length_nm)
    side = world.chance.sign()
    heading = script.vector(leg.course + side * world.chance.between(30.0, 50.0))
    script.rolled_out(heading)
    script.go_for(world.chance.between(40.0, 70.0))
    instruction = script.say(resume=True)
    script.answer()
    instruction.effect = script.t
    script.on(leg, f"{route[1]}-{route[2]}", most_deg=35.0)
    last = script.along(*route[2:-1], first=leg)
    arrive(script, last)
    return script


@kind("vectors to final with join")
def vectors_join(world: World) -> Script:
    """Vectors to final, cleared, joined, landed."""
    script = at_departure(world, fixes=3, least_nm=8.0)
    script.depart()
    last = script.along(*script.land.route[1:-1], first=script.first_leg())
    line = joined(script, last, said=world.chance.one_of(("cleared", "cleared", "join")))
    approach = script.land.approaches[0]
    final = approaches.fly_final(script, approach, line)
    approaches.land(script, approach, final)
    return script


@kind("vectors to final only", modes=("complete", "minute", "missing"))
def vectors_only(world: World) -> Script:
    """ "Vectors to final", no clearance: the final is crossed on the heading; turned back, cleared, joined."""
    return _crossing(world, until="final")


@kind("vectored across final")
def across(world: World) -> Script:
    """Vectored through the final as said, and back onto it."""
    return _crossing(world, across=True)


def _crossing(world: World, **more: Any) -> Script:
    script = at_departure(world, fixes=3, least_nm=8.0)
    last = departed(script)
    land, approach = script.land, script.land.approaches[0]
    first, faf = approach.legs[0]["fix"], approaches.faf_of(approach)
    line = land.line(first, faf)
    script.until_to_go(last, world.chance.between(0.5, 0.75) * last.length_nm)
    toward_final(script, line, out_nm=0.95 * line.length_nm, angle=world.chance.between(30.0, 60.0), **more)
    side = 1.0 if line.off(script.place) >= 0.0 else -1.0
    beyond = world.chance.between(0.7, 1.2) + script.radius_nm()
    script.go(lambda: line.off(script.place) * side < -beyond)
    heading = script.vector(line.course + 40.0 * side)
    script.say(cleared=f"{approach.airport}/{approach.runway}", altitude_ft=script.level_ft)
    script.phase = "approach"
    script.go(lambda: abs(wrap(heading - script.heading)) < 15.0)
    if line.to_go(script.place) > 2.0:
        script.join(line, f"{first}-{faf}")
        script.truth.instructions[-1].effect = script.t
        final = approaches.fly_final(script, approach, line)
    else:
        final = approaches.final_line(script, approach)
        script.join(final, f"{faf}-{approach.runway}")
        script.truth.instructions[-1].effect = script.t
        script.approaching(approach)
        script.down(approach, final)
        script.until_ft(approach.minima_ft)
    approaches.land(script, approach, final)
    return script
