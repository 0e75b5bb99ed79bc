"""At the minima: a landing needs references that no track shows; a go-around under Appendix 7; where the needles
end."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from legwise.model.lesson import Event
from legwise.model.results import Finding, Verdict

Build = Callable[..., Any]
LPV = {"da_ft": 300.0}
LNAV = {"guidance": "LNAV", "mda_ft": 500.0}
LANDING = np.linspace(2000.0, 100.0, 200)
"""One foot in ten a sample: 2000 ft at the first, 100 ft at the last."""


def visual(second: int, what: str = "visual") -> Event:
    return Event(time=dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC) + dt.timedelta(seconds=second), what=what)  # type: ignore[arg-type]


def at_minima(parts: Any) -> list[Finding]:
    return [item for item in parts.assess().findings if item.what in {"MDA", "DA"}]


@pytest.mark.parametrize("standard", ["faa-instrument", "easa-instrument"])
@pytest.mark.parametrize("approach", [LPV, LNAV], ids=["to a DA", "to an MDA"])
def test_a_landing_without_a_visual_event_is_not_recorded(
    on_final: Build, approach: dict[str, Any], standard: str
) -> None:
    parts = on_final(approach=approach, standard=standard, altitude_ft=LANDING, vertical_speed_fpm=-570.0)
    found = at_minima(parts)
    assert [item.verdict for item in found] == [Verdict.NOT_RECORDED]
    assert found[0].worst is None
    assert found[0].limit == 0.0
    assert "references" in found[0].reason
    minima_ft = approach.get("da_ft") or approach["mda_ft"]
    below = int(np.flatnonzero(minima_ft > LANDING)[0])
    assert (found[0].from_ - dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)).total_seconds() == below


@pytest.mark.parametrize("approach", [LPV, LNAV], ids=["to a DA", "to an MDA"])
def test_with_the_runway_in_sight_nothing_is_owed_below(on_final: Build, approach: dict[str, Any]) -> None:
    parts = on_final(approach=approach, altitude_ft=LANDING, vertical_speed_fpm=-570.0, events=(visual(120),))
    verdicts = {item.verdict for item in at_minima(parts)}
    assert Verdict.NOT_APPLICABLE in verdicts
    assert Verdict.NOT_RECORDED not in verdicts


def test_sight_that_was_lost_again_is_no_reference(on_final: Build) -> None:
    parts = on_final(
        approach=LPV, altitude_ft=LANDING, vertical_speed_fpm=-570.0, events=(visual(120), visual(150, "visual-lost"))
    )
    assert Verdict.NOT_RECORDED in {item.verdict for item in at_minima(parts)}


def test_sight_that_came_after_the_minimum_is_no_reference(on_final: Build) -> None:
    parts = on_final(approach=LPV, altitude_ft=LANDING, vertical_speed_fpm=-570.0, events=(visual(195),))
    assert Verdict.NOT_RECORDED in {item.verdict for item in at_minima(parts)}


def test_a_dip_below_the_mda_before_the_landing_still_counts(on_final: Build) -> None:
    # Down to 440 ft under an MDA of 500 ft, back to 520 ft, then to the runway.
    altitude = np.interp(np.arange(200), [0, 100, 120, 150, 199], [2000, 440, 520, 520, 100])
    speed = np.gradient(altitude) * 60
    parts = on_final(approach=LNAV, altitude_ft=altitude, vertical_speed_fpm=speed, doubt_ft=20.0)
    charge, descent = at_minima(parts)
    assert (charge.verdict, charge.limit) == (Verdict.OUTSIDE, 0.0)
    assert charge.worst == pytest.approx(-60.0)
    assert descent.verdict is Verdict.NOT_RECORDED


def test_below_the_mda_into_a_missed_approach_is_outside(on_final: Build) -> None:
    altitude = np.interp(np.arange(200), [0, 120, 199], [2000, 450, 2000])
    parts = on_final(
        approach=LNAV,
        altitude_ft=altitude,
        vertical_speed_fpm=np.gradient(altitude) * 60,
        outcome="missed",
        missed_start=120,
        doubt_ft=20.0,
    )
    (found,) = at_minima(parts)
    assert found.verdict is Verdict.OUTSIDE
    assert found.worst == pytest.approx(-50.0)
    assert "50 ft below the minimum" in found.reason


def missed_at(on_final: Build, lowest_ft: float, standard: str, fpm: float = -700.0) -> Any:
    altitude = np.concatenate(
        [np.linspace(lowest_ft + 1400, lowest_ft, 120), np.linspace(lowest_ft, lowest_ft + 800, 80)]
    )
    return on_final(
        approach=LPV,
        standard=standard,
        altitude_ft=altitude,
        vertical_speed_fpm=np.where(np.arange(200) < 120, fpm, 600.0),
        outcome="missed",
        missed_start=119,
    )


# Part-FCL Appendix 7: a go-around is started at DA +50/−0. 700 ft/min costs 32.8 ft with a second to react
# (VS·τ + VS²/(2·0.1 g)), so less than that below is undecided.
@pytest.mark.parametrize(
    ("lowest_ft", "verdict"),
    [
        (300.0 - 14, Verdict.UNDECIDED),
        (300.0 - 60, Verdict.OUTSIDE),
        (300.0 + 300, Verdict.NOT_APPLICABLE),
        (300.0 + 100, Verdict.OUTSIDE),
    ],
)
def test_a_go_around_under_easa(on_final: Build, lowest_ft: float, verdict: Verdict) -> None:
    (found,) = at_minima(missed_at(on_final, lowest_ft, "easa-instrument"))
    assert found.verdict is verdict
    assert found.worst == pytest.approx(lowest_ft - 300.0)
    assert found.uncertainty == pytest.approx(32.8, abs=0.1)


def test_there_is_no_foot_figure_at_the_da_under_faa(on_final: Build) -> None:
    parts = missed_at(on_final, 250.0, "faa-instrument")
    assert at_minima(parts) == []
    (missed,) = parts.assess().missed
    assert missed.started_ft == pytest.approx(250.0)
    assert not missed.before_map


def test_a_missed_approach_begun_above_the_da_is_before_its_point(on_final: Build) -> None:
    (missed,) = missed_at(on_final, 900.0, "faa-instrument").assess().missed
    assert missed.before_map
    assert (missed.approach, missed.turn_before_map) == (0, False)


def test_a_turn_before_the_point_is_told(on_final: Build) -> None:
    parts = missed_at(on_final, 900.0, "faa-instrument")
    parts.columns["track_deg_true"] = np.where(np.arange(200) < 140, 0.0, 40.0)
    (missed,) = parts.assess().missed
    assert missed.turn_before_map


def test_the_climb_is_the_mean_to_the_level_off(on_final: Build) -> None:
    # 10 ft/s for 60 s at 90 kt (1.5 NM) is 400 ft/NM; level afterwards.
    altitude = np.interp(np.arange(200), [0, 100, 160, 199], [1500, 300, 900, 900])
    parts = on_final(
        approach=LPV,
        altitude_ft=altitude,
        vertical_speed_fpm=np.gradient(altitude) * 60,
        outcome="missed",
        missed_start=100,
    )
    (missed,) = parts.assess().missed
    assert missed.climb_ft_per_nm == pytest.approx(400.0, rel=0.02)


def test_needles_end_at_the_decision_altitude(on_final: Build) -> None:
    # Full deflection after the DA of 300 ft (reached at sample 179) is nobody's concern.
    needle = np.where(LANDING >= 300.0, 0.1, 1.0)
    parts = on_final(
        approach=LPV, altitude_ft=LANDING, vertical_speed_fpm=-570.0, lateral_needle=needle, vertical_needle=needle
    )
    (result,) = parts.assess().approaches
    assert result.lateral_needle.max_abs == pytest.approx(0.1)
    assert result.vertical_needle.max_abs == pytest.approx(0.1)
    assert (result.minima_ft, result.outcome, result.lowest_altitude_ft) == (300.0, "landed", 100.0)


def test_the_vertical_needle_starts_where_the_glidepath_is_met(on_final: Build) -> None:
    # Level below the path past the final approach fix (sample 50), met at sample 80.
    needle = np.concatenate([np.linspace(-1.6, 0.0, 80), np.full(120, -0.2)])
    speed = np.where(np.arange(200) < 80, 0.0, -500.0)
    parts = on_final(
        approach=LPV, altitude_ft=LANDING, vertical_speed_fpm=speed, vertical_needle=needle, lateral_needle=0.0
    )
    (result,) = parts.assess().approaches
    assert result.vertical_needle.max_abs == pytest.approx(0.2)


def test_a_glidepath_held_before_the_fix_is_judged_from_the_fix(on_final: Build) -> None:
    # Steadily 0.3 high from before the fix: no sample of the final is near the middle, and all of them count.
    needle = np.concatenate([np.linspace(-1.0, 0.3, 40), np.full(160, 0.3)])
    parts = on_final(
        approach=LPV, altitude_ft=LANDING, vertical_speed_fpm=-570.0, vertical_needle=needle, lateral_needle=0.0
    )
    (result,) = parts.assess().approaches
    assert result.vertical_needle.p95_abs == pytest.approx(0.3)
    (found,) = parts.findings("vertical needle")
    assert (found.to - found.from_).total_seconds() > 120


def test_an_advisory_glidepath_above_an_mda_is_not_judged(on_final: Build) -> None:
    parts = on_final(
        approach={"guidance": "LNAV", "mda_ft": 500.0}, altitude_ft=LANDING, vertical_needle=0.9, lateral_needle=0.0
    )
    assert parts.findings("vertical needle") == []
    assert parts.assess().approaches[0].vertical_needle.max_abs is None
