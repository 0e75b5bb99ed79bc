"""A UTC time of day without a date, beside a local date and time: their difference is the offset from UTC."""

from __future__ import annotations

import dataclasses
import datetime as dt

import numpy as np

from legwise.errors import TrackTimeError
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Choice
from legwise.tracks.table.rows import Rows
from legwise.tracks.table.time_cells import goes_with, with_days_before
from legwise.tracks.times.instants import Instants, ZoneChoice, instants_of
from legwise.tracks.times.one_time import zone_words
from legwise.tracks.wording import shown
from legwise.units import S_PER_DAY, S_PER_H

_STEP_S = 900.0
_SLACK_S = 30.0
_FROM_H, _TO_H = -10.0, 11.0
"""Beyond these an offset could also be one of the day before or after."""

_ANY_DAY = dt.date(2000, 1, 2)


def local_beside_utc(rows: Rows, choice: Choice, where: str) -> Instants | None:
    """The instants from the local date and time and their offset from the UTC time beside; None where the log is not
    so, or the two clocks don't go together.
    """
    utc, day, local = choice.get(Quantity.TIME), choice.get(Quantity.DATE), choice.helpers.local_time
    if utc is None or day is None or local is None or goes_with(utc.zone_s, utc.is_local, day):
        return None
    # Each clock is read as it is written: the zone is what comes of the two.
    zone = ZoneChoice(offsets_s=np.zeros(len(rows)), offsets_note="")
    texts = with_days_before(rows.texts[day.index], rows.texts[local.index])
    what = f"the column {shown(local.heading)}"
    try:
        of_utc = instants_of(
            rows.texts[utc.index].tolist(), rows.line, where=where, zone=zone, date=_ANY_DAY, what=utc.heading
        )
        written = instants_of(texts.tolist(), rows.line, where=where, zone=zone, date=None, what=what)
    except TrackTimeError:
        # What is wrong with the UTC time is told where it is read by itself.
        return None
    ahead_s = np.mod(written.time_s - of_utc.time_s + S_PER_DAY / 2, S_PER_DAY) - S_PER_DAY / 2
    known = np.isfinite(ahead_s)
    if not known.any():
        return None
    offset_s = float(np.round(np.median(ahead_s[known]) / _STEP_S) * _STEP_S)
    if not _FROM_H * S_PER_H <= offset_s <= _TO_H * S_PER_H or np.abs(ahead_s[known] - offset_s).max() > _SLACK_S:
        return None
    note = (
        f"the date is that of {shown(day.heading)}; {shown(local.heading)} beside {shown(utc.heading)} shows that "
        f"local time is {zone_words(offset_s)}"
    )
    return dataclasses.replace(written, time_s=written.time_s - offset_s, notes=(*written.notes, note))
