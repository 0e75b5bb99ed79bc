"""Approach stretches: the samples of each approach leg as flown, and where they stand on the planned final course."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.geodesy import turn_deg
from legwise.measure.positions import Positions
from legwise.model.alignment import PHASE_CODE, Alignment, FlownLeg, Phase
from legwise.model.arrays import FloatArray, IntArray
from legwise.model.plan import LegPart, Path, Plan, PlannedApproach
from legwise.model.track import Track

ALIGNED_DEG = 3.0
ALIGNED_NM = 0.1
"""A leg lies on the final course when it ends within this of it, pointing along it. 3 deg: AIM 1-1-18 d5; 0.1 NM:
practice."""

_JUDGED_PHASES = (PHASE_CODE[Phase.APPROACH], PHASE_CODE[Phase.TERMINAL])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ApproachStretch:
    """The samples (``index``, shape (m,)) flown on one leg of an approach before its missed approach.

    ``to_faf_nm`` along the legs to the final approach fix, zero or less inside it; ``on_final`` where the leg lies
    on the final course; ``before_threshold_nm`` along the final course (to the missed approach point where there is
    no runway), NaN where there is none.
    """

    planned: PlannedApproach
    index: IntArray
    on_final: bool
    to_faf_nm: FloatArray
    before_threshold_nm: FloatArray


def approach_stretches(track: Track, plan: Plan, alignment: Alignment, positions: Positions) -> list[ApproachStretch]:
    """Every approach leg as flown, in order; a leg of the route or a missed approach is none."""
    stretches = []
    for number, leg in enumerate(alignment.legs):
        index = np.flatnonzero((alignment.leg == number) & np.isin(alignment.phase, _JUDGED_PHASES))
        planned = _planned_approach(leg, index, plan, alignment)
        if planned is None or leg.path is None or index.size == 0:
            continue
        before = np.full(index.size, np.nan)
        if planned.final_path is not None:
            lat, lon = track.samples.lat_deg[index], track.samples.lon_deg[index]
            before = planned.final_path.measure(lat, lon).to_go_nm
        stretches.append(
            ApproachStretch(
                planned=planned,
                index=index,
                on_final=planned.final_path is not None and lies_along(leg.path, planned.final_path),
                to_faf_nm=_to_faf_nm(leg, planned, positions.to_go_nm[index], before),
                before_threshold_nm=before,
            )
        )
    return stretches


def lies_along(path: Path, course: Path) -> bool:
    """True where a path ends on a course line, pointing along it."""
    lat, lon = path.point_at(np.array([0.0]))
    end = course.measure(lat, lon)
    off_deg = turn_deg(end.course_deg_true, path.end_course_deg_true)
    return bool(abs(end.cross_track_nm[0]) < ALIGNED_NM and abs(off_deg[0]) < ALIGNED_DEG)


def _planned_approach(leg: FlownLeg, index: IntArray, plan: Plan, alignment: Alignment) -> PlannedApproach | None:
    """The planned approach that a flown leg belongs to; a direct belongs to the approach being flown."""
    number: int | None = None
    if leg.planned is not None:
        number = leg.planned.approach if leg.planned.part is LegPart.APPROACH else None
    elif index.size and alignment.approach[index[0]] >= 0:
        number = alignment.approaches[alignment.approach[index[0]]].approach
    return next((planned for planned in plan.approaches if planned.index == number), None)


def _to_faf_nm(leg: FlownLeg, planned: PlannedApproach, to_go_nm: FloatArray, before_nm: FloatArray) -> FloatArray:
    """Distance along the legs to the final approach fix; by the final course where the leg is none of the plan's."""
    faf = _faf_position(planned)
    place = _position(leg, planned)
    if faf is not None and place is not None:
        if place > faf:
            return np.full_like(to_go_nm, -1.0)
        return to_go_nm + sum(after.distance_nm or 0.0 for after in planned.legs[place + 1 : faf + 1])
    if planned.faf_to_go_nm is not None:
        return before_nm - planned.faf_to_go_nm
    return np.full_like(to_go_nm, np.inf)


def _faf_position(planned: PlannedApproach) -> int | None:
    """Which leg ends at the final approach fix; where none says so, the one before the last."""
    named = [place for place, leg in enumerate(planned.legs) if leg.role == "FAF"]
    if named:
        return named[0]
    return len(planned.legs) - 2 if len(planned.legs) > 1 else None


def _position(leg: FlownLeg, planned: PlannedApproach) -> int | None:
    """Where in the approach a flown leg stands; a direct stands for the leg that ends at its fix."""
    for place, candidate in enumerate(planned.legs):
        if leg.planned is candidate or (leg.planned is not None and leg.planned.id == candidate.id):
            return place
    if leg.planned is not None:
        return None
    return next((place for place, leg_ in enumerate(planned.legs) if leg_.end_ident == leg.to_ident), None)
