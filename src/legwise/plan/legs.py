"""Legs of the plan: from points of a route, and from legs written out (IF, TF, CF, DF)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from legwise.errors import PlanError
from legwise.geodesy.angles import turn_deg
from legwise.geodesy.geodesics import inverse
from legwise.geodesy.lines import MIN_LEG_NM, GeodesicLine, line_between, line_to
from legwise.model.arrays import readonly_floats
from legwise.model.lesson import AltitudeLimit, LessonLeg
from legwise.model.plan import AltitudeWindow, Fix, Leg, LegPart
from legwise.plan.variation import Variation

# A charted course is published to the degree, and the variation of record may differ from today's by some degrees.
_COURSE_DIFFERS_DEG = 5.0
_DISTANCE_DIFFERS_NM = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """The path of a leg, its courses at the start (of a CF at the fix) and its length; None where none is fixed."""

    path: GeodesicLine | None = None
    course_deg_true: float | None = None
    course_deg_mag: float | None = None
    distance_nm: float | None = None


@dataclass(slots=True, kw_only=True)
class LegMaker:
    """What the legs of one part of the plan have in common; ``notes`` gathers what is worth telling."""

    part: LegPart
    prefix: str
    where: str
    variation: Variation
    find: Callable[[str, str], Fix]
    approach: int | None = None
    station: Fix | None = None
    notes: list[str] = field(default_factory=list)

    def written_out(self, legs: Sequence[LessonLeg], start: Fix | None, key: str) -> tuple[Leg, ...]:
        """Legs in order, the first one from ``start``; ``key`` is the name of the list in the lesson file.

        Raises
        ------
        PlanError
            An unknown fix, a TF without a fix before it or without length, a path terminator that is not read.
        """
        made: list[Leg] = []
        before = start
        for number, leg in enumerate(legs, start=1):
            place = f"{self.where} {key} {number}"
            made.append(self._leg(leg, before, f"{self.prefix}{number}", place))
            before = made[-1].to_fix
        return tuple(made)

    def _leg(self, leg: LessonLeg, before: Fix | None, leg_id: str, where: str) -> Leg:
        if leg.fix is None:
            raise PlanError(f"the {leg.path} leg names no fix", where=where, remedy='Add fix = "...".')
        fix = self.find(leg.fix, where)
        ground = self._ground(leg, before, fix, where)
        is_map = leg.role == "MAP"
        return Leg(
            id=leg_id,
            kind=leg.path,
            part=self.part,
            approach=self.approach,
            from_fix=None if leg.path == "IF" else before,
            to_fix=fix,
            path=ground.path,
            course_deg_true=ground.course_deg_true,
            course_deg_mag=ground.course_deg_mag,
            distance_nm=ground.distance_nm,
            altitude=window_of(leg.altitude),
            speed_max_kt=leg.speed_max_kt,
            role=leg.role,
            # A missed approach point is passed over (FAA AIM 1-1-17: fly-over waypoints).
            fly_over=leg.fly_over if leg.fly_over is not None else fix.fly_over or is_map,
            turn=leg.turn,
        )

    def _ground(self, leg: LessonLeg, before: Fix | None, fix: Fix, where: str) -> _Ground:
        """The path over the ground that a leg fixes before the flight; an IF is a point, a DF begins anywhere."""
        if leg.path in ("IF", "DF"):
            return _Ground()
        if leg.path == "TF":
            path = track_to_fix(before, fix, where)
            start = before or fix
            self._compare_with_chart(leg, path, start, fix)
            return _Ground(
                path=path,
                course_deg_true=path.start_course_deg_true,
                course_deg_mag=self.variation.magnetic_course(path.start_course_deg_true, start, self.station),
                distance_nm=path.length_nm,
            )
        if leg.path == "CF":
            course = self._course_to(leg, fix, where)
            path, distance = course_to_fix(before, fix, course)
            written = leg.course_deg_mag
            if written is None:
                written = self.variation.magnetic_course(course, fix, self._station_of(leg, where))
            return _Ground(path=path, course_deg_true=course, course_deg_mag=written, distance_nm=distance)
        raise PlanError(f"the path terminator {leg.path} is not read yet", where=where, remedy="Use IF, TF, CF or DF.")

    def _course_to(self, leg: LessonLeg, fix: Fix, where: str) -> float:
        if leg.course_deg_true is not None:
            return leg.course_deg_true % 360.0
        if leg.course_deg_mag is None:
            raise PlanError("the CF leg has no course", where=where, remedy="Add course_deg_mag or course_deg_true.")
        try:
            return self.variation.true_course(leg.course_deg_mag, fix, self._station_of(leg, where))
        except PlanError as error:
            raise PlanError(error.message, where=where, remedy=error.remedy) from error

    def _station_of(self, leg: LessonLeg, where: str) -> Fix | None:
        return self.find(leg.navaid, where) if leg.navaid is not None else self.station

    def _compare_with_chart(self, leg: LessonLeg, path: GeodesicLine, before: Fix, fix: Fix) -> None:
        """Note where the charted course or distance of a TF differs from that between its fixes."""
        charted, found, kind = leg.course_deg_mag, None, "magnetic"
        if leg.course_deg_true is not None:
            charted, found, kind = leg.course_deg_true, path.end_course_deg_true, "true"
        elif charted is not None:
            station = self._station_of(leg, self.where)
            found = self.variation.magnetic_course(path.end_course_deg_true, fix, station)
        if charted is not None and found is not None and abs(float(turn_deg(found, charted))) > _COURSE_DIFFERS_DEG:
            self.notes.append(
                f"{before.ident} to {fix.ident}: the written course ({charted:.0f}° {kind}) is not that between the "
                f"fixes ({found:.0f}° {kind}), which was taken."
            )
        if leg.distance_nm is not None and abs(leg.distance_nm - path.length_nm) > _DISTANCE_DIFFERS_NM:
            self.notes.append(
                f"{before.ident} to {fix.ident}: the written distance ({leg.distance_nm:g} NM) is not that between the "
                f"fixes ({path.length_nm:.1f} NM), which was taken."
            )


def route_leg(number: int, before: Fix, after: Fix, variation: Variation, where: str) -> Leg:
    """The TF leg between two points of a route. Raises PlanError where it has no length."""
    path = track_to_fix(before, after, where)
    return Leg(
        id=f"R{number}",
        kind="TF",
        part=LegPart.ROUTE,
        approach=None,
        from_fix=before,
        to_fix=after,
        path=path,
        course_deg_true=path.start_course_deg_true,
        course_deg_mag=variation.magnetic_course(path.start_course_deg_true, before),
        distance_nm=path.length_nm,
        fly_over=after.fly_over,
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


def window_of(limit: AltitudeLimit | None) -> AltitudeWindow | None:
    """The altitude window of a leg; "at" is a window of no height."""
    if limit is None:
        return None
    if limit.at_ft is not None:
        return AltitudeWindow(low_ft=limit.at_ft, high_ft=limit.at_ft)
    return AltitudeWindow(low_ft=limit.at_or_above_ft, high_ft=limit.at_or_below_ft)
