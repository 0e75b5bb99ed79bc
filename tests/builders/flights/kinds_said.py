"""Departures and arrivals as coded, slips of the pen, and attempts begun again from a saved point."""

from __future__ import annotations

from builders.flights import approaches, layout
from builders.flights.flyer import OnHeading
from builders.flights.kinds_route import arrive, at_departure, departed
from builders.flights.kinds_vectors import toward_final
from builders.flights.plane import Plane, direction, inbound, unit, wrap
from builders.flights.registry import kind
from builders.flights.script import Script
from builders.flights.world import YEAR, World
from builders.tarn_navdata import islands
from builders.tarn_navdata.columns import Place


def _islands(world: World, *places: Place) -> layout.Land:
    """The Tarn Islands under the flight."""
    world.plane = Plane(46.55, -27.3, YEAR)
    land = layout.Land(world)
    for place in places:
        at = world.plane.place(place.point.lat_deg, place.point.lon_deg)
        land.fixes[place.ident] = layout.Fix(place.ident, at, elevation_ft=place.elevation_ft)
    return land


def _coded(land: layout.Land, route: str, approach: str) -> None:
    land.coded = [
        '[navdata]\narinc424 = "islands.dat"',
        f"[route]\n{route}\naltitude_ft = {land.cruise_ft:.0f}",
        f"[[approach]]\n{approach}",
    ]


@kind("departure as coded")
def coded_departure(world: World) -> Script:
    """A heading to a height, a course to a fix, along; the route on to a coded approach."""
    names = (islands.XTBN, islands.BRAKO, islands.PERLO, islands.CALDU, islands.NORVI, islands.SELKA, islands.HOLMA)
    land = _islands(world, *names, islands.FERNU, islands.XSKH, islands.RW27, islands.TOVIK, islands.OSTRA)
    land.route = [place.ident for place in names] + ["XSKH"]
    land.cruise_ft = 5000.0
    runway = world.plane.place(islands.RW05.point.lat_deg, islands.RW05.point.lon_deg)
    far = world.plane.place(islands.RW23.point.lat_deg, islands.RW23.point.lon_deg)
    land.departure_course = direction(far - runway)
    made = layout.Approach(
        "XSKH", "RW27", land.at("RW27"), direction(land.at("RW27") - land.at("FERNU")), 88.0, minima_ft=338.0
    )
    made.legs = [layout.first_fix(made, "HOLMA"), layout.to_faf(made, "FERNU"), {"path": "TF", "fix": "RW27"}]
    made.legs[1]["altitude"] = {"at_or_above_ft": 2000.0}
    land.approaches.append(made)
    _coded(
        land,
        'text = "XTBN BRAKO1 NORVI SELKA HOLMA XSKH"\ndeparture_runway = "RW05"',
        'airport = "XSKH"\nprocedure = "R27"\ntransition = "HOLMA"\nminima = { da_ft = 338 }',
    )
    script = Script(land)
    script.place = runway + 0.05 * unit(land.departure_course)
    script.depart(label=("leg", "VA"))
    station = world.plane.place(islands.TBN.point.lat_deg, islands.TBN.point.lon_deg)
    to_brako = inbound(land.at("BRAKO"), direction(land.at("BRAKO") - station))
    script.on(to_brako, "-BRAKO")
    arrive(script, script.along(*land.route[1:-1], first=to_brako))
    return script


@kind("arrival with vectors at its end")
def coded_arrival(world: World) -> Script:
    """An arrival whose last leg is a heading; vectors from there to a coded final."""
    names = (islands.XSKH, islands.OSTRA, islands.CALDU, islands.BRAKO)
    land = _islands(world, *names, islands.XTBN, islands.SKALE, islands.MORUN, islands.TISKA, islands.RW05)
    land.route = [place.ident for place in names] + ["XTBN"]
    land.cruise_ft = 5000.0
    runway = world.plane.place(islands.RW27.point.lat_deg, islands.RW27.point.lon_deg)
    far = world.plane.place(islands.RW09.point.lat_deg, islands.RW09.point.lon_deg)
    land.departure_course = direction(far - runway)
    made = layout.Approach(
        "XTBN", "RW05", land.at("RW05"), direction(land.at("RW05") - land.at("MORUN")), 46.0, "LNAV", 520.0
    )
    made.legs = [layout.first_fix(made, "SKALE"), layout.to_faf(made, "MORUN"), {"path": "TF", "fix": "TISKA"}]
    made.legs[1]["altitude"] = {"at_or_above_ft": 1700.0}
    land.approaches.append(made)
    _coded(
        land,
        'text = "XSKH OSTRA CALDU1 XTBN"\narrival_runway = "RW05"',
        'airport = "XTBN"\nprocedure = "R05"\ntransition = "vectors"\nminima = { mda_ft = 520 }',
    )
    script = Script(land)
    script.place = runway + 0.05 * unit(land.departure_course)
    last = departed(script)
    script.level(3000.0)
    script.go(lambda: last.to_go(script.place) <= 0.0)
    heading = world.plane.grid_of_mag(world.plane.mag_of(land.line("BRAKO", "XTBN").course, last.b), last.b)
    script.steer(OnHeading(heading))
    script.label("leg|vectors", "VM|")
    script.go_for(world.chance.between(40.0, 80.0))
    onward = land.line("SKALE", "MORUN")
    toward_final(script, onward, out_nm=2.0, until="final")
    approaches.clear(script, made)
    script.phase = "approach"
    script.join(onward, "SKALE-MORUN|-MORUN", effect_of=script.truth.instructions[-1])
    script.approaching(made)
    final = approaches.final_line(script, made)
    script.down(made, final)
    to_step = land.line("MORUN", "TISKA")
    script.fly_by("MORUN", onward, to_step, "MORUN-TISKA", late_nm=0.0)
    script.fly_by("TISKA", to_step, land.line("TISKA", "RW05"), "TISKA-RW05", late_nm=0.0)
    script.until_ft(made.minima_ft)
    approaches.land(script, made, final)
    return script


@kind("headings, one written wrong", modes=("slip",))
def slipped(world: World) -> Script:
    """Three headings round the route; one stands in the lesson with a wrong digit."""
    script = at_departure(world)
    route = script.land.route
    leg = departed(script, to=2)
    script.until_to_go(leg, 0.7 * leg.length_nm)
    side = world.chance.sign()
    for turn in (50.0, 90.0, 30.0):
        course = leg.course + side * turn
        to_fix = direction(script.land.at(route[3]) - script.place)
        if abs(wrap(course - to_fix)) < 25.0:  # a heading that happens to lead to the fix can't be told from a direct
            course = to_fix + side * 45.0
        heading = script.vector(course)
        script.rolled_out(heading)
        script.go_for(world.chance.between(60.0, 90.0))
    straight = script.direct(route[3])
    arrive(script, script.along(*route[3:-1], first=straight))
    return script


@kind("headings, times wrong by a minute", modes=("minute-wrong",))
def minutes(world: World) -> Script:
    """The same with times to the minute, some of them the minute before or after."""
    return slipped(world)


@kind("approach begun again from a saved point", modes=("complete", "missing"))
def saved_point(world: World) -> Script:
    """In a simulator: down to the minimum and up, then put back before the first fix, and again to a landing."""
    script = at_departure(world, fixes=2)
    made = script.land.approaches[0]
    first, faf = made.legs[0]["fix"], approaches.faf_of(made)
    onward = script.land.line(first, faf)
    last = departed(script)
    script.until_to_go(last, 0.5 * last.length_nm)
    approaches.clear(script, made)
    script.fly_by(first, last, onward, f"{first}-{faf}")
    line = approaches.fly_final(script, made, onward)
    approaches.climb_away(script, made, f"{faf}-{made.runway}|-{made.missed[0]['fix']}")
    script.truth.outcomes.append({"approach": 0, "outcome": "missed", "t": script.t})
    script.go_for(20.0)
    assert line
    script.place = onward.a + 0.3 * onward.length_nm * onward.u
    script.heading, script.altitude_ft = onward.course, layout.faf_ft(made) + 500.0
    script.level_ft, script.vs_fpm = script.altitude_ft, 0.0
    script.on(onward, f"{first}-{faf}")
    approaches.land(script, made, approaches.fly_final(script, made, onward), 1)
    return script
