"""Which column is what: what the caller said first, then what the headings say; two that say the same are refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from legwise.errors import ColumnError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind, Channel, Fault
from legwise.tracks.headings import Meaning, meaning_of, words_of, zone_in
from legwise.tracks.layout import Layout
from legwise.tracks.quantities import CHANNELS, KIND_WORDS, UNITS, Quantity
from legwise.tracks.stated_units import StatedUnit, known_units, stated_unit
from legwise.tracks.wording import listed, nearest, places, shown

Target = Quantity | AltitudeKind | Channel
"""What a column becomes: the time or position (a quantity), an altitude of a kind, or a channel."""

_CHANNEL_MEANINGS = {channel: pair for pair, channel in CHANNELS.items()}

COLUMN_KEYS: Final[Mapping[str, tuple[Quantity, str, AltitudeKind | None]]] = MappingProxyType(
    {
        "time": (Quantity.TIME, "", None),
        "date": (Quantity.DATE, "", None),
        "lat_deg": (Quantity.LATITUDE, "", None),
        "lon_deg": (Quantity.LONGITUDE, "", None),
        "altitude_ft": (Quantity.ALTITUDE, "", None),
        "altitude_indicated_ft": (Quantity.ALTITUDE, "", AltitudeKind.INDICATED),
        "altitude_pressure_ft": (Quantity.ALTITUDE, "", AltitudeKind.PRESSURE),
        "altitude_gnss_msl_ft": (Quantity.ALTITUDE, "", AltitudeKind.GNSS_MSL),
        "altitude_gnss_ellipsoid_ft": (Quantity.ALTITUDE, "", AltitudeKind.GNSS_ELLIPSOID),
        **{channel.value: (*pair, None) for channel, pair in _CHANNEL_MEANINGS.items()},
    }
)
"""The keys of ``[columns]`` besides ``utc_offset``, with the quantity, the reference of a direction and the kind of
an altitude.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column that is read: where it stands, what it becomes, and the factor from its unit to ours."""

    index: int
    heading: str
    target: Target
    quantity: Quantity
    unit: str
    factor: float
    zone_s: float | None
    is_local: bool
    said: bool
    unit_said: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The columns of a file by target, and what was passed over, in words and as faults."""

    columns: Mapping[Target, Column]
    notes: tuple[str, ...]
    faults: tuple[Fault, ...] = ()

    def get(self, target: Target) -> Column | None:
        """The column of a target, or None."""
        return self.columns.get(target)


def check_keys(columns: Mapping[str, str | ColumnChoice], where: str) -> None:
    """Raise :class:`ColumnError` on a key of ``[columns]`` that there is none of, with the nearest."""
    for key in columns:
        if key not in COLUMN_KEYS and key != "utc_offset":
            raise ColumnError(
                f"[columns] has no key {shown(key)}", where=where, remedy=nearest(key, [*COLUMN_KEYS, "utc_offset"])
            )


def choose_columns(layout: Layout, said: Mapping[str, str | ColumnChoice], where: str) -> Choice:
    """Settle which column is what.

    Of two headings that say the same the plainer is taken and the other named in the notes: UTC before a timestamp
    before a bare time before local time; "GPS MSL" before "MSL" before "GPS"; a direction with its reference before
    one without. A column whose stated unit can't be used is left out and told, but not where it is the position or
    the only altitude. Raises :class:`ColumnError` there, where headings can't be told apart, where a named one is
    missing, and without a position or a time.
    """
    at = f"{where}, line {layout.heading_line}"
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
    taken = {column.index for column in chosen.values()}
    notes, passed = _choose_by_headings(layout, chosen, taken, at)
    faults = _passed_over(passed, chosen, at)
    _require(chosen, layout, at)
    return Choice(columns=MappingProxyType(chosen), notes=tuple(notes), faults=tuple(faults))


def _target(quantity: Quantity, reference: str, kind: AltitudeKind | None) -> Target:
    if quantity is Quantity.ALTITUDE:
        return kind or AltitudeKind.UNKNOWN
    return CHANNELS.get((quantity, reference), quantity)


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
    return Column(
        index=index,
        heading=layout.headings[index],
        target=_target(quantity, reference, kind),
        quantity=quantity,
        unit=unit,
        factor=units.get(unit, 1.0),
        zone_s=zone_in(f"{layout.headings[index]} {layout.units[index]} {unit_text}"),
        is_local=bool({"local", "lcl"} & set(words)),
        said=True,
        unit_said=unit_said,
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
        raise _unit_error(stated, quantity, key, layout.headings[index], at)
    return stated


def _unit_error(stated: StatedUnit, quantity: Quantity, key: str, heading: str, at: str) -> ColumnError:
    return ColumnError(
        f"{shown(heading)} {stated.problem}",
        where=at,
        remedy=f'Say it: {key} = {{ heading = "…", unit = "…" }} in [columns]. Known here: {known_units(quantity)}.',
    )


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


_Passed = tuple[Target, Quantity, str, StatedUnit]
"""What a column would have become, its heading, and the statement of a unit that can't be used."""


def _choose_by_headings(
    layout: Layout, chosen: dict[Target, Column], taken: set[int], at: str
) -> tuple[list[str], list[_Passed]]:
    candidates: dict[Target, list[tuple[Meaning, int]]] = {}
    passed: list[_Passed] = []
    for index, heading in enumerate(layout.headings):
        meaning = meaning_of(heading, layout.units[index]) if heading and index not in taken else None
        if meaning is None:
            continue
        target = _target(meaning.quantity, meaning.reference, meaning.kind)
        stated = stated_unit(meaning.quantity, heading, layout.units[index])
        if stated.problem:
            passed.append((target, meaning.quantity, heading, stated))
        else:
            candidates.setdefault(target, []).append((meaning, index))
    return _plainest(candidates, layout, chosen, at), passed


def _passed_over(passed: Sequence[_Passed], chosen: Mapping[Target, Column], at: str) -> list[Fault]:
    """The faults of columns whose unit can't be used; an error where one of them is needed."""
    has_altitude = any(column.quantity is Quantity.ALTITUDE for column in chosen.values())
    faults: list[Fault] = []
    for target, quantity, heading, stated in passed:
        is_position = quantity in (Quantity.LATITUDE, Quantity.LONGITUDE)
        if (is_position and target not in chosen) or (quantity is Quantity.ALTITUDE and not has_altitude):
            raise _unit_error(stated, quantity, _key_of(target), heading, at)
        detail = f"{shown(heading)} {stated.problem}; the column is not read"
        faults.append(Fault(kind="ignored-column", count=1, detail=detail))
    return faults


def _plainest(
    candidates: Mapping[Target, Sequence[tuple[Meaning, int]]],
    layout: Layout,
    chosen: dict[Target, Column],
    at: str,
) -> list[str]:
    notes: list[str] = []
    for target, found in candidates.items():
        if target in chosen:
            continue
        best = min(meaning.rank for meaning, _index in found)
        plainest = [(meaning, index) for meaning, index in found if meaning.rank == best]
        headings = [layout.headings[index] for _meaning, index in found]
        if len(plainest) > 1 and target is not Quantity.AIRCRAFT:
            key = _key_of(target)
            raise ColumnError(
                f"{len(plainest)} headings could be the {_words(target)}: "
                f"{listed(layout.headings[index] for _meaning, index in plainest)}",
                where=at,
                remedy=f"Say which: {key} = … in [columns]." if key else "Rename one of them in the log.",
            )
        meaning, index = plainest[0]
        chosen[target] = _told_column(target, meaning, index, layout)
        if len(found) > 1 and target is not Quantity.AIRCRAFT:
            passed = listed(heading for heading in headings if heading != layout.headings[index])
            notes.append(f"{shown(layout.headings[index])} is taken for the {_words(target)}, not {passed}")
    return notes


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
    )


def _words(target: Target) -> str:
    if isinstance(target, AltitudeKind):
        return KIND_WORDS[target]
    if isinstance(target, Channel):
        quantity, reference = _CHANNEL_MEANINGS[target]
        return f"{quantity.value} ({'magnetic' if reference == 'mag' else 'true'})" if reference else quantity.value
    return target.value


def _key_of(target: Target) -> str:
    if isinstance(target, Channel):
        return target.value
    kind = target if isinstance(target, AltitudeKind) and target is not AltitudeKind.UNKNOWN else None
    quantity = Quantity.ALTITUDE if isinstance(target, AltitudeKind) else target
    return next((key for key, (what, _ref, of) in COLUMN_KEYS.items() if what is quantity and of is kind), "")


def _require(chosen: Mapping[Target, Column], layout: Layout, at: str) -> None:
    needed: Sequence[tuple[tuple[Quantity, ...], str]] = (
        ((Quantity.LATITUDE,), "lat_deg"),
        ((Quantity.LONGITUDE,), "lon_deg"),
        ((Quantity.TIME, Quantity.DATE), "time"),
    )
    for quantities, key in needed:
        if not any(quantity in chosen for quantity in quantities):
            raise ColumnError(
                f"no heading tells the {quantities[0].value}; there are {listed(filter(None, layout.headings))}",
                where=at,
                remedy=f'Say which it is: {key} = "…" in [columns] of the lesson, or in a file given with --columns.',
            )


def column_notes(choice: Choice) -> list[str]:
    """For each column that is read, in words, what it was taken for and in which unit."""
    notes: list[str] = []
    for target, column in choice.columns.items():
        if target is Quantity.AIRCRAFT:
            continue
        unit = f" in {column.unit}" if column.unit and column.quantity is not Quantity.TIME else ""
        doubt = "" if column.unit_said or not unit or column.quantity in _OBVIOUS else " (the heading says no unit)"
        said = ", as was said" if column.said else ""
        notes.append(f"{shown(column.heading)} is the {_words(target)}{unit}{doubt}{said}")
    return [*notes, *choice.notes]


_OBVIOUS = frozenset({Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.HDOP})
