"""The runways in use, for the parts of departures and arrivals that belong to one."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.model.lesson import Lesson, LessonApproach
from legwise.model.navdata import NavData, ProcedureKind
from legwise.model.plan import Fix
from legwise.plan.fixes.places import fix_of_record
from legwise.plan.route.procedures import bare_runway


def runways_in_use(
    lesson: Lesson, airports: Sequence[str], navdata: NavData | None
) -> tuple[dict[ProcedureKind, str | None], tuple[str, ...]]:
    """The runways of departure and arrival, None where not known, and a note where the approach told the latter.

    ``[route] departure_runway`` and ``arrival_runway`` say them; else the arrival's is that of the lesson's first
    approach to the last of ``airports``, if they have one in common.
    """
    route = lesson.route
    runways: dict[ProcedureKind, str | None] = {
        ProcedureKind.DEPARTURE: route.departure_runway,
        ProcedureKind.ARRIVAL: route.arrival_runway,
    }
    if route.arrival_runway is not None or not airports:
        return runways, ()
    destination = airports[-1]
    for approach in lesson.approach:
        runway = _runway_of(approach, navdata) if approach.airport == destination else ""
        if runway:
            runways[ProcedureKind.ARRIVAL] = runway
            return runways, (f"The arrival was taken for {runway}, the runway of the approach.",)
    return runways, ()


def _runway_of(approach: LessonApproach, navdata: NavData | None) -> str:
    if approach.runway is not None:
        return approach.runway.ident
    if navdata is None or approach.procedure is None:
        return ""
    procedure = navdata.procedure(approach.airport, approach.procedure, ProcedureKind.APPROACH)
    return procedure.runway if procedure is not None else ""


def runway_fix(navdata: NavData | None, airport: str, runway: str | None) -> Fix | None:
    """The landing threshold of a runway, where the navigation data has it."""
    if navdata is None or runway is None:
        return None
    wanted = bare_runway(runway)
    coded = next((item for item in navdata.runways(airport) if bare_runway(item.fix.ident) == wanted), None)
    return fix_of_record(coded.fix) if coded is not None else None
