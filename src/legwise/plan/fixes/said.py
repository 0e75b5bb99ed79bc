"""The fixes and approaches that instructions name must be known before the flight is looked at."""

from __future__ import annotations

from legwise.errors import PlanError
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.plan.fixes.book import FixBook


def look_up_fixes_said(lesson: Lesson, book: FixBook) -> None:
    """Look up every fix that an instruction names. Raises PlanError for one that is unknown."""
    for number, clearance in enumerate(lesson.clearance, start=1):
        place = f"[[clearance]] {number}"
        if clearance.direct is not None:
            book.find(clearance.direct, where=f"{place} direct")
        if clearance.hold is not None:
            book.find(clearance.hold.fix, where=f"{place} hold.fix")
        if clearance.crossing is not None:
            book.find(clearance.crossing.fix, where=f"{place} crossing.fix")


def check_approaches_said(lesson: Lesson, plan: Plan) -> None:
    """Raise PlanError for an instruction that clears for an approach the lesson does not hold."""
    for number, clearance in enumerate(lesson.clearance, start=1):
        if clearance.cleared is None or plan.approach_named(clearance.cleared) is not None:
            continue
        known = ", ".join(
            dict.fromkeys(
                f"{item.airport}/{item.runway.ident if item.runway is not None else item.procedure}"
                for item in plan.approaches
            )
        )
        raise PlanError(
            f"cleared for {clearance.cleared}, which is no approach of the lesson",
            where=f"[[clearance]] {number} cleared",
            remedy=f"The lesson has {known}." if known else "Write the approach into the lesson as an [[approach]].",
        )
