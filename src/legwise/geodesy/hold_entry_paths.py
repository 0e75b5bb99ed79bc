"""The ground paths of the three entries to a hold, from the fix back to it."""

from __future__ import annotations

import math

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.chains import ChainPath
from legwise.geodesy.hold_entries import EntryName
from legwise.geodesy.holding_rules import Authority, holding_leg_minutes
from legwise.geodesy.holds import LONGEST_S, moving, outbound_heading_deg, outbound_way_kt, seconds_to_abeam
from legwise.geodesy.interceptions import brought_in, straight_back
from legwise.geodesy.manoeuvres import Manoeuvre, laid_out, sweep_to_deg
from legwise.model.plan import Hold
from legwise.units import S_PER_H, S_PER_MIN

TEARDROP_DEG = 30.0
"""A teardrop's outbound track leaves the outbound course by this, toward the holding side (FAA AIM 5-3-8 j3)."""


def hold_entry_path(
    hold: Hold,
    entry: EntryName,
    *,
    heading_deg_true: float,
    tas_kt: float,
    altitude_ft: float,
    wind_from_deg_true: float = 0.0,
    wind_kt: float = 0.0,
    authority: Authority = "FAA",
) -> ChainPath | None:
    """The ground path of an entry by an aircraft that arrives at the fix on a heading.

    Direct: the hold's own turn from that heading to the outbound heading, outbound, the inbound turn. Teardrop: the
    short way to a track 30 deg off the outbound course on the holding side, then the hold's turn. Parallel: the short
    way to the outbound course, then a turn of more than 180 deg toward the holding side. Each flies its outbound leg
    for the hold's minutes (the first outbound leg is flown 1 or 1 1/2 min, AIM 5-3-8 j4) or to its miles along the
    course from the fix, then turns to intercept the inbound course at up to 30 deg and follows it to the fix; where
    that would meet it past the fix, at 45 or 60 deg, else it returns to the fix directly ("to intercept the inbound
    course or return to the fix"). FAA AIM 5-3-8 j3; the turns as in :func:`legwise.geodesy.holding_pattern`.

    None where the wind is too strong for it or its outbound leg takes over 30 min.
    """
    moves = moving(tas_kt, authority, wind_from_deg_true, wind_kt)
    if moves is None or not math.isfinite(hold.inbound_course_deg_true + heading_deg_true):
        return None
    course, side = hold.inbound_course_deg_true, 1.0 if hold.turn == "right" else -1.0
    over_fix = Manoeuvre(air=moves, heading_deg=heading_deg_true)
    outbound = _turned_outbound(over_fix, entry, course, side)
    seconds = _outbound_s(hold, outbound, altitude_ft, authority) if outbound is not None else None
    if outbound is None or seconds is None:
        return None
    turn_side = -side if entry == "parallel" else side
    flown = outbound.flown(seconds)
    home = brought_in(flown, course, turn_side)
    back = home[1] if home is not None else straight_back(flown, turn_side)
    return laid_out(moves, back.pieces, hold.fix.lat_deg, hold.fix.lon_deg) if back is not None else None


def _turned_outbound(over_fix: Manoeuvre, entry: EntryName, course: float, side: float) -> Manoeuvre | None:
    """After the first turn: on the outbound heading of the entry."""
    if entry == "direct":
        inbound_heading = over_fix.air.heading_for_deg(course)
        heading = outbound_heading_deg(course, inbound_heading) if inbound_heading is not None else None
        return over_fix.turned(sweep_to_deg(over_fix.heading_deg, heading, side)) if heading is not None else None
    heading = over_fix.air.heading_for_deg(course + 180.0 - (side * TEARDROP_DEG if entry == "teardrop" else 0.0))
    return over_fix.turned(float(turn_deg(over_fix.heading_deg, heading))) if heading is not None else None


def _outbound_s(hold: Hold, outbound: Manoeuvre, altitude_ft: float, authority: Authority) -> float | None:
    """Time on the outbound heading: from abeam the fix or wings level, whichever is later (AIM 5-3-8 j4(b)). [s]"""
    course = hold.inbound_course_deg_true
    abeam_s = seconds_to_abeam(outbound, course)
    if abeam_s is None:
        return None
    if hold.leg_nm is not None:
        to_fly_nm = hold.leg_nm + outbound.against(course)[0]
        seconds = max(to_fly_nm, 0.0) / outbound_way_kt(outbound, course) * S_PER_H
    else:
        minutes = hold.leg_minutes if hold.leg_minutes is not None else holding_leg_minutes(altitude_ft, authority)
        seconds = abeam_s + minutes * S_PER_MIN
    return seconds if 0.0 <= seconds <= LONGEST_S else None
