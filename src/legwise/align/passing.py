"""Passing a fix: on the bisector of a fly-by turn, abeam a fly-over fix, nearest to a holding fix."""

from __future__ import annotations

import numpy as np

from legwise.align.about_fix import TURNED_EARLY_NM, closest
from legwise.align.flight import Flight, Stretch
from legwise.align.states import State
from legwise.geodesy import inverse, turn_deg
from legwise.model.plan import Fix, Leg, Path

FIX_WINDOW_S = 150.0
"""The story's own moment of passing a fix is good to this much."""


def passing(flight: Flight, before: Stretch, following: Stretch, old: State, leg: Leg) -> int:
    """Where the fix between two legs is passed: on the bisector of a fly-by turn, abeam a fly-over fix."""
    fix = old.leg.to_fix if old.leg is not None else old.fix
    if fix is None or leg.path is None:
        return following.start
    if old.leg is not None and old.leg.hold is not None:
        inbound = old.leg.hold.inbound_course_deg_true
    elif old.leg is not None and old.leg.path is not None:
        inbound = old.leg.path.end_course_deg_true
    else:
        lat, lon = flight.position(before.start)
        inbound = float(inverse(lat, lon, fix.lat_deg, fix.lon_deg)[2])
    outbound = inbound if is_fly_over(old) else _course_at_start(leg.path, fix)
    turn = float(turn_deg(inbound, outbound))
    # Turning back on itself a leg has no bisector ahead: abeam the fix then.
    mean = inbound if abs(turn) > 170.0 else inbound + 0.5 * turn
    low = max(before.start + 1, flight.at(float(flight.time_s[following.start]) - FIX_WINDOW_S))
    high = min(following.stop, flight.at(float(flight.time_s[following.start]) + FIX_WINDOW_S) + 1)
    if high - low < 2:
        return following.start
    here = slice(low, high)
    away, bearing, _ = inverse(
        fix.lat_deg, fix.lon_deg, flight.track.samples.lat_deg[here], flight.track.samples.lon_deg[here]
    )
    ahead = away * np.cos(np.radians(turn_deg(mean, bearing)))
    crossed = low + 1 + np.flatnonzero((ahead[:-1] < 0.0) & (ahead[1:] >= 0.0))
    if not crossed.size:
        return following.start
    return int(crossed[np.argmin(np.abs(flight.time_s[crossed] - flight.time_s[following.start]))])


def is_fly_over(state: State) -> bool:
    """Whether the fix a state leads to is flown over."""
    if state.leg is not None:
        return state.leg.fly_over or (state.leg.to_fix is not None and state.leg.to_fix.fly_over)
    return state.fix is not None and state.fix.fly_over


def _course_at_start(path: Path, fix: Fix) -> float:
    return float(path.measure(np.array([fix.lat_deg]), np.array([fix.lon_deg])).course_deg_true[0])


def first_passage(flight: Flight, before: Stretch, following: Stretch, fix: Fix) -> int:
    """The sample nearest to a fix when it was first passed, about the border of two stretches.

    Farther on in the second one where the border lies nowhere near the fix: told early, a hold begins over it.
    """
    low = max(before.start + 1, flight.at(float(flight.time_s[following.start]) - FIX_WINDOW_S))
    high = min(following.stop, flight.at(float(flight.time_s[following.start]) + FIX_WINDOW_S) + 1)
    samples, here = flight.track.samples, slice(low, following.stop)
    away, _, _ = inverse(samples.lat_deg[here], samples.lon_deg[here], fix.lat_deg, fix.lon_deg)
    if not away.size:
        return following.start
    near = away[: max(high - low, 1)]
    return low + closest(near if float(near.min()) <= TURNED_EARLY_NM else away)
