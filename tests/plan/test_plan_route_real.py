"""Real route strings and real airways, with data that hold only a part of what they name (tests/data NOTICE files)."""

from __future__ import annotations

import csv
import datetime as dt
import itertools
import pathlib
from functools import cache

import pytest

from legwise.errors import LegwiseError
from legwise.lessons import split_route_text
from legwise.model.lesson import Lesson
from legwise.model.navdata import CodedAirway, NavData
from legwise.model.plan import Plan
from legwise.navdata import open_navdata
from legwise.plan import GivenRoute, make_plan

DATE = dt.date(2021, 1, 15)
DATA = pathlib.Path(__file__).parents[1] / "data"
EN_ROUTE = DATA / "arinc424" / "faacifp18_2101_enroute.txt"
ROUTES = DATA / "routes" / "preferred_routes_sample.csv"


@cache
def en_route() -> NavData:
    return open_navdata(EN_ROUTE)


def outcome(text: str) -> Plan | LegwiseError:
    try:
        route = GivenRoute(text=text, elements=split_route_text(text, where="--route"), source="--route")
        return make_plan(Lesson(), date=DATE, route=route, navdata=en_route())
    except LegwiseError as error:
        return error


def whole_airways() -> list[CodedAirway]:
    """The airways of the excerpt that have more than one fix in a stretch."""
    idents = {line[13:18].strip() for line in EN_ROUTE.read_text("ascii").splitlines() if line[4:6] == "ER"}
    return [way for ident in sorted(idents) for way in en_route().airways(ident) if len(way.points) > 1]


def test_every_real_route_resolves_or_is_refused_with_carets_under_the_element() -> None:
    with ROUTES.open(encoding="utf-8", newline="") as file:
        texts = [row["Route String"] for row in csv.DictReader(file)]
    assert len(texts) == 347

    for text in texts:
        error = outcome(text)
        if isinstance(error, LegwiseError):
            lines = error.remedy.split("\n")
            assert set(lines[-1]) == {" ", "^"}
            assert lines[-2].strip() in text
            assert len(str(error).split("\n")) <= 6


@pytest.mark.parametrize("way", whole_airways(), ids=lambda way: f"{way.ident}-{way.points[0].fix.ident}")
def test_real_airways_are_flown_both_ways_through_every_fix(way: CodedAirway) -> None:
    points = [point.fix.ident for point in way.points]
    there = outcome(f"{points[0]} {way.ident} {points[-1]}")
    back = outcome(f"{points[-1]} {way.ident} {points[0]}")
    if any(en_route().fix(point.fix) is None for point in way.points):
        assert isinstance(there, LegwiseError)
        assert isinstance(back, LegwiseError)
        return

    assert isinstance(there, Plan)
    assert isinstance(back, Plan)
    for plan, passed in ((there, points), (back, points[::-1])):
        ends = [(leg.from_fix.ident if leg.from_fix else "", leg.end_ident) for leg in plan.route]
        assert ends == list(itertools.pairwise(passed))
    lengths = [[leg.distance_nm or 0.0 for leg in plan.route] for plan in (there, back)]
    assert lengths[0] == pytest.approx(lengths[1][::-1], abs=1e-9)
