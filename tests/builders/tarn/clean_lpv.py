"""Flight 1: everything as it should be."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from builders.tarn.air import Air, WindLayer
from builders.tarn.earth import Line
from builders.tarn.flight import Flight
from builders.tarn.lesson_text import approach_text, fixes_text, route_text, said_at
from builders.tarn.phases import at_the_apron, glidepath_met, taxi_in, taxi_out, worst_on_final
from builders.tarn.pilot import Skill
from builders.tarn.places import SKARHOLM_LPV, TARN_BAY_05, leg
from builders.tarn.recorder import Receiver, csv_text, record
from builders.tarn.sample import Sample, about_text
from builders.tarn.truth import Truth, truth_text

NAME, SEED = "clean_lpv", 11
_START = dt.datetime(2026, 4, 11, 13, 0, tzinfo=dt.UTC)
_AIR = Air(
    qnh_hpa=1016.0, oat_deg_c=13.0, station_ft=88.0,
    winds=(WindLayer(50.0, 330.0, 7.0), WindLayer(2000.0, 325.0, 12.0), WindLayer(5000.0, 315.0, 17.0)),
)  # fmt: skip
_SKILL = Skill(track_deg=0.9, heading_deg=0.6, altitude_ft=10.0, glide_ft=8.0, speed_kt=0.7)


def build() -> Sample:
    """The finished sample."""
    flight, truth = at_the_apron(seed=SEED, start=_START, air=_AIR, skill=_SKILL), Truth()
    final_line = leg("FERNU", "RW27")
    _to_holma(flight)
    _approach(flight, final_line)
    taxi_in(flight)
    landed = next(second.time for second in reversed(flight.log) if second.guidance == "leg")
    truth.outcome = {
        "approach": "landed", "airport": "XSKH", "runway": "RW27", "touchdown": landed,
        **worst_on_final(flight, SKARHOLM_LPV, final_line),
    }  # fmt: skip
    rows = record(flight.log, SEED, Receiver())
    return Sample(
        name=NAME,
        flight=flight,
        rows=rows,
        truth=truth,
        files={
            "track.csv": csv_text(rows),
            "lesson.toml": _lesson(flight),
            "truth.toml": truth_text(NAME, flight, truth, aircraft="single, climb 85, cruise 105, approach 90 KIAS"),
            "ABOUT.md": about_text(
                NAME,
                SEED,
                "A clean flight from Tarn Bay to Skarholm: the route as filed, the LPV to runway 27, a landing.",
            ),
        },
    )


def _to_holma(flight: Flight) -> None:
    pilot = flight.pilot
    taxi_out(flight)
    flight.say("departure")
    flight.take_off(TARN_BAY_05, climb_to_ft=3000.0)
    names = ("XTBN", "BRAKO", "CALDU", "NORVI", "SELKA", "HOLMA")
    lines = [leg(a, b) for a, b in pairwise(names)]
    flight.track(lines[0], "leg", "XTBN-BRAKO")

    def climb_on() -> None:
        flight.say("climb")
        flight.climb(5000.0, rate_fpm=600.0)

    def cruise() -> None:
        pilot.ias_kt = 105.0

    flight.when(lambda: flight.aircraft.indicated_ft > 2300.0, climb_on)
    flight.when(lambda: flight.aircraft.indicated_ft > 4900.0, cruise)
    for inbound, outbound, fix, after in zip(lines[:3], lines[1:4], names[1:4], names[2:5], strict=True):
        flight.fly_by(fix, inbound, outbound, f"{fix}-{after}")
    flight.go(lambda: flight.to_go_nm(lines[3]) < 3.0)
    flight.say("descend")
    flight.go_for(5.0)
    flight.climb(3000.0, rate_fpm=500.0)
    flight.fly_by("SELKA", lines[3], lines[4], "SELKA-HOLMA")
    flight.go(lambda: flight.to_go_nm(lines[4]) < 5.0)
    flight.say("cleared")
    flight.go(lambda: flight.to_go_nm(lines[4]) < 3.5)
    pilot.ias_kt = 90.0
    flight.fly_by("HOLMA", lines[4], leg("HOLMA", "FERNU"), "HOLMA-FERNU")


def _approach(flight: Flight, final_line: Line) -> None:
    intermediate = leg("HOLMA", "FERNU")
    flight.go(lambda: flight.to_go_nm(intermediate) < 4.7)
    flight.climb(2000.0, rate_fpm=500.0)
    flight.go(lambda: flight.to_go_nm(intermediate) <= 0.0)
    flight.track(final_line, "leg", "FERNU-RW27", cut_deg_per_nm=120.0)
    flight.go(lambda: glidepath_met(flight, SKARHOLM_LPV, final_line))
    flight.descend_on(SKARHOLM_LPV, final_line)
    flight.land(SKARHOLM_LPV, final_line)


def _lesson(flight: Flight) -> str:
    return f"""# A lesson file: what was to be flown, what was said, how it is to be judged.
# Everything but the date may be left out.
# Invented flight in invented islands. Not for navigation.

[lesson]
title = "Lesson 8: a cross-country with an LPV"
date = {_START:%Y-%m-%d}
student = "S-014"
instructor = "I-03"
standard = "faa-instrument"     # or "easa-instrument"
objective = [
  {{ task = "route", standard = "every fix turned in time, half scale or better" }},
  {{ task = "LPV", standard = "stable at 90 kt from FERNU, landing" }},
]

[altimetry]
qnh_hpa = {_AIR.qnh_hpa:.0f}
oat_deg_c = {_AIR.oat_deg_c:.0f}                  # at Skarholm

[accuracy]                      # 95 %: a receiver with satellite-based corrections, an altimeter checked on the ground
horizontal_m = 3.0
altitude_ft = 20.0

[aircraft]
approach_ias_kt = 90
category = "A"

{route_text(5000)}
{approach_text()}
# What air traffic control said. Times are UTC on the date above.
[[clearance]]                   # before take-off: as filed, climb to 3000 ft
time = {said_at(flight, "departure")}
altitude_ft = 3000

[[clearance]]
time = {said_at(flight, "climb")}
altitude_ft = 5000

[[clearance]]
time = {said_at(flight, "descend")}
altitude_ft = 3000

[[clearance]]
time = {said_at(flight, "cleared")}
cleared = "XSKH/RW27"
altitude_ft = 3000              # maintain until established

[[event]]
time = {_visual_time(flight):%H:%M:%S}
what = "visual"                 # runway in sight, before the decision altitude

{fixes_text()}"""


def _visual_time(flight: Flight) -> dt.datetime:
    """Ten seconds before the decision altitude."""
    at_minimum = next(
        second.time for second in flight.log if second.leg == "FERNU-RW27" and second.indicated_ft <= SKARHOLM_LPV.da_ft
    )
    return at_minimum - dt.timedelta(seconds=10)
