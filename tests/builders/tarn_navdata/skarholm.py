"""The procedures of Skarholm (XSKH): invented, not for navigation."""

from __future__ import annotations

from typing import Any

from builders.tarn import glide
from builders.tarn.earth import inverse
from builders.tarn.places import SKARHOLM_LPV
from builders.tarn_navdata import islands as at
from builders.tarn_navdata.columns import Place
from builders.tarn_navdata.legs import Part
from builders.tarn_navdata.procedures import Procedure

THRESHOLD_27_FT, THRESHOLD_09_FT = 138, 119


def part(ident: str, route_type: str, transition: str = "", *, kind: str = "F", qualifiers: str = "0NS") -> Procedure:
    """A part of one of Skarholm's procedures, by the aerodrome's variation where no station has its own."""
    return Procedure(
        Part(
            airport="XSKH",
            kind=kind,
            ident=ident,
            route_type=route_type,
            transition=transition,
            qualifiers=qualifiers,
        ),
        at.XSKH.variation_deg,
    )


def path_ft(fix: Place, runway: Place, crossing_ft: float) -> int:
    """The 3 degree path to a runway at a fix, straight in space, to the foot."""
    to_go_nm = inverse(fix.point, runway.point)[0]
    level_ft = SKARHOLM_LPV.runway.elevation_ft + SKARHOLM_LPV.threshold_crossing_height_ft
    return round(glide.path_ft(SKARHOLM_LPV, to_go_nm) - level_ft + crossing_ft)


def ils_27() -> list[Procedure]:
    """I27: four ways in (vectors-like heading, straight, procedure turn, radial and intercept), a DME in the missed."""
    at_fernu = path_ft(at.FERNU, at.RW27, THRESHOLD_27_FT)
    return [
        part("I27", "A", "OSTRA", qualifiers="0DS")
        .leg("IF", at.OSTRA, role="A")
        .leg("TF", at.SKH, at="+", low=4000)
        .leg("FC", at.SKH, course=106.0, distance_nm=22.0, navaid=at.SKH, at="+", low=3500)
        .leg("CI", course=328.0, turn="L", turn_before=True)
        .leg("CF", at.HOLMA, course=_inbound(at.HOLMA), navaid=at.ISKH, role="B", at="+", low=3000),
        part("I27", "A", "RANGA")
        .leg("IF", at.RANGA, role="A")
        .leg("VI", course=295.0, at="+", low=3500)
        .leg("CF", at.HOLMA, course=_inbound(at.HOLMA), navaid=at.ISKH, role="B", at="+", low=3000),
        part("I27", "A", "SELKA")
        .leg("IF", at.SELKA, role="A")
        .leg("TF", at.HOLMA, role="B", at="+", low=3000, speed_kt=210, speed_code="-"),
        part("I27", "A", "SKH", qualifiers="0DS")
        .leg("IF", at.SKH)
        .leg("TF", at.FERNU, at="+", low=3000)
        .leg("PI", at.FERNU, **_turned(at.FERNU, at.RW27, 45.0), navaid=at.ISKH, role="A", at="+", low=2000),
        part("I27", "I")
        .leg("IF", at.HOLMA, role="I", navaid=at.ISKH, at="J", low=3000, high=at_fernu)
        .leg("CF", at.FERNU, role="F", navaid=at.ISKH, at="H", low=2000, high=at_fernu, vertical_deg=-3)
        .leg("CF", at.RW27, sequence=30, over=True, role="M", navaid=at.ISKH, low=THRESHOLD_27_FT, vertical_deg=-3)
        .leg("CA", missed=True, course=at.COURSE_27, at="+", low=900)
        .leg("CD", turn="L", turn_before=True, navaid=at.SKH, course=225.0, distance_nm=5.0, at="+", low=1700)
        .leg("DF", at.OSTRA, over=True, at="+", low=3000)
        .leg("HM", at.OSTRA, turn="L", course=225.0, minutes=1, at="+", low=3000),
    ]


def localizer_27() -> list[Procedure]:
    """L27: the localizer alone, with a step-down fix."""
    return [
        part("L27", "A", "SELKA")
        .leg("IF", at.SELKA, role="A")
        .leg("TF", at.HOLMA, role="B", at="+", low=3000, speed_kt=210, speed_code="-"),
        part("L27", "A", "SKH", qualifiers="0DS")
        .leg("IF", at.SKH)
        .leg("TF", at.FERNU, at="+", low=3000)
        .leg("PI", at.FERNU, **_turned(at.FERNU, at.RW27, 45.0), navaid=at.ISKH, role="A", at="+", low=2000),
        part("L27", "L")
        .leg("IF", at.HOLMA, role="I", navaid=at.ISKH, at="+", low=3000)
        .leg("CF", at.FERNU, role="F", navaid=at.ISKH, at="+", low=2000)
        .leg("CF", at.ULVIK, sequence=21, step_down=True, navaid=at.ISKH, at="+", low=920, vertical_deg=-3)
        .leg("CF", at.RW27, sequence=30, over=True, role="M", navaid=at.ISKH, low=THRESHOLD_27_FT, vertical_deg=-3)
        .leg("CA", sequence=40, missed=True, course=at.COURSE_27, at="+", low=900)
        .leg("DF", at.LS, sequence=50, over=True, turn="L", at="+", low=2500)
        .leg("HM", at.LS, sequence=60, turn="R", course=at.COURSE_27, minutes=1, at="+", low=2500),
    ]


def rnav_27() -> list[Procedure]:
    """R27, as the sample flights' lessons write it out: HOLMA, FERNU, RW27; missed to TOVIK and direct OSTRA."""
    service: dict[str, Any] = {"lpv": True, "lnav_vnav": True, "lnav": True}
    return [
        part("R27", "A", "HOLMA", qualifiers="AJS")
        .leg("IF", at.HOLMA, role="A", at="+", low=3000)
        .leg("TF", at.FERNU, rnp_nm=1, at="+", low=2000),
        part("R27", "A", "SELKA", qualifiers="AJS")
        .leg("IF", at.SELKA, role="A", at="B", low=5000, high=4000)
        .leg("TF", at.HOLMA, rnp_nm=1, at="+", low=3000)
        .leg("TF", at.FERNU, rnp_nm=1, at="+", low=2000),
        part("R27", "R", qualifiers="AJS")
        .leg("IF", at.FERNU, sequence=20, role="F", at="+", low=2000, service=service)
        .leg("TF", at.RW27, sequence=30, over=True, role="M", rnp_nm=0.3, low=THRESHOLD_27_FT, vertical_deg=-3)
        .leg("CF", at.TOVIK, sequence=40, missed=True, over=True, at="+", low=900)
        .leg("DF", at.OSTRA, sequence=50, rnp_nm=1, at="+", low=3000),
    ]


def rnav_09() -> list[Procedure]:
    """R09: a hold in lieu of a procedure turn at MORSA, a step-down fix with the path's altitude."""
    return [
        part("R09", "A", "MORSA", qualifiers="AJS").leg(
            "HF",
            at.MORSA,
            role="A",
            turn="R",
            course=inverse(at.MORSA.point, at.DALSO.point)[1],
            distance_nm=4,
            at="+",
            low=2500,
        ),
        part("R09", "A", "OSTRA", qualifiers="AJS")
        .leg("IF", at.OSTRA, role="A")
        .leg("TF", at.MORSA, role="B", rnp_nm=1, at="+", low=2500),
        part("R09", "R", qualifiers="AJS")
        .leg("IF", at.MORSA, role="I", at="+", low=2500)
        .leg("TF", at.DALSO, role="F", rnp_nm=1, at="+", low=1900, service={"lpv": True, "lnav": True})
        .leg(
            "TF",
            at.KIRNU,
            sequence=21,
            step_down=True,
            rnp_nm=0.3,
            at="V",
            low=900,
            high=path_ft(at.KIRNU, at.RW09, THRESHOLD_09_FT),
            vertical_deg=-3,
        )
        .leg("TF", at.RW09, sequence=30, over=True, role="M", rnp_nm=0.3, low=THRESHOLD_09_FT, vertical_deg=-3)
        .leg("CA", sequence=40, missed=True, course=at.COURSE_09, at="+", low=800)
        .leg("DF", at.HOLMA, sequence=50, over=True, rnp_nm=1, at="+", low=3000)
        .leg(
            "HM", at.HOLMA, sequence=60, turn="L", course=at.course(at.FERNU, at.HOLMA), distance_nm=4, at="+", low=3000
        ),
    ]


def rnp_27() -> list[Procedure]:
    """H27-Z: a turn of constant radius from the south onto the final course."""
    return [
        part("H27-Z", "A", "NORVI", qualifiers="AFS")
        .leg("IF", at.NORVI, role="A", low=4000, speed_kt=210, speed_code="-")
        .leg("TF", at.TULVA, rnp_nm=1, at="+", low=2800)
        .leg("RF", at.KELDI, turn="L", rnp_nm=0.3, centre=at.CFTUL, at="+", low=1600),
        part("H27-Z", "H", qualifiers="AFS")
        .leg(
            "IF", at.KELDI, sequence=20, role="F", at="+", low=1600, centre=at.RW27, service={"rnp_levels": "A031A021"}
        )
        .leg("TF", at.RW27, sequence=30, over=True, role="M", rnp_nm=0.3, low=THRESHOLD_27_FT, vertical_deg=-3)
        .leg("TF", at.TOVIK, sequence=40, missed=True, rnp_nm=1, at="+", low=900)
        .leg("TF", at.OSTRA, sequence=50, over=True, rnp_nm=1, at="+", low=3000)
        .leg(
            "HM", at.OSTRA, sequence=60, turn="L", course=at.course(at.TOVIK, at.OSTRA), distance_nm=4, at="+", low=3000
        ),
    ]


def vor_dme_09() -> list[Procedure]:
    """D09: arcs of 10 NM about SKH from the south and the north, a final on its radial; missed to a radial of TBN."""
    at_nessa = path_ft(at.NESSA, at.RW09, THRESHOLD_09_FT)
    arc: dict[str, Any] = {"navaid": at.SKH, "role": "B", "at": "+", "low": 2500}
    return [
        part("D09", "A", "SUNDO", qualifiers="0 S")
        .leg("IF", at.SUNDO, role="A", navaid=at.SKH)
        .leg("AF", at.ARVIK, turn="L", **arc),
        part("D09", "A", "VARBO", qualifiers="0 S")
        .leg("IF", at.VARBO, role="A", navaid=at.SKH)
        .leg("AF", at.ARVIK, turn="R", **arc),
        part("D09", "D", qualifiers="0 S")
        .leg("IF", at.ARVIK, role="I", navaid=at.SKH, at="+", low=2500)
        .leg("CF", at.TORLO, role="F", navaid=at.SKH, at="+", low=1600, centre=at.SKH)
        .leg("CF", at.NESSA, over=True, role="M", navaid=at.SKH, low=at_nessa, vertical_deg=-3)
        .leg("CR", missed=True, navaid=at.TBN, course=at.VOR_FINAL, radial=29.0, at="+", low=2000)
        .leg("DF", at.SELKA, over=True, turn="R", at="+", low=4000)
        .leg("HM", at.SELKA, turn="R", course=at.course(at.RANGA, at.SELKA), minutes=1, at="+", low=4000),
    ]


def ndb_27() -> list[Procedure]:
    """N27: the procedure turn on the south side of the locator's outbound course."""
    return [
        part("N27", "A", "LS", qualifiers="0 S").leg(
            "PI", at.LS, **_turned(at.LS, at.RW27, 45.0), navaid=at.LS, role="A", at="+", low=2200
        ),
        part("N27", "N", qualifiers="0 S")
        .leg("IF", at.LS, sequence=20, role="F", navaid=at.LS, at="+", low=1500)
        .leg("CF", at.RW27, sequence=30, over=True, role="M", navaid=at.LS, low=THRESHOLD_27_FT, vertical_deg=-3)
        .leg("CA", sequence=40, missed=True, course=at.COURSE_27, at="+", low=1500)
        .leg("DF", at.LS, sequence=50, over=True, turn="R", at="+", low=2200)
        .leg("HM", at.LS, sequence=60, turn="R", course=at.COURSE_27, minutes=1, at="+", low=2200),
    ]


def departure() -> list[Procedure]:
    """OSTRA1: a heading to a radial; a climb in the hold, then out on a radial to a distance."""
    of: dict[str, Any] = {"kind": "D", "qualifiers": "   "}
    out = inverse(at.SKH.point, at.OSTRA.point)[1]
    return [
        part("OSTRA1", "1", "RW09", **of)
        .leg("CA", course=at.COURSE_09, at="+", low=700)
        .leg("DF", at.SKH, over=True, turn="L", at="+", low=1500)
        .leg("HA", at.SKH, turn="R", course=out, navaid=at.SKH, minutes=1, at="+", low=3000)
        .leg("FD", at.SKH, course=out, navaid=at.SKH, distance_nm=8.0, at="+", low=3500)
        .leg("DF", at.OSTRA, at="+", low=4000),
        part("OSTRA1", "1", "RW27", **of)
        .leg("VA", course=at.COURSE_27, at="+", low=600)
        .leg("VR", course=175.0, turn="L", turn_before=True, navaid=at.SKH, radial=238.0, at="+", low=1500)
        .leg("CF", at.OSTRA, course=at.course(at.SKH, at.OSTRA), navaid=at.SKH, at="+", low=4000),
        part("OSTRA1", "2", **of)
        .leg("IF", at.OSTRA, at="+", low=4000)
        .leg("TF", at.CALDU, at="-", low=9000, speed_kt=250, speed_code="-"),
        part("OSTRA1", "3", "BRAKO", **of).leg("IF", at.CALDU).leg("TF", at.PERLO).leg("TF", at.BRAKO),
        part("OSTRA1", "3", "NORVI", **of).leg("IF", at.CALDU).leg("TF", at.NORVI),
    ]


def arrival() -> list[Procedure]:
    """SELKA1: from NORVI or RANGA to SELKA; for runway 27 on to HOLMA, for runway 09 a heading and vectors."""
    of: dict[str, Any] = {"kind": "E", "qualifiers": "   "}
    gate: dict[str, Any] = {"role": "H", "rnp_nm": 1, "at": "B", "low": 7000, "high": 5000}
    outbound = inverse(at.VINDA.point, at.FERNU.point)[1]
    return [
        part("SELKA1", "4", "NORVI", **of).leg("IF", at.NORVI).leg("TF", at.SELKA, **gate),
        part("SELKA1", "4", "RANGA", **of).leg("IF", at.RANGA).leg("TF", at.SELKA, **gate),
        part("SELKA1", "5", **of)
        .leg("IF", at.SELKA, at="B", low=7000, high=5000, speed_kt=250)
        .leg("TF", at.VINDA, rnp_nm=1, at="-", low=5000, speed_kt=210, speed_code="-"),
        part("SELKA1", "6", "RW09", **of)
        .leg("IF", at.VINDA, at="-", low=5000)
        .leg("FM", at.VINDA, course=outbound, navaid=at.SKH),
        part("SELKA1", "6", "RW27", **of)
        .leg("IF", at.VINDA, at="-", low=5000)
        .leg("TF", at.HOLMA, rnp_nm=1, at="C", high=3000, speed_kt=180, speed_code="-"),
    ]


def _inbound(fix: Place) -> float:
    """Course of the localizer at a fix before the threshold. [deg true]"""
    return inverse(fix.point, at.RW27.point)[1]


def _turned(fix: Place, runway: Place, angle_deg: float) -> dict[str, Any]:
    """A procedure turn as it is coded: the course is that of the 45 degree leg, the turn the half circle's after it.

    ``angle_deg`` +45: drawn right of the outbound course, and back by a left turn.
    """
    outbound = inverse(fix.point, runway.point)[1] + 180.0
    return {"course": (outbound + angle_deg) % 360.0, "turn": "L" if angle_deg > 0 else "R", "distance_nm": 10.0}
