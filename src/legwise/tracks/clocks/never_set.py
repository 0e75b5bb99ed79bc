"""Whether a recorder's clock was set when it wrote a time."""

from __future__ import annotations

from legwise.model.arrays import BoolArray, FloatArray

_NO_GNSS_YET_S = 631_152_000.0
_TOO_LATE_S = 4_102_444_800.0
"""Times before 1990 or after 2099 are what a clock says that was never set."""


def clock_was_set(time_s: FloatArray) -> BoolArray:
    """True for times from 1990 to 2099, false for others and where there is none."""
    was_set: BoolArray = (time_s >= _NO_GNSS_YET_S) & (time_s < _TOO_LATE_S)
    return was_set
