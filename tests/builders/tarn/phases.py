"""Stretches of a flight that every script flies the same way: out to the runway, down the glidepath, off the runway."""

from __future__ import annotations

import datetime as dt

from builders.tarn.air import Air
from builders.tarn.earth import Line
from builders.tarn.flight import Flight, beside, needles
from builders.tarn.glide import path_ft
from builders.tarn.pilot import Skill
from builders.tarn.places import SKARHOLM_27, TARN_BAY_05, Final


def at_the_apron(*, seed: int, start: dt.datetime, air: Air, skill: Skill) -> Flight:
    """A flight that begins parked at Tarn Bay."""
    runway = TARN_BAY_05
    return Flight(
        seed=seed, start=start, air=air, skill=skill,
        parked=beside(runway.threshold, runway.course_deg_true, 900.0, 500.0),
        heading=(runway.course_deg_true + 270.0) % 360.0, elevation_ft=runway.elevation_ft,
    )  # fmt: skip


def taxi_out(flight: Flight) -> None:
    """From the apron to the threshold of runway 05."""
    runway = TARN_BAY_05
    flight.wait(40.0)
    flight.taxi(
        [
            beside(runway.threshold, runway.course_deg_true, 900.0, 250.0),
            beside(runway.threshold, runway.course_deg_true, 30.0, 250.0),
        ]
    )
    flight.wait(30.0)
    flight.taxi([beside(runway.threshold, runway.course_deg_true, 60.0, 0.0)])


def glidepath_met(flight: Flight, final: Final, line: Line) -> bool:
    """Whether the path has come down to 25 ft above the aircraft: time to begin down it."""
    return path_ft(final, flight.to_go_nm(line)) - flight.aircraft.true_ft <= 25.0


def taxi_in(flight: Flight) -> None:
    """Off runway 27 to the right, to a stop."""
    course = SKARHOLM_27.course_deg_true
    rolled_ft = 2900.0
    flight.taxi(
        [
            beside(SKARHOLM_27.threshold, course, rolled_ft, 60.0),
            beside(SKARHOLM_27.threshold, course, rolled_ft + 50.0, 300.0),
            beside(SKARHOLM_27.threshold, course, rolled_ft - 700.0, 450.0),
        ]
    )
    flight.wait(40.0)


def worst_on_final(flight: Flight, final: Final, line: Line) -> dict[str, float]:
    """The largest needles between the final approach fix and the minimum (true state, glidepath met)."""
    lateral = vertical = 0.0
    for second in flight.log:
        if second.leg != "FERNU-RW27":
            continue
        to_go_nm, across, up = needles(second, final, line)
        if second.indicated_ft > final.da_ft and to_go_nm < final.faf_nm - 0.3:
            lateral, vertical = max(lateral, across, key=abs), max(vertical, up, key=abs)
    return {"lateral_needle": lateral, "vertical_needle": vertical}
