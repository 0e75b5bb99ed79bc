"""The ground paths of course reversals: the 45/180 and the 80/260 procedure turn, the base turn, the racetrack."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from legwise.geodesy.angles import turn_deg
from legwise.geodesy.chains import ChainPath
from legwise.geodesy.geodesics import inverse
from legwise.geodesy.holding_rules import Authority, Category
from legwise.geodesy.holds import LONGEST_S, moving, seconds_to_abeam, turned_outbound
from legwise.geodesy.interceptions import STEEPER_DEG, brought_in
from legwise.geodesy.manoeuvres import Air, Manoeuvre, laid_out
from legwise.model.plan import Reversal
from legwise.units import S_PER_MIN

ProcedureTurn = Literal["45/180", "80/260"]

OUTBOUND_MINUTES = 1.0
"""Time outbound where nothing says otherwise. Common practice; ICAO Doc 8168 publishes 1 to 3 min (from memory)."""

BASE_TURN_DEG_MIN = 36.0
"""A base turn's courses are 36 deg / t apart for t min outbound up to 170 kt TAS (ICAO Doc 8168, from memory)."""

_BASE_TURN_FAST_KT = 170.0
_BASE_TURN_PER_KT = 0.215
_FIRST_TURN_DEG = {"45/180": 45.0, "80/260": 80.0}
_BACK_AT_DEG = {"45/180": (45.0, 60.0), "80/260": STEEPER_DEG}
_LEAST_APART_DEG = 6.0
_STEP_NM = 0.005


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ReversalPath:
    """A course reversal flown from its fix back to it, and the greatest distance from the fix. [NM]

    ``within_limit`` says whether that is within the published limit; None where none is published. ``outbound_s`` is
    the time from the fix (racetrack: from abeam it) to the next turn.
    """

    path: ChainPath
    farthest_nm: float
    within_limit: bool | None
    outbound_s: float


def procedure_turn_leg_s(authority: Authority, category: Category) -> float:
    """Time on the leg 45 deg off the outbound course. [s]

    ICAO Doc 8168: 1 min for categories A and B, 1 min 15 s for C, D and E, counted from the start of the turn; FAA
    (Instrument Flying Handbook): 1 min from wings level. Both from memory.
    """
    return 75.0 if authority == "ICAO" and category in ("C", "D", "E") else 60.0


def base_turn_minutes(outbound_course_deg: float, inbound_course_deg: float, tas_kt: float) -> float | None:
    """Time outbound for which courses so far apart end a turn at rate one on the inbound course. [min]

    ICAO Doc 8168 (from memory): 36 / angle, above 170 kt TAS 0.215 TAS / angle. None where one is the reciprocal of the
    other within 6 deg: six minutes and more, which nobody flies.
    """
    apart = abs(float(turn_deg(outbound_course_deg, inbound_course_deg + 180.0)))
    if apart < _LEAST_APART_DEG:
        return None
    return (BASE_TURN_DEG_MIN if tas_kt <= _BASE_TURN_FAST_KT else _BASE_TURN_PER_KT * tas_kt) / apart


def reversal_path(
    reversal: Reversal,
    *,
    tas_kt: float,
    wind_from_deg_true: float = 0.0,
    wind_kt: float = 0.0,
    authority: Authority = "FAA",
    category: Category = "A",
    procedure_turn: ProcedureTurn = "45/180",
    outbound_minutes: float | None = None,
) -> ReversalPath | None:
    """The ground path of a course reversal for a speed and wind, from the fix back to it.

    A procedure turn flies the outbound course from the fix, turns 45 deg to the side drawn, flies
    :func:`procedure_turn_leg_s`, turns 180 deg the other way and intercepts the inbound course; or turns 80 deg and
    260 deg back at once. A base turn turns from its outbound course onto the inbound one; a racetrack turns outbound
    over the fix. Tracks are made good (one correction for drift; three times the inbound one on a racetrack's outbound
    leg). Without ``outbound_minutes`` it flies outbound 1 min, a base turn :func:`base_turn_minutes`. What kind of
    turn is flown is the pilot's choice where none is drawn (FAA AIM 5-4-9 a1).

    None where the wind is too strong for it, the inbound course is only met past the fix (at 60 deg even), or it flies
    outbound for over 30 min.
    """
    moves = moving(tas_kt, authority, wind_from_deg_true, wind_kt)
    outbound, inbound = reversal.outbound_course_deg_true, reversal.inbound_course_deg_true
    if moves is None or not math.isfinite(outbound + inbound):
        return None
    minutes = outbound_minutes
    if minutes is None:
        minutes = base_turn_minutes(outbound, inbound, tas_kt) if reversal.kind == "base-turn" else None
    outbound_s = S_PER_MIN * (OUTBOUND_MINUTES if minutes is None else minutes)
    if not 0.0 <= outbound_s <= LONGEST_S:
        return None
    side = 1.0 if reversal.turn == "right" else -1.0
    intercepts_deg: tuple[float, ...] = STEEPER_DEG
    turned: Manoeuvre | None
    if reversal.kind == "racetrack":
        turned = _racetrack(moves, inbound, side, outbound_s)
    else:
        turned = _outbound(moves, outbound, outbound_s)
    if turned is not None and reversal.kind == "procedure-turn":
        leg_s = procedure_turn_leg_s(authority, category) if procedure_turn == "45/180" else 0.0
        aside_deg = outbound + side * _FIRST_TURN_DEG[procedure_turn]
        turned = _aside(turned, aside_deg, leg_s, from_turn_on=authority == "ICAO")
        side, intercepts_deg = -side, _BACK_AT_DEG[procedure_turn]
    home = brought_in(turned, inbound, side, intercepts_deg=intercepts_deg) if turned is not None else None
    path = laid_out(moves, home[1].pieces, reversal.fix.lat_deg, reversal.fix.lon_deg) if home is not None else None
    return _answered(reversal, path, outbound_s) if path is not None else None


def _answered(reversal: Reversal, path: ChainPath, outbound_s: float) -> ReversalPath:
    farthest_nm = _farthest_nm(path, reversal.fix.lat_deg, reversal.fix.lon_deg)
    return ReversalPath(
        path=path,
        farthest_nm=farthest_nm,
        within_limit=farthest_nm <= reversal.limit_nm if reversal.limit_nm is not None else None,
        outbound_s=outbound_s,
    )


def _outbound(moves: Air, course_deg: float, seconds: float) -> Manoeuvre | None:
    heading = moves.heading_for_deg(course_deg)
    return Manoeuvre(air=moves, heading_deg=heading).flown(seconds) if heading is not None else None


def _racetrack(moves: Air, inbound_deg: float, side: float, seconds: float) -> Manoeuvre | None:
    """Over the fix inbound, turned outbound and flown so long from abeam the fix or wings level."""
    turned = turned_outbound(moves, inbound_deg, side)
    if turned is None:
        return None
    abeam_s = seconds_to_abeam(turned, inbound_deg)
    return turned.flown(abeam_s + seconds) if abeam_s is not None else None


def _aside(flown: Manoeuvre, track_deg: float, leg_s: float, *, from_turn_on: bool) -> Manoeuvre | None:
    """Turned the short way to a track and flown along it, timed from the start of the turn or from its end."""
    heading = flown.air.heading_for_deg(track_deg)
    if heading is None:
        return None
    turned = flown.turned(float(turn_deg(flown.heading_deg, heading)))
    in_turn_s = turned.seconds - flown.seconds if from_turn_on else 0.0
    return turned.flown(max(0.0, leg_s - in_turn_s))


def _farthest_nm(path: ChainPath, lat_deg: float, lon_deg: float) -> float:
    """The greatest distance of a path from a position, by points ``_STEP_NM`` apart: within a metre. [NM]"""
    along = np.linspace(0.0, path.length_nm, max(2, int(path.length_nm / _STEP_NM) + 1))
    distance_nm, _bearing, _arrival = inverse(lat_deg, lon_deg, *path.point_along(along))
    return float(distance_nm.max())
