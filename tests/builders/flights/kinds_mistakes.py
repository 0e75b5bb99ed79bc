"""Mistakes of setting up and of flying, each planted once, with everything that was said in the lesson."""

from __future__ import annotations

from typing import Any

from builders.flights import approaches, layout
from builders.flights.flyer import OnHeading, OnPath
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.kinds_vectors import toward_final
from builders.flights.plane import Line, unit, wrap
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World

WRITTEN = ("complete",)


@kind("fix skipped", modes=(*WRITTEN, "missing"))
def skipped(world: World) -> Script:
    """From one fix straight to the next but one."""
    script = at_departure(world, least_deg=40.0)
    route = script.land.route
    leg = departed(script, to=1)
    after = script.land.line(route[1], route[3])
    script.go(lambda: leg.to_go(script.place) <= script.lead_nm(wrap(after.course - leg.course)))
    script.plant("fix-skipped", fix=route[2])
    script.fly_by(route[1], leg, after, f"-{route[3]}", guidance="direct")
    arrive(script, script.along(*route[3:-1], first=after))
    return script


@kind("wrong fix, a look-alike", modes=WRITTEN)
def lookalike(world: World) -> Script:
    """Turned to a fix of almost the same name; after some minutes to the right one."""
    script = at_departure(world)
    land = script.land
    route = land.route
    leg = departed(script, to=2)
    right = route[3]
    wrong = right[:2] + ("X" if right[2] != "X" else "W") + right[3:]
    onward = land.line(route[2], right)
    away = onward.course + world.chance.sign() * world.chance.between(35.0, 60.0)
    land.fix(land.at(route[2]) + 1.8 * onward.length_nm * unit(away), ident=wrong)
    after = land.line(route[2], wrong)
    script.go(lambda: leg.to_go(script.place) <= script.lead_nm(wrap(after.course - leg.course)))
    script.plant("fix-lookalike", fix=wrong, owed=right)
    script.fly_by(route[2], leg, after, f"-{wrong}", guidance="direct")
    script.go_for(world.chance.between(80.0, 130.0))
    straight = script.direct(right)
    arrive(script, script.along(*route[3:-1], first=straight))
    return script


@kind("direct to the wrong fix", modes=WRITTEN)
def direct_wrong(world: World) -> Script:
    """Cleared direct to one fix of the route, flown to another; said again, and flown."""
    script = at_departure(world, fixes=5, least_deg=35.0)
    land = script.land
    route = land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.6 * leg.length_nm)
    said = script.say(direct=route[3])
    script.answer()
    said.effect = script.t
    script.plant("direct-wrong-fix", said=route[3], flown=route[4])
    script.direct(route[4], said=False)
    script.go_for(world.chance.between(90.0, 130.0))
    straight = script.direct(route[3])
    arrive(script, script.along(*route[3:-1], first=straight))
    return script


@kind("vector left without a clearance", modes=WRITTEN)
def left_vector(world: World) -> Script:
    """On a heading, and then straight to a fix with nothing said; the direct comes two minutes later."""
    script = at_departure(world)
    route = script.land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.7 * leg.length_nm)
    heading = script.vector(leg.course + world.chance.sign() * world.chance.between(40.0, 70.0))
    script.rolled_out(heading)
    script.go_for(world.chance.between(50.0, 80.0))
    script.plant("left-vector", fix=route[3])
    straight = script.direct(route[3], said=False)
    script.go_for(130.0)
    script.say(direct=route[3]).effect = script.t
    arrive(script, script.along(*route[3:-1], first=straight))
    return script


def _to_cleared(world: World, *, cleared: bool, until: bool = True) -> tuple[Script, Line]:
    script = at_departure(world, fixes=3, least_nm=9.0)
    last = departed(script)
    made = script.land.approaches[0]
    line = script.land.line(made.legs[0]["fix"], approaches.faf_of(made))
    script.until_to_go(last, world.chance.between(0.5, 0.75) * last.length_nm)
    more: dict[str, Any] = {"until": "final"} if until else {}
    toward_final(script, line, out_nm=0.75 * line.length_nm, **more)
    if cleared:
        script.go_for(4.0)
        approaches.clear(script, made, altitude_ft=script.level_ft)
    script.phase = "approach"
    return script, line


@kind("final flown through", modes=WRITTEN)
def flown_through(world: World) -> Script:
    """Cleared in time; the turn begins well past the course, and comes back."""
    script, line = _to_cleared(world, cleared=True)
    made = script.land.approaches[0]
    side = 1.0 if line.off(script.place) >= 0.0 else -1.0
    script.go(lambda: line.off(script.place) * side < 0.0)
    script.plant("final-flown-through")
    beyond = world.chance.between(0.4, 0.7)
    script.go(lambda: line.off(script.place) * side < -beyond)
    script.truth.instructions[-1].effect = script.t
    script.on(line, f"{line_name(made)}", most_deg=35.0)
    approaches.land(script, made, approaches.fly_final(script, made, line))
    return script


def line_name(made: layout.Approach) -> str:
    """The leg to the final approach fix."""
    return f"{made.legs[0]['fix']}-{approaches.faf_of(made)}"


@kind("joined without a clearance", modes=WRITTEN)
def join_uncleared(world: World) -> Script:
    """On a heading that is no more than a heading, the final joined; cleared two minutes later."""
    script, line = _to_cleared(world, cleared=False, until=world.chance.happens(0.5))
    made = script.land.approaches[0]
    script.join(line, line_name(made))
    script.plant("join-without-clearance")
    script.go_for(50.0)
    approaches.clear(script, made)
    approaches.land(script, made, approaches.fly_final(script, made, line))
    return script


@kind("heading not held", modes=WRITTEN)
def heading_off(world: World) -> Script:
    """A heading is assigned and another flown, 25 degrees beside it."""
    script = at_departure(world)
    world.recorder.heading = True
    route = script.land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.7 * leg.length_nm)
    script.vector(leg.course + world.chance.sign() * world.chance.between(50.0, 80.0))
    assert isinstance(script.steering, OnHeading)
    script.steering.heading += 25.0 * world.chance.sign()
    script.rolled_out(script.steering.heading)
    script.plant("vector-heading-off")
    script.go_for(110.0)
    arrive(script, script.along(*route[3:-1], first=script.direct(route[3])))
    return script


@kind("hold not set", modes=WRITTEN)
def hold_not_set(world: World) -> Script:
    """A hold is said in time; the fix is passed and the next leg flown."""
    script = at_departure(world, fixes=3)
    route = script.land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.55 * leg.length_nm)
    script.say(hold={"fix": route[2], "inbound_course_deg_mag": round(script.land.mag(leg.course, leg.b)) or 360,
                     "turn": "right", "leg_minutes": 1.0})  # fmt: skip
    after = script.land.line(route[2], route[3])
    script.fly_by(route[2], leg, after, f"{route[2]}-{route[3]}")
    script.plant("hold-not-set", fix=route[2])
    script.go_for(80.0)
    script.say(resume=True).effect = script.t
    arrive(script, after)
    return script


@kind("sequencing held", modes=(*WRITTEN, "missing"))
def sequencing(world: World) -> Script:
    """Straight on past a fix for most of a minute, then back to the leg."""
    script = at_departure(world, least_deg=35.0)
    route = script.land.route
    leg = departed(script, to=2)
    after = script.land.line(route[2], route[3])
    across = leg.u + after.u
    script.go(lambda: ((script.place - leg.b) * across.conjugate()).real >= 0.0)
    onto = f"{route[2]}-{route[3]}"
    script.label("leg", f"{onto}|{route[1]}-{route[2]}")  # the one that is owed, or the one that is flown by
    script.plant("sequencing-held", fix=route[2])
    script.go_for(world.chance.between(45.0, 70.0))
    script.label("leg", onto)
    script.steer(OnPath(after, most_deg=40.0))
    arrive(script, script.along(*route[3:-1], first=after))
    return script


@kind("approach activated too early", modes=WRITTEN)
def activated_early(world: World) -> Script:
    """On vectors to final the aircraft turns back to the first fix; a heading ends it."""
    script, line = _to_cleared(world, cleared=False)
    made = script.land.approaches[0]
    first = made.legs[0]["fix"]
    script.plant("activated-early", fix=first)
    back = script.direct(first, said=False)
    script.go(lambda: abs(wrap(script.track - back.course)) < 5.0)
    script.go_for(35.0)
    toward_final(script, line, out_nm=0.5 * line.length_nm, until="final")
    script.go_for(5.0)
    approaches.clear(script, made)
    script.join(line, line_name(made), effect_of=script.truth.instructions[-1])
    approaches.land(script, made, approaches.fly_final(script, made, line))
    return script
