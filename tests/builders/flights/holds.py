"""Holding patterns: the three entries, circuits in wind, timed or by distance; and course reversals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from builders.flights.flyer import Flyer, OnHeading, OnPath
from builders.flights.plane import Owed, direction, inbound, unit, wrap
from builders.flights.script import Script


@dataclass(frozen=True)
class HoldOf:
    """A hold at a fix: inbound course [grid deg], side of the turns, outbound minutes or NM."""

    fix: str
    course: float
    turn: str
    minutes: float = 1.0
    nm: float = 0.0

    @property
    def side(self) -> float:
        """1 for right turns, -1 for left ones."""
        return 1.0 if self.turn == "right" else -1.0

    def entry(self, track: float) -> str:
        """The entry by the 70-degree line, from the direction of arrival."""
        relative = wrap(track - self.course) * self.side
        if relative > 110.0:
            return "teardrop"
        return "parallel" if relative < -70.0 else "direct"


def hold(
    script: Script, held: HoldOf, before: Owed, *, circuits: int = 2, leg: str = "", said: bool = False
) -> dict[str, Any]:
    """From the way to the fix: the entry and some circuits; ends at the fix, inbound, at the end of the last."""
    fix = script.land.at(held.fix)
    line = inbound(fix, held.course)
    script.go(lambda: before.to_go(script.place) <= 0.0)
    name = leg or f"HOLD {held.fix}"
    script.label("hold", f"{name}|" if said else name)
    entry = held.entry(script.track)
    told: dict[str, Any] = {
        "fix": held.fix, "entry": entry, "turn": held.turn, "entered_at": script.t, "circuits": [],
        "course_deg_mag": script.land.world.plane.mag_of(held.course, fix),
    }  # fmt: skip
    script.truth.holds.append(told)
    out = (held.course + 180.0) % 360.0
    if entry == "teardrop":
        _heading(script, out - 30.0 * held.side, 0.0)
        _out(script, held, script.t)
        _inbound(script, line, held.side)
    elif entry == "parallel":
        _heading(script, out, 0.0)
        _out(script, held, script.t)
        _inbound(script, line, -held.side)
    for number in range(circuits if entry == "direct" else circuits - 1):
        circuit: dict[str, Any] = {"start": script.t}
        _turn_out(script, held, out)
        begun = script.t
        _out(script, held, begun, late=number > 0)
        circuit["outbound_s"] = script.t - begun
        _inbound(script, line, held.side, circuit)
        told["circuits"].append(circuit)
    told["left_at"] = script.t
    return told


def _corrected(flyer: Flyer, course: float, times: float) -> float:
    return course + times * flyer.wca(course)


def _heading(script: Script, course: float, forced: float) -> None:
    """Onto a course with the wind's correction, as a heading."""
    heading = _corrected(script, course, 1.0)
    script.steer(OnHeading(heading), forced)
    script.go(lambda: abs(wrap(heading - script.heading)) < 5.0)


def _turn_out(script: Script, held: HoldOf, out: float) -> None:
    """Outbound with three times the drift; timing begins abeam the fix or wings level, whichever is later."""
    heading = out + min(max(3.0 * script.wca(out), -30.0), 30.0)
    script.steer(OnHeading(heading), held.side)
    script.go(lambda: abs(wrap(heading - script.heading)) < 4.0)
    fix, line = script.land.at(held.fix), inbound(script.land.at(held.fix), held.course)
    script.go(lambda: line.to_go(script.place) >= 0.0 or abs(script.place - fix) > 5.0)


def _out(script: Script, held: HoldOf, begun: float, *, late: bool = False) -> None:
    """The outbound leg: by distance from the fix, or by time, which is mended for the wind after the first."""
    fix = script.land.at(held.fix)
    if held.nm:
        script.go(lambda: abs(script.place - fix) >= held.nm)
        return
    seconds = held.minutes * 60.0
    if late:
        along = -(script.wind * unit(held.course).conjugate()).real  # headwind inbound, kt
        tas = script.tas_kt
        seconds = min(max(((tas - along) * seconds - 120.0 * along) / (tas + along), 0.4 * seconds), 2.0 * seconds)
    end = begun + seconds * script.chance.between(0.93, 1.07)
    script.go(lambda: script.t >= end)


def _inbound(script: Script, line: Owed, side: float, circuit: dict[str, Any] | None = None) -> None:
    """Turn onto the inbound course and fly it to the fix."""
    fix = line.b
    steering = OnPath(line, most_deg=45.0)

    def onto(flyer: Flyer) -> float:
        far = line.to_go(flyer.place) < 0.15 and abs(line.off(flyer.place)) > 0.2
        if far or abs(flyer.place - fix) < 0.25:  # too near for the line: to the fix itself
            course = direction(fix - flyer.place) if abs(flyer.place - fix) > 0.05 else flyer.track
            return course + flyer.wca(course)
        return steering(flyer)

    script.steer(onto, side)
    if circuit is not None:

        def established() -> None:
            circuit["inbound_from"] = script.t

        def level_inbound() -> bool:
            return abs(script.bank) < 6.0 and abs(wrap(script.track - line.course_at(script.place))) < 45.0

        script.when(level_inbound, established)
    soonest = script.t + 20.0
    script.go(lambda: script.t > soonest and _passed(script, line))
    if circuit is not None:
        circuit["end"] = script.t
        circuit["inbound_s"] = script.t - circuit.get("inbound_from", script.t)


def _passed(script: Script, line: Owed) -> bool:
    on_course = abs(wrap(script.track - line.course_at(script.place))) < 90.0
    return on_course and line.to_go(script.place) <= 0.0 and abs(script.place - line.b) < 1.2


def break_off(script: Script, held: HoldOf, before: Owed) -> None:
    """One circuit, and half of the next outbound leg; ends there."""
    told = hold(script, held, before, circuits=2 if held.entry(script.track) != "direct" else 1, said=True)
    _turn_out(script, held, (held.course + 180.0) % 360.0)
    script.go_for(script.chance.between(15.0, 30.0))
    told["left_at"] = script.t
