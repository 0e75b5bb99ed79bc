"""Coded legs as legs of the plan: what each field means, whose variation is used, and what is refused.

What the fields mean is from memory of ARINC 424 and held against real records in ``test_real_procedures.py``; here each
meaning has one leg of the invented world, made by hand.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import Any, get_args

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import PlanError
from legwise.model.lesson import Lesson, PathTerminator
from legwise.model.navdata import CodedLeg, FixKey, Section
from legwise.model.plan import AltitudeWindow, Leg, LegPart
from legwise.plan.fixes.book import FixBook
from legwise.plan.legs.coded import coded_legs
from legwise.plan.legs.maker import LegMaker
from legwise.plan.variation import Variation
from plan.plan_world import REGION, STATIONS, World, coded_fix, coded_leg, key_of

DATE = dt.date(2026, 4, 18)
FIELD_DEG = -10.0
"""The aerodrome's variation of record. That of the station SKH is -12."""
SKH = key_of("SKH")
METRE = 1 / 1852.0


def made(
    *legs: CodedLeg,
    world: World | None = None,
    field: float | None = FIELD_DEG,
    by_station: bool = False,
    date: dt.date = DATE,
) -> tuple[tuple[Leg, ...], list[str]]:
    """The legs, and the notes."""
    maker = LegMaker(
        part=LegPart.APPROACH,
        prefix="A1.",
        book=FixBook(Lesson(), (), world or World()),
        variation=Variation(date),
        where="[[approach]] 1",
    )
    found = coded_legs(maker, legs, None, procedure="D27", airport_variation_deg=field, by_station=by_station)
    return found, maker.notes


def leg_of(*legs: CodedLeg, **more: Any) -> Leg:
    """The last of the legs."""
    return made(*legs, **more)[0][-1]


IF = coded_leg("IF", "BRAKO")


@pytest.mark.parametrize(
    ("by_station", "variation", "words"),
    [
        (False, FIELD_DEG, "D27: its magnetic courses go by the variation of record: the aerodrome 10.0° west."),
        (True, -12.0, "D27: its magnetic courses go by the variation of record: SKH 12.0° west."),
    ],
)
def test_a_magnetic_course_goes_by_the_aerodrome_or_in_a_conventional_approach_by_the_station(
    by_station: bool, variation: float, words: str
) -> None:
    """FAA AIM 1-1-17 b5(j)."""
    legs, notes = made(coded_leg("CF", "CALDU", course_deg=80.0, navaid=SKH), by_station=by_station)

    assert legs[0].course_deg_true == pytest.approx(80.0 + variation)
    assert legs[0].course_deg_mag == 80.0
    assert words in notes


def test_a_leg_without_a_station_keeps_the_last_one_named() -> None:
    with_station = coded_leg("CF", "CALDU", course_deg=80.0, navaid=SKH)

    legs, _notes = made(with_station, coded_leg("HM", "CALDU", course_deg=80.0, turn="left"), by_station=True)

    assert legs[1].course_deg_true == pytest.approx(68.0)


def test_where_no_variation_is_coded_the_model_is_taken_and_said() -> None:
    """WMM2025's official test value at 80 N 000 E on 2025-01-01: 1.28 east (NOAA NCEI and BGS)."""
    far_north = coded_fix(key_of("NORTH"), 80.0, 0.0)
    legs, notes = made(
        coded_leg("CF", "NORTH", course_deg=80.0), world=World(far_north), field=None, date=dt.date(2025, 1, 1)
    )

    assert legs[0].course_deg_true == pytest.approx(81.28, abs=0.006)
    assert any("the model where none is coded" in note for note in notes)


def test_a_course_coded_true_stays_true() -> None:
    leg = leg_of(coded_leg("CF", "CALDU", course_deg=80.0, is_true=True))

    assert leg.course_deg_true == 80.0
    assert leg.course_deg_mag == pytest.approx(90.0)


@pytest.mark.parametrize(("turn", "outbound", "side"), [("left", 216.0, "right"), ("right", 306.0, "left")])
def test_the_course_of_a_procedure_turn_is_that_of_its_45_degree_leg(turn: Any, outbound: float, side: str) -> None:
    """KCHS D03 codes 261.0 with a left turn for an outbound course of 216 (its final is 036): drawn on the right."""
    leg = leg_of(coded_leg("PI", "CALDU", course_deg=261.0, turn=turn, distance_nm=10.0))

    assert leg.reversal is not None
    assert leg.reversal.outbound_course_deg_mag == pytest.approx(outbound)
    assert leg.reversal.outbound_course_deg_true == pytest.approx(outbound + FIELD_DEG)
    assert (leg.reversal.turn, leg.reversal.limit_nm) == (side, 10.0)


def station_at(radial_mag: float, distance_nm: float) -> tuple[float, float]:
    lat, lon, variation = STATIONS["SKH"]
    point = Geodesic.WGS84.Direct(lat, lon, radial_mag + variation, distance_nm * 1852.0)
    return point["lat2"], point["lon2"]


def test_an_arc_begins_on_its_boundary_radial_where_no_fix_stands_before_it() -> None:
    end = coded_fix(key_of("TOARC"), *station_at(180.0, 10.0))
    arc = coded_leg("AF", "TOARC", navaid=SKH, rho_nm=10.0, theta_deg=180.0, course_deg=90.0, turn="right")

    leg = leg_of(arc, world=World(end))

    assert leg.path is not None
    assert leg.radius_nm == 10.0
    lat, lon = leg.path.point_along(np.zeros(1))
    start = station_at(90.0, 10.0)
    gap = Geodesic.WGS84.Inverse(float(lat[0]), float(lon[0]), *start)
    assert gap["s12"] < 0.1


def test_an_arc_is_about_the_dme_where_that_stands_apart() -> None:
    lat, lon, variation = STATIONS["SKH"]
    dme = FixKey(ident="APART", region=REGION, section=Section.VHF_NAVAID)
    station = coded_fix(dme, lat + 1.0, lon, "vor", variation_deg=variation, dme_lat_deg=lat, dme_lon_deg=lon)
    end = coded_fix(key_of("TOARC"), *station_at(180.0, 10.0))
    arc = coded_leg("AF", "TOARC", navaid=dme, rho_nm=10.0, course_deg=90.0, turn="right")

    leg = leg_of(arc, world=World(station, end))

    assert leg.centre is not None
    assert (leg.centre.lat_deg, leg.centre.kind) == (lat, "dme")


@pytest.mark.parametrize(
    ("leg", "end"),
    [
        (coded_leg("CD", "", course_deg=80.0, navaid=SKH, distance_nm=13.0), ("dme", 13.0, None)),
        (coded_leg("VD", "", course_deg=80.0, navaid=SKH, distance_nm=7.0), ("dme", 7.0, None)),
        (coded_leg("FD", "CALDU", course_deg=80.0, navaid=SKH, distance_nm=12.0), ("dme", 12.0, None)),
        (coded_leg("CR", "", course_deg=80.0, navaid=SKH, theta_deg=164.0), ("radial", None, 152.0)),
        (coded_leg("VR", "", course_deg=80.0, navaid=SKH, theta_deg=165.0), ("radial", None, 153.0)),
        (coded_leg("FC", "CALDU", course_deg=80.0, distance_nm=4.5), ("distance", 4.5, None)),
        (coded_leg("FM", "CALDU", course_deg=80.0), ("manual", None, None)),
        (coded_leg("VM", "", course_deg=80.0), ("manual", None, None)),
        (coded_leg("CI", "", course_deg=80.0), ("intercept", None, None)),
    ],
)
def test_how_a_coded_leg_ends(leg: CodedLeg, end: tuple[str, float | None, float | None]) -> None:
    found = leg_of(IF, leg).end

    assert found is not None
    assert (found.kind, found.distance_nm) == end[:2]
    assert found.radial_deg_true == (pytest.approx(end[2]) if end[2] is not None else None)


def test_windows_speeds_roles_and_angles_are_kept() -> None:
    window = AltitudeWindow(low_ft=2500.0, glidepath_ft=2478.0)
    leg = leg_of(
        IF,
        coded_leg(
            "TF", "CALDU", altitude=window, speed_kt=210.0, speed_limit="max", role="FAF", vertical_angle_deg=-3.0
        ),
    )

    assert (leg.altitude, leg.speed_max_kt, leg.speed_min_kt) == (window, 210.0, None)
    assert (leg.role, leg.vertical_angle_deg, leg.procedure) == ("FAF", -3.0, "D27")


@pytest.mark.parametrize(("limit", "most", "least"), [("at", 180.0, 180.0), ("min", None, 180.0), ("max", 180.0, None)])
def test_a_speed_is_a_limit_as_it_is_described(limit: Any, most: float | None, least: float | None) -> None:
    leg = leg_of(IF, coded_leg("TF", "CALDU", speed_kt=180.0, speed_limit=limit))

    assert (leg.speed_max_kt, leg.speed_min_kt) == (most, least)


@pytest.mark.parametrize(
    ("legs", "words"),
    [
        ([coded_leg("TF", "CALDU", 20)], r"D27 leg 020 \(line 20 of world\): a TF leg needs a fix before it"),
        ([IF, coded_leg("TF", "ZZZZZ", 20)], r"D27 leg 020 \(line 20 of world\): .*ZZZZZ of region XA"),
        ([IF, coded_leg("TF", "BRAKO", 20)], "the leg from BRAKO to BRAKO has no length"),
        ([IF, coded_leg("RF", "CALDU", 20, centre=key_of("DELSO"), turn="left")], "the RF ends off its circle"),
        (
            [IF, coded_leg("TF", "CALDU", 20, altitude=AltitudeWindow(low_ft=5000.0, high_ft=3000.0))],
            "leg 020 .* the altitudes are upside down",
        ),
    ],
)
def test_a_coded_leg_that_can_not_be_made_names_its_record(legs: list[CodedLeg], words: str) -> None:
    with pytest.raises(PlanError, match=words):
        made(*legs)


keys = st.sampled_from(["BRAKO", "CALDU", "DELSO", "SKH", "ZZZZZ", ""]).map(
    lambda ident: key_of(ident) if ident else None
)
numbers = st.none() | st.floats(0.0, 360.0)
any_coded = st.builds(
    lambda path, fix, more: coded_leg(path, "", 10, **{**more, "fix": fix}),
    st.sampled_from(get_args(PathTerminator)),
    keys,
    st.fixed_dictionaries(
        {
            "navaid": keys,
            "centre": keys,
            "turn": st.sampled_from(["left", "right", None]),
            "course_deg": numbers,
            "theta_deg": numbers,
            "rho_nm": numbers,
            "distance_nm": numbers,
            "minutes": st.none() | st.just(1.0),
            "is_true": st.booleans(),
            "altitude": st.sampled_from([None, AltitudeWindow(), AltitudeWindow(low_ft=2000.0)]),
            "role": st.sampled_from([None, "IAF", "FAF", "MAP"]),
        }
    ),
)


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.lists(any_coded, min_size=1, max_size=4), st.booleans(), st.sampled_from([None, FIELD_DEG]))
def test_whatever_is_coded_gives_finite_legs_or_a_clear_error(
    legs: list[CodedLeg], by_station: bool, field: float | None
) -> None:
    refused: PlanError | None = None
    found: tuple[Leg, ...] = ()
    try:
        found, _notes = made(IF, *legs, by_station=by_station, field=field)
    except PlanError as error:
        refused = error
    if refused is not None:
        assert refused.message
        assert "D27 leg 010" in refused.where
        assert refused.remedy
    for leg in found:
        directions = (leg.course_deg_true, leg.course_deg_mag, leg.heading_deg_true, leg.heading_deg_mag)
        assert all(value is None or 0.0 <= value <= 360.0 for value in directions)
        assert leg.distance_nm is None or math.isfinite(leg.distance_nm)
        assert leg.path is None or leg.path.length_nm > 0.0
