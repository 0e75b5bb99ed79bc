"""The instrument rating test of the United States: FAA-S-ACS-8C, Instrument Rating – Airplane.

Edition of November 2023, in force since 31 May 2024. Elements are keyed by edition and number, since the numbers move
between editions. What the document gives no number for has none here: no foot figure at a decision altitude, no
heading inside the final segment, no needle in a missed approach.
"""

from __future__ import annotations

from typing import Final

from legwise.model.standard import Quantity, Reference, Segment, Standard, Tolerance, Unit

DOCUMENT: Final = "FAA-S-ACS-8C"

_TWICE: Final = "read in two transcriptions"
_ONCE: Final = "read in one transcription"


def _element(place: str, status: str = _TWICE) -> Reference:
    return Reference(document=DOCUMENT, place=place, status=status)


COMPLIANCE: Final = _element("IR.III.A.S5", _ONCE)
ROUTE: Final = _element("IR.V.B.S7")
NONPRECISION_BEFORE_FINAL: Final = _element("IR.VI.A.S9")
NONPRECISION_FINAL: Final = _element("IR.VI.A.S12")
PRECISION_BEFORE_FINAL: Final = _element("IR.VI.B.S9")
PRECISION_FINAL: Final = _element("IR.VI.B.S12")
MISSED: Final = _element("IR.VI.C.S7")
BELOW_MINIMA: Final = Reference(document="14 CFR 91.175", place="paragraph (c)", status="read in the regulation")

THREE_QUARTERS: Final = 0.75


def _band(
    quantity: Quantity,
    unit: Unit,
    size: float,
    segment: Segment,
    reference: Reference,
    *,
    glidepath: bool | None = None,
    condition: str = "",
) -> Tolerance:
    """The same bound on both sides, inclusive: "no more than"."""
    return Tolerance(
        quantity=quantity,
        unit=unit,
        low=-size,
        high=size,
        segments=frozenset({segment}),
        task=reference.place,
        reference=reference,
        glidepath=glidepath,
        condition=condition,
    )


_BEFORE_FINAL: Final = Segment.APPROACH_BEFORE_FINAL
_ON_GLIDEPATH: Final = "approach with approved vertical guidance to a published decision altitude"
_TO_MDA: Final = "approach to a minimum descent altitude"

_BEFORE_FINAL_BANDS: Final[tuple[tuple[Quantity, Unit, float], ...]] = (
    (Quantity.ALTITUDE, "ft", 100.0),
    (Quantity.CROSSING_ALTITUDE, "ft", 100.0),
    (Quantity.HEADING, "deg", 10.0),
    (Quantity.LATERAL_NEEDLE, "scale", THREE_QUARTERS),
)

_TOLERANCES: Final = (
    _band(Quantity.ALTITUDE, "ft", 100.0, Segment.VECTORS, COMPLIANCE),
    _band(Quantity.HEADING, "deg", 10.0, Segment.VECTORS, COMPLIANCE),
    _band(Quantity.ALTITUDE, "ft", 100.0, Segment.ROUTE, ROUTE),
    _band(Quantity.HEADING, "deg", 10.0, Segment.ROUTE, ROUTE),
    _band(Quantity.LATERAL_NEEDLE, "scale", THREE_QUARTERS, Segment.ROUTE, ROUTE),
    _band(Quantity.CROSSING_ALTITUDE, "ft", 100.0, Segment.ROUTE, ROUTE),
    *(
        _band(quantity, unit, size, _BEFORE_FINAL, reference, glidepath=glidepath, condition=condition)
        for reference, glidepath, condition in (
            (NONPRECISION_BEFORE_FINAL, False, _TO_MDA),
            (PRECISION_BEFORE_FINAL, True, _ON_GLIDEPATH),
        )
        for quantity, unit, size in _BEFORE_FINAL_BANDS
    ),
    _band(
        Quantity.LATERAL_NEEDLE,
        "scale",
        THREE_QUARTERS,
        Segment.FINAL_NONPRECISION,
        NONPRECISION_FINAL,
        condition=_TO_MDA,
    ),
    Tolerance(
        quantity=Quantity.MDA,
        unit="ft",
        low=0.0,
        high=100.0,
        segments=frozenset({Segment.FINAL_NONPRECISION}),
        task=NONPRECISION_FINAL.place,
        reference=NONPRECISION_FINAL,
        condition="the high side while the minimum descent altitude is held",
        high_when_level=True,
    ),
    _band(
        Quantity.LATERAL_NEEDLE,
        "scale",
        THREE_QUARTERS,
        Segment.FINAL_PRECISION,
        PRECISION_FINAL,
        condition=_ON_GLIDEPATH,
    ),
    _band(
        Quantity.VERTICAL_NEEDLE,
        "scale",
        THREE_QUARTERS,
        Segment.FINAL_PRECISION,
        PRECISION_FINAL,
        condition=_ON_GLIDEPATH,
    ),
    _band(Quantity.ALTITUDE, "ft", 100.0, Segment.MISSED, MISSED),
    _band(Quantity.CROSSING_ALTITUDE, "ft", 100.0, Segment.MISSED, MISSED),
    _band(Quantity.HEADING, "deg", 10.0, Segment.MISSED, MISSED),
    _band(Quantity.TRACK, "deg", 10.0, Segment.MISSED, MISSED, condition="a course owed in the missed approach"),
)

_CAUTIONS: Final = (
    (
        "A task is unsatisfactory when tolerances are consistently exceeded or prompt corrective action is not taken "
        "(from memory of the document's introduction); one peak is not. That judgement is a person's."
    ),
    (
        "There is no foot figure at a decision altitude, no heading tolerance inside the final segment and no needle "
        "figure in the missed approach, so none is judged."
    ),
    (
        "The document gives one altitude tolerance, ±100 ft; at a fix with a published altitude it is laid about that "
        "altitude on the side that is published (a reading of this program)."
    ),
)

FAA_INSTRUMENT: Final = Standard(
    name="faa-instrument",
    document=DOCUMENT,
    title="Instrument Rating – Airplane, Airman Certification Standards (November 2023)",
    tolerances=_TOLERANCES,
    cautions=_CAUTIONS,
    below_minima=BELOW_MINIMA,
    below_minima_task="IR.VI.B.S13",
)
