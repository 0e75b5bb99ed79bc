"""The ground path of a holding pattern at an airspeed in a wind."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.chains import ChainPath
from legwise.geodesy.holding_rules import Authority, holding_leg_minutes, holding_rate_dps
from legwise.geodesy.interceptions import brought_in
from legwise.geodesy.manoeuvres import Air, Manoeuvre, air, laid_out, sweep_to_deg
from legwise.model.plan import Hold
from legwise.units import S_PER_H, S_PER_MIN

OUTBOUND_CORRECTIONS = 3.0
"""The outbound heading is corrected by this many times the inbound drift correction (FAA AIM 5-3-8 j8(c))."""

_MOST_CORRECTION_DEG = 90.0
_MOST_KT = 1000.0
"""No aircraft that is debriefed is faster; keeps what is set out on the plane near its fix."""

LONGEST_S = 30.0 * S_PER_MIN
"""No leg of a hold or a reversal is flown longer. Our choice, no published source."""

_TRY_S = 10.0
_TRIES = 61
_HALVINGS = 40


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HoldingPattern:
    """One circuit of a hold from the fix back to it, and its four parts in order, joined end to end.

    ``inbound_turn`` ends where the aircraft is established on the inbound course. The headings and the rate are those
    flown; ``outbound_s`` is the time from wings level outbound, ``outbound_timed_s`` the time on the clock: from
    abeam the fix or wings level, whichever is later (AIM 5-3-8 j4(b)); ``inbound_s`` from established to the fix.
    """

    circuit: ChainPath
    outbound_turn: ChainPath
    outbound: ChainPath | None
    inbound_turn: ChainPath
    inbound: ChainPath | None
    rate_dps: float
    inbound_heading_deg_true: float
    outbound_heading_deg_true: float
    outbound_s: float
    outbound_timed_s: float
    inbound_s: float


def holding_pattern(
    hold: Hold,
    *,
    tas_kt: float,
    altitude_ft: float,
    wind_from_deg_true: float = 0.0,
    wind_kt: float = 0.0,
    authority: Authority = "FAA",
) -> HoldingPattern | None:
    """The racetrack of a hold for the speed and wind flown.

    The inbound track is the inbound course; the outbound heading carries three times its drift correction. The FAA's
    outbound time is the one that makes the inbound leg last its minutes (the standard ones where none are published).
    Where no time up to 10 min does (in a strong wind across, three times is too much for longer), it is the one that
    comes nearest: ``inbound_s`` says. ICAO's is the minutes themselves; a leg in miles ends ``leg_nm`` from abeam the
    fix by either. Where the inbound turn does not end on the course it is intercepted at up to 30 deg (at 45 or 60
    where 30 would meet it past the fix). In still air the parts are arcs and geodesics.

    None where the wind is too strong for such a pattern: no track along the inbound course, an outbound correction of
    a right angle, no way made outbound, the course met past the fix, or over 30 min to fly.
    """
    moves = moving(tas_kt, authority, wind_from_deg_true, wind_kt)
    if moves is None or not math.isfinite(hold.inbound_course_deg_true):
        return None
    turned = turned_outbound(moves, hold.inbound_course_deg_true, 1.0 if hold.turn == "right" else -1.0)
    circuit = _circuit(hold, turned, altitude_ft, authority) if turned is not None else None
    return _pattern(hold, circuit) if circuit is not None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Circuit:
    """The circuit at the end of each of its parts, and how long after wings level outbound abeam was passed."""

    turned: Manoeuvre
    flown: Manoeuvre
    established: Manoeuvre
    back: Manoeuvre
    abeam_s: float


def _circuit(hold: Hold, turned: Manoeuvre, altitude_ft: float, authority: Authority) -> _Circuit | None:
    course, side = hold.inbound_course_deg_true, 1.0 if hold.turn == "right" else -1.0
    abeam_s = seconds_to_abeam(turned, course)
    outbound_s = _outbound_s(hold, turned, abeam_s, side, altitude_ft, authority)
    if abeam_s is None or outbound_s is None:
        return None
    flown = turned.flown(outbound_s)
    home = brought_in(flown, course, side)
    if home is None:
        return None
    return _Circuit(turned=turned, flown=flown, established=home[0], back=home[1], abeam_s=abeam_s)


def _pattern(hold: Hold, flown: _Circuit) -> HoldingPattern | None:
    stages = (flown.turned, flown.flown, flown.established, flown.back)
    counts = [0, *(len(stage.pieces) for stage in stages)]
    moves, pieces = flown.back.air, flown.back.pieces
    outbound_turn, outbound, inbound_turn, inbound = (
        laid_out(moves, pieces[begin:end], hold.fix.lat_deg, hold.fix.lon_deg) for begin, end in pairwise(counts)
    )
    circuit = laid_out(moves, pieces, hold.fix.lat_deg, hold.fix.lon_deg)
    if circuit is None or outbound_turn is None or inbound_turn is None:
        return None
    outbound_s = flown.flown.seconds - flown.turned.seconds
    return HoldingPattern(
        circuit=circuit,
        outbound_turn=outbound_turn,
        outbound=outbound,
        inbound_turn=inbound_turn,
        inbound=inbound,
        rate_dps=moves.rate_dps,
        inbound_heading_deg_true=flown.established.heading_deg % 360.0,
        outbound_heading_deg_true=flown.flown.heading_deg % 360.0,
        outbound_s=outbound_s,
        outbound_timed_s=max(outbound_s - flown.abeam_s, 0.0),
        inbound_s=flown.back.seconds - flown.established.seconds,
    )


def moving(tas_kt: float, authority: Authority, wind_from_deg_true: float, wind_kt: float) -> Air | None:
    """The air for an authority's turns; None where the airspeed or the wind is no such thing."""
    windy = wind_kt != 0.0
    if not (
        0.0 < tas_kt <= _MOST_KT and 0.0 <= wind_kt <= _MOST_KT and (math.isfinite(wind_from_deg_true) or not windy)
    ):
        return None
    return air(tas_kt, holding_rate_dps(tas_kt, authority), wind_from_deg_true, wind_kt)


def turned_outbound(moves: Air, inbound_course_deg: float, side: float) -> Manoeuvre | None:
    """From over the fix on the inbound course to the outbound heading by the way of ``side`` (+1 right, -1 left)."""
    inbound_heading = moves.heading_for_deg(inbound_course_deg)
    if inbound_heading is None:
        return None
    outbound_heading = outbound_heading_deg(inbound_course_deg, inbound_heading)
    if outbound_heading is None:
        return None
    over_fix = Manoeuvre(air=moves, heading_deg=inbound_heading)
    return over_fix.turned(sweep_to_deg(inbound_heading, outbound_heading, side))


def outbound_heading_deg(inbound_course_deg: float, inbound_heading_deg: float) -> float | None:
    """The heading outbound: three times the inbound correction, to the other side. [deg] None from 90 deg on."""
    correction = OUTBOUND_CORRECTIONS * float(turn_deg(inbound_course_deg, inbound_heading_deg))
    return inbound_course_deg + 180.0 - correction if abs(correction) < _MOST_CORRECTION_DEG else None


def seconds_to_abeam(outbound: Manoeuvre, inbound_course_deg: float) -> float | None:
    """Time on the outbound heading until abeam the fix, 0 where that is passed; None where no way is made. [s]"""
    way_kt = outbound_way_kt(outbound, inbound_course_deg)
    if way_kt <= 0.0:
        return None
    return max(0.0, outbound.against(inbound_course_deg)[0]) / way_kt * S_PER_H


def outbound_way_kt(outbound: Manoeuvre, inbound_course_deg: float) -> float:
    """Speed made good against the inbound course. [kt]"""
    hour_on = outbound.flown(S_PER_H)
    return outbound.against(inbound_course_deg)[0] - hour_on.against(inbound_course_deg)[0]


def _outbound_s(
    hold: Hold, turned: Manoeuvre, abeam_s: float | None, side: float, altitude_ft: float, authority: Authority
) -> float | None:
    """Time from wings level outbound to the inbound turn. [s]"""
    if abeam_s is None:
        return None
    course = hold.inbound_course_deg_true
    if hold.leg_nm is not None:
        to_fly_nm = hold.leg_nm + turned.against(course)[0]
        seconds = max(to_fly_nm, 0.0) / outbound_way_kt(turned, course) * S_PER_H
        return seconds if seconds <= LONGEST_S else None
    minutes = hold.leg_minutes if hold.leg_minutes is not None else holding_leg_minutes(altitude_ft, authority)
    if not 0.0 <= minutes * S_PER_MIN <= LONGEST_S:
        return None
    if authority == "ICAO":
        return abeam_s + minutes * S_PER_MIN
    return _outbound_for_inbound_s(turned, course, side, minutes * S_PER_MIN)


def _outbound_for_inbound_s(turned: Manoeuvre, course_deg: float, side: float, inbound_s: float) -> float | None:
    """The shortest time outbound after which the inbound leg lasts ``inbound_s``.

    0 where it lasts longer even so; where it never does, the time that makes it longest; None where the course is
    only ever met past the fix.
    """

    def lasts_s(outbound_s: float) -> float:
        home = brought_in(turned.flown(outbound_s), course_deg, side)
        return home[1].seconds - home[0].seconds if home is not None else -1.0

    longest_s, best = -1.0, None
    for step in range(_TRIES):
        high = step * _TRY_S
        lasted_s = lasts_s(high)
        if lasted_s > longest_s:
            longest_s, best = lasted_s, high
        if lasted_s >= inbound_s:
            break
    else:
        return best
    low = max(0.0, high - _TRY_S)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if lasts_s(middle) >= inbound_s else (middle, high)
    return high
