"""The day of each fix of an IGC file, whose fixes tell only the time of day.

The date header is "the UTC date of the first valid fix" (Appendix A, 2.5.4), and the fixes stand in the order of time.
From there the clock is followed: back by most of a day is the next day, back by a few hours is not. A few fixes whose
clock leaps and comes back are damaged, and never move the day of those after them.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.units import S_PER_DAY, S_PER_H, S_PER_MIN

_HALF_DAY_S = S_PER_DAY / 2

# The bounds below are common practice, no published source.
_LEAP_S = S_PER_H
"""A clock that moves by more, and back to within this, was wrong in between."""

_MOST_LEAPT = 5
"""So many fixes at most are taken as damaged together."""

_NEAR_MIDNIGHT_S = 10 * S_PER_MIN
"""A recorder writes the new date so much too early or too late."""


def days_of_fixes(clock_s: FloatArray, is_valid: BoolArray, marks: Sequence[tuple[int, int]]) -> IntArray:
    """Days since 1970-01-01, shape (n,).

    ``clock_s`` are seconds of the day without NaN, ``marks`` the date headers as pairs of the index of the first fix
    after them and the day that they say, in order; at least one.
    """
    steady = ~_leapt(clock_s)
    rows = np.flatnonzero(steady)
    midnights = np.concatenate([[0], np.cumsum(_midnights(clock_s[rows][1:] - clock_s[rows][:-1]))])
    steady_days = _followed(clock_s[rows], midnights, is_valid[rows], _marks_of(rows, marks))
    last = np.cumsum(steady) - 1
    before = np.maximum(last, 0)
    step_s = clock_s - clock_s[rows][before]
    # A damaged fix lies where the clock says, on the day of the fixes around it or across the nearest midnight.
    own = np.where(last < 0, -(step_s > _HALF_DAY_S).astype(np.int64), _midnights(step_s))
    days: IntArray = steady_days[before] + np.where(steady, 0, own)
    return days


def _around(step_s: FloatArray) -> FloatArray:
    """Steps of the clock, as the nearer way round the day. [s]"""
    nearer: FloatArray = (step_s + _HALF_DAY_S) % S_PER_DAY - _HALF_DAY_S
    return nearer


def _midnights(step_s: FloatArray) -> IntArray:
    """Midnights that lie in each step: forwards, or back in a fix that comes late just after one."""
    forwards = step_s < -_HALF_DAY_S
    back = step_s >= S_PER_DAY - _LEAP_S
    return forwards.astype(np.int64) - back.astype(np.int64)


def _leapt(clock_s: FloatArray) -> BoolArray:
    """Fixes whose clock leaps away from the one before and, after a few of them, comes back; and a first one alone
    that is far from those after it.

    A fix at midnight may be among them: it lies on the day of those around it all the same. Where most fixes are so far
    apart, none is told from the others.
    """
    count = len(clock_s)
    leapt = np.zeros(count, dtype=bool)
    steps_s = np.diff(clock_s)
    around_s = np.abs(_around(steps_s))
    if count < 3 or np.median(around_s) > _LEAP_S:
        return leapt
    is_far = around_s > _LEAP_S
    at = np.flatnonzero(is_far | (np.abs(steps_s) > _HALF_DAY_S)) + 1
    if not at.size:
        return leapt
    for many in range(1, _MOST_LEAPT + 1):
        for before in range(many):
            first = at - before
            inside = (first >= 1) & (first + many < count)
            first = first[inside]
            comes_back = np.abs(_around(clock_s[first + many] - clock_s[first - 1])) <= _LEAP_S
            for index in range(many):
                leapt[first[comes_back] + index] = True
            left = np.ones(len(at), dtype=bool)
            left[np.flatnonzero(inside)[comes_back]] = False
            at = at[left]
    if is_far[0] and not is_far[1]:
        leapt[0] = True
    return leapt if not leapt.all() else np.zeros(count, dtype=bool)


def _marks_of(rows: IntArray, marks: Sequence[tuple[int, int]]) -> dict[int, int]:
    """The headers by the first steady fix after them; of several at one place the last counts."""
    at = np.searchsorted(rows, [index for index, _day in marks]).tolist()
    found = {int(place): day for place, (_index, day) in zip(at, marks, strict=True) if place < len(rows)}
    # A header behind all fixes tells the day of the first, as one before them does.
    return found or {0: marks[0][1]}


def _followed(clock_s: FloatArray, midnights: IntArray, is_valid: BoolArray, marks: dict[int, int]) -> IntArray:
    """The days of steady fixes from the headers, each of which holds from its place on (the first one throughout)."""
    valid = np.flatnonzero(is_valid).tolist()
    places = list(marks)
    bases: list[int] = []
    said_before: int | None = None
    for number, (place, said) in enumerate(marks.items()):
        stop = places[number + 1] if number + 1 < len(places) else len(clock_s)
        near = bisect_left(valid, place)
        anchor = valid[near] if near < len(valid) and valid[near] < stop else place
        day = said
        if number:
            before_s = (bases[-1] + int(midnights[place - 1])) * S_PER_DAY + float(clock_s[place - 1])
            day = _day_at_header(said, said_before, float(clock_s[anchor]), before_s)
        bases.append(day - int(midnights[anchor]))
        said_before = said
    which = np.searchsorted(places[1:], np.arange(len(clock_s)), side="right")
    return np.array(bases, dtype=np.int64)[which] + midnights


def _day_at_header(said: int, said_before: int | None, clock_s: float, before_s: float) -> int:
    """The day of a fix after a header among the fixes.

    The header counts, unless the clock simply goes on and the header only repeats the one before (although midnight
    has passed), or comes a little early or late at midnight.
    """
    day_before = int(before_s // S_PER_DAY)
    goes_on = next(
        (day for day in (day_before, day_before + 1) if 0.0 <= day * S_PER_DAY + clock_s - before_s <= _LEAP_S), said
    )
    is_near = min(clock_s, S_PER_DAY - clock_s) <= _NEAR_MIDNIGHT_S and abs(goes_on - said) == 1
    return goes_on if said == said_before or is_near else said
