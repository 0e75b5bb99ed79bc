"""Figures by leg, crossings of fixes, turns and instructions."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from legwise.model.alignment import FlownTurn
from legwise.model.plan import AltitudeWindow
from legwise.model.results import Finding, Verdict

Build = Callable[..., Any]
START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
AT_OR_ABOVE = AltitudeWindow(low_ft=2000.0)


def test_leg_figures_take_every_sample_with_a_value(flight: Build) -> None:
    # 0, 0.01, ... 0.99 NM left, then nothing known: closed forms of an arithmetic series.
    cross_track = np.full(200, np.nan)
    cross_track[:100] = -np.arange(100) / 100
    in_turn = np.arange(200) < 20
    (leg,) = flight(cross_track_nm=cross_track, in_turn=in_turn).assess().legs
    figures = leg.cross_track_nm
    assert figures.mean == pytest.approx(-0.495)
    assert figures.rms == pytest.approx(np.sqrt(99 * 199 / 6) / 100)
    assert figures.p95_abs == pytest.approx(0.9405)
    assert figures.max_abs == pytest.approx(0.99)
    assert figures.at_max == START + dt.timedelta(seconds=99)
    assert (leg.start, leg.end) == (START, START + dt.timedelta(seconds=199))
    assert (leg.from_, leg.to, leg.kind) == ("BRAKO", "CALDU", "TF")


def test_a_leg_without_values_has_no_figures(flight: Build) -> None:
    (leg,) = flight().assess().legs
    assert leg.cross_track_nm.max_abs is None
    assert leg.altitude_error_ft.at_max is None


def crossing(on_final: Build, altitude_ft: float, window: AltitudeWindow, **said: Any) -> list[Finding]:
    to_go = np.concatenate([np.linspace(1.5, 0.01, 50), np.linspace(5.0, 0.0, 150)])
    parts = on_final(
        approach={"da_ft": 300.0, "faf_altitude": window},
        altitude_ft=np.concatenate([np.full(50, altitude_ft), np.linspace(altitude_ft, 100.0, 150)]),
        along_track_to_go_nm=to_go,
        lateral_needle=0.0,
        vertical_needle=0.0,
        **said,
    )
    found: list[Finding] = parts.findings("crossing altitude")
    return found


# FAA-S-ACS-8C ±100 ft laid about the published altitude, on the side that is published; room on the open side is 0.
@pytest.mark.parametrize(
    ("altitude_ft", "window", "verdict", "worst"),
    [
        (1900.0, AT_OR_ABOVE, Verdict.WITHIN, -100.0),
        (1899.0, AT_OR_ABOVE, Verdict.OUTSIDE, -101.0),
        (2600.0, AT_OR_ABOVE, Verdict.WITHIN, 0.0),
        (2101.0, AltitudeWindow(high_ft=2000.0), Verdict.OUTSIDE, 101.0),
        (1500.0, AltitudeWindow(high_ft=2000.0), Verdict.WITHIN, 0.0),
        (2101.0, AltitudeWindow(low_ft=2000.0, high_ft=2000.0), Verdict.OUTSIDE, 101.0),
        (2950.0, AltitudeWindow(low_ft=2000.0, high_ft=3000.0), Verdict.WITHIN, 0.0),
        (3150.0, AltitudeWindow(low_ft=2000.0, high_ft=3000.0), Verdict.OUTSIDE, 150.0),
    ],
)
def test_a_fix_with_a_published_altitude(
    on_final: Build, altitude_ft: float, window: AltitudeWindow, verdict: Verdict, worst: float
) -> None:
    (found,) = crossing(on_final, altitude_ft, window)
    assert (found.fix, found.verdict, found.limit, found.task) == ("FERNU", verdict, 100.0, "IR.VI.B.S9")
    assert found.worst == pytest.approx(worst)
    assert found.at_worst == START + dt.timedelta(seconds=49)


def test_a_crossing_inside_the_doubt_is_undecided(on_final: Build) -> None:
    (found,) = crossing(on_final, 1880.0, AT_OR_ABOVE, doubt_ft=75.0)
    assert found.verdict is Verdict.UNDECIDED


def test_a_published_altitude_does_not_bind_before_the_aircraft_is_established(on_final: Build) -> None:
    assert crossing(on_final, 1500.0, AT_OR_ABOVE, established=False) == []


def test_a_fix_that_was_not_reached_was_not_crossed(on_final: Build) -> None:
    parts = on_final(
        approach={"da_ft": 300.0, "faf_altitude": AT_OR_ABOVE},
        altitude_ft=1500.0,
        along_track_to_go_nm=3.0,
        lateral_needle=0.0,
        vertical_needle=0.0,
    )
    assert parts.findings("crossing altitude") == []


def test_the_first_fix_of_an_approach_is_crossed_at_the_start_of_its_first_leg(on_final: Build) -> None:
    parts = on_final(
        approach={"da_ft": 300.0, "if_altitude": AltitudeWindow(low_ft=3000.0)},
        altitude_ft=np.linspace(2800.0, 100.0, 200),
        along_track_to_go_nm=np.nan,
        lateral_needle=0.0,
        vertical_needle=0.0,
    )
    found = parts.finding("crossing altitude")
    assert (found.fix, found.verdict, found.worst) == ("HOLMA", Verdict.OUTSIDE, pytest.approx(-200.0))
    parts.legs = (dataclasses.replace(parts.legs[0], joined_part_way=True), parts.legs[1])
    assert parts.findings("crossing altitude") == []


def test_an_altitude_said_for_a_fix_is_judged_there(flight: Build, said: Build) -> None:
    parts = flight(
        altitude_ft=4000.0,
        along_track_to_go_nm=np.interp(np.arange(200), [0, 149, 199], [6.0, 0.0, -2.0]),
        instructions=(said(10, crossing={"fix": "CALDU", "at_or_above_ft": 4200}),),
        lateral_needle=0.0,
    )
    parts.legs = (dataclasses.replace(parts.alignment.legs[0], stop=150),)
    found = parts.finding("crossing altitude")
    assert (found.fix, found.worst, found.verdict) == ("CALDU", pytest.approx(-200.0), Verdict.OUTSIDE)


def test_instructions_keep_the_lessons_own_keys(flight: Build, said: Build) -> None:
    parts = flight(instructions=(said(10, heading_deg_mag=250, altitude_ft=4000),))
    (clearance,) = parts.assess().clearances
    assert clearance.values == {"heading_deg_mag": 250, "altitude_ft": 4000}
    assert (clearance.kind, clearance.origin) == ("heading", "said")
    assert clearance.time == START + dt.timedelta(seconds=10)


def test_turns_are_told_as_they_were(flight: Build) -> None:
    at_s = START.timestamp() + 60
    turn = FlownTurn(
        fix="CALDU",
        at_s=at_s,
        from_course_deg_true=0.0,
        to_course_deg_true=90.0,
        lead_nm=-0.2,
        expected_lead_nm=0.3,
        start_s=at_s + 8,
        end_s=at_s + 40,
        start=68,
        stop=100,
    )
    (result,) = flight(turns=(turn,)).assess().turns
    assert (result.fix, result.lead_nm, result.expected_lead_nm) == ("CALDU", -0.2, 0.3)
    assert result.at == START + dt.timedelta(seconds=60)


def test_a_flight_with_nothing_owed_has_no_findings(flight: Build) -> None:
    assessment = flight(legs=(), altitude_ft=3000.0).assess()
    assert (assessment.findings, assessment.legs, assessment.approaches) == ((), (), ())


def test_every_finding_names_its_limit_source_and_place(on_final: Build) -> None:
    parts = on_final(
        approach={"da_ft": 300.0},
        altitude_ft=np.linspace(2000.0, 100.0, 200),
        vertical_speed_fpm=-570.0,
        lateral_needle=0.2,
        vertical_needle=-0.1,
        assigned_ft=np.where(np.arange(200) < 20, 2000.0, np.nan),
    )
    findings = parts.assess().findings
    assert [item.id for item in findings] == [f"F{number}" for number in range(1, len(findings) + 1)]
    for item in findings:
        assert item.standard == "FAA-S-ACS-8C"
        assert item.source
        assert item.reason.endswith(".")
        assert item.from_ <= item.to
        assert item.segment
