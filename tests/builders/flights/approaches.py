"""Whole stretches of approaches: from the initial fix to the runway, or to the missed approach and its hold."""

from __future__ import annotations

from typing import Any

from builders.flights.flyer import OnPath
from builders.flights.holds import HoldOf, hold
from builders.flights.layout import Approach
from builders.flights.plane import Line, inbound
from builders.flights.script import Script


def faf_of(approach: Approach) -> str:
    """The final approach fix."""
    return str(next(leg for leg in approach.legs if leg.get("role") == "FAF")["fix"])


def final_line(script: Script, approach: Approach) -> Line:
    """The line from the final approach fix to the threshold."""
    return Line(script.land.at(faf_of(approach)), approach.threshold)


def clear(script: Script, approach: Approach, **more: Any) -> None:
    """Cleared for the approach."""
    instruction = script.say(cleared=f"{approach.airport}/{approach.runway}", **more)
    instruction.effect = script.t


def fly_final(script: Script, approach: Approach, before: Line, *, to_ft: float | None = None) -> Line:
    """From the leg to the final approach fix to the minimum."""
    faf = faf_of(approach)
    line = final_line(script, approach)
    script.approaching(approach)
    script.down(approach, line)
    script.fly_by(faf, before, line, f"{faf}-{approach.runway}", late_nm=0.0, gain=1.3)
    script.until_ft(approach.minima_ft if to_ft is None else to_ft)
    return line


def touch_down(script: Script, elevation_ft: float, line: Line, *, stop: bool = True) -> None:
    """Flare, touch down, and roll out to a stop, or on to the next take-off."""
    script.go(lambda: script.altitude_ft < elevation_ft + 40.0)
    script.glide = lambda: -(100.0 + 9.0 * max(script.altitude_ft - elevation_ft, 0.0))
    script.want_ias_kt = 0.75 * script.world.approach_kt
    script.go(lambda: script.altitude_ft <= elevation_ft)
    script.glide, script.altitude_ft = None, elevation_ft
    script.label("none", "", "ground")
    slowest = 3.0 if stop else 0.65 * script.world.approach_kt
    while script.groundspeed_kt >= slowest:
        script.roll(line.course - min(max(300.0 * line.off(script.place), -10.0), 10.0), 0.0)
    end = script.t + (25.0 if stop else 0.0)
    while script.t < end:
        script.roll(script.heading, 0.0)


def land(script: Script, approach: Approach, line: Line, index: int = 0, *, stop: bool = True) -> None:
    """Land from the minimum."""
    touch_down(script, approach.elevation_ft, line, stop=stop)
    script.truth.outcomes.append({"approach": index, "outcome": "landed" if stop else "touch-and-go", "t": script.t})


def climb_away(script: Script, approach: Approach, leg: str, *, to_ft: float | None = None) -> None:
    """Power up; missed from the first climb."""
    script.glide = None
    script.level_ft, script.rate_fpm = approach.elevation_ft + 3000.0 if to_ft is None else to_ft, 700.0
    script.want_ias_kt = script.world.climb_kt
    script.go(lambda: script.vs_fpm >= 0.0)
    script.label("missed", leg, "missed")


def missed(
    script: Script, approach: Approach, line: Line, index: int = 0, *, circuits: int = 1, outcome: str = "missed"
) -> None:
    """The missed approach as published: to its hold, and that for some circuits."""
    faf, first = faf_of(approach), approach.missed[0]
    name = "CA" if first["path"] == "CA" else f"-{first['fix']}"
    final = f"{faf}-{approach.runway}"
    climb_away(script, approach, f"{final}|{name}")
    script.truth.outcomes.append({"approach": index, "outcome": outcome, "t": script.t})
    script.go(lambda: line.to_go(script.place) <= 0.0)
    held = approach.missed[-1]
    fix = held["fix"]
    if first["path"] == "CA":
        script.steer(OnPath(line))
        script.label("missed", name)
        script.go(lambda: script.altitude_ft >= first["altitude"]["at_or_above_ft"])
    else:
        to_first = inbound(script.land.at(first["fix"]), approach.course)
        script.on(to_first, name, "missed")
        script.go(lambda: to_first.to_go(script.place) <= 0.0)
    last = script.direct(fix, said=False, guidance="missed")
    script.cruise()
    script.want_ias_kt = min(script.world.cruise_kt, 1.1 * script.world.climb_kt)
    course = script.land.world.plane.grid_of_mag(held["inbound_course_deg_mag"], script.land.at(fix))
    if circuits:
        hold(script, HoldOf(fix, course, held["turn"], minutes=held["leg_minutes"]), last, circuits=circuits)
    else:
        script.go(lambda: last.to_go(script.place) <= 0.1)


def whole(script: Script, approach: Approach, before: Line, *, index: int = 0, end: str = "landed", **how: Any) -> Line:
    """From the leg that leads to the initial fix, by its legs, to the end: "landed", "touch" (and go) or "missed"."""
    first = approach.legs[0]["fix"]
    faf = faf_of(approach)
    onward = script.land.line(first, faf)
    script.phase = "approach"
    script.fly_by(first, before, onward, f"{first}-{faf}")
    line = fly_final(script, approach, onward)
    if end in ("landed", "touch"):
        land(script, approach, line, index, stop=end == "landed")
    else:
        missed(script, approach, line, index, **how)
    return line
