"""The instants of a CSV file's records, from the columns that tell them: time, date, offset, fraction, clock parts."""

from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.instants import iso_z
from legwise.model.track import Fault
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.table.columns import Choice, Column, Fraction
from legwise.tracks.table.local_beside_utc import local_beside_utc
from legwise.tracks.table.preamble import Preamble
from legwise.tracks.table.rows import Rows
from legwise.tracks.table.time_cells import TimeTexts, time_texts_of
from legwise.tracks.times.instants import Instants, Told, ZoneChoice, instants_of
from legwise.tracks.times.offsets import Offsets, offsets_of
from legwise.tracks.wording import places, shown


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TimeColumns:
    """The instants of the records, and what was amiss with the columns that tell them."""

    instants: Instants
    faults: tuple[Fault, ...]


def instants_of_rows(
    rows: Rows, choice: Choice, preamble: Preamble, *, utc_offset: str | None, date: dt.date | None, where: str
) -> TimeColumns:
    """The instant of each record. Raises what :func:`legwise.tracks.times.instants.instants_of` raises, and
    :class:`legwise.errors.ColumnError` where it can't be told how a column of offsets is written.
    """
    beside = local_beside_utc(rows, choice, where) if date is None else None
    if beside is not None:
        return TimeColumns(instants=_with_fraction(beside, choice.helpers.fraction, rows), faults=())
    source = time_texts_of(rows, choice, date, where)
    column = choice.get(Quantity.UTC_OFFSET)
    offsets: Offsets | None = None
    if column is not None and source.zone_s is None and utc_offset is None:
        offsets = offsets_of(rows.texts[column.index], column.heading, column.statement, where)
    instants = _instants(rows, source, _zone(source, offsets, preamble, utc_offset), preamble, date, where)
    instants = _with_fraction(instants, choice.helpers.fraction, rows)
    if column is not None and offsets is None:
        why = "the zone is told by the heading of the time" if source.zone_s is not None else "the offset was said"
        instants = dataclasses.replace(instants, notes=(*instants.notes, f"{shown(column.heading)} is not used: {why}"))
    return TimeColumns(instants=instants, faults=tuple(_offset_faults(column, offsets)))


def time_faults(instants: Instants) -> list[Fault]:
    """What can't be told of the times, for each reason."""
    undated, unzoned = set(instants.undated), set(instants.unzoned)
    reasons = (
        ([line for line in instants.unreadable if line in undated], "a time of day without a date beside it"),
        ([line for line in instants.unreadable if line in unzoned], "a local time without its offset from UTC"),
        ([line for line in instants.unreadable if line not in undated | unzoned], "no time that can be read"),
    )
    return [
        Fault(kind="unreadable-time", count=len(lines), detail=f"{words}: {places(lines)}; taken as none")
        for lines, words in reasons
        if lines
    ]


def _instants(
    rows: Rows, source: TimeTexts, zone: ZoneChoice, preamble: Preamble, date: dt.date | None, where: str
) -> Instants:
    began = ""
    if preamble.started_s is not None:
        start = iso_z(dt.datetime.fromtimestamp(preamble.started_s, tz=dt.UTC))
        began = f"{start}, the start of the recording in line {preamble.started_line}"
    told_of = Told(
        statement=source.statement,
        started_s=preamble.started_s,
        started_note=began,
        is_date_beside=source.is_date_beside,
    )

    def read(of: dt.date | None, note: str) -> Instants:
        return instants_of(
            source.texts.tolist(),
            rows.line,
            where=where,
            zone=zone,
            date=of,
            what=source.what,
            told_of=dataclasses.replace(told_of, date_note=note),
        )

    given = source.date or date
    try:
        instants = read(given, source.date_note)
    except TrackTimeError:
        stated = preamble.date(where) if given is None else None
        if stated is None:
            raise
        instants = read(stated, f", as line {preamble.date_line} says")
    return dataclasses.replace(instants, notes=(*source.notes, *instants.notes))


def _zone(source: TimeTexts, offsets: Offsets | None, preamble: Preamble, utc_offset: str | None) -> ZoneChoice:
    elsewhere_s = preamble.zone_s
    if source.is_local and elsewhere_s == 0.0:
        # A log in UTC with a column that says "local": one of them is wrong.
        elsewhere_s = None
    return ZoneChoice(
        utc_offset=utc_offset,
        heading_zone_s=source.zone_s,
        offsets_s=offsets.offset_s if offsets is not None else None,
        offsets_note=offsets.note if offsets is not None else "",
        elsewhere_s=elsewhere_s,
        elsewhere_note=f", as line {preamble.zone_line} says",
    )


def _offset_faults(column: Column | None, offsets: Offsets | None) -> list[Fault]:
    if column is None or offsets is None or not offsets.unreadable:
        return []
    detail = f"{shown(column.heading)} holds {shown(offsets.unreadable, 30)}, which tells no offset from UTC"
    return [Fault(kind="unreadable-value", count=offsets.unread, detail=detail)]


def _with_fraction(instants: Instants, fraction: Fraction | None, rows: Rows) -> Instants:
    """The instants with the fraction of each second that stands in its own column, where the times have none."""
    if fraction is None:
        return instants
    values = rows.numbers[fraction.index]
    known = np.isfinite(values) & np.isfinite(instants.time_s)
    heading = shown(fraction.heading)
    if bool(np.any(instants.time_s[known] % 1.0 != 0.0)):
        note = f"{heading} is not read: the times have fractions of their own"
        return dataclasses.replace(instants, notes=(*instants.notes, note))
    fits = known & (values >= 0.0) & (values < fraction.per_second)
    if not fits.any() or np.count_nonzero(known & ~fits) > _ODD_PART * np.count_nonzero(known):
        note = f"{heading} is not read: its values are no parts of a second"
        return dataclasses.replace(instants, notes=(*instants.notes, note))
    time_s = np.where(fits, instants.time_s + values / fraction.per_second, instants.time_s)
    note = f"{heading} is joined to the times as the fraction of each second"
    return dataclasses.replace(instants, time_s=time_s, notes=(*instants.notes, note))


_ODD_PART = 0.01
