"""Crossing altitudes: fixes with published altitudes, outside the final segment, and fixes crossed as instructed.

Inside the final segment a step-down binds only to a minimum descent altitude (FAA AIM 5-4-5 b5), and there the
standards give no figure, so none is judged here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from legwise.assess.flight import SEGMENT_CODE, SEGMENTS, Flight
from legwise.assess.judging import Series
from legwise.assess.making import About, found, in_question
from legwise.model.alignment import GUIDANCE_CODE, FlownLeg, Guidance
from legwise.model.plan import AltitudeWindow
from legwise.model.results import Finding
from legwise.model.standard import Quantity, Segment, Tolerance

AT_FIX_NM = 1.0
"""A leg that ended farther than this from its fix did not cross it: it was left before. Common practice, no published
source. [nm]"""

_JUDGED = (Segment.ROUTE, Segment.APPROACH_BEFORE_FINAL, Segment.MISSED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A fix crossed at a sample, on a leg in a segment, with the altitudes that bound it."""

    fix: str
    sample: int
    leg: str
    segment: Segment
    window: AltitudeWindow
    said: bool


def crossing_findings(flight: Flight) -> list[Finding]:
    """One finding for each fix crossed that had an altitude, where the standard has a figure for it."""
    return [
        _found(flight, passage, tolerance)
        for passage in _passages(flight)
        for tolerance in flight.tolerances(
            Quantity.CROSSING_ALTITUDE, passage.segment, flight.approach_at(passage.sample)
        )
    ]


def _passages(flight: Flight) -> list[Passage]:
    passages: list[Passage] = []
    for position, leg in enumerate(flight.alignment.legs):
        first, last = _ends(flight, position, leg)
        if last is None or first is None:
            continue
        if position == 0 or flight.alignment.legs[position - 1].to_ident != leg.from_ident:
            passages.extend(_start_of(flight, leg, first))
        passages.extend(_end_of(flight, leg, last))
    return passages


def _ends(flight: Flight, position: int, leg: FlownLeg) -> tuple[int | None, int | None]:
    rows = np.flatnonzero(flight.alignment.leg[leg.start : leg.stop] == position)
    return (leg.start + int(rows[0]), leg.start + int(rows[-1])) if rows.size else (None, None)


def _end_of(flight: Flight, leg: FlownLeg, last: int) -> list[Passage]:
    segment = _segment_at(flight, leg, last)
    to_go_nm = flight.deviations.along_track_to_go_nm[last]
    # A leg that ends with its part of the log, at a jump or the last sample, did not pass its fix.
    if segment is None or not abs(to_go_nm) <= AT_FIX_NM or last == flight.part_stop(last) - 1:
        return []
    said = _said(flight, leg.to_ident, last)
    published = leg.planned.altitude if leg.planned is not None and leg.planned.role != "MAP" else None
    window = said if said is not None else _binding(flight, published, last)
    if window is None:
        return []
    return [Passage(fix=leg.to_ident, sample=last, leg=leg.id, segment=segment, window=window, said=said is not None)]


def _start_of(flight: Flight, leg: FlownLeg, first: int) -> list[Passage]:
    """The fix a leg began at, where no flown leg ended there: the first fix of an approach, a point and no leg."""
    segment = _segment_at(flight, leg, first)
    if leg.joined_part_way or leg.planned is None or leg.planned.approach is None or segment is None:
        return []
    approach = flight.approach_at(first)
    if approach is None:
        return []
    points = [item for item in approach.legs if item.kind == "IF" and item.end_ident == leg.from_ident]
    window = _binding(flight, points[0].altitude, first) if points else None
    if window is None:
        return []
    return [Passage(fix=leg.from_ident, sample=first, leg=leg.id, segment=segment, window=window, said=False)]


def _segment_at(flight: Flight, leg: FlownLeg, sample: int) -> Segment | None:
    """The segment that a fix passed at ``sample`` belongs to: a final approach fix ends the one before the final."""
    code = int(flight.segment[sample])
    if flight.alignment.guidance[sample] == GUIDANCE_CODE[Guidance.VECTORS] or code < 0:
        return None
    if leg.planned is not None and leg.planned.role == "FAF":
        return Segment.APPROACH_BEFORE_FINAL
    return SEGMENTS[code] if SEGMENTS[code] in _JUDGED else None


def _binding(flight: Flight, published: AltitudeWindow | None, sample: int) -> AltitudeWindow | None:
    """A published altitude binds once established; before, the assigned one does."""
    before_final = flight.segment[sample] == SEGMENT_CODE[Segment.APPROACH_BEFORE_FINAL]
    if before_final and not flight.alignment.established[sample]:
        return None
    return published


def _said(flight: Flight, fix: str, sample: int) -> AltitudeWindow | None:
    """The altitude at ``fix`` that was assigned last before it was crossed."""
    assigned = [
        item.clearance.crossing
        for item in flight.alignment.instructions
        if item.clearance.crossing is not None
        and item.clearance.crossing.fix == fix
        and item.time_s <= flight.time_s[sample]
    ]
    if not assigned:
        return None
    last = assigned[-1]
    if last.at_ft is not None:
        return AltitudeWindow(low_ft=last.at_ft, high_ft=last.at_ft)
    return AltitudeWindow(low_ft=last.at_or_above_ft, high_ft=last.at_or_below_ft)


def _found(flight: Flight, passage: Passage, tolerance: Tolerance) -> Finding:
    low_ft, high_ft = passage.window.low_ft, passage.window.high_ft
    altitude_ft = float(flight.altitude_ft[passage.sample])
    bound_ft, low, high = _nearest(altitude_ft, low_ft, high_ft, tolerance)
    series = Series(
        index=np.array([passage.sample]),
        time_s=flight.flown_s[[passage.sample]],
        value=np.array([_beyond_ft(altitude_ft, low_ft, high_ft, bound_ft)]),
        doubt=flight.deviations.judged.against_assigned_ft[[passage.sample]],
        low=np.array([low]),
        high=np.array([high]),
        part=flight.part[[passage.sample]],
    )
    crossed = f"; crossed at {altitude_ft:,.0f} ft" if round(float(np.nan_to_num(series.value[0]))) else ""
    origin = "Assigned" if passage.said else "Published"
    about = About(
        segment=passage.segment,
        leg=passage.leg,
        fix=passage.fix,
        owed=bound_ft,
        owed_as=_kind(low_ft, high_ft),
        flown=altitude_ft if np.isfinite(altitude_ft) else None,
        extra=f"{origin} at {passage.fix}: {_words(low_ft, high_ft)}{crossed}.",
    )
    made = found(flight, tolerance, series, about, instant_only=True)
    return in_question(flight, made, series.index, assigns="crossing", fix=passage.fix) if passage.said else made


def _beyond_ft(altitude_ft: float, low_ft: float | None, high_ft: float | None, bound_ft: float) -> float:
    """How far the altitude is beyond its bound; 0 with room to spare on the open side, where nothing was owed. [ft]"""
    if low_ft is None and high_ft is not None:
        return max(altitude_ft - bound_ft, 0.0)
    if high_ft is None and low_ft is not None:
        return min(altitude_ft - bound_ft, 0.0)
    if low_ft != high_ft and low_ft is not None and high_ft is not None and low_ft <= altitude_ft <= high_ft:
        return 0.0
    return altitude_ft - bound_ft


def _nearest(
    altitude_ft: float, low_ft: float | None, high_ft: float | None, tolerance: Tolerance
) -> tuple[float, float, float]:
    """The bound the altitude is judged against, and the band about it: only the published side of a one-sided one
    binds."""
    if low_ft is not None and high_ft is not None:
        if low_ft == high_ft:
            return low_ft, tolerance.low, tolerance.high
        if altitude_ft - low_ft > high_ft - altitude_ft:
            return high_ft, -np.inf, tolerance.high
        return low_ft, tolerance.low, np.inf
    if low_ft is not None:
        return low_ft, tolerance.low, np.inf
    return (high_ft if high_ft is not None else np.nan), -np.inf, tolerance.high


def _kind(low_ft: float | None, high_ft: float | None) -> Literal["at", "at or above", "at or below", "between"]:
    if low_ft is not None and high_ft is not None:
        return "at" if low_ft == high_ft else "between"
    return "at or above" if low_ft is not None else "at or below"


def _words(low_ft: float | None, high_ft: float | None) -> str:
    if low_ft is not None and high_ft is not None:
        return f"{low_ft:,.0f} ft" if low_ft == high_ft else f"{low_ft:,.0f} to {high_ft:,.0f} ft"
    return f"at or above {low_ft:,.0f} ft" if low_ft is not None else f"at or below {high_ft:,.0f} ft"
