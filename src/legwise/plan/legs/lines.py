"""Legs to a fix along geodesics: IF, TF, CF, DF."""

from __future__ import annotations

from legwise.errors import PlanError
from legwise.geodesy.angles import turn_deg
from legwise.geodesy.geodesics import inverse
from legwise.geodesy.lines import MIN_LEG_NM, GeodesicLine, line_between, line_to
from legwise.model.arrays import readonly_floats
from legwise.model.plan import Fix
from legwise.plan.legs.ground import Ground, Surroundings
from legwise.plan.legs.spec import HOLDS, LegSpec, needed

BESIDE_NM = 0.5
"""A beacon and the fix that is coded beside it are one fix to fly (a locator at an outer marker). Our choice."""

# A charted course is published to the degree, and the variation of record may differ from today's by some degrees.
_COURSE_DIFFERS_DEG = 5.0
_DISTANCE_DIFFERS_NM = 0.3


def point_or_direct(spec: LegSpec, around: Surroundings) -> Ground:
    """An IF, which is a point, or a DF, which begins wherever the aircraft is: neither has a path yet."""
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    return Ground(from_fix=None if spec.kind == "IF" else around.before, to_fix=fix)


def track_leg(spec: LegSpec, around: Surroundings) -> Ground:
    """A TF: the geodesic between two fixes."""
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    path = track_to_fix(around.before, fix, spec.where)
    start = around.before or fix
    _compare_with_chart(spec, path, start, fix, around)
    return Ground(
        path=path,
        from_fix=start,
        to_fix=fix,
        course_deg_true=path.start_course_deg_true,
        course_deg_mag=around.magnetic(path.start_course_deg_true, start, spec),
        distance_nm=path.length_nm,
    )


def course_leg(spec: LegSpec, around: Surroundings) -> Ground:
    """A CF: the geodesic that arrives at a fix on a course.

    After a procedure turn, or a hold beside its fix, it is the course back: joined from anywhere, with no length.
    """
    fix = needed(spec.fix, spec, "names no fix", 'Add fix = "...".')
    course = needed(spec.course, spec, "has no course", "Add course_deg_mag or course_deg_true.")
    path, distance = course_to_fix(None if _is_course_back(around, fix) else around.before, fix, course.true_deg)
    return Ground(
        path=path,
        from_fix=around.before,
        to_fix=fix,
        course_deg_true=course.true_deg,
        course_deg_mag=course.mag_deg,
        distance_nm=distance,
    )


def track_to_fix(before: Fix | None, fix: Fix, where: str) -> GeodesicLine:
    """The geodesic from one fix to the next. Raises PlanError without a fix before, or where they coincide."""
    if before is None:
        raise PlanError("a TF leg needs a fix before it", where=where, remedy="Begin with an IF leg.")
    path = line_between(before.lat_deg, before.lon_deg, fix.lat_deg, fix.lon_deg)
    if path is None:
        raise PlanError(
            f"the leg from {before.ident} to {fix.ident} has no length",
            where=where,
            remedy="Leave one of the two out, or correct its position.",
        )
    return path


def course_to_fix(before: Fix | None, fix: Fix, course_deg_true: float) -> tuple[GeodesicLine, float | None]:
    """The geodesic that arrives at a fix on a course, and the length of the leg [NM] where there is a fix before it.

    It begins abeam the fix before it, where that lies before the fix; else it has no start (infinite length), and the
    leg's length is the distance between the fixes.
    """
    endless = line_to(fix.lat_deg, fix.lon_deg, course_deg_true)
    if before is None:
        return endless, None
    distance = float(inverse(before.lat_deg, before.lon_deg, fix.lat_deg, fix.lon_deg)[0])
    if distance < MIN_LEG_NM:
        return endless, None
    abeam = endless.measure(readonly_floats([before.lat_deg]), readonly_floats([before.lon_deg]))
    if not float(abeam.to_go_nm[0]) > MIN_LEG_NM:
        return endless, distance
    line = GeodesicLine(
        end_lat_deg=fix.lat_deg,
        end_lon_deg=fix.lon_deg,
        end_course_deg_true=course_deg_true % 360.0,
        length_nm=float(abeam.to_go_nm[0]),
        start_course_deg_true=float(abeam.course_deg_true[0]),
    )
    return line, line.length_nm


def _is_course_back(around: Surroundings, fix: Fix) -> bool:
    """Whether the leg before is a procedure turn, or a hold at the fix or beside it (a beacon at the same place)."""
    before = around.before
    if around.previous == "PI" or before is None:
        return True
    if around.previous not in HOLDS:
        return False
    return float(inverse(before.lat_deg, before.lon_deg, fix.lat_deg, fix.lon_deg)[0]) <= BESIDE_NM


def _compare_with_chart(spec: LegSpec, path: GeodesicLine, before: Fix, fix: Fix, around: Surroundings) -> None:
    """Note where the charted course or distance of a TF differs from that between its fixes."""
    charted = spec.course
    if charted is not None and abs(float(turn_deg(path.end_course_deg_true, charted.true_deg))) > _COURSE_DIFFERS_DEG:
        found = around.magnetic(path.end_course_deg_true, fix, spec)
        written, kind = charted.mag_deg, "magnetic"
        if found is None or written is None:
            written, found, kind = charted.true_deg, path.end_course_deg_true, "true"
        around.note(
            f"{before.ident} to {fix.ident}: the written course ({written:.0f}° {kind}) is not that between the "
            f"fixes ({found:.0f}° {kind}), which was taken."
        )
    if spec.distance_nm is not None and abs(spec.distance_nm - path.length_nm) > _DISTANCE_DIFFERS_NM:
        around.note(
            f"{before.ident} to {fix.ident}: the written distance ({spec.distance_nm:g} NM) is not that between the "
            f"fixes ({path.length_nm:.1f} NM), which was taken."
        )
