"""Where a hold that was said begins and ends, beyond what its neighbours in the story say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from legwise.align.about_fix import TURNED_EARLY_NM
from legwise.align.flight import Flight, Stretch
from legwise.align.passing import FIX_WINDOW_S, first_passage
from legwise.align.states import Kind, start_ident
from legwise.geodesy import inverse, turn_deg
from legwise.model.plan import Fix, Leg

LEFT_AT_FIX_NM = 0.5
LEFT_SOON_S = 30.0
LEFT_WITHIN_DEG = 30.0
"""A hold is left for a leg from its fix over that fix, if the track leads from there along the leg."""


def on_the_way(flight: Flight, first: Stretch) -> list[Stretch]:
    """A hold said as the log begins is flown to first: direct until its fix is passed."""
    state, epoch = flight.states[first.state], flight.epochs[first.epoch]
    said_before = epoch.time_s is not None and epoch.time_s + epoch.accuracy_s < flight.time_s[0]
    if state.kind is not Kind.HOLD or state.fix is None or said_before:
        return [first]
    direct = next(n for n, s in enumerate(flight.states) if s.kind is Kind.DIRECT and s.end_ident == state.fix.ident)
    passed = first_passage(flight, replace(first, stop=first.start), first, state.fix)
    lat, lon = flight.position(passed)
    away = float(inverse(lat, lon, state.fix.lat_deg, state.fix.lon_deg)[0])
    if away > TURNED_EARLY_NM or passed <= first.start + 1:
        return [first]
    return [replace(first, state=direct, stop=passed), replace(first, start=passed)]


def held_on(flight: Flight, stretches: list[Stretch]) -> list[Stretch]:
    """The way in to a hold's fix, with no direct said, is the hold still."""
    done = [stretches[0]]
    for stretch in stretches[1:]:
        before, old, new = done[-1], flight.states[done[-1].state], flight.states[stretch.state]
        held = old.kind is Kind.HOLD or (old.leg is not None and old.leg.hold is not None)
        unsaid = before.epoch == stretch.epoch and not flight.begins_part(stretch.start)
        if held and unsaid and new.kind is Kind.DIRECT and new.end_ident == old.end_ident:
            done[-1] = replace(before, stop=stretch.stop)
        else:
            done.append(stretch)
    return done


def left_at_fix(flight: Flight, before: Stretch, following: Stretch) -> int | None:
    """Where a hold that was said is left over its fix for a leg that begins there; None where it is not."""
    old, new = flight.states[before.state], flight.states[following.state]
    if old.kind is not Kind.HOLD or old.fix is None or new.leg is None or start_ident(new.leg) != old.fix.ident:
        return None
    return _last_passage(flight, before, following, old.fix, new.leg)


def _last_passage(flight: Flight, before: Stretch, following: Stretch, fix: Fix, leg: Leg) -> int | None:
    """The sample at which a hold's fix is passed as the hold is left for a leg from there; None where it is not."""
    if leg.path is None:
        return None
    border = following.start
    low = max(before.start + 1, flight.at(float(flight.time_s[border]) - FIX_WINDOW_S))
    high = min(following.stop, flight.at(float(flight.time_s[border]) + LEFT_SOON_S) + 1)
    samples, here = flight.track.samples, slice(low, high)
    away, _, _ = inverse(samples.lat_deg[here], samples.lon_deg[here], fix.lat_deg, fix.lon_deg)
    if not away.size or float(away.min()) > LEFT_AT_FIX_NM:
        return None
    passed = low + int(np.argmin(away))
    on = slice(passed, max(high, passed + 1))
    course = leg.path.measure(samples.lat_deg[on], samples.lon_deg[on]).course_deg_true
    off = np.abs(turn_deg(course, flight.track.motion.track_deg_true[on]))
    off = off[np.isfinite(off)]
    return passed if off.size and float(np.median(off)) <= LEFT_WITHIN_DEG else None
