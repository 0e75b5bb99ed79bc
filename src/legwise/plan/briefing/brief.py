"""A plan at its planned speeds: turns with their leads, times, the final descent, entries of holds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from legwise.geodesy.angles import turn_deg, wrap_360
from legwise.geodesy.hold_entries import hold_entry
from legwise.geodesy.lines import line_between
from legwise.model.briefing import (
    Briefing,
    Entry,
    FinalBriefing,
    HoldBriefing,
    LegBriefing,
    PartTotal,
    Wind,
)
from legwise.model.lesson import Lesson
from legwise.model.plan import Hold, Leg, LegPart, Plan, PlannedApproach
from legwise.plan.briefing.speeds import PlannedSpeeds, legs_after_faf
from legwise.plan.briefing.turns import course_out, joined_legs, turn_at_end
from legwise.units import FT_PER_NM, S_PER_H, S_PER_MIN


def brief(plan: Plan, lesson: Lesson, *, wind: Wind | None = None) -> Briefing:
    """What ``plan``, made from ``lesson``, comes to before anything is flown.

    The planned groundspeed is ``[route] speed_kt``; else the true airspeed of the route's text; else, on an approach
    and its missed approach, ``[aircraft] approach_ias_kt``. From the final approach fix to the missed approach point
    ``approach_ias_kt`` comes first, since that is what is flown there. ``wind`` turns airspeeds into groundspeeds along
    the course of each leg; without it an airspeed stands for the groundspeed.
    """
    speeds = PlannedSpeeds(plan, lesson, wind)
    turns = {before.id: turn_at_end(before, after, speeds.of(before)) for before, after in joined_legs(plan)}
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
        holds=tuple(_holds(plan)),
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


def _holds(plan: Plan) -> Iterator[HoldBriefing]:
    before = {after.id: leg for leg, after in joined_legs(plan)}
    for leg in _all_legs(plan):
        if leg.hold is None:
            continue
        previous = before.get(leg.id)
        is_direct = previous is not None and previous.kind == "DF" and previous.path is None
        arrival = _arrival(previous, leg.hold, before) if previous is not None else None
        magnetic = None
        if arrival is not None and leg.hold.inbound_course_deg_mag is not None:
            at_fix = float(turn_deg(leg.hold.inbound_course_deg_true, arrival))
            magnetic = float(wrap_360(leg.hold.inbound_course_deg_mag + at_fix))
        yield HoldBriefing(
            leg_id=leg.id,
            hold=leg.hold,
            arrival_course_deg_true=arrival,
            arrival_course_deg_mag=magnetic,
            arrival_estimated=is_direct and arrival is not None,
            entries=_entries(leg.hold, arrival) if arrival is not None else (),
        )


def _arrival(leg: Leg, hold: Hold, before: Mapping[str, Leg]) -> float | None:
    """The course on which a leg arrives at the fix of a hold, None where it does not lead there. [deg true]

    A direct begins wherever the aircraft is: it is taken as flown from the last fix before it.
    """
    if leg.to_fix is None or leg.to_fix.ident != hold.fix.ident:
        return None
    if leg.kind != "DF" or leg.path is not None:
        return course_out(leg)
    start, at = leg.from_fix, before.get(leg.id)
    while start is None and at is not None:
        start, at = at.to_fix or at.from_fix, before.get(at.id)
    if start is None:
        return None
    line = line_between(start.lat_deg, start.lon_deg, leg.to_fix.lat_deg, leg.to_fix.lon_deg)
    return None if line is None else line.end_course_deg_true


def _entries(hold: Hold, arrival_deg_true: float) -> tuple[Entry, ...]:
    return hold_entry(hold.inbound_course_deg_true, hold.turn, arrival_deg_true).acceptable
