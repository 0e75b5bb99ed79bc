"""When an aircraft was established on the inbound course of a course reversal."""

from __future__ import annotations

import math

import numpy as np

from legwise.align.about_fix import about_fix, passages
from legwise.align.flight import Flight
from legwise.align.needle import half_scale_nm
from legwise.model.arrays import FloatArray
from legwise.model.plan import Fix, Leg, PlannedApproach

ESTABLISHED_DEG = 30.0
WITHOUT_NEEDLE_NM = 0.35
"""Within half scale, or 0.35 NM where there is no needle, and 30 degrees of the inbound course (the contract)."""


def inbound_course_of(leg: Leg) -> tuple[Fix, float] | None:
    """The fix of a hold or a reversal and the course back to it [deg true]; None for a leg that is neither."""
    if leg.reversal is not None:
        return leg.reversal.fix, leg.reversal.inbound_course_deg_true
    return (leg.hold.fix, leg.hold.inbound_course_deg_true) if leg.hold is not None else None


def established_from(flight: Flight, leg: Leg, low: int, high: int) -> int | None:
    """The first sample from which the aircraft stayed on the course back, until the last passage of the fix.

    Of samples ``low`` to ``high`` (exclusive); to the end of them where the fix was not passed. None where it was not
    on the course there, or never went outbound.
    """
    back = inbound_course_of(leg)
    if back is None or high - low < 2:
        return None
    fix, course = back
    about = about_fix(flight, fix, course, low, high)
    outbound = np.flatnonzero(np.abs(about.off_deg) > 90.0)
    if not outbound.size:
        return None
    passed = passages(about, float(low))
    end = min(math.floor(passed[-1]) + 1 - low, high - low) if passed else high - low
    samples = flight.track.samples
    half_nm = _half_scale_nm(flight, leg, samples.lat_deg[low:high], samples.lon_deg[low:high])
    known = np.isfinite(flight.track.motion.track_deg_true[low:high])
    on = (np.abs(about.cross_nm) <= half_nm) & (np.abs(about.off_deg) <= ESTABLISHED_DEG)
    off = np.flatnonzero(~on[:end] & known[:end])
    first = int(off[-1]) + 1 if off.size else 0
    return low + first if outbound[0] < first < end else None


def _half_scale_nm(flight: Flight, leg: Leg, lat_deg: FloatArray, lon_deg: FloatArray) -> FloatArray:
    """Half of the needle's full scale, as it is on the leg that leads on from the reversal."""
    planned = next((item for item in flight.plan.approaches if item.index == leg.approach), None)
    if planned is None or planned.guidance is None or planned.guidance == "NDB":
        return np.full(len(lat_deg), WITHOUT_NEEDLE_NM)
    return half_scale_nm(flight.plan, _leads_on(planned, leg), lat_deg, lon_deg)


def _leads_on(planned: PlannedApproach, leg: Leg) -> Leg:
    """The leg after a reversal, which its needle is set for; the reversal itself where it has no path."""
    places = [place for place, other in enumerate(planned.legs) if other.id == leg.id]
    after = planned.legs[places[0] + 1 : places[0] + 2] if places else ()
    return after[0] if after and after[0].path is not None else leg
