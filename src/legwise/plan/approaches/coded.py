"""Approaches of navigation data: the procedure found, its parts joined, and what its records say filled in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from legwise.errors import PlanError
from legwise.model.lesson import ApproachGuidance, LessonApproach
from legwise.model.navdata import CodedLeg, CodedLocalizer, CodedProcedure, FixKey, NavData, Section
from legwise.model.plan import Fix, Leg, LegPart
from legwise.plan.approaches.final import STRAIGHT_IN_DEG
from legwise.plan.approaches.join import joined, vectored
from legwise.plan.approaches.lookup import VECTORS, found_procedure, parts_of
from legwise.plan.approaches.naming import SATELLITE, guidance_of, title_of
from legwise.plan.approaches.runway import FinalFacts, final_facts, straight_in_apart_deg
from legwise.plan.fixes.book import FixBook
from legwise.plan.legs.coded_fields import CodedSpecs
from legwise.plan.legs.maker import LegMaker
from legwise.plan.legs.spec import LegSpec
from legwise.plan.variation import Variation


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CodedApproach:
    """An approach of navigation data, resolved: what the lesson left out filled in, and its legs."""

    approach: LessonApproach
    navaid: Fix | None
    legs: tuple[Leg, ...]
    missed: tuple[Leg, ...]
    alignment_nm: float | None
    notes: tuple[str, ...]


def coded_approach(
    index: int, approach: LessonApproach, *, book: FixBook, variation: Variation, where: str
) -> CodedApproach:
    """The approach that a lesson names by its procedure; what the lesson says itself is kept.

    Raises
    ------
    PlanError
        No navigation data; an unknown aerodrome, procedure or transition, naming those there are; a leg that can't be
        resolved, naming its record.
    """
    navdata, procedure = found_procedure(approach, book, where)
    reader = CodedSpecs(
        book=book,
        variation=variation,
        where=where,
        procedure=procedure.ident,
        airport_variation_deg=_airport_variation_deg(navdata, procedure.airport),
        by_station=procedure.route_type not in SATELLITE,
    )
    notes: list[str] = [f"{problem.message} (line {problem.line})" for problem in procedure.problems]
    transition, final, missed = parts_of(approach, procedure, where, notes)
    navaid = _navaid(approach, final, index=index, book=book, where=where, notes=notes)
    maker = LegMaker(
        part=LegPart.APPROACH, prefix=f"A{index + 1}.", book=book, variation=variation, where=where, approach=index
    )
    specs = _chain(approach, maker, reader, transition, final, notes)
    legs = maker.made(specs, None)
    last = next((leg.to_fix for leg in reversed(legs) if leg.to_fix is not None), None)
    maker.part, maker.prefix = LegPart.MISSED, f"A{index + 1}.M"
    missed_legs = maker.made(reader.specs(missed, last), last)
    guidance, chosen = _guidance(approach, navdata, procedure)
    facts = _facts(navdata, procedure, guidance, final)
    if facts.runway is not None and (off := _off_runway(navdata, procedure, legs)) is not None:
        notes.append(f"its final course lies {off:.0f}° off {facts.runway.ident} and ends at the missed approach point")
        facts = replace(facts, runway=None)
    title = approach.title or title_of(procedure)
    told = [*notes, *([chosen] if chosen else [])]
    variation_note = reader.variation_note()
    return CodedApproach(
        approach=_filled_in(approach, procedure, title, guidance, facts),
        navaid=navaid,
        legs=legs,
        missed=missed_legs,
        alignment_nm=facts.alignment_nm if approach.runway is None else None,
        notes=(
            *(f"{title}: {text}." for text in told),
            *maker.notes,
            *([variation_note] if variation_note is not None else []),
        ),
    )


def _chain(
    approach: LessonApproach,
    maker: LegMaker,
    reader: CodedSpecs,
    transition: Sequence[CodedLeg],
    final: Sequence[CodedLeg],
    notes: list[str],
) -> tuple[LegSpec, ...]:
    before = reader.specs(transition, None)
    start = next((spec.fix for spec in reversed(before) if spec.fix is not None), None)
    after = reader.specs(final, start)
    if approach.transition is not None and approach.transition.casefold() == VECTORS:
        return vectored(maker, after)
    specs, gap = joined(maker, before, after)
    if gap is not None:
        notes.append(gap)
    return specs


def _guidance(
    approach: LessonApproach, navdata: NavData, procedure: CodedProcedure
) -> tuple[ApproachGuidance | None, str | None]:
    """What the lesson says, else what procedure and minima make of it, and a note on the choice."""
    if approach.guidance is not None:
        return approach.guidance, None
    has_path_point = navdata.path_point(procedure.airport, procedure.ident) is not None
    return guidance_of(procedure, approach.minima, has_path_point=has_path_point)


def _facts(
    navdata: NavData, procedure: CodedProcedure, guidance: ApproachGuidance | None, final: Sequence[CodedLeg]
) -> FinalFacts:
    localizer: CodedLocalizer | None = None
    key = next((leg.navaid for leg in reversed(final) if _is_localizer(leg.navaid)), None)
    if key is not None:
        localizer = navdata.localizer(procedure.airport, key.ident)
    angle = next((leg.vertical_angle_deg for leg in reversed(final) if leg.vertical_angle_deg), None)
    return final_facts(navdata, procedure, guidance, localizer, angle)


def _off_runway(navdata: NavData, procedure: CodedProcedure, legs: Sequence[Leg]) -> float | None:
    """How far the last leg lies off the runway where that is too much for a straight-in approach. [deg]"""
    last = next((leg.path for leg in reversed(legs) if leg.ends_at_fix), None)
    if last is None:
        return None
    off = straight_in_apart_deg(navdata, procedure, last.end_course_deg_true)
    return off if off is not None and off > STRAIGHT_IN_DEG else None


def _is_localizer(key: FixKey | None) -> bool:
    return key is not None and key.section is Section.LOCALIZER


def _navaid(
    approach: LessonApproach,
    final: Sequence[CodedLeg],
    *,
    index: int,
    book: FixBook,
    where: str,
    notes: list[str],
) -> Fix | None:
    """The lesson's station, else the one that the final part recommends last; None where the data does not hold it."""
    if approach.navaid is not None:
        return book.find(approach.navaid, where=f"{where} navaid", approach=index)
    leg = next((leg for leg in reversed(final) if leg.navaid is not None), None)
    if leg is None or leg.navaid is None:
        return None
    try:
        return book.coded(leg.navaid, where=where)
    except PlanError:
        notes.append(f"its station {leg.navaid.ident} is not in the navigation data, so its needle is not known")
        return None


def _filled_in(
    approach: LessonApproach,
    procedure: CodedProcedure,
    title: str,
    guidance: ApproachGuidance | None,
    facts: FinalFacts,
) -> LessonApproach:
    """The lesson's approach with what the records say where the lesson says nothing."""
    found = {
        "procedure": procedure.ident,
        "title": title,
        "guidance": guidance,
        "runway": approach.runway or facts.runway,
        "glidepath_deg": facts.glidepath_deg,
        "threshold_crossing_height_ft": facts.threshold_crossing_height_ft,
        "course_half_width_at_threshold_ft": facts.half_width_ft,
    }
    kept = {key: getattr(approach, key) for key in found if getattr(approach, key) is not None and key != "procedure"}
    return approach.model_copy(update={**found, **kept})


def _airport_variation_deg(navdata: NavData, ident: str) -> float | None:
    airport = navdata.airport(ident)
    return airport.fix.variation_deg if airport is not None else None
