"""Flight 3: a recorder with positions and GNSS heights only, and a lesson in which nothing was said."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from builders.tarn.air import Air, WindLayer
from builders.tarn.flight import Flight
from builders.tarn.lesson_text import approach_text, fixes_text, route_text
from builders.tarn.phases import at_the_apron, glidepath_met, taxi_in, taxi_out, worst_on_final
from builders.tarn.pilot import Skill
from builders.tarn.places import FIXES, SKARHOLM_LPV, TARN_BAY_05, leg
from builders.tarn.recorder import Receiver, gpx_text, record
from builders.tarn.sample import Sample, about_text
from builders.tarn.truth import Truth, truth_text

NAME, SEED = "nothing_said", 33
_START = dt.datetime(2026, 4, 25, 16, 5, tzinfo=dt.UTC)
_AIR = Air(
    qnh_hpa=1021.0, oat_deg_c=14.0, station_ft=88.0,
    winds=(WindLayer(50.0, 340.0, 6.0), WindLayer(2000.0, 350.0, 9.0), WindLayer(5000.0, 5.0, 13.0)),
)  # fmt: skip
_SKILL = Skill(track_deg=1.0, heading_deg=0.9, altitude_ft=18.0, glide_ft=10.0, speed_kt=1.2)


def build() -> Sample:
    """The finished sample."""
    flight, truth = at_the_apron(seed=SEED, start=_START, air=_AIR, skill=_SKILL), Truth()
    final_line = leg("FERNU", "RW27")
    _route(flight, truth)
    _vectors(flight, truth)
    _land(flight)
    taxi_in(flight)
    landed = next(second.time for second in reversed(flight.log) if second.guidance == "leg")
    truth.outcome = {
        "approach": "landed", "airport": "XSKH", "runway": "RW27", "touchdown": landed,
        **worst_on_final(flight, SKARHOLM_LPV, final_line),
    }  # fmt: skip
    rows = record(flight.log, SEED, Receiver(horizontal_m=2.5, vertical_m=4.5))
    return Sample(
        name=NAME,
        flight=flight,
        rows=rows,
        truth=truth,
        files={
            "track.gpx": gpx_text(rows, "Tarn Bay to Skarholm"),
            "lesson.toml": _lesson(),
            "truth.toml": truth_text(NAME, flight, truth, aircraft="single, climb 85, cruise 105, approach 90 KIAS"),
            "ABOUT.md": about_text(
                NAME,
                SEED,
                "A portable logger's track and a lesson without a word of what was said: a direct that skips a fix,\n"
                "two vectors onto the final course, a landing; all to be worked out from the track and asked about.",
            ),
        },
    )


def _route(flight: Flight, truth: Truth) -> None:
    taxi_out(flight)
    flight.take_off(TARN_BAY_05, climb_to_ft=5000.0)
    names = ("XTBN", "BRAKO", "CALDU", "NORVI")
    lines = [leg(a, b) for a, b in pairwise(names)]
    flight.track(lines[0], "leg", "XTBN-BRAKO")

    def cruise() -> None:
        flight.pilot.ias_kt = 105.0

    flight.when(lambda: flight.aircraft.indicated_ft > 4900.0, cruise)
    flight.fly_by("BRAKO", lines[0], lines[1], "BRAKO-CALDU")
    flight.fly_by("CALDU", lines[1], lines[2], "CALDU-NORVI")
    flight.go(lambda: flight.to_go_nm(lines[2]) < 7.5)
    truth.plant("direct", to="SELKA", turn_begun=flight.now, skipped="NORVI", leg="CALDU-NORVI")
    to_selka = flight.fly_direct(FIXES["SELKA"], "SELKA")
    flight.go(lambda: flight.to_go_nm(to_selka) < 5.0)
    flight.climb(3000.0, rate_fpm=500.0)
    flight.fly_by("SELKA", to_selka, leg("SELKA", "HOLMA"), "SELKA-HOLMA")


def _vectors(flight: Flight, truth: Truth) -> None:
    inbound, intermediate = leg("SELKA", "HOLMA"), leg("HOLMA", "FERNU")
    flight.go(lambda: flight.to_go_nm(inbound) < 7.2)
    truth.plant("vectors", heading_deg_mag=40.0, turn_begun=flight.now)
    flight.fly_heading(40.0, turn="right")
    flight.pilot.ias_kt = 95.0
    flight.go(lambda: flight.off_nm(intermediate) > -4.0)
    truth.plant("vectors", heading_deg_mag=310.0, turn_begun=flight.now)
    flight.fly_heading(310.0, turn="left")
    flight.climb(2600.0, rate_fpm=500.0)
    flight.join(intermediate, "HOLMA-FERNU", cut_deg_per_nm=90.0)
    truth.plant("join", leg="HOLMA-FERNU", turn_begun=flight.now, to_faf_nm=flight.to_go_nm(intermediate))
    flight.go(lambda: flight.settled_on(intermediate))
    truth.planted[-1]["on_course"] = flight.now


def _land(flight: Flight) -> None:
    final_line, intermediate = leg("FERNU", "RW27"), leg("HOLMA", "FERNU")
    flight.climb(2000.0, rate_fpm=500.0, ias_kt=90.0)
    flight.go(lambda: flight.to_go_nm(intermediate) <= 0.0)
    flight.track(final_line, "leg", "FERNU-RW27", cut_deg_per_nm=120.0)
    flight.go(lambda: glidepath_met(flight, SKARHOLM_LPV, final_line))
    flight.descend_on(SKARHOLM_LPV, final_line)
    flight.land(SKARHOLM_LPV, final_line)


def _lesson() -> str:
    return f"""# Invented flight in invented islands. Not for navigation.
# Nothing of what was said is written here: the debrief works it out from the track, and asks.

[lesson]
title = "Lesson 12: the route again, nothing noted"
date = {_START:%Y-%m-%d}
student = "S-014"
instructor = "I-03"

[altimetry]
qnh_hpa = {_AIR.qnh_hpa:.0f}
oat_deg_c = {_AIR.oat_deg_c:.0f}                  # at Skarholm

[aircraft]
approach_ias_kt = 90

{route_text(5000)}
{approach_text()}
{fixes_text()}"""
