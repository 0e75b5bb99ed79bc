"""The procedure and transition that a lesson names, found in navigation data or refused with what there is."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from legwise.errors import PlanError
from legwise.model.lesson import LessonApproach
from legwise.model.navdata import CodedLeg, CodedProcedure, NavData, ProcedureKind
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.places import shown

VECTORS = "vectors"
"""The transition of an approach that is joined on its final course."""
_MOST_NAMED = 12


def found_procedure(approach: LessonApproach, book: FixBook, where: str) -> tuple[NavData, CodedProcedure]:
    """The navigation data and the procedure in it. Raises PlanError naming the nearest where there is none."""
    ident = approach.procedure
    if ident is None:
        raise PlanError(
            "the approach names no procedure and has no legs written out",
            where=where,
            remedy="Name it (procedure = ...), or write it out: leg = [ { path = ..., fix = ... }, ... ].",
        )
    navdata = book.navdata
    if navdata is None:
        raise PlanError(
            f"the procedure {ident} is looked up in navigation data, and none is named",
            where=f"{where} procedure",
            remedy='Name the file ([navdata] arinc424 = "..."), or write the legs of the approach out.',
        )
    found = navdata.procedure(approach.airport, ident, ProcedureKind.APPROACH)
    if found is None:
        known = list(navdata.procedures(approach.airport, ProcedureKind.APPROACH))
        if not known and navdata.airport(approach.airport) is None:
            near = ", ".join(navdata.nearest_idents(approach.airport, "airport"))
            raise PlanError(
                f"the aerodrome {approach.airport} is not in the navigation data ({navdata.summary.file})",
                where=f"{where} airport",
                remedy=f"The nearest known: {near}." if near else "Check its ident, or take data that holds it.",
            )
        raise PlanError(
            f"{approach.airport} has no approach {ident} in the navigation data ({navdata.summary.file})",
            where=f"{where} procedure",
            remedy=_choice("The nearest are", ident, known) or "It has no approach coded at all.",
        )
    return navdata, found


def parts_of(
    approach: LessonApproach, procedure: CodedProcedure, where: str, notes: list[str]
) -> tuple[Sequence[CodedLeg], Sequence[CodedLeg], Sequence[CodedLeg]]:
    """The legs of the transition (none without one), the final part and the missed approach."""
    part = procedure.part("final")
    final = [leg for leg in part.legs if not leg.is_missed] if part is not None else []
    if part is None or not final:
        raise PlanError(
            f"{approach.airport} {procedure.ident} has no final part in the navigation data",
            where=f"{where} procedure",
            remedy="Take navigation data that is complete, or write the legs of the approach out.",
        )
    missed = [leg for leg in part.legs if leg.is_missed]
    known = procedure.transitions()
    name = approach.transition
    if name is None:
        if known:
            there = ", ".join(map(shown, known[:_MOST_NAMED]))
            notes.append(f"no transition is named, so its final part alone is owed (there are {there})")
        return (), final, missed
    if name.casefold() == VECTORS:
        notes.append("with vectors the final course is owed from wherever it is joined outside the final approach fix")
        return (), final, missed
    found = next((p for p in procedure.parts if p.place == "fix" and p.transition.casefold() == name.casefold()), None)
    if found is None:
        raise PlanError(
            f"{approach.airport} {procedure.ident} has no transition {name}",
            where=f"{where} transition",
            remedy=(_choice("There are", name, list(known)) or "It has none: leave transition out.")
            + f' Or transition = "{VECTORS}".',
        )
    return found.legs, final, missed


def _choice(words: str, ident: str, known: Sequence[str]) -> str:
    """The known names most like an unknown one, then the others where they are few."""
    if not known:
        return ""
    folded = {item.casefold(): item for item in known}
    near = [folded[item] for item in get_close_matches(ident.casefold()[:60], folded, n=5, cutoff=0.4)]
    few = known if len(known) <= _MOST_NAMED or not near else ()
    named = list(dict.fromkeys((*near, *few)))[:_MOST_NAMED]
    return f"{words} {', '.join(map(shown, named))}."
