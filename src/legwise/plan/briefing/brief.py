"""A plan at its planned speeds: turns with their leads, times, the final descent, entries of holds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from legwise.geodesy.angles import turn_deg, wrap_360
from legwise.model.briefing import (
    Briefing,
    FinalBriefing,
    HoldBriefing,
    LegBriefing,
    PartTotal,
    Wind,
)
from legwise.model.lesson import Lesson
from legwise.model.plan import Leg, LegPart, Plan, PlannedApproach
from legwise.plan.briefing.arrivals import MISSED_BEGINS_FT, arrival_at, entries_for
from legwise.plan.briefing.open_legs import Climb
from legwise.plan.briefing.speeds import PlannedSpeeds, legs_after_faf
from legwise.plan.briefing.turns import joined_legs, turn_at_end, with_room_told
from legwise.units import FT_PER_NM, S_PER_H, S_PER_MIN


def brief(plan: Plan, lesson: Lesson, *, wind: Wind | None = None) -> Briefing:
    """What ``plan``, made from ``lesson``, comes to before anything is flown.

    The planned groundspeed is ``[route] speed_kt``; else the true airspeed of the route's text; else, on an approach
    and its missed approach, ``[aircraft] approach_ias_kt``. From the final approach fix to the missed approach point
    ``approach_ias_kt`` comes first, since that is what is flown there. ``wind`` turns airspeeds into groundspeeds along
    the course of each leg; without it an airspeed stands for the groundspeed.
    """
    speeds = PlannedSpeeds(plan, lesson, wind)
    joined = tuple(joined_legs(plan))
    turns = with_room_told(joined, {leg.id: turn_at_end(leg, after, speeds.of(leg)) for leg, after in joined})
    legs = tuple(
        LegBriefing(
            leg_id=leg.id,
            groundspeed_kt=speeds.of(leg),
            time_s=_time_s(leg.distance_nm if _is_measured(leg) else None, speeds.of(leg)),
            turn=turns.get(leg.id),
        )
        for leg in _all_legs(plan)
    )
    return Briefing(
        legs=legs,
        totals=tuple(_totals(plan, speeds)),
        finals=tuple(_final(approach, speeds) for approach in plan.approaches),
        holds=tuple(_holds(plan, speeds)),
        speeds=speeds.in_words(),
        wind=wind,
    )


def _all_legs(plan: Plan) -> Iterator[Leg]:
    yield from plan.route
    for approach in plan.approaches:
        yield from approach.legs
        yield from approach.missed


def _is_measured(leg: Leg) -> bool:
    """Whether its length is known beforehand: not that of a hold or a reversal."""
    return leg.distance_nm is not None and leg.hold is None and leg.reversal is None


def _time_s(distance_nm: float | None, groundspeed_kt: float | None) -> float | None:
    return None if distance_nm is None or groundspeed_kt is None else distance_nm / groundspeed_kt * S_PER_H


def _totals(plan: Plan, speeds: PlannedSpeeds) -> Iterator[PartTotal]:
    parts: list[tuple[LegPart, int | None, Sequence[Leg]]] = [(LegPart.ROUTE, None, plan.route)]
    for approach in plan.approaches:
        parts.append((LegPart.APPROACH, approach.index, approach.legs))
        parts.append((LegPart.MISSED, approach.index, approach.missed))
    for part, index, legs in parts:
        if not legs:
            continue
        distance, seconds, unmeasured = 0.0, 0.0, 0
        for leg in legs:
            if leg.distance_nm is None or not _is_measured(leg):
                unmeasured += leg.kind != "IF"
                continue
            distance += leg.distance_nm
            time = _time_s(leg.distance_nm, speeds.of(leg))
            seconds += math.nan if time is None else time
        known = math.isfinite(seconds) and distance > 0
        yield PartTotal(
            part=part,
            approach=index,
            distance_nm=distance,
            time_s=seconds if known else None,
            unmeasured=unmeasured,
        )


def _final(approach: PlannedApproach, speeds: PlannedSpeeds) -> FinalBriefing:
    legs = legs_after_faf(approach)
    distances = [leg.distance_nm for leg in legs]
    distance = sum(item for item in distances if item is not None) if legs and None not in distances else None
    groundspeed = speeds.of(legs[-1]) if legs else None
    angle, computed = approach.glidepath_deg, False
    if angle is None:
        angle = _angle_from_faf(approach)
        computed = angle is not None
    fpm = None
    if angle is not None and groundspeed is not None:
        fpm = groundspeed / S_PER_MIN * FT_PER_NM * math.tan(math.radians(angle))
    return FinalBriefing(
        approach=approach.index,
        groundspeed_kt=groundspeed,
        angle_deg=angle,
        computed=computed,
        descent_fpm=fpm,
        distance_nm=distance,
        time_s=_time_s(distance, groundspeed),
    )


def _angle_from_faf(approach: PlannedApproach) -> float | None:
    """The angle of the line from the altitude at the final approach fix to the threshold crossing height. [deg]"""
    window = next((leg.altitude for leg in reversed(approach.legs) if leg.role == "FAF"), None)
    to_go = approach.faf_to_go_nm
    if window is None or window.low_ft is None or approach.runway is None or to_go is None or to_go <= 0:
        return None
    down_ft = window.low_ft - approach.runway.elevation_ft - approach.threshold_crossing_height_ft
    return math.degrees(math.atan2(down_ft, to_go * FT_PER_NM)) if down_ft > 0 else None


def _holds(plan: Plan, speeds: PlannedSpeeds) -> Iterator[HoldBriefing]:
    before = {after.id: leg for leg, after in joined_legs(plan)}
    for leg in _all_legs(plan):
        if leg.hold is None:
            continue
        previous = before.get(leg.id)
        arrival = arrival_at(leg.hold, previous, before, climb_from=_climb_from(plan, leg), groundspeed_kt=speeds.of)
        magnetic = None
        if arrival is not None and leg.hold.inbound_course_deg_mag is not None:
            at_fix = float(turn_deg(leg.hold.inbound_course_deg_true, arrival.course_deg_true))
            magnetic = float(wrap_360(leg.hold.inbound_course_deg_mag + at_fix))
        entries, depends = entries_for(leg.hold, arrival) if arrival is not None else ((), False)
        yield HoldBriefing(
            leg_id=leg.id,
            hold=leg.hold,
            arrival_course_deg_true=arrival.course_deg_true if arrival is not None else None,
            arrival_course_deg_mag=magnetic,
            arrival_estimated=arrival is not None and arrival.is_estimated,
            entries=entries,
            arrival_within_deg=arrival.within_deg if arrival is not None else None,
            entry_depends=depends,
        )


def _climb_from(plan: Plan, hold: Leg) -> Climb:
    """The heights between which the climb of a hold's part begins, and how far before the fix that it begins at."""
    approach = next((item for item in plan.approaches if item.index == hold.approach), None)
    if approach is None or hold.part is not LegPart.MISSED:
        return Climb(low_ft=None, high_ft=None, before_nm=0.0)
    least = [approach.runway.elevation_ft] if approach.runway is not None else []
    most = [feet for feet in (approach.flown_da_ft, approach.flown_mda_ft, approach.minima_ft) if feet is not None]
    if not most:
        most = [feet + MISSED_BEGINS_FT for feet in least]
    # With a decision altitude the climb begins on the glidepath, before the missed approach point.
    before_nm = 0.0
    if approach.has_glidepath and approach.glidepath_deg is not None and least and most:
        before_nm = max(0.0, max(most) - least[0]) / (FT_PER_NM * math.tan(math.radians(approach.glidepath_deg)))
    return Climb(low_ft=min(least, default=None), high_ft=max(most, default=None), before_nm=before_nm)
