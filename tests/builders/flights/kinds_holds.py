"""Holds at a fix of the route, said and unsaid, broken off; in lieu of a reversal."""

from __future__ import annotations

from typing import Any

from builders.flights import approaches, layout
from builders.flights.holds import HoldOf, break_off, hold
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.plane import direction
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World

TIMED = ("complete", "partly", "minute", "minute-wrong", "untimed")


def _said(script: Script, held: HoldOf, **more: Any) -> dict[str, Any]:
    values: dict[str, Any] = {
        "fix": held.fix,
        "inbound_course_deg_mag": round(script.land.mag(held.course, script.land.at(held.fix))) or 360,
        "turn": held.turn,
    }
    if held.nm:
        values["leg_nm"] = held.nm
    elif script.chance.happens(0.6):  # else the standard minute
        values["leg_minutes"] = held.minutes
    return values | more


def _entry_course(world: World, arrival: float, side: float, entry: str) -> float:
    """An inbound course that asks for an entry from a direction of arrival."""
    low, high = {"direct": (-55.0, 95.0), "teardrop": (120.0, 170.0), "parallel": (-170.0, -85.0)}[entry]
    return (arrival - side * world.chance.between(low, high)) % 360.0


def _holding(world: World, *, nm: float = 0.0, said: bool = True, broken: bool = False) -> Script:
    script = at_departure(world, fixes=3)
    route = script.land.route
    leg = departed(script, to=2)
    fix = route[2]
    turn = world.chance.one_of(("left", "right"))
    entry = ("direct", "teardrop", "parallel")[world.seed % 3]
    course = _entry_course(world, leg.course, 1.0 if turn == "right" else -1.0, entry)
    at = script.land.at(fix)
    course = script.land.world.plane.grid_of_mag(round(script.land.mag(course, at)), at)
    held = HoldOf(fix, course, turn, minutes=1.0, nm=nm)
    script.until_to_go(leg, 0.55 * leg.length_nm)
    instruction = script.say(hold=_said(script, held)) if said else None
    script.want_ias_kt = min(script.want_ias_kt, 150.0)
    script.go(lambda: leg.to_go(script.place) <= 0.0)
    if instruction:
        instruction.effect = script.t
    following = script.land.line(fix, route[3])
    if broken:
        break_off(script, held, leg)
        script.vector(direction(script.land.at(route[3]) - script.place) + world.chance.sign() * 60.0)
        script.go_for(70.0)
        script.cruise()
        arrive(script, script.direct(route[3]))
        return script
    hold(script, held, leg, circuits=world.chance.one_of((2, 3)), said=True)
    if said:
        script.say(resume=True).effect = script.t
    script.cruise()
    script.on(following, f"{fix}-{route[3]}")
    arrive(script, following)
    return script


@kind("hold at a route fix, timed", modes=TIMED)
def timed(world: World) -> Script:
    """A hold as said, by the minute."""
    return _holding(world)


@kind("hold at a route fix, by distance", modes=TIMED)
def by_distance(world: World) -> Script:
    """A hold as said, outbound to a distance from the fix."""
    return _holding(world, nm=world.chance.one_of((4.0, 5.0)))


@kind("hold that nobody wrote down", modes=("missing",))
def unsaid(world: World) -> Script:
    """The same with nothing in the lesson."""
    return _holding(world, said=False)


@kind("hold broken off", modes=("complete", "missing", "minute"))
def broken(world: World) -> Script:
    """A heading and a direct out of the middle of a hold."""
    return _holding(world, broken=True)


@kind("hold in lieu of a procedure turn")
def in_lieu(world: World) -> Script:
    """The approach begins with a hold at its first fix, once round."""
    land = layout.Land(world)
    arrival = layout.route(land, fixes=3)
    side = world.chance.sign()
    made = layout.approach(land, arrival, turn_deg=side * world.chance.between(110.0, 175.0))
    first = made.legs[0]["fix"]
    turn = world.chance.one_of(("left", "right"))
    made.legs.insert(
        1,
        {
            "path": "HF", "fix": first, "inbound_course_deg_mag": land.mag(made.course, land.at(first)),
            "turn": turn, "leg_minutes": 1.0, "altitude": {"at_or_above_ft": layout.faf_ft(made) + 1000.0},
        },
    )  # fmt: skip
    script = Script(land)
    last = departed(script)
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made)
    script.until_to_go(last, 3.0)
    script.want_ias_kt = min(world.cruise_kt, 140.0)
    script.phase = "approach"
    hold(script, HoldOf(first, made.course, turn), last, circuits=1)
    faf = approaches.faf_of(made)
    onward = land.line(first, faf)
    script.on(onward, f"{first}-{faf}")
    approaches.land(script, made, approaches.fly_final(script, made, onward))
    return script
