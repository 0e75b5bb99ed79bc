"""CSV to a raw track: find the layout, read its tables, put them together."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from legwise.errors import ColumnError, TrackFormatError
from legwise.model.arrays import FloatArray, IntArray, readonly_floats, readonly_ints
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind, Channel, Fault, RawTrack, Samples, TrackSource
from legwise.tracks.clocks.newest_first import oldest_first
from legwise.tracks.containers.kinds import READ_FORMATS, with_mark
from legwise.tracks.flights.aircraft import MOST_AIRCRAFT
from legwise.tracks.flights.cutting import SEVERAL_AIRCRAFT
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.limits import ReadLimits
from legwise.tracks.table.column_choice import Choice, check_keys, column_notes
from legwise.tracks.table.decoding import BYTE_ORDER_MARKS_OF_TWO, Text, text_of, unwrapped
from legwise.tracks.table.heading_line import SEPARATOR_WORDS, find_layout, said_headings, too_wide
from legwise.tracks.table.layout import Layout
from legwise.tracks.table.one_table import Call
from legwise.tracks.table.plain_altitude import barometric_heading, settled_units
from legwise.tracks.table.rows import Rows
from legwise.tracks.table.sparse_rows import gathered
from legwise.tracks.table.tables import read_tables, refuse_too_many
from legwise.tracks.wording import clean, listed, shown


def looks_like_csv_track(head: bytes, limits: ReadLimits) -> bool:
    """Whether the beginning of a file has headings for a time and a position."""
    layout = find_layout(text_of(with_mark(head)), frozenset(), limits)
    return layout is not None and layout.is_complete


def read_csv(
    data: bytes,
    where: str,
    source: TrackSource,
    *,
    columns: Mapping[str, str | ColumnChoice],
    utc_offset: str | None,
    date: dt.date | None,
    limits: ReadLimits,
) -> RawTrack:
    """The records of a CSV file in file order, or from the end where the newest stands first.

    Raises :class:`TrackFormatError` where nothing in the text is a track's heading, :class:`ColumnError` where the
    columns can't be settled, and :class:`legwise.errors.TrackTimeError` where a time needs a zone or a date.
    """
    check_keys(columns, where)
    call = Call(where=where, columns=columns, utc_offset=utc_offset, date=date, limits=limits)
    is_wide = data.startswith(BYTE_ORDER_MARKS_OF_TWO)
    if not is_wide:
        refuse_too_many(data, where, limits)
    decoded = text_of(data)
    if is_wide:
        refuse_too_many(decoded.data, where, limits)
    text, layout = _laid_out(decoded, call)
    tables = read_tables(text, layout, call)
    rows, time_s = tables.rows, tables.time_s
    settled = settled_units(tables.choice, rows, time_s)
    choice = settled.choice
    decimal = ", decimal comma" if tables.comma_is_decimal else ""
    separator = SEPARATOR_WORDS[layout.separator]
    notes = [
        f"{text.encoding}, separated by {separator}{decimal}, headings in line {layout.heading_line}",
        *text.notes,
        *column_notes(choice),
        *settled.notes,
        *tables.notes,
    ]
    sparse = gathered(rows, time_s, choice)
    if sparse is not None:
        rows, time_s = rows.with_columns(numbers=sparse.numbers).taken(sparse.keep), time_s[sparse.keep]
        notes += sparse.notes
    aircraft, aircraft_index, aircraft_faults = _several_aircraft(rows, choice, where)
    raw = RawTrack(
        samples=_samples(rows, choice, time_s),
        source=replace(source, format="CSV", notes=(*source.notes, *notes)),
        faults=(*tables.faults, *aircraft_faults),
        aircraft=aircraft,
        aircraft_index=aircraft_index,
        barometric=barometric_heading(choice, layout),
    )
    return oldest_first(raw)


def _laid_out(text: Text, call: Call) -> tuple[Text, Layout]:
    """The layout of the text, or of what is left when the quotes around its lines are taken off."""
    said = {
        key: choice if isinstance(choice, str) else choice.heading
        for key, choice in call.columns.items()
        if key != "utc_offset"
    }
    named = said_headings(said)
    layout = find_layout(text, named, call.limits)
    if layout is None or not layout.is_complete:
        bare = unwrapped(text)
        inner = find_layout(bare, named, call.limits) if bare is not None else None
        if bare is not None and inner is not None and inner.is_complete:
            return bare, inner
        wide = too_wide(text, named, call.limits)
        if wide is not None:
            raise TrackFormatError(
                f"{wide[1]} headings stand in this line, and no more than {call.limits.max_columns} are read",
                where=f"{call.where}, line {wide[0]}",
                remedy="Export the log with fewer columns: time, position, altitude and what else is needed.",
            )
    if layout is not None:
        return text, layout
    if said:
        key, heading = next(iter(said.items()))
        raise ColumnError(
            f"[columns] {key} names the heading {shown(heading)}, but no line of the file holds such headings",
            where=call.where,
            remedy="Is this the right file? Its first line with headings must name time and position.",
        )
    raise TrackFormatError(
        "the file is no track: no line names a time and a position",
        where=call.where,
        remedy=f"Give a track: {READ_FORMATS}; CSV with headings such as time, latitude, longitude, altitude.",
    )


def _several_aircraft(rows: Rows, choice: Choice, where: str) -> tuple[tuple[str, ...], IntArray | None, list[Fault]]:
    """The names of the aircraft, whose each record is, and the fault that tells; nothing where one is named."""
    column = choice.get(Quantity.AIRCRAFT)
    if column is None:
        return (), None, []
    texts = list(map(clean, rows.texts[column.index].tolist()))
    names = {name: index for index, name in enumerate(dict.fromkeys(texts))}
    named = [name for name in names if name]
    if len(named) < 2:
        return (), None, []
    if len(named) > MOST_AIRCRAFT:
        raise TrackFormatError(
            f"{shown(column.heading)} names {len(named):,} aircraft, and no more than {MOST_AIRCRAFT} are told apart",
            where=where,
            remedy="Keep the rows of the aircraft that flew the lesson, or leave that column out.",
        )
    index = readonly_ints([names[text] for text in texts])
    which = f"{shown(column.heading)} names {len(named)} aircraft: {listed(named, 4)}"
    detail = f"{which}; each is read as a log of its own"
    if "" in names:
        detail += f"; {texts.count('')} records name none, and are read as another"
    return tuple(names), index, [Fault(kind=SEVERAL_AIRCRAFT, count=len(named), detail=detail)]


def _samples(rows: Rows, choice: Choice, time_s: FloatArray) -> Samples:
    altitudes: dict[AltitudeKind, FloatArray] = {}
    channels: dict[Channel, FloatArray] = {}
    for target, column in choice.columns.items():
        if isinstance(target, AltitudeKind | Channel):
            values = rows.numbers[column.index] * column.factor
            if not np.isfinite(values).any():
                continue
            if isinstance(target, AltitudeKind):
                altitudes[target] = readonly_floats(values)
            else:
                channels[target] = readonly_floats(values)
    return Samples(
        time_s=readonly_floats(time_s),
        lat_deg=readonly_floats(rows.numbers[choice.columns[Quantity.LATITUDE].index]),
        lon_deg=readonly_floats(rows.numbers[choice.columns[Quantity.LONGITUDE].index]),
        altitudes_ft=MappingProxyType(altitudes),
        channels=MappingProxyType(channels),
        segment=readonly_ints(np.zeros(len(rows), dtype=np.int64)),
        line=readonly_ints(rows.line),
    )
