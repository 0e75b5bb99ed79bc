"""The builder of flights for the alignment, held to geometry worked out apart from it with GeographicLib.

Nothing of the package is asked here but whether it can read what was written.
"""

from __future__ import annotations

import itertools
import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from pygeomag import GeoMag

import legwise
from builders.flights.built import BuiltFlight, build
from builders.flights.flyer import Moment
from builders.flights.registry import KEPT_OUT, flight, kept_out, kinds
from builders.flights.world import world

M_PER_NM = 1852.0
Place = tuple[float, float]


@cache
def flown(kind: str, seed: int = 0, skill: str | None = None) -> BuiltFlight:
    """A flight; with a skill that was asked for, told with everything said."""
    if skill is None:
        return flight(kind, seed)
    return build(kinds()[kind].tell(world(kind, seed, skill=skill)), "complete")


def fixes(built: BuiltFlight) -> dict[str, Place]:
    """Fixes and thresholds by name, out of the text of the lesson."""
    lesson: dict[str, Any] = tomllib.loads(built.lesson)
    runways = [approach["runway"] for approach in lesson.get("approach", [])]
    return {fix["ident"]: (fix["lat_deg"], fix["lon_deg"]) for fix in [*lesson["fix"], *runways]}


def position(built: BuiltFlight, moment: Moment) -> Place:
    return built.world.plane.position(moment.place)


def apart(one: Place, other: Place) -> tuple[float, float]:
    """Distance [nm] and azimuth at ``one`` [deg true]."""
    found = Geodesic.WGS84.Inverse(*one, *other)
    return found["s12"] / M_PER_NM, found["azi1"]


def across(place: Place, start: Place, end: Place) -> float:
    """Cross-track, right positive, by the right spherical triangle on geodesic distance and azimuths. [nm]"""
    away, toward = apart(start, place)
    _, course = apart(start, end)
    return 3440.07 * math.asin(math.sin(away / 3440.07) * math.sin(math.radians(toward - course)))


def stretches(built: BuiltFlight) -> list[tuple[str, str, list[Moment]]]:
    """Moments in runs of the same label."""
    runs = itertools.groupby(built.moments, key=lambda moment: (moment.guidance, moment.leg))
    return [(*label, list(run)) for label, run in runs]


def wrapped(angle_deg: float) -> float:
    return (angle_deg + 180.0) % 360.0 - 180.0


def test_kinds_and_those_kept_out() -> None:
    assert len(kinds()) >= 24
    assert kept_out() == KEPT_OUT
    assert len(KEPT_OUT) == len(kinds()) // 4


@pytest.mark.parametrize("kind", ["full route", "vectors to final only", "hold broken off", "DME arc"])
def test_a_seed_gives_the_same_flight_again(kind: str) -> None:
    one, other = flight(kind, 4), flight(kind, 4)

    assert (one.csv, one.lesson) == (other.csv, other.lesson)
    assert one.leg.tolist() == other.leg.tolist()
    assert flight(kind, 5).csv != one.csv


@pytest.mark.parametrize("kind", ["full route", "procedure turn", "two approaches", "recorder paused", "fix skipped"])
def test_the_package_reads_what_was_written(kind: str, tmp_path: Path) -> None:
    built = flown(kind, 1)
    built.write(tmp_path)

    lesson = legwise.read_lesson(tmp_path / "lesson.toml")
    track = legwise.read_track(tmp_path / "track.csv", lesson=lesson)
    assert len(track) == len(built.rows.t)


@pytest.mark.parametrize("seed", range(4))
def test_a_tight_pilot_is_on_the_leg_that_is_named(seed: int) -> None:
    """Within 0.1 NM from a minute after its start (the turn onto it) to 40 s before its end."""
    built = flown("full route", seed, "tight")
    places = fixes(built)
    judged = 0
    for guidance, leg, moments in stretches(built):
        if guidance != "leg":
            continue
        start, end = (places[ident] for ident in leg.split("-"))
        first = 90.0 if moments[0].t < 200.0 else 60.0
        for moment in moments[::10]:
            if moments[0].t + first < moment.t < moments[-1].t - 40.0:
                assert abs(across(position(built, moment), start, end)) < 0.1, (leg, moment.t)
                judged += 1
    assert judged > 100


@pytest.mark.parametrize("kind", ["full route", "hold at a route fix, timed", "procedure turn", "circling"])
def test_turns_are_standard_ones(kind: str) -> None:
    built = flown(kind, 2)
    air = [moment for moment in built.moments if moment.phase != "ground" and moment.scored]
    rates = [abs(wrapped(b.heading - a.heading)) / (b.t - a.t) for a, b in itertools.pairwise(air) if b.t - a.t < 0.6]

    assert max(rates) <= 3.5
    assert max(rates) > 1.0


def test_a_leg_changes_on_the_bisector() -> None:
    """As far from the one line as from the other, and on the same side of the turn."""
    built = flown("full route", 3)
    places = fixes(built)
    found = 0
    for (_, before, _), (_, after, moments) in itertools.pairwise(stretches(built)):
        if "-" not in before or "-" not in after or "|" in before:
            continue
        (a, b), (_, c) = before.split("-"), after.split("-")
        here = position(built, moments[0])
        one, other = across(here, places[a], places[b]), across(here, places[b], places[c])
        assert abs(abs(one) - abs(other)) < 0.05, (before, after)
        found += 1
    assert found >= 3


def test_a_heading_is_the_one_that_was_said() -> None:
    """By the recorded magnetic heading at the end of the stretch, and by the model of variation asked apart."""
    built = flown("headings, one written wrong", 1)
    headings = [item for item in built.truth.instructions if item.kind == "heading"]
    model = GeoMag(coefficients_file="wmm/WMM_2025.COF")
    for item, following in zip(headings, [*headings[1:], None], strict=True):
        assert item.effect is not None
        end = following.effect if following and following.effect else item.effect + 80.0
        held = (built.rows.t > end - 25.0) & (built.rows.t < end - 2.0)
        away = [wrapped(h - item.values["heading_deg_mag"]) for h in built.rows.heading_deg_mag[held]]
        assert abs(float(np.median(away))) < 4.0
        moment = next(moment for moment in built.moments if moment.t >= end - 15.0)
        lat, lon = position(built, moment)
        variation = float(model.calculate(glat=lat, glon=lon, alt=0, time=2026.3).d)
        true = built.world.plane.true_of(moment.heading, moment.place)
        assert abs(wrapped(true - variation - item.values["heading_deg_mag"])) < 6.0


@pytest.mark.parametrize("seed", range(3))
def test_circuits_of_a_hold(seed: int) -> None:
    """Each begins and ends at the fix, turns once round to its side, and has a minute or so outbound."""
    built = flown("hold at a route fix, timed", seed)
    places = fixes(built)
    (held,) = built.truth.holds
    side = 1.0 if held["turn"] == "right" else -1.0
    assert held["entry"] == ("direct", "teardrop", "parallel")[seed]
    assert held["circuits"]
    for circuit in held["circuits"]:
        moments = [moment for moment in built.moments if circuit["start"] <= moment.t <= circuit["end"]]
        for end in (moments[0], moments[-1]):
            assert apart(position(built, end), places[held["fix"]])[0] < 0.35
        turned = sum(wrapped(b.heading - a.heading) for a, b in itertools.pairwise(moments))
        if circuit is not held["circuits"][0] or held["entry"] != "direct":  # which begins on the way of arrival
            assert turned * side == pytest.approx(360.0, abs=45.0)
        assert 20.0 <= circuit["outbound_s"] <= 135.0
        assert circuit["inbound_s"] > 10.0


@pytest.mark.parametrize("seed", range(3))
def test_a_direct_leads_to_its_fix(seed: int) -> None:
    built = flown("direct to a later fix", seed, "tight")
    places = fixes(built)
    (direct,) = [(leg, moments) for guidance, leg, moments in stretches(built) if guidance == "direct"]
    leg, moments = direct
    start = position(built, moments[0])
    for moment in moments[120:-80:20]:
        assert abs(across(position(built, moment), start, places[leg[1:]])) < 0.2


def test_an_arc_keeps_its_distance() -> None:
    built = flown("DME arc", 0)
    lesson = tomllib.loads(built.lesson)
    arc = next(leg for leg in lesson["approach"][0]["leg"] if leg["path"] == "AF")
    station = fixes(built)[arc["centre"]]
    (moments,) = [moments for guidance, _, moments in stretches(built) if guidance == "arc"]
    away = [apart(position(built, moment), station)[0] for moment in moments[80:-60:10]]

    assert np.abs(np.array(away) - arc["radius_nm"]).max() < 0.35


def test_a_pause_is_not_scored() -> None:
    built = flown("recorder paused", 1)
    still = np.flatnonzero(~built.scored)

    assert still.size > 5
    middle = still[2:-2]
    assert np.ptp(built.rows.lat_deg[middle[middle < still[0] + 5]]) < 1e-6
