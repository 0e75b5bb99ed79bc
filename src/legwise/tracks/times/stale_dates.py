"""A date that stays on the day of departure while the time of day runs over midnight: counted on by a day."""

from __future__ import annotations

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.units import S_PER_DAY, S_PER_H

_EVENING_S, _MORNING_S = 20.0 * S_PER_H, 4.0 * S_PER_H
_NEAR_S = 1800.0
"""From late on a day to early on it, with no more than half an hour between the two records, is midnight and no clock
that was set. Common practice, no published source.
"""

_MOST = 20


def over_midnight(written_s: FloatArray, has_date: BoolArray) -> tuple[FloatArray, str]:
    """``written_s`` (seconds since 1970 as written, in the order of the file) with the days that the date left out.

    Where the date moves on later than midnight it is right again from there; a record out of order at midnight is on
    the day that it was written on. A log with its newest record first is walked from its end. Gives a note where a day
    was counted on.
    """
    rows = np.flatnonzero(has_date & np.isfinite(written_s))
    step = np.diff(written_s[rows])
    if np.count_nonzero(step < 0) > np.count_nonzero(step > 0):
        rows = rows[::-1]
    times = written_s[rows]
    day = np.floor(times / S_PER_DAY)
    of_day, step, same = times - day * S_PER_DAY, np.diff(times), np.diff(day) == 0
    late, early = of_day >= _EVENING_S, of_day < _MORNING_S
    fell = same & late[:-1] & early[1:] & (step + S_PER_DAY <= _NEAR_S)
    back = same & early[:-1] & late[1:] & (S_PER_DAY - step <= _NEAR_S)
    caught = (step >= S_PER_DAY) & (step <= S_PER_DAY + _NEAR_S)
    events = np.flatnonzero(fell | back | caught)
    if not fell.any() or len(events) > _MOST:
        return written_s, ""
    days = np.zeros(len(rows))
    for event in events.tolist():
        # Only what was counted on is taken back.
        days[event + 1 :] = np.maximum(days[event + 1 :] + (1.0 if fell[event] else -1.0), 0.0)
    counted = written_s.copy()
    counted[rows] += days * S_PER_DAY
    return counted, "the date stays as it was over midnight; it is counted on by a day from there"
