"""A clock that was set on in flight: the log has a gap, and the aircraft moved in it as in one interval."""

from __future__ import annotations

import numpy as np

from legwise.geodesy import inverse
from legwise.model.arrays import BoolArray, IntArray
from legwise.model.track import Samples
from legwise.units import S_PER_H

# Common practice, no published source.
_MOVING_KT = 40.0
_LEAST_PART, _MOST_PART = 0.3, 2.5
"""A clock was set on where an aircraft that did at least 40 kt on both sides moved 0.3 to 2.5 times as far as in an
interval.
"""

_ZONE_STEP_S = 900.0
_ZONE_LEAST_S = 1800.0
_ZONE_SLACK_S = 2.0
"""Zones differ by quarters of an hour, and by half an hour at the least (IANA time zone database, from memory)."""


def was_set_on(samples: Samples, before: IntArray, interval_s: float) -> BoolArray:
    """For each gap after a sample ``before``, whether an aircraft that moves on both sides of it moved only as far as
    in about one interval. [s]
    """
    inside = (before >= 1) & (before + 2 < len(samples))
    rows = before[inside, None] + np.array([-1, 0, 1])
    nm, _course, _arrival = inverse(
        samples.lat_deg[rows], samples.lon_deg[rows], samples.lat_deg[rows + 1], samples.lon_deg[rows + 1]
    )
    speeds = nm[:, [0, 2]] * S_PER_H / (samples.time_s[rows + 1] - samples.time_s[rows])[:, [0, 2]]
    usual_nm = speeds.max(axis=1) * interval_s / S_PER_H
    goes_on = (_LEAST_PART * usual_nm < nm[:, 1]) & (nm[:, 1] < _MOST_PART * usual_nm)
    was_set = np.zeros(len(before), dtype=bool)
    was_set[inside] = (speeds.min(axis=1) > _MOVING_KT) & goes_on
    return was_set


def is_as_a_zone(by_s: float) -> bool:
    """Whether a step of the clock is one between two time zones, or into summer time. [s]"""
    off_s = abs(by_s - round(by_s / _ZONE_STEP_S) * _ZONE_STEP_S)
    return by_s >= _ZONE_LEAST_S - _ZONE_SLACK_S and off_s <= _ZONE_SLACK_S
