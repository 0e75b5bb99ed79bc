"""Approaches as flown: where each was joined, how low it went, and whether it ended on the runway or in a climb."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from legwise.align.flight import Flight, Stretch, tidy
from legwise.align.profile import CLIMB_FPM, CLIMB_LEAST_S
from legwise.align.runs import lasting_runs
from legwise.align.states import NONE, Kind
from legwise.model.alignment import FlownApproach
from legwise.model.plan import LegPart, PlannedApproach

Outcome = Literal["landed", "touch-and-go", "missed", "low-approach", "discontinued"]

LOW_APPROACH_FT = 100.0
"""Going around from below 100 ft over the runway is a low approach: past any decision altitude (200 ft and more over
it)."""
BEGUN_FPM = 100.0
"""Level flight wanders less than this over ten seconds. Common practice, no published source. [ft/min]"""
SETTLE_S = 6.0
LEVEL_FT = 10.0
"""Within this of the lowest altitude no climb shows yet. Common practice, no published source."""
_AFTER_S = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The stretches ``first`` to ``last`` (exclusive) that make up one approach with its missed approach."""

    first: int
    last: int
    approach: int


def approaches_flown(flight: Flight, stretches: list[Stretch]) -> tuple[list[Stretch], tuple[FlownApproach, ...]]:
    """The approaches, and the stretches with each climb out of one marked as missed."""
    done: list[Stretch] = []
    flown: list[FlownApproach] = []
    place = 0
    while place < len(stretches):
        group = _group(flight, stretches, place)
        if group is None:
            done.append(stretches[place])
            place += 1
            continue
        place = group.last
        if flown and _lifts_off(flight, stretches, group):
            done += _climbing_away(flight, stretches[group.first : group.last], flown[-1])
            continue
        parts, approach = _fly(flight, stretches, group)
        done += parts
        flown.append(approach)
    return tidy(done), tuple(flown)


def _group(flight: Flight, stretches: list[Stretch], place: int) -> Group | None:
    first = flight.states[stretches[place].state]
    if first.part is not LegPart.APPROACH or first.approach is None:
        return None
    last, owed = place, -1
    while last < len(stretches):
        state = flight.states[stretches[last].state]
        # The same leg again is one flown on through something that was said.
        onward = state.owed > owed or (last > place and stretches[last].state == stretches[last - 1].state)
        same = state.leg is not None and state.approach == first.approach and onward
        circling = state.kind is Kind.NONE and last > place
        # Put elsewhere, the same approach is another attempt at it.
        anew = last > place and flight.begins_part(stretches[last].start)
        if anew or not (same or circling):
            break
        owed = max(owed, state.owed)
        last += 1
    return Group(first=place, last=last, approach=first.approach)


def _lifts_off(flight: Flight, stretches: list[Stretch], group: Group) -> bool:
    """Whether a group is the climb from a landing: begun on the ground, past the final approach fix."""
    before = stretches[group.first - 1] if group.first > 0 else None
    if flight.begins_part(stretches[group.first].start):
        return False
    leg = flight.states[stretches[group.first].state].leg
    from_ground = before is not None and flight.states[before.state].kind is Kind.GROUND
    return from_ground and leg is not None and leg.role == "MAP"


def _climbing_away(flight: Flight, parts: list[Stretch], landed: FlownApproach) -> list[Stretch]:
    """The legs after a touch-and-go are its missed approach; after a full stop they are a departure, which owes
    none."""
    again = landed.outcome == "touch-and-go"
    missed_states = [number for number, s in enumerate(flight.states) if s.part is LegPart.MISSED
                     and s.approach == landed.approach]  # fmt: skip
    done: list[Stretch] = []
    for part in parts:
        state = flight.states[part.state]
        if state.part is LegPart.APPROACH:
            done.append(replace(part, state=_first_missed(flight, missed_states) if again else NONE, missed=again))
        else:
            done.append(replace(part, missed=again and state.kind is Kind.LEG))
    return _merged(done)


def _fly(flight: Flight, stretches: list[Stretch], group: Group) -> tuple[list[Stretch], FlownApproach]:
    parts = stretches[group.first : group.last]
    plan = next(a for a in flight.plan.approaches if a.index == group.approach)
    start, stop = parts[0].start, parts[-1].stop
    following = stretches[group.last] if group.last < len(stretches) else None
    is_cut = following is not None and flight.begins_part(following.start)
    following = None if is_cut else following
    landing = stop if following is not None and flight.states[following.state].kind is Kind.GROUND else None
    faf = _faf(flight, plan, start, stop)
    lowest = _lowest(flight, start, landing + 1 if landing is not None else stop)
    missed_start = None if landing is not None else _climb(flight, parts, lowest, stop, following is None)
    if missed_start is not None and faf is None and not _on_final(flight, parts, missed_start):
        missed_start = None
    if missed_start is not None:
        faf = faf if faf is not None and faf < missed_start else None
        stop = max(stop, missed_start + 1)
        parts = _mark_missed(flight, parts, missed_start)
    else:
        parts = _unmissed(flight, parts) if landing is not None else parts
    circled = any(flight.states[p.state].kind is Kind.NONE and not p.missed for p in parts) and _said(
        flight, parts, "circle"
    )
    flown = FlownApproach(
        approach=group.approach,
        start=start,
        stop=min(stop, len(flight.track)),
        joined=start,
        faf=faf,
        lowest=lowest,
        landing=landing,
        missed_start=missed_start,
        outcome=_outcome(flight, plan, parts, following, landing, lowest, missed_start)
        or ("discontinued" if is_cut else None),
        circled=circled,
    )
    return parts, flown


def _faf(flight: Flight, plan: PlannedApproach, start: int, stop: int) -> int | None:
    """The first sample past the final approach fix; None where it was not passed on this approach."""
    if plan.final_path is None or plan.faf_to_go_nm is None or stop - start < 2:
        return None
    samples = flight.track.samples
    place = plan.final_path.measure(samples.lat_deg[start:stop], samples.lon_deg[start:stop])
    ahead = place.to_go_nm - plan.faf_to_go_nm
    near = np.abs(place.cross_track_nm) <= 1.5
    crossed = np.flatnonzero((ahead[:-1] > 0.0) & (ahead[1:] <= 0.0) & near[1:])
    return start + 1 + int(crossed[0]) if crossed.size else None


def _lowest(flight: Flight, start: int, stop: int) -> int | None:
    heights = flight.altitude_ft[start:stop]
    if not np.isfinite(heights).any():
        return None
    return start + int(np.nanargmin(heights))


def _climb(flight: Flight, parts: list[Stretch], lowest: int | None, stop: int, at_end: bool) -> int | None:
    """The first sustained climb after the lowest point; without altitudes, where the missed legs begin."""
    if lowest is None:
        return next((p.start for p in parts if flight.states[p.state].part is LegPart.MISSED), None)
    part_stop = flight.part(stop - 1)[1]
    until = part_stop if at_end else min(part_stop, flight.at(float(flight.time_s[stop - 1]) + _AFTER_S))
    with np.errstate(invalid="ignore"):
        climbing = flight.climb_fpm[lowest:until] >= CLIMB_FPM
    found = lasting_runs(climbing, flight.flown_s[lowest:until], CLIMB_LEAST_S)
    if not found:
        return None
    # The rate of climb takes seconds to build up: the climb began where it last was no more than level flight's.
    begun = lowest + found[0][0]
    still_down = np.flatnonzero(~(flight.climb_fpm[lowest + 1 : begun] > BEGUN_FPM))
    began = lowest + 1 + (int(still_down[-1]) + 1 if still_down.size else 0) if begun > lowest else begun
    return _left_the_level(flight, began, until)


def _left_the_level(flight: Flight, began: int, until: int) -> int:
    """The last sample still at the lowest altitude about ``began``: a rate of climb is a mean over seconds, which rises
    before the altitude does."""
    time_s = float(flight.time_s[began])
    low, high = max(0, flight.at(time_s - SETTLE_S)), min(until, flight.at(time_s + SETTLE_S) + 1)
    heights = flight.altitude_ft[low:high]
    if high - began < 2 or not np.isfinite(heights).any():
        return began
    down = np.flatnonzero(flight.altitude_ft[began:high] <= float(np.nanmin(heights)) + LEVEL_FT)
    return began + (int(down[-1]) if down.size else 0)


def _on_final(flight: Flight, parts: list[Stretch], sample: int) -> bool:
    """Whether the aircraft had reached the last leg of the approach, or a missed leg, by a sample."""
    reached = [p for p in parts if p.start <= sample]
    legs = [flight.states[p.state] for p in reached]
    return any(s.part is LegPart.MISSED or (s.leg is not None and s.leg.role == "MAP") for s in legs)


def _mark_missed(flight: Flight, parts: list[Stretch], missed_start: int) -> list[Stretch]:
    """Cut the stretches at the start of the climb: the approach before it, its missed legs after it."""
    done: list[Stretch] = []
    approach_states = [p.state for p in parts if flight.states[p.state].part is LegPart.APPROACH]
    missed_states = [number for number, s in enumerate(flight.states) if s.part is LegPart.MISSED
                     and s.approach == flight.states[parts[0].state].approach]  # fmt: skip
    for part in parts:
        state = flight.states[part.state]
        early = replace(part, stop=min(part.stop, missed_start))
        late = replace(part, start=max(part.start, missed_start), missed=True)
        if state.part is LegPart.MISSED:
            # Begun too early in the story: until the climb it was still the approach.
            early = replace(early, state=approach_states[-1])
        elif state.part is LegPart.APPROACH:
            late = replace(late, state=_first_missed(flight, missed_states))
        done += [early, late]
    return _merged(tidy(done))


def _first_missed(flight: Flight, missed_states: list[int]) -> int:
    """The state of the climb before any missed leg is flown: the first of them; none where that is a direct, which
    begins with its turn."""
    if missed_states:
        leg = flight.states[missed_states[0]].leg
        if leg is not None and leg.kind != "DF":
            return missed_states[0]
    return NONE


def _merged(parts: list[Stretch]) -> list[Stretch]:
    done: list[Stretch] = []
    for part in parts:
        last = done[-1] if done else None
        as_before = None if last is None else (last.state, last.epoch, last.missed, last.stop)
        if last is not None and as_before == (part.state, part.epoch, part.missed, part.start):
            done[-1] = replace(last, stop=part.stop)
        else:
            done.append(part)
    return done


def _unmissed(flight: Flight, parts: list[Stretch]) -> list[Stretch]:
    """A landing was no missed approach, whatever the last seconds look like: the approach's last leg then."""
    done: list[Stretch] = []
    state = parts[0].state
    for part in parts:
        if flight.states[part.state].part is LegPart.MISSED:
            done.append(replace(part, state=state))
        else:
            done.append(part)
            state = part.state if flight.states[part.state].part is LegPart.APPROACH else state
    return _merged(done)


def _said(flight: Flight, parts: list[Stretch], kind: str) -> bool:
    return any(flight.epochs[part.epoch].kind == kind for part in parts)


def _outcome(
    flight: Flight,
    plan: PlannedApproach,
    parts: list[Stretch],
    following: Stretch | None,
    landing: int | None,
    lowest: int | None,
    missed_start: int | None,
) -> Outcome | None:
    if landing is not None:
        for (start, stop), slow in zip(flight.flying.stretches, flight.flying.slow, strict=True):
            if start <= landing < stop:
                return "landed" if slow or stop >= len(flight.track) else "touch-and-go"
        return "landed"
    said_discontinue = following is not None and flight.epochs[following.epoch].kind == "discontinue"
    if said_discontinue or _said(flight, parts, "discontinue"):
        return "discontinued"
    if missed_start is not None:
        low = lowest is not None and plan.runway is not None and not _said(flight, parts, "missed")
        if low and plan.runway is not None and lowest is not None:
            ground_ft = float(flight.flying.ground_ft[lowest])
            floor_ft = ground_ft if np.isfinite(ground_ft) else plan.runway.elevation_ft
            if flight.altitude_ft[lowest] <= floor_ft + LOW_APPROACH_FT:
                return "low-approach"
        return "missed"
    return "discontinued" if following is not None else None
