"""A flight as it is flown: the loop, the log of the true state, and what was navigated by at each second."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pygeomag import GeoMag

from builders.tarn.air import Air
from builders.tarn.aircraft import STEP_S, Aircraft, Controls, turn_radius_nm
from builders.tarn.earth import FT_PER_NM, Line, Point, direct, inverse, wrap_180
from builders.tarn.glide import lateral_full_scale_nm, path_ft, vertical_full_scale_ft
from builders.tarn.pilot import LOOK_S, HoldHeading, HoldLine, Pilot, Skill, on_path
from builders.tarn.places import Final, Runway

_STEPS_PER_LOOK = round(LOOK_S / STEP_S)
_STEPS_PER_SECOND = round(1.0 / STEP_S)
_ROLL_IN_S = 2.5
_ON_COURSE_DEG = 10.0
_TAXI_KT = 12.0
_PATIENCE_S = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Second:
    """The true state at one recorded second, and what is true of the navigation then.

    ``cross_track_nm`` is None where no path is owed, in turns at fixes, and while turning onto something.
    """

    time: dt.datetime
    position: Point
    true_ft: float
    indicated_ft: float
    groundspeed_kt: float
    track_deg_true: float
    heading_deg_true: float
    variation_deg: float
    ias_kt: float
    bank_deg: float
    vertical_speed_fpm: float
    guidance: str
    leg: str
    cross_track_nm: float | None
    to_go_nm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A turn at a fix: distance to go when the bank began, and the lead a fly-by turn at that groundspeed has."""

    fix: str
    start: dt.datetime
    lead_nm: float
    expected_lead_nm: float
    change_deg: float


class Flight:
    """One flight. A script calls its verbs in order; every verb ends when its condition comes true."""

    def __init__(
        self,
        *,
        seed: int,
        start: dt.datetime,
        air: Air,
        skill: Skill,
        parked: Point,
        heading: float,
        elevation_ft: float,
    ) -> None:
        self.seed, self.start, self.air, self.skill = seed, start, air, skill
        self.aircraft = Aircraft(air, parked, elevation_ft, heading)
        self.pilot = Pilot(seed * 1000, skill)
        self.log: list[Second] = []
        self.turns: list[Turn] = []
        self.said: dict[str, dt.datetime] = {}
        self._controls = Controls()
        self._step = 0
        self._guidance, self._leg = "none", ""
        self._owed: Line | None = None
        self._settling: Line | None = None
        self._waiting: list[tuple[Callable[[], bool], Callable[[], None]]] = []
        self._model = GeoMag(coefficients_file="wmm/WMM_2025.COF")
        self._variation: tuple[int, float] = (-1, 0.0)
        self._record()

    # --- what is true now

    @property
    def now(self) -> dt.datetime:
        """The time on the aircraft's clock, UTC."""
        return self.start + dt.timedelta(milliseconds=self._step * round(STEP_S * 1000))

    @property
    def variation_deg(self) -> float:
        """Magnetic variation here, east positive, looked up once a minute."""
        minute = self._step // (60 * _STEPS_PER_SECOND)
        if self._variation[0] != minute:
            self._variation = (minute, self.variation_at(self.aircraft.position))
        return self._variation[1]

    def variation_at(self, point: Point) -> float:
        """Magnetic variation at a place on the date of the flight, by WMM2025."""
        day = self.start.timetuple()
        year = day.tm_year + (day.tm_yday - 1) / 365.0
        return float(self._model.calculate(glat=point.lat_deg, glon=point.lon_deg, alt=0.0, time=year).d)

    def to_go_nm(self, line: Line) -> float:
        """Along a line from abeam the aircraft to its end."""
        return line.measure(self.aircraft.position)[1]

    def off_nm(self, line: Line) -> float:
        """Cross-track off a line, right positive."""
        return line.measure(self.aircraft.position)[0]

    def settled_on(self, line: Line) -> bool:
        """Whether the track is within 10 degrees of the line's course."""
        return abs(wrap_180(self.aircraft.track_deg_true - line.measure(self.aircraft.position)[2])) < _ON_COURSE_DEG

    # --- the loop

    def label(self, guidance: str, leg: str = "") -> None:
        """From now on this is what is navigated by."""
        self._guidance, self._leg = guidance, leg

    def say(self, key: str) -> None:
        """Air traffic control says something now; the lesson will hold the time under ``key``."""
        self.said[key] = self.now

    def when(self, condition: Callable[[], bool], action: Callable[[], None]) -> None:
        """Do something once, as soon as a condition holds, whatever else is being flown."""
        self._waiting.append((condition, action))

    def go(self, until: Callable[[], bool]) -> None:
        """Fly on until a condition holds; it is looked at twice a second."""
        self._loop(until, self._fly_step)

    def go_for(self, seconds: float) -> None:
        """Fly on for a while: a pilot's time to answer, say."""
        end = self.now + dt.timedelta(seconds=seconds)
        self.go(lambda: self.now >= end)

    def _loop(self, until: Callable[[], bool], step: Callable[[], None]) -> None:
        limit = self._step + round(_PATIENCE_S / STEP_S)
        while True:
            if self._step % _STEPS_PER_LOOK == 0:
                if self._settling is not None and self.settled_on(self._settling):
                    self._owed, self._settling = self._settling, None
                for pair in [pair for pair in self._waiting if pair[0]()]:
                    self._waiting.remove(pair)
                    pair[1]()
                if until():
                    return
            if self._step >= limit:
                raise RuntimeError(f"nothing came of it for an hour, at {self.now}")
            step()
            self._step += 1
            if self._step % _STEPS_PER_SECOND == 0:
                self._record()

    def _fly_step(self) -> None:
        if self._step % _STEPS_PER_LOOK == 0:
            self.pilot.look(self.aircraft, self._controls)
        self.aircraft.fly(self._controls)

    def _record(self) -> None:
        craft = self.aircraft
        off_nm = to_go_nm = None
        if self._owed is not None:
            off_nm, to_go_nm, _ = self._owed.measure(craft.position)
        self.log.append(
            Second(
                time=self.now, position=craft.position, true_ft=craft.true_ft, indicated_ft=craft.indicated_ft,
                groundspeed_kt=craft.groundspeed_kt, track_deg_true=craft.track_deg_true,
                heading_deg_true=craft.heading_deg_true, variation_deg=self.variation_deg, ias_kt=craft.ias_kt,
                bank_deg=craft.bank_deg, vertical_speed_fpm=craft.vertical_speed_fpm,
                guidance=self._guidance, leg=self._leg, cross_track_nm=off_nm, to_go_nm=to_go_nm,
            )
        )  # fmt: skip

    # --- on the ground

    def wait(self, seconds: float) -> None:
        """Stand still."""
        end = self.now + dt.timedelta(seconds=seconds)
        heading = self.aircraft.heading_deg_true
        self._loop(lambda: self.now >= end, lambda: self.aircraft.roll(heading, 0.0, 2.0, 0.0))

    def taxi(self, points: Sequence[Point]) -> None:
        """Taxi over points."""
        for point in points:
            bearing = [inverse(self.aircraft.position, point)[1]]

            def near(point: Point = point, bearing: list[float] = bearing) -> bool:
                distance_nm, bearing[0], _ = inverse(self.aircraft.position, point)
                return distance_nm < 0.008

            def step(bearing: list[float] = bearing) -> None:
                turning = abs(wrap_180(bearing[0] - self.aircraft.heading_deg_true)) > 15.0
                self.aircraft.roll(bearing[0], 5.0 if turning else _TAXI_KT, 2.0, 20.0)

            self._loop(near, step)

    def take_off(self, runway: Runway, *, climb_to_ft: float) -> None:
        """Line up, roll, lift off; the pilot holds the runway's line and climbs."""
        line = Line(runway.threshold, runway.far_end)
        course = line.start_course_deg
        self._loop(
            lambda: abs(wrap_180(course - self.aircraft.heading_deg_true)) < 0.5,
            lambda: self.aircraft.roll(course, 3.0, 2.0, 20.0),
        )
        self.wait(12.0)
        self._loop(lambda: self.aircraft.ias_kt >= 60.0, lambda: self.aircraft.roll(course, 90.0, 2.5, 5.0))
        self.pilot.altitude_ft, self.pilot.rate_fpm, self.pilot.ias_kt = climb_to_ft, 700.0, 85.0
        self.pilot.steer(HoldLine(line, self.skill))

    def land(self, final: Final, line: Line) -> None:
        """From the glidepath to a stop on the runway: flare, touch down, roll out."""
        self.go(lambda: self.aircraft.true_ft - final.runway.elevation_ft < 30.0)
        elevation_ft = final.runway.elevation_ft

        def flare() -> None:
            if self._step % _STEPS_PER_LOOK == 0:
                self.pilot.look(self.aircraft, self._controls)
            above_ft = self.aircraft.true_ft - elevation_ft
            self._controls.vertical_speed_fpm = -(90.0 + 9.0 * max(above_ft, 0.0))
            self._controls.ias_kt = 60.0
            self.aircraft.fly(self._controls)

        self._loop(lambda: self.aircraft.true_ft <= elevation_ft, flare)
        self.aircraft.true_ft = elevation_ft
        self.aircraft.heading_deg_true = self.aircraft.track_deg_true
        self.label("none")
        self._owed = self._settling = None
        course = line.end_course_deg
        self._loop(
            lambda: self.aircraft.groundspeed_kt < 15.0,
            lambda: self.aircraft.roll(course - 200.0 * self.off_nm(line), 10.0, 3.0, 5.0),
        )

    # --- in the air

    def settle(self, line: Line) -> None:
        """The line is owed from the moment the aircraft is on its course."""
        self._owed, self._settling = None, line

    def track(self, line: Line, guidance: str, leg: str, **how: float) -> HoldLine:
        """Begin to track a line now, and owe it once on its course."""
        hold = HoldLine(line, self.skill, **how)
        self.pilot.steer(hold)
        self.label(guidance, leg)
        self.settle(line)
        return hold

    def lead_nm(self, change_deg: float) -> float:
        """Turn anticipation R tan(change / 2) at the groundspeed now."""
        return turn_radius_nm(self.aircraft.groundspeed_kt) * math.tan(math.radians(abs(change_deg)) / 2.0)

    def fly_by(
        self, fix: str, inbound: Line, outbound: Line, leg: str, *, late_nm: float = 0.0, **how: float
    ) -> HoldLine:
        """Turn at a fix from one line to the next, anticipated; the leg changes on the bisector.

        Half the roll-in is allowed for. ``late_nm`` is how much nearer to the fix (or past it) the turn begins than its
        anticipation.
        """
        change_deg = wrap_180(outbound.start_course_deg - inbound.end_course_deg)
        roll_in_nm = 0.0 if late_nm else self.aircraft.groundspeed_kt * _ROLL_IN_S / 3600.0
        self.go(lambda: self.to_go_nm(inbound) <= self.lead_nm(change_deg) + roll_in_nm - late_nm)
        self.turns.append(
            Turn(
                fix=fix, start=self.now, lead_nm=self.to_go_nm(inbound),
                expected_lead_nm=self.lead_nm(change_deg), change_deg=change_deg,
            )
        )  # fmt: skip
        guidance, before = "leg", self._leg
        hold = self.track(outbound, self._guidance, before, **how)
        self.go(lambda: self.to_go_nm(inbound) <= outbound.length_nm - self.to_go_nm(outbound))
        self.label(guidance, leg)
        return hold

    def fly_over(self, inbound: Line, outbound: Line, leg: str, **how: float) -> HoldLine:
        """Pass a fix, then turn onto the next line; the leg changes on passing."""
        self.go(lambda: self.to_go_nm(inbound) <= 0.0)
        return self.track(outbound, "leg", leg, **how)

    def fly_direct(self, fix_point: Point, fix: str, guidance: str = "direct", **how: float) -> Line:
        """Turn to a fix from here and track the line from here to it."""
        line = Line(self.aircraft.position, fix_point)
        self.track(line, guidance, f"-{fix}", **how)
        return line

    def fly_heading(self, heading_deg_mag: float, *, turn: str | None = None) -> None:
        """Hold a magnetic heading; no path is owed."""
        heading_true = heading_deg_mag + self.variation_deg
        self.pilot.steer(HoldHeading(heading_true, self.skill), turn)
        self._owed = self._settling = None
        self.label("vectors")

    def join(self, line: Line, leg: str, *, bisector: Callable[[], bool] | None = None, **how: float) -> None:
        """From a heading onto a line: turn at the lead R (1 - cos angle), and the leg begins with the turn."""
        course = line.end_course_deg

        def at_lead() -> bool:
            off_nm = self.off_nm(line)
            angle_deg = wrap_180(course - self.aircraft.track_deg_true)
            closing = math.copysign(1.0, angle_deg) == math.copysign(1.0, off_nm) or abs(off_nm) < 0.02
            radius_nm = turn_radius_nm(self.aircraft.groundspeed_kt)
            roll_in_nm = self.aircraft.groundspeed_kt * _ROLL_IN_S / 3600.0 * math.sin(math.radians(abs(angle_deg)))
            return closing and abs(off_nm) <= radius_nm * (1.0 - math.cos(math.radians(angle_deg))) + roll_in_nm

        self.go(bisector or at_lead)
        self.track(line, "leg", leg, **how)

    def climb(self, altitude_ft: float, *, rate_fpm: float = 600.0, ias_kt: float | None = None) -> None:
        """Go to an altitude (up or down) from now on."""
        self.pilot.altitude_ft, self.pilot.rate_fpm = altitude_ft, rate_fpm
        if ias_kt is not None:
            self.pilot.ias_kt = ias_kt

    def descend_on(self, final: Final, line: Line) -> None:
        """Follow the glidepath from now on."""
        self.pilot.glide = (final, line)

    def go_around(self, altitude_ft: float, *, rate_fpm: float = 700.0) -> None:
        """Leave the glidepath and climb."""
        self.pilot.glide, self.pilot.glide_offset_ft = None, on_path
        self.climb(altitude_ft, rate_fpm=rate_fpm, ias_kt=85.0)


def needles(second: Second, final: Final, line: Line) -> tuple[float, float, float]:
    """Distance to go, lateral and vertical needle of a true state on final: right and high positive."""
    off_nm, to_go_nm, _ = line.measure(second.position)
    vertical = (second.true_ft - path_ft(final, to_go_nm)) / vertical_full_scale_ft(final, to_go_nm)
    return to_go_nm, off_nm / lateral_full_scale_nm(final, to_go_nm), vertical


def beside(point: Point, course_deg: float, along_ft: float, right_ft: float) -> Point:
    """A point along and to the right of a course: a taxiway, an apron."""
    return direct(direct(point, course_deg, along_ft / FT_PER_NM), course_deg + 90.0, right_ft / FT_PER_NM)
