"""The procedures of Tarn Bay (XTBN): invented, not for navigation."""

from __future__ import annotations

from typing import Any

from builders.tarn.earth import inverse
from builders.tarn_navdata import islands as at
from builders.tarn_navdata.legs import Part
from builders.tarn_navdata.procedures import Procedure

THRESHOLD_05_FT, THRESHOLD_23_FT = 86, 81


def part(ident: str, route_type: str, transition: str = "", *, kind: str = "F", qualifiers: str = "0 S") -> Procedure:
    """A part of one of Tarn Bay's procedures, by the aerodrome's variation where no station has its own."""
    return Procedure(
        Part(
            airport="XTBN",
            kind=kind,
            ident=ident,
            route_type=route_type,
            transition=transition,
            qualifiers=qualifiers,
        ),
        at.XTBN.variation_deg,
    )


def rnav_05() -> list[Procedure]:
    """R05: LNAV alone, from a T of initial fixes."""
    sides = [
        part("R05", "A", fix.ident, qualifiers="APS")
        .leg("IF", fix, role="A")
        .leg("TF", at.SKALE, role="B", rnp_nm=1, at="+", low=2500)
        for fix in (at.DUNVA, at.ELDRU)
    ]
    return [
        *sides,
        part("R05", "A", "SKALE", qualifiers="APS").leg(
            "HF",
            at.SKALE,
            role="A",
            turn="L",
            course=inverse(at.SKALE.point, at.MORUN.point)[1],
            distance_nm=4,
            at="+",
            low=2500,
        ),
        part("R05", "R", qualifiers="APS")
        .leg("IF", at.SKALE, role="I", at="+", low=2500)
        .leg("TF", at.MORUN, role="F", rnp_nm=1, at="+", low=1700, service={"lnav": True})
        .leg("TF", at.TISKA, sequence=21, step_down=True, rnp_nm=0.3, at="+", low=860, vertical_deg=-3)
        .leg("TF", at.RW05, sequence=30, over=True, role="M", rnp_nm=0.3, low=THRESHOLD_05_FT, vertical_deg=-3)
        .leg("VA", sequence=40, missed=True, course=at.COURSE_05, at="+", low=600)
        .leg("VM", sequence=50, turn="R", course=110.0, at="+", low=3000),
    ]


def vor_05() -> list[Procedure]:
    """V05: a procedure turn at TBN, which is the final approach fix; the missed approach climbs from the threshold."""
    outbound = at.COURSE_05 + 180.0
    return [
        part("V05", "A", "TBN").leg(
            "PI",
            at.TBN,
            navaid=at.TBN,
            course=outbound - 45.0,
            turn="R",
            distance_nm=10.0,
            role="A",
            at="+",
            low=2000,
        ),
        part("V05", "V")
        .leg("IF", at.TBN, sequence=20, role="F", navaid=at.TBN, at="+", low=1400)
        .leg("CF", at.RW05, sequence=30, over=True, role="M", navaid=at.TBN, low=THRESHOLD_05_FT, vertical_deg=-3)
        .leg("FA", at.RW05, sequence=40, missed=True, navaid=at.TBN, course=at.COURSE_05, at="+", low=1200)
        .leg("DF", at.TBN, sequence=50, over=True, turn="R", at="+", low=2000)
        .leg("HM", at.TBN, sequence=60, turn="R", course=at.COURSE_05, minutes=1, at="+", low=2000),
    ]


def ndb_23() -> list[Procedure]:
    """N23: from BRAKO straight in, or a procedure turn at GRA."""
    return [
        part("N23", "A", "BRAKO").leg("IF", at.BRAKO, role="A", at="+", low=3000).leg("TF", at.GRA, at="+", low=1600),
        part("N23", "A", "GRA").leg(
            "PI",
            at.GRA,
            navaid=at.GRA,
            course=at.course(at.RW23, at.GRA) + 45.0,
            turn="L",
            distance_nm=10.0,
            role="A",
            at="+",
            low=2000,
        ),
        part("N23", "N")
        .leg("IF", at.GRA, sequence=20, role="F", navaid=at.GRA, low=1600)
        .leg("CF", at.RW23, sequence=30, over=True, role="M", navaid=at.GRA, low=THRESHOLD_23_FT, vertical_deg=-3.15)
        .leg("CA", sequence=40, missed=True, course=at.COURSE_23, at="+", low=800)
        .leg("DF", at.TBN, sequence=50, over=True, at="+", low=2000)
        .leg("HM", at.TBN, sequence=60, turn="R", course=at.COURSE_05, navaid=at.TBN, minutes=1, at="+", low=2000),
    ]


def departure() -> list[Procedure]:
    """BRAKO1: from runway 05 straight out; from 23 round by a distance and an intercept; to NORVI or OSTRA."""
    of: dict[str, Any] = {"kind": "D", "qualifiers": "   "}
    on_radial: dict[str, Any] = {"course": at.course(at.TBN, at.BRAKO), "navaid": at.TBN, "at": "+", "low": 3000}
    return [
        part("BRAKO1", "1", "RW05", **of)
        .leg("VA", course=at.COURSE_05, at="+", low=446)
        .leg("CF", at.BRAKO, **on_radial),
        part("BRAKO1", "1", "RW23", **of)
        .leg("VA", course=at.COURSE_23, at="+", low=500)
        .leg("VD", course=300.0, turn="R", turn_before=True, navaid=at.TBN, distance_nm=6.0, at="+", low=1500)
        .leg("VI", course=85.0, turn="R", turn_before=True)
        .leg("CF", at.BRAKO, **on_radial),
        part("BRAKO1", "2", **of).leg("IF", at.BRAKO, at="+", low=3000).leg("TF", at.PERLO).leg("TF", at.CALDU),
        part("BRAKO1", "3", "NORVI", **of).leg("IF", at.CALDU).leg("TF", at.NORVI, at="+", low=5000),
        part("BRAKO1", "3", "OSTRA", **of).leg("IF", at.CALDU).leg("TF", at.OSTRA),
    ]


def arrival() -> list[Procedure]:
    """CALDU1: from OSTRA to CALDU, for every runway to BRAKO and on a heading from there."""
    of: dict[str, Any] = {"kind": "E", "qualifiers": "   "}
    return [
        part("CALDU1", "1", "OSTRA", **of).leg("IF", at.OSTRA).leg("TF", at.CALDU, role="H", at="@", low=5000),
        part("CALDU1", "2", "ALL", **of)
        .leg("IF", at.CALDU, role="H", low=5000)
        .leg("TF", at.BRAKO, over=True, at="+", low=3000, speed_kt=200)
        .leg("VM", at.XTBN, course=at.course(at.BRAKO, at.XTBN)),
    ]
