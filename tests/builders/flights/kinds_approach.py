"""Approaches of every shape: transitions, arcs, reversals, curved and stepped finals."""

from __future__ import annotations

import math

from builders.flights import approaches, layout
from builders.flights.flyer import OnHeading, OnPath, turn_radius_nm
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.plane import Arc, Line, direction, inbound, unit, wrap
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import World


def _cleared(script: Script, last: Line, made: layout.Approach) -> None:
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made)
    script.until_to_go(last, min(3.0, 0.4 * last.length_nm))
    script.phase = "approach"
    script.want_ias_kt = min(script.world.cruise_kt, 140.0)


@kind("straight-in approach")
def straight_in(world: World) -> Script:
    """The route ends on the extended final."""
    script = at_departure(world, fixes=3, turn_deg=50.0, guidance="ILS")
    land = script.land
    arrive(script, departed(script))
    assert land.approaches
    return script


@kind("full approach with transition")
def transition(world: World) -> Script:
    """From an initial fix by a turn to the intermediate one, and on."""
    land = layout.Land(world)
    course = layout.route(land, fixes=3)
    start = land.route[-1]
    middle_course = (course + world.chance.sign() * world.chance.between(20.0, 60.0)) % 360.0
    middle = land.fix(land.at(start) + max(5.0, 5.0 * 0.004 * world.cruise_kt) * unit(middle_course))
    made = layout.approach(land, middle_course, turn_deg=world.chance.sign() * 90.0, initial=middle)
    made.legs[0] = {"path": "TF", "fix": middle, "role": "IF"}
    made.legs.insert(0, layout.first_fix(made, start, "IAF"))
    script = Script(land)
    last = departed(script)
    _cleared(script, last, made)
    first, faf = land.line(start, middle), approaches.faf_of(made)
    script.fly_by(start, last, first, f"{start}-{middle}")
    onward = land.line(middle, faf)
    script.fly_by(middle, first, onward, f"{middle}-{faf}")
    approaches.land(script, made, approaches.fly_final(script, made, onward))
    return script


@kind("step-down approach")
def step_down(world: World) -> Script:
    """A localizer without glidepath: down in steps to the minimum, level to the runway, landed or missed."""
    land = layout.Land(world)
    made = layout.approach(land, layout.route(land, fixes=3), guidance=world.chance.one_of(("LOC", "LNAV")))
    faf = approaches.faf_of(made)
    step_ft = float(100 * round((made.elevation_ft + 900.0) / 100.0))
    step = land.fix(made.threshold - 2.3 * unit(made.course))
    made.legs.insert(2, {"path": "TF", "fix": step, "role": "STEPDOWN", "altitude": {"at_or_above_ft": step_ft}})
    made.extra["technique"] = "stepped"
    script = Script(land)
    last = departed(script)
    _cleared(script, last, made)
    first = made.legs[0]["fix"]
    onward = land.line(first, faf)
    script.fly_by(first, last, onward, f"{first}-{faf}")
    script.approaching(made)
    to_step, to_runway = land.line(faf, step), Line(land.at(step), made.threshold)
    script.fly_by(faf, onward, to_step, f"{faf}-{step}", late_nm=0.0)
    script.level(step_ft, rate_fpm=900.0, said=False)
    script.fly_by(step, to_step, to_runway, f"{step}-{made.runway}", late_nm=0.0)
    script.level_ft = made.minima_ft + 30.0
    final = approaches.final_line(script, made)
    if world.chance.happens(0.5):
        script.until_to_go(final, 0.25)
        approaches.missed(script, made, final)
    else:
        script.until_to_go(final, 1.0)
        script.down(made, final)
        approaches.land(script, made, final)
    return script


@kind("procedure turn")
def procedure_turn(world: World) -> Script:
    """Over the fix, outbound, 45 degrees off, round and back inbound."""
    land = layout.Land(world)
    arrival = layout.route(land, fixes=3)
    faf = land.route[-1]
    final = (arrival + world.chance.sign() * world.chance.between(120.0, 178.0)) % 360.0
    made = layout.ending(land, faf, final, guidance="LOC")
    out, side = (final + 180.0) % 360.0, world.chance.sign()
    reversal = {
        "path": "PI", "fix": faf, "outbound_course_deg_mag": land.mag(out, land.at(faf)),
        "turn": "right" if side > 0 else "left", "limit_nm": 10.0,
        "altitude": {"at_or_above_ft": layout.faf_ft(made) + 1000.0},
    }  # fmt: skip
    back = layout.to_faf(made, faf, "CF", course_deg_mag=land.mag(final, land.at(faf)))
    made.legs = [layout.first_fix(made, faf, "IAF"), reversal, back, *made.legs]
    script = Script(land)
    last = departed(script)
    _cleared(script, last, made)
    script.go(lambda: last.to_go(script.place) <= 0.0)
    fix = land.at(faf)
    outbound = Line(fix, fix + 15.0 * unit(out))
    script.on(outbound, f"PI {faf}", "procedure-turn")
    script.want_ias_kt = script.world.approach_kt
    script.go(lambda: outbound.length_nm - outbound.to_go(script.place) > 0.6)
    script.go_for(world.chance.between(45.0, 75.0))
    script.level(layout.faf_ft(made) + 500.0, said=False)
    away = out + 45.0 * side
    away += script.wca(away)
    script.steer(OnHeading(away))
    script.rolled_out(away)
    script.go_for(world.chance.between(40.0, 55.0))
    to_fix = inbound(fix, final)
    heading = away + 180.0
    script.steer(OnHeading(heading), -side)
    script.go(lambda: abs(wrap(heading - script.heading)) < 60.0)
    script.join(to_fix, f"PI {faf}")
    script.label("procedure-turn", f"PI {faf}")
    turning = script.t
    script.settle(to_fix, within_deg=30.0, within_nm=0.35)
    script.label("leg", f"-{faf}")
    final_path = approaches.fly_final(script, made, to_fix)
    outside = [  # established is from where it stays within 30 degrees and 0.35 NM
        moment.t
        for moment in script.log
        if moment.t > turning
        and moment.leg == f"-{faf}"
        and (abs(to_fix.off(moment.place)) > 0.35 or abs(wrap(moment.track - final)) > 30.0)
    ]
    script.relabel(turning, max(outside, default=turning), "procedure-turn", f"PI {faf}")
    approaches.land(script, made, final_path)
    return script


@kind("base turn")
def base_turn(world: World) -> Script:
    """Over the fix, outbound on a slanted course for some miles, and round onto the course back."""
    land = layout.Land(world)
    arrival = layout.route(land, fixes=3)
    faf = land.route[-1]
    side = world.chance.sign()
    radius = turn_radius_nm(world.approach_kt + 10.0)
    far = max(world.chance.between(4.0, 5.5), 6.0 * radius)
    slant = math.degrees(math.atan2(2.2 * radius, far))
    out = (arrival + world.chance.between(-25.0, 25.0)) % 360.0
    final = (out + 180.0 + slant * side) % 360.0
    made = layout.ending(land, faf, final, guidance="NDB")
    made.extra["navaid"] = faf
    land.fixes[faf].kind = "ndb"
    away = {
        "path": "FC", "fix": faf, "course_deg_mag": land.mag(out, land.at(faf)), "distance_nm": round(far, 1),
        "altitude": {"at_or_above_ft": layout.faf_ft(made) + 1000.0},
    }  # fmt: skip
    back = layout.to_faf(
        made, faf, "CF", course_deg_mag=land.mag(final, land.at(faf)), turn="right" if side > 0 else "left"
    )
    made.legs = [layout.first_fix(made, faf, "IAF"), away, back, *made.legs]
    script = Script(land)
    last = departed(script)
    _cleared(script, last, made)
    fix = land.at(faf)
    script.want_ias_kt = script.world.approach_kt
    outbound = Line(fix, fix + round(far, 1) * unit(out))
    words = "leg|procedure-turn"
    script.fly_over(last, outbound, "FC", guidance=words)
    script.until_to_go(outbound, 0.0)
    to_fix = inbound(fix, final)
    script.steer(OnPath(to_fix, most_deg=45.0), side)
    script.label(words, f"-{faf}")
    script.level(layout.faf_ft(made), said=False)
    script.settle(to_fix)
    script.label("leg", f"-{faf}")
    approaches.land(script, made, approaches.fly_final(script, made, to_fix))
    return script


@kind("DME arc")
def dme_arc(world: World) -> Script:
    """Onto an arc about the station at the field, round it either way, and by a lead onto the final course."""
    land = layout.Land(world)
    arrival = layout.route(land, fixes=3)
    start = land.route[-1]
    radius, sense = world.chance.one_of((10.0, 11.0, 12.0)), world.chance.sign()
    centre = land.at(start) + radius * unit(arrival + world.chance.between(-35.0, 35.0))
    swept = world.chance.between(55.0, 100.0) * sense
    leave_at = centre + radius * unit(direction(land.at(start) - centre) + swept)
    final = direction(centre - leave_at)
    faf = land.fix(centre - layout.FAF_NM * unit(final))
    made = layout.ending(land, faf, final, guidance="LOC")
    station, leave = land.fix(centre, kind="dme"), land.fix(leave_at)
    arc = {
        "path": "AF", "fix": leave, "centre": station, "radius_nm": radius,
        "turn": "right" if sense > 0 else "left", "role": "IF",
        "altitude": {"at_or_above_ft": layout.faf_ft(made) + 500.0},
    }  # fmt: skip
    made.legs = [layout.first_fix(made, start, "IAF"), arc, layout.to_faf(made, faf), *made.legs]
    slant = world.chance.happens(0.5)
    if slant:
        land.extra["navigation"] = {"dme": "slant"}
    script = Script(land)
    last = departed(script)
    _cleared(script, last, made)
    flown = radius
    if slant:
        height_nm = (script.level_ft - made.elevation_ft) * 0.3048 / 1852.0
        flown = math.sqrt(radius**2 - height_nm**2)
    path = Arc(centre, land.at(start), leave_at, clockwise=sense > 0, radius_nm=flown)
    script.fly_by(start, last, path, f"{start}-{leave}", guidance="arc")
    onward = land.line(leave, faf)
    script.fly_by(leave, path, onward, f"{leave}-{faf}")
    approaches.land(script, made, approaches.fly_final(script, made, onward))
    return script


@kind("RF leg")
def radius_to_fix(world: World) -> Script:
    """A curved leg of constant radius down to the final approach fix."""
    land = layout.Land(world)
    course = layout.route(land, fixes=3)
    start, sense = land.route[-1], world.chance.sign()
    toward = (course + world.chance.between(-40.0, 40.0)) % 360.0
    begin_at = land.at(start) + max(5.0, 5.0 * turn_radius_nm(world.cruise_kt)) * unit(toward)
    radius = max(2.5, 1.7 * turn_radius_nm(world.approach_kt + 30.0))
    centre_at = begin_at + radius * unit(toward + 90.0 * sense)
    swept = world.chance.between(60.0, 120.0) * sense
    faf = land.fix(centre_at + radius * unit(direction(begin_at - centre_at) + swept))
    final = (toward + swept) % 360.0
    made = layout.ending(land, faf, final)
    begin, centre = land.fix(begin_at), land.fix(centre_at)
    curve = layout.to_faf(made, faf, "RF", centre=centre, turn="right" if sense > 0 else "left")
    made.legs = [
        layout.first_fix(made, start),
        {"path": "TF", "fix": begin, "altitude": {"at_or_above_ft": layout.faf_ft(made) + 500.0}},
        curve,
        *made.legs,
    ]
    script = Script(land)
    last = departed(script)
    _cleared(script, last, made)
    first = land.line(start, begin)
    script.fly_by(start, last, first, f"{start}-{begin}")
    script.approaching(made)
    path = Arc(centre_at, begin_at, land.at(faf), clockwise=sense > 0)
    script.fly_by(begin, first, path, f"{begin}-{faf}", late_nm=0.0)
    line = approaches.final_line(script, made)
    script.down(made, line)
    script.fly_by(faf, path, line, f"{faf}-{made.runway}", late_nm=0.0, gain=1.3)
    script.until_ft(made.minima_ft)
    approaches.land(script, made, line)
    return script
