"""What a coded approach is: its guidance and its title in words, from its route type and identifier.

Route types are those of ARINC 424 field 5.7, from memory, as the identifiers of the government files bear them out
(tests/plan/test_real_procedures.py); the form of titles is that of US charts.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from legwise.model.lesson import ApproachGuidance, Minima
from legwise.model.navdata import CodedProcedure

AREA_NAVIGATION = frozenset("RHP")
"""Route types of approaches by area navigation: RNAV (GPS), RNAV (RNP), GPS."""
SATELLITE = AREA_NAVIGATION | {"J"}
"""Those whose courses go by the aerodrome's variation: no station's radials are flown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    title: str
    guidance: ApproachGuidance | None


_KINDS = {
    "B": _Kind(title="LOC BC", guidance="LOC"),
    "D": _Kind(title="VOR/DME", guidance="VOR"),
    "F": _Kind(title="FMS", guidance=None),
    "G": _Kind(title="IGS", guidance="ILS"),
    "H": _Kind(title="RNAV (RNP)", guidance="LNAV/VNAV"),
    "I": _Kind(title="ILS", guidance="ILS"),
    "J": _Kind(title="GLS", guidance="GLS"),
    "L": _Kind(title="LOC", guidance="LOC"),
    "M": _Kind(title="MLS", guidance=None),
    "N": _Kind(title="NDB", guidance="NDB"),
    "P": _Kind(title="GPS", guidance="LNAV"),
    "Q": _Kind(title="NDB/DME", guidance="NDB"),
    "R": _Kind(title="RNAV (GPS)", guidance="LNAV"),
    "S": _Kind(title="VOR", guidance="VOR"),
    "T": _Kind(title="TACAN", guidance=None),
    "U": _Kind(title="SDF", guidance="SDF"),
    "V": _Kind(title="VOR", guidance="VOR"),
    "W": _Kind(title="MLS", guidance=None),
    "X": _Kind(title="LDA", guidance="LDA"),
    "Y": _Kind(title="MLS", guidance=None),
}
_TO_RUNWAY = re.compile(r"[A-Z](?P<runway>[0-9]{2}[LRCBW]?)-?(?P<variant>[A-Z])?")
_ON_COURSE = re.compile(r"[A-Z](?P<course>[0-9]{3})")
_CIRCLING = re.compile(r"[A-Z0-9/]{2,4}-(?P<variant>[A-Z0-9])")
_WITH_DA: tuple[ApproachGuidance, ...] = ("LPV", "LNAV/VNAV")
_WITH_MDA: tuple[ApproachGuidance, ...] = ("LP", "LNAV")


def title_of(procedure: CodedProcedure) -> str:
    """The title of a coded approach in the words of its chart: "RNAV (GPS) Y RWY 27", "ILS RWY 09", "VOR-A"."""
    kind = _KINDS.get(procedure.route_type)
    if kind is None:
        return procedure.ident
    straight = _TO_RUNWAY.fullmatch(procedure.ident)
    if straight:
        variant = f" {straight['variant']}" if straight["variant"] else ""
        return f"{kind.title}{variant} RWY {straight['runway']}"
    on_course = _ON_COURSE.fullmatch(procedure.ident)
    if on_course:
        return f"COPTER {kind.title} {on_course['course']}°"
    circling = _CIRCLING.fullmatch(procedure.ident)
    return f"{kind.title}-{circling['variant']}" if circling else f"{kind.title} {procedure.ident}"


def guidance_of(
    procedure: CodedProcedure, minima: Minima | None, *, has_path_point: bool
) -> tuple[ApproachGuidance | None, str | None]:
    """The guidance of a coded approach, and a note where it was chosen among several.

    The kind of minima decides between the lines that are published: a decision altitude is LPV before LNAV/VNAV (an
    ILS), a minimum descent altitude LP before LNAV (a localizer). Without minima the most that is published is taken.
    ``has_path_point``: final approach segment data is coded, which makes it an LPV where no line is named.
    """
    kind = _KINDS.get(procedure.route_type)
    if kind is None or kind.guidance is None:
        return None, "its kind of guidance is not known here, so no needle is"
    if procedure.route_type == "I":
        by_mda = minima is not None and minima.mda_ft is not None
        return ("LOC", "with an MDA it was taken as flown by the localizer alone (LOC)") if by_mda else ("ILS", None)
    if procedure.route_type not in "RH":
        return kind.guidance, None
    published = _lines(procedure, kind.guidance, has_path_point=has_path_point)
    if minima is None or (minima.da_ft is None and minima.mda_ft is None):
        wanted, reason = (*_WITH_DA, *_WITH_MDA), "no minima are given"
    elif minima.da_ft is not None:
        wanted, reason = _WITH_DA, "its minimum is a DA"
    else:
        wanted, reason = _WITH_MDA, "its minimum is an MDA"
    chosen = next((line for line in wanted if line in published), wanted[-1])
    if published == (chosen,):
        return chosen, None
    lines = ", ".join(published)
    return chosen, f"guidance was taken as {chosen}, since {reason} and it is published with {lines}"


def _lines(procedure: CodedProcedure, usual: ApproachGuidance, *, has_path_point: bool) -> tuple[ApproachGuidance, ...]:
    """The lines of minima that a procedure is published with, the most guidance first."""
    named = tuple(line for line in (*_WITH_DA, *_WITH_MDA) if line in procedure.levels)
    if named:
        return named
    return ("LPV", "LNAV") if has_path_point and procedure.route_type == "R" else (usual,)
