"""Holds and procedure turns: what is published of them. What is flown depends on speed and wind, so they have no path.

A hold's inbound course line is ``line_to`` its fix on its inbound course; the pattern itself is made for the speed and
wind flown.
"""

from __future__ import annotations

from legwise.geodesy.angles import turn_deg, wrap_360
from legwise.model.lesson import Turn
from legwise.model.plan import Hold, LegEnd, Reversal
from legwise.plan.legs.ground import Ground, Surroundings
from legwise.plan.legs.open_ended import end_of
from legwise.plan.legs.spec import LegSpec, needed

# The course back of a procedure turn is the reciprocal of the course out; a localizer or an approach to a fix beside it
# may bend a little. A leg that leads elsewhere is not the course back.
_COURSE_BACK_WITHIN_DEG = 30.0


def hold_leg(spec: LegSpec, around: Surroundings) -> Ground:
    """An HA, HF or HM: begins at its fix and leads back to it. Without a side it turns right, the standard (FAA AIM
    5-3-8 j1), and that is noted.

    Raises
    ------
    PlanError
        No fix, no inbound course; an HA without an altitude.
    """
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    course = needed(spec.course, spec, "has no inbound course", "Add inbound_course_deg_mag.")
    if spec.turn is None:
        around.note(f"The hold at {fix.ident} names no side: right turns, the standard, were taken.")
    turn: Turn = spec.turn or "right"
    return Ground(
        from_fix=fix,
        to_fix=fix,
        course_deg_true=course.true_deg,
        course_deg_mag=course.mag_deg,
        # Once round is a whole leg: it ends at its fix.
        end=None if spec.kind == "HF" else end_of(spec),
        hold=Hold(
            fix=fix,
            inbound_course_deg_true=course.true_deg,
            inbound_course_deg_mag=course.mag_deg,
            turn=turn,
            leg_minutes=spec.minutes,
            leg_nm=spec.distance_nm,
        ),
    )


def procedure_turn(spec: LegSpec, around: Surroundings) -> Ground:
    """A PI: out from its fix, a turn on the side it is drawn on, and back on the course of the leg after it.

    The course back is that of a CF after it where it leads back, else the reciprocal of the course out.

    Raises
    ------
    PlanError
        No fix, no outbound course, no side.
    """
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    course = needed(spec.course, spec, "has no outbound course", "Add outbound_course_deg_mag.")
    turn: Turn = needed(spec.turn, spec, "has no turn", 'Add turn, the side it is drawn on: "left" or "right".')
    back = float(wrap_360(course.true_deg + 180.0))
    onward = around.onward
    if onward is not None and onward.kind == "CF" and onward.course is not None:
        bend = abs(float(turn_deg(back, onward.course.true_deg)))
        if bend <= _COURSE_BACK_WITHIN_DEG:
            back = onward.course.true_deg
        else:
            around.note(
                f"The course after the procedure turn at {fix.ident} is {bend:.0f}° off its course back; "
                "the reciprocal of the course out was taken as the course back."
            )
    return Ground(
        from_fix=fix,
        to_fix=fix,
        course_deg_true=course.true_deg,
        course_deg_mag=course.mag_deg,
        end=LegEnd(kind="intercept"),
        reversal=Reversal(
            fix=fix,
            kind="procedure-turn",
            outbound_course_deg_true=course.true_deg,
            outbound_course_deg_mag=course.mag_deg,
            inbound_course_deg_true=back,
            turn=turn,
            limit_nm=spec.distance_nm,
        ),
    )
