"""The standards as data: what is in them, with its source, and what is not."""

from __future__ import annotations

import math
import pathlib

import pytest

from legwise.errors import StandardError
from legwise.model.standard import Quantity, Segment, Standard, Tolerance
from legwise.standards import KNOWN_STANDARDS, standard_named

ALL = sorted(KNOWN_STANDARDS)


def limits(standard: Standard, quantity: Quantity, segment: Segment) -> list[Tolerance]:
    return [item for item in standard.tolerances if item.quantity is quantity and segment in item.segments]


@pytest.mark.parametrize("name", ALL)
def test_every_limit_has_a_source_a_task_and_a_band_about_zero(name: str) -> None:
    for limit in standard_named(name).tolerances:
        assert limit.reference.document
        assert limit.reference.place
        assert limit.reference.status
        assert limit.task
        assert limit.segments
        assert limit.low <= 0 <= limit.high
        assert math.isfinite(limit.low) or math.isfinite(limit.high)
        assert (limit.brief_high is None) == (limit.brief_s is None)


# FAA-S-ACS-8C, elements as read in two transcriptions.
@pytest.mark.parametrize(
    ("quantity", "segment", "low", "high", "task"),
    [
        (Quantity.ALTITUDE, Segment.VECTORS, -100, 100, "IR.III.A.S5"),
        (Quantity.HEADING, Segment.VECTORS, -10, 10, "IR.III.A.S5"),
        (Quantity.ALTITUDE, Segment.ROUTE, -100, 100, "IR.V.B.S7"),
        (Quantity.LATERAL_NEEDLE, Segment.ROUTE, -0.75, 0.75, "IR.V.B.S7"),
        (Quantity.MDA, Segment.FINAL_NONPRECISION, 0, 100, "IR.VI.A.S12"),
        (Quantity.LATERAL_NEEDLE, Segment.FINAL_NONPRECISION, -0.75, 0.75, "IR.VI.A.S12"),
        (Quantity.LATERAL_NEEDLE, Segment.FINAL_PRECISION, -0.75, 0.75, "IR.VI.B.S12"),
        (Quantity.VERTICAL_NEEDLE, Segment.FINAL_PRECISION, -0.75, 0.75, "IR.VI.B.S12"),
        (Quantity.ALTITUDE, Segment.MISSED, -100, 100, "IR.VI.C.S7"),
        (Quantity.HEADING, Segment.MISSED, -10, 10, "IR.VI.C.S7"),
    ],
)
def test_faa_element(quantity: Quantity, segment: Segment, low: float, high: float, task: str) -> None:
    (limit,) = limits(standard_named("faa-instrument"), quantity, segment)
    assert (limit.low, limit.high, limit.task, limit.strict) == (low, high, task, False)
    assert str(limit.reference) == f"FAA-S-ACS-8C, {task}"


@pytest.mark.parametrize(("glidepath", "task"), [(False, "IR.VI.A.S9"), (True, "IR.VI.B.S9")])
def test_faa_before_the_final_segment_goes_by_the_kind_of_approach(glidepath: bool, task: str) -> None:
    here = [
        limit
        for limit in standard_named("faa-instrument").tolerances
        if Segment.APPROACH_BEFORE_FINAL in limit.segments and limit.glidepath is glidepath
    ]
    assert {limit.task for limit in here} == {task}
    assert {limit.quantity for limit in here} == {
        Quantity.ALTITUDE,
        Quantity.CROSSING_ALTITUDE,
        Quantity.HEADING,
        Quantity.LATERAL_NEEDLE,
    }


# Gaps a grader must not fill (FAA-S-ACS-8C; Part-FCL Appendix 7).
@pytest.mark.parametrize(
    ("name", "quantity", "segment"),
    [
        ("faa-instrument", Quantity.DA, Segment.FINAL_PRECISION),
        ("faa-instrument", Quantity.HEADING, Segment.FINAL_PRECISION),
        ("faa-instrument", Quantity.HEADING, Segment.FINAL_NONPRECISION),
        ("faa-instrument", Quantity.LATERAL_NEEDLE, Segment.MISSED),
        ("faa-instrument", Quantity.VERTICAL_NEEDLE, Segment.FINAL_NONPRECISION),
        ("easa-instrument", Quantity.LATERAL_NEEDLE, Segment.ROUTE),
        ("easa-instrument", Quantity.CROSS_TRACK, Segment.ROUTE),
    ],
)
def test_what_has_no_number_gets_none(name: str, quantity: Quantity, segment: Segment) -> None:
    assert limits(standard_named(name), quantity, segment) == []


def test_easa_bands() -> None:
    # Part-FCL Appendix 7 paragraph 11: half scale; ±5°; MDA and DA +50/−0; linear lateral 1/2 × RNP.
    easa = standard_named("easa-instrument")
    angular = [item for item in easa.tolerances if item.quantity is Quantity.LATERAL_NEEDLE]
    assert {(item.low, item.high) for item in angular} == {(-0.5, 0.5)}
    assert [(item.low, item.high) for item in limits(easa, Quantity.MDA, Segment.FINAL_NONPRECISION)] == [(0, 50)]
    assert [(item.low, item.high) for item in limits(easa, Quantity.DA, Segment.FINAL_PRECISION)] == [(0, 50)]
    assert [(item.low, item.high) for item in limits(easa, Quantity.HEADING, Segment.VECTORS)] == [(-5, 5)]
    final, early = (item for item in easa.tolerances if item.quantity is Quantity.CROSS_TRACK)
    assert (final.high, final.brief_high) == (0.15, 0.3)
    assert (early.high, early.brief_high) == (0.5, 1.0)


def test_an_unknown_name_tells_the_known_ones() -> None:
    with pytest.raises(StandardError) as caught:
        standard_named("faa-commercial", base=pathlib.Path("lesson.toml"))
    assert "faa-commercial" in caught.value.message
    assert all(name in caught.value.remedy for name in ALL)


@pytest.mark.parametrize("slip", ["faa-instrumnt", "FAA-Instrument", "faa_instrument"])
def test_a_slip_of_the_pen_is_answered_with_the_nearest_name(slip: str) -> None:
    with pytest.raises(StandardError, match="nearest known is faa-instrument"):
        standard_named(slip)


def test_a_very_long_name_is_cut() -> None:
    with pytest.raises(StandardError) as caught:
        standard_named("x" * 5000)
    assert len(str(caught.value)) < 400


def test_a_standard_of_ones_own_is_refused_by_name() -> None:
    with pytest.raises(StandardError, match="not read by this version yet"):
        standard_named("school.toml")
