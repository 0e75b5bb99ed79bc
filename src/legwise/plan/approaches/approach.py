"""Approaches resolved, written out or coded: legs, final course, runway, guidance, minima."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.model.lesson import LessonApproach, LessonLeg
from legwise.model.plan import Fix, Leg, LegPart, PlannedApproach, PlannedRunway
from legwise.plan.approaches.coded import coded_approach
from legwise.plan.approaches.final import FinalCourse, final_course, with_roles
from legwise.plan.fixes.book import FixBook
from legwise.plan.legs.maker import LegMaker
from legwise.plan.legs.written import WrittenLegs
from legwise.plan.variation import Variation

DEFAULT_RUNWAY_LENGTH_FT = 6000.0
"""Where no length is given: common practice, no published source. It sets where the needle's angle has its apex."""
DEFAULT_THRESHOLD_CROSSING_HEIGHT_FT = 50.0
"""Common practice, no published source."""
DEFAULT_HALF_WIDTH_FT = 350.0
"""Full scale is 700 ft wide in all at the threshold (FAA AIM 1-1-9 b2 for a localizer, 1-1-18 d4 for LPV)."""
DEFAULT_GLIDEPATH_DEG = 3.0
"""The nominal glidepath (FAA AIM 1-1-9 d)."""

_WITH_GLIDEPATH = ("LPV", "LNAV/VNAV", "ILS", "GLS")
_ANGULAR = ("LPV", "LP", "ILS", "GLS", "LOC", "LDA", "SDF")


def planned_approach(
    index: int, approach: LessonApproach, *, book: FixBook, variation: Variation, where: str
) -> tuple[PlannedApproach, tuple[str, ...]]:
    """The approach with everything resolved, and notes on what was assumed.

    Raises
    ------
    PlanError
        An unknown fix, procedure or transition, a leg that can't be resolved, no legs, a final approach fix behind the
        threshold.
    """
    notes: list[str] = []
    alignment_nm = None
    if approach.leg:
        navaid = book.find(approach.navaid, where=f"{where} navaid") if approach.navaid is not None else None
        legs, missed = _legs(index, approach, navaid, book=book, variation=variation, where=where, notes=notes)
    else:
        coded = coded_approach(index, approach, book=book, variation=variation, where=where)
        approach, navaid, legs, missed = coded.approach, coded.navaid, coded.legs, coded.missed
        alignment_nm = coded.alignment_nm
        notes += coded.notes
    name = _name(approach)
    legs, assumed = with_roles(legs, name, where=where)
    final = final_course(legs, approach.runway, variation=variation, station=navaid, name=name, where=where)
    notes += (*assumed, *final.notes)
    runway = _runway(approach, final, name, notes)
    minima, flown = approach.minima, approach.flown_minima
    planned = PlannedApproach(
        index=index,
        airport=approach.airport,
        procedure=approach.procedure or name,
        title=approach.title or name,
        guidance=approach.guidance,
        selected_final_only=approach.selected == "final-only",
        stepped=approach.technique == "stepped",
        navaid=navaid,
        runway=runway,
        glidepath_deg=_glidepath(approach, runway, name, notes),
        threshold_crossing_height_ft=_crossing_height(approach, runway, name, notes),
        half_width_at_threshold_ft=_half_width(approach, name, notes),
        da_ft=minima.da_ft if minima is not None else None,
        mda_ft=minima.mda_ft if minima is not None else None,
        flown_da_ft=flown.da_ft if flown is not None else None,
        flown_mda_ft=flown.mda_ft if flown is not None else None,
        legs=legs,
        missed=missed,
        final_path=final.path,
        faf_to_go_nm=final.faf_to_go_nm,
        alignment_nm=alignment_nm,
    )
    return planned, tuple(notes)


def _legs(
    index: int,
    approach: LessonApproach,
    navaid: Fix | None,
    *,
    book: FixBook,
    variation: Variation,
    where: str,
    notes: list[str],
) -> tuple[tuple[Leg, ...], tuple[Leg, ...]]:
    """The legs of the approach and of its missed approach, which begins at the approach's last fix."""
    written = WrittenLegs(book=book, variation=variation, station=navaid, approach=index)

    def made(part: LegPart, prefix: str, legs: Sequence[LessonLeg], start: Fix | None, key: str) -> tuple[Leg, ...]:
        maker = LegMaker(part=part, prefix=prefix, book=book, variation=variation, approach=index, notes=notes)
        return maker.made(written.specs(legs, start, f"{where} {key}"), start)

    legs = made(LegPart.APPROACH, f"A{index + 1}.", approach.leg, None, "leg")
    last = next((leg.to_fix for leg in reversed(legs) if leg.to_fix is not None), None)
    missed = made(LegPart.MISSED, f"A{index + 1}.M", approach.missed, last, "missed")
    note = written.variation_note(_name(approach))
    notes += [note] if note is not None else []
    return legs, missed


def airport_of(approach: LessonApproach, book: FixBook) -> Fix | None:
    """The aerodrome of an approach: its own fix, else the threshold of its runway; None where neither is given."""
    return book.known(approach.airport)


def _name(approach: LessonApproach) -> str:
    """What the approach is called: its title, its procedure, or guidance and runway."""
    runway = approach.runway.ident if approach.runway is not None else ""
    made_up = " ".join(part for part in (approach.guidance, runway) if part)
    return approach.title or approach.procedure or made_up or f"approach to {approach.airport}"


def _runway(approach: LessonApproach, final: FinalCourse, name: str, notes: list[str]) -> PlannedRunway | None:
    runway = approach.runway
    if runway is None:
        return None
    if final.course_deg_true is None:
        notes.append(f"{name}: {runway.ident} has no course, so it was left out.")
        return None
    if runway.length_ft is None and approach.guidance in _ANGULAR:
        notes.append(f"{name}: the length of {runway.ident} was taken as {DEFAULT_RUNWAY_LENGTH_FT:,.0f} ft.")
    return PlannedRunway(
        ident=runway.ident,
        lat_deg=runway.lat_deg,
        lon_deg=runway.lon_deg,
        elevation_ft=runway.elevation_ft,
        course_deg_true=final.course_deg_true,
        length_ft=runway.length_ft if runway.length_ft is not None else DEFAULT_RUNWAY_LENGTH_FT,
        length_assumed=runway.length_ft is None,
    )


def _glidepath(approach: LessonApproach, runway: PlannedRunway | None, name: str, notes: list[str]) -> float | None:
    """The glidepath, guiding or advisory. [deg] None where there is none, or no threshold that it leads to."""
    if approach.guidance not in _WITH_GLIDEPATH:
        return approach.glidepath_deg
    if runway is None:
        notes.append(f"{name}: no runway is given, so its glidepath has no place and is not judged.")
        return None
    if approach.glidepath_deg is None:
        notes.append(f"{name}: the glidepath was taken as {DEFAULT_GLIDEPATH_DEG:.2f}°.")
        return DEFAULT_GLIDEPATH_DEG
    return approach.glidepath_deg


def _crossing_height(approach: LessonApproach, runway: PlannedRunway | None, name: str, notes: list[str]) -> float:
    """The height of the glidepath at the threshold. [ft]"""
    if approach.threshold_crossing_height_ft is not None:
        return approach.threshold_crossing_height_ft
    has_path = approach.guidance in _WITH_GLIDEPATH or approach.glidepath_deg is not None
    if has_path and runway is not None:
        notes.append(f"{name}: the threshold crossing height was taken as {DEFAULT_THRESHOLD_CROSSING_HEIGHT_FT:g} ft.")
    return DEFAULT_THRESHOLD_CROSSING_HEIGHT_FT


def _half_width(approach: LessonApproach, name: str, notes: list[str]) -> float:
    """Full scale at the threshold, one side. [ft]"""
    if approach.course_half_width_at_threshold_ft is not None:
        return approach.course_half_width_at_threshold_ft
    if approach.guidance in _ANGULAR:
        notes.append(f"{name}: full scale at the threshold was taken as {DEFAULT_HALF_WIDTH_FT:g} ft each side.")
    return DEFAULT_HALF_WIDTH_FT
