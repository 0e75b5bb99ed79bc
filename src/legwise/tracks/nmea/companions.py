"""Sentences without a position, VTG and ZDA, and the time of an NMEA 0183 log that each goes with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, IntArray
from legwise.tracks.nmea.epochs import Epochs
from legwise.tracks.nmea.rows import Rows
from legwise.tracks.nmea.types import RMC, VTG, ZDA

_SAME_KT, _SAME_DEG = 0.06, 0.06
"""Speeds and tracks of two sentences, each written to a tenth, are of one time."""


@dataclass(frozen=True, slots=True, eq=False)
class Attached:
    """Rows of a type without a position, the epoch of each: -1 where it is of none."""

    rows: Rows
    epoch: IntArray


def motions_of(rows: Rows, epochs: Epochs) -> Attached:
    """The VTG rows, which have no time: each goes with the sentences before it, or with those after it where its speed
    and track show that (or, where they show nothing, the log begins with one).
    """
    at = np.flatnonzero(rows.kind == VTG)
    some = rows.taken(at)
    carriers = np.flatnonzero(rows.is_position)
    after = np.searchsorted(carriers, at)
    before_epoch = np.where(after > 0, epochs.of_row[np.maximum(after - 1, 0)], -1)
    after_epoch = np.where(after < len(carriers), epochs.of_row[np.minimum(after, len(carriers) - 1)], -1)
    is_rmc = epochs.rows.kind == RMC
    speed = epochs.first_of(is_rmc, epochs.rows.speed_kt)
    track = epochs.first_of(is_rmc, epochs.rows.track_deg_true)

    def fits(epoch: IntArray) -> BoolArray:
        off_kt = np.abs(some.speed_kt - speed[epoch])
        off_deg = np.abs(some.track_deg_true - track[epoch])
        known = np.isfinite(off_kt) | np.isfinite(off_deg)
        return (epoch >= 0) & known & ~(off_kt > _SAME_KT) & ~(off_deg > _SAME_DEG)

    fits_before, fits_after = fits(before_epoch), fits(after_epoch)
    only_before = np.count_nonzero(fits_before & ~fits_after)
    only_after = np.count_nonzero(fits_after & ~fits_before)
    leads = only_after > only_before or (only_after == only_before and at.size > 0 and after[0] == 0)
    goes_on = np.where(fits_before == fits_after, leads, fits_after) & (after_epoch >= 0)
    return Attached(some, np.where(goes_on, after_epoch, before_epoch))


def calendar_of(rows: Rows, epochs: Epochs) -> Attached:
    """The ZDA rows: each goes with the sentences beside it that have its time."""
    at = np.flatnonzero((rows.kind == ZDA) & np.isfinite(rows.seconds) & np.isfinite(rows.day))
    some = rows.taken(at)
    carriers = np.flatnonzero(rows.is_position & np.isfinite(rows.seconds))
    timed = np.flatnonzero(np.isfinite(epochs.rows.seconds))
    epoch = np.full(at.size, -1, dtype=np.int64)
    if carriers.size:
        after = np.searchsorted(carriers, at)
        for beside in (np.minimum(after, len(carriers) - 1), np.maximum(after - 1, 0)):
            owner = epochs.of_row[timed[beside]]
            epoch = np.where(epochs.seconds[owner] == some.seconds, owner, epoch)
    return Attached(some, epoch)
