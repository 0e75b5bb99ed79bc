"""A flight that is not stored: a fix flown over, a missed approach, vectors, the same approach again, a landing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from itertools import pairwise

from builders.tarn.air import Air, WindLayer
from builders.tarn.earth import inverse, line_to
from builders.tarn.flight import Flight
from builders.tarn.lesson_text import MISSED_COURSE_DEG_MAG, approach_text, fixes_text, route_text, said_at
from builders.tarn.phases import at_the_apron, glidepath_met, taxi_in, taxi_out
from builders.tarn.pilot import Skill
from builders.tarn.places import FIXES, SKARHOLM_LPV, TARN_BAY_05, leg
from builders.tarn.recorder import Receiver, csv_text, record
from builders.tarn.sample import Sample
from builders.tarn.truth import Truth, truth_text

NAME, SEED = "second_try", 44
_START = dt.datetime(2026, 5, 2, 11, 0, tzinfo=dt.UTC)
_AIR = Air(
    qnh_hpa=1013.0, oat_deg_c=14.0, station_ft=88.0,
    winds=(WindLayer(50.0, 300.0, 6.0), WindLayer(5000.0, 280.0, 12.0)),
)  # fmt: skip
_SKILL = Skill(track_deg=0.9, heading_deg=0.8, altitude_ft=12.0, glide_ft=8.0, speed_kt=0.8)


def build() -> Sample:
    """The finished flight."""
    flight, truth = at_the_apron(seed=SEED, start=_START, air=_AIR, skill=_SKILL), Truth()
    _to_holma(flight, truth)
    intermediate = leg("HOLMA", "FERNU")
    flight.fly_by("HOLMA", leg("SELKA", "HOLMA"), intermediate, "HOLMA-FERNU")
    flight.go(lambda: flight.to_go_nm(intermediate) < 4.7)
    _down_the_final(flight)
    flight.go(lambda: flight.aircraft.indicated_ft <= SKARHOLM_LPV.da_ft + 10.0)
    _missed(flight, truth)
    _vectors_round(flight, truth)
    _down_the_final(flight)
    flight.land(SKARHOLM_LPV, leg("FERNU", "RW27"))
    taxi_in(flight)
    truth.outcome = {"approach": "landed", "first": "missed", "airport": "XSKH", "runway": "RW27"}
    rows = record(flight.log, SEED, Receiver())
    files = {
        "track.csv": csv_text(rows),
        "lesson.toml": _lesson(flight),
        "truth.toml": truth_text(NAME, flight, truth, aircraft="single, climb 85, cruise 105, approach 90 KIAS"),
    }
    return Sample(name=NAME, flight=flight, rows=rows, truth=truth, files=files)


def _to_holma(flight: Flight, truth: Truth) -> None:
    taxi_out(flight)
    flight.say("departure")
    flight.take_off(TARN_BAY_05, climb_to_ft=4000.0)
    lines = [leg(a, b) for a, b in pairwise(("XTBN", "BRAKO", "CALDU", "NORVI", "SELKA", "HOLMA"))]
    flight.track(lines[0], "leg", "XTBN-BRAKO")

    def cruise() -> None:
        flight.pilot.ias_kt = 105.0

    flight.when(lambda: flight.aircraft.indicated_ft > 3900.0, cruise)
    flight.fly_by("BRAKO", lines[0], lines[1], "BRAKO-CALDU")
    flight.fly_over(lines[1], lines[2], "CALDU-NORVI")
    truth.plant("fly-over", fix="CALDU", passed=flight.now)
    flight.fly_by("NORVI", lines[2], lines[3], "NORVI-SELKA")
    flight.fly_by("SELKA", lines[3], lines[4], "SELKA-HOLMA")
    flight.say("cleared")
    flight.climb(3000.0, rate_fpm=500.0)
    flight.go(lambda: flight.to_go_nm(lines[4]) < 3.5)
    flight.pilot.ias_kt = 90.0


def _down_the_final(flight: Flight) -> None:
    """From the intermediate segment: down to 2000 ft, over FERNU, onto the glidepath."""
    final_line, intermediate = leg("FERNU", "RW27"), leg("HOLMA", "FERNU")
    flight.climb(2000.0, rate_fpm=500.0, ias_kt=90.0)
    flight.go(lambda: flight.to_go_nm(intermediate) <= 0.0)
    flight.track(final_line, "leg", "FERNU-RW27", cut_deg_per_nm=120.0)
    flight.go(lambda: glidepath_met(flight, SKARHOLM_LPV, final_line))
    flight.descend_on(SKARHOLM_LPV, final_line)


def _missed(flight: Flight, truth: Truth) -> None:
    tovik = line_to(FIXES["TOVIK"], MISSED_COURSE_DEG_MAG + flight.variation_at(FIXES["TOVIK"]), 8.0)
    flight.go_around(3000.0)
    flight.go(lambda: flight.aircraft.vertical_speed_fpm >= 0.0)
    truth.plant("missed", started=flight.now)
    flight.track(tovik, "missed", "RW27-TOVIK", cut_deg_per_nm=90.0)
    flight.go(lambda: flight.to_go_nm(tovik) <= 0.0)
    flight.fly_direct(FIXES["OSTRA"], "OSTRA", "missed")
    flight.go(lambda: inverse(flight.aircraft.position, FIXES["OSTRA"])[0] < 2.5)


def _vectors_round(flight: Flight, truth: Truth) -> None:
    intermediate = leg("HOLMA", "FERNU")
    final_line = leg("FERNU", "RW27")
    ends: dict[str, Callable[[], bool]] = {
        "downwind": lambda: flight.to_go_nm(final_line) > 11.0,
        "base": lambda: flight.off_nm(intermediate) > -3.0,
    }
    for key, heading in (("downwind", 90.0), ("base", 360.0), ("intercept", 300.0)):
        flight.say(key)
        flight.go_for(4.0)
        truth.plant("vectors", heading_deg_mag=heading, said=flight.said[key], turn_begun=flight.now)
        flight.fly_heading(heading, turn="left")
        flight.climb(2600.0, rate_fpm=500.0, ias_kt=100.0)
        if key in ends:
            flight.go(ends[key])
    flight.go_for(20.0)
    flight.say("cleared_again")
    flight.join(intermediate, "HOLMA-FERNU", cut_deg_per_nm=90.0)
    truth.plant("join", leg="HOLMA-FERNU", turn_begun=flight.now, to_faf_nm=flight.to_go_nm(intermediate))


def _lesson(flight: Flight) -> str:
    headings = "".join(
        f"[[clearance]]\ntime = {said_at(flight, key)}\nheading_deg_mag = {heading}\n"
        'turn = "left"\naltitude_ft = 2600\n\n'
        for key, heading in (("downwind", 90), ("base", 360), ("intercept", 300))
    )
    return f"""# Invented flight in invented islands. Not for navigation.
[lesson]
date = {_START:%Y-%m-%d}

[altimetry]
qnh_hpa = {_AIR.qnh_hpa:.0f}
oat_deg_c = {_AIR.oat_deg_c:.0f}

[accuracy]
horizontal_m = 3.0
altitude_ft = 20.0

{route_text(4000)}
{approach_text()}
[[clearance]]
time = {said_at(flight, "departure")}
altitude_ft = 4000

[[clearance]]
time = {said_at(flight, "cleared")}
cleared = "XSKH/RW27"
altitude_ft = 3000

{headings}[[clearance]]
time = {said_at(flight, "cleared_again")}
cleared = "XSKH/RW27"
altitude_ft = 2600

{fixes_text(fly_over=("CALDU",))}"""
