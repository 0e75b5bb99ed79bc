"""Whether an aircraft flew on while nothing was recorded."""

from __future__ import annotations

import numpy as np

from legwise.geodesy import inverse
from legwise.model.arrays import FloatArray
from legwise.model.track import Samples
from legwise.tracks.flights.craft import Craft
from legwise.units import S_PER_H, S_PER_MIN

# Common practice, no published source.
_SIDE_S = S_PER_MIN
_ALOFT_FT = 500.0
_UNSEEN_MOST_S = S_PER_H
_CROSSING_PART = 0.5
_CROSSING_MOST_S = 4 * S_PER_H
_FASTER_PART, _FASTER_KT = 1.3, 20.0
_LANDED_LEAST_S, _LANDED_NM, _LANDED_FT, _LANDED_CHANGE_FT = 10 * S_PER_MIN, 5.0, 1500.0, 200.0


def flown_through(samples: Samples, speed_kt: FloatArray, craft: Craft, index: int) -> bool:
    """Whether the aircraft flew on while nothing was recorded after sample ``index``.

    It was in the air on both sides, and could get from one to the other. Up to an hour that is enough, unless it was
    seen to come down and to climb out again at one place; beyond, and where its speed is not known, it must have got
    on by half its usual speed.
    """
    time_s, lat, lon = samples.time_s, samples.lat_deg, samples.lon_deg
    seconds = float(time_s[index + 1] - time_s[index])
    apart = float(inverse(lat[index], lon[index], lat[index + 1], lon[index + 1])[0])
    made_kt = apart * S_PER_H / seconds
    side_s = max(_SIDE_S, 2.0 * float(np.median(np.diff(time_s[max(0, index - 20) : index + 22]))))
    before = slice(int(np.searchsorted(time_s, time_s[index] - side_s)), index + 1)
    after = slice(index + 1, int(np.searchsorted(time_s, time_s[index + 1] + side_s, side="right")))
    aloft = [_is_aloft(speed_kt, craft, side) for side in (before, after)]
    if False in aloft or made_kt > _FASTER_PART * craft.fastest_kt + _FASTER_KT:
        return False
    if made_kt >= _CROSSING_PART * craft.usual_kt and seconds <= _CROSSING_MOST_S:
        return True
    landed = seconds >= _LANDED_LEAST_S and apart <= _LANDED_NM and _came_down(craft, before, after)
    return None not in aloft and seconds <= _UNSEEN_MOST_S and not landed


def _is_aloft(speed_kt: FloatArray, craft: Craft, side: slice) -> bool | None:
    """Whether the aircraft flies, by its speed, or by its height above the lowest of the log; None: not known."""
    known = speed_kt[side][np.isfinite(speed_kt[side])]
    if not known.size:
        return None
    speed = float(np.median(known))
    if speed >= craft.flying_kt:
        return True
    height = _median(craft, side) - craft.low_ft
    return bool(height > _ALOFT_FT and speed >= craft.flying_kt / 2.0)


def _came_down(craft: Craft, before: slice, after: slice) -> bool:
    """Whether the aircraft was low, descending before and climbing after."""
    if craft.altitude_ft is None or max(_median(craft, before), _median(craft, after)) > craft.low_ft + _LANDED_FT:
        return False
    changes = []
    for side in (before, after):
        known = craft.altitude_ft[side][np.isfinite(craft.altitude_ft[side])]
        changes.append(float(known[-1] - known[0]) if known.size else 0.0)
    return changes[0] <= -_LANDED_CHANGE_FT and changes[1] >= _LANDED_CHANGE_FT


def _median(craft: Craft, side: slice) -> float:
    if craft.altitude_ft is None:
        return float("nan")
    known = craft.altitude_ft[side][np.isfinite(craft.altitude_ft[side])]
    return float(np.median(known)) if known.size else float("nan")
