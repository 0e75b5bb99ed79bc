"""Phases of a flight whose route names no aerodromes, and the joining of final as the needle has it."""

from __future__ import annotations

import itertools

import pytest

from align.align_flyer import DATE, FIXES, Flyer, course_between, log, onward
from legwise.align import align
from legwise.model.alignment import PHASE_WORDS
from legwise.model.lesson import Lesson
from legwise.model.track import RoutePoint
from legwise.plan import make_plan

FIRST = course_between(FIXES["XTBN"], FIXES["BRAKO"])
FAR = 45.0


@pytest.mark.parametrize(
    "names", [("P1", "P2", "P3", "P4"), ("4600N02818W", "4609N02806W", "4625N02739W", "4700N02648W")]
)
@pytest.mark.parametrize("on_ground", [True, False])
def test_a_route_of_points_has_its_ends_where_the_log_stands_on_the_ground(
    names: tuple[str, ...], on_ground: bool
) -> None:
    """XTBN, BRAKO, CALDU and a place 45 NM on, where the flight ends in the air: never less than 30 NM of the way is
    en-route (AIM 1-1-17 b5(e)(3): the terminal area ends 30 NM from the aerodrome)."""
    last = onward(FIXES["CALDU"], course_between(FIXES["BRAKO"], FIXES["CALDU"]), FAR)
    places = [FIXES["XTBN"], FIXES["BRAKO"], FIXES["CALDU"], last]
    flyer = Flyer(position=FIXES["XTBN"], heading=FIRST, altitude_ft=4000.0, target_ft=4000.0)
    if on_ground:
        flyer.take_off(FIRST, 40.0, 4000.0)
    flyer.fly_leg("XTBN", "BRAKO", "CALDU")
    flyer.fly_leg("BRAKO", "CALDU", to_go_nm=0.1)
    flown = log(flyer, interval_s=2.0)
    route = tuple(RoutePoint(ident=n, lat_deg=p[0], lon_deg=p[1]) for n, p in zip(names, places, strict=True))
    plan = make_plan(Lesson(), date=DATE, track_route=route)
    alignment = align(flown.track, plan, Lesson(), flown.judged)
    words = [PHASE_WORDS[code] for code in alignment.phase]
    seen = [words[0]] + [b for a, b in itertools.pairwise(words) if a != b]
    assert seen == (["ground", "departure", "en-route"] if on_ground else ["en-route"])
