"""How approaches end: missed, low, touched, circled, broken off, and flown again."""

from __future__ import annotations

from builders.flights import approaches, layout
from builders.flights.flyer import OnHeading, OnPath
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.plane import Line, inbound, unit
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World


def _to_initial(script: Script, made: layout.Approach, *, said: bool = True) -> Line:
    """Direct to an approach's first fix, cleared on the way."""
    first = made.legs[0]["fix"]
    straight = script.direct(first, said=said)
    script.level(layout.faf_ft(made) + 1000.0)
    script.phase = "en-route"
    script.cruise()
    script.until_to_go(straight, 0.5 * straight.length_nm)
    approaches.clear(script, made)
    return straight


@kind("missed approach, straight then direct")
def missed_by_fix(world: World) -> Script:
    """A go-around at the minimum, by a fix ahead and direct to the hold, once or twice round."""
    script = at_departure(world, fixes=3)
    arrive(script, departed(script), end="missed")
    return script


@kind("missed approach by altitude")
def missed_by_altitude(world: World) -> Script:
    """A go-around at the minimum: a course to an altitude, direct, hold."""
    script = at_departure(world, fixes=3, missed="CA-DF-HM", guidance=world.chance.one_of(("LPV", "ILS", "LNAV")))
    arrive(script, departed(script), end="missed")
    return script


@kind("missed early, before the point")
def missed_early(world: World) -> Script:
    """The climb begins well before the missed approach point; on to it, and then as published."""
    script = at_departure(world, fixes=3)
    made = script.land.approaches[0]
    last = departed(script)
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made)
    first, faf = made.legs[0]["fix"], approaches.faf_of(made)
    onward = script.land.line(first, faf)
    script.fly_by(first, last, onward, f"{first}-{faf}")
    line = approaches.fly_final(script, made, onward, to_ft=made.path_ft(world.chance.between(2.0, 3.5)))
    approaches.missed(script, made, line)
    return script


@kind("low approach")
def low_approach(world: World) -> Script:
    """Down to a few feet over the runway and up again, as published."""
    script = at_departure(world, fixes=3)
    made = script.land.approaches[0]
    last = departed(script)
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made)
    first, faf = made.legs[0]["fix"], approaches.faf_of(made)
    onward = script.land.line(first, faf)
    script.fly_by(first, last, onward, f"{first}-{faf}")
    line = approaches.fly_final(script, made, onward)
    script.until_ft(made.elevation_ft + 40.0)
    approaches.missed(script, made, line, outcome="low-approach")
    return script


def pattern(script: Script, made: layout.Approach, line: Line, *, side: float, stop: bool = True) -> None:
    """From over the runway: upwind, crosswind, downwind, base, final, and down."""
    radius = script.radius_nm()
    script.label("none", "", "terminal")
    script.level_ft, script.rate_fpm = made.elevation_ft + 1000.0, 800.0
    script.want_ias_kt = script.world.approach_kt
    upwind = inbound(line.b + 30.0 * line.u, line.course)
    script.steer(OnPath(upwind))
    script.go(lambda: script.altitude_ft > made.elevation_ft + 600.0)
    out = max(0.9, 2.2 * radius)
    script.steer(OnHeading(line.course + 90.0 * side))
    script.go(lambda: line.off(script.place) * side > out - radius)
    start = line.b + out * side * 1j.conjugate() * line.u + 3.0 * line.u  # right of the line is -i times its step
    downwind = Line(start, start - 30.0 * line.u)
    script.steer(OnPath(downwind), side)
    script.go(lambda: line.to_go(script.place) > max(0.8, 1.5 * radius))
    script.level_ft, script.rate_fpm = made.elevation_ft + 500.0, 500.0
    script.steer(OnHeading(line.course + 180.0 + 90.0 * side), side)
    script.go(lambda: line.off(script.place) * side < radius * 1.1)
    script.steer(OnPath(line, most_deg=45.0), side)
    script.glide = lambda: (
        -100.0 * script.groundspeed_kt / 20.0
        + 5.0 * (made.elevation_ft + 40.0 + max(line.to_go(script.place), 0.0) * 400.0 - script.altitude_ft)
    )
    approaches.touch_down(script, made.elevation_ft, line, stop=stop)


@kind("circling")
def circling(world: World) -> Script:
    """Down to the circling minimum, off the final to the side, and round to a runway."""
    land = layout.Land(world)
    made = layout.approach(land, layout.route(land, fixes=3), guidance="LNAV")
    made.minima_ft = made.elevation_ft + 600.0
    script = Script(land)
    last = departed(script)
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made, circle=layout.runway_ident(world, made.course + 180.0, made.threshold))
    first, faf = made.legs[0]["fix"], approaches.faf_of(made)
    onward = land.line(first, faf)
    script.fly_by(first, last, onward, f"{first}-{faf}")
    line = approaches.fly_final(script, made, onward, to_ft=made.minima_ft + 40.0)
    script.glide, script.level_ft = None, made.minima_ft + 30.0
    script.until_to_go(line, 1.2)
    side = world.chance.sign()
    script.label("none", "", "terminal")
    other = Line(made.threshold + 1.0 * line.u, made.threshold)  # the same strip from its other end
    away = script.chance.between(35.0, 50.0)
    script.steer(OnHeading(line.course + away * side))
    out = max(0.9, 2.2 * script.radius_nm())
    script.go(lambda: line.off(script.place) * side > out - 0.3)
    start = made.threshold + out * side * -1j * line.u - 3.0 * line.u
    script.steer(OnPath(Line(start, start + 30.0 * line.u)))
    script.go(lambda: other.to_go(script.place) > 1.0 + max(0.8, 1.5 * script.radius_nm()))
    script.steer(OnHeading(line.course - 90.0 * side), -side)
    script.go(lambda: line.off(script.place) * side < 1.1 * script.radius_nm())
    strip = inbound(made.threshold + 1.0 * line.u, other.course, 1.0)
    script.steer(OnPath(strip, most_deg=45.0), -side)
    script.glide = lambda: (
        -100.0 * script.groundspeed_kt / 20.0
        + 5.0 * (made.elevation_ft + 40.0 + max(strip.to_go(script.place), 0.0) * 400.0 - script.altitude_ft)
    )
    approaches.land(script, made, strip)
    script.truth.outcomes[-1]["circled"] = True
    return script


@kind("touch-and-go and traffic pattern")
def touch_and_go(world: World) -> Script:
    """An approach to a touch-and-go, a traffic pattern or two, a landing."""
    script = at_departure(world, fixes=3)
    made = script.land.approaches[0]
    arrive(script, departed(script), end="touch")
    line = approaches.final_line(script, made)
    side = world.chance.sign()
    for number in range(world.chance.one_of((1, 2))):
        last = number == 1 or world.chance.happens(0.5)
        pattern(script, made, line, side=side, stop=last)
        if last:
            return script
    pattern(script, made, line, side=side)
    return script


@kind("two approaches")
def two_approaches(world: World) -> Script:
    """A missed approach with its hold, then another approach at another aerodrome."""
    land = layout.Land(world)
    made = layout.approach(land, layout.route(land, fixes=2))
    hold_at = made.missed[-1]["fix"]
    toward = world.chance.between(0.0, 360.0)
    start = land.fix(land.at(hold_at) + layout.leg_nm(world) * unit(toward))
    second = layout.approach(land, toward, guidance="ILS", initial=start, filed=False)
    script = Script(land)
    arrive(script, departed(script), end="missed")
    straight = _to_initial(script, second)
    approaches.whole(script, second, straight, index=1)
    return script


@kind("the same approach twice")
def same_twice(world: World) -> Script:
    """Missed, direct back to the first fix, and the same again to a landing."""
    script = at_departure(world, fixes=2)
    made = script.land.approaches[0]
    arrive(script, departed(script), end="missed")
    straight = _to_initial(script, made)
    approaches.whole(script, made, straight, index=1)
    return script


@kind("approach broken off")
def broken_off(world: World) -> Script:
    """Told to discontinue on the way down, a heading, a climb; direct to the first fix, and again to a landing."""
    script = at_departure(world, fixes=2)
    made = script.land.approaches[0]
    last = departed(script)
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made)
    first, faf = made.legs[0]["fix"], approaches.faf_of(made)
    onward = script.land.line(first, faf)
    script.fly_by(first, last, onward, f"{first}-{faf}")
    line = approaches.fly_final(script, made, onward, to_ft=made.path_ft(world.chance.between(3.0, 4.2)))
    script.glide = None
    away = made.course + world.chance.sign() * world.chance.between(70.0, 110.0)
    above = float(round((made.elevation_ft + 3000.0) / 100.0) * 100)
    script.level_ft = above
    script.vector(away, altitude_ft=above, discontinue=True)
    script.truth.outcomes.append({"approach": 0, "outcome": "discontinued", "t": script.t})
    assert line
    script.phase = "terminal"
    script.go_for(world.chance.between(90.0, 150.0))
    straight = _to_initial(script, made)
    approaches.whole(script, made, straight, index=1)
    return script


@kind("other aerodrome than filed")
def diverted(world: World) -> Script:
    """Half way along the route direct to another aerodrome's approach, which the lesson holds too."""
    land = layout.Land(world)
    course = layout.route(land, fixes=4)
    layout.approach(land, course)
    aside = land.at(land.route[2]) + 1.4 * layout.leg_nm(world) * unit(course + world.chance.sign() * 110.0)
    start = land.fix(aside)
    second = layout.approach(land, course, initial=start, filed=False)
    script = Script(land)
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.3 * leg.length_nm)
    straight = _to_initial(script, second)
    approaches.whole(script, second, straight, index=1)
    return script
