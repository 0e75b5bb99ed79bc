"""A decoded procedure record as a leg."""

from __future__ import annotations

import typing
from functools import lru_cache
from typing import Literal

from legwise.model.lesson import PathTerminator, Role, Turn
from legwise.model.navdata import CodedLeg, FixKey, Section
from legwise.navdata.altitudes import ALTITUDE_CODES, altitude_window
from legwise.navdata.points import Values
from legwise.navdata.wording import shown

PATH_TERMINATORS = frozenset(typing.get_args(PathTerminator))
_TURNS: dict[str, Turn] = {"L": "left", "R": "right"}
_SPEED_LIMITS: dict[str, Literal["at", "max", "min"]] = {"": "at", "@": "at", "-": "max", "+": "min"}
# Waypoint description, field 5.17 (two public lists agree): a fix of the final approach course is where the
# intermediate segment ends or begins, so I counts as IF; C and D are initial fixes with a hold, or on that course.
_ROLES: dict[str, Role] = {"A": "IAF", "C": "IAF", "D": "IAF", "B": "IF", "I": "IF", "F": "FAF", "M": "MAP"}
_STEP_DOWN = frozenset("ABS")
_FLY_OVER = frozenset("YB")
_OF_AN_AIRPORT = frozenset({Section.TERMINAL_WAYPOINT, Section.TERMINAL_NDB, Section.RUNWAY, Section.LOCALIZER})
_SECTIONS = {section.value: section for section in Section}
FIRST_MISSED = "M"
"""In the third column of the description: the first leg of the missed approach."""


def named_fix(ident: str, region: str, section: str, airport: str, faults: list[str]) -> FixKey | None:
    """What a record names another by; a section that no fix can stand in is a fault."""
    if not ident:
        return None
    of_section = _SECTIONS.get(section)
    if of_section is None:
        faults.append(f"{shown(ident)} is named in section {shown(section)}, where no fix stands")
        return None
    return _key(ident, region, of_section, airport if of_section in _OF_AN_AIRPORT else "")


@lru_cache(maxsize=4096)
def _key(ident: str, region: str, section: Section, airport: str) -> FixKey:
    return FixKey(ident=ident, region=region, section=section, airport=airport)


def leg_of(values: Values, line: int, *, is_approach: bool, faults: list[str]) -> CodedLeg | None:
    """The leg of a procedure record, None where its path terminator is none; ``faults`` takes what was found."""
    if values["path"] not in PATH_TERMINATORS:
        faults.append(f"{shown(values['path'])} (columns 48–49) is no path terminator")
        return None
    airport = values["airport"]
    description: str = values["description"]
    course_deg, is_true = values["course"] or (None, False)
    distance_nm, minutes = values["length"] or (None, None)
    code = values["altitude_code"]
    altitude = None
    if code in ALTITUDE_CODES:
        altitude = altitude_window(code, values["altitude_1"], values["altitude_2"])
    else:
        faults.append(f"{shown(code)} (column 83) is no altitude description")
    speed_kt = values["speed"]
    if speed_kt is not None and values["speed_code"] not in _SPEED_LIMITS:
        faults.append(f"{shown(values['speed_code'])} (column 118) is no speed limit description")
        speed_kt = None
    # On legs other than RF the columns of the centre name the fix that sector altitudes are measured from.
    centre = None
    if values["path"] == "RF":
        centre = named_fix(values["centre"], values["centre_region"], values["centre_section"], airport, faults)
    return CodedLeg(
        line=line,
        sequence=int(values["sequence"]),
        path=values["path"],
        fix=named_fix(values["fix"], values["fix_region"], values["fix_section"], airport, faults),
        fly_over=description[1] in _FLY_OVER,
        role=_role(description) if is_approach else None,
        is_missed=description[2] == FIRST_MISSED,
        turn=_TURNS.get(values["turn"]),
        rnp_nm=values["rnp"],
        navaid=named_fix(values["navaid"], values["navaid_region"], values["navaid_section"], airport, faults),
        centre=centre,
        radius_nm=values["radius"],
        theta_deg=values["theta"],
        rho_nm=values["rho"],
        course_deg=course_deg,
        is_true=is_true,
        distance_nm=distance_nm,
        minutes=minutes,
        altitude_code=code,
        altitude=altitude,
        speed_kt=speed_kt,
        speed_limit=_SPEED_LIMITS[values["speed_code"]] if speed_kt is not None else None,
        vertical_angle_deg=values["vertical_angle"],
    )


def _role(description: str) -> Role | None:
    return _ROLES.get(description[3]) or ("STEPDOWN" if description[2] in _STEP_DOWN else None)
