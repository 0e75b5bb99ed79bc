"""A flight told verb by verb: each ends when what it does is done, and writes down what was true."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

from builders.flights.flyer import Flyer, OnHeading, OnPath
from builders.flights.layout import Approach, Land
from builders.flights.plane import FT_PER_NM, Line, Owed, inbound, unit, wrap
from builders.flights.said import Instruction, Truth

_ROLL_IN_S = 2.0


class Script(Flyer):
    """A flyer with a land under it and verbs."""

    def __init__(self, land: Land) -> None:
        departure = land.fixes[land.route[0]]
        course = land.departure_course
        world = land.world
        super().__init__(world, departure.place - 0.4 * unit(course), course, departure.elevation_ft or 0.0)
        self.land, self.truth, self.chance = land, Truth(), world.chance

    # --- what is said

    def say(self, **values: Any) -> Instruction:
        """Air traffic control says something now."""
        instruction = Instruction(self.t, values)
        self.truth.instructions.append(instruction)
        return instruction

    def answer(self) -> None:
        """The time a pilot takes."""
        self.go_for(self.chance.between(*self.world.skill.answer_s))

    def plant(self, kind: str, **values: Any) -> None:
        """A mistake, from now on."""
        self.truth.planted.append({"kind": kind, "t": self.t, **values})

    # --- ground and climb

    def depart(self, *, climb_to_ft: float | None = None, label: tuple[str, str] | None = None) -> None:
        """Stand, roll, lift off; the runway's line is held; the first leg is owed from lift-off."""
        course = self.heading
        end = self.t + self.chance.between(15.0, 60.0)
        while self.t < end:
            self.roll(course, 0.0)
        while self.ias_kt < 0.8 * self.world.climb_kt:
            self.roll(course, 300.0)
        self.airborne = True
        self.level_ft = self.land.cruise_ft if climb_to_ft is None else climb_to_ft
        if climb_to_ft is not None:
            self.say(altitude_ft=climb_to_ft)
        self.rate_fpm, self.want_ias_kt = 600.0 + 3.0 * self.world.cruise_kt, self.world.climb_kt
        self.when(lambda: abs(self.altitude_ft - self.land.cruise_ft) < 200.0, self.cruise)
        self.steer(OnPath(inbound(self.place + 10.0 * unit(course), course)))
        # The contract leaves open what a climb straight ahead is, before the turn onto the first leg.
        guidance, leg = label or ("leg|none", "-".join(self.land.route[:2]) + "|")
        self.label(guidance, leg, "departure")
        above = self.land.fixes[self.land.route[0]].elevation_ft or 0.0
        self.go(lambda: self.altitude_ft > above + 450.0)

    def cruise(self) -> None:
        """Cruise speed."""
        if self.phase != "approach":
            self.want_ias_kt = self.world.cruise_kt

    def level(self, altitude_ft: float, *, rate_fpm: float = 600.0, said: bool = True) -> None:
        """A new altitude, assigned or published."""
        altitude_ft = float(round(altitude_ft / 100.0) * 100)
        if said:
            self.say(altitude_ft=altitude_ft)
        self.level_ft, self.rate_fpm = altitude_ft, rate_fpm

    # --- legs

    def on(self, path: Owed, leg: str, guidance: str = "leg", **how: Any) -> OnPath:
        """Track a path from now on."""
        steering = OnPath(path, **how)
        self.steer(steering)
        self.label(guidance, leg)
        return steering

    def lead_nm(self, change_deg: float) -> float:
        """Anticipation of a turn at the groundspeed now, with half the roll-in."""
        size = math.radians(min(abs(change_deg), 140.0))
        return self.radius_nm() * math.tan(size / 2.0) + self.groundspeed_kt * _ROLL_IN_S / 3600.0

    def fly_by(
        self, fix: str, before: Owed, after: Owed, leg: str, *, guidance: str = "leg", late_nm: float | None = None,
        **how: Any,
    ) -> OnPath:  # fmt: skip
        """Turn at a fix from one path to the next, anticipated; the leg changes on the bisector."""
        late = self.chance.between(*self.world.skill.turn_late_nm) if late_nm is None else late_nm
        change = wrap(after.course - before.end_course)
        self.go(lambda: before.to_go(self.place) <= self.lead_nm(change) - late)
        turn = {"fix": fix, "start": self.t, "lead_nm": before.to_go(self.place), "change_deg": change}
        self.truth.turns.append(turn)
        steering = OnPath(after, **how)
        self.steer(steering)
        if guidance == "direct":  # which begins with the turn
            self.label(guidance, leg)
        across = unit(before.end_course) + unit(after.course)
        at = self.land.at(fix)
        self.go(lambda: ((self.place - at) * across.conjugate()).real >= 0.0)
        self.label(guidance, leg)

        def over() -> None:
            turn["end"] = self.t

        self.when(lambda: abs(wrap(self.track - after.course_at(self.place))) < 5.0, over)
        return steering

    def fly_over(self, before: Owed, after: Owed, leg: str, *, guidance: str = "leg", **how: Any) -> OnPath:
        """Pass the end of a path, then turn onto the next."""
        self.go(lambda: before.to_go(self.place) <= 0.0)
        return self.on(after, leg, guidance, **how)

    def along(self, *idents: str, first: Owed | None = None, **how: Any) -> Line:
        """Fly-by along fixes, beginning on the way to the first of them on ``first``; ends on the last leg."""
        before: Owed = first or self.land.line(idents[0], idents[1])
        rest = idents if first else idents[1:]
        for fix, following in itertools.pairwise(rest):
            after = self.land.line(fix, following)
            self.fly_by(fix, before, after, f"{fix}-{following}", **how)
            before = after
        assert isinstance(before, Line)
        return before

    def first_leg(self, **how: Any) -> Line:
        """From the climb-out onto the first leg of the route."""
        line = self.land.line(*self.land.route[:2])
        self.on(line, "-".join(self.land.route[:2]), **how)
        return line

    def relabel(self, since: float, until: float, guidance: str, leg: str) -> None:
        """What is known only afterwards: another label for some of the log."""
        for index, moment in enumerate(self.log):
            if since <= moment.t < until:
                self.log[index] = replace(moment, guidance=guidance, leg=leg)

    def until_to_go(self, path: Owed, nm: float) -> None:
        """Fly on to a distance to go."""
        self.go(lambda: path.to_go(self.place) <= nm)

    # --- directs and headings

    def direct(self, fix: str, *, said: bool = True, guidance: str = "direct", **how: Any) -> Line:
        """Turn to a fix from here and track the line from here to it; the direct begins with the turn."""
        instruction = self.say(direct=fix) if said else None
        if said:
            self.answer()
        line = Line(self.place, self.land.at(fix))
        if instruction:
            instruction.effect = self.t
        self.on(line, f"-{fix}", guidance, **how)
        turn = abs(wrap(line.course - self.track))
        if turn > 45.0:  # a big turn: the line is drawn anew where it is rolled out of
            self.steer(lambda _: _to(self, self.land.at(fix)))
            self.go(lambda: abs(wrap(_to(self, self.land.at(fix)) - self.heading)) < 5.0)
            line = Line(self.place, self.land.at(fix))
            self.steer(OnPath(line, **how))
        return line

    def heading_for(self, grid: float, *, step: int = 10) -> tuple[int, float]:
        """A round magnetic heading near a grid one, and what it is in grid degrees."""
        mag = round(self.land.world.plane.mag_of(grid, self.place) / step) * step % 360 or 360
        return mag, self.land.world.plane.grid_of_mag(mag, self.place)

    def vector(
        self, grid: float, *, turn: str = "", said: bool = True, step: int = 10, **more: Any
    ) -> float:  # fmt: skip
        """A heading near a grid one; vectors begin where the turn begins (at its time when there is none)."""
        mag, heading = self.heading_for(grid, step=step)
        change = wrap(heading - self.heading)
        side = f'"{turn}"' if turn else ""
        instruction = self.say(heading_deg_mag=mag, **({"turn": turn} if side else {}), **more) if said else None
        if abs(change) >= 4.0:
            self.answer()
        if instruction:
            instruction.effect = self.t
        forced = {"": 0.0, "left": -1.0, "right": 1.0}[turn]
        self.steer(OnHeading(heading), forced)
        if "VM" not in self.leg or abs(change) >= 4.0:  # the heading of a heading leg said again changes nothing
            self.label("vectors")
        return heading

    def rolled_out(self, heading: float) -> None:
        """Fly on to the end of a turn onto a heading."""
        self.go(lambda: abs(wrap(heading - self.heading)) < 4.0)

    def join(
        self, line: Owed, leg: str, *, effect_of: Instruction | None = None, late: float = 1.0, **how: Any
    ) -> None:
        """From a heading onto a line: turn at R (1 - cos angle); the leg begins with the turn."""

        def at_lead() -> bool:
            course = line.course_at(self.place)
            off, angle = line.off(self.place), wrap(course - self.track)
            closing = angle * off >= 0.0 or abs(off) < 0.03
            roll_in = self.groundspeed_kt * _ROLL_IN_S / 3600.0 * math.sin(math.radians(min(abs(angle), 90.0)))
            return closing and abs(off) <= late * (self.radius_nm() * (1.0 - math.cos(math.radians(angle))) + roll_in)

        self.go(at_lead)
        if effect_of:
            effect_of.effect = self.t
        how.setdefault("most_deg", 45.0)
        self.on(line, leg, **how)

    def settle(self, path: Owed, *, within_deg: float = 10.0, within_nm: float = 0.3) -> None:
        """Fly on until established."""
        self.go(
            lambda: (
                abs(wrap(self.track - path.course_at(self.place))) < within_deg
                and abs(path.off(self.place)) < within_nm
            )
        )

    # --- the final approach

    def approaching(self, approach: Approach) -> None:
        """Slow down and descend to the altitude over the final approach fix."""
        self.phase = "approach"
        self.want_ias_kt = self.world.approach_kt
        faf = next(leg for leg in approach.legs if leg.get("role") == "FAF")
        self.level_ft, self.rate_fpm = faf["altitude"]["at_or_above_ft"], 600.0

    def down(self, approach: Approach, line: Owed) -> None:
        """Follow the glidepath, begun where it is met."""
        slope = FT_PER_NM * math.tan(math.radians(3.0))

        def rate() -> float:
            short = approach.path_ft(line.to_go(self.place)) - self.altitude_ft
            return -self.groundspeed_kt / 60.0 * slope + 5.0 * short

        def meet() -> None:
            self.glide = rate

        self.when(lambda: approach.path_ft(line.to_go(self.place)) <= self.altitude_ft + 30.0, meet)

    def until_ft(self, altitude_ft: float) -> None:
        """Fly on down to an altitude."""
        self.go(lambda: self.altitude_ft <= altitude_ft)


def _to(flyer: Flyer, place: complex) -> float:
    """The heading that makes good the bearing to a place."""
    track = math.degrees(math.atan2((place - flyer.place).real, (place - flyer.place).imag)) % 360.0
    return track + flyer.wca(track)
