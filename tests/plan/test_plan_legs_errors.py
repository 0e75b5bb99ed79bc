"""Legs that can't be made are refused, each with what is wrong and where."""

from __future__ import annotations

from typing import Any

import pytest

from legwise.errors import PlanError
from plan.test_plan_legs_terminators import IF, plan_with

ON_ARC = {"path": "IF", "fix": "ONARC"}
ARC = {"path": "RF", "fix": "TOARC", "centre": "START", "turn": "right"}
DME_ARC = {"path": "AF", "fix": "TOARC", "centre": "STN", "radius_nm": 10.0, "turn": "right"}


def without(leg: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in leg.items() if key not in keys}


@pytest.mark.parametrize(
    ("legs", "words"),
    [
        ([ARC], "leg 1: the RF leg needs a fix before it"),
        ([ON_ARC, without(ARC, "centre")], "leg 2: the RF leg has no centre"),
        ([ON_ARC, without(ARC, "turn")], "leg 2: the RF leg has no turn"),
        (
            [ON_ARC, {**ARC, "fix": "NORTH"}],
            r"leg 2: the RF ends off its circle: ONARC lies 10\.000 NM from the centre START, NORTH 12\.000 NM",
        ),
        ([ON_ARC, {**ARC, "fix": "ONARC"}], "leg 2: the RF leg from ONARC to ONARC has no length"),
        ([{"path": "IF", "fix": "NORTH"}, DME_ARC], r"NORTH lies 12\.00 NM from STN, not on the arc of 9 NM"),
        ([DME_ARC], "leg 1: the AF leg needs a fix before it, where the arc begins"),
        ([ON_ARC, without(DME_ARC, "radius_nm")], "leg 2: the AF leg has no radius"),
        ([ON_ARC, {**DME_ARC, "radius_nm": 250.0}], "the arc has a radius of 250 NM"),
        ([IF, {"path": "FC", "fix": "NORTH", "course_deg_mag": 10.0}], "leg 2: the FC leg has no distance"),
        ([IF, {"path": "FA", "fix": "NORTH", "course_deg_mag": 10.0}], "leg 2: the FA leg has no altitude"),
        ([IF, {"path": "FM", "fix": "NORTH"}], "leg 2: the FM leg has no course"),
        (
            [IF, {"path": "FD", "fix": "NORTH", "course_deg_mag": 18.0, "dme": "STN", "distance_nm": 3.0}],
            "leg 2: the course never comes to 3 NM from STN",
        ),
        (
            [ON_ARC, {"path": "FD", "fix": "NORTH", "course_deg_mag": 18.0, "distance_nm": 30.0}],
            "leg 2: the FD leg names no DME station",
        ),
        ([IF, {"path": "CI"}], "leg 2: the CI leg has no course"),
        ([IF, {"path": "VI"}], "leg 2: the VI leg has no heading"),
        ([IF, {"path": "VD", "heading_deg_mag": 10.0, "distance_nm": 3.0}], "leg 2: the VD leg names no DME station"),
        ([IF, {"path": "CR", "course_deg_mag": 10.0, "navaid": "STN"}], "leg 2: the CR leg has no radial"),
        ([IF, {"path": "HM", "fix": "NORTH", "turn": "left"}], "leg 2: the HM leg has no inbound course"),
        (
            [IF, {"path": "HA", "fix": "NORTH", "inbound_course_deg_mag": 10.0, "turn": "left"}],
            "leg 2: the HA leg has no altitude",
        ),
        ([IF, {"path": "PI", "fix": "NORTH", "turn": "left"}], "leg 2: the PI leg has no outbound course"),
        ([IF, {"path": "CI", "course_deg_mag": 10.0}, {"path": "TF", "fix": "NORTH"}], "leg 3: a TF leg needs a fix"),
        (
            [IF, {"path": "TF", "fix": "NORTH", "altitude": {"at_or_above_ft": 5000, "at_or_below_ft": 3000}}],
            "leg 2: the altitudes are upside down: at or above 5,000 ft and at or below 3,000 ft",
        ),
        ([{"path": "CI", "course_deg_mag": 10.0}, {"path": "VM", "heading_deg_mag": 20.0}], "leads to a fix"),
        ([IF, {"path": "RF", "fix": "ONARC", "centre": "NOWHERE", "turn": "left"}], "the fix NOWHERE is unknown"),
    ],
)
def test_a_leg_that_can_not_be_made(legs: list[dict[str, Any]], words: str) -> None:
    if "arc of 9" in words:
        legs = [legs[0], {**legs[1], "radius_nm": 9.0}]
    with pytest.raises(PlanError, match=words):
        plan_with(legs)


def test_a_chain_of_courses_alone_has_nowhere_to_take_its_variation_from() -> None:
    with pytest.raises(PlanError, match="leg 1: the magnetic course has no place to take its variation from"):
        plan_with([{"path": "CI", "course_deg_mag": 10.0}], navaid=None)
