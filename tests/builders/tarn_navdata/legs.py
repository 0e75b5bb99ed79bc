"""The leg records of procedures (PD, PE, PF) and their continuations, column by column."""

from __future__ import annotations

from dataclasses import dataclass

from builders.tarn_navdata.columns import CYCLE, Place, altitude, cell, degrees, number, record

DESCRIBED = {"D ": "V", "DB": "N", "PN": "N", "PA": "A", "PG": "G"}
"""Column 40 by the section of the fix; any other fix is E."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a procedure, as every one of its records names it.

    ``kind``: D departure, E arrival, F approach. ``transition``: a fix, a runway ("RW05"), "ALL" or blank.
    ``qualifiers``: the letter of column 117 and the two of columns 119-120.
    """

    airport: str
    kind: str
    ident: str
    route_type: str
    transition: str = ""
    qualifiers: str = "   "
    region: str = "XT"
    area: str = "TRN"

    @property
    def head(self) -> str:
        """Columns 1 to 25."""
        ident, transition = cell(self.ident, 6), cell(self.transition, 5)
        return f"S{self.area}P {cell(self.airport, 4)}{self.region}{self.kind}{ident}{self.route_type}{transition}"


def rnp(value_nm: float | None) -> str:
    """A required navigation performance in its two digits and exponent: 1.0 as 010, 0.3 as 031; blank where None."""
    if value_nm is None:
        return "   "
    whole, exponent = value_nm, 0
    while abs(whole - round(whole)) > 1e-6:
        whole, exponent = whole * 10, exponent + 1
    return f"{round(whole):02d}{exponent}"


def leg(
    part: Part,
    sequence: int,
    path: str,
    fix: Place | None = None,
    *,
    over: bool = False,
    last: bool = False,
    step_down: bool = False,
    missed: bool = False,
    role: str = "",
    turn: str = "",
    turn_before: bool = False,
    rnp_nm: float | None = None,
    navaid: Place | None = None,
    radius_nm: float | None = None,
    theta_deg_mag: float | None = None,
    rho_nm: float | None = None,
    course_deg_mag: float | None = None,
    distance_nm: float | None = None,
    minutes: float | None = None,
    at: str = "",
    low: float | str | None = None,
    high: float | str | None = None,
    transition_ft: float | None = None,
    speed_kt: float | None = None,
    speed_code: str = "",
    vertical_deg: float | None = None,
    centre: Place | None = None,
    continued: bool = False,
    cycle: str = CYCLE,
) -> str:
    """A primary leg record.

    ``over``, ``last``: fly-over, end of the part (column 41: Y, E, both B). ``step_down``, ``missed``: S, M in column
    42. ``role``: column 43 (A, I, F, M, B, H). ``turn``: L or R; ``turn_before``: to be made before the path (column
    50 is Y). ``at``: the altitude description; ``low`` goes to altitude 1 and ``high`` to altitude 2 *as columns*: a B
    window is coded with the higher in altitude 1. ``vertical_deg`` is negative down.
    """
    end = ("B" if over else "E") if last else ("Y" if over else " ")
    letter = " " if fix is None else DESCRIBED.get(fix.section, "E")
    return record(
        (1, part.head),
        (27, number(sequence, 3)),
        (30, cell("" if fix is None else fix.reference, 9) + ("1" if continued else "0")),
        (40, letter + end + ("S" if step_down else "M" if missed else " ") + cell(role, 1) + cell(turn, 1)),
        (45, rnp(rnp_nm) + path + ("Y" if turn_before else " ")),
        (51, "      " if navaid is None else cell(navaid.ident, 4) + navaid.region),
        (57, number(radius_nm, 6, 1000) + degrees(theta_deg_mag) + number(rho_nm, 4, 10) + degrees(course_deg_mag)),
        (75, number(distance_nm, 4, 10) if minutes is None else "T" + number(minutes, 3, 10)),
        (79, "  " if navaid is None else navaid.section),
        (83, cell(at, 1)),
        (85, altitude(low) + altitude(high) + number(transition_ft, 5) + number(speed_kt, 3)),
        (103, "    " if vertical_deg is None else _vertical(vertical_deg)),
        (107, "     " if centre is None else cell(centre.ident, 5)),
        (113, "    " if centre is None else centre.region + centre.section),
        (117, part.qualifiers[0] + cell(speed_code, 1) + part.qualifiers[1:]),
        cycle=cycle,
    )


def levels(
    part: Part,
    sequence: int,
    fix: Place,
    *,
    lpv: bool = False,
    lnav_vnav: bool = False,
    lnav: bool = False,
    rnp_levels: str = "",
    cycle: str = CYCLE,
) -> str:
    """The continuation of an approach's final approach fix (application type W): its levels of service.

    ``rnp_levels``: the required navigation performances of an authorised procedure, such as "A031A021".
    """
    service = "" if rnp_levels else _level(lpv, "LPV") + _level(lnav_vnav, "LNAV/VNAV") + "AN"[not lnav]
    return record(
        (1, part.head),
        (27, number(sequence, 3) + fix.reference + "2W"),
        (41, service),
        *(((64, "LNAV"),) if lnav else ()),
        (89, rnp_levels),
        (119, part.qualifiers[1:]),
        cycle=cycle,
    )


def _level(authorised: bool, name: str) -> str:
    return ("A" if authorised else "N") + cell(name if authorised else "", 10)


def _vertical(angle_deg: float) -> str:
    """-300: hundredths of a degree, down negative; level " 000" as the government's file has it."""
    coded = round(abs(angle_deg) * 100)
    return f"-{coded:03d}" if angle_deg < 0 else f" {coded:03d}"
