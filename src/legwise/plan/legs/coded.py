"""Coded legs of navigation data as legs of the plan."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.model.navdata import CodedLeg
from legwise.model.plan import Fix, Leg
from legwise.plan.legs.coded_fields import CodedSpecs
from legwise.plan.legs.maker import LegMaker


def coded_legs(
    maker: LegMaker,
    legs: Sequence[CodedLeg],
    start: Fix | None,
    *,
    procedure: str,
    airport_variation_deg: float | None,
    by_station: bool = False,
) -> tuple[Leg, ...]:
    """The legs of a procedure's part in order, the first one from ``start``.

    ``procedure`` is its name in the legs and in notes. ``airport_variation_deg`` turns the coded magnetic courses into
    true ones, east positive; None takes the model at each fix. ``by_station`` for a conventional approach, whose
    courses go by the stations' variations of record. Which was used goes into the maker's notes.

    Raises
    ------
    PlanError
        A leg that can't be resolved, naming its record: a fix that the data does not hold, a TF without a fix before
        it, an RF off its circle, altitudes upside down.
    """
    reader = CodedSpecs(
        book=maker.book,
        variation=maker.variation,
        where=maker.where,
        procedure=procedure,
        airport_variation_deg=airport_variation_deg,
        by_station=by_station,
    )
    made = maker.made(reader.specs(legs, start), start)
    note = reader.variation_note()
    if note is not None and note not in maker.notes:
        maker.notes.append(note)
    return made
