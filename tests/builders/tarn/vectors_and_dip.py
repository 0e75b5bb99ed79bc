"""Flight 2: a heading, a direct, a leg held right, a late turn, vectors, a join half way, a dip, a missed approach."""

from __future__ import annotations

import datetime as dt
from statistics import fmean

from builders.tarn.air import Air, WindLayer
from builders.tarn.earth import Line, inverse, line_to
from builders.tarn.flight import Flight, needles
from builders.tarn.glide import vertical_full_scale_ft
from builders.tarn.lesson_text import MISSED_COURSE_DEG_MAG, approach_text, fixes_text, route_text, said_at
from builders.tarn.phases import at_the_apron, glidepath_met, taxi_out
from builders.tarn.pilot import Skill
from builders.tarn.places import FIXES, SKARHOLM_LPV, TARN_BAY_05, leg
from builders.tarn.recorder import Receiver, csv_text, record
from builders.tarn.sample import Sample, about_text
from builders.tarn.truth import Truth, truth_text

NAME, SEED = "vectors_and_dip", 22
_START = dt.datetime(2026, 4, 18, 9, 30, 0, 500_000, tzinfo=dt.UTC)
_AIR = Air(
    qnh_hpa=1009.0, oat_deg_c=11.0, station_ft=88.0,
    winds=(WindLayer(50.0, 310.0, 8.0), WindLayer(2000.0, 300.0, 12.0), WindLayer(5000.0, 290.0, 15.0)),
)  # fmt: skip
_SKILL = Skill(track_deg=1.0, heading_deg=0.9, altitude_ft=18.0, glide_ft=10.0, speed_kt=1.2)
_OFFSET_NM, _LATE_NM, _DIP_NEEDLE = 0.40, 0.50, -0.92
_DIP_NM = (3.6, 2.9, 2.6, 1.85)
_PREAMBLE = ("# An invented flight in the invented Tarn Islands. Not for navigation.",)


def build() -> Sample:
    """The finished sample."""
    flight, truth = at_the_apron(seed=SEED, start=_START, air=_AIR, skill=_SKILL), Truth()
    final_line = leg("FERNU", "RW27")
    _departure(flight, truth)
    _held_right(flight, truth)
    _late_turn(flight, truth)
    _vectors(flight, truth)
    _final(flight, truth, final_line)
    _missed(flight, truth)
    rows = record(flight.log, SEED, Receiver())
    return Sample(
        name=NAME,
        flight=flight,
        rows=rows,
        truth=truth,
        files={
            "track.csv": csv_text(rows, _PREAMBLE),
            "lesson.toml": _lesson(flight),
            "truth.toml": truth_text(NAME, flight, truth, aircraft="single, climb 85, cruise 105, approach 90 KIAS"),
            "ABOUT.md": about_text(
                NAME,
                SEED,
                "From Tarn Bay on an assigned heading, then direct CALDU; a leg held 0.4 NM right, a turn begun\n"
                "late, vectors onto the final course half way to FERNU, a low dip, the missed approach.",
            ),
        },
    )


def _departure(flight: Flight, truth: Truth) -> None:
    taxi_out(flight)
    flight.say("departure")
    flight.take_off(TARN_BAY_05, climb_to_ft=3000.0)
    flight.track(leg("XTBN", "BRAKO"), "leg", "XTBN-BRAKO")
    flight.go(lambda: flight.aircraft.indicated_ft > 550.0)
    truth.plant("heading", heading_deg_mag=20.0, said=flight.said["departure"], turn_begun=flight.now)
    flight.fly_heading(20.0)
    flight.go_for(200.0)
    flight.say("direct")
    flight.go_for(5.0)
    truth.plant("direct", to="CALDU", said=flight.said["direct"], turn_begun=flight.now, skipped="BRAKO")
    flight.climb(5000.0)

    def cruise() -> None:
        flight.pilot.ias_kt = 105.0

    flight.when(lambda: flight.aircraft.indicated_ft > 4900.0, cruise)
    to_caldu = flight.fly_direct(FIXES["CALDU"], "CALDU")
    flight.fly_by("CALDU", to_caldu, leg("CALDU", "NORVI"), "CALDU-NORVI")


def _held_right(flight: Flight, truth: Truth) -> None:
    inbound, outbound = leg("CALDU", "NORVI"), leg("NORVI", "SELKA")
    hold = flight.track(inbound, "leg", "CALDU-NORVI")
    flight.go(lambda: flight.to_go_nm(inbound) < 12.2)
    hold.offset_nm, hold.cut_deg_per_nm = _OFFSET_NM, 90.0
    flight.go(lambda: abs(flight.off_nm(inbound) - _OFFSET_NM) < 0.02)
    flight.go_for(15.0)
    begun = flight.now
    flight.go(lambda: flight.to_go_nm(inbound) < 2.6)
    ended = flight.now
    hold.offset_nm = 0.0
    held = [second.cross_track_nm or 0.0 for second in flight.log if begun <= second.time <= ended]
    truth.plant(
        "offset", leg="CALDU-NORVI", from_=begun, to=ended, cross_track_nm=fmean(held),
        lowest_nm=min(held), highest_nm=max(held),
    )  # fmt: skip
    flight.fly_by("NORVI", inbound, outbound, "NORVI-SELKA")


def _late_turn(flight: Flight, truth: Truth) -> None:
    inbound, outbound = leg("NORVI", "SELKA"), leg("SELKA", "HOLMA")
    flight.go(lambda: flight.to_go_nm(inbound) < 7.0)
    flight.say("descend")
    flight.go_for(6.0)
    flight.climb(3000.0, rate_fpm=500.0)
    flight.fly_by("SELKA", inbound, outbound, "SELKA-HOLMA", late_nm=_LATE_NM, max_cut_deg=40.0)
    turn = flight.turns[-1]
    truth.plant(
        "late-turn", fix="SELKA", turn_begun=turn.start, lead_nm=turn.lead_nm, expected_lead_nm=turn.expected_lead_nm,
        late_nm=turn.expected_lead_nm - turn.lead_nm,
    )  # fmt: skip


def _vectors(flight: Flight, truth: Truth) -> None:
    inbound, intermediate = leg("SELKA", "HOLMA"), leg("HOLMA", "FERNU")
    flight.go(lambda: flight.to_go_nm(inbound) < 6.6)
    flight.say("first_vector")
    flight.go_for(5.0)
    truth.plant("vectors", heading_deg_mag=20.0, said=flight.said["first_vector"], turn_begun=flight.now)
    flight.fly_heading(20.0, turn="right")
    flight.pilot.ias_kt = 95.0
    flight.go(lambda: flight.off_nm(intermediate) > -3.35)
    flight.say("second_vector")
    flight.go_for(5.0)
    truth.plant("vectors", heading_deg_mag=300.0, said=flight.said["second_vector"], turn_begun=flight.now)
    flight.fly_heading(300.0, turn="left")
    flight.climb(2600.0, rate_fpm=500.0)
    flight.go_for(60.0)
    flight.say("cleared")
    flight.join(intermediate, "HOLMA-FERNU", cut_deg_per_nm=90.0)
    truth.plant(
        "join", leg="HOLMA-FERNU", turn_begun=flight.now, to_faf_nm=flight.to_go_nm(intermediate),
        said=flight.said["cleared"], heading_deg_mag=300.0,
    )  # fmt: skip
    flight.go(lambda: flight.settled_on(intermediate))
    truth.planted[-1]["on_course"] = flight.now


def _final(flight: Flight, truth: Truth, final_line: Line) -> None:
    final, intermediate = SKARHOLM_LPV, leg("HOLMA", "FERNU")
    flight.climb(2000.0, rate_fpm=500.0, ias_kt=90.0)
    flight.go(lambda: flight.to_go_nm(intermediate) <= 0.0)
    flight.track(final_line, "leg", "FERNU-RW27", cut_deg_per_nm=120.0)
    flight.go(lambda: glidepath_met(flight, final, final_line))
    flight.descend_on(final, final_line)
    flight.pilot.glide_offset_ft = _dip_ft
    flight.go(lambda: flight.aircraft.indicated_ft <= final.da_ft)
    dip = [(needles(second, final, final_line)[2], second.time) for second in flight.log if second.leg == "FERNU-RW27"]
    low = [time for needle, time in dip if needle < -0.75]
    worst, at_worst = min(dip)
    truth.plant(
        "low-dip", leg="FERNU-RW27", vertical_needle=worst, at=at_worst, beyond_from=low[0], beyond_to=low[-1],
        beyond_s=float(len(low)),
    )  # fmt: skip


def _dip_ft(to_go_nm: float) -> float:
    """The planted dip: a trapezium in needle over distance to go. [ft]"""
    out, bottom, bottom_end, back = _DIP_NM
    down = min((out - to_go_nm) / (out - bottom), 1.0, (to_go_nm - back) / (bottom_end - back))
    return max(down, 0.0) * _DIP_NEEDLE * vertical_full_scale_ft(SKARHOLM_LPV, to_go_nm)


def _missed(flight: Flight, truth: Truth) -> None:
    tovik = line_to(FIXES["TOVIK"], MISSED_COURSE_DEG_MAG + flight.variation_at(FIXES["TOVIK"]), 8.0)
    flight.go_around(3000.0)
    flight.go(lambda: flight.aircraft.vertical_speed_fpm >= 0.0)
    lowest = min(flight.log, key=lambda second: second.indicated_ft if second.leg == "FERNU-RW27" else 1e9)
    started = flight.now
    flight.track(tovik, "missed", "RW27-TOVIK", cut_deg_per_nm=90.0)
    flight.go(lambda: flight.to_go_nm(tovik) <= 0.0)
    flight.go_for(1.0)
    truth.plant("missed", started=started, lowest_ft=lowest.indicated_ft, turn_to_ostra=flight.now)
    flight.fly_direct(FIXES["OSTRA"], "OSTRA", "missed")
    ostra = FIXES["OSTRA"]
    flight.go(lambda: inverse(flight.aircraft.position, ostra)[0] < 0.05)
    truth.outcome = {
        "approach": "missed", "airport": "XSKH", "runway": "RW27", "started": started,
        "lowest_ft": lowest.indicated_ft, "ended_ft": flight.aircraft.indicated_ft,
    }  # fmt: skip


def _lesson(flight: Flight) -> str:
    return f"""# Invented flight in invented islands. Not for navigation.

[lesson]
title = "Lesson 11: vectors to an LPV, and the missed approach"
date = {_START:%Y-%m-%d}
student = "S-014"
instructor = "I-03"
standard = "faa-instrument"
objective = [
  {{ task = "vectors to final", standard = "established before FERNU" }},
  {{ task = "LPV", standard = "both needles within half scale from FERNU" }},
  {{ task = "missed approach", standard = "climb at the decision altitude, then TOVIK and OSTRA" }},
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
[[clearance]]                   # before take-off
time = {said_at(flight, "departure")}
heading_deg_mag = 20
altitude_ft = 3000

[[clearance]]
time = {said_at(flight, "direct")}
direct = "CALDU"
altitude_ft = 5000

[[clearance]]
time = {said_at(flight, "descend")}
altitude_ft = 3000

[[clearance]]
time = {said_at(flight, "first_vector")}
heading_deg_mag = 20
turn = "right"

[[clearance]]
time = {said_at(flight, "second_vector")}
heading_deg_mag = 300
turn = "left"
altitude_ft = 2600
until = "final"                 # vectors to the final approach course

[[clearance]]
time = {said_at(flight, "cleared")}
cleared = "XSKH/RW27"
altitude_ft = 2600              # maintain until established

[[remark]]
text = "Missed approach as planned: the runway was not to be seen."

{fixes_text()}"""
