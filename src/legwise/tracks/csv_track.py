"""CSV to a raw track: find the layout, settle the columns, read the records, make the instants."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from legwise.errors import CallError, ColumnError, TrackFormatError
from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind, Channel, Fault, RawTrack, Samples, TrackSource
from legwise.tracks.column_choice import Choice, Column, check_keys, choose_columns, column_notes
from legwise.tracks.csv_rows import Rows, read_rows
from legwise.tracks.kinds import with_mark
from legwise.tracks.layout import SEPARATOR_WORDS, Layout, Text, find_layout, said_headings, text_of, too_wide
from legwise.tracks.limits import ReadLimits
from legwise.tracks.numbers import TextArray, comma_decimals, normal_longitudes
from legwise.tracks.quantities import Quantity
from legwise.tracks.times import Instants, ZoneChoice, instants_of, offset_seconds
from legwise.tracks.wording import listed, places, shown

_TEXTS = frozenset({Quantity.TIME, Quantity.DATE, Quantity.UTC_OFFSET, Quantity.AIRCRAFT})
_TIME_OF_DAY = re.compile(r"\s*T?(\d{1,2}:\d{2}|\d{6}(\.\d+)?\s*(Z|UTC|GMT)?\s*$)", re.IGNORECASE)


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
    """The records of a CSV file, in file order.

    Raises :class:`TrackFormatError` where nothing in the text is a track's heading, :class:`ColumnError` where the
    columns can't be settled, and :class:`legwise.errors.TrackTimeError` where a time needs a zone or a date.
    """
    check_keys(columns, where)
    text = text_of(data)
    layout = _layout(text, columns, where, limits)
    choice = choose_columns(layout, columns, where)
    comma_is_decimal = _comma_is_decimal(layout, choice)
    rows = _rows(text, layout, choice, comma_is_decimal, where, limits)
    instants = _instants(rows, choice, utc_offset, date, where)
    faults = [*choice.faults, *rows.faults, *_several_aircraft(rows, choice)]
    if instants.unreadable:
        faults.append(
            Fault(
                kind="unreadable-time",
                count=len(instants.unreadable),
                detail=f"no time that can be read: {places(instants.unreadable)}; taken as none",
            )
        )
    decimal = ", decimal comma" if comma_is_decimal else ""
    separator = SEPARATOR_WORDS[layout.separator]
    notes = [
        f"{text.encoding}, separated by {separator}{decimal}, headings in line {layout.heading_line}",
        *column_notes(choice),
        *instants.notes,
    ]
    return RawTrack(
        samples=_samples(rows, choice, instants),
        source=TrackSource(
            file=source.file,
            format="CSV",
            sha256=source.sha256,
            container=source.container,
            notes=(*source.notes, *notes),
        ),
        faults=tuple(faults),
    )


def _layout(text: Text, columns: Mapping[str, str | ColumnChoice], where: str, limits: ReadLimits) -> Layout:
    said = {
        key: choice if isinstance(choice, str) else choice.heading
        for key, choice in columns.items()
        if key != "utc_offset"
    }
    layout = find_layout(text, said_headings(said), limits)
    if layout is None or not layout.is_complete:
        wide = too_wide(text, said_headings(said), limits)
        if wide is not None:
            raise TrackFormatError(
                f"{wide[1]} headings stand in this line, and no more than {limits.max_columns} are read",
                where=f"{where}, line {wide[0]}",
                remedy="Export the log with fewer columns: time, position, altitude and what else is needed.",
            )
    if layout is None and said:
        key, heading = next(iter(said.items()))
        raise ColumnError(
            f"[columns] {key} names the heading {shown(heading)}, but no line of the file holds such headings",
            where=where,
            remedy="Is this the right file? Its first line with headings must name time and position.",
        )
    if layout is None:
        raise TrackFormatError(
            "the file is no track: no line names a time and a position",
            where=where,
            remedy="Give a GPX file, or CSV with headings such as time, latitude, longitude, altitude.",
        )
    return layout


def _comma_is_decimal(layout: Layout, choice: Choice) -> bool:
    """Whether numbers have a decimal comma; the positions tell, since they always have a fraction."""
    cells = [
        row[column.index]
        for row in layout.first_rows
        for column in (choice.columns[Quantity.LATITUDE], choice.columns[Quantity.LONGITUDE])
        if column.index < len(row)
    ]
    return comma_decimals(np.array(cells, dtype=object))


def _rows(text: Text, layout: Layout, choice: Choice, comma_is_decimal: bool, where: str, limits: ReadLimits) -> Rows:
    texts = [column.index for column in choice.columns.values() if column.quantity in _TEXTS]
    numbers = [column.index for column in choice.columns.values() if column.quantity not in _TEXTS]
    rows = read_rows(
        text.data,
        layout,
        texts=texts,
        numbers=numbers,
        angles=[choice.columns[Quantity.LATITUDE].index, choice.columns[Quantity.LONGITUDE].index],
        comma_is_decimal=comma_is_decimal,
        where=where,
        limits=limits,
    )
    ragged = next((fault.count for fault in rows.faults if fault.kind == "ragged-row"), 0)
    if ragged > len(rows.line) / 2:
        raise TrackFormatError(
            f"most records have more cells than the {len(layout.headings)} headings in line {layout.heading_line} "
            f"({listed(layout.headings, 6)})",
            where=where,
            remedy="Is the separator also the decimal comma? Export with another separator.",
        )
    return rows


def _instants(rows: Rows, choice: Choice, utc_offset: str | None, date: dt.date | None, where: str) -> Instants:
    time, day = choice.get(Quantity.TIME), choice.get(Quantity.DATE)
    column = time or day
    if column is None:
        raise ColumnError("no heading tells the time", where=where)
    texts: TextArray = rows.texts[column.index]
    joined_with_day = time is not None and day is not None and _goes_with(time, day) and _is_time_of_day(texts)
    if joined_with_day and day is not None:
        both = zip(rows.texts[day.index], texts, strict=True)
        texts = np.array([f"{of.strip()} {at.strip()}" if of and at else "" for of, at in both], dtype=object)
    zone_s = column.zone_s
    if zone_s is None and joined_with_day and day is not None:
        zone_s = day.zone_s
    offset = choice.get(Quantity.UTC_OFFSET)
    zone = ZoneChoice(
        utc_offset=utc_offset,
        heading_zone_s=zone_s,
        offsets_s=_offsets(rows.texts[offset.index]) if offset is not None and zone_s is None else None,
    )
    return instants_of(
        texts.tolist(), rows.line, where=where, zone=zone, date=date, what=f"the column {shown(column.heading)}"
    )


def _goes_with(time: Column, day: Column) -> bool:
    """Whether a date and a time of day are of one clock: the local date can be another than the UTC one."""
    return not (time.zone_s == 0.0 and day.is_local) and not (time.is_local and day.zone_s == 0.0)


def _is_time_of_day(texts: TextArray) -> bool:
    first = next((text for text in texts if text), "")
    return bool(_TIME_OF_DAY.match(first))


def _offsets(texts: TextArray) -> FloatArray:
    """A column of offsets from UTC, as ±HH:MM or in hours. [s]"""
    known: dict[str, float] = {}
    for text in set(texts.tolist()):
        try:
            known[text] = float(text) * 3600.0 if re.fullmatch(r"[+-]?\d{1,2}(\.\d+)?", text) else offset_seconds(text)
        except CallError:
            known[text] = np.nan
    return np.array([known[text] for text in texts])


def _several_aircraft(rows: Rows, choice: Choice) -> list[Fault]:
    column = choice.get(Quantity.AIRCRAFT)
    names = sorted({text for text in rows.texts[column.index] if text}) if column is not None else []
    if column is None or len(names) < 2:
        return []
    detail = f"{shown(column.heading)} names {len(names)} aircraft: {listed(names, 4)}; all are read as one"
    return [Fault(kind="several-aircraft", count=len(names), detail=detail)]


def _samples(rows: Rows, choice: Choice, instants: Instants) -> Samples:
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
    lat, lon = choice.columns[Quantity.LATITUDE], choice.columns[Quantity.LONGITUDE]
    return Samples(
        time_s=readonly_floats(instants.time_s),
        lat_deg=readonly_floats(rows.numbers[lat.index] * lat.factor),
        lon_deg=readonly_floats(normal_longitudes(rows.numbers[lon.index] * lon.factor)),
        altitudes_ft=MappingProxyType(altitudes),
        channels=MappingProxyType(channels),
        segment=readonly_ints(np.zeros(len(rows.line), dtype=np.int64)),
        line=readonly_ints(rows.line),
    )
