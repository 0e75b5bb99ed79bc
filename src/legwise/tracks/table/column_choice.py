"""Which column is what: what the caller said first, then what the headings say; two that say the same are refused."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from legwise.errors import ColumnError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import Channel, Fault
from legwise.tracks.headings.meanings import Meaning, meaning_of
from legwise.tracks.headings.quantities import UNITS, Quantity
from legwise.tracks.headings.units import StatedUnit, stated_unit
from legwise.tracks.headings.vocabulary import ELAPSED, VOCABULARY, words_of
from legwise.tracks.table.columns import (
    COLUMN_KEYS,
    Choice,
    Column,
    Helpers,
    Target,
    Twin,
    column_notes,
    columns_line,
    key_of,
    target_of,
    target_words,
)
from legwise.tracks.table.helper_columns import find_helpers
from legwise.tracks.table.layout import Layout, cells_under
from legwise.tracks.table.position_pairs import pair_column, paired_columns
from legwise.tracks.table.position_parts import find_parts
from legwise.tracks.table.said_columns import check_keys, said_columns, unit_error
from legwise.tracks.table.time_headings import dated_before_undated
from legwise.tracks.table.twin_columns import twins_of
from legwise.tracks.wording import joined, listed, shown

__all__ = ["COLUMN_KEYS", "Choice", "Column", "check_keys", "choose_columns", "column_notes"]

_COUNT_RANK = 6
"""From this rank on a time's heading only says that something is counted."""

_DATE_LIKE = re.compile(r"\d{1,4}\W{1,2}\w{1,10}\W{1,2}\d{1,4}|[^\W\d]{3}\W{1,2}\d{1,2}|\d{6}|\d[^\W\d]{3}\d")

_Candidates = dict[Target, list[tuple[Meaning, int]]]
_Passed = tuple[Target, Quantity, str, StatedUnit]
"""What a column would have become, its heading, and the statement of a unit that can't be used."""


def choose_columns(layout: Layout, said: Mapping[str, str | ColumnChoice], where: str) -> Choice:
    """Settle which column is what.

    Of two headings that say the same the plainer is taken and the other named in the notes: UTC before a timestamp
    before a bare time before local time; "GPS MSL" before "MSL" before "GPS"; a direction with its reference before
    one without. Two in different units may be one quantity twice, to be checked when they are read. A column whose
    stated unit can't be used is left out and told, but not where it is the position or the only altitude. Raises
    :class:`ColumnError` there, where headings can't be told apart, where a named one is missing, and without a
    position or a time.
    """
    at = f"{where}, line {layout.heading_line}"
    chosen = said_columns(layout, said, at)
    taken = {column.index for column in chosen.values()}
    helpers, faults = find_helpers(layout, chosen, taken)
    parts = find_parts(layout, taken | helpers.indices(), at)
    helpers = dataclasses.replace(helpers, parts=MappingProxyType(parts))
    candidates, passed = _candidates(layout, taken | helpers.indices())
    helpers = _with_pair(helpers, candidates, chosen, layout, taken)
    dated_before_undated(candidates.get(Quantity.TIME, []), candidates.get(Quantity.DATE, []), layout)
    if helpers.clock is not None and helpers.clock.has_time and Quantity.TIME not in chosen:
        # A count from the start tells less than the parts of a clock.
        candidates[Quantity.TIME] = [one for one in candidates.get(Quantity.TIME, []) if one[0].rank < _COUNT_RANK]
    notes, twins = _plainest(candidates, layout, chosen, at)
    faults += _passed_over(passed, chosen, at)
    _require(chosen, helpers, layout, at)
    helpers = dataclasses.replace(helpers, local_time=_local_time(candidates, chosen, layout))
    return Choice(
        columns=MappingProxyType(chosen), notes=tuple(notes), faults=tuple(faults), helpers=helpers, twins=tuple(twins)
    )


def _with_pair(
    helpers: Helpers, candidates: _Candidates, chosen: dict[Target, Column], layout: Layout, taken: set[int]
) -> Helpers:
    """The helpers with a column of both latitude and longitude, taken into ``chosen`` where nothing else tells them."""
    index = pair_column(layout, taken | helpers.indices())
    axes = (Quantity.LATITUDE, Quantity.LONGITUDE)
    others = [at for axis in axes for _meaning, at in candidates.get(axis, []) if at != index]
    if index is None or others or any(axis in chosen for axis in axes):
        return helpers
    candidates.pop(Quantity.LATITUDE, None)
    chosen |= {column.target: column for column in paired_columns(layout, index)}
    return dataclasses.replace(helpers, pair=index)


def _local_time(candidates: _Candidates, chosen: Mapping[Target, Column], layout: Layout) -> Column | None:
    """The local time that was passed over for a UTC one whose date stands only by the local clock."""
    time, day = chosen.get(Quantity.TIME), chosen.get(Quantity.DATE)
    if time is None or day is None or time.zone_s != 0.0 or not day.is_local:
        return None
    local = [one for one in candidates.get(Quantity.TIME, []) if one[0].is_local]
    return _told_column(Quantity.TIME, *local[0], layout) if len(local) == 1 else None


def _candidates(layout: Layout, taken: set[int]) -> tuple[_Candidates, list[_Passed]]:
    """The columns that could be each target, and those whose unit can't be used."""
    candidates: _Candidates = {}
    passed: list[_Passed] = []
    for index, heading in enumerate(layout.headings):
        meaning = meaning_of(heading, layout.units[index]) if heading and index not in taken else None
        if meaning is None or (meaning.quantity is Quantity.DATE and not _may_be_dates(cells_under(layout, index))):
            continue
        target = target_of(meaning.quantity, meaning.reference, meaning.kind)
        stated = stated_unit(meaning.quantity, heading, layout.units[index])
        if stated.problem:
            passed.append((target, meaning.quantity, heading, stated))
        else:
            candidates.setdefault(target, []).append((meaning, index))
    if not candidates.keys() & {Quantity.TIME, Quantity.DATE}:
        counting = [index for index, heading in enumerate(layout.headings) if _counts_from_the_start(heading)]
        # It is no time of day, but the error that says so, or the start that stands elsewhere, belongs to the times.
        if len(counting) == 1 and counting[0] not in taken:
            meaning = Meaning(quantity=Quantity.TIME, rank=_COUNT_RANK + 1)
            candidates[Quantity.TIME] = [(meaning, counting[0])]
    return candidates, passed


def _may_be_dates(cells: Sequence[str]) -> bool:
    """Whether a column's first cells can be dates, unlike those of "Day" with "Saturday" or of "Datum" with "WGS84"."""
    filled = [cell for cell in cells if cell]
    return not filled or any(_DATE_LIKE.search(cell) for cell in filled)


def _passed_over(passed: Sequence[_Passed], chosen: Mapping[Target, Column], at: str) -> list[Fault]:
    """The faults of columns whose unit can't be used; an error where one of them is needed."""
    has_altitude = any(column.quantity is Quantity.ALTITUDE for column in chosen.values())
    faults: list[Fault] = []
    for target, quantity, heading, stated in passed:
        is_position = quantity in (Quantity.LATITUDE, Quantity.LONGITUDE)
        if (is_position and target not in chosen) or (quantity is Quantity.ALTITUDE and not has_altitude):
            raise unit_error(stated, quantity, key_of(target), heading, at)
        detail = f"{shown(heading)} {stated.problem}; the column is not read"
        faults.append(Fault(kind="ignored-column", count=1, detail=detail))
    return faults


def _plainest(
    candidates: _Candidates, layout: Layout, chosen: dict[Target, Column], at: str
) -> tuple[list[str], list[Twin]]:
    """Take the plainest column of each target into ``chosen``; the notes on the others, and the twins."""
    notes: list[str] = []
    twins: list[Twin] = []
    for target, found in candidates.items():
        if target in chosen or not found:
            continue
        best = min(meaning.rank for meaning, _index in found)
        plainest = [_told_column(target, meaning, index, layout) for meaning, index in found if meaning.rank == best]
        same = twins_of(plainest, layout)
        bare = [column for column in plainest if not _has_suffix(column.heading)]
        if isinstance(target, Channel) and not same and len(bare) == 1:
            # "Roll" stands before "RollC": whatever the suffix says, the bare word says nothing more.
            plainest = bare
        if len(plainest) > 1 and target is not Quantity.AIRCRAFT and not same:
            raise undecided(target, [column.heading for column in plainest], at)
        column = same[0].column if same else plainest[0]
        chosen[target] = column
        twins += same[1:]
        others = [layout.headings[index] for _meaning, index in found if index != column.index]
        read = {twin.column.heading for twin in same}
        passed = [heading for heading in others if heading not in read]
        if target is Quantity.AIRCRAFT:
            continue
        if same:
            held = joined([shown(twin.column.heading) for twin in same])
            notes.append(f"{held} hold the same values; {shown(column.heading)} is read")
        if passed:
            notes.append(f"{shown(column.heading)} is taken for the {target_words(target)}, not {listed(passed)}")
    return notes, twins


def _has_suffix(heading: str) -> bool:
    """Whether a heading has a word, a letter or a figure that nobody knows."""
    return any(word not in VOCABULARY for word in words_of(heading))


def undecided(target: Target, headings: Sequence[str], at: str) -> ColumnError:
    """The error for headings that say the same, with the lines of ``[columns]`` to choose from."""
    key = key_of(target)
    if len(set(headings)) < len(headings):
        remedy = "Rename one of them in the log; then say which in [columns]."
    elif key:
        remedy = f"Say which in [columns]: {joined([columns_line(key, heading) for heading in headings[:4]], 'or')}."
    else:
        remedy = "Rename one of them in the log."
    return ColumnError(
        f"{len(headings)} headings could be the {target_words(target)}: {listed(headings)}", where=at, remedy=remedy
    )


def _told_column(target: Target, meaning: Meaning, index: int, layout: Layout) -> Column:
    units = UNITS.get(meaning.quantity, {})
    stated = stated_unit(meaning.quantity, layout.headings[index], layout.units[index])
    unit = stated.unit or next(iter(units), "")
    return Column(
        index=index,
        heading=layout.headings[index],
        target=target,
        quantity=meaning.quantity,
        unit=unit,
        factor=units.get(unit, 1.0),
        zone_s=meaning.zone_s,
        is_local=meaning.is_local,
        said=False,
        unit_said=bool(stated.unit),
        statement=f"{layout.headings[index]} {layout.units[index]}",
    )


def _require(chosen: Mapping[Target, Column], helpers: Helpers, layout: Layout, at: str) -> None:
    needed: Sequence[tuple[tuple[Quantity, ...], str]] = (
        ((Quantity.LATITUDE,), "lat_deg"),
        ((Quantity.LONGITUDE,), "lon_deg"),
        ((Quantity.TIME, Quantity.DATE), "time"),
    )
    has_clock = helpers.clock is not None and helpers.clock.has_time
    for quantities, key in needed:
        if any(quantity in chosen for quantity in quantities) or (key == "time" and has_clock):
            continue
        raise ColumnError(
            f"no heading tells the {quantities[0].value}; there are {listed(filter(None, layout.headings))}",
            where=at,
            remedy=f'Say which it is: {key} = "…" in [columns] of the lesson, or in a file given with --columns.',
        )


def _counts_from_the_start(heading: str) -> bool:
    words = set(words_of(heading))
    return bool(words & ELAPSED) and bool(words & {"time", "s", "sec", "secs", "second", "seconds", "ms"})
