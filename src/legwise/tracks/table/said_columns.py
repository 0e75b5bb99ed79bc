"""Columns that the caller named: the heading in the log, its unit and its kind are taken as said, or refused."""

from __future__ import annotations

from collections.abc import Mapping

from legwise.errors import ColumnError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind
from legwise.tracks.headings.meanings import meaning_of
from legwise.tracks.headings.quantities import UNITS, Quantity
from legwise.tracks.headings.units import StatedUnit, known_units, stated_unit
from legwise.tracks.headings.vocabulary import words_of, zone_in
from legwise.tracks.table.columns import COLUMN_KEYS, Column, Target, table_line, target_of
from legwise.tracks.table.layout import Layout
from legwise.tracks.wording import listed, nearest, places, shown


def check_keys(columns: Mapping[str, str | ColumnChoice], where: str) -> None:
    """Raise :class:`ColumnError` on a key of ``[columns]`` that there is none of, with the nearest."""
    for key in columns:
        if key not in COLUMN_KEYS and key != "utc_offset":
            known = [*COLUMN_KEYS, "utc_offset"]
            raise ColumnError(
                f"[columns] has no key {shown(key)}",
                where=where,
                remedy=nearest(key, known) or f"The keys are {', '.join(known)}.",
            )


def said_columns(layout: Layout, said: Mapping[str, str | ColumnChoice], at: str) -> dict[Target, Column]:
    """The columns that were named, by target. Raises :class:`ColumnError` where one isn't there or is named twice."""
    chosen: dict[Target, Column] = {}
    for key, choice in said.items():
        if key == "utc_offset":
            continue
        column = _said_column(key, choice, layout, at)
        if column.target in chosen or any(column.index == other.index for other in chosen.values()):
            raise ColumnError(
                f"[columns] {key} names {shown(column.heading)}, which another key has taken",
                where=at,
                remedy="Name each heading and each quantity once.",
            )
        chosen[column.target] = column
    return chosen


def unit_error(stated: StatedUnit, quantity: Quantity, key: str, heading: str, at: str) -> ColumnError:
    """The error for a unit that is stated and can't be used."""
    return ColumnError(
        f"{shown(heading)} {stated.problem}",
        where=at,
        remedy=f"Say it in [columns]: {table_line(key, heading, '…')}. Known here: {known_units(quantity)}.",
    )


def _said_column(key: str, choice: str | ColumnChoice, layout: Layout, at: str) -> Column:
    quantity, reference, kind = COLUMN_KEYS[key]
    heading = choice if isinstance(choice, str) else choice.heading
    index = _index_of(heading, key, layout, at)
    units = UNITS.get(quantity, {})
    words = words_of(layout.headings[index]) + words_of(layout.units[index])
    unit_text = choice.unit or "" if isinstance(choice, ColumnChoice) else ""
    stated = _said_unit(key, choice, quantity, layout, index, at)
    unit, unit_said = stated.unit, True
    if not unit and units:
        unit, unit_said = next(iter(units)), False
    if isinstance(choice, ColumnChoice) and choice.kind is not None:
        kind, reference = _said_kind(key, choice.kind, quantity, kind, reference, at)
    elif quantity is Quantity.ALTITUDE and kind is None:
        meaning = meaning_of(layout.headings[index], layout.units[index])
        kind = meaning.kind if meaning is not None else None
    statement = f"{layout.headings[index]} {layout.units[index]} {unit_text}"
    return Column(
        index=index,
        heading=layout.headings[index],
        target=target_of(quantity, reference, kind),
        quantity=quantity,
        unit=unit,
        factor=units.get(unit, 1.0),
        zone_s=zone_in(statement),
        is_local=bool({"local", "lcl"} & set(words)),
        said=True,
        unit_said=unit_said,
        statement=statement,
    )


def _said_unit(
    key: str, choice: str | ColumnChoice, quantity: Quantity, layout: Layout, index: int, at: str
) -> StatedUnit:
    """The unit that was named for a column, else the one that its heading states."""
    if isinstance(choice, ColumnChoice) and choice.unit is not None:
        stated = stated_unit(quantity, "", choice.unit, is_choice=True)
        zone_said = quantity in (Quantity.TIME, Quantity.DATE)
        is_strange = bool(choice.unit.strip()) and not stated.unit and not zone_said
        if stated.problem or is_strange:
            raise ColumnError(
                f"[columns] {key} has the unit {shown(choice.unit, 30)}",
                where=at,
                remedy=f"Known here: {known_units(quantity)}.",
            )
        return stated
    stated = stated_unit(quantity, layout.headings[index], layout.units[index])
    if stated.problem:
        raise unit_error(stated, quantity, key, layout.headings[index], at)
    return stated


def _index_of(heading: str, key: str, layout: Layout, at: str) -> int:
    """The column with a named heading: exactly, else whatever the case and the blanks."""
    exact = [index for index, other in enumerate(layout.headings) if other == heading.strip()]
    folded = _folded(heading)
    found = exact or [index for index, other in enumerate(layout.headings) if folded and _folded(other) == folded]
    if not found:
        raise ColumnError(
            f"[columns] {key} names the heading {shown(heading)}, which is not there",
            where=at,
            remedy=nearest(heading, layout.headings) or f"The headings are {listed(filter(None, layout.headings))}.",
        )
    if len(found) > 1:
        raise ColumnError(
            f"the heading {shown(heading)} stands {len(found)} times, in {places([i + 1 for i in found], 'column')}",
            where=at,
            remedy="Rename one of them in the log.",
        )
    return found[0]


def _folded(heading: str) -> str:
    return " ".join(heading.split()).casefold()


def _said_kind(
    key: str, said: str, quantity: Quantity, kind: AltitudeKind | None, reference: str, at: str
) -> tuple[AltitudeKind | None, str]:
    word = said.strip().casefold()
    if quantity is Quantity.ALTITUDE:
        kinds = [item.value for item in AltitudeKind]
        if word in kinds:
            return AltitudeKind(word), reference
        remedy = nearest(word, kinds) or f"Known: {', '.join(kinds)}."
        raise ColumnError(f"[columns] {key} has the kind {shown(said, 30)}", where=at, remedy=remedy)
    if quantity in (Quantity.TRACK, Quantity.HEADING) and word in ("true", "mag", "magnetic"):
        return kind, "true" if word == "true" else "mag"
    raise ColumnError(f"[columns] {key} takes no kind {shown(said, 30)}", where=at, remedy="Leave the kind out.")
