"""Coded legs of navigation data as leg specs: what each field means on each kind of leg.

ARINC 424, chapter 5 and attachment 5, from memory, and as the records of the government files show them
(tests/benchmarks/real_procedures.py): the course of an AF is the radial on which it begins, theta that of its fix and
rho its radius; the course of a PI is that of its 45° leg, its turn the way of the 180° turn; the course of an RF is
the one it ends on, theta the one it begins on; the distance of a CD, FD or VD is that of the DME, theta of a CR or VR
the radial.
"""

from __future__ import annotations

from collections.abc import Sequence

from legwise.errors import PlanError
from legwise.geodesy.angles import wrap_360
from legwise.model.lesson import Turn
from legwise.model.navdata import CodedFix, CodedLeg, FixKey
from legwise.model.plan import Fix
from legwise.plan.fixes.book import FixBook
from legwise.plan.legs.spec import BACK_AT_FIX, HOLDS, Course, LegSpec, checked_window
from legwise.plan.legs.variations_used import VariationsUsed, leg_label
from legwise.plan.variation import Variation

_AT_ANGLE_DEG = 45.0
_MOST_LEGS = 300
_OTHER_SIDE: dict[Turn, Turn] = {"left": "right", "right": "left"}


class CodedSpecs:
    """Turns the coded legs of one procedure into specs, and keeps whose variation their magnetic courses went by.

    ``by_station`` where the procedure is conventional: its courses go by the variation of record of the station that
    the leg names, the VOR that a track begins or ends at, or the last station named before; else, and without one, they
    go by the aerodrome's (FAA AIM 1-1-17 b5(j)); where neither is coded, by the model.
    """

    def __init__(
        self,
        *,
        book: FixBook,
        variation: Variation,
        where: str,
        procedure: str,
        airport_variation_deg: float | None,
        by_station: bool = False,
    ) -> None:
        self._book = book
        self._variation = variation
        self._where = where
        self._procedure = procedure
        self._airport_deg = airport_variation_deg
        self._by_station = by_station
        self._station: CodedFix | None = None
        self._used = VariationsUsed()

    def specs(self, legs: Sequence[CodedLeg], start: Fix | None) -> tuple[LegSpec, ...]:
        """The legs in order.

        Raises
        ------
        PlanError
            A fix, centre or station that the navigation data does not hold; altitudes upside down; a magnetic course
            that no variation is known for. The message names the record.
        """
        if len(legs) > _MOST_LEGS:
            raise PlanError(
                f"{self._procedure} has {len(legs):,} legs in one part; none has more than {_MOST_LEGS}",
                where=self.place(legs[_MOST_LEGS]),
                remedy="The records of several procedures may have run together: check the file.",
            )
        fixes = [self._fix(leg.fix, self.place(leg)) for leg in legs]
        made = []
        near = start or next((fix for fix in fixes if fix is not None), None)
        for number, leg in enumerate(legs):
            near = fixes[number] or near
            self._used.leg = leg_label(leg.path, leg.fix.ident if leg.fix is not None else "", leg.course_deg)
            made.append(self._spec(leg, fixes[number], near, legs[number - 1].fix if number else None))
        return tuple(made)

    def place(self, leg: CodedLeg) -> str:
        """A leg's record as messages name it."""
        navdata = self._book.navdata
        file = f" of {navdata.summary.file}" if navdata is not None else ""
        return f"{self._where} {self._procedure} leg {leg.sequence:03d} (line {leg.line}{file})".strip()

    def variation_note(self) -> str | None:
        """Whose variation the magnetic courses went by; None where none was needed."""
        words = self._used.words()
        return f"{self._procedure}: its magnetic courses go by the variation of record: {words}." if words else None

    def _spec(self, leg: CodedLeg, fix: Fix | None, near: Fix | None, before: FixKey | None) -> LegSpec:
        place = self.place(leg)
        station = self._dme_of(leg.navaid, place) if leg.path in ("AF", "CD", "FD", "VD") else None
        if leg.path in ("CR", "VR"):
            station = self._fix(leg.navaid, place)
        coded = self._record(leg.navaid)
        self._station = coded or self._station
        whose, degrees = self._whose(self._station_of(leg, coded, before)) if self._by_station else self._whose(None)
        course = self._course(leg.course_deg, leg.is_true, near, whose, degrees, place)
        if leg.path in ("TF", "RF") and degrees is not None:
            self._used.add(whose, degrees)
        radial_deg = leg.course_deg if leg.path == "AF" else leg.theta_deg if leg.path in ("CR", "VR") else None
        # A radial is by its own station, whoever's the courses of the procedure are.
        radial = self._course(radial_deg, False, station, *self._whose(coded), place) if station is not None else None
        turn = leg.turn
        if leg.path == "PI":
            course, turn = self._out_of_turn(course, turn), _OTHER_SIDE[turn] if turn is not None else None
        return LegSpec(
            kind=leg.path,
            where=place,
            fix=fix,
            centre=station if leg.path == "AF" else self._fix(leg.centre, place) if leg.path == "RF" else None,
            station=station,
            course=None if leg.path == "AF" else course,
            radial=radial,
            variation_deg=degrees,
            distance_nm=leg.distance_nm,
            minutes=leg.minutes if leg.path in HOLDS else None,
            radius_nm=leg.rho_nm if leg.path == "AF" else leg.radius_nm,
            turn=turn,
            altitude=checked_window(leg.altitude, place),
            speed_max_kt=leg.speed_kt if leg.speed_limit in ("at", "max") else None,
            speed_min_kt=leg.speed_kt if leg.speed_limit in ("at", "min") else None,
            role=leg.role,
            fly_over=leg.fly_over or leg.role == "MAP" or leg.path in BACK_AT_FIX,
            vertical_angle_deg=leg.vertical_angle_deg,
            procedure=self._procedure,
        )

    def _station_of(self, leg: CodedLeg, named: CodedFix | None, before: FixKey | None) -> CodedFix | None:
        """Whose courses a leg of a conventional procedure goes by: the station that it names, else for a track between
        fixes the VOR that it begins or ends at, else the station that was named last.
        """
        if named is None and leg.path == "TF":
            ends = (self._record(key) for key in (before, leg.fix))
            named = next((fix for fix in ends if fix is not None and fix.kind == "vor"), None)
        return named or self._station

    @staticmethod
    def _out_of_turn(course: Course | None, turn: Turn | None) -> Course | None:
        """The outbound course of a procedure turn from that of its 45° leg, which lies opposite to its 180° turn."""
        if course is None or turn is None:
            return None
        back = -_AT_ANGLE_DEG if turn == "left" else _AT_ANGLE_DEG
        magnetic = float(wrap_360(course.mag_deg + back)) if course.mag_deg is not None else None
        return Course(true_deg=float(wrap_360(course.true_deg + back)), mag_deg=magnetic)

    def _whose(self, station: CodedFix | None) -> tuple[str, float | None]:
        """Whose variation of record magnetic courses go by, and how much it is [deg]; None where none is coded."""
        if station is not None and station.is_true:
            return station.ident, 0.0
        if station is not None and station.variation_deg is not None:
            return station.ident, station.variation_deg
        return "the aerodrome", self._airport_deg

    def _course(
        self, value: float | None, is_true: bool, near: Fix | None, whose: str, degrees: float | None, place: str
    ) -> Course | None:
        if value is None:
            return None
        if is_true and degrees is None:
            known = self._variation.magnetic_course(value, near) if near is not None else None
            return Course(true_deg=float(wrap_360(value)), mag_deg=known)
        if degrees is None:
            if near is None:
                raise PlanError(
                    "the magnetic course has no place to take its variation from",
                    where=place,
                    remedy="Take navigation data that codes the aerodrome's variation.",
                )
            self._used.add_model()
            return Course(true_deg=self._variation.true_course(value, near), mag_deg=value)
        if is_true:
            return Course(true_deg=float(wrap_360(value)), mag_deg=float(wrap_360(value - degrees)))
        self._used.add(whose, degrees)
        return Course(true_deg=float(wrap_360(value + degrees)), mag_deg=value)

    def _fix(self, key: FixKey | None, place: str) -> Fix | None:
        return self._book.coded(key, where=place) if key is not None else None

    def _record(self, key: FixKey | None) -> CodedFix | None:
        return self._book.navdata.fix(key) if key is not None and self._book.navdata is not None else None

    def _dme_of(self, key: FixKey | None, place: str) -> Fix | None:
        """The DME of a station, at its own position where that stands apart."""
        record, fix = self._record(key), self._fix(key, place)
        if fix is None or record is None or record.dme_lat_deg is None or record.dme_lon_deg is None:
            return fix
        return Fix(
            ident=fix.ident,
            lat_deg=record.dme_lat_deg,
            lon_deg=record.dme_lon_deg,
            kind="dme",
            elevation_ft=fix.elevation_ft,
            variation_deg=fix.variation_deg,
        )
