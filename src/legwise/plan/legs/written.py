"""Legs written into a lesson as leg specs: fixes looked up, courses made true."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.errors import PlanError
from legwise.geodesy.angles import wrap_360
from legwise.model.lesson import AltitudeLimit, LessonLeg
from legwise.model.plan import AltitudeWindow, Fix
from legwise.plan.fixes.book import FixBook
from legwise.plan.fixes.places import kind_word, shown
from legwise.plan.legs.spec import BACK_AT_FIX, COURSES, HEADINGS, HOLDS, Course, LegSpec, checked_window
from legwise.plan.variation import Variation, east_or_west

_HAS_RADIALS = ("vor", "ndb")


class WrittenLegs:
    """Turns the legs of one approach into specs; magnetic courses go by the station's variation, else the model's."""

    def __init__(self, *, book: FixBook, variation: Variation, station: Fix | None, approach: int | None) -> None:
        self._book = book
        self._variation = variation
        self._station = station
        self._approach = approach
        self._own: dict[str, float] = {}

    def specs(self, legs: Sequence[LessonLeg], start: Fix | None, where: str) -> tuple[LegSpec, ...]:
        """The legs in order; ``where`` names their list in messages (``[[approach]] 1 leg``).

        Raises
        ------
        PlanError
            An unknown fix or station; a course that can't be made true; altitudes upside down.
        """
        found = [self._fix(leg.fix, f"{where} {number}") for number, leg in enumerate(legs, start=1)]
        made: list[LegSpec] = []
        near = start
        for number, leg in enumerate(legs):
            # A course without a fix of its own takes the variation of the last fix before it, else of the next.
            near = found[number] or near or next((fix for fix in found[number:] if fix is not None), self._station)
            onward = legs[number + 1] if number + 1 < len(legs) else None
            made.append(self._spec(leg, found[number], near, onward, f"{where} {number + 1}"))
        return tuple(made)

    def variation_note(self, name: str) -> str | None:
        """By which stations' and fixes' own variation magnetic courses went; None where the model gave all."""
        if not self._own:
            return None
        own = ", ".join(f"{ident} {east_or_west(degrees)}" for ident, degrees in self._own.items())
        return f"{name}: magnetic courses go by the variation written for {own}, others by the model."

    def _fix(self, ident: str | None, where: str) -> Fix | None:
        return self._book.find(ident, where=where, approach=self._approach) if ident is not None else None

    def _spec(self, leg: LessonLeg, fix: Fix | None, near: Fix | None, onward: LessonLeg | None, where: str) -> LegSpec:
        ends_it = self._fix(leg.dme, f"{where} dme")
        named = self._fix(leg.navaid, f"{where} navaid")
        is_radial = leg.path in ("CR", "VR")
        # A station named on a leg gives the variation of its course; on a CR or VR it is the one whose radial ends it.
        navaid = self._station if is_radial else named or self._station
        if is_radial:
            ends_it = _with_radials(named, leg, f"{where} navaid")
        return LegSpec(
            kind=leg.path,
            where=where,
            fix=fix,
            centre=self._centre(leg, where),
            station=ends_it,
            navaid=navaid,
            course=self._course(leg, near, navaid, where),
            radial=self._direction(leg.radial_deg_mag, leg.radial_deg_true, ends_it, ends_it, where),
            distance_nm=_length_of(leg),
            minutes=leg.leg_minutes,
            radius_nm=leg.radius_nm,
            turn=leg.turn,
            altitude=checked_window(window_of(leg.altitude), where),
            speed_max_kt=leg.speed_max_kt,
            role=leg.role,
            fly_over=_is_passed_over(leg, fix, onward),
        )

    def _centre(self, leg: LessonLeg, where: str) -> Fix | None:
        if leg.centre is None or isinstance(leg.centre, str):
            return self._fix(leg.centre, f"{where} centre")
        ident = f"the centre at {leg.centre.lat_deg:.4f} {leg.centre.lon_deg:.4f}"
        return Fix(ident=ident, lat_deg=leg.centre.lat_deg, lon_deg=leg.centre.lon_deg)

    def _course(self, leg: LessonLeg, near: Fix | None, navaid: Fix | None, where: str) -> Course | None:
        magnetic, true = leg.course_deg_mag, leg.course_deg_true
        if leg.path in HEADINGS:
            magnetic, true = leg.heading_deg_mag, leg.heading_deg_true
        elif leg.path in HOLDS:
            magnetic, true = leg.inbound_course_deg_mag, leg.inbound_course_deg_true
        elif leg.path == "PI":
            magnetic, true = leg.outbound_course_deg_mag, leg.outbound_course_deg_true
        return self._direction(magnetic, true, near, navaid, where)

    def _direction(
        self, magnetic: float | None, true: float | None, at: Fix | None, station: Fix | None, where: str
    ) -> Course | None:
        """A direction by both norths at a fix; one that is given both ways stays as it is given."""
        if magnetic is None and true is None:
            return None
        if magnetic is not None and true is None:
            own = next((fix for fix in (station, at) if fix is not None and fix.variation_deg is not None), None)
            if own is not None and own.variation_deg is not None:
                self._own[own.ident] = own.variation_deg
        if true is not None:
            if magnetic is None and at is not None:
                magnetic = self._variation.magnetic_course(true, at, station)
            return Course(true_deg=float(wrap_360(true)), mag_deg=magnetic)
        if at is None or magnetic is None:
            raise PlanError(
                "the magnetic course has no place to take its variation from",
                where=where,
                remedy="Write it as true (..._deg_true), or begin at a fix.",
            )
        try:
            return Course(true_deg=self._variation.true_course(magnetic, at, station), mag_deg=magnetic)
        except PlanError as error:
            raise PlanError(error.message, where=where, remedy=error.remedy) from error


def window_of(limit: AltitudeLimit | None) -> AltitudeWindow | None:
    """The altitude window of a leg; "at" is a window of no height."""
    if limit is None:
        return None
    if limit.at_ft is not None:
        return AltitudeWindow(low_ft=limit.at_ft, high_ft=limit.at_ft)
    return AltitudeWindow(low_ft=limit.at_or_above_ft, high_ft=limit.at_or_below_ft)


def _with_radials(station: Fix | None, leg: LessonLeg, where: str) -> Fix | None:
    """The station whose radial ends a CR or VR. Raises PlanError where it is none that has radials."""
    if station is not None and station.kind not in _HAS_RADIALS:
        raise PlanError(
            f"the {leg.path} leg ends on a radial, and {shown(station.ident)} is {_a(kind_word(station))}, "
            "which has none",
            where=where,
            remedy=f"Name a VOR or an NDB; where {shown(station.ident)} is one, write it as a [[fix]] with "
            'kind = "vor" or kind = "ndb".',
        )
    return station


def _a(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"


def _length_of(leg: LessonLeg) -> float | None:
    if leg.path == "PI":
        return leg.limit_nm
    return leg.leg_nm if leg.path in HOLDS else leg.distance_nm


def _is_passed_over(leg: LessonLeg, fix: Fix | None, onward: LessonLeg | None) -> bool:
    """Whether the leg's fix is passed before the turn: as written, else where the trade always does.

    Source: FAA AIM 1-1-17 b5(h)(3): the missed approach waypoint always, a holding waypoint unless charted fly-by.
    """
    if leg.role == "MAP" or leg.fly_over is not None:
        return leg.role == "MAP" or bool(leg.fly_over)
    if leg.path in BACK_AT_FIX:
        return True
    if leg.path in COURSES | HEADINGS:
        return False
    before_hold = onward is not None and onward.path in BACK_AT_FIX and onward.fix == leg.fix
    return before_hold or (fix is not None and fix.fly_over)
