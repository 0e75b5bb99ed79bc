"""Boundaries at the full rate: the story says what follows what, this module says exactly when.

A leg changes at a fly-by fix on the bisector of the turn, at a fly-over fix on passing it; a direct begins where the
turn toward the fix begins, vectors where the turn off the path begins; vectors end where a course is joined. A hold
begins where its fix is first passed, a course reversal ends where the aircraft is established inbound.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from legwise.align.decode import Story
from legwise.align.established import established_from
from legwise.align.flight import Flight, Stretch, stretch_kind, tidy
from legwise.align.hold_borders import held_on, left_at_fix, on_the_way
from legwise.align.joining import joined_legs, on_leg
from legwise.align.passing import first_passage, passing
from legwise.align.profile import Turning
from legwise.align.states import NONE, Kind, State, is_turned_back, start_ident
from legwise.align.surprise import Thinned
from legwise.geodesy import inverse, turn_deg
from legwise.model.arrays import FloatArray
from legwise.model.plan import LegPart

FIRST_TURN_S = 180.0
"""A heading given before take-off is turned to within three minutes of it, once high enough to turn."""
_BEFORE_S, _AFTER_S = 90.0, 45.0
_BEND_S, _BEND_LEAST_DEG = 30.0, 3.0


def stretches_of(flight: Flight, thinned: Thinned, story: Story) -> list[Stretch]:
    """The story as stretches of full-rate samples, boundaries still where the thinned moments lie."""
    changes = np.flatnonzero((np.diff(story.state) != 0) | (np.diff(story.epoch) != 0)) + 1
    firsts = [0, *changes.tolist()]
    starts = [0]
    for first in firsts[1:]:
        before, here = int(thinned.index[first - 1]), int(thinned.index[first])
        ground = flight.flying.on_ground[before : here + 1]
        # Between air and ground the full rate knows better than the moment decided on.
        change = np.flatnonzero(ground[1:] != ground[:-1])
        known = change.size and not flight.begins_part(here)
        starts.append(before + 1 + int(change[0]) if known else here)
    stops = [*starts[1:], len(flight.track)]
    return [
        Stretch(state=int(story.state[first]), epoch=int(story.epoch[first]), start=start, stop=stop)
        for first, start, stop in zip(firsts, starts, stops, strict=True)
    ]


def refined(flight: Flight, stretches: list[Stretch]) -> list[Stretch]:
    """The stretches with every boundary put where it belongs."""
    rest = held_on(flight, [*on_the_way(flight, stretches[0]), *stretches[1:]])
    done: list[Stretch] = [rest[0]]
    for place in range(1, len(rest)):
        before, following = done[-1], rest[place]
        if following.stop <= following.start:
            continue
        if flight.begins_part(following.start):
            # Put elsewhere: nothing of what was flown before leads here.
            done.append(replace(following, part_way=stretch_kind(flight, following) is Kind.LEG))
            continue
        if _is_departure_on_heading(flight, before, following):
            done += _straight_out(flight, following)
            continue
        if Kind.GROUND in (stretch_kind(flight, before), stretch_kind(flight, following)):
            done.append(following)
            continue
        if _is_own_navigation(flight, before, following):
            # Told to resume: the path is owed again from there on, however far off it lies.
            done[-1] = replace(following, start=before.start, part_way=stretch_kind(flight, following) is Kind.LEG)
            continue
        at_fix = left_at_fix(flight, before, following)
        if at_fix is not None:
            done[-1] = replace(before, stop=at_fix)
            done.append(replace(following, start=at_fix))
            continue
        joined = joined_legs(flight, before, following)
        if joined is not None:
            done[-1] = replace(before, stop=joined[0].start)
            done += joined
            continue
        # A leg goes on through whatever is said that leaves it as it was.
        through = _same_leg(flight, rest, place)
        border = _border(flight, before, replace(following, stop=rest[through].stop))
        if through > place and border >= following.stop:
            done[-1] = replace(before, stop=min(border, rest[through].stop - 1))
            for later in range(place + 1, through + 1):
                start = min(max(rest[later].start, done[-1].stop), rest[later].stop)
                rest[later] = replace(rest[later], start=start)
            continue
        border = (
            min(max(border, before.start + 1), following.stop - 1)
            if following.stop > before.start + 1
            else following.start
        )
        done[-1] = replace(before, stop=border)
        done.append(replace(following, start=border))
    return _climbs_on_a_leg(flight, tidy(done))


def _same_leg(flight: Flight, stretches: list[Stretch], place: int) -> int:
    """The last of the stretches on end from ``place`` that are on the same leg."""
    last = place
    if flight.states[stretches[place].state].kind is Kind.LEG:
        while (
            last + 1 < len(stretches)
            and stretches[last + 1].state == stretches[place].state
            and not flight.begins_part(stretches[last + 1].start)
        ):
            last += 1
    return last


def _climbs_on_a_leg(flight: Flight, stretches: list[Stretch]) -> list[Stretch]:
    """A climb-out along the first leg is on that leg, whatever it is left for."""
    done = list(stretches)
    for place in range(1, len(stretches) - 1):
        before, climb, after = stretches[place - 1 : place + 2]
        kinds = [stretch_kind(flight, stretch) for stretch in (before, climb, after)]
        if kinds[:2] == [Kind.GROUND, Kind.NONE] and kinds[2] in (Kind.VECTORS, Kind.DIRECT):
            done[place] = _on_first_leg(flight, climb)
    return done


def _on_first_leg(flight: Flight, climb: Stretch) -> Stretch:
    first = next((n for n, s in enumerate(flight.states) if s.kind is Kind.LEG and s.part is LegPart.ROUTE), None)
    if first is None:
        return climb
    on = on_leg(flight, flight.states[first].leg, climb.start, climb.stop, 2.0)
    return replace(climb, state=first) if on.size and float(np.mean(on)) >= 0.5 else climb


def _is_departure_on_heading(flight: Flight, before: Stretch, following: Stretch) -> bool:
    heading = flight.epochs[following.epoch].heading_deg_true
    return (
        stretch_kind(flight, before) is Kind.GROUND
        and stretch_kind(flight, following) is Kind.VECTORS
        and bool(np.isfinite(heading))
    )


def _is_own_navigation(flight: Flight, before: Stretch, following: Stretch) -> bool:
    """Whether ``before`` is only the way back to the route after ``resume``."""
    return (
        flight.epochs[before.epoch].kind == "resume"
        and before.epoch == following.epoch
        and stretch_kind(flight, before) is Kind.VECTORS
        and stretch_kind(flight, following) in (Kind.LEG, Kind.DIRECT)
        and flight.states[following.state].part is not LegPart.APPROACH
    )


def _straight_out(flight: Flight, vectors: Stretch) -> list[Stretch]:
    """A heading given before take-off is obeyed by the first turn toward it; until then the climb goes straight ahead.

    That climb is on the first leg where the aircraft is established on it, else on nothing.
    """
    until_s = float(flight.time_s[vectors.start]) + FIRST_TURN_S
    turn = next(
        (
            t
            for t in flight.turns
            if vectors.start < t.start < vectors.stop
            and t.start_s <= until_s
            and _leads_to(flight, t, vectors, flight.states[vectors.state])
        ),
        None,
    )
    if turn is None:
        return [vectors]
    climb = replace(vectors, state=NONE, epoch=max(0, vectors.epoch - 1), stop=turn.start)
    return [_on_first_leg(flight, climb), replace(vectors, start=turn.start)]


def _border(flight: Flight, before: Stretch, following: Stretch) -> int:
    old, new = flight.states[before.state], flight.states[following.state]
    if old.leg is not None and old.leg.reversal is not None and new.approach == old.approach and new.leg is not None:
        established = established_from(flight, old.leg, before.start, following.stop)
        if established is not None:
            return established
    if new.kind is Kind.LEG and new.leg is not None and new.leg.path is not None and not is_turned_back(new):
        meets = bool(old.end_ident) and old.end_ident == start_ident(new.leg)
        return passing(flight, before, following, old, new.leg) if meets else following.start
    if new.kind is Kind.HOLD and new.fix is not None:
        return first_passage(flight, before, following, new.fix)
    if is_turned_back(new) and new.leg is not None and new.leg.to_fix is not None:
        return first_passage(flight, before, following, new.leg.to_fix)
    if new.kind in (Kind.DIRECT, Kind.VECTORS, Kind.LEG):
        return _turning_off(flight, before, following)
    return following.start


def _turning_off(flight: Flight, before: Stretch, following: Stretch) -> int:
    """Where the turn begins that leads to a direct or to vectors; without one, the time that was said."""
    turn = turn_that_begins(flight, before, following)
    if turn is not None:
        return turn.start
    bend = _bend(flight, before, following)
    if bend is not None:
        return bend
    epoch = flight.epochs[following.epoch]
    said_now = following.epoch != before.epoch and epoch.time_s is not None
    return flight.at(epoch.time_s) if said_now and epoch.time_s is not None else following.start


def _bend(flight: Flight, before: Stretch, following: Stretch) -> int | None:
    """Where a change of track too small to count as a turn begins: the last sample still on the old track."""
    target = _target(flight, following)
    border_s = float(flight.time_s[following.start])
    low = max(before.start + 1, flight.at(border_s - _BEND_S))
    high = min(following.stop, flight.at(border_s + _BEND_S) + 1)
    if target is None or high - low < 5:
        return None
    goal = target[low:high] if target.size > 1 else np.full(high - low, target[0])
    off = np.abs(turn_deg(flight.track.motion.track_deg_true[low:high], goal))
    if not np.isfinite(off).all():
        return None
    edge = max(1, (high - low) // 6)
    early, late = float(np.median(off[:edge])), float(np.median(off[-edge:]))
    if early - late < _BEND_LEAST_DEG:
        return None
    return low + int(np.flatnonzero(off >= early - 0.2 * (early - late))[-1])


def _target(flight: Flight, following: Stretch) -> FloatArray | None:
    """The track that the new guidance asks for: one value, or one for each sample; None where it asks for none."""
    state = flight.states[following.state]
    fix = state.fix if state.fix is not None else (state.leg.to_fix if state.leg is not None else None)
    if fix is not None:
        samples = flight.track.samples
        return inverse(samples.lat_deg, samples.lon_deg, fix.lat_deg, fix.lon_deg)[1]
    direction = _direction(flight, following)
    return np.array([direction]) if np.isfinite(direction) else None


def _direction(flight: Flight, following: Stretch) -> float:
    """The heading said, or the heading or course that a leg owes from wherever the aircraft is; NaN where none is. [deg
    true]"""
    leg = flight.states[following.state].leg
    if leg is None:
        return flight.epochs[following.epoch].heading_deg_true
    owed = leg.heading_deg_true if leg.heading_deg_true is not None else leg.course_deg_true
    return owed if owed is not None else float("nan")


def turn_that_begins(flight: Flight, before: Stretch, following: Stretch) -> Turning | None:
    """The turn by which one guidance is left for the next; None where there is no turn."""
    new = flight.states[following.state]
    border_s = float(flight.time_s[following.start])
    low, high = float(flight.time_s[before.start]), float(flight.time_s[following.stop - 1])
    if flight.states[before.state].part is LegPart.MISSED:
        # Straight ahead the climb out looks like the approach: the story may begin it no sooner than its first turn.
        low -= _BEFORE_S
    best: tuple[float, Turning] | None = None
    for turn in flight.turns:
        near = turn.start_s <= border_s + _AFTER_S and turn.end_s >= border_s - _BEFORE_S
        if not near or turn.start_s < low or turn.start_s > high:
            continue
        if not _leads_to(flight, turn, following, new):
            continue
        away = max(0.0, turn.start_s - border_s, border_s - turn.end_s)
        # The bigger of two turns equally near is the one that was asked for.
        rank = away - 0.2 * min(abs(turn.change_deg), 60.0)
        if best is None or rank < best[0]:
            best = (rank, turn)
    return best[1] if best is not None else None


def _leads_to(flight: Flight, turn: Turning, following: Stretch, new: State) -> bool:
    """Whether a turn brings the track nearer to what is flown after it."""
    track = flight.track.motion.track_deg_true
    last = turn.stop - 1
    fix = new.fix if new.fix is not None else (new.leg.to_fix if new.leg is not None else None)
    if fix is not None:
        lat, lon = flight.track.samples.lat_deg, flight.track.samples.lon_deg
        ends = np.array([turn.start, last])
        _, target, _ = inverse(lat[ends], lon[ends], fix.lat_deg, fix.lon_deg)
    else:
        direction = _direction(flight, following)
        if not np.isfinite(direction):
            return abs(turn.change_deg) >= 5.0
        target = np.array([direction, direction])
    before_deg = abs(float(turn_deg(track[turn.start], target[0])))
    after_deg = abs(float(turn_deg(track[last], target[1])))
    # A turn the long way round (an assigned direction of turn) ends on its target all the same.
    return not (after_deg > before_deg - 2.0 and after_deg > 15.0)
